//! A dive built in code, run, and asked for its trim and its lead. The diver and the gear are invented.

use lightpoint::{
    Advice, Bag, Body, BodyShape, Brine, Centres, Cylinder, CylinderSet, CylinderSpec, Error, Findings, Layer,
    LeadRange, Leg, Lie, Part, Pieces, Point, Posture, Profile, Rig, Role, Scenario, Settings, Stance, Trim, Water,
    run,
};

fn main() -> Result<(), Error> {
    let part = |name: &str, role, mass_kg, volume_m3, at| Part {
        name: name.into(),
        role,
        count: 1,
        body: Body::Rigid { mass_kg, volume_m3 },
        ditchable: false,
        at: Some(at),
    };
    // where things are, for the trim: metres headward of the shoulder line, to the left, to the back
    let stance = Stance { stature_m: 1.78, shape: BodyShape::Man, posture: Posture::KneesBent };
    let body = stance.centres(80.0, 0.0795);
    let suit = Centres::at(Point::new(-0.40, 0.0, 0.0));
    let on_back = Lie { valve: Point::new(0.03, 0.0, 0.22), length_m: 0.60 };
    // 12 litres of air at 200 bar; what is not named has its default
    let back = CylinderSpec {
        name: "back".into(),
        lie: Some(on_back),
        water_m3: 0.012,
        external_m3: 0.0140,
        shell_kg: 14.5,
        ..CylinderSpec::default()
    };
    let back = Cylinder::new(CylinderSpec { fill_gauge_pa: 200e5, reserve_gauge_pa: 40e5, ..back })?;
    let all = CylinderSet::of([0]);
    let rig = Rig {
        parts: vec![part("diver", Role::Person, 80.0, 0.0795, body), part("suit", Role::Suit, 3.0, 0.0065, suit)],
        wing: Some(Bag::wing(0.016, all).placed(Point::new(-0.25, 0.0, 0.15))),
        cylinders: vec![back],
        lung_trim_m3: 0.0015,
        swim_up_kg: 6.0,
        lungs: Some(stance.lungs()),
        ..Rig::default()
    };
    let lake = Layer { top_m: 0.0, brine: Brine::PracticalSalinity(0.0), temperature_k: 281.15 };
    let water = Water::new(101_325.0, &[lake])?;
    // down to 20 m, half an hour there, three minutes at 5 m; 18 litres a minute all along
    let leg = |minute: f64, end_m| Leg {
        end_s: 60.0 * minute,
        end_m,
        source: all,
        rate_m3_s: 0.018 / 60.0,
        loop_mol_s: None,
    };
    let legs = vec![leg(2.0, 20.0), leg(30.0, 20.0), leg(32.0, 5.0), leg(35.0, 5.0), leg(36.0, 0.0)];
    let dive = Scenario::new(rig, water, Profile::new(0.0, legs, vec![])?, Settings::default())?;

    let trace = run(&dive)?;
    let findings = Findings::of(&dive, &trace);
    println!("net lift at 20 minutes, wing empty: {:.2} kg", trace.at(&dive, 1200.0).balance.bare_kg());
    println!("heaviest {:.2} kg, lightest {:.2} kg", findings.heavy.bare_kg, findings.light.bare_kg);
    if let Some(trim) = Trim::of(&dive, &trace) {
        let (head, feet) = (trim.head_heaviest, trim.feet_heaviest);
        println!(
            "held level: {:.0} N·m at {:.0} min, {:.0} N·m at {:.0} min",
            head.torque_nm(),
            head.time_s / 60.0,
            feet.torque_nm(),
            feet.time_s / 60.0
        );
    }

    let range = LeadRange::of(&dive)?;
    println!("lead: at least {:.2} kg, at most {:.2} kg", range.least.lead_kg, range.most.lead_kg);
    let carry = Advice::of(&dive, &range, 0.0, &Pieces::Step(0.5))?;
    println!("in pieces of half a kilogram: {:?}", carry.lead.map(|choice| choice.lead_kg));
    Ok(())
}
