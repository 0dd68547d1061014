//! The handout as a user gets it: the file, what it says without a script, and what it does in a real browser.

use std::path::{Path, PathBuf};
use std::sync::{Mutex, MutexGuard};

use crate::browser;
use crate::command::{json, quiet_in, run_in};
use crate::common::plans;
use serde_json::Value;

/// One browser at a time: several at once on a small machine only wait for each other.
static ONE: Mutex<()> = Mutex::new(());

fn alone() -> MutexGuard<'static, ()> {
    ONE.lock().unwrap_or_else(std::sync::PoisonError::into_inner)
}

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
            expected.push("no lead is right".into());
        } else {
            expected.push(format!(
                "{} to {} kg",
                shown(&result["lead"]["least_kg"], 2),
                shown(&result["lead"]["most_kg"], 2)
            ));
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

/// Contrast by WCAG 2.1, 1.4.3 (the formula from memory): text needs 4.5 to 1 on paper.
#[test]
fn text_stands_out() {
    let style = include_str!("../../src/report/html/style.css");
    let luminance = |hex: &str| {
        let digits = hex.trim_start_matches('#');
        let full: String =
            if digits.len() == 3 { digits.chars().flat_map(|c| [c, c]).collect() } else { digits.into() };
        let linear = |i: usize| {
            let value = f64::from(u8::from_str_radix(&full[i..i + 2], 16).unwrap()) / 255.0;
            if value <= 0.03928 { value / 12.92 } else { ((value + 0.055) / 1.055).powf(2.4) }
        };
        0.2126 * linear(0) + 0.7152 * linear(2) + 0.0722 * linear(4)
    };
    let colour = |name: &str| {
        let start = style.find(&format!("{name}: #")).unwrap_or_else(|| panic!("{name}")) + name.len() + 2;
        style[start..].split(';').next().unwrap()
    };
    for name in ["--ink", "--soft", "--vermilion-text", "--green-text", "--blue"] {
        for paper in [colour("--paper"), "#fdf3ec", "#f6f5f2"] {
            let ratio = (luminance(paper) + 0.05) / (luminance(colour(name)) + 0.05);
            assert!(ratio >= 4.5, "{name} on {paper}: {ratio:.2}");
        }
    }
}

// ---- the browser ----

/// Nothing on the console, nothing asked of a network, nothing to scroll sideways.
fn is_quiet_and_fits(browser: &mut browser::Browser, name: &str) {
    let width = browser.ask("document.documentElement.clientWidth");
    // an element that sticks out of the page counts, even where the page hides it
    let widest = browser.ask(
        "Math.max(document.documentElement.scrollWidth, document.body.scrollWidth, \
         ...Array.from(document.querySelectorAll('main *')).filter(e => !e.closest('.unseen') && e.getClientRects().length) \
         .map(e => Math.floor(e.getBoundingClientRect().right)))",
    );
    assert!(widest.as_f64().unwrap() <= width.as_f64().unwrap(), "{name}: {widest} wide in {width}");
    assert_eq!(browser.heard, Vec::<String>::new(), "{name}");
}

#[test]
fn opens_on_phone_and_laptop() {
    let _one = alone();
    let Some(mut browser) = browser::browser("opens_on_phone_and_laptop") else { return };
    let dir = tempfile::tempdir().unwrap();
    let nasty = hostile(dir.path());
    let mut pages: Vec<(String, Page)> =
        plans().iter().map(|plan| (plan.display().to_string(), page(plan, &[]))).collect();
    let (a, b) = (profile("single-wetsuit.toml"), profile("mountain-lake.toml"));
    pages.push(("compared".into(), page(&a, &["--compare", b.to_str().unwrap()])));
    pages.push(("US units".into(), page(&b, &["--units", "us", "--compare", a.to_str().unwrap()])));
    pages.push(("hostile".into(), page(&nasty, &[])));
    for (i, (name, page)) in pages.iter().enumerate() {
        for (width, height) in [(360, 740), (1280, 800)] {
            browser.open(&page.path, width, height);
            is_quiet_and_fits(&mut browser, name);
            assert_eq!(browser.ask("document.getElementById('moment').hidden"), false, "{name}");
            browser.keep_picture(&format!("{i}-{width}.png"));
        }
    }
    // the last one open is the hostile one: its words are on the page as they were written
    let title = browser.text("h1");
    assert!(
        title.contains("</script><script>alert(1)</script> \"q\" 'a' <img src=x onerror=alert(2)> &lt; \u{2028} -->"),
        "{title}"
    );
    assert_eq!(browser.ask("document.scripts.length"), 2);
    assert_eq!(browser.ask("document.images.length"), 0);
}

#[test]
fn nothing_else_can_run_or_load() {
    let _one = alone();
    let Some(mut browser) = browser::browser("nothing_else_can_run_or_load") else { return };
    let page = page(&profile("single-wetsuit.toml"), &[]);
    browser.open(&page.path, 1280, 800);
    let blocked = browser.ask(
        "(async () => { \
           const seen = []; \
           document.addEventListener('securitypolicyviolation', e => seen.push(e.effectiveDirective)); \
           await fetch('http://127.0.0.1:9/').catch(() => 0); \
           const put = (tag, more) => document.body.appendChild(Object.assign(document.createElement(tag), more)); \
           put('script', { textContent: 'window.ran = 1' }); \
           put('img', { src: 'http://127.0.0.1:9/a.png' }); \
           put('style', { textContent: 'body { color: red }' }); \
           put('iframe', { src: 'http://127.0.0.1:9/' }); \
           await new Promise(done => setTimeout(done, 300)); \
           return [seen.sort(), window.ran === undefined]; })()",
    );
    let expected =
        serde_json::json!([["connect-src", "frame-src", "img-src", "script-src-elem", "style-src-elem"], true]);
    assert_eq!(blocked, expected);
}

/// What the panel shows now.
fn panel(browser: &mut browser::Browser) -> Value {
    browser.ask(
        "Object.fromEntries(Array.from(document.querySelectorAll('[id^=v-]')).map(e => [e.id.slice(2), e.textContent]))",
    )
}

/// A number with its unit, as the panel must show it.
fn with_unit(value: &Value, decimals: usize, unit: &str, signed: bool) -> String {
    let text = shown(value, decimals);
    let is_zero = !text.contains(|c: char| c.is_ascii_digit() && c != '0');
    let text = if is_zero { text.replace('−', "") } else { text };
    let plus = if signed && !is_zero && !text.starts_with('−') { "+" } else { "" };
    format!("{plus}{text} {unit}")
}

/// A number of SI in another unit: exact by definition (international yard and pound agreement, 1959; the psi by its parts).
fn in_unit(si: &Value, unit: &str) -> Value {
    let size = match unit {
        "lb" => 0.453_592_37,
        "ft" => 0.3048,
        "bar" => 1e5,
        "psi" => 0.453_592_37 * 9.806_65 / (0.0254 * 0.0254),
        _ => 1.0,
    };
    Value::from(si.as_f64().unwrap() / size)
}

fn clock(seconds: &Value) -> String {
    let seconds = seconds.as_f64().unwrap().round() as i64;
    format!("{}:{:02} min", seconds / 60, seconds % 60)
}

#[test]
fn the_moments_are_those_of_the_result() {
    let _one = alone();
    let Some(mut browser) = browser::browser("the_moments_are_those_of_the_result") else { return };
    for plan in plans() {
        for (units, mass, depth, depth_decimals) in [("metric", "kg", "m", 1), ("us", "lb", "ft", 0)] {
            let page = page(&plan, &["--units", units]);
            let result = result(&plan, &["--units", units]);
            browser.open(&page.path, 1280, 800);
            let name = plan.display();
            for point in ["heavy point", "light point"] {
                let found = &result["findings"][point.replace(' ', "_")];
                browser.ask(&format!(
                    "Array.from(document.querySelectorAll('#marks button')).find(b => b.textContent.includes('{point}')).click()"
                ));
                let now = panel(&mut browser);
                let bare = with_unit(&in_unit(&found["net_wing_empty_kg"], mass), 1, mass, true);
                assert_eq!(now["bare"], bare, "{name}: {point}");
                assert_eq!(now["time"], clock(&found["time_s"]), "{name}: {point}");
                let deep = with_unit(&in_unit(&found["depth_m"], depth), depth_decimals, depth, false);
                assert_eq!(now["depth"], deep, "{name}: {point}");
                // what is read out is what is shown
                let spoken = browser.ask("document.getElementById('time').getAttribute('aria-valuetext')");
                assert!(spoken.as_str().unwrap().contains(&bare), "{name}: {spoken}");
                // the bars add up to the net below them; each is rounded to a tenth
                let bars = browser.ask(
                    "Array.from(document.querySelectorAll('.bar .amount')).map(e => \
                     e.textContent === '—' ? 0 : Number(e.textContent.replace('−', '-')))",
                );
                let bars: Vec<f64> = bars.as_array().unwrap().iter().map(|v| v.as_f64().unwrap()).collect();
                let parts = bars.len() - 2;
                let sum: f64 = bars[..parts].iter().sum();
                assert!((sum - bars[parts]).abs() <= 0.05 * (parts as f64 + 1.0) + 1e-9, "{name}: {bars:?}");
            }
            browser.ask(
                "Array.from(document.querySelectorAll('#marks button')).find(b => b.textContent.includes('largest load')).click()",
            );
            let wing = &result["findings"]["failed_wing"];
            let load = with_unit(&in_unit(&wing["worst_load_kg"], mass), 1, mass, false);
            let now = panel(&mut browser);
            assert_eq!(now["load"], load, "{name}");
            let words = match wing["verdict"].as_str().unwrap() {
                "can-swim" => "within the limit",
                "after-ditching" => "within it after ditching",
                _ => "beyond",
            };
            assert!(now["verdict"].as_str().unwrap().contains(words), "{name}: {}", now["verdict"]);
            the_end_is_the_result(&mut browser, &result, units, &name.to_string());
            assert_eq!(browser.heard, Vec::<String>::new(), "{name}");
        }
    }
}

/// At the end of the dive the pressures are those of the result.
fn the_end_is_the_result(browser: &mut browser::Browser, result: &Value, units: &str, name: &str) {
    browser.ask("document.getElementById('time').focus()");
    browser.press("End", 35);
    let now = panel(browser);
    assert_eq!(now["time"], clock(&result["run"]["duration_s"]), "{name}");
    let unit = if units == "us" { "psi" } else { "bar" };
    for (i, cylinder) in result["findings"]["cylinders"].as_array().unwrap().iter().enumerate() {
        let there = now[format!("gauge-{i}")].as_str().unwrap();
        // carried to the end, or not any more
        let expected = with_unit(&in_unit(&cylinder["last_gauge_pa"], unit), 0, unit, false);
        assert!(there == expected || there == "not carried", "{name}: {there} against {expected}");
    }
}

#[test]
fn the_series_behind_the_slider_is_the_series() {
    for plan in plans() {
        let page = page(&plan, &[]);
        let data = page.html.split("id=\"moments\">").nth(1).unwrap().split("</script>").next().unwrap();
        let data: Value = serde_json::from_str(data).unwrap();
        let rows = data["rows"].as_array().unwrap();
        assert!(rows.len() <= 600, "{}: {} rows", plan.display(), rows.len());
        let out = page.dir.path().join("out");
        quiet_in(page.dir.path(), &["run", plan.to_str().unwrap(), "--out", out.to_str().unwrap()]);
        let mut reader = csv::Reader::from_path(out.join("series.csv")).unwrap();
        let header = reader.headers().unwrap().clone();
        let column = |name: &str| header.iter().position(|c| c == name).unwrap_or_else(|| panic!("{name}"));
        let wanted = ["depth_m", "ambient_bar", "net_wing_empty_kg", "net_kg", "wing_l", "suit_l", "swim_up_load_kg"]
            .map(column);
        let time = column("time_min");
        let series: Vec<Vec<f64>> = reader
            .records()
            .map(|record| {
                let record = record.unwrap();
                let number = |i: usize| record[i].parse::<f64>().unwrap();
                std::iter::once(time).chain(wanted).map(number).collect()
            })
            .collect();
        for row in rows {
            let minute = row[0].as_f64().unwrap() / 60.0;
            let here: Vec<f64> = (1..=7).map(|i| row[i].as_f64().unwrap()).collect();
            // both are rounded: the page to 1e-4, the series to 1e-4 and finer, times to 1e-5 min
            let close = |other: &&Vec<f64>| {
                (other[0] - minute).abs() < 1.1e-5 && here.iter().zip(&other[1..]).all(|(a, b)| (a - b).abs() < 1.6e-4)
            };
            assert!(series.iter().any(|other| close(&other)), "{}: {row}", plan.display());
        }
    }
}

#[test]
fn keys_pointer_and_finger_move_it() {
    let _one = alone();
    let Some(mut browser) = browser::browser("keys_pointer_and_finger_move_it") else { return };
    let page = page(&profile("single-wetsuit.toml"), &[]);
    browser.open(&page.path, 1280, 800);
    let seconds = |browser: &mut browser::Browser| {
        let text = browser.text("#v-time");
        let (minutes, seconds) = text.trim_end_matches(" min").split_once(':').unwrap();
        60 * minutes.parse::<i64>().unwrap() + seconds.parse::<i64>().unwrap()
    };
    let pointer =
        |browser: &mut browser::Browser| browser.ask("document.querySelector('.wide .pointer').getAttribute('x1')");

    assert_eq!(seconds(&mut browser), 0);
    browser.ask("document.getElementById('time').focus()");
    let start = pointer(&mut browser);
    browser.press("ArrowRight", 39);
    let one = seconds(&mut browser);
    assert!(one > 0 && one <= 10, "{one}");
    assert_ne!(pointer(&mut browser), start, "the pointer on the figure moves along");
    browser.press("PageUp", 33);
    assert!((seconds(&mut browser) - one - 60).abs() <= 6);
    browser.press("ArrowLeft", 37);
    browser.press("End", 35);
    let end = seconds(&mut browser);
    let slider = browser.ask("Number(document.getElementById('time').value)").as_f64().unwrap();
    assert!((slider - end as f64).abs() <= 0.5, "the slider's thumb goes along");
    browser.press("Home", 36);
    assert_eq!(seconds(&mut browser), 0);

    // the slider itself, and the figure: the middle of the plot is the middle of the dive
    let (x, y, width) = browser.place("#time");
    browser.click(x + 0.25 * width, y);
    assert!((seconds(&mut browser) as f64 / end as f64 - 0.75).abs() < 0.02);
    let (x, y, width) = browser.place(".wide svg");
    let middle = "(() => { const d = document.querySelector('.wide svg').dataset; \
                  return (Number(d.plotLeft) + Number(d.plotRight)) / 2 / document.querySelector('.wide svg').viewBox.baseVal.width; })()";
    let middle = x - 0.5 * width + browser.ask(middle).as_f64().unwrap() * width;
    browser.click(middle, y);
    assert!((seconds(&mut browser) as f64 / end as f64 - 0.5).abs() < 0.02);
    // moved by anything but the focused slider, the page tells it once at rest
    browser.ask("document.activeElement.blur()");
    browser.click(middle + 100.0, y);
    let told =
        browser.ask("new Promise(done => setTimeout(() => done(document.getElementById('live').textContent), 900))");
    assert!(told.as_str().unwrap().contains("If the wing failed now"), "{told}");

    // a finger, on a phone
    browser.open(&page.path, 360, 740);
    let (x, y, width) = browser.place(".upright svg");
    browser.swipe(&[(x - 0.3 * width, y), (x - 0.1 * width, y), (x + 0.1 * width, y)]);
    let there = seconds(&mut browser);
    assert!(there > end / 3 && there < end, "{there} of {end}");
    assert_eq!(browser.heard, Vec::<String>::new());
}

#[test]
fn prints_on_two_pages() {
    let _one = alone();
    let Some(mut browser) = browser::browser("prints_on_two_pages") else { return };
    for plan in plans() {
        for paper in ["a4", "letter"] {
            for units in ["metric", "us"] {
                let page = page(&plan, &["--paper", paper, "--units", units, "--date", "2031-05-24"]);
                browser.open(&page.path, 1280, 800);
                let pages = browser.printed_pages();
                assert!((1..=2).contains(&pages), "{}: {pages} pages of {paper}, {units}", plan.display());
            }
        }
    }
}
