//! Where the diver hangs: the torque of a diver held level, the pitch at rest, and what tips the diver when.
//!
//! Every thing on the diver pulls at its place ([`crate::sim::terms::terms`]); what the diver lacks to neutral acts at the
//! lungs, because breathing trims it. Lifts then sum to zero, and the moment does not depend on the origin:
//!
//! ```text
//! M = Σ (ρ·V·r_V − m·r_m) − (Σ b)·r_lungs
//! ```
//!
//! The diver is level and at rest, the gas of suit and wing in the middle of where it lies: gas that runs to the higher
//! end when the diver tips is left out.

use crate::physics::bulk::Bulk;
use crate::physics::foam::Foam;
use crate::physics::place::{Arms, Centres, Moment, Point};
use crate::rig::{Body, BreathingLoop, MAX_BAGS};
use crate::scenario::Scenario;
use crate::sim::terms::{taken_up_kg, terms};
use crate::sim::{Now, Owner, Term, Trace};
use crate::units::ATMOSPHERE_PA;

/// Pitches for which an angle at rest is told, rad: within 30° of level. Beyond it a body bends, and gas runs to the other
/// end.
pub const TOLD_RAD: f64 = std::f64::consts::FRAC_PI_6;

/// How a diver hangs at rest.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Hang {
    /// At a pitch from prone within [`TOLD_RAD`], rad: head up positive.
    At(f64),
    /// Head up, steeper than is told.
    HeadUp,
    /// Head down, steeper than is told.
    HeadDown,
    /// Not prone at all: the lift lies nearer to the chest than the weight, and turns the diver onto the back.
    OnBack,
}

impl Hang {
    /// How a diver of this moment hangs.
    pub fn of(moment: Moment) -> Self {
        let pitch_rad = moment.pitch_rad();
        match pitch_rad {
            _ if moment.up_kg_m <= 0.0 => Self::OnBack,
            pitch_rad if pitch_rad.abs() <= TOLD_RAD => Self::At(pitch_rad),
            pitch_rad if pitch_rad > 0.0 => Self::HeadUp,
            _ => Self::HeadDown,
        }
    }
}

/// The diver's trim at a moment.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TrimAt {
    /// When, s.
    pub time_s: f64,
    /// Where, m.
    pub depth_m: f64,
    /// Moment of everything, what lacks to neutral acting at the lungs.
    pub moment: Moment,
}

impl TrimAt {
    fn of(now: &Now, moment: Moment) -> Self {
        Self { time_s: now.state.time_s, depth_m: now.state.depth_m, moment }
    }

    /// Torque of a diver held level, N·m: positive lifts the head, so the feet are the heavy end.
    pub fn torque_nm(&self) -> f64 {
        self.moment.pitch_torque_nm()
    }

    /// Torque about the axis along the body, N·m: positive lifts the left side.
    pub fn roll_nm(&self) -> f64 {
        self.moment.roll_torque_nm()
    }

    /// How the diver hangs at rest.
    pub fn hang(&self) -> Hang {
        Hang::of(self.moment)
    }
}

/// What one thing does at a moment, as a pull on a lever whose pivot is at the lungs.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pull {
    /// Whose: a part, a cylinder with its gas and what hangs on it, a bag.
    pub owner: Owner,
    /// What it lifts, kg: positive floats.
    pub lift_kg: f64,
    /// Where: the centre of its mass, or of its gas.
    pub at: Point,
    /// Its moment about the lungs.
    pub moment: Moment,
}

/// A cylinder that comes or goes, and what that does to the trim once the wing has followed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Gone {
    /// Which, by index.
    pub cylinder: usize,
    /// Whether it comes; otherwise it goes.
    pub comes: bool,
    /// The moment before.
    pub before: TrimAt,
    /// The moment after.
    pub after: TrimAt,
}

/// The trim of a whole dive.
#[derive(Clone, Debug, PartialEq)]
pub struct Trim {
    /// Where the head is heaviest: the least torque; of equal moments the first.
    pub head_heaviest: TrimAt,
    /// Where the feet are heaviest: the greatest torque.
    pub feet_heaviest: TrimAt,
    /// Where the diver leans most to one side.
    pub most_uneven: TrimAt,
    /// When all begins to be light: at the heavy point, wing as planned.
    pub heavy: TrimAt,
    /// At the light point, wing as planned.
    pub light: TrimAt,
    /// What each thing does at the heavy point: what is carried then, empty bags left out; in the same order as at the light
    /// point.
    pub pulls_heavy: Vec<Pull>,
    /// What each thing does at the light point.
    pub pulls_light: Vec<Pull>,
    /// Cylinders that come and go, in order of time.
    pub gone: Vec<Gone>,
    /// The moments that the run knows, in order of time: both ends of every stretch, and on a moving one three between. On a
    /// level stretch a torque is linear in time.
    pub course: Vec<TrimAt>,
}

impl Trim {
    /// The trim of a recorded dive; `None` where the place of something is not known.
    pub fn of(scenario: &Scenario, trace: &Trace) -> Option<Self> {
        let lever = Lever::of(scenario)?;
        let lungs = lever.lungs;
        let at = |now: &Now| TrimAt::of(now, lever.moment(scenario, now));
        let course: Vec<TrimAt> = nodes(trace).map(at).collect();
        let greatest = |f: &dyn Fn(Moment) -> f64| {
            let first = at(trace.first());
            let (mut best, mut value) = (first, f(first.moment));
            for span in trace.spans() {
                let of = |now: &Now| f(lever.moment(scenario, now));
                if let Some((now, here)) = span.greatest_above(scenario, value, of) {
                    (best, value) = (at(&now), here);
                }
            }
            best
        };
        // each side by itself: the amount has a corner where it passes the middle
        let (left, right) = (greatest(&|moment| moment.left_kg_m), greatest(&|moment| -moment.left_kg_m));
        let most_uneven = if right.roll_nm().abs() > left.roll_nm().abs() { right } else { left };
        let (heavy, light) = (super::extremes::heavy(scenario, trace).now, super::extremes::light(scenario, trace).now);
        Some(Self {
            head_heaviest: greatest(&|moment| -moment.along_kg_m),
            feet_heaviest: greatest(&|moment| moment.along_kg_m),
            most_uneven,
            heavy: at(&heavy),
            light: at(&light),
            pulls_heavy: pulls(scenario, &heavy, lungs),
            pulls_light: pulls(scenario, &light, lungs),
            gone: gone(scenario, trace, &lever),
            course,
        })
    }

    /// The moment with the greatest torque to either side.
    pub fn worst(&self) -> TrimAt {
        let (head, feet) = (self.head_heaviest, self.feet_heaviest);
        if -head.torque_nm() > feet.torque_nm() { head } else { feet }
    }
}

/// The moments that a trace knows, each once, in the order of [`Trim::course`].
pub(crate) fn nodes(trace: &Trace) -> impl Iterator<Item = &Now> {
    let mut before: Option<&Now> = None;
    trace.spans().iter().flat_map(|span| span.nodes()).filter(move |now| before.replace(now) != Some(now))
}

/// The places of a dive with what neither dive nor depth changes folded into sums, for asking many moments. Its moment is that
/// of the list of terms.
#[derive(Clone, Debug, PartialEq)]
pub struct Lever {
    lungs: Point,
    rigid: Arms,
    foams: Vec<(Foam, Arms)>,
    cylinders: Vec<OnLever>,
    bags: [Option<Point>; MAX_BAGS],
    /// the canister of a loop, whose absorbent gains what the body at the lungs loses
    canister: Option<(BreathingLoop, Point)>,
}

/// A cylinder on a lever.
#[derive(Clone, Copy, Debug, PartialEq)]
struct OnLever {
    /// shell and what hangs on it
    rigged: Arms,
    /// where its gas is
    gas: Point,
}

impl Lever {
    /// Of a dive; `None` where the place of something is not known.
    pub fn of(scenario: &Scenario) -> Option<Self> {
        let rig = scenario.rig();
        let lungs = rig.lungs?;
        let from_lungs = |at: Centres| at.moved(lungs * -1.0);
        let canister = match rig.breathing_loop {
            Some(circuit) => Some((circuit, circuit.canister_at? - lungs)),
            None => None,
        };
        let mut lever = Self {
            lungs,
            rigid: Arms::default(),
            foams: Vec::new(),
            cylinders: Vec::new(),
            bags: [None; MAX_BAGS],
            canister,
        };
        for part in &rig.parts {
            let (at, bulk) = (from_lungs(part.at?), part.bulk(ATMOSPHERE_PA));
            match part.body {
                Body::Foam { foam, .. } => {
                    lever.rigid = lever.rigid + Arms::of(&Bulk::mass(bulk.mass_kg), &at);
                    let foam = Foam { volume0_m3: f64::from(part.count) * foam.volume0_m3, ..foam };
                    lever.foams.push((foam, Arms::of(&Bulk::volume(1.0), &at)));
                }
                Body::Rigid { .. } | Body::Reading { .. } => lever.rigid = lever.rigid + Arms::of(&bulk, &at),
            }
        }
        for body in &rig.cylinders {
            let lie = body.spec().lie?;
            let shell = Arms::of(&Bulk::new(body.shell_kg(), body.external_m3()), &from_lungs(body.centres()?));
            let valve = Centres::at(lie.valve);
            let hung = body.rigging().iter();
            let hung = hung.map(|part| Arms::of(&part.bulk(ATMOSPHERE_PA), &from_lungs(part.at.unwrap_or(valve))));
            lever.cylinders.push(OnLever { rigged: shell + hung.sum(), gas: lie.middle() - lungs });
        }
        for (place, bag) in lever.bags.iter_mut().zip(rig.bags()) {
            if let Some(bag) = bag {
                *place = Some(bag.at()? - lungs);
            }
        }
        Some(lever)
    }

    /// Where what the diver lacks to neutral acts.
    pub fn lungs(&self) -> Point {
        self.lungs
    }

    /// Moment of everything on the diver, what lacks to neutral acting at the lungs.
    pub fn moment(&self, scenario: &Scenario, now: &Now) -> Moment {
        let Now { state, ambient, .. } = now;
        let water_kg_m3 = ambient.water_kg_m3;
        let mut moment = self.rigid.moment(water_kg_m3);
        for (foam, arm) in &self.foams {
            // the arm of a cubic metre
            moment += arm.moment(water_kg_m3) * foam.volume_m3(ambient.pressure_pa);
        }
        for i in state.carried.iter() {
            let gas_kg = Bulk::mass(state.cylinder_mol[i] * scenario.molar_kg_mol(i)).net_kg(water_kg_m3);
            moment += self.cylinders[i].rigged.moment(water_kg_m3) + Moment::of(gas_kg, self.cylinders[i].gas);
        }
        for (index, place) in self.bags.iter().enumerate() {
            if let Some(place) = place {
                let gas = ambient.bag(scenario, index, &state.bag_mol[index]);
                moment += Moment::of(gas.net_kg(water_kg_m3), *place);
            }
        }
        if let Some((circuit, place)) = &self.canister {
            let [absorbed_kg, _] = taken_up_kg(circuit, state.metabolised_mol);
            moment += Moment::of(-absorbed_kg, *place);
        }
        moment
    }
}

/// Moment of a term about the lungs.
fn about(term: &Term, water_kg_m3: f64, lungs: Point) -> Option<Moment> {
    Some(term.at?.moved(lungs * -1.0).moment(&term.bulk, water_kg_m3))
}

/// Moment of a list of terms in water of a density, what lacks to neutral acting at the lungs; `None` where a place is not
/// known.
pub fn moment_of(terms: &[Term], water_kg_m3: f64, lungs: Point) -> Option<Moment> {
    terms.iter().map(|term| about(term, water_kg_m3, lungs)).sum()
}

/// What each thing does at a moment, a cylinder with its gas and what hangs on it as one.
pub fn pulls(scenario: &Scenario, now: &Now, lungs: Point) -> Vec<Pull> {
    let mut pulls: Vec<Pull> = Vec::new();
    let water_kg_m3 = now.ambient.water_kg_m3;
    for term in terms(scenario, &now.state, &now.ambient) {
        let (Some(at), Some(moment)) = (term.at, about(&term, water_kg_m3, lungs)) else { continue };
        let owner = term.owner.cylinder().map_or(term.owner, Owner::Cylinder);
        let lift_kg = term.net_kg(water_kg_m3);
        match pulls.iter_mut().find(|pull| pull.owner == owner) {
            Some(pull) => {
                pull.lift_kg += lift_kg;
                pull.moment += moment;
            }
            None => pulls.push(Pull { owner, lift_kg, at: at.mass, moment }),
        }
    }
    pulls
}

/// Cylinders that come and go.
fn gone(scenario: &Scenario, trace: &Trace, lever: &Lever) -> Vec<Gone> {
    let lasting: Vec<_> = trace.spans().iter().filter(|span| !span.is_instant()).collect();
    let mut found = Vec::new();
    for pair in lasting.windows(2) {
        let (before, after) = (pair[0].end(), pair[1].start());
        let (then, now) = (before.state.carried, after.state.carried);
        if then == now {
            continue;
        }
        let at = |now: &Now| TrimAt::of(now, lever.moment(scenario, now));
        let one = |cylinder, comes| Gone { cylinder, comes, before: at(before), after: at(after) };
        found.extend(then.minus(now).iter().map(|cylinder| one(cylinder, false)));
        found.extend(now.minus(then).iter().map(|cylinder| one(cylinder, true)));
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;

    // by the definition: 30° is told, more is a direction, a moment to the chest is no prone diver
    #[test]
    fn steep_pitches_are_directions() {
        let hang = |along_kg_m, up_kg_m| Hang::of(Moment { along_kg_m, left_kg_m: 0.0, up_kg_m });
        assert!(matches!(hang(0.5, 1.0), Hang::At(pitch) if (pitch - 0.5f64.atan()).abs() < 1e-15));
        assert_eq!(hang(0.7, 1.0), Hang::HeadUp);
        assert_eq!(hang(-0.7, 1.0), Hang::HeadDown);
        assert_eq!(hang(0.1, -1.0), Hang::OnBack);
        assert_eq!(hang(0.0, 0.0), Hang::OnBack);
    }
}
