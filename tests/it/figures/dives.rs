//! Invented dives that put the figures to the test.

use crate::parts::{cylinder, foam, layers, lead, legs, rigid, sea};
use lightpoint::internals::answer::{BandAtLead, StopBand};
use lightpoint::internals::findings::{Band, Findings, Mishap, MishapFound};
use lightpoint::internals::physics::gas::GasMix;
use lightpoint::internals::physics::water::Brine;
use lightpoint::internals::profile::{Change, Move, Profile};
use lightpoint::internals::report::Rows;
use lightpoint::internals::rig::{Bag, BagStart, Cylinder, CylinderSet, CylinderSpec, Part, Rig, Role};
use lightpoint::internals::scenario::{Scenario, Settings};
use lightpoint::internals::sim::{Trace, run};

/// A dive with its run.
pub struct Dive {
    pub title: &'static str,
    pub scenario: Scenario,
    pub trace: Trace,
    pub rows: Rows,
    pub findings: Findings,
    pub leads: Vec<BandAtLead>,
    pub mishaps: Vec<MishapFound>,
}

impl Dive {
    pub fn of(title: &'static str, scenario: Scenario) -> Self {
        let trace = run(&scenario).unwrap();
        let findings = Findings::of(&scenario, &trace);
        let leads = (0..=8).map(|i| band_at(&scenario, 1.5 * f64::from(i))).collect();
        let rows = Rows::for_looking(&scenario, &trace, &findings);
        let usual = Mishap::usual(&scenario).into_iter();
        let mut mishaps: Vec<_> = usual.filter_map(|mishap| MishapFound::of(&scenario, &trace, mishap)).collect();
        mishaps.sort_by(|a, b| b.badness(a));
        Self { title, scenario, trace, rows, findings, leads, mishaps }
    }
}

fn band_at(scenario: &Scenario, lead_kg: f64) -> BandAtLead {
    let other = scenario.with_lead(lead_kg, 0.0);
    let trace = run(&other).unwrap();
    let findings = Findings::of(&other, &trace);
    let stops = findings.holds.iter().map(|hold| {
        let band = Band::of_now(&other, &hold.planned.now);
        StopBand { depth_m: hold.depth_m, up_m: band.up_m, down_m: band.down_m }
    });
    BandAtLead { lead_kg, stops: stops.collect() }
}

/// A rigid part, its volume in litres.
fn litres(name: &str, role: Role, mass_kg: f64, volume_l: f64) -> Part {
    rigid(name, role, mass_kg, volume_l * 1e-3)
}

fn droppable(mass_kg: f64) -> Part {
    Part { ditchable: true, ..lead(mass_kg) }
}

struct Tank<'a> {
    name: &'a str,
    count: u32,
    water_l: f64,
    external_l: f64,
    shell_kg: f64,
    mix: GasMix,
    bar: f64,
    at_start: bool,
}

fn tank(tank: Tank<'_>) -> Cylinder {
    let Tank { name, count, water_l, external_l, shell_kg, mix, bar, at_start } = tank;
    let spec = CylinderSpec {
        count,
        fill_temperature_k: 288.15,
        reserve_gauge_pa: 30e5,
        carried_at_start: at_start,
        removable: true,
        ..cylinder(name, water_l, external_l, shell_kg, mix, bar)
    };
    Cylinder::new(spec).unwrap()
}

fn steel_twin(name: &str, mix: GasMix) -> Cylinder {
    tank(Tank { name, count: 2, water_l: 12.0, external_l: 14.2, shell_kg: 15.8, mix, bar: 220.0, at_start: true })
}

fn aluminium(name: &str, mix: GasMix, bar: f64, at_start: bool) -> Cylinder {
    tank(Tank { name, count: 1, water_l: 11.1, external_l: 16.4, shell_kg: 15.1, mix, bar, at_start })
}

fn diver(parts: Vec<Part>, cylinders: Vec<Cylinder>) -> Rig {
    Rig {
        parts,
        suit: None,
        breathing_loop: None,
        wing: Some(Bag::wing(0.020, CylinderSet::of([0]))),
        cylinders,
        lung_trim_m3: 1.0e-3,
        swim_up_kg: 7.0,
        head_out_m3: 5.0e-3,
        lungs: None,
    }
}

/// Deep trimix with four cylinders and a dry suit: beyond the limit early, an aluminium cylinder that turns.
pub fn trimix() -> Dive {
    trimix_named("Cold trimix dive", ["back gas", "aluminium stage", "oxygen", "suit bottle"])
}

fn trimix_named(title: &'static str, names: [&str; 4]) -> Dive {
    let deco = GasMix::new(0.50, 0.20).unwrap();
    let cylinders = vec![
        steel_twin(names[0], GasMix::new(0.18, 0.45).unwrap()),
        aluminium(names[1], deco, 200.0, true),
        tank(Tank {
            name: names[2],
            count: 1,
            water_l: 5.7,
            external_l: 8.3,
            shell_kg: 7.5,
            mix: GasMix::new(1.0, 0.0).unwrap(),
            bar: 180.0,
            at_start: true,
        }),
        tank(Tank {
            name: names[3],
            count: 1,
            water_l: 1.5,
            external_l: 2.2,
            shell_kg: 2.1,
            mix: GasMix::AIR,
            bar: 180.0,
            at_start: true,
        }),
    ];
    let parts = vec![
        litres("diver", Role::Person, 82.0, 80.6),
        litres("shell suit", Role::Suit, 3.4, 3.0),
        litres("undergarment", Role::Suit, 1.6, 1.4),
        litres("plate and harness", Role::Gear, 3.6, 0.6),
        litres("lights and reels", Role::Gear, 4.2, 2.2),
        litres("wing", Role::Wing, 1.4, 1.2),
        droppable(9.0),
    ];
    let mut diver = diver(parts, cylinders);
    diver.suit = Some(Bag::suit(0.012, CylinderSet::of([3])).with_extra(0.010).starting(BagStart::Supply));
    let profile = Profile::new(
        0.0,
        legs(&[
            (3.0, 60.0, 0, 20.0),
            (22.0, 60.0, 0, 18.0),
            (26.0, 27.0, 0, 18.0),
            (29.0, 21.0, 0, 16.0),
            (32.0, 21.0, 1, 16.0),
            (36.0, 15.0, 1, 16.0),
            (40.0, 12.0, 1, 16.0),
            (46.0, 9.0, 1, 16.0),
            (47.0, 6.0, 1, 16.0),
            (69.0, 6.0, 2, 14.0),
            (71.0, 0.0, 2, 14.0),
        ]),
        vec![],
    )
    .unwrap();
    Dive::of(title, Scenario::new(diver, sea(33.0, 279.15), profile, Settings::default()).unwrap())
}

/// One aluminium cylinder and a foam suit in warm water.
pub fn single() -> Dive {
    let parts = vec![
        litres("diver", Role::Person, 75.0, 73.9),
        foam("foam suit", 3.0, 7.5, 0.78),
        litres("plate", Role::Gear, 2.5, 0.5),
        droppable(4.0),
    ];
    let diver = Rig { swim_up_kg: 5.0, ..diver(parts, vec![aluminium("single", GasMix::AIR, 205.0, true)]) };
    let profile = Profile::new(
        0.0,
        legs(&[
            (2.0, 18.0, 0, 22.0),
            (30.0, 16.0, 0, 18.0),
            (36.0, 5.0, 0, 16.0),
            (39.0, 5.0, 0, 15.0),
            (41.0, 0.0, 0, 15.0),
        ]),
        vec![],
    )
    .unwrap();
    Dive::of(
        "One cylinder and a foam suit",
        Scenario::new(diver, sea(33.0, 295.15), profile, Settings::default()).unwrap(),
    )
}

/// Cave with a halocline: stages left on the way in and picked up on the way out.
pub fn cave() -> Dive {
    let nitrox = GasMix::new(0.32, 0.0).unwrap();
    let parts = vec![
        litres("diver", Role::Person, 78.0, 77.0),
        foam("foam suit", 4.0, 9.0, 0.78),
        litres("harness", Role::Gear, 3.0, 0.7),
        litres("lights", Role::Gear, 3.0, 1.6),
        lead(2.0),
    ];
    let cylinders = vec![
        steel_twin("back gas", nitrox),
        aluminium("first stage", nitrox, 200.0, true),
        aluminium("second stage", nitrox, 200.0, true),
        aluminium("bailout of the partner", nitrox, 190.0, false),
    ];
    let brine = Brine::PracticalSalinity;
    let water = layers(&[(0.0, brine(0.5)), (9.0, brine(35.0))], 297.15);
    let change = |minutes: f64, cylinder, kind| Change { time_s: minutes * 60.0, cylinder, kind };
    let profile = Profile::new(
        0.0,
        legs(&[
            (2.0, 12.0, 1, 18.0),
            (14.0, 14.0, 1, 18.0),
            (25.0, 18.0, 2, 18.0),
            (55.0, 20.0, 0, 18.0),
            (66.0, 18.0, 2, 18.0),
            (80.0, 6.0, 1, 18.0),
            (88.0, 6.0, 1, 16.0),
            (90.0, 0.0, 1, 16.0),
        ]),
        vec![
            change(14.0, 1, Move::Leave),
            change(25.0, 2, Move::Leave),
            change(40.0, 3, Move::Receive),
            change(55.0, 2, Move::Take),
            change(60.0, 3, Move::HandOff),
            change(66.0, 1, Move::Take),
        ],
    )
    .unwrap();
    Dive::of(
        "Coastal cave with stages",
        Scenario::new(diver(parts, cylinders), water, profile, Settings::default()).unwrap(),
    )
}

/// A profile without legs.
pub fn point() -> Dive {
    let diver = diver(
        vec![litres("diver", Role::Person, 75.0, 73.9), lead(2.0)],
        vec![aluminium("single", GasMix::AIR, 200.0, true)],
    );
    let profile = Profile::new(5.0, vec![], vec![]).unwrap();
    Dive::of("A single moment", Scenario::new(diver, sea(33.0, 283.15), profile, Settings::default()).unwrap())
}

/// Half a minute.
pub fn short() -> Dive {
    let diver = diver(
        vec![litres("diver", Role::Person, 75.0, 73.9), lead(9.0)],
        vec![aluminium("single", GasMix::AIR, 200.0, true)],
    );
    let profile =
        Profile::new(0.0, legs(&[(0.2, 3.0, 0, 15.0), (0.4, 3.0, 0, 15.0), (0.5, 0.0, 0, 15.0)]), vec![]).unwrap();
    Dive::of("A short dip", Scenario::new(diver, sea(33.0, 283.15), profile, Settings::default()).unwrap())
}

/// No wing, no suit, no foam, nothing but a body and a cylinder.
pub fn bare() -> Dive {
    let mut diver =
        diver(vec![litres("diver", Role::Person, 75.0, 76.0)], vec![aluminium("single", GasMix::AIR, 200.0, true)]);
    diver.wing = None;
    let profile =
        Profile::new(0.0, legs(&[(1.0, 10.0, 0, 15.0), (10.0, 10.0, 0, 15.0), (12.0, 0.0, 0, 15.0)]), vec![]).unwrap();
    Dive::of("Body and cylinder", Scenario::new(diver, sea(33.0, 283.15), profile, Settings::default()).unwrap())
}

/// Names that are too long, and full of what XML must escape.
pub fn long_names() -> Dive {
    trimix_named(
        "A title of the longest kind, <b>with \"marks\" & more</b>, that goes on and on until no line of any figure could hold it",
        [
            "back gas <script>alert('hello')</script> & a lot more letters",
            "WWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWW",
            "a stage cylinder whose name has sixty letters in all, or more",
            "Flasche für den Anzug – Ärmel, Kragen, Füßlinge und Handschuhe",
        ],
    )
}

/// Sixteen cylinders, of which every second one comes or goes.
pub fn crowded() -> Dive {
    let names = [
        "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve", "thirteen",
        "fourteen", "fifteen", "sixteen",
    ];
    let cylinders: Vec<_> = names
        .iter()
        .enumerate()
        .map(|(i, name)| aluminium(name, GasMix::AIR, 60.0 + 9.0 * i as f64, i % 2 == 0))
        .collect();
    let parts = vec![litres("diver", Role::Person, 75.0, 76.0), foam("foam suit", 3.0, 6.0, 0.78)];
    let changes = (0..16)
        .filter(|i| *i > 0)
        .map(|i| Change {
            time_s: 120.0 + 60.0 * i as f64,
            cylinder: i,
            kind: if i % 2 == 0 { Move::HandOff } else { Move::Receive },
        })
        .collect();
    let profile = Profile::new(
        0.0,
        legs(&[
            (2.0, 25.0, 0, 10.0),
            (18.0, 20.0, 0, 10.0),
            (22.0, 4.0, 0, 10.0),
            (25.0, 4.0, 0, 10.0),
            (26.0, 0.0, 0, 10.0),
        ]),
        changes,
    )
    .unwrap();
    Dive::of(
        "Sixteen cylinders",
        Scenario::new(diver(parts, cylinders), sea(33.0, 283.15), profile, Settings::default()).unwrap(),
    )
}

/// A profile as an instrument would record it: a leg every three seconds, up and down all the time.
pub fn jagged() -> Dive {
    let parts = vec![litres("diver", Role::Person, 75.0, 73.9), foam("foam suit", 3.0, 9.0, 0.78), droppable(6.0)];
    let diver = diver(parts, vec![aluminium("single", GasMix::AIR, 205.0, true)]);
    let list: Vec<_> = (1..=1400)
        .map(|i| {
            let minutes = 0.05 * f64::from(i);
            let wobble = 2.5 * (2.7 * f64::from(i)).sin() + 1.5 * (1.1 * f64::from(i)).cos();
            let depth = (16.0 + 5.0 * (minutes / 9.0).sin() + wobble).min(9.0 * minutes).min(9.0 * (70.0 - minutes));
            (minutes, depth.max(0.0), 0, 9.0)
        })
        .collect();
    let profile = Profile::new(0.0, legs(&list), vec![]).unwrap();
    Dive::of("A restless diver", Scenario::new(diver, sea(33.0, 290.15), profile, Settings::default()).unwrap())
}

/// A small cylinder that is empty before the dive is over, and a wing that is too small.
pub fn out_of_gas() -> Dive {
    let parts = vec![litres("diver", Role::Person, 75.0, 73.9), foam("foam suit", 3.0, 9.0, 0.78), droppable(12.0)];
    let mut diver = diver(parts, vec![aluminium("single", GasMix::AIR, 120.0, true)]);
    diver.wing = Some(Bag::wing(0.006, CylinderSet::of([0])));
    let list =
        [(3.0, 28.0, 0, 20.0), (25.0, 28.0, 0, 20.0), (29.0, 5.0, 0, 18.0), (32.0, 5.0, 0, 18.0), (33.0, 0.0, 0, 18.0)];
    let profile = Profile::new(0.0, legs(&list), vec![]).unwrap();
    Dive::of("Too little gas", Scenario::new(diver, sea(33.0, 285.15), profile, Settings::default()).unwrap())
}

/// Too little lead: with 6.3 kg the diver floats off the last stop with cylinders at reserve, with 5.6 kg as planned too.
pub fn too_light(lead_kg: f64) -> Dive {
    let parts = vec![litres("diver", Role::Person, 75.0, 73.9), foam("foam suit", 3.0, 9.0, 0.78), lead(lead_kg)];
    let diver = diver(parts, vec![aluminium("single", GasMix::AIR, 205.0, true)]);
    let list =
        [(2.0, 18.0, 0, 18.0), (30.0, 16.0, 0, 18.0), (34.0, 5.0, 0, 16.0), (39.0, 5.0, 0, 15.0), (40.0, 0.0, 0, 15.0)];
    let profile = Profile::new(0.0, legs(&list), vec![]).unwrap();
    Dive::of("Too little lead", Scenario::new(diver, sea(33.0, 285.15), profile, Settings::default()).unwrap())
}

/// Eight cylinders, of which some float from the start.
pub fn eight() -> Dive {
    let names =
        ["left side", "right side", "stage one", "stage two", "stage three", "stage four", "rich mix", "oxygen"];
    let cylinders: Vec<_> = names
        .iter()
        .enumerate()
        .map(|(i, name)| aluminium(name, GasMix::AIR, if i == 2 || i == 3 { 70.0 } else { 190.0 }, true))
        .collect();
    let parts = vec![litres("diver", Role::Person, 75.0, 76.0), foam("foam suit", 3.0, 6.0, 0.78), lead(2.0)];
    let list: Vec<_> = (0..8)
        .map(|i| (4.0 + 5.0 * f64::from(i), if i < 6 { 30.0 - f64::from(i) } else { 6.0 }, i as usize, 14.0))
        .chain([(45.0, 6.0, 7, 14.0), (46.0, 0.0, 7, 14.0)])
        .collect();
    let profile = Profile::new(0.0, legs(&list), vec![]).unwrap();
    Dive::of(
        "Eight cylinders",
        Scenario::new(diver(parts, cylinders), sea(33.0, 283.15), profile, Settings::default()).unwrap(),
    )
}

/// Ten hours in a dry suit.
pub fn ten_hours() -> Dive {
    let cylinders = vec![
        tank(Tank {
            name: "very large",
            count: 8,
            water_l: 20.0,
            external_l: 23.0,
            shell_kg: 23.0,
            mix: GasMix::new(0.32, 0.0).unwrap(),
            bar: 230.0,
            at_start: true,
        }),
        tank(Tank {
            name: "suit bottle",
            count: 1,
            water_l: 3.0,
            external_l: 4.2,
            shell_kg: 4.1,
            mix: GasMix::AIR,
            bar: 200.0,
            at_start: true,
        }),
    ];
    let parts = vec![
        litres("diver", Role::Person, 82.0, 80.6),
        litres("shell suit", Role::Suit, 3.4, 3.0),
        litres("float", Role::Gear, 2.0, 16.0),
        litres("gear", Role::Gear, 8.0, 4.0),
    ];
    let mut diver = diver(parts, cylinders);
    diver.wing = Some(Bag::wing(0.060, CylinderSet::of([0])));
    diver.suit = Some(Bag::suit(0.010, CylinderSet::of([1])));
    let list = [
        (10.0, 22.0, 0, 16.0),
        (250.0, 18.0, 0, 16.0),
        (480.0, 20.0, 0, 15.0),
        (520.0, 6.0, 0, 14.0),
        (597.0, 6.0, 0, 13.0),
        (600.0, 0.0, 0, 13.0),
    ];
    let profile = Profile::new(0.0, legs(&list), vec![]).unwrap();
    Dive::of("Ten hours", Scenario::new(diver, sea(33.0, 285.15), profile, Settings::default()).unwrap())
}

/// All of them.
pub fn all() -> Vec<Dive> {
    vec![
        trimix(),
        single(),
        cave(),
        point(),
        short(),
        bare(),
        long_names(),
        crowded(),
        jagged(),
        out_of_gas(),
        too_light(6.3),
        too_light(5.6),
        eight(),
        ten_hours(),
    ]
}
