//! The control band: how far the diver may drift up or down before the lungs can no longer trim it.

use crate::physics::foam::{FOAM_REFERENCE_PA, Foam};
use crate::scenario::Scenario;
use crate::sim::{Now, Sample};
use crate::units::STANDARD_GRAVITY_M_S2;

/// How far up and down the diver may drift, m.
///
/// With a compressible gas volume `V` (wing, suit, foam) and the lung trim `L`, both at ambient pressure `p`: upwards
/// `p/(ρg)·L/(V + L)`, downwards `p/(ρg)·L/(V − L)`. They follow from Boyle's law: the depth change at which the gas has
/// swollen or shrunk by `L`. On a loop a breath only moves gas between lungs and counterlungs: `L` is the loop's play,
/// which is none unless the plan gives one, and the gas of loop and lungs is part of `V`. Where the rubber of foam carries
/// a part of the squeeze, that depth is looked for with the foam's own equation.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Band {
    /// Compressible gas volume, m³.
    pub gas_m3: f64,
    /// Upwards, m; never past the surface.
    pub up_m: f64,
    /// Downwards, m; `None` when the lungs can trim any squeeze (`V ≤ L`).
    pub down_m: Option<f64>,
}

impl Band {
    /// The band of a row.
    pub fn of(scenario: &Scenario, row: &Sample) -> Self {
        let foams = &scenario.fixed().foams;
        let foam_m3 = foams.iter().map(|foam| foam.compressible_m3(row.ambient_pa)).sum::<f64>();
        let bags_m3 = row.wing_m3 + row.suit_m3 + row.loop_m3 + scenario.kept_breath_m3(row.time_s);
        let gas_m3 = bags_m3 + foam_m3;
        let pa_per_m = row.water_kg_m3 * STANDARD_GRAVITY_M_S2;
        let trim_m3 = scenario.breath_trim_m3(row.time_s);
        let usual = Self::from_gas(gas_m3, trim_m3, row.ambient_pa / pa_per_m, row.depth_m);
        if foams.iter().all(|foam| foam.compliance_frac == 1.0) {
            return usual;
        }
        // foam whose rubber carries a part of the squeeze obeys Boyle at a higher pressure: β·p + (1 − β)·p₀ over β
        let bubble = |foam: &Foam| Bubble {
            volume_m3: foam.gas_m3(row.ambient_pa),
            pressure_pa: row.ambient_pa + FOAM_REFERENCE_PA * (1.0 - foam.compliance_frac) / foam.compliance_frac,
        };
        let mut bubbles: Vec<Bubble> = foams.iter().filter(|foam| foam.compliance_frac > 0.0).map(bubble).collect();
        bubbles.push(Bubble { volume_m3: bags_m3, pressure_pa: row.ambient_pa });
        let up_m = swelling_pa(&bubbles, trim_m3).map_or(row.depth_m, |pa| (pa / pa_per_m).min(row.depth_m));
        let down_m = shrinking_pa(&bubbles, trim_m3).map(|pa| pa / pa_per_m);
        Self { gas_m3, up_m, down_m }
    }

    /// The band of a moment.
    pub fn of_now(scenario: &Scenario, now: &Now) -> Self {
        Self::of(scenario, &Sample::of(now, 0))
    }

    /// The band from the gas volume, the lung trim, the pressure head `p/(ρg)` and the depth.
    ///
    /// ```
    /// use lightpoint::Band;
    /// // 4 L of gas and 1 L of trim under 20 m of head: a fifth up, a third down
    /// let band = Band::from_gas(0.004, 0.001, 20.0, 10.0);
    /// assert!((band.up_m - 4.0).abs() < 1e-12);
    /// assert!((band.down_m.unwrap() - 20.0 / 3.0).abs() < 1e-12);
    /// ```
    pub fn from_gas(gas_m3: f64, lung_trim_m3: f64, head_m: f64, depth_m: f64) -> Self {
        let both_m3 = gas_m3 + lung_trim_m3;
        let up_m = if both_m3 > 0.0 { (head_m * lung_trim_m3 / both_m3).min(depth_m) } else { depth_m };
        let down_m = (gas_m3 > lung_trim_m3).then(|| head_m * lung_trim_m3 / (gas_m3 - lung_trim_m3));
        Self { gas_m3, up_m, down_m }
    }
}

/// Gas that obeys Boyle's law at some pressure.
#[derive(Clone, Copy)]
struct Bubble {
    volume_m3: f64,
    pressure_pa: f64,
}

/// Newton's steps after which a band is as exact as numbers are; four to six are usual.
const STEPS: usize = 40;

/// Fall of pressure at which bubbles have swollen by a volume, Pa: `Σ V·x/(P − x) = L`. The sum is convex in `x`, so
/// Newton's steps from the right come down to the root and never pass it. `None` without anything that swells.
fn swelling_pa(bubbles: &[Bubble], by_m3: f64) -> Option<f64> {
    let gas_m3: f64 = bubbles.iter().map(|bubble| bubble.volume_m3).sum();
    if gas_m3 <= 0.0 {
        return None;
    }
    let filled = || bubbles.iter().filter(|bubble| bubble.volume_m3 > 0.0);
    let (least_pa, most_pa) = filled()
        .fold((f64::INFINITY, 0.0), |(low, high): (f64, f64), b| (low.min(b.pressure_pa), high.max(b.pressure_pa)));
    // all of it at the highest of the pressures would swell least; nothing swells past its own pressure
    let mut fall_pa = (most_pa * by_m3 / (gas_m3 + by_m3)).min(least_pa * (1.0 - 1e-9));
    for _ in 0..STEPS {
        let (mut swollen_m3, mut slope) = (0.0, 0.0);
        for bubble in filled() {
            let left_pa = bubble.pressure_pa - fall_pa;
            swollen_m3 += bubble.volume_m3 * fall_pa / left_pa;
            slope += bubble.volume_m3 * bubble.pressure_pa / (left_pa * left_pa);
        }
        fall_pa -= (swollen_m3 - by_m3) / slope;
    }
    Some(fall_pa)
}

/// Rise of pressure at which bubbles have shrunk by a volume, Pa: `Σ V·x/(P + x) = L`. The sum is concave in `x`, so
/// Newton's steps from zero go up to the root and never pass it. `None` where all of it is no more than that volume.
fn shrinking_pa(bubbles: &[Bubble], by_m3: f64) -> Option<f64> {
    let gas_m3: f64 = bubbles.iter().map(|bubble| bubble.volume_m3).sum();
    if gas_m3 <= by_m3 {
        return None;
    }
    let mut rise_pa = 0.0;
    for _ in 0..STEPS {
        let (mut shrunk_m3, mut slope) = (0.0, 0.0);
        for bubble in bubbles {
            let there_pa = bubble.pressure_pa + rise_pa;
            shrunk_m3 += bubble.volume_m3 * rise_pa / there_pa;
            slope += bubble.volume_m3 * bubble.pressure_pa / (there_pa * there_pa);
        }
        rise_pa -= (shrunk_m3 - by_m3) / slope;
    }
    Some(rise_pa)
}

#[cfg(test)]
mod tests {
    use super::*;

    // What a wing of 5 L and a suit's foam whose rubber carries four tenths of the squeeze do, tried pressure by pressure
    // with the foam's own equation.
    #[test]
    fn stiff_foam_narrows_the_band_as_its_equation_says() {
        let foam = Foam { volume0_m3: 0.008, gas_frac: 0.75, compliance_frac: 0.6 };
        let (p, trim_m3) = (2.5e5, 0.001);
        let bubbles = [
            Bubble { volume_m3: 0.005, pressure_pa: p },
            Bubble { volume_m3: foam.gas_m3(p), pressure_pa: p + FOAM_REFERENCE_PA * 0.4 / 0.6 },
        ];
        let change = |there: f64| 0.005 * p / there + foam.volume_m3(there) - 0.005 - foam.volume_m3(p);
        let up = swelling_pa(&bubbles, trim_m3).unwrap();
        let down = shrinking_pa(&bubbles, trim_m3).unwrap();
        // a cubic millimetre of a litre
        assert!((change(p - up) - trim_m3).abs() < 1e-9, "{up}");
        assert!((change(p + down) + trim_m3).abs() < 1e-9, "{down}");
    }

    #[test]
    fn boyle_alone_gives_the_closed_form() {
        let bubbles = [Bubble { volume_m3: 0.004, pressure_pa: 2e5 }];
        assert!((swelling_pa(&bubbles, 0.001).unwrap() - 2e5 / 5.0).abs() < 1e-6);
        assert!((shrinking_pa(&bubbles, 0.001).unwrap() - 2e5 / 3.0).abs() < 1e-6);
        assert!(shrinking_pa(&bubbles, 0.005).is_none());
        assert!(swelling_pa(&[], 0.001).is_none());
    }
}
