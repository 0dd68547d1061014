//! How sure the least lead is when two figures are uncertain. The diver and the gear are invented.

use std::sync::atomic::AtomicBool;

use lightpoint::{
    Bag, Body, Brine, Control, Cylinder, CylinderSet, CylinderSpec, DrawSettings, Error, Estimate, Input, KeyPath,
    Layer, Leg, Origin, Part, Profile, Quantity, Rig, Role, Scenario, Settings, Water, doubt_study,
};

/// The dive of a draw: the lift of the suit, kg, and the breathing rate, m³/s.
fn dive(lift_kg: f64, rate_m3_s: f64) -> Result<Scenario, Error> {
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
    let all = CylinderSet::of([0]);
    let rig = Rig {
        parts: vec![
            part("diver", Role::Person, Body::Rigid { mass_kg: 80.0, volume_m3: 0.0795 }),
            part("suit", Role::Suit, Body::Reading { lift_kg }),
        ],
        wing: Some(Bag::wing(0.016, all)),
        cylinders: vec![back],
        lung_trim_m3: 0.0015,
        swim_up_kg: 6.0,
        ..Rig::default()
    };
    let sea = Layer { top_m: 0.0, brine: Brine::PracticalSalinity(35.0), temperature_k: 288.15 };
    let leg = |minute: f64, end_m| Leg { end_s: 60.0 * minute, end_m, source: all, rate_m3_s, loop_mol_s: None };
    let legs = vec![leg(2.0, 20.0), leg(30.0, 20.0), leg(32.0, 5.0), leg(35.0, 5.0), leg(36.0, 0.0)];
    let water = Water::new(101_325.0, &[sea])?;
    Ok(Scenario::new(rig, water, Profile::new(0.0, legs, vec![])?, Settings::default())?)
}

fn main() -> Result<(), Error> {
    let input = |label: &str, quantity, estimate| Input {
        path: KeyPath::ROOT.field(label),
        label: label.into(),
        quantity,
        estimate,
        origin: Origin::Estimated,
        group: None,
        note: None,
    };
    let inputs = [
        input("lift of the suit", Quantity::Mass, Estimate::within(3.5, 0.5)),
        input("breathing rate", Quantity::FlowRate, Estimate::within(0.018 / 60.0, 0.003 / 60.0)),
    ];
    let cancel = AtomicBool::new(false);
    let control = Control { cancel: &cancel, progress: |_| {} };
    let build = |values: &[f64]| dive(values[0], values[1]);
    let found = doubt_study(&inputs, &build, &DrawSettings::default(), control)?;

    println!("{} draws", found.draws);
    for (answer, summary) in &found.outlook.summaries {
        let (low, high) = (summary.symmetric.low, summary.symmetric.high);
        println!("{answer:?}: {:.2} kg, 95 % between {low:.2} and {high:.2} kg", summary.mean);
    }
    Ok(())
}
