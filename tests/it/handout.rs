//! The handout as a user gets it: the file, what it says without a script, what it does in a real browser (`screen`), and
//! how it prints.

mod screen;

use std::path::{Path, PathBuf};

use crate::browser;
use crate::command::{json, quiet_in, run_in};
use crate::common::plans;
use serde_json::Value;

fn profile(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("profiles").join(name)
}

/// The page of a plan, in a folder of its own.
struct Page {
    dir: tempfile::TempDir,
    path: PathBuf,
    html: String,
}

fn page(plan: &Path, more: &[&str]) -> Page {
    let dir = tempfile::tempdir().unwrap();
    let mut args = vec!["handout", plan.to_str().unwrap(), "--out", "page.html"];
    args.extend(more);
    quiet_in(dir.path(), &args);
    let path = dir.path().join("page.html");
    let html = std::fs::read_to_string(&path).unwrap();
    Page { dir, path, html }
}

/// `result.json` of a plan.
fn result(plan: &Path, more: &[&str]) -> Value {
    let mut args = vec!["run", plan.to_str().unwrap(), "--json", "--no-files"];
    args.extend(more);
    json(&args)
}

/// A plan in whose every text somebody tries to write code.
fn hostile(dir: &Path) -> PathBuf {
    let nasty = r#"</script><script>alert(1)</script> \"q\" 'a' <img src=x onerror=alert(2)> &lt; \u2028 -->"#;
    let text = std::fs::read_to_string(profile("single-wetsuit.toml")).unwrap();
    let text = text
        .replace("title = \"", &format!("title = \"{nasty}"))
        .replace("note = \"Invented", &format!("note = \"{nasty}Invented"))
        .replace("name = \"back\"", &format!("name = \"back{nasty}\""))
        .replace("supply = \"back\"", &format!("supply = \"back{nasty}\""))
        .replace("name = \"boots\"", &format!("name = \"{nasty}\""))
        .replace("name = \"belt weight\"", &format!("name = \"lead{nasty}\""));
    std::fs::copy(profile("gear.csv"), dir.join("gear.csv")).unwrap();
    let path = dir.join("<b>'&amp;plan.toml");
    std::fs::write(&path, text).unwrap();
    path
}

// ---- the file ----

#[test]
fn it_is_written_where_it_was_asked_for() {
    let dir = tempfile::tempdir().unwrap();
    let plan = profile("single-wetsuit.toml");
    assert_eq!(quiet_in(dir.path(), &["handout", plan.to_str().unwrap()]), "wrote single-wetsuit-handout.html\n");
    assert!(dir.path().join("single-wetsuit-handout.html").is_file());
    quiet_in(dir.path(), &["handout", plan.to_str().unwrap(), "--out", "new/folder/a.html"]);
    assert!(dir.path().join("new/folder/a.html").is_file());
}

#[test]
fn it_never_replaces_an_input_and_bad_input_writes_nothing() {
    let dir = tempfile::tempdir().unwrap();
    for name in ["single-wetsuit.toml", "gear.csv"] {
        std::fs::copy(profile(name), dir.path().join(name)).unwrap();
    }
    let refused = |args: &[&str], words: &str| {
        let output = run_in(dir.path(), args);
        let text = String::from_utf8_lossy(&output.stderr).into_owned();
        assert_eq!(output.status.code(), Some(2), "{args:?}: {text}");
        assert!(text.contains(words), "{args:?}: {text}");
    };
    let plan = "single-wetsuit.toml";
    for input in [plan, "gear.csv"] {
        refused(&["handout", plan, "--out", input], "is not overwritten");
    }
    refused(&["handout", plan, "--date", "24.5.2031"], "YYYY-MM-DD");
    refused(&["handout", plan, "--date", "2031-02-29"], "YYYY-MM-DD");
    refused(&["handout", plan, "--compare", "none.toml"], "none.toml");
    refused(&["handout", plan, "--out", ".."], "name of a file");
    assert_eq!(std::fs::read_dir(dir.path()).unwrap().count(), 2, "nothing was written");
}

#[test]
fn it_is_self_contained() {
    for plan in plans() {
        let html = page(&plan, &[]).html;
        let policy = "content=\"default-src 'none'; script-src 'sha256-";
        assert!(html.contains(policy), "{}", plan.display());
        // the name of the SVG namespace is a name, not an address that anything loads
        // and the typeface stands in the page
        let rest = html.replace("http://www.w3.org/2000/svg", "").replace("url(data:font/ttf;base64,", "");
        for address in ["http:", "https:", "src=", "@import", "url(", "<link rel=\"stylesheet\"", "style=\""] {
            assert!(!rest.contains(address), "{}: {address}", plan.display());
        }
    }
}

/// A number as all outputs write it, for the tests: fixed decimals and a true minus sign.
fn shown(value: &Value, decimals: usize) -> String {
    format!("{:.decimals$}", value.as_f64().unwrap()).replace('-', "−")
}

#[test]
fn without_a_script_it_says_all_that_matters() {
    for plan in plans() {
        let html = page(&plan, &["--date", "2031-05-24"]).html;
        let before_scripts = html.split("<script").next().unwrap();
        let result = result(&plan, &[]);
        let found = &result["findings"];
        let last = found["holds"].as_array().unwrap().last().unwrap();
        let mut expected = vec![
            shown(&found["heavy_point"]["net_wing_empty_kg"], 1) + " kg",
            shown(&found["light_point"]["net_wing_empty_kg"], 1).trim_start_matches('−').to_owned(),
            shown(&found["heavy_point"]["net_wing_empty_kg"], 2),
            shown(&found["failed_wing"]["worst_load_kg"], 1) + " kg",
            shown(&last["at_reserve"]["margin_kg"], 1).trim_start_matches('−').to_owned(),
            shown(&Value::from(1e3 * found["wing"]["needed_m3"].as_f64().unwrap()), 1) + " L",
            result["plan"]["sha256"].as_str().unwrap().to_owned(),
            result["version"].as_str().unwrap().to_owned(),
            "2031-05-24".to_owned(),
            "depth</th><th".to_owned(),
        ];
        if result["lead"]["empty"] == true {
            expected.push("No lead is right".into());
        } else {
            let low = Value::from(result["lead"]["least_kg"].as_f64().unwrap().max(0.0));
            expected.push(format!("{} to {} kg", shown(&low, 1), shown(&result["lead"]["most_kg"], 1)));
        }
        for cylinder in found["cylinders"].as_array().unwrap() {
            expected.push(shown(&Value::from(1e-5 * cylinder["last_gauge_pa"].as_f64().unwrap()), 0) + " bar");
        }
        for text in expected {
            assert!(before_scripts.contains(&text), "{}: {text}", plan.display());
        }
        let cautions = result["cautions"].as_str().unwrap().replace('\'', "&#39;");
        let plain = |text: &str| text.replace("&#39;", "'");
        assert_eq!(plain(&html).matches(&plain(&cautions)).count(), 1, "cautions stand once");
    }
}

/// What is read on the page, without its head, its scripts and its foot.
fn read(html: &str) -> &str {
    html.split("<body>").nth(1).unwrap().split("<footer>").next().unwrap()
}

#[test]
fn the_lead_comes_first_and_is_packed() {
    for plan in plans() {
        let html = page(&plan, &[]).html;
        let ballast = json(&["ballast", plan.to_str().unwrap(), "--json"]);
        let first = html.split("<h2 id=\"lead\">").nth(1).unwrap().split("</section>").next().unwrap();
        let (advised_kg, name) = (ballast["advised_kg"].as_f64(), plan.display());
        let is_advised = ballast["verdict"] == "fits" && ballast["withheld"] == false;
        let words = match advised_kg.filter(|_| is_advised) {
            Some(0.0) => "Carry no lead".to_owned(),
            // whole pieces of half a kilogram, without a nought that says nothing
            Some(lead_kg) => format!("Carry {lead_kg} kg of lead"),
            None if ballast["empty"] == true => "No lead is right".to_owned(),
            None => "No lead is advised yet".to_owned(),
        };
        assert!(first.contains(&words), "{name}: {words} in {first}");
        assert_eq!(first.contains("aria-label=\"beyond\""), !is_advised, "{name}");
        // before all else that is found
        assert!(html.find("id=\"lead\"") < html.find("id=\"answer\""), "{name}");
    }
}

#[test]
fn what_to_pack_is_the_plan() {
    // as the plan has them, and its breathing rates as they stand in it
    let html = page(&profile("mountain-lake.toml"), &[]).html;
    let pack = html.split("id=\"pack\"").nth(1).unwrap().split("</section>").next().unwrap();
    for text in ["steel 15 L 232 bar", ">air<", "210 bar at 24 °C", "15 to 18 L/min", "Fresh", "3 × belt weight"] {
        assert!(pack.to_lowercase().contains(&text.to_lowercase()), "{text} in {pack}");
    }
    let html = page(&profile("cold-trimix.toml"), &["--units", "us"]).html;
    let pack = html.split("id=\"pack\"").nth(1).unwrap().split("</section>").next().unwrap();
    // 225 bar are 3263 psi, 30 bar 435 psi, 54 m 177 ft, 6 °C 43 °F
    for text in
        ["twin steel 12 L 232 bar", "trimix 18/45", "3263 psi at 68 °F", "435 psi", "regulator", "To 177 ft", "43 °F"]
    {
        assert!(pack.to_lowercase().contains(&text.to_lowercase()), "{text} in {pack}");
    }
}

#[test]
fn a_student_reads_no_command_and_no_checksum() {
    for plan in plans() {
        let result = result(&plan, &[]);
        let html = page(&plan, &[]).html;
        let foot = html.split("<footer>").nth(1).unwrap();
        for text in [result["plan"]["sha256"].as_str().unwrap(), "lightpoint ", "GERG", "SHA-256", "checks.csv"] {
            assert!(!read(&html).contains(text), "{}: {text}", plan.display());
            assert!(foot.contains(text), "{}: {text}", plan.display());
        }
        // words that divers hear as something else, or that only a statistician knows
        let without_figures: String =
            read(&html).split("<svg").map(|part| part.rsplit("</svg>").next().unwrap_or_default()).collect();
        let lower = without_figures.to_lowercase();
        for word in [" loft", "drained", "low pressure", "residual", "σ", "ditching", "squeeze", "spare cylinder"] {
            assert!(!lower.contains(word), "{}: {word}", plan.display());
        }
    }
}

#[test]
fn the_check_is_made_with_the_advised_lead() {
    let plan = profile("single-wetsuit.toml");
    let ballast = json(&["ballast", plan.to_str().unwrap(), "--json"]);
    assert_eq!((&ballast["verdict"], &ballast["withheld"]), (&Value::from("fits"), &Value::from(false)));
    let advised_kg = ballast["advised_kg"].as_f64().unwrap();
    let html = page(&plan, &[]).html;
    let form = html.split("<pre>").nth(1).unwrap().split("</pre>").next().unwrap();
    assert_ne!(advised_kg, ballast["own_kg"].as_f64().unwrap(), "the plan's own is something else");
    for line in form.lines().skip(1) {
        assert_eq!(line.split(',').nth(1).unwrap(), format!("{advised_kg:.2} kg"));
    }
    // the same plan with that lead predicts the same, but for what its own ballast displaces
    let other = page(&plan, &["--set", &format!("ballast[1].mass={} kg", advised_kg / 4.0)]).html;
    let predicted = |html: &str| -> Vec<String> {
        let cells = html.split("data-name=\"in the plan’s water\">").skip(1);
        cells.map(|cell| cell.split('<').next().unwrap().to_owned()).collect()
    };
    assert_eq!(predicted(&html).len(), 5);
    assert_eq!(predicted(&html), predicted(&other));
}

#[test]
fn a_comparison_leads_with_what_differs() {
    let (a, b) = (profile("single-wetsuit.toml"), profile("single-wetsuit.toml"));
    let set = ["--set", "site.temperature=9 °C", "--set", "ballast[1].count=6"];
    let html = page(&a, &[&["--compare", b.to_str().unwrap()], &set[..]].concat()).html;
    let (differ, lead) = (html.find("id=\"differ\"").unwrap(), html.find("id=\"lead\"").unwrap());
    assert!(differ < lead);
    let changes = html[differ..lead].split("<tbody>").nth(1).unwrap().split("</tbody>").next().unwrap();
    assert_eq!(changes.matches("<tr>").count(), 2, "{changes}");
    for text in ["6.00 kg", "4.00 kg", "9 °C", "19 °C"] {
        assert!(changes.contains(text), "{text} in {changes}");
    }
}

#[test]
fn what_a_user_wrote_stays_text() {
    let dir = tempfile::tempdir().unwrap();
    let plan = hostile(dir.path());
    for more in [&[][..], &["--compare", plan.to_str().unwrap(), "--set", "site.temperature=18 °C"]] {
        let html = page(&plan, more).html;
        assert_eq!(html.matches("<script").count(), 2, "the data and the script, no other");
        assert_eq!(html.matches("</script").count(), 2);
        for raw in ["<img", "<b>'", "alert(1)</script>"] {
            assert!(!html.contains(raw), "{raw}");
        }
        let data = html.split("id=\"moments\">").nth(1).unwrap().split("</script>").next().unwrap();
        assert!(!data.contains(['<', '>', '&', '\u{2028}']));
        let data: Value = serde_json::from_str(data).unwrap();
        let names = data["groups"].to_string();
        assert!(names.contains("back</script><script>alert(1)"), "{names}");
    }
}

#[test]
fn the_form_reads_back() {
    // the form is text without user-made markup here, so two entities are all that must be undone
    let plain = |text: &str| text.replace("&quot;", "\"").replace("&amp;", "&");
    for plan in plans() {
        for units in ["metric", "us"] {
            let html = page(&plan, &["--units", units]).html;
            let form = plain(html.split("<pre>").nth(1).unwrap().split("</pre>").next().unwrap());
            let words = html.split("Outcome: ").nth(1).unwrap().split("Doubt:").next().unwrap();
            let outcomes: Vec<&str> =
                words.split("<code>").skip(1).map(|word| word.split("</code>").next().unwrap()).collect();
            assert_eq!(outcomes.len(), 5);
            let names: Vec<String> = result(&plan, &[])["findings"]["cylinders"]
                .as_array()
                .unwrap()
                .iter()
                .map(|cylinder| cylinder["name"].as_str().unwrap().to_owned())
                .collect();
            let names: Vec<&str> = names.iter().map(String::as_str).collect();
            // every outcome that the page offers, written into every line with a doubt
            let mut reader = csv::Reader::from_reader(form.as_bytes());
            let header = reader.headers().unwrap().clone();
            assert_eq!(header.iter().skip(6).collect::<Vec<_>>(), names, "{}", plan.display());
            let mut writer = csv::Writer::from_writer(Vec::new());
            writer.write_record(&header).unwrap();
            for record in reader.records().map(Result::unwrap) {
                for outcome in &outcomes {
                    let cell = |(i, text): (usize, &str)| match i {
                        4 => (*outcome).to_owned(),
                        5 => "0.3 kg".to_owned(),
                        // what the form leaves to be read off the gauge
                        6 if text.is_empty() => "180 bar".to_owned(),
                        _ => text.to_owned(),
                    };
                    writer.write_record(record.iter().enumerate().map(cell)).unwrap();
                }
            }
            let text = String::from_utf8(writer.into_inner().unwrap()).unwrap();
            let checks = lightpoint::internals::plan::checks::checks_from(&text, "checks.csv", &names)
                .unwrap_or_else(|problems| panic!("{}: {problems}\n{text}", plan.display()));
            assert_eq!(checks.len(), 3 * outcomes.len());
            // full at 3 m, then 40 bar at 3 m, then 20 bar at 1 m: shown to a metre or foot and a bar or psi
            let last = checks.last().unwrap();
            assert!((last.depth_m - 1.0).abs() < 0.15, "{}", last.depth_m);
            let breathed = last.gauges.iter().filter(|(_, gauge_pa)| (gauge_pa - 20e5).abs() < 0.1e5).count();
            assert!(breathed > 0, "{:?}", last.gauges);
        }
    }
}

/// A long dive with eight cylinders: the demonstration with more of them.
fn many_cylinders(dir: &Path) -> PathBuf {
    let text = std::fs::read_to_string(profile("cold-trimix.toml")).unwrap();
    let (rig, rest) = text.split_once("[[cylinder]]").unwrap();
    let breathing = &rest[rest.find("[breathing]").unwrap()..];
    let breathing = breathing.split("[[dive.leg]]").next().unwrap();
    let cylinders = [
        ("back", "twin steel 12 L 232 bar", "trimix 18/45"),
        ("argon", "steel 2 L 232 bar", "argon"),
        ("deep", "aluminium 80 cuft", "trimix 18/45"),
        ("travel", "aluminium 80 cuft", "trimix 35/25"),
        ("fifty", "aluminium 80 cuft", "nitrox 50"),
        ("oxygen", "aluminium 5.7 L 207 bar", "oxygen"),
        ("bailout one", "steel 12 L 232 bar", "trimix 18/45"),
        ("bailout two", "steel 12 L 232 bar", "nitrox 32"),
    ];
    let table = |(i, (name, size, gas)): (usize, &(&str, &str, &str))| {
        let hung = if i < 2 { "" } else { "removable = true\nwith = [\"stage regulator\"]\n" };
        format!("[[cylinder]]\nname = \"{name}\"\nsize = \"{size}\"\ngas = \"{gas}\"\nfill = \"200 bar\"\n{hung}\n")
    };
    let cylinders: String = cylinders.iter().enumerate().map(table).collect();
    let regulators =
        "[[part]]\nname = \"stage regulator\"\ncount = 6\nmass = \"1.2 kg\"\nvolume = \"0.19 ± 0.03 L\"\n\n";
    let legs = [
        ("30 m", "back", 180),
        ("21 m", "fifty", 120),
        ("12 m", "fifty", 60),
        ("9 m", "fifty", 60),
        ("6 m", "oxygen", 170),
    ];
    let leg = |(to, breathe, stay): &(&str, &str, u32)| {
        format!(
            "[[dive.leg]]\nto = \"{to}\"\nspeed = \"9 m/min\"\nbreathe = \"{breathe}\"\n\
             [[dive.leg]]\nstay = \"{stay} min\"\n"
        )
    };
    let legs: String = legs.iter().map(leg).collect();
    let up = "[[dive.leg]]\nto = \"0 m\"\nspeed = \"1 m/min\"\n";
    let path = dir.join("many-cylinders.toml");
    std::fs::write(&path, format!("{rig}{regulators}{cylinders}{breathing}{legs}{up}")).unwrap();
    path
}

#[test]
fn prints_on_three_pages() {
    let Some(mut browser) = browser::browser("prints_on_three_pages") else { return };
    let dir = tempfile::tempdir().unwrap();
    for plan in plans().into_iter().chain([many_cylinders(dir.path())]) {
        for paper in ["a4", "letter"] {
            for units in ["metric", "us"] {
                let page = page(&plan, &["--paper", paper, "--units", units, "--date", "2031-05-24"]);
                browser.open(&page.path, 1280, 800);
                let pages = browser.printed_pages();
                assert_eq!(pages, 3, "{}: {paper}, {units}", plan.display());
                // on paper the figure takes the room that is left, and keeps enough of it
                browser.call("Emulation.setEmulatedMedia", serde_json::json!({ "media": "print" }));
                let height = browser.ask("document.getElementById('figure').getBoundingClientRect().height");
                browser.call("Emulation.setEmulatedMedia", serde_json::json!({ "media": "" }));
                // 45 mm of 96/25.4 px: the style's least
                assert!(height.as_f64().unwrap() >= 45.0 * 96.0 / 25.4 - 1.0, "{}: {height}", plan.display());
            }
        }
    }
}

/// The pages of a class in one file: each student's three, one after the other, and nothing to load or run.
#[test]
fn a_class_prints_three_pages_a_student() {
    let Some(mut browser) = browser::browser("a_class_prints_three_pages_a_student") else { return };
    let dir = tempfile::tempdir().unwrap();
    let class = profile("class.toml");
    for paper in ["a4", "letter"] {
        quiet_in(dir.path(), &["class", class.to_str().unwrap(), "--print", "all.html", "--paper", paper]);
        browser.open(&dir.path().join("all.html"), 1280, 800);
        assert_eq!(browser.printed_pages(), 3 * 5, "{paper}");
        assert_eq!(browser.ask("document.getElementById('s5-lead').textContent.length > 5"), Value::Bool(true));
        assert_eq!(browser.ask("document.querySelectorAll('#s1-moment:not([hidden])').length"), Value::from(0));
    }
}
