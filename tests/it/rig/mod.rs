//! Dives for the tests, built in code. All invented.

pub mod random;

use crate::parts::{cylinder, foam, layers, lead, leg, rigid};
use lightpoint::internals::physics::gas::GasMix;
use lightpoint::internals::physics::water::Brine;
use lightpoint::internals::profile::{Change, Move, Profile};
use lightpoint::internals::rig::{Bag, BagStart, Cylinder, CylinderSet, CylinderSpec, Rig, Role};
use lightpoint::internals::scenario::{Scenario, Settings};

pub struct Tank {
    pub name: &'static str,
    pub count: u32,
    pub water_l: f64,
    pub external_l: f64,
    pub shell_kg: f64,
    pub mix: GasMix,
    pub bar: f64,
    pub carried: bool,
    pub removable: bool,
}

impl Tank {
    pub fn cylinder(&self) -> Cylinder {
        let spec = CylinderSpec {
            count: self.count,
            carried_at_start: self.carried,
            removable: self.removable,
            ..cylinder(self.name, self.water_l, self.external_l, self.shell_kg, self.mix, self.bar)
        };
        Cylinder::new(spec).unwrap()
    }
}

/// Cold-water dive of 70 minutes to 60 m with twins, a suit bottle, a travel cylinder that comes and goes, and two
/// decompression cylinders; four are removable. The lead is `lead_kg`, the gas in the suit 12 L.
pub fn large(lead_kg: f64) -> Scenario {
    large_with(lead_kg, 12.0, &[(0.0, Brine::PracticalSalinity(33.0))])
}

pub fn large_with(lead_kg: f64, suit_l: f64, brines: &[(f64, Brine)]) -> Scenario {
    let tank = |name, count, water_l, external_l, shell_kg, mix, bar, removable| {
        Tank { name, count, water_l, external_l, shell_kg, mix, bar, carried: true, removable }.cylinder()
    };
    let bottom = GasMix::new(0.18, 0.45).unwrap();
    let half = GasMix::new(0.5, 0.0).unwrap();
    let cylinders = vec![
        tank("twins", 2, 12.0, 14.3, 15.5, bottom, 220.0, false),
        tank("suit bottle", 1, 1.5, 2.0, 2.1, GasMix::AIR, 190.0, false),
        tank("half", 1, 11.1, 13.2, 14.6, half, 205.0, true),
        tank("oxygen", 1, 7.0, 8.6, 9.9, GasMix::OXYGEN, 200.0, true),
        tank("travel", 1, 11.1, 13.2, 14.6, GasMix::new(0.28, 0.2).unwrap(), 210.0, true),
        tank("spare", 1, 5.0, 6.2, 7.4, half, 200.0, true),
    ];
    let legs = vec![
        leg(3.0, 60.0, 0, 20.0),
        leg(25.0, 60.0, 0, 18.0),
        leg(29.0, 24.0, 0, 18.0),
        leg(32.0, 21.0, 2, 16.0),
        leg(36.0, 12.0, 2, 15.0),
        leg(44.0, 9.0, 2, 15.0),
        leg(45.0, 6.0, 2, 15.0),
        leg(69.0, 6.0, 3, 14.0),
        leg(70.0, 0.0, 3, 14.0),
    ];
    let change = |min: f64, kind| Change { time_s: min * 60.0, cylinder: 4, kind };
    let changes = vec![change(10.0, Move::Leave), change(20.0, Move::Take)];
    let diver = Rig {
        parts: vec![
            rigid("body", Role::Person, 82.0, 0.0805),
            rigid("undergarment and shell", Role::Suit, 6.0, 0.0035),
            rigid("wing", Role::Wing, 3.1, 0.0016),
            rigid("plate", Role::Gear, 2.9, 2.9 / 7900.0),
            rigid("lamps and reels", Role::Gear, 3.4, 0.0021),
            foam("hood and gloves", 0.6, 2.6, 0.75),
            lead(lead_kg),
        ],
        suit: Some(Bag::suit(suit_l * 1e-3, CylinderSet::of([1])).starting(BagStart::Supply)),
        breathing_loop: None,
        wing: Some(Bag::wing(0.025, CylinderSet::of([0]))),
        cylinders,
        lung_trim_m3: 0.0015,
        swim_up_kg: 7.0,
        head_out_m3: 0.006,
        lungs: None,
    };
    let profile = Profile::new(0.0, legs, changes).unwrap();
    Scenario::new(diver, layers(brines, 281.15), profile, Settings::default()).unwrap()
}
