//! Events: moments at which the run changes its course, each located and not stepped over.
//!
//! Between two of them the step from the knot is exact. The ends of legs, the interfaces of the water and the coming and
//! going of cylinders are known from the dive itself ([`crate::scenario::Segment`]); what depends on the gas is looked
//! for here:
//!
//! - a cylinder that is drawn from runs dry;
//! - the wing is full, or empty, or no longer;
//! - the wing turns from being filled to being vented, or back: what is vented is gone, so the way matters;
//! - a bag that was short is no longer, because it swelled or its supply has something to give again.
//!
//! - a cylinder that was dry, and carried deeper, has something to give again;
//! - what expands out of a dry cylinder on the way up becomes as much as is breathed from it;
//! - a loop's oxygen has come down to the setpoint, or the setpoint can be held again, or no longer, for the pressure;
//!   or there is no oxygen left in it.
//!
//! Suit and wing may compete with the diver for what expands out of a dry cylinder; for that there is no event, so such a
//! stretch is halved until halving it again changes nothing.

mod circuit;

use crate::profile::Move;
use crate::rig::{BagControl, CylinderSet, MAX_BAGS, WING};
use crate::scenario::{Scenario, Segment};
use crate::sim::control::{DRY_MOL, Limits, above_ambient_mol};
use crate::sim::locate::{Close, NODES, Quartic, greatest, zero};
use crate::sim::span::CLOSE_S;
use crate::sim::state::{Ambient, Now, State};
use crate::sim::step::step;

/// Something that happened, in order of time.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Event {
    /// When, s.
    pub time_s: f64,
    /// Where, m.
    pub depth_m: f64,
    /// What.
    pub what: Happening,
}

/// What can happen.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Happening {
    /// A cylinder came or went.
    Moved {
        /// Which, by index.
        cylinder: usize,
        /// How.
        kind: Move,
        /// Its own lift at that moment, kg.
        lift_kg: f64,
        /// Net lift of the diver before, kg.
        net_before_kg: f64,
        /// Net lift of the diver after, before suit and wing answer, kg.
        net_after_kg: f64,
        /// Wing volume before, m³.
        wing_before_m3: f64,
        /// Wing volume after the wing answered, m³.
        wing_after_m3: f64,
    },
    /// A leg asked for more gas than its source had; told once for a source.
    OutOfGas {
        /// The cylinders it breathed.
        source: CylinderSet,
        /// The leg in which that began, by index.
        leg: usize,
        /// Gas that was asked for and not there, until the end of the dive, as a volume at one atmosphere, m³.
        missing_m3: f64,
    },
    /// The suit fell below its gas volume because its supply was empty or not carried.
    SuitSupplyEmpty,
    /// The loop's oxygen fell below its setpoint because the oxygen was used up or not carried.
    OxygenOut,
    /// The loop could not be kept full because the diluent was used up or not carried.
    DiluentOut,
    /// The wing could not hold the diver neutral: at its capacity, or its supply empty or not carried.
    WingShort,
}

impl Happening {
    /// Whether gas that the plan breathes was not there: out of a cylinder, or in a loop.
    pub fn is_out_of_gas(&self) -> bool {
        matches!(self, Self::OutOfGas { .. } | Self::OxygenOut | Self::DiluentOut)
    }
}

/// Times closer than this are the same, s.
pub(super) const SAME_TIME_S: f64 = 1e-6;
/// A gas volume of the wing that is none, m³: a milligram of lift.
const NO_VOLUME_M3: f64 = 1e-9;

/// Looks for events between a knot and the end of a stretch.
pub(super) struct Search<'a> {
    pub scenario: &'a Scenario,
    pub segment: &'a Segment,
    pub knot: &'a Now,
    /// moments from the knot to the end
    pub nodes: &'a [Now],
    /// steps made, for the count of the run
    pub steps: &'a std::cell::Cell<usize>,
}

impl Search<'_> {
    /// The first event, s.
    pub fn first_s(&self) -> Option<f64> {
        let found = [
            self.dry(),
            self.wing_edges(),
            self.wing_turns(),
            self.short_no_more(),
            self.opens_again(),
            self.enough_expands(),
            self.setpoint_met_s(),
            self.setpoint_possible_s(),
            self.oxygen_gone_s(),
            self.dry_on_the_way_up(),
        ];
        found.into_iter().flatten().reduce(f64::min)
    }

    fn step(&self, time_s: f64, limits: Limits) -> Now {
        self.steps.set(self.steps.get() + 1);
        step(self.scenario, self.segment, self.knot, time_s, limits)
    }

    fn end(&self) -> &Now {
        &self.nodes[self.nodes.len() - 1]
    }

    /// How closely a moment is located, given as a gas volume of the run's tolerance in lift, in the unit of what is looked
    /// at. A hundredth of a second would not do here: a suit takes several millilitres in it, which are grams of lift.
    fn close(&self, value: f64) -> Close {
        Close::to(SAME_TIME_S, 0.1 * value)
    }

    /// The gas volume whose lift is the run's tolerance, m³.
    fn tolerance_m3(&self) -> f64 {
        self.scenario.settings().tolerance_kg / self.knot.balance.water_kg_m3
    }

    /// Cylinders that are drawn from.
    fn drawn(&self) -> CylinderSet {
        let bags = self.scenario.gases().bags.iter().flatten();
        bags.fold(self.segment.source, |set, bag| set.or(bag.bag.supply())).and(self.knot.state.carried)
    }

    /// Cylinders that are breathed, or feed a loop that is.
    fn breathed(&self) -> CylinderSet {
        let fed = self.scenario.rig().breathing_loop.filter(|_| self.segment.on_loop.is_some());
        let fed = fed.map_or(CylinderSet::EMPTY, |circuit| circuit.supply());
        self.segment.source.or(fed).and(self.knot.state.carried)
    }

    /// A cylinder runs dry. A cylinder only ever loses gas, so one that in the end holds more than the deepest water of
    /// the stretch asks for was never dry.
    fn dry(&self) -> Option<f64> {
        let (knot, end) = (self.knot, self.end());
        let deepest = if end.ambient.pressure_pa > knot.ambient.pressure_pa { &end.ambient } else { &knot.ambient };
        let above_mol = |state: &State, i: usize, ambient| above_ambient_mol(self.scenario, state, i, ambient);
        let is_near = |i: &usize| above_mol(&end.state, *i, deepest) <= DRY_MOL;
        if !self.drawn().iter().any(|i| is_near(&i)) {
            return None;
        }
        let open = self.drawn().iter().filter(|&i| above_mol(&knot.state, i, &knot.ambient) > DRY_MOL);
        let open = CylinderSet::of(open);
        let near = CylinderSet::of(open.iter().filter(is_near));
        if near.is_empty() {
            return None;
        }
        let rest = |now: &Now| {
            let each = near.iter().map(|i| above_ambient_mol(self.scenario, &now.state, i, &now.ambient));
            each.fold(f64::INFINITY, f64::min)
        };
        let mut before = (knot.state.time_s, rest(knot));
        for node in &self.nodes[1..] {
            let time_s = node.state.time_s;
            let here = (time_s, rest(&self.step(time_s, Limits::Free(open))));
            if here.1 < 0.0 {
                let gas_mol_m3 =
                    near.iter().map(|i| node.ambient.gas_mol_m3(self.scenario, i)).fold(f64::INFINITY, f64::min);
                let close = self.close(self.tolerance_m3() * gas_mol_m3);
                let look = |t: f64| Ok::<_, std::convert::Infallible>(rest(&self.step(t, Limits::Free(open))));
                let Ok(time_s) = zero(before, here, close, look);
                return Some(time_s);
            }
            before = here;
        }
        None
    }

    /// The wing becomes full or empty, or stops being so.
    fn wing_edges(&self) -> Option<f64> {
        let capacity_m3 = self.scenario.gases().bags[WING].as_ref()?.bag.capacity_m3();
        [NO_VOLUME_M3, capacity_m3 + NO_VOLUME_M3]
            .into_iter()
            .filter_map(|edge_m3| {
                let past = |now: &Now| now.balance.need_m3 - edge_m3;
                let mut pairs = self.nodes.windows(2);
                let pair = pairs.find(|pair| (past(&pair[0]) > 0.0) != (past(&pair[1]) > 0.0))?;
                Some(self.zero_between_s(pair, self.close(self.tolerance_m3()), past))
            })
            .reduce(f64::min)
    }

    /// The wing turns from being filled to being vented, or back.
    fn wing_turns(&self) -> Option<f64> {
        let bag = self.scenario.gases().bags[WING].as_ref()?;
        if self.nodes.len() < NODES.len() {
            return None; // on the level the diver only becomes lighter
        }
        let inside = |now: &Now| now.balance.need_m3 > NO_VOLUME_M3 && now.balance.need_m3 < bag.bag.capacity_m3();
        if !self.nodes.iter().any(inside) {
            return None;
        }
        let held_kg = |now: &Now| now.balance.bags[WING].mass_kg;
        let quartic = Quartic::through(std::array::from_fn(|i| held_kg(&self.nodes[i])));
        // Gas that a turn overlooked leaves in its supply is missed as a volume once that runs dry: the tolerance is one
        // of lift, which is hundreds of times the mass of the gas.
        let gas_kg_m3 = self.nodes.iter().filter(|now| inside(now)).map(|now| {
            let wing = now.balance.bags[WING];
            wing.mass_kg / wing.volume_m3.max(NO_VOLUME_M3)
        });
        let slack_kg = 0.1 * self.tolerance_m3() * gas_kg_m3.fold(f64::INFINITY, f64::min);
        let turn = quartic.flats().find(|&share| {
            let off = |end: f64| (quartic.at(share) - quartic.at(end)).abs();
            off(0.0).min(off(1.0)) > slack_kg
        })?;
        let is_top = quartic.at(turn) > quartic.at(0.0);
        let (from_s, length_s) = (self.knot.state.time_s, self.end().state.time_s - self.knot.state.time_s);
        let after = NODES.iter().position(|node| *node > turn).unwrap_or(NODES.len() - 1).max(1);
        // a node more on either side: the quartic may have the turn on the wrong side of one
        let (low, high) = (after.saturating_sub(2), (after + 1).min(NODES.len() - 1));
        let time = |share: f64| from_s + share * length_s;
        let sign = if is_top { 1.0 } else { -1.0 };
        let mass = |t: f64| held_kg(&self.step(t, Limits::Real)) * sign;
        let ends = [low, high].map(|i| (time(NODES[i]), held_kg(&self.nodes[i]) * sign));
        let (turn_s, most_kg) = greatest(ends, time(turn), CLOSE_S, mass);
        // a kink later in the stretch bends the quartic where nothing turns
        let is_turn = ends.iter().all(|(_, end_kg)| most_kg > end_kg + slack_kg);
        is_turn.then_some(turn_s)
    }

    /// A bag that was short has what it should again.
    fn short_no_more(&self) -> Option<f64> {
        (0..MAX_BAGS)
            .filter_map(|index| {
                let bag = self.scenario.gases().bags[index].as_ref()?;
                // what a wing that is too small lacks beyond its capacity is no shortage that gas could end
                let short_m3 = |now: &Now| {
                    let aim_m3 = match bag.bag.control() {
                        BagControl::KeepVolume { volume_m3 } | BagControl::Breathed { volume_m3 } => volume_m3,
                        BagControl::HoldNeutral => now.balance.need_m3.clamp(0.0, bag.bag.capacity_m3()),
                    };
                    aim_m3 - now.balance.bags[index].volume_m3
                };
                let is_short = |now: &Now| short_m3(now) > NO_VOLUME_M3;
                let pair = self.nodes.windows(2).find(|pair| is_short(&pair[0]) && !is_short(&pair[1]))?;
                let missing = |now: &Now| {
                    if is_short(now) {
                        return short_m3(now);
                    }
                    // what could still come out of the supply, and what has swelled past the aim
                    let supply = bag.bag.supply().and(now.state.carried).iter();
                    let spare_m3: f64 = supply
                        .map(|i| {
                            let mol = above_ambient_mol(self.scenario, &now.state, i, &now.ambient).max(0.0);
                            mol / now.ambient.gas_mol_m3(self.scenario, i)
                        })
                        .sum();
                    let swelled = now.ambient.bag(self.scenario, index, &self.knot.state.bag_mol[index]);
                    -(spare_m3 + (swelled.volume_m3 - now.balance.bags[index].volume_m3).max(0.0))
                };
                Some(self.zero_between_s(pair, self.close(self.tolerance_m3()), missing))
            })
            .reduce(f64::min)
    }

    /// A cylinder that is breathed and was carried deeper after it ran dry has something to give again. What was asked of
    /// it before that moment is not owed.
    fn opens_again(&self) -> Option<f64> {
        let (scenario, knot) = (self.scenario, self.knot);
        if self.end().state.depth_m >= knot.state.depth_m {
            return None; // deeper, it only has less
        }
        let shut =
            self.breathed().iter().filter(|&i| above_ambient_mol(scenario, &knot.state, i, &knot.ambient) < -DRY_MOL);
        shut.filter_map(|i| {
            let above = |now: &Now| above_ambient_mol(scenario, &knot.state, i, &now.ambient);
            let pair = self.nodes.windows(2).find(|pair| above(&pair[0]) < 0.0 && above(&pair[1]) >= 0.0)?;
            Some(self.zero_between_s(pair, self.close(DRY_MOL), above))
        })
        .reduce(f64::min)
    }

    /// What expands out of dry cylinders on the way up becomes as much as is breathed from them: from then on gas stays
    /// behind. A cylinder at ambient pressure gives `V·|dρₘ/dt|`, which as a volume is `V·|dρₘ/dt|/ρₘ`; it grows on the
    /// way up, for the density falls. Where no other cylinder is breathed, what all of them give together counts; else
    /// the others fill up what one cannot give, and each has its own share to meet.
    fn enough_expands(&self) -> Option<f64> {
        const STEP_M: f64 = 0.01;
        let segment = self.segment;
        let source = segment.source.and(self.knot.state.carried);
        let is_dry = |i: &usize| above_ambient_mol(self.scenario, &self.knot.state, *i, &self.knot.ambient) <= DRY_MOL;
        let speed_m_s = (segment.start_m - segment.end_m) / (segment.end_s - segment.start_s);
        if segment.rate_m3_s <= 0.0 || speed_m_s <= 0.0 {
            return None;
        }
        let dry = CylinderSet::of(source.iter().filter(is_dry));
        if dry.is_empty() {
            return None;
        }
        let missing = |now: &Now| {
            let above = Ambient::at(self.scenario, segment.layer, now.state.depth_m - STEP_M);
            let each = dry.iter().map(|i| {
                let [here, there] = [&now.ambient, &above].map(|ambient| ambient.gas_mol_m3(self.scenario, i));
                self.scenario.gases().quick[i].water_m3 * (here - there) / here * speed_m_s / STEP_M
            });
            if dry == source {
                segment.rate_m3_s - each.sum::<f64>()
            } else {
                segment.rate_m3_s / source.len() as f64 - each.fold(0.0, f64::max)
            }
        };
        let pair = self.nodes.windows(2).find(|pair| missing(&pair[0]) > 0.0 && missing(&pair[1]) <= 0.0)?;
        Some(self.zero_between_s(pair, Close::to(SAME_TIME_S, 0.0), missing))
    }

    /// When a value of the moment, of unlike signs at two nodes that follow one another, is zero between them.
    fn zero_between_s(&self, pair: &[Now], close: Close, value: impl Fn(&Now) -> f64) -> f64 {
        let ends = [&pair[0], &pair[1]].map(|now| (now.state.time_s, value(now)));
        let look = |t: f64| Ok::<_, std::convert::Infallible>(value(&self.step(t, Limits::Real)));
        let Ok(time_s) = zero(ends[0], ends[1], close, look);
        time_s
    }

    /// Halves a stretch on which a dry cylinder is breathed on the way up, until halving changes nothing.
    fn dry_on_the_way_up(&self) -> Option<f64> {
        let (knot, end) = (self.knot, self.end());
        let source = self.breathed();
        let is_dry = |i: usize| above_ambient_mol(self.scenario, &knot.state, i, &knot.ambient) <= DRY_MOL;
        let is_up = end.state.depth_m < knot.state.depth_m;
        let length_s = end.state.time_s - knot.state.time_s;
        let is_used = self.segment.rate_m3_s > 0.0 || self.segment.on_loop.is_some();
        if !is_up || !is_used || length_s <= CLOSE_S || !source.iter().any(is_dry) {
            return None;
        }
        let middle_s = knot.state.time_s + 0.5 * length_s;
        let middle = self.step(middle_s, Limits::Real);
        self.steps.set(self.steps.get() + 1);
        let twice = step(self.scenario, self.segment, &middle, end.state.time_s, Limits::Real);
        // its share of the dive, so that all halves together stay within the whole
        let share = length_s / self.scenario.profile().end_s();
        let slack_kg = 0.1 * share * self.scenario.settings().tolerance_kg;
        let differs = |a: f64, b: f64| (a - b).abs() > slack_kg;
        let cylinders = (0..self.scenario.rig().cylinders.len()).any(|i| {
            let molar_kg = self.scenario.molar_kg_mol(i);
            differs(end.state.cylinder_mol[i] * molar_kg, twice.state.cylinder_mol[i] * molar_kg)
        });
        let water_kg_m3 = end.balance.water_kg_m3;
        let bags = (0..MAX_BAGS).any(|i| {
            let lifts_kg = [end, &twice].map(|now| water_kg_m3 * now.balance.bags[i].volume_m3);
            differs(lifts_kg[0], lifts_kg[1])
        });
        (cylinders || bags || differs(end.state.vented.mass_kg(), twice.state.vented.mass_kg())).then_some(middle_s)
    }
}
