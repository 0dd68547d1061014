//! What is possible and odd is noted in one line, and nothing is refused for it.

use lightpoint::internals::plan::Plan;

const SITE: &str = "gear = \"none\"\n[site]\nwater = \"sea\"\ntemperature = \"10 °C\"\n";
const DIVER: &str = "[diver]\nmass = \"80 kg\"\nvolume = \"79.5 L\"\n";
const REST: &str = "[breathing]\nrate = \"18 L/min\"\n";

/// The notes of a plan, without the list of typical figures.
fn notes(parts: &[&str]) -> Vec<String> {
    let text = parts.join("\n");
    let built = Plan::parse(&text, "plan.toml", "").and_then(|plan| plan.build()).unwrap_or_else(|p| panic!("{p}"));
    let all = built.notes.iter().map(ToString::to_string);
    all.filter(|note| !note.starts_with("typical figures")).collect()
}

fn back(gas: &str, more: &str) -> String {
    format!("[[cylinder]]\nname = \"back\"\nsize = \"steel 12 L 232 bar\"\ngas = {gas}\nfill = \"200 bar\"\n{more}\n")
}

fn dive(depth_m: f64, over: &str) -> String {
    format!(
        "[dive]\n[[dive.leg]]\nto = \"{depth_m} m\"\nover = \"{over}\"\n[[dive.leg]]\nstay = \"5 min\"\n[[dive.leg]]\nto = \"0 m\"\nover = \"4 min\"\n"
    )
}

#[track_caller]
fn only(parts: &[&str], expected: &str) {
    let notes = notes(parts);
    assert!(notes.len() == 1 && notes[0].contains(expected), "{notes:?}");
}

#[test]
fn a_usual_dive_has_none() {
    assert_eq!(notes(&[SITE, DIVER, &back("\"air\"", ""), REST, &dive(30.0, "2 min")]), Vec::<String>::new());
}

/// Common practice: 1.6 bar for stops, 0.16 bar to breathe at all. Pure oxygen at 6 m of sea water is 1.01 + 0.60 bar,
/// which the trade calls 1.6.
#[test]
fn oxygen_outside_its_limits() {
    let at = |gas: &str, depth_m: f64| notes(&[SITE, DIVER, &back(gas, ""), REST, &dive(depth_m, "2 min")]);
    assert_eq!(at("\"oxygen\"", 6.0), Vec::<String>::new());
    let deep = at("\"oxygen\"", 10.0);
    // 1.013 + 10 m of 1027 kg/m³: 2.02 bar
    assert!(deep.len() == 1 && deep[0].contains("breathed at 10 m") && deep[0].contains("2.02 bar"), "{deep:?}");
    let thin = at("\"trimix 10/70\"", 30.0);
    assert!(thin.len() == 1 && thin[0].contains("below the 0.16 bar") && thin[0].contains("at 0 m"), "{thin:?}");
    assert_eq!(at("\"trimix 18/45\"", 30.0), Vec::<String>::new());
}

#[test]
fn argon_breathed() {
    let argon = back("{ o2 = \"21 %\", ar = \"79 %\" }", "");
    only(&[SITE, DIVER, &argon, REST, &dive(10.0, "2 min")], "argon is for suits");
}

#[test]
fn fills_and_reserves() {
    let over = back("\"air\"", "").replace("200 bar", "250 bar");
    only(&[SITE, DIVER, &over, REST, &dive(10.0, "2 min")], "a fill of 250 bar is above the 232 bar of its size");
    let low = back("\"air\"", "reserve = \"210 bar\"");
    only(&[SITE, DIVER, &low, REST, &dive(10.0, "2 min")], "the reserve is above the fill");
}

#[test]
fn pieces_with_a_wrong_sign_or_unit() {
    let part = "[[part]]\nname = \"first regulator\"\nmass = \"1.2 kg\"\nin_water = \"1 kg\"\nread_in = \"pool\"\n";
    only(&[SITE, DIVER, part, &back("\"air\"", ""), REST, &dive(10.0, "2 min")], "regulators sink: check the sign");
    let suit = "[suit]\nmass = \"3 kg\"\nvolume = \"3 L\"\ngas_volume = \"38 L\"\nsupply = \"back\"\n";
    only(&[SITE, DIVER, suit, &back("\"air\"", ""), REST, &dive(10.0, "2 min")], "more than suits have");
    let body = "[diver]\nmass = \"80 kg\"\nvolume = \"88 L\"\n";
    only(&[SITE, body, &back("\"air\"", ""), REST, &dive(10.0, "2 min")], "the body alone floats with 10.");
}

#[test]
fn ways_faster_than_dives_are() {
    let at = |over: &str| notes(&[SITE, DIVER, &back("\"air\"", ""), REST, &dive(30.0, over)]);
    assert_eq!(at("1 min"), Vec::<String>::new());
    let fast = at("30 s");
    assert!(fast.len() == 1 && fast[0].contains("begins at 0.0 min is 60 m/min fast"), "{fast:?}");
}

#[test]
fn salt_over_fresh() {
    let layers = |top: &str, below: &str| {
        format!(
            "[[site.layer]]\nwater = \"{top}\"\ntemperature = \"15 °C\"\n[[site.layer]]\nfrom = \"8 m\"\nwater = \"{below}\"\ntemperature = \"15 °C\"\n"
        )
    };
    let at = |site: &str| notes(&["gear = \"none\"", site, DIVER, &back("\"air\"", ""), REST, &dive(10.0, "2 min")]);
    assert_eq!(at(&layers("fresh", "sea")), Vec::<String>::new());
    let wrong = at(&layers("sea", "fresh"));
    assert!(wrong.len() == 1 && wrong[0].contains("above 8 m is denser"), "{wrong:?}");
}

/// The reader's units are those of the notes as well.
#[test]
fn notes_are_in_the_readers_units() {
    let text = [SITE, DIVER, &back("\"air\"", ""), REST, &dive(30.0, "30 s")].join("\n");
    let us = crate::command::Cli::new(&["check", "plan.toml", "--units", "us"]).plan(&text).ok().stdout;
    assert!(us.contains("is 197 ft/min fast"), "{us}");
}
