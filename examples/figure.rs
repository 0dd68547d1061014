//! The figure of a dive as an SVG: `cargo run --example figure > dive.svg`. The diver and the gear are invented.

use lightpoint::{
    Bag, Body, Brine, Cylinder, CylinderSet, CylinderSpec, Error, Figure, FigureFacts, Findings, Layer, Leg, Part,
    Profile, Rig, Role, Rows, Scenario, Settings, UnitSystem, Water, draw_figure, run,
};

fn dive() -> Result<Scenario, Error> {
    let all = CylinderSet::of([0]);
    let rigid = |mass_kg, volume_m3| Body::Rigid { mass_kg, volume_m3 };
    let part = |name: &str, role, body| Part { name: name.into(), role, count: 1, body, ditchable: false, at: None };
    let back = Cylinder::new(CylinderSpec {
        name: "back".into(),
        water_m3: 0.012,
        external_m3: 0.0140,
        shell_kg: 14.5,
        fill_gauge_pa: 200e5,
        reserve_gauge_pa: 40e5,
        ..CylinderSpec::default()
    })?;
    let rig = Rig {
        parts: vec![part("diver", Role::Person, rigid(80.0, 0.0795)), part("suit", Role::Suit, rigid(3.0, 0.0065))],
        wing: Some(Bag::wing(0.016, all)),
        cylinders: vec![back],
        lung_trim_m3: 0.0015,
        swim_up_kg: 6.0,
        ..Rig::default()
    };
    let sea = Layer { top_m: 0.0, brine: Brine::PracticalSalinity(35.0), temperature_k: 288.15 };
    let leg = |minute: f64, end_m| Leg {
        end_s: 60.0 * minute,
        end_m,
        source: all,
        rate_m3_s: 0.018 / 60.0,
        loop_mol_s: None,
    };
    let legs = vec![leg(2.0, 20.0), leg(30.0, 20.0), leg(32.0, 5.0), leg(35.0, 5.0), leg(36.0, 0.0)];
    let water = Water::new(101_325.0, &[sea])?;
    Ok(Scenario::new(rig, water, Profile::new(0.0, legs, vec![])?, Settings::default())?)
}

fn main() -> Result<(), Error> {
    let dive = dive()?;
    let trace = run(&dive)?;
    let findings = Findings::of(&dive, &trace);
    let rows = Rows::for_looking(&dive, &trace, &findings);
    let facts = FigureFacts {
        title: "Half an hour at 20 m",
        note: Some("invented"),
        scenario: &dive,
        rows: &rows,
        events: trace.events(),
        findings: &findings,
        needless_kg: 0.0,
        leads: &[],
        mishaps: &[],
        units: UnitSystem::Metric,
    };
    println!("{}", draw_figure(Figure::Dive, &facts)?.svg()?);
    Ok(())
}
