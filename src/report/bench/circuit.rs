//! The breathing loop at a moment: its oxygen against the setpoint and the limits, its absorbent.

use serde::Serialize;

use crate::findings::circuit::{LEAST_OXYGEN_PA, MOST_OXYGEN_PA, absorbed_mol};
use crate::report::bench::{Mark, Shown};
use crate::report::circuit::partial;
use crate::report::json::round;
use crate::report::measure::fixed;
use crate::rig::LOOP;
use crate::scenario::Scenario;
use crate::sim::circuit::oxygen_pa;
use crate::sim::{Now, Trace};
use crate::units::BAR_PA;

/// A loop at a moment; partial pressures in bar for every reader.
#[derive(Serialize)]
pub(super) struct LoopAt {
    /// its gas
    volume: f64,
    is_breathed: bool,
    oxygen_bar: f64,
    setpoint_bar: Option<f64>,
    least_bar: f64,
    most_bar: f64,
    /// share of what the absorbent can take up that is used; `None` where nobody says
    absorbent_frac: Option<f64>,
    mark: Mark,
    text: String,
    /// the same without the oxygen, which a gauge shows
    rest: String,
}

/// At a moment; `None` without a loop.
pub(super) fn loop_at(shown: Shown, scenario: &Scenario, trace: &Trace, now: &Now) -> Option<LoopAt> {
    let circuit = scenario.rig().breathing_loop?;
    let time_s = now.state.time_s;
    let leg = scenario.profile().legs().get(trace.span_at(time_s).segment.leg);
    let is_breathed = leg.is_some_and(|leg| leg.loop_mol_s.is_some());
    let oxygen_pa = oxygen_pa(now);
    let setpoint_pa = scenario.profile().setpoint_pa(time_s).filter(|_| is_breathed);
    let absorbent_frac = circuit.absorbs_mol.map(|absorbs_mol| absorbed_mol(&circuit, now) / absorbs_mol);
    let is_outside = is_breathed && !(LEAST_OXYGEN_PA..=MOST_OXYGEN_PA).contains(&oxygen_pa);
    let is_spent = is_breathed && absorbent_frac.is_some_and(|share| share > 1.0);
    let bar = |pa: f64| round(pa / BAR_PA, 4);
    let oxygen = format!("oxygen {}", partial(oxygen_pa));
    let setpoint = setpoint_pa.map(|pa| format!("setpoint {}", partial(pa)));
    let absorbent = absorbent_frac.map(|share| match share > 1.0 {
        true => "absorbent used up".to_owned(),
        false => format!("absorbent {} % used", fixed(100.0 * share, 0)),
    });
    let rest: Vec<String> = setpoint.into_iter().chain(absorbent).collect();
    let state = (!is_breathed).then(|| "not breathed".to_owned());
    Some(LoopAt {
        volume: shown.volume(now.balance.bags[LOOP].volume_m3),
        is_breathed,
        oxygen_bar: bar(oxygen_pa),
        setpoint_bar: setpoint_pa.map(bar),
        least_bar: bar(LEAST_OXYGEN_PA),
        most_bar: bar(MOST_OXYGEN_PA),
        absorbent_frac: absorbent_frac.map(|share| round(share, 4)),
        mark: if is_outside || is_spent { Mark::Breach } else { Mark::None },
        text: state.into_iter().chain([oxygen]).chain(rest.iter().cloned()).collect::<Vec<_>>().join("; "),
        rest: rest.join("; "),
    })
}
