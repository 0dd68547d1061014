//! Checks in the water brought back: closed forms, recovery of a known diver, contradictions.

use std::sync::atomic::AtomicBool;

use crate::uncertain::{self, Uncertain};
use lightpoint::internals::estimate::doubt::{normal_quantile, normal_share, standard_uncertainty};
use lightpoint::internals::estimate::{Doubt, Estimate, Figures, Input, Shape};
use lightpoint::internals::rig::{CylinderSet, MAX_BAG_GASES, MAX_BAGS, SUIT, WING};
use lightpoint::internals::scenario::{LEAD_KG_M3, Scenario};
use lightpoint::internals::sim::{Ambient, Balance, Now, State, terms::cylinder_bulk};
use lightpoint::internals::study::calibrate::{
    Against, CalibrateError, Check, Correction, DRAWS, Gauge, Outcome, Reason, RigThen, Take, WaterThen, WingThen,
    correct,
};
use lightpoint::internals::study::doubt::{Answer, Control, DoubtStudy, Draws, Row, Sequence, Settings, doubt_study};
use lightpoint::internals::units::{ATMOSPHERE_PA, BAR_PA};

/// A normal doubt of a check from its standard uncertainty.
fn sure_to(sigma_kg: f64) -> Doubt {
    Doubt { half_width: normal_quantile(0.975) * sigma_kg, shape: Shape::Normal { coverage_frac: 0.95 } }
}

fn check(label: &str, depth_m: f64, bar: &[f64], outcome: Outcome, sigma_kg: f64) -> Check {
    let gauge = |(cylinder, bar): (usize, &f64)| Gauge { cylinder, gauge_pa: bar * BAR_PA };
    Check {
        label: label.into(),
        depth_m,
        cylinders: bar.iter().enumerate().map(gauge).collect(),
        lead_kg: None,
        wing: WingThen::Empty,
        water: WaterThen::AsPlanned,
        more_m3: 0.0,
        outcome,
        doubt: sure_to(sigma_kg),
    }
}

/// What checks make of a dive, and what it answers before and after.
#[derive(Debug, PartialEq)]
struct Calibrated {
    correction: Correction,
    before: DoubtStudy,
    after: DoubtStudy,
}

fn update(dive: &Uncertain, checks: &[Check]) -> Result<Calibrated, CalibrateError> {
    update_with(dive, checks, &Settings::default())
}

/// Updates a dive by checks of its own rig, and asks it again.
fn update_with(dive: &Uncertain, checks: &[Check], settings: &Settings) -> Result<Calibrated, CalibrateError> {
    let build = |values: &[f64]| dive.build(values);
    let checks: Vec<(usize, Check)> = checks.iter().map(|check| (0, check.clone())).collect();
    let correction = correct(&[RigThen { inputs: &dive.inputs, build: &build }], &checks, Take::Agreeing)?;
    let settings = Settings { max_draws: DRAWS, ..settings.clone() };
    let outlook = |ties| {
        let control = Control { cancel: &AtomicBool::new(false), progress: |_| {} };
        doubt_study(Figures { inputs: &dive.inputs, ties }, &build, &settings, control)
    };
    let (before, after) = (outlook(None)?, outlook(Some(&correction.ties))?);
    Ok(Calibrated { correction, before, after })
}

/// The inputs with the corrected values in place of the old ones, each by itself.
fn rewritten(inputs: &[Input], after: &[Estimate]) -> Vec<Input> {
    let mut inputs = inputs.to_vec();
    let uncertain = inputs.iter_mut().filter(|input| input.estimate.doubt.is_some());
    uncertain.zip(after).for_each(|(input, after)| input.estimate = *after);
    inputs
}

/// The reading that a scale would show on a diver.
fn reading(of: &Scenario, mut check: Check, error_kg: f64) -> Check {
    check.outcome = Outcome::Reading { lift_kg: 0.0 };
    check.outcome = Outcome::Reading { lift_kg: check.predicted(of).net_kg + error_kg };
    check
}

/// Standard uncertainties of the small dive's lifts and cylinder mass, kg, each over 1.96.
fn small_sigmas(dive: &Uncertain) -> Vec<f64> {
    dive.inputs[..4].iter().map(|input| standard_uncertainty(&input.estimate.doubt.expect("a doubt"))).collect()
}

// What a check predicts is what the engine's own balance says of that state.
#[test]
fn a_check_sees_the_balance_of_the_engine() {
    let dive = uncertain::large();
    let scenario = dive.build(&dive.central()).expect("a dive");
    let mut seen = check("a", 6.0, &[90.0, 120.0, 60.0, 150.0], Outcome::Neutral, 0.1);
    seen.wing = WingThen::Gas { gas_m3: 0.004 };
    let layer = scenario.water().layer_at(6.0);
    let ambient = Ambient::at(&scenario, layer, 6.0);
    let mut cylinder_mol = [0.0; lightpoint::internals::rig::MAX_CYLINDERS];
    for gauge in &seen.cylinders {
        let cylinder = &scenario.rig().cylinders[gauge.cylinder];
        let density = scenario.isotherm(layer, gauge.cylinder).density_mol_m3(gauge.gauge_pa + ATMOSPHERE_PA);
        cylinder_mol[gauge.cylinder] = cylinder.water_m3() * density;
    }
    let suit_m3 = scenario.rig().suit.expect("a dry suit").kept_m3();
    let mut bag_mol = [[0.0; MAX_BAG_GASES]; MAX_BAGS];
    bag_mol[SUIT][0] = suit_m3 * ambient.gas_mol_m3(&scenario, 1);
    bag_mol[WING][0] = 0.004 * ambient.gas_mol_m3(&scenario, 0);
    let start = Now::start(&scenario).state;
    let state = State { depth_m: 6.0, carried: CylinderSet::of(0..4), cylinder_mol, bag_mol, ..start };
    let balance = Balance::of(&scenario, &state, &ambient);
    assert!((seen.predicted(&scenario).net_kg - balance.net_kg()).abs() < 1e-9);

    // a kilogram of lead more pulls 1 − ρ/ρ_lead; a cylinder that is not named is gone with its own lift
    let at = |lead_kg| Check { lead_kg: Some(lead_kg), ..seen.clone() }.predicted(&scenario);
    let pull_kg = 1.0 - ambient.water_kg_m3 / LEAD_KG_M3;
    assert!((at(8.0).net_kg - seen.predicted(&scenario).net_kg).abs() < 1e-9);
    assert!((at(8.0).net_kg - at(9.0).net_kg - pull_kg).abs() < 1e-9);
    let fewer = Check { cylinders: seen.cylinders[..3].to_vec(), ..seen.clone() }.predicted(&scenario);
    let oxygen = cylinder_bulk(&scenario, 3, cylinder_mol[3]).net_kg(ambient.water_kg_m3);
    assert!((seen.predicted(&scenario).net_kg - fewer.net_kg - oxygen).abs() < 1e-9);

    // in the density of the plan itself nothing changes
    let water = WaterThen::Density { water_kg_m3: ambient.water_kg_m3 };
    let same = Check { water, ..seen.clone() }.predicted(&scenario);
    assert!((same.net_kg - seen.predicted(&scenario).net_kg).abs() < 2e-3);
}

// Closed form for one check that is a sum, y = Σ cᵢxᵢ with normal inputs: xᵢ moves by cᵢuᵢ²/(Σcⱼ²uⱼ² + σ²)·(y − ŷ), and its
// variance falls to uᵢ²·(1 − cᵢ²uᵢ²/(Σcⱼ²uⱼ² + σ²)). (The conditional normal distribution; any textbook.)
// Tolerance: a millionth, for all of it is in closed form. Of the answers 1 to 2 %: they come from draws.
#[test]
fn one_reading_in_closed_form() {
    let dive = uncertain::small();
    let central = dive.build(&dive.central()).expect("a dive");
    let sigma_kg = 0.2;
    let off_kg = 1.1;
    let seen = reading(&central, check("scale", 5.0, &[80.0], Outcome::Neutral, sigma_kg), off_kg);
    let calibrated = update(&dive, &[seen]).expect("calibrated");
    let off_line_frac = calibrated.correction.off_line_frac;
    assert!(off_line_frac < 1e-6, "a sum is a straight line: {off_line_frac}");
    let sigmas = small_sigmas(&dive);
    let all: f64 = sigmas.iter().map(|u| u * u).sum::<f64>() + sigma_kg * sigma_kg;
    for (i, u) in sigmas.iter().enumerate() {
        let sign = if i == 3 { -1.0 } else { 1.0 }; // a heavier cylinder lifts less
        let moved = calibrated.correction.moved.iter().find(|moved| moved.input == i).expect("it moved");
        let shift = sign * u * u / all * off_kg;
        assert!((moved.after.value - moved.before.value - shift).abs() < 1e-6 * u, "{moved:?} against {shift}");
        let deviation = u * (1.0 - u * u / all).sqrt();
        assert!((moved.std_after / deviation - 1.0).abs() < 1e-6, "{moved:?} against {deviation}");
    }
    assert!(
        calibrated.correction.moved.iter().all(|moved| moved.input != 4),
        "the breathing rate is not seen by a scale"
    );

    // The least lead follows: its doubt falls to that of the sum given the check, u·√(σ²/(u² + σ²)).
    let u_sum = (all - sigma_kg * sigma_kg).sqrt();
    let pull = 1.0 - 1025.0 / LEAD_KG_M3;
    let least = |outlook: &lightpoint::internals::study::doubt::Outlook| *outlook.summary(Answer::Least).expect("rows");
    let (before, after) = (least(&calibrated.before.outlook), least(&calibrated.after.outlook));
    assert!((before.std_uncertainty * pull / u_sum - 1.0).abs() < 0.02, "{before:?}");
    let expected = u_sum * (sigma_kg * sigma_kg / all).sqrt();
    assert!((after.std_uncertainty * pull / expected - 1.0).abs() < 0.02, "{after:?} against {expected}");
    // a plan has no words for what ties the inputs together, and says so by its wider intervals
    let cancel = AtomicBool::new(false);
    let written = doubt_study(
        &rewritten(&dive.inputs, &calibrated.correction.after),
        &|values: &[f64]| dive.build(values),
        &Settings::default(),
        Control { cancel: &cancel, progress: |_| {} },
    )
    .expect("a study");
    assert!(least(&written.outlook).std_uncertainty > 3.0 * after.std_uncertainty);
    assert!((least(&written.outlook).mean - after.mean).abs() < 0.05);
}

// Just could stay down: the sum is known to be at most 0. Of a normal y with mean μ and deviation s, seen through a doubt
// σ, the mean falls by s²/τ·φ(μ/τ)/Φ(−μ/τ), τ² = s² + σ² (the skew-normal mean; Azzalini 1985, from memory, or by
// integration). Each input takes its share uᵢ²/s² of it.
// Tolerance: three standard errors of that many weighted draws.
#[test]
fn a_one_sided_check_in_closed_form() {
    let dive = uncertain::small();
    let central = dive.build(&dive.central()).expect("a dive");
    let mut seen = check("rest", 3.0, &[40.0], Outcome::CouldStay, 0.15);
    // the lead that makes the diver of the plan float by 0.4 kg
    let bare = Check { lead_kg: Some(0.0), ..seen.clone() }.predicted(&central);
    seen.lead_kg = Some((bare.net_kg - 0.4) / (1.0 - bare.water_kg_m3 / LEAD_KG_M3));
    let mean_kg = seen.predicted(&central).net_kg;
    assert!((mean_kg - 0.4).abs() < 1e-9);
    let calibrated = update(&dive, &[seen]).expect("calibrated");

    let sigmas = small_sigmas(&dive);
    let s2: f64 = sigmas.iter().map(|u| u * u).sum();
    let tau = (s2 + 0.15f64.powi(2)).sqrt();
    let ratio = mean_kg / tau;
    let density = (-0.5 * ratio * ratio).exp() / (2.0 * std::f64::consts::PI).sqrt();
    let fall_kg = s2 / tau * density / normal_share(-ratio);
    let body = calibrated.correction.moved.iter().find(|moved| moved.input == 0).expect("it moved");
    let shift = -sigmas[0].powi(2) / s2 * fall_kg;
    assert!((body.after.value - body.before.value - shift).abs() < 1e-6 * sigmas[0], "{body:?} against {shift}");

    // The shape too: y has the density N(y; μ, s²)·Φ(−y/σ), here summed up over steps of a thousandth of s, and the least
    // lead is a straight line in y. Ends of its 95 % interval to what 4096 draws scatter by, a tenth of its deviation.
    let s = s2.sqrt();
    let density = |y: f64| (-0.5 * ((y - mean_kg) / s).powi(2)).exp() * normal_share(-y / 0.15);
    let grid: Vec<f64> = (0..12_000).map(|i| mean_kg + s * (f64::from(i) * 1e-3 - 6.0)).collect();
    let total: f64 = grid.iter().map(|y| density(*y)).sum();
    let quantile = |share: f64| {
        let mut sum = 0.0;
        grid.iter().copied().find(|y| {
            sum += density(*y);
            sum >= share * total
        })
    };
    let pull = 1.0 - 1025.0 / LEAD_KG_M3;
    let (low, high) = (quantile(0.025).expect("inside"), quantile(0.975).expect("inside"));
    let (before, after) = (&calibrated.before.outlook, &calibrated.after.outlook);
    let least = |outlook: &lightpoint::internals::study::doubt::Outlook| *outlook.summary(Answer::Least).expect("rows");
    let off_kg = |y: f64, least_kg: f64| (least_kg - least(before).mean) * pull - (y - mean_kg);
    for (y, least_kg) in [(low, least(after).symmetric.low), (high, least(after).symmetric.high)] {
        assert!(off_kg(y, least_kg).abs() < 0.1 * s, "{y} {least_kg} {}", off_kg(y, least_kg));
    }
}

// A one-sided check whose limit is far away says nothing: the others are as if it were not there.
#[test]
fn an_idle_bound_changes_nothing() {
    let dive = uncertain::small();
    let central = dive.build(&dive.central()).expect("a dive");
    let scale = reading(&central, check("scale", 5.0, &[80.0], Outcome::Neutral, 0.2), -0.7);
    let mut idle = check("far", 5.0, &[80.0], Outcome::CouldStay, 0.2);
    idle.lead_kg = Some(40.0);
    let alone = update(&dive, std::slice::from_ref(&scale)).expect("calibrated");
    let both = update(&dive, &[scale, idle]).expect("calibrated");
    for (one, other) in alone.correction.after.iter().zip(&both.correction.after) {
        assert!((one.value - other.value).abs() < 1e-9 * one.doubt.expect("a doubt").half_width, "{one:?} {other:?}");
    }
}

/// Four checks of a dive with everything on, as one might make them in a pool and at the last stop.
fn four_checks() -> [Check; 4] {
    [
        check("start", 2.0, &[215.0, 185.0, 200.0, 195.0], Outcome::Neutral, 0.1),
        check("stop, full", 6.0, &[215.0, 180.0, 200.0, 195.0], Outcome::Neutral, 0.1),
        check("stop, half", 6.0, &[120.0, 120.0, 90.0, 120.0], Outcome::Neutral, 0.1),
        check("at_reserve", 4.0, &[40.0, 60.0, 40.0, 40.0], Outcome::Neutral, 0.1),
    ]
}

// Recovery: divers drawn from the plan's doubts, checks simulated from each with the errors that they admit to. The mean of
// the least lead after the checks must lie around the truth as its own deviation says, and far nearer than the plan.
// Tolerance: over 6 divers the sum of squared normalised errors is χ² with 6 degrees of freedom; 0.676 to 18.55 holds 99 %
// (handbook table, from memory).
#[test]
fn a_known_diver_is_found_again() {
    let dive = uncertain::large();
    let truths = Draws::new(&dive.inputs, Sequence::Random, 99);
    let (mut squares, mut after_kg, mut before_kg) = (0.0, 0.0, 0.0);
    for diver in 0..6 {
        let truth = dive.build(&truths.values(diver)).expect("a dive");
        let errors = lightpoint::internals::study::doubt::draw::unit_point(Sequence::Random, 5, diver, 4);
        let checks: Vec<Check> = four_checks()
            .into_iter()
            .zip(errors)
            .map(|(check, p)| reading(&truth, check, 0.1 * normal_quantile(p)))
            .collect();
        let calibrated = update(&dive, &checks).expect("calibrated");
        assert!(
            calibrated.correction.verdicts.iter().all(|verdict| verdict.against.is_none()),
            "{:?}",
            calibrated.correction.verdicts
        );
        let least_kg = Row::of(&truth).expect("runs").least_kg;
        let after = calibrated.after.outlook.summary(Answer::Least).expect("rows");
        squares += ((least_kg - after.mean) / after.std_uncertainty).powi(2);
        after_kg += (least_kg - after.mean).abs() / 6.0;
        before_kg += (least_kg - calibrated.before.outlook.summary(Answer::Least).expect("rows").mean).abs() / 6.0;
    }
    assert!((0.676..18.55).contains(&squares), "{squares}");
    assert!(after_kg < 0.2 * before_kg, "{after_kg} kg after, {before_kg} kg before");
}

// Three litres of gas trapped in the suit at one of four checks.
#[test]
fn trapped_gas_is_named_and_not_averaged_away() {
    let dive = uncertain::large();
    let truth = dive.build(&dive.central()).expect("a dive");
    let honest: Vec<Check> = four_checks().into_iter().map(|check| reading(&truth, check, 0.0)).collect();
    let mut trapped = honest.clone();
    let Outcome::Reading { lift_kg } = &mut trapped[1].outcome else { panic!("a reading") };
    *lift_kg += 3.0e-3 * 1025.0;
    let calibrated = update(&dive, &trapped).expect("calibrated");
    let verdict = &calibrated.correction.verdicts[1];
    assert_eq!(verdict.against, Some(Against::OtherChecks), "{verdict:?}");
    assert!(verdict.residual > 10.0, "{verdict:?}");
    let Reason::TrappedGas(gas_m3) = verdict.reasons[0] else { panic!("{:?}", verdict.reasons) };
    assert!((gas_m3 - 3.0e-3).abs() < 0.3e-3, "{gas_m3}");
    assert!(matches!(verdict.reasons[1], Reason::WingNotEmpty(_)));
    assert!(matches!(verdict.reasons.last(), Some(Reason::WrongPiece(_))));
    assert!(calibrated.correction.verdicts.iter().enumerate().all(|(i, verdict)| i == 1 || verdict.against.is_none()));
    // the same as without that check
    let without: Vec<Check> = [0, 2, 3].map(|i| honest[i].clone()).to_vec();
    let expected = update(&dive, &without).expect("calibrated");
    let least = |calibrated: &Calibrated| calibrated.after.outlook.summary(Answer::Least).expect("rows").mean;
    assert!((least(&calibrated) - least(&expected)).abs() < 0.02);
}

#[test]
fn a_check_far_from_the_plan_contradicts_it() {
    let dive = uncertain::small();
    let central = dive.build(&dive.central()).expect("a dive");
    let heavy = reading(&central, check("scale", 5.0, &[80.0], Outcome::Neutral, 0.1), -6.0);
    let calibrated = update(&dive, &[heavy]).expect("calibrated");
    let verdict = &calibrated.correction.verdicts[0];
    assert_eq!(verdict.against, Some(Against::Plan));
    assert!(verdict.residual < -3.0 && (verdict.off_kg + 6.0).abs() < 1e-6);
    // heavier than planned: no gas explains it in a wet suit with an empty wing, and no natural water 6 kg
    assert!(matches!(verdict.reasons[..], [Reason::WrongPiece(_)]), "{:?}", verdict.reasons);
    assert!(
        calibrated.correction.moved.is_empty(),
        "what contradicts takes no part: {:?}",
        calibrated.correction.moved
    );
    let could_not = Check { lead_kg: Some(30.0), ..check("b", 5.0, &[80.0], Outcome::CouldNotStay, 0.1) };
    assert_eq!(update(&dive, &[could_not]).expect("calibrated").correction.verdicts[0].against, Some(Against::Plan));
}

#[test]
fn the_same_to_the_last_bit_for_any_number_of_threads() {
    let dive = uncertain::small();
    let central = dive.build(&dive.central()).expect("a dive");
    let scale = reading(&central, check("scale", 5.0, &[80.0], Outcome::Neutral, 0.2), 0.5);
    let rest = check("rest", 3.0, &[40.0], Outcome::CouldNotStay, 0.3);
    let checks = [scale, rest];
    let runs = [1, 2, 8]
        .map(|threads| update_with(&dive, &checks, &Settings { threads, ..Settings::default() }).expect("calibrated"));
    assert_eq!(runs[0], runs[1]);
    assert_eq!(runs[0], runs[2]);
}

#[test]
fn checks_that_make_no_sense_are_refused() {
    let dive = uncertain::small();
    let fine = check("a", 5.0, &[80.0], Outcome::Neutral, 0.1);
    let refused = |check: Check| matches!(update(&dive, &[check]), Err(CalibrateError::Check { .. }));
    assert!(refused(Check { depth_m: -1.0, ..fine.clone() }));
    assert!(refused(Check { depth_m: f64::NAN, ..fine.clone() }));
    assert!(refused(Check { lead_kg: Some(-1.0), ..fine.clone() }));
    assert!(refused(Check { wing: WingThen::Gas { gas_m3: -1.0 }, ..fine.clone() }));
    assert!(refused(Check { water: WaterThen::Density { water_kg_m3: 1.0 }, ..fine.clone() }));
    assert!(refused(Check { outcome: Outcome::Needed { lead_kg: f64::INFINITY }, ..fine.clone() }));
    assert!(refused(Check { doubt: sure_to(0.0), ..fine.clone() }));
    let cylinders = vec![Gauge { cylinder: 7, gauge_pa: 1e7 }];
    assert!(matches!(update(&dive, &[Check { cylinders, ..fine }]), Err(CalibrateError::NoSuchCylinder { .. })));
    assert!(matches!(update(&dive, &[]), Err(CalibrateError::Nothing { .. })));
}

// Two one-sided checks around one sum, and nothing else known of it: y ~ N(0.4, s²), seen below 1 and above −½ through
// doubts of 0.15 kg. Mean and deviation by summing up N(y; 0.4, s²)·Φ((1 − y)/σ)·Φ((y + ½)/σ) over a thousandth of s.
// Tolerance: three standard errors of 4096 draws, and expectation propagation gives these two moments to a hundredth.
#[test]
fn two_bounds_make_a_bracket() {
    let dive = uncertain::small();
    let central = dive.build(&dive.central()).expect("a dive");
    let mut seen = check("a", 3.0, &[40.0], Outcome::CouldStay, 0.15);
    let bare = Check { lead_kg: Some(0.0), ..seen.clone() }.predicted(&central);
    let pull = 1.0 - bare.water_kg_m3 / LEAD_KG_M3;
    // with so much lead the diver of the plan lifts by −0.6 kg, and by 0.9 kg
    let at = |net_kg: f64| Some((bare.net_kg - net_kg) / pull);
    seen.lead_kg = at(-0.6);
    let other = Check { label: "b".into(), outcome: Outcome::CouldNotStay, lead_kg: at(0.9), ..seen.clone() };
    let calibrated = update(&dive, &[seen, other]).expect("calibrated");
    let s = small_sigmas(&dive).iter().map(|u| u * u).sum::<f64>().sqrt();
    let weight = |y: f64| {
        (-0.5 * ((y - 0.4) / s).powi(2)).exp() * normal_share((1.0 - y) / 0.15) * normal_share((y + 0.5) / 0.15)
    };
    let grid = || (0..12_000).map(|i| 0.4 + s * (f64::from(i) * 1e-3 - 6.0));
    let moment = |of: &dyn Fn(f64) -> f64| grid().map(|y| weight(y) * of(y)).sum::<f64>();
    let mean = moment(&|y| y) / moment(&|_| 1.0);
    let deviation = (moment(&|y| (y - mean).powi(2)) / moment(&|_| 1.0)).sqrt();
    let least = |study: &DoubtStudy| *study.outlook.summary(Answer::Least).expect("rows");
    let (before, after) = (least(&calibrated.before), least(&calibrated.after));
    let (shift, found) = ((after.mean - before.mean) * pull, after.std_uncertainty * pull);
    let error = 3.0 * deviation / 4096f64.sqrt() + 0.01 * deviation;
    assert!((shift - (mean - 0.4)).abs() < error, "{shift} {mean}");
    assert!((found / deviation - 1.0).abs() < 0.03, "{found} {deviation}");
}
