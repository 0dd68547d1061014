//! The figures in `plots/` are those of the plans in `profiles/`.
//!
//! One command redraws them: `LIGHTPOINT_REDRAW=1 cargo test --release --test it plots::`. Without the variable the test fails
//! when one is stale.

use std::path::{Path, PathBuf};

use crate::common::plans;
use lightpoint::internals::answer::{DiveFacts, Pieces, Quick, TrimFacts};
use lightpoint::internals::plan::Plan;
use lightpoint::internals::report::Rows;
use lightpoint::internals::report::chart::{Facts, Figure, PNG_WIDTH_PX, TrimLook, draw_all, lever, trim_torque};
use lightpoint::internals::report::measure::UnitSystem;

/// The plan whose trim is drawn: that of the demonstration.
const TRIMMED: &str = "cold-trimix";

/// Figures of every plan. The band needs runs of its own, so the command line draws it.
const FIGURES: [Figure; 4] = [Figure::Dive, Figure::Cylinders, Figure::Gas, Figure::Balance];

fn root() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR"))
}

/// Name and content of every figure of a plan.
fn figures(path: &Path) -> Vec<(String, Vec<u8>)> {
    let plan = Plan::load(path).expect("a valid plan");
    let dive = DiveFacts::of(&plan).expect("an answer");
    let Quick { built, trace, findings, .. } = &dive.quick;
    let scenario = &built.scenario;
    let rows = Rows::for_looking(scenario, trace, findings);
    let mishaps = dive.usual_mishaps();
    let facts = Facts {
        title: plan.title(),
        note: None,
        scenario,
        rows: &rows,
        events: trace.events(),
        findings,
        needless_kg: dive.needless.map_or(0.0, |needless| needless.excess_kg()),
        leads: &[],
        mishaps: &mishaps.found,
        units: UnitSystem::Metric,
    };
    let of_some = [(plan.name() == TRIMMED, Figure::Mishaps), (findings.circuit.is_some(), Figure::Loop)];
    let of_some = of_some.into_iter().filter_map(|(is_drawn, figure)| is_drawn.then_some(figure));
    let figures: Vec<Figure> = FIGURES.into_iter().chain(of_some).collect();
    let drawn = draw_all(&figures, &facts, true).into_iter().map(|drawn| drawn.expect("a figure"));
    drawn
        .into_iter()
        .flat_map(|drawn| {
            let name = format!("{}-{}", plan.name(), drawn.figure.name());
            [
                (format!("{name}.svg"), drawn.svg.into_bytes()),
                (format!("{name}.png"), drawn.png.expect("it was asked for")),
            ]
        })
        .collect()
}

/// Name and content of the figures of a plan's trim.
fn trim_figures(path: &Path) -> Vec<(String, Vec<u8>)> {
    let plan = Plan::load(path).expect("a valid plan");
    if plan.name() != TRIMMED {
        return Vec::new();
    }
    let facts = TrimFacts::of(&plan, &Pieces::Step(0.5)).expect("an answer");
    let look = TrimLook { title: plan.title(), note: None, facts: &facts, units: UnitSystem::Metric };
    let drawn = [("lever", lever(&look)), ("trim-torque", trim_torque(&look))];
    drawn
        .into_iter()
        .flat_map(|(figure, drawn)| {
            let (picture, name) = (drawn.expect("a figure"), format!("{TRIMMED}-{figure}"));
            [
                (format!("{name}.svg"), picture.svg().expect("an SVG").into_bytes()),
                (format!("{name}.png"), picture.png(PNG_WIDTH_PX).expect("a PNG")),
            ]
        })
        .collect()
}

#[test]
fn figures_are_fresh() {
    let redraw = std::env::var_os("LIGHTPOINT_REDRAW").is_some();
    let folder = root().join("plots");
    let mut expected = Vec::new();
    let mut stale = Vec::new();
    for path in plans() {
        for (name, bytes) in figures(&path).into_iter().chain(trim_figures(&path)) {
            let kept = folder.join(&name);
            if redraw {
                std::fs::write(&kept, &bytes).expect("a writable folder");
            } else if std::fs::read(&kept).ok().as_deref() != Some(&bytes) {
                stale.push(name.clone());
            }
            expected.push(name);
        }
    }
    for entry in std::fs::read_dir(&folder).expect("the folder of figures") {
        let path = entry.expect("an entry").path();
        let name = path.file_name().expect("a name").to_string_lossy().into_owned();
        if (name.ends_with(".svg") || name.ends_with(".png")) && !expected.contains(&name) {
            if redraw {
                std::fs::remove_file(&path).expect("a figure of no plan");
            } else {
                stale.push(name);
            }
        }
    }
    assert!(stale.is_empty(), "stale, redraw with LIGHTPOINT_REDRAW=1: {}", stale.join(", "));
}
