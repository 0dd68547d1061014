//! One check after the other taken in, those left out that contradict.

use super::{CONTRADICTS, HungExpected, HungSeen, HungVerdict, Line, Seen};
use crate::estimate::PlaceTies;
use crate::findings::trim::Hang;
use crate::study::calibrate::Against;
use crate::units::STANDARD_GRAVITY_M_S2;

/// What a check says against what is known: slopes of all unknowns, how far off it is, and its noise, kg·m.
struct Surprise {
    slopes: Vec<f64>,
    off_kg_m: f64,
    noise_kg_m: f64,
    standard_kg_m: f64,
}

fn against(one: &Seen, line: &Line, index: usize, joint: &PlaceTies, known: &PlaceTies) -> Surprise {
    let all = known.mean.len();
    let dense = |slopes: &[(usize, f64)]| {
        let mut all_slopes = vec![0.0; all];
        slopes.iter().for_each(|(i, slope)| all_slopes[*i] += slope);
        all_slopes
    };
    let dot = |a: &[f64], b: &[f64]| a.iter().zip(b).map(|(a, b)| a * b).sum::<f64>();
    let shift: Vec<f64> = known.mean.iter().zip(&joint.mean).map(|(now, then)| now - then).collect();
    let variance = |slopes: &[f64]| known.moves.iter().map(|moved| dot(moved, slopes).powi(2)).sum::<f64>();
    let stiff_slopes = dense(&line.stiff_slopes);
    let stiff_kg_m = line.stiff_kg_m + dot(&stiff_slopes, &shift);
    let stiff_square = stiff_kg_m.powi(2) + variance(&stiff_slopes) + line.stiff_variance;
    let mut slopes = dense(&line.slopes);
    slopes[index] = 1.0;
    let noise_kg_m = (one.pitch_rad * stiff_square.sqrt()).hypot(one.lead_kg * line.per_kg_m);
    let off_kg_m = line.off_kg_m + dot(&slopes, &shift);
    let standard_kg_m = variance(&slopes).sqrt().hypot(noise_kg_m);
    Surprise { slopes, off_kg_m, noise_kg_m, standard_kg_m }
}

/// The distances after it is known that the diver hangs the right way up: what a radian of pitch changes is above zero.
fn upright(line: &Line, joint: &PlaceTies, known: &PlaceTies) -> Option<PlaceTies> {
    let mut slopes = vec![0.0; known.mean.len()];
    line.stiff_slopes.iter().for_each(|(i, slope)| slopes[*i] += slope);
    let shift: f64 =
        known.mean.iter().zip(&joint.mean).zip(&slopes).map(|((now, then), slope)| (now - then) * slope).sum();
    known.above_zero(&slopes, line.stiff_kg_m + shift, line.stiff_variance)
}

/// One check after the other, those left out that contradict the plan, or the checks before them.
pub(super) fn taken_in(
    seen: &[Seen],
    lines: &[Line],
    joint: &PlaceTies,
    places: usize,
) -> (Vec<HungVerdict>, PlaceTies) {
    let mut known = joint.clone();
    let mut verdicts = Vec::with_capacity(seen.len());
    for (k, (one, line)) in seen.iter().zip(lines).enumerate() {
        let by_plan = against(one, line, places + k, joint, joint);
        let residual = if by_plan.standard_kg_m > 0.0 { by_plan.off_kg_m / by_plan.standard_kg_m } else { 0.0 };
        let now = against(one, line, places + k, joint, &known);
        let contradicts = match () {
            () if residual.abs() > CONTRADICTS => Some(Against::Plan),
            () if now.off_kg_m.abs() > CONTRADICTS * now.standard_kg_m => Some(Against::OtherChecks),
            () => None,
        };
        // who hangs at rest lies under the lift: upside down the torque is none either, and nobody hangs so
        let prone = match one.seen {
            HungSeen::Pitch(_) => upright(line, joint, &known),
            HungSeen::Needed(_) => Some(known.clone()),
        };
        let contradicts = contradicts.or(prone.is_none().then_some(Against::Plan));
        if let (None, Some(prone)) = (contradicts, prone) {
            known = prone;
            let now = against(one, line, places + k, joint, &known);
            known = known.knowing(&now.slopes, -now.off_kg_m, now.noise_kg_m);
        }
        let expected = match &one.seen {
            HungSeen::Pitch(_) => HungExpected::Hang(Hang::of(line.moment)),
            HungSeen::Needed(needed) => {
                HungExpected::Needed { lead_kg: needed.lead.value - line.off_kg_m / line.per_kg_m }
            }
        };
        verdicts.push(HungVerdict {
            label: one.label.clone(),
            depth_m: one.check.check.depth_m,
            seen: one.seen.clone(),
            expected,
            off_nm: STANDARD_GRAVITY_M_S2 * line.off_kg_m,
            residual_ratio: residual,
            against: contradicts,
            remark: one.remark.clone(),
        });
    }
    (verdicts, known)
}
