//! The figure of the breathing loop: of dives on it that go well and that do not.

use std::path::PathBuf;

use super::dives::{self, Dive};
use super::{assert_says, check, facts, texts, texts_of};
use lightpoint::internals::plan::Plan;
use lightpoint::internals::report::chart::{self, ChartError, Figure};
use lightpoint::internals::report::measure::UnitSystem;

/// The demonstration with changes of its text.
fn changed(title: &'static str, sets: &[(&str, &str)]) -> Dive {
    let mut text = include_str!("../../../profiles/closed-circuit.toml").to_owned();
    for (from, to) in sets {
        assert!(text.contains(from), "{from} is gone: mend this test");
        text = text.replacen(from, to, 1);
    }
    let plan = Plan::parse(&text, "plan.toml", PathBuf::new()).unwrap_or_else(|problems| panic!("{problems}"));
    Dive::of(title, plan.build().unwrap_or_else(|problems| panic!("{problems}")).scenario)
}

fn bailed_out() -> Dive {
    changed("Off the loop", &[("# bail_out = \"20 min\"", "bail_out = \"20 min\"")])
}

fn spent() -> Dive {
    changed("Little absorbent", &[("absorbent = \"2.6 ± 0.1 kg\"", "absorbent = \"0.2 kg\"")])
}

fn no_oxygen() -> Dive {
    changed("No oxygen", &[("gas = \"oxygen\"\nfill = \"190 bar\"", "gas = \"oxygen\"\nfill = \"8 bar\"")])
}

fn rich() -> Dive {
    changed("A diluent that is too rich", &[("gas = \"trimix 18/50\"", "gas = \"nitrox 40\"")])
}

/// The setpoint is raised on the way down: what is in the loop then is pressed together.
fn early() -> Dive {
    changed("Raised too early", &[("leg = 2  ", "depth = \"20 m\"\nway = \"down\"  ")])
}

fn unsaid() -> Dive {
    changed("Absorbs what nobody knows", &[("absorbent = \"2.6", "#"), ("absorbs = \"120", "#")])
}

fn many_setpoints() -> Dive {
    let change = "[[loop.setpoint_change]]\nto = \"0.9 bar\"\nat = \"30 min\"\n[[loop.setpoint_change]]\nto = \"1.5 bar\"\nat = \"40 min\"\n";
    changed(
        "Setpoints",
        &[("[[cylinder]]\nname = \"loop oxygen\"", &format!("{change}[[cylinder]]\nname = \"loop oxygen\""))],
    )
}

/// Dives on a loop.
pub fn all() -> Vec<Dive> {
    vec![changed("A wreck", &[]), bailed_out(), spent(), no_oxygen(), rich(), early(), unsaid(), many_setpoints()]
}

#[test]
fn loop_figures_are_clear() {
    for (n, dive) in all().iter().enumerate() {
        for units in [UnitSystem::Metric, UnitSystem::Us] {
            let system = if units == UnitSystem::Us { "us" } else { "metric" };
            check(&format!("loop-{n}-{system}"), &chart::draw(Figure::Loop, &facts(dive, units)).unwrap());
        }
    }
}

#[test]
fn what_a_loop_does_is_named() {
    let always = ["setpoint 0.70 bar", "setpoint 1.30 bar", "lower limit 0.16 bar", "upper limit 1.60 bar"];
    let used = ["used at the end of the dive", "oxygen", "diluent", "absorbent", "of carbon dioxide"];
    let whole = changed("A wreck", &[]);
    assert_says(Figure::Loop, &whole, &always);
    assert_says(Figure::Loop, &whole, &used);
    assert_says(Figure::Loop, &whole, &["its limits are", "at most 95 % oxygen"]);
    assert!(!texts(Figure::Loop, &whole).contains("open circuit"));
    assert_says(Figure::Loop, &bailed_out(), &["open circuit"]);
    assert_says(Figure::Loop, &spent(), &["bsorbent is used up", "absorbent used up at 25:14 min"]);
    assert_says(Figure::Loop, &no_oxygen(), &["The loop's oxygen is used up", "oxygen out"]);
    assert_says(Figure::Loop, &rich(), &["xygen is above 1.60 bar", "most 2."]);
    assert_says(Figure::Loop, &early(), &["xygen is above 1.60 bar from 3:29 to 4:26 min", "most 1.67 bar"]);
    assert_says(Figure::Loop, &many_setpoints(), &["setpoint 0.90 bar", "setpoint 1.50 bar"]);
    assert_says(Figure::Loop, &unsaid(), &["the plan does not say what it takes up"]);
    // partial pressures are in bar for every reader, volumes in the reader's own units
    let us = texts_of(&chart::draw(Figure::Loop, &facts(&whole, UnitSystem::Us)).unwrap());
    assert!(us.contains("setpoint 1.30 bar") && us.contains("cu ft"), "{us}");
}

#[test]
fn without_a_loop_there_is_no_figure_of_one() {
    let drawn = chart::draw(Figure::Loop, &facts(&dives::trimix(), UnitSystem::Metric));
    assert!(matches!(drawn, Err(ChartError::Nothing { figure: "loop", .. })));
}
