//! Which checks contradict the plan or each other, and what is likely behind it.

use crate::estimate::cholesky::{Cholesky, dot};
use crate::estimate::ties::Root;
use crate::scenario::Scenario;
use crate::study::calibrate::check::{Check, Outcome, Predicted, WingThen};
use crate::study::calibrate::lines::Lines;
use crate::study::calibrate::surprise::Expected;

/// Normalised residual above which a check counts as contradicting the others: three standard deviations, which chance
/// alone gives three times in a thousand. What contradicts the plan is said in [`crate::study::calibrate::surprise`].
pub const CONTRADICTION: f64 = 3.0;
/// Densities of natural water, kg/m³: fresh and warm to the saltiest open sea, cold. What would need another one is not
/// explained by the water.
pub const NATURAL_WATER_KG_M3: std::ops::RangeInclusive<f64> = 990.0..=1035.0;

/// How a check stands to the plan and to the other checks.
#[derive(Clone, Debug, PartialEq)]
pub struct Verdict {
    /// Name of the check.
    pub label: String,
    /// What was seen less what was expected, kg: above zero, the diver was lighter than expected. For a one-sided
    /// outcome what was expected beyond the limit, and 0 where it agrees.
    pub off_kg: f64,
    /// The same over its standard deviation, which holds the doubt of the check and that of the expectation.
    pub residual: f64,
    /// Whether it contradicts; such a check is reported and takes no part in the update.
    pub against: Option<Against>,
    /// What may be behind a contradiction, the likeliest first; empty without one.
    pub reasons: Vec<Reason>,
}

/// What a check contradicts.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Against {
    /// What the plan allows with all its doubts.
    Plan,
    /// What the other checks say, while the plan alone would allow it. With two checks only, either of them may be
    /// the wrong one; the one farther from the plan is named.
    OtherChecks,
}

/// What may be behind a contradiction, with the size that would explain all of it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Reason {
    /// So much more gas in the suit than the plan says, m³.
    TrappedGas(f64),
    /// So much gas in the wing that was thought empty, or that much more than noted, m³.
    WingNotEmpty(f64),
    /// So much less gas in the suit than the plan says, m³.
    SuitSqueezed(f64),
    /// So much less gas in the wing than noted, m³.
    LessInWing(f64),
    /// Water of this density, kg/m³.
    WrongWater(f64),
    /// A piece, or the lead, that is off by so much lift, kg.
    WrongPiece(f64),
}

/// What may be behind a diver who was so much lighter than expected, kg.
///
/// Gas that should not be there comes first, as the commonest; it can only make lighter. A diver heavier than expected
/// has less gas in the suit or wing than noted, as far as there was any. Water is named only where natural water would
/// do, and a wrong piece is always possible.
pub(crate) fn reasons(check: &Check, scenario: &Scenario, off_kg: f64, here: &Predicted) -> Vec<Reason> {
    let gas_m3 = off_kg.abs() / here.water_kg_m3;
    let wing_m3 = match check.wing {
        WingThen::Empty => 0.0,
        WingThen::Gas { gas_m3 } => gas_m3,
    };
    let mut reasons = Vec::with_capacity(4);
    if off_kg > 0.0 {
        reasons.push(Reason::TrappedGas(gas_m3));
        reasons.extend(scenario.rig().wing.map(|_| Reason::WingNotEmpty(gas_m3)));
    } else {
        let suit_gas_m3 = scenario.rig().suit.map_or(0.0, |suit| suit.kept_m3());
        reasons.extend((suit_gas_m3 >= gas_m3).then_some(Reason::SuitSqueezed(gas_m3)));
        reasons.extend((wing_m3 >= gas_m3).then_some(Reason::LessInWing(gas_m3)));
    }
    let water_kg_m3 = here.water_kg_m3 + off_kg / here.volume_m3;
    reasons.extend(NATURAL_WATER_KG_M3.contains(&water_kg_m3).then_some(Reason::WrongWater(water_kg_m3)));
    reasons.push(Reason::WrongPiece(off_kg));
    reasons
}

/// What was expected of each check before any other was seen. `guess` are the unknowns that are guesses.
pub(crate) fn expected(checks: &[&Check], lines: &Lines, variance_kg2: &[f64], is_guess: &[bool]) -> Vec<Expected> {
    let one = |(c, check): (usize, &&Check)| {
        let squares = lines.slopes_kg[c].iter().zip(is_guess);
        let of = |wanted: bool| -> f64 {
            squares.clone().filter(|(_, guess)| **guess == wanted).map(|(slope, _)| slope * slope).sum()
        };
        Expected {
            off_kg: -off_kg(check.outcome, lines.intercept_kg[c]),
            guessed_kg2: of(true),
            known_kg2: of(false) + variance_kg2[c],
        }
    };
    checks.iter().enumerate().map(one).collect()
}

/// What was seen less what was expected, from the expected surplus.
pub(crate) fn off_kg(outcome: Outcome, surplus_kg: f64) -> f64 {
    match outcome {
        Outcome::CouldStay => -surplus_kg.max(0.0),
        Outcome::CouldNotStay => -surplus_kg.min(0.0),
        _ => -surplus_kg,
    }
}

/// Judges the checks that the plan allows against each other: what the others make of a check differs from it by
/// `d/(S⁻¹)_cc` with `d = −S⁻¹a`, and over its standard deviation by `d/√(S⁻¹)_cc`; the worst above the limit goes, until
/// none is. At last the one-sided ones against the plan as the others leave it. `lines` are in scores of deviation 1.
pub(crate) fn judge(checks: &[&Check], lines: &Lines, variance_kg2: &[f64], verdicts: &mut [Verdict]) {
    judge_each_other(checks, lines, variance_kg2, verdicts);
    judge_one_sided(checks, lines, variance_kg2, verdicts);
}

/// The two-sided checks that nothing speaks against so far.
fn agreed_two_sided(checks: &[&Check], verdicts: &[Verdict]) -> Vec<usize> {
    let fine = |&c: &usize| verdicts[c].against.is_none() && !checks[c].outcome.is_one_sided();
    (0..checks.len()).filter(fine).collect()
}

fn judge_each_other(checks: &[&Check], lines: &Lines, variance_kg2: &[f64], verdicts: &mut [Verdict]) {
    loop {
        let kept = agreed_two_sided(checks, verdicts);
        if kept.len() < 2 {
            return;
        }
        let lines = lines.only(&kept);
        let variance_kg2: Vec<f64> = kept.iter().map(|&c| variance_kg2[c]).collect();
        let Ok(root) = Cholesky::of(&lines.covariance(&variance_kg2)) else { return };
        let inverse = root.inverse();
        let pulled: Vec<f64> = root.solve(&lines.intercept_kg).iter().map(|pull| -pull).collect();
        let residual = |i: usize| pulled[i] / inverse[i][i].sqrt();
        // of two that differ from each other alike, the one farther from the plan; a thousandth is rounding
        let rank = |i: usize| residual(i).abs() + 1e-3 * verdicts[kept[i]].residual.abs();
        let Some(worst) = (0..kept.len()).max_by(|&a, &b| rank(a).total_cmp(&rank(b))) else { return };
        if residual(worst).abs() <= CONTRADICTION {
            return;
        }
        let verdict = &mut verdicts[kept[worst]];
        verdict.against = Some(Against::OtherChecks);
        verdict.residual = residual(worst);
        verdict.off_kg = pulled[worst] / inverse[worst][worst];
    }
}

fn judge_one_sided(checks: &[&Check], lines: &Lines, variance_kg2: &[f64], verdicts: &mut [Verdict]) {
    let kept = agreed_two_sided(checks, verdicts);
    let count = lines.slopes_kg.first().map_or(0, Vec::len);
    let mut after = Root::independent(&vec![1.0; count]);
    kept.iter().for_each(|&c| after.see(lines.intercept_kg[c], &lines.slopes_kg[c], variance_kg2[c]));
    for (c, check) in checks.iter().enumerate() {
        if !check.outcome.is_one_sided() || verdicts[c].against.is_some() || kept.is_empty() {
            continue;
        }
        let slopes = &lines.slopes_kg[c];
        let surplus_kg = lines.intercept_kg[c] + dot(slopes, &after.mean);
        let deviation_kg = (after.variance_of(slopes) + variance_kg2[c]).sqrt();
        let off_kg = off_kg(check.outcome, surplus_kg);
        if off_kg.abs() / deviation_kg > CONTRADICTION {
            let verdict = &mut verdicts[c];
            (verdict.off_kg, verdict.residual) = (off_kg, off_kg / deviation_kg);
            verdict.against = Some(Against::OtherChecks);
        }
    }
}
