//! The breathing loop: against handbook sums, closed forms, a plain step-by-step integration of its own equations, and
//! itself in another way.

use crate::exact;
use crate::parts::{cylinder, layers, rigid};
use lightpoint::internals::findings::{Band, Findings, Mishap, MishapFound, Thing};
use lightpoint::internals::physics::gas::{EquationOfState, GasMix, OXYGEN_KG_MOL};
use lightpoint::internals::physics::water::Brine;
use lightpoint::internals::profile::{Leg, Profile, Setpoint};
use lightpoint::internals::rig::{
    Bag, BreathingLoop, Cylinder, CylinderSet, CylinderSpec, LOOP, MOST_OXYGEN_FRAC, Rig, Role, STANDARD_MOL_M3,
};
use lightpoint::internals::scenario::{Scenario, Settings};
use lightpoint::internals::sim::terms::terms;
use lightpoint::internals::sim::{self, Happening, Owner, Trace};
use lightpoint::internals::study::Probe;
use lightpoint::internals::units::{ATMOSPHERE_PA, BAR_PA, GAS_CONSTANT_J_MOL_K};
use proptest::prelude::*;

const OXYGEN: usize = 0;
const DILUENT: usize = 1;
const STAGE: usize = 2;
const CELSIUS_10_K: f64 = 283.15;

/// A diver on a loop, in water whose pressure a test can say in bar: ten metres of it are one bar.
#[derive(Clone, Debug)]
struct Dive {
    /// minute and metre of each leg's end, and whether it breathes the loop
    legs: Vec<(f64, f64, bool)>,
    start_m: f64,
    /// minute and bar
    setpoints: Vec<(f64, f64)>,
    oxygen_l_min: f64,
    diluent: GasMix,
    loop_l: f64,
    /// bar in oxygen and diluent
    fills_bar: [f64; 2],
    suit_l: f64,
    wing: bool,
    equation: EquationOfState,
    halocline_m: Option<f64>,
}

impl Default for Dive {
    fn default() -> Self {
        Self {
            legs: vec![],
            start_m: 0.0,
            setpoints: vec![(0.0, 1.3)],
            oxygen_l_min: 1.0,
            diluent: GasMix::AIR,
            loop_l: 6.0,
            fills_bar: [200.0, 200.0],
            suit_l: 0.0,
            wing: false,
            equation: EquationOfState::Ideal,
            halocline_m: None,
        }
    }
}

/// Water of which ten metres are exactly a bar, kg/m³: EN 13319.
const TEN_METRES_A_BAR_KG_M3: f64 = 1e4 / 9.806_65;

impl Dive {
    fn scenario(&self) -> Scenario {
        let filled = |spec| Cylinder::new(spec).unwrap();
        let [oxygen_bar, diluent_bar] = self.fills_bar;
        let spec = |name: &str, mix, bar| CylinderSpec {
            fill_temperature_k: CELSIUS_10_K,
            ..cylinder(name, 3.0, 3.6, 4.2, mix, bar)
        };
        let stage = CylinderSpec { removable: true, ..cylinder("stage", 11.1, 13.2, 14.6, GasMix::AIR, 200.0) };
        let diver = Rig {
            parts: vec![rigid("diver with all", Role::Person, 112.0, 0.1)],
            suit: (self.suit_l > 0.0).then(|| Bag::suit(self.suit_l * 1e-3, CylinderSet::of([DILUENT]))),
            breathing_loop: Some(BreathingLoop {
                volume_m3: self.loop_l * 1e-3,
                play_m3: 0.0,
                lungs_m3: 3e-3,
                oxygen: CylinderSet::of([OXYGEN]),
                diluent: CylinderSet::of([DILUENT]),
                bail_out: CylinderSet::of([STAGE]),
                quotient_frac: 0.85,
                absorbs_mol: None,
                at: None,
                canister_at: None,
            }),
            wing: self.wing.then(|| Bag::wing(0.020, CylinderSet::of([DILUENT]))),
            cylinders: vec![
                filled(spec("oxygen", GasMix::OXYGEN, oxygen_bar)),
                filled(spec("diluent", self.diluent, diluent_bar)),
                filled(stage),
            ],
            swim_up_kg: 7.0,
            ..Rig::default()
        };
        let leg = |&(end_min, end_m, on_loop): &(f64, f64, bool)| Leg {
            end_s: 60.0 * end_min,
            end_m,
            source: if on_loop { CylinderSet::EMPTY } else { CylinderSet::of([STAGE]) },
            rate_m3_s: if on_loop { 0.0 } else { 20e-3 / 60.0 },
            loop_mol_s: on_loop.then_some(self.oxygen_l_min * 1e-3 / 60.0 * STANDARD_MOL_M3),
        };
        let setpoint = |&(minute, bar): &(f64, f64)| Setpoint { time_s: 60.0 * minute, pressure_pa: bar * BAR_PA };
        let profile = Profile::new(self.start_m, self.legs.iter().map(leg).collect(), vec![]).unwrap();
        let profile = profile.with_setpoints(self.setpoints.iter().map(setpoint).collect()).unwrap();
        let fresh = Brine::Density(TEN_METRES_A_BAR_KG_M3);
        let brines = match self.halocline_m {
            Some(depth_m) => vec![(0.0, fresh), (depth_m, Brine::Density(1040.0))],
            None => vec![(0.0, fresh)],
        };
        let settings = Settings { equation: self.equation, ..Settings::default() };
        Scenario::new(diver, layers(&brines, CELSIUS_10_K), profile, settings).unwrap()
    }
}

/// Depth at which the pressure is so many bar, m.
fn depth_m(bar: f64) -> f64 {
    (bar - ATMOSPHERE_PA / BAR_PA) * 10.0
}

/// Ideal gas as bar·L at the water's temperature.
fn bar_l(mol: f64) -> f64 {
    mol * GAS_CONSTANT_J_MOL_K * CELSIUS_10_K / BAR_PA * 1e3
}

fn used_bar_l(dive: &Scenario, trace: &Trace, cylinder: usize, from_s: f64, to_s: f64) -> f64 {
    let at = |time_s: f64| trace.at(dive, time_s).state.cylinder_mol[cylinder];
    bar_l(at(from_s) - at(to_s))
}

/// US Navy Diving Manual, chapter 17: an oxygen flask of 0.1 ft³ at 2500 psig and 65 °F, in water of 50 °F, kept at 500 psig,
/// lasts `FV·(P₁·T₂/T₁ − P_R)/(V̇·14.7)·492/T₂`, 258 min at 0.049 scfm, in absolute units. The flask here was filled at
/// the same number of moles; nothing else is fed from it, and the diver rests at one depth, so depth does not matter.
#[test]
fn an_oxygen_flask_lasts_as_the_handbook_says() {
    const FOOT_M: f64 = 0.3048;
    const PSI_PA: f64 = 6_894.757;
    let rankine = |fahrenheit: f64| fahrenheit + 459.67;
    let handbook_min = 0.1 * (2514.7 * rankine(50.0) / rankine(65.0) - 514.7) / (0.049 * 14.7) * 492.0 / rankine(50.0);
    assert!((handbook_min - 258.0).abs() < 0.5, "{handbook_min}");
    let base = Dive { legs: vec![(300.0, 10.0, true)], start_m: 10.0, ..Dive::default() }.scenario();
    let mut rig = base.rig().clone();
    let flask = CylinderSpec {
        water_m3: 0.1 * FOOT_M.powi(3),
        fill_gauge_pa: 2514.7 * PSI_PA - ATMOSPHERE_PA,
        fill_temperature_k: rankine(65.0) / 1.8,
        ..rig.cylinders[OXYGEN].spec().clone()
    };
    rig.cylinders[OXYGEN] = Cylinder::new(flask).unwrap();
    // a standard cubic foot is one at 492 °R and 14.7 psi
    let foot_mol = FOOT_M.powi(3) * 14.7 * PSI_PA / (GAS_CONSTANT_J_MOL_K * 492.0 / 1.8);
    let legs = vec![Leg { loop_mol_s: Some(0.049 * foot_mol / 60.0), ..base.profile().legs()[0] }];
    let profile = Profile::new(10.0, legs, vec![]).unwrap();
    let profile = profile.with_setpoints(base.profile().setpoints().to_vec()).unwrap();
    let water = layers(&[(0.0, Brine::Density(1000.0))], rankine(50.0) / 1.8);
    let dive = Scenario::new(rig, water, profile, *base.settings()).unwrap();
    let trace = sim::run(&dive).unwrap();
    let water_m3 = dive.rig().cylinders[OXYGEN].water_m3();
    let of_mol_pa = |mol: f64| dive.isotherm(0, OXYGEN).pressure_pa(mol / water_m3);
    let pressure_pa = |minute: f64| of_mol_pa(trace.at(&dive, 60.0 * minute).state.cylinder_mol[OXYGEN]);
    // linear in time, from two readings; the flask counts from its fill, before the loop was brought to its setpoint
    let (a, b) = (pressure_pa(60.0), pressure_pa(120.0));
    let minutes = (of_mol_pa(dive.filled_mol(OXYGEN)) - 514.7 * PSI_PA) / (a - b) * 60.0;
    // a minute is 0.4 %, the constants of both sums differ in the fifth figure
    assert!((minutes - handbook_min).abs() < 0.05, "{minutes} {handbook_min}");
}

/// US Navy Diving Manual, chapter 15: emergency gas of 0.399 ft³ at 3000 psi at 300 fsw, down to 185 psi over the bottom's
/// pressure: 73.2 scf, 14.13 scfm for 1.4 acfm, 5.18 min. The manual adds an atmosphere to the usable pressure; the tool
/// does not, which is 14.7 psi of 2696, or 0.03 min.
#[test]
fn emergency_gas_lasts_as_the_handbook_says() {
    let handbook = |usable_psi: f64| 0.399 * usable_psi / 14.7 / (1.4 * (300.0 + 33.0) / 33.0);
    let usable_psi = 3000.0 - (300.0 * 0.445 + 185.0);
    assert!((handbook(usable_psi + 14.7) - 5.18).abs() < 0.01);
    const PSI_PA: f64 = 6_894.757;
    const FOOT_M: f64 = 0.3048;
    // 33 fsw are an atmosphere there
    let bottom_pa = ATMOSPHERE_PA * (300.0 + 33.0) / 33.0;
    let deep_m = depth_m(bottom_pa / BAR_PA);
    let base = Dive { legs: vec![(6.0, deep_m, false)], start_m: deep_m, ..Dive::default() }.scenario();
    let mut rig = base.rig().clone();
    rig.cylinders[STAGE] = Cylinder::new(CylinderSpec {
        water_m3: 0.399 * FOOT_M.powi(3),
        fill_gauge_pa: 3000.0 * PSI_PA,
        fill_temperature_k: CELSIUS_10_K,
        ..rig.cylinders[STAGE].spec().clone()
    })
    .unwrap();
    let legs = vec![Leg { rate_m3_s: 1.4 * FOOT_M.powi(3) / 60.0, ..base.profile().legs()[0] }];
    let dive = Scenario::new(rig, base.water().clone(), Profile::new(deep_m, legs, vec![]).unwrap(), *base.settings());
    let dive = dive.unwrap();
    let trace = sim::run(&dive).unwrap();
    let pressure_pa = |minute: f64| {
        let mol = trace.at(&dive, 60.0 * minute).state.cylinder_mol[STAGE];
        dive.isotherm(0, STAGE).pressure_pa(mol / dive.rig().cylinders[STAGE].water_m3())
    };
    let (a, b) = (pressure_pa(1.0), pressure_pa(3.0));
    let minutes = 1.0 + (a - (bottom_pa + 185.0 * PSI_PA)) / (a - b) * 2.0;
    // the manual rounds 0.445 psi a foot and the volumes: some thousandths
    assert!((minutes - handbook(usable_psi)).abs() < 0.02, "{minutes} {}", handbook(usable_psi));
}

/// Diver and rig are a closed system: with nothing vented the mass is constant, and on the level the net lift too. Whatever
/// the body uses, and however long.
#[test]
fn a_closed_system_keeps_its_mass() {
    for oxygen_l_min in [0.0, 0.6, 1.0, 2.5] {
        let legs = vec![(3.0, 60.0, true), (40.0, 60.0, true)];
        let diluent = GasMix::new(0.12, 0.6).unwrap();
        let dive = Dive { legs, oxygen_l_min, diluent, equation: EquationOfState::Gerg2008, ..Dive::default() };
        let dive = dive.scenario();
        let trace = sim::run(&dive).unwrap();
        let start_kg = trace.first().balance.all().mass_kg;
        let bottom = trace.at(&dive, 180.0);
        for span in trace.spans() {
            for now in span.nodes() {
                assert!((now.balance.all().mass_kg - start_kg).abs() < 1e-9);
                let listed = terms(&dive, &now.state, &now.ambient);
                let sum_kg: f64 = listed.iter().map(|term| term.bulk.mass_kg).sum();
                assert!((sum_kg - start_kg).abs() < 1e-9, "the list says {sum_kg}");
                if now.state.time_s > 180.0 {
                    assert!((now.balance.net_kg() - bottom.balance.net_kg()).abs() < 1e-9);
                }
            }
        }
        // rounding
        assert!(trace.last().state.vented.mass_kg() < 1e-14);
    }
}

/// A litre of oxygen (0 °C, 1 atm) is 1.428 g, and becomes 1.963·RQ g of carbon dioxide; at 0.85 the rig alone gains 0.24 g
/// and the body loses as much. Ideal gas.
#[test]
fn a_litre_of_oxygen_is_exchanged() {
    let dive = Dive { legs: vec![(10.0, 20.0, true)], start_m: 20.0, oxygen_l_min: 1.0, ..Dive::default() }.scenario();
    let trace = sim::run(&dive).unwrap();
    let last = trace.last();
    let listed = terms(&dive, &last.state, &last.ambient);
    let grams = |owner| listed.iter().find(|term| term.owner == owner).map(|term| 1e3 * term.bulk.mass_kg).unwrap();
    // ten litres; the last figure of the textbook numbers
    let oxygen_g = 1e3 * last.state.metabolised_mol * OXYGEN_KG_MOL;
    assert!((oxygen_g - 14.28).abs() < 0.005, "{oxygen_g}");
    assert!((grams(Owner::Absorbed) - 19.63 * 0.85).abs() < 0.005 * 2.0, "{}", grams(Owner::Absorbed));
    let rig_gains_g = grams(Owner::Absorbed) - oxygen_g;
    assert!((rig_gains_g - 2.4).abs() < 0.05, "{rig_gains_g}");
    assert!((grams(Owner::Metabolised) + rig_gains_g).abs() < 1e-9);
}

/// Absorbent that takes up 183 litres of carbon dioxide a kilogram gains 0.36 kg a kilogram (Pollock et al. 2018, Diving
/// Hyperb. Med. 48, 96: 2.64 kg, 2 L/min for 241 min): what a canister gains stays below that.
#[test]
fn an_absorbent_gains_what_was_measured() {
    let (minutes, absorbent_kg) = (241.0, 2.64);
    // 2 L/min of carbon dioxide at a quotient of 0.85
    let oxygen_l_min = 2.0 / 0.85;
    let legs = vec![(minutes, 10.0, true)];
    let dive = Dive { legs, start_m: 10.0, oxygen_l_min, fills_bar: [300.0, 200.0], ..Dive::default() }.scenario();
    let trace = sim::run(&dive).unwrap();
    let last = trace.last();
    let absorbed = terms(&dive, &last.state, &last.ambient);
    let gained_kg = absorbed.iter().find(|term| term.owner == Owner::Absorbed).unwrap().bulk.mass_kg;
    let a_kilogram = gained_kg / absorbent_kg;
    assert!((a_kilogram - 0.36).abs() < 0.005, "{a_kilogram}");
    assert!((last.state.metabolised_mol * 0.85 / STANDARD_MOL_M3 * 1e3 / absorbent_kg - 183.0).abs() < 0.5);
}

/// A loop of 6 L that is taken from 1 to 7 bar takes 36 bar·L of diluent.
#[test]
fn the_way_down_takes_diluent() {
    let (from_m, to_m) = (depth_m(1.013_25), depth_m(7.013_25));
    let legs = vec![(4.0, to_m, true)];
    // a setpoint that the diluent always exceeds, so that nothing else flows
    let dive = Dive { legs, start_m: from_m, setpoints: vec![(0.0, 0.15)], oxygen_l_min: 0.0, ..Dive::default() };
    let dive = dive.scenario();
    let trace = sim::run(&dive).unwrap();
    assert!((used_bar_l(&dive, &trace, DILUENT, 0.0, 240.0) - 36.0).abs() < 1e-6);
    assert_eq!(used_bar_l(&dive, &trace, OXYGEN, 0.0, 240.0), 0.0);
}

/// The setpoint raised from 0.7 to 1.3 bar at constant volume uses `V·p·ln((1 − f₁)/(1 − f₂))` of oxygen: 10.5, 4.8 and 4.2
/// bar·L at 1.6, 4 and 7 bar for 6 L.
#[test]
fn raising_the_setpoint_flushes() {
    for (bar, expected) in [(1.6, 10.5), (4.0, 4.8), (7.0, 4.2)] {
        let closed = 6.0 * bar * f64::ln((1.0 - 0.7 / bar) / (1.0 - 1.3 / bar));
        assert!((closed - expected).abs() < 0.05, "{closed}");
        let legs = vec![(2.0, depth_m(bar), true)];
        let setpoints = vec![(0.0, 0.7), (1.0, 1.3)];
        // a diluent without oxygen, which would bring some of its own on the way down
        let diluent = GasMix::new(0.0, 0.5).unwrap();
        let dive = Dive { legs, start_m: depth_m(bar), setpoints, oxygen_l_min: 0.0, diluent, ..Dive::default() };
        let dive = dive.scenario();
        let trace = sim::run(&dive).unwrap();
        let used = used_bar_l(&dive, &trace, OXYGEN, 30.0, 90.0);
        assert!((used - closed).abs() < 1e-6, "{bar} bar: {used} {closed}");
        // what is no more in the loop was vented: the loop's volume is the same
        let vented: f64 = trace.last().state.vented.mol.iter().map(|mol| bar_l(*mol)).sum();
        assert!((vented - closed).abs() < 1e-6);
    }
}

/// What the body takes leaves as nothing: 120 L of oxygen breathed out would be 0.17 kg.
#[test]
fn metabolised_oxygen_does_not_leave() {
    let legs = vec![(120.0, 20.0, true)];
    let dive = Dive { legs, start_m: 20.0, fills_bar: [200.0, 200.0], ..Dive::default() }.scenario();
    let trace = sim::run(&dive).unwrap();
    let gone_kg = trace.first().balance.carried_gas_kg - trace.last().balance.carried_gas_kg;
    assert!((gone_kg - 0.171).abs() < 0.001, "{gone_kg}");
    assert!((trace.last().balance.net_kg() - trace.first().balance.net_kg()).abs() < 1e-9);
}

/// The same dive by the plainest of integrations: ideal gas, a hundredth of a second a step, each flow by the rule of the
/// model (diluent where volume is missing, oxygen below the setpoint, what is too much leaves with the composition).
fn plainly(dive: &Dive) -> [f64; 4] {
    let kept = |bar: f64| dive.loop_l * bar;
    let bar_of = |metre: f64| ATMOSPHERE_PA / BAR_PA + metre / 10.0;
    let share = dive.diluent.o2_frac();
    let setpoint = |minute: f64| {
        let set = dive.setpoints.iter().rfind(|(from, _)| *from <= minute + 1e-12).unwrap_or(&dive.setpoints[0]);
        set.1
    };
    // the body's use in bar·L of the water's temperature a minute
    let taken = dive.oxygen_l_min * ATMOSPHERE_PA / BAR_PA * CELSIUS_10_K / 273.15;
    let (mut oxygen_used, mut diluent_used, mut vented) = (0.0, 0.0, 0.0);
    let surface = bar_of(0.0);
    let held = |bar: f64, minute: f64| (setpoint(minute) / bar).min(MOST_OXYGEN_FRAC);
    let begins = held(surface, 0.0).max(share);
    let (mut oxygen, mut inert) = (begins * kept(surface), (1.0 - begins) * kept(surface));
    let mut exchange = |oxygen: &mut f64, inert: &mut f64, bar: f64, minute: f64| {
        let full = kept(bar);
        if *oxygen + *inert < full {
            // what is missing: oxygen first where it is below the setpoint, else diluent
            let missing = full - *oxygen - *inert;
            let diluent =
                ((1.0 - held(bar, minute)) * full - *inert).clamp(0.0, missing * (1.0 - share)) / (1.0 - share);
            *oxygen += missing - diluent + diluent * share;
            *inert += diluent * (1.0 - share);
            oxygen_used += missing - diluent;
            diluent_used += diluent;
        }
        // oxygen a drop at a time, what is too much leaving at once
        while *oxygen / (*oxygen + *inert) < held(bar, minute) - 1e-9 {
            let short = held(bar, minute) - *oxygen / (*oxygen + *inert);
            let drop = (short * full).clamp(1e-9 * full, 1e-4 * full);
            *oxygen += drop;
            oxygen_used += drop;
            let kept_frac = full / (*oxygen + *inert).max(full);
            vented += (*oxygen + *inert) * (1.0 - kept_frac);
            *oxygen *= kept_frac;
            *inert *= kept_frac;
        }
        if *oxygen + *inert > full {
            let kept_frac = full / (*oxygen + *inert);
            vented += (*oxygen + *inert) * (1.0 - kept_frac);
            *oxygen *= kept_frac;
            *inert *= kept_frac;
        }
    };
    let (mut minute, mut metre) = (0.0, dive.start_m);
    exchange(&mut oxygen, &mut inert, bar_of(metre), 0.0);
    for &(end_min, end_m, _) in &dive.legs {
        let (from_min, from_m) = (minute, metre);
        let count = ((end_min - from_min) * 6000.0).round().max(1.0) as usize;
        for i in 1..=count {
            let frac = i as f64 / count as f64;
            let next = from_min + frac * (end_min - from_min);
            metre = from_m + frac * (end_m - from_m);
            oxygen -= taken * (next - minute);
            minute = next;
            exchange(&mut oxygen, &mut inert, bar_of(metre), minute);
        }
    }
    [oxygen_used, diluent_used, vented, oxygen / (oxygen + inert)]
}

#[test]
fn a_plain_integration_agrees() {
    let trimix = GasMix::new(0.15, 0.5).unwrap();
    let deep = vec![(3.0, 55.0, true), (20.0, 55.0, true), (25.0, 9.0, true), (35.0, 6.0, true), (36.0, 0.0, true)];
    let yo_yo = vec![(2.0, 35.0, true), (4.0, 12.0, true), (6.0, 30.0, true), (7.0, 5.0, true), (12.0, 4.0, true)];
    let dives = [
        Dive { legs: deep.clone(), setpoints: vec![(0.0, 0.7), (5.0, 1.3)], diluent: trimix, ..Dive::default() },
        Dive { legs: deep.clone(), setpoints: vec![(0.0, 0.7), (5.0, 1.2)], oxygen_l_min: 2.2, ..Dive::default() },
        Dive { legs: yo_yo.clone(), setpoints: vec![(0.0, 1.3)], ..Dive::default() },
        // a diluent that is richer than the setpoint at depth, and a setpoint that is lowered
        Dive { legs: deep, setpoints: vec![(0.0, 0.7), (22.0, 0.4)], oxygen_l_min: 0.8, ..Dive::default() },
        Dive { legs: yo_yo, setpoints: vec![(0.0, 0.5)], diluent: GasMix::new(0.4, 0.0).unwrap(), ..Dive::default() },
    ];
    for (i, dive) in dives.iter().enumerate() {
        let scenario = dive.scenario();
        let trace = sim::run(&scenario).unwrap();
        let end_s = 60.0 * dive.legs[dive.legs.len() - 1].0;
        let filled = |cylinder: usize| bar_l(scenario.filled_mol(cylinder) - trace.last().state.cylinder_mol[cylinder]);
        let vented: f64 = trace.last().state.vented.mol.iter().map(|mol| bar_l(*mol)).sum();
        let loop_mol = trace.at(&scenario, end_s).state.bag_mol[LOOP];
        let share = loop_mol[0] / loop_mol.iter().sum::<f64>();
        let [oxygen, diluent, gone, left] = plainly(dive);
        // the plain one takes steps of a hundredth of a second on a way of up to 23 m/min, 0.02 bar·L each, of which a
        // thousandth part is its error: below a hundredth of a bar·L (0.014 g) over a dive
        for (what, ours, plain) in
            [("oxygen", filled(OXYGEN), oxygen), ("diluent", filled(DILUENT), diluent), ("vented", vented, gone)]
        {
            assert!((ours - plain).abs() < 0.03, "{i}: {what}: {ours} {plain}");
        }
        assert!((share - left).abs() < 1e-3, "{i}: {share} {left}");
    }
}

/// The run promises a tenth of a gram of any mass, however it is cut.
#[test]
fn loops_are_exact() {
    let trimix = GasMix::new(0.12, 0.55).unwrap();
    let real = Dive { equation: EquationOfState::Gerg2008, suit_l: 10.0, wing: true, ..Dive::default() };
    let deep = [(4.0, 70.0, true), (20.0, 70.0, true), (26.0, 21.0, true), (30.0, 21.0, true), (40.0, 6.0, true)];
    let out = [(50.0, 6.0, true), (51.0, 0.0, true)];
    let all: Vec<_> = deep.iter().chain(&out).copied().collect();
    let bail_out: Vec<_> = all.iter().map(|&(end, depth, _)| (end, depth, end < 21.0)).collect();
    let setpoints = vec![(0.0, 0.7), (4.0, 1.3)];
    let held = Dive { legs: all.clone(), setpoints: setpoints.clone(), diluent: trimix, ..real.clone() };
    exact::hold("held", &held.scenario(), 0.1);
    exact::hold("bail-out", &Dive { legs: bail_out, ..held.clone() }.scenario(), 0.1);
    exact::hold(
        "rich diluent",
        &Dive { diluent: GasMix::AIR, setpoints: vec![(0.0, 0.7)], ..held.clone() }.scenario(),
        0.1,
    );
    exact::hold("halocline", &Dive { halocline_m: Some(12.0), ..held.clone() }.scenario(), 0.1);
    for fills_bar in [[60.0, 200.0], [30.0, 200.0], [200.0, 60.0], [200.0, 110.0], [20.0, 50.0]] {
        let dive = Dive { fills_bar, ..held.clone() }.scenario();
        exact::hold(&format!("{fills_bar:?} bar"), &dive, 0.1);
    }
}

#[test]
fn what_runs_out_is_told() {
    let legs = vec![(4.0, 60.0, true), (40.0, 60.0, true), (50.0, 6.0, true), (60.0, 6.0, true)];
    let dive = Dive { legs, suit_l: 0.0, ..Dive::default() };
    let told = |fills_bar, what: Happening| {
        let dive = Dive { fills_bar, ..dive.clone() }.scenario();
        let trace = sim::run(&dive).unwrap();
        trace.events().iter().filter(|event| event.what == what).count()
    };
    // 50 L of oxygen are used and some vented: 8 bar in 3 L are 24; 36 bar·L of diluent go down to 7 bar
    assert_eq!(told([200.0, 200.0], Happening::OxygenOut), 0);
    assert_eq!(told([8.0, 200.0], Happening::OxygenOut), 1);
    assert_eq!(told([200.0, 200.0], Happening::DiluentOut), 0);
    assert_eq!(told([200.0, 10.0], Happening::DiluentOut), 1);
}

/// After bailing out the loop is closed: what is in it stays until the way up makes it too much.
#[test]
fn a_loop_that_is_left_stays_as_it_is() {
    let legs =
        vec![(3.0, 40.0, true), (10.0, 40.0, true), (15.0, 40.0, false), (18.0, 50.0, false), (25.0, 6.0, false)];
    let dive = Dive { legs, ..Dive::default() }.scenario();
    let trace = sim::run(&dive).unwrap();
    let at = |minute: f64| trace.at(&dive, 60.0 * minute);
    let held = |minute: f64| at(minute).balance.bags[LOOP];
    assert_eq!(at(10.0).state.bag_mol[LOOP], at(15.0).state.bag_mol[LOOP]);
    assert_eq!(at(10.0).state.metabolised_mol, at(25.0).state.metabolised_mol);
    // Boyle on the way down: 5.013 bar at 40 m, 6.013 at 50
    assert!((held(18.0).volume_m3 / held(15.0).volume_m3 - 5.013_25 / 6.013_25).abs() < 1e-6);
    assert!((held(25.0).volume_m3 - 0.006).abs() < 1e-9);
    let shares = |minute: f64| {
        let mol = at(minute).state.bag_mol[LOOP];
        mol.map(|part| part / mol.iter().sum::<f64>())
    };
    for (a, b) in shares(15.0).iter().zip(shares(25.0)) {
        assert!((a - b).abs() < 1e-12);
    }
}

prop_compose! {
    fn random_dive()(
        depths in prop::collection::vec((2.0..80.0f64, 0.5..15.0f64, 8.0..25.0f64), 1..5),
        stop_m in 3.0..9.0f64,
        setpoints in prop::collection::vec((0.0..40.0f64, 0.4..1.6f64), 1..4),
        oxygen_l_min in 0.3..2.5f64,
        o2 in 0.08..0.5f64,
        he_share in 0.0..1.0f64,
        loop_l in 3.0..9.0f64,
        oxygen_bar in prop_oneof![Just(200.0), 5.0..80.0f64],
        diluent_bar in prop_oneof![Just(200.0), 5.0..100.0f64],
        suit_l in prop_oneof![Just(0.0), 4.0..14.0f64],
        wing in any::<bool>(),
        bail_out_min in prop_oneof![Just(f64::INFINITY), 1.0..40.0f64],
        halocline_m in prop_oneof![Just(None), (4.0..30.0f64).prop_map(Some)],
        ideal in any::<bool>(),
    ) -> Dive {
        let (mut legs, mut minute, mut here_m) = (Vec::new(), 0.0, 0.0_f64);
        let mut go = |to_m: f64, stay_min: f64, speed: f64| {
            minute += (to_m - here_m).abs().max(0.5) / speed;
            legs.push((minute, to_m, minute < bail_out_min));
            minute += stay_min;
            legs.push((minute, to_m, minute < bail_out_min));
            here_m = to_m;
        };
        for (to_m, stay_min, speed) in depths {
            go(to_m, stay_min, speed);
        }
        go(stop_m, 4.0, 9.0);
        go(0.0, 0.5, 6.0);
        let mut setpoints = setpoints;
        setpoints[0].0 = 0.0;
        Dive {
            legs,
            start_m: 0.0,
            setpoints,
            oxygen_l_min,
            diluent: GasMix::new(o2, (1.0 - o2) * he_share).unwrap(),
            loop_l,
            fills_bar: [oxygen_bar, diluent_bar],
            suit_l,
            wing,
            equation: if ideal { EquationOfState::Ideal } else { EquationOfState::Gerg2008 },
            halocline_m,
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(200))]

    /// However a dive goes: every species is where it was or has gone where something says so, to 1e-9; mass leaves only
    /// with what is breathed out or vented; the setpoint is held wherever nothing is told; the list of things is the sum.
    #[test]
    fn nothing_appears_or_vanishes(random in random_dive()) {
        let dive = random.scenario();
        let trace = sim::run(&dive).unwrap();
        prop_assert!(trace.ledger_error() < 1e-9);
        let start_kg = trace.first().balance.all().mass_kg + trace.first().state.vented.mass_kg();
        for span in trace.spans() {
            for now in span.nodes() {
                let gone_kg = now.state.vented.mass_kg() + now.state.breathed.mass_kg();
                let all_kg = now.balance.all().mass_kg + gone_kg;
                prop_assert!((all_kg - start_kg).abs() < 1e-9 * start_kg, "{} {}", all_kg, start_kg);
                let listed = terms(&dive, &now.state, &now.ambient);
                let lift_kg: f64 = listed.iter().map(|term| term.net_kg(now.ambient.water_kg_m3)).sum();
                prop_assert!((lift_kg - now.balance.net_kg()).abs() < 1e-9);
                let mol = now.state.bag_mol[LOOP];
                prop_assert!(mol.iter().all(|mol| *mol >= 0.0), "{mol:?}");
                let Some(on_loop) = span.segment.on_loop else { continue };
                let unmet = now.state.unmet;
                if unmet.bag_m3[LOOP] == 0.0 {
                    let volume_m3 = now.balance.bags[LOOP].volume_m3;
                    prop_assert!((volume_m3 - random.loop_l * 1e-3).abs() < 2e-7, "{volume_m3}");
                }
                let share = mol[0] / mol.iter().sum::<f64>();
                let held = (on_loop.setpoint_pa / now.ambient.pressure_pa).min(MOST_OXYGEN_FRAC);
                if unmet.oxygen_pa == 0.0 {
                    prop_assert!(share >= held * (1.0 - 2e-6), "{share} {held} at {}", now.state.time_s);
                }
            }
        }
    }

    /// Oxygen or diluent may run out. Where both do, the loop collapses around what little expands out of two dry cylinders;
    /// that is told, and good to a gram.
    #[test]
    fn random_loops_are_exact(random in random_dive()) {
        prop_assume!(random.fills_bar.contains(&200.0));
        exact::hold("random loop", &random.scenario(), 0.5);
    }
}

/// Who bails out at any moment and comes to a stop with the bail-out at reserve is nowhere lighter than the dive on the
/// loop with its bail-out at reserve, which the least lead is taken from: less oxygen was used and less was vented until
/// then. What a loop that was left deeper holds is lighter gas by some grams, and that is less than the oxygen that was
/// not vented on the way up.
#[test]
fn the_least_lead_covers_a_bail_out_at_any_moment() {
    let points = [(4.0, 60.0), (20.0, 60.0), (26.0, 21.0), (30.0, 21.0), (34.0, 6.0), (50.0, 6.0), (53.0, 0.0)];
    for diluent in [GasMix::new(0.10, 0.70).unwrap(), GasMix::new(0.18, 0.5).unwrap(), GasMix::AIR] {
        let bails_out = |minute: f64| {
            let legs = points.map(|(end, metre)| (end, metre, end <= minute)).to_vec();
            let setpoints = vec![(0.0, 0.7), (4.0, 1.3)];
            let equation = EquationOfState::Gerg2008;
            Dive { legs, setpoints, diluent, suit_l: 10.0, wing: true, equation, ..Dive::default() }.scenario()
        };
        let planned = Probe::of(&bails_out(f64::INFINITY)).unwrap();
        assert!(!planned.out_of_gas);
        for minute in [0.0, 4.0, 20.0, 26.0, 30.0, 34.0, 50.0] {
            let after = Probe::of(&bails_out(minute)).unwrap();
            let (planned_kg, after_kg) = (planned.lightest().0, after.lightest().0);
            // a gram is what lead is worth knowing to
            assert!(after_kg <= planned_kg + 1e-3, "{minute} min: {after_kg} {planned_kg}");
        }
    }
}

/// With the loop's play a diver may drift; without it not at all, and off the loop as the lungs allow.
#[test]
fn a_breath_on_the_loop_trims_nothing() {
    let legs = vec![(2.0, 20.0, true), (10.0, 20.0, true), (20.0, 20.0, false)];
    let dive = Dive { legs, suit_l: 8.0, ..Dive::default() }.scenario();
    let with_play = |play_m3: f64| {
        let mut rig = dive.rig().clone();
        rig.lung_trim_m3 = 1e-3;
        rig.breathing_loop = rig.breathing_loop.map(|circuit| BreathingLoop { play_m3, ..circuit });
        let dive = dive.with_rig(rig).unwrap();
        let trace = sim::run(&dive).unwrap();
        [300.0, 900.0].map(|time_s| Band::of_now(&dive, &trace.at(&dive, time_s)))
    };
    let [on, off] = with_play(0.0);
    assert_eq!((on.up_m, on.down_m), (0.0, Some(0.0)));
    // Boyle: 8 L in the suit and 6 in the loop at 3.013 bar, a litre of trim, ten metres a bar
    let head_m = 30.132_5;
    assert!((off.up_m - head_m / 15.0).abs() < 1e-6, "{}", off.up_m);
    // the three litres of the lungs are one with the loop
    let [on, _] = with_play(1.5e-3);
    assert!((on.up_m - head_m * 1.5 / 18.5).abs() < 1e-6);
    assert!((on.down_m.unwrap() - head_m * 1.5 / 15.5).abs() < 1e-6);
}

/// What is told of a loop: the oxygen where it is most, the time at which the absorbent is spent, and where the setpoint is
/// more than the water's pressure allows.
#[test]
fn what_a_loop_used_is_told() {
    let legs = vec![(2.0, 20.0, true), (60.0, 20.0, true), (62.0, 0.0, true)];
    let mut dive = Dive { legs, setpoints: vec![(0.0, 1.3)], ..Dive::default() }.scenario();
    let mut rig = dive.rig().clone();
    // 34 L of carbon dioxide at a quotient of 0.85 are 40 L of oxygen: 40 min
    let absorbs_mol = Some(34e-3 * STANDARD_MOL_M3);
    rig.breathing_loop = rig.breathing_loop.map(|circuit| BreathingLoop { absorbs_mol, ..circuit });
    dive = dive.with_rig(rig).unwrap();
    let trace = sim::run(&dive).unwrap();
    let circuit = Findings::of(&dive, &trace).circuit.unwrap();
    assert!((circuit.spent.unwrap().time_s - 2400.0).abs() < 0.02);
    assert!((circuit.absorbent_frac().unwrap() - 62.0 / 40.0).abs() < 1e-9);
    assert!((circuit.taken_m3() - 62e-3).abs() < 1e-12);
    // 1.3/0.95 bar are 3.55 m: 0.355 of two minutes' way down at ten metres a minute
    let edge_m = depth_m(1.3 / MOST_OXYGEN_FRAC);
    assert_eq!(circuit.too_shallow.len(), 2);
    assert!((circuit.too_shallow[0].end_s - edge_m * 6.0).abs() < 0.02 && circuit.too_shallow[0].start_s == 0.0);
    assert!((circuit.too_shallow[1].start_m - edge_m).abs() < 0.01);
    assert!((circuit.least.pressure_pa - MOST_OXYGEN_FRAC * ATMOSPHERE_PA).abs() < 1.0);
    assert!(circuit.too_little.is_empty() && circuit.out.is_empty());
    // a fast way down brings more oxygen than is used: 1.3 bar at 3.55 m and 0.21 of the rest
    assert!(circuit.most.pressure_pa > 1.3e5 && circuit.most.time_s == 120.0, "{:?}", circuit.most);
}

/// A flooded loop of 5 L costs what the water in it weighs less its gas: about 5.1 kg in sea water of 1025 kg/m³.
#[test]
fn a_flooded_loop_costs_its_lift() {
    let legs = vec![(2.0, 20.0, true), (10.0, 20.0, true)];
    let dive = Dive { legs, loop_l: 5.0, ..Dive::default() }.scenario();
    let sea = layers(&[(0.0, Brine::Density(1025.0))], CELSIUS_10_K);
    let dive = Scenario::new(dive.rig().clone(), sea, dive.profile().clone(), *dive.settings()).unwrap();
    let trace = sim::run(&dive).unwrap();
    let found = MishapFound::of(&dive, &trace, Mishap::of(Thing::Loop)).unwrap();
    let now = found.now();
    let costs_kg = now.balance.bare_kg() - found.wing_empty_kg();
    let gas_kg = now.balance.bags[LOOP].mass_kg;
    assert!((costs_kg - (1025.0 * 0.005 - gas_kg)).abs() < 1e-9, "{costs_kg}");
    assert!((costs_kg - 5.1).abs() < 0.05, "{costs_kg}");
}
