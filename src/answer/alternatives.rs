//! Other rigs worth trying when no lead is right: the plan with one piece of another material.

use crate::answer::Ready;
use crate::plan::Plan;
use crate::plan::catalogue::{Size, size, sizes};
use crate::plan::typical::material;
use crate::study::Alternative;

/// Water capacities that count as one size: a tenth apart.
const SAME_SIZE_FRAC: f64 = 0.10;
/// The step to another size of one material: up to three tenths.
const NEXT_SIZE_FRAC: f64 = 0.30;

/// The alternatives of a plan that can be built. One that cannot (a cylinder whose figures are its own, a fill above
/// what a size is made for) is left out.
pub fn alternatives(plan: &Plan) -> Vec<Alternative> {
    let mut asked: Vec<(String, Vec<(String, String)>)> = Vec::new();
    for (i, cylinder) in plan.file().cylinder.iter().enumerate() {
        let (Some(name), Some(own)) = (&cylinder.name, cylinder.size.as_deref().and_then(size)) else { continue };
        let key = format!("cylinder[{}].size", i + 1);
        for other in others(own) {
            asked.push((
                format!("{name}: {} instead of {}", other.name, own.name),
                vec![(key.clone(), other.name.clone())],
            ));
        }
    }
    for (i, part) in plan.file().part.iter().enumerate() {
        let (Some(name), Some(own)) = (&part.name, part.material.as_deref()) else { continue };
        let mass = part.mass.as_ref().and_then(|mass| mass.estimate().ok());
        let (Some(mass), Some(density), Some(light)) = (mass, material(own), material("aluminium")) else { continue };
        if !own.contains("steel") {
            continue;
        }
        // the same piece, which has the same volume
        let other_kg = mass.value * light.estimate.value / density.estimate.value;
        let key = |field: &str| format!("part[{}].{field}", i + 1);
        let sets = vec![(key("material"), "aluminium".to_owned()), (key("mass"), format!("{other_kg:.3} kg"))];
        asked.push((format!("{name} of aluminium instead of {own}"), sets));
    }
    asked
        .into_iter()
        .filter_map(|(label, sets)| {
            Some(Alternative { label, scenario: Ready::of(&plan.with_sets(&sets).ok()?).ok()?.built.scenario })
        })
        .collect()
}

/// Sizes to try instead of one: the nearest of the same capacity in another material, and the next size up and down in
/// the same one.
fn others(own: &Size) -> Vec<&'static Size> {
    let alike =
        |other: &&Size| other.count == own.count && other.name != own.name && other.working_pa >= 0.85 * own.working_pa;
    let ratio = |other: &Size| other.water_m3 / own.water_m3;
    let distance = |other: &&Size| (ratio(other).ln().abs() * 1e9) as u64;
    let material = sizes()
        .iter()
        .filter(alike)
        .filter(|other| other.material != own.material && ratio(other).ln().abs() <= SAME_SIZE_FRAC)
        .min_by_key(distance);
    let same = || sizes().iter().filter(alike).filter(|other| other.material == own.material);
    let up = same()
        .filter(|o| ratio(o) > 1.0 + SAME_SIZE_FRAC / 2.0 && ratio(o) <= 1.0 + NEXT_SIZE_FRAC)
        .min_by_key(distance);
    let down = same()
        .filter(|o| ratio(o) < 1.0 - SAME_SIZE_FRAC / 2.0 && ratio(o) >= 1.0 - NEXT_SIZE_FRAC)
        .min_by_key(distance);
    [material, up, down].into_iter().flatten().collect()
}
