//! The breathing rate of each leg: its own, that of its kind, or a typical one.

use super::Builder;
use super::bail_out::Breathed;
use super::course::{Course, Place, keyed};
use crate::plan::inputs::{Group, Limit, Shared};
use crate::plan::key::Key;
use crate::plan::problem::ProblemCode;
use crate::plan::typical::dive::RATES;
use crate::profile::{Leg, MAX_RATE_M3_S};
use crate::rig::CylinderSet;

/// Rates that a leg may have.
const RATE: Limit = Limit::Within(0.0, MAX_RATE_M3_S);
/// Rates of one diver err together.
const BREATHING: Group<'static> = Some(("breathing", ""));
/// A leg slower than this is level when its rate is chosen, m/s: half a metre a minute. A logged profile wanders.
const LEVEL_M_S: f64 = 0.5 / 60.0;

impl<'p> Builder<'p, '_> {
    /// The legs with their rates.
    pub(super) fn rated(&mut self, course: &Course<'p>) -> Vec<Leg> {
        let deepest_m = course.legs.iter().map(|leg| leg.end_m).fold(course.start_m, f64::max);
        let last_deep = course.legs.iter().rposition(|leg| leg.end_m >= deepest_m);
        let mut start = (0.0, course.start_m);
        let mut untold = true;
        // of a leg that is cut its own rate is asked for once
        let mut own_m3_s: Option<f64> = None;
        let mut legs = Vec::with_capacity(course.legs.len());
        for (i, leg) in course.legs.iter().enumerate() {
            let slope_m_s = (leg.end_m - start.1) / (leg.end_s - start.0);
            let kind = match slope_m_s {
                s if s > LEVEL_M_S => "descent",
                s if s < -LEVEL_M_S => "ascent",
                _ if last_deep.is_some_and(|last| i > last) => "stop",
                _ => "bottom",
            };
            start = (leg.end_s, leg.end_m);
            own_m3_s = own_m3_s.filter(|_| leg.is_rest);
            if leg.source == Breathed::Loop {
                let loop_mol_s = Some(self.oxygen_use_mol_s(kind));
                legs.push(Leg {
                    end_s: leg.end_s,
                    end_m: leg.end_m,
                    source: CylinderSet::EMPTY,
                    rate_m3_s: 0.0,
                    loop_mol_s,
                });
                continue;
            }
            let rate_m3_s = match (own_m3_s, leg.rate) {
                (Some(rate_m3_s), _) => rate_m3_s,
                (None, Some(rate)) => keyed(leg.place, "rate", |at| self.inputs.take(at, rate, RATE, BREATHING)),
                (None, None) => self.rate_of_kind(kind, leg.place, &mut untold),
            };
            own_m3_s = leg.rate.map(|_| rate_m3_s);
            let source = leg.source.cylinders();
            legs.push(Leg { end_s: leg.end_s, end_m: leg.end_m, source, rate_m3_s, loop_mol_s: None });
        }
        legs
    }

    fn rate_of_kind(&mut self, kind: &'static str, place: Place, untold: &mut bool) -> f64 {
        let plan = self.plan;
        let root = Key::Root;
        let table = root.field("breathing");
        let breathing = plan.file.breathing.as_ref();
        if breathing.is_none() && !self.inputs.touched(table) {
            return self.usual_rate(table, kind);
        }
        let of_kind = breathing.and_then(|rates| match kind {
            "descent" => rates.descent.as_ref(),
            "ascent" => rates.ascent.as_ref(),
            "stop" => rates.stop.as_ref(),
            _ => rates.bottom.as_ref(),
        });
        let (key, rate) = match (of_kind, breathing.and_then(|rates| rates.rate.as_ref())) {
            (Some(rate), _) => (kind, rate),
            (None, Some(rate)) => ("rate", rate),
            (None, None) => {
                // one word about the missing table is enough for all legs
                if std::mem::take(untold) && !self.inputs.touched(table) {
                    keyed(place, "rate", |at| {
                        self.inputs.fault(ProblemCode::NoRate, at, || {
                            let help = "write [breathing] with rate = \"18 L/min\" (at ambient pressure), or a rate in the leg".into();
                            (format!("no breathing rate for this leg ({kind})"), Some(help))
                        });
                    });
                }
                return f64::NAN;
            }
        };
        self.inputs.once(Shared::Rate(key), |inputs| {
            inputs.about("breathing");
            inputs.take(table.field(key), rate, RATE, BREATHING)
        })
    }

    /// The rate of a plan that writes none; those of one diver err together.
    fn usual_rate(&mut self, table: Key, kind: &'static str) -> f64 {
        let typical = RATES.iter().find(|(name, _)| *name == kind).map(|(_, rate)| rate);
        typical.map_or(f64::NAN, |rate| {
            self.inputs.about("");
            // a drawn diver breathes no less than nothing
            self.inputs.typical_in(table.field(kind), rate, BREATHING).max(0.0)
        })
    }
}
