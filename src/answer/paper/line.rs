//! One line of the sum: what paper has, what the program has, and why they differ.

use super::gas::in_a_room_kg;
use super::{ByRule, PAPER_WATER_KG_M3, Side};
use crate::answer::AnswerError;
use crate::physics::bulk::Bulk;
use crate::plan::as_written::{AsRead, Thing};
use crate::rig::{Part, Role};
use crate::sim::Owner;
use crate::study::Binding;
use crate::units::ATMOSPHERE_PA;

/// Below this a difference is rounding, kg.
const ROUNDING_KG: f64 = 1e-9;

/// Why paper and the program differ.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Why {
    /// Gas that stays in a cylinder at its reserve; paper has it empty.
    Reserve,
    /// Gas that stays in a cylinder that is not breathed down; paper has it empty.
    NotUsed,
    /// Gas breathed, or let into suit or wing, before the heaviest moment.
    Breathed,
    /// Real gas against litres × bar.
    RealGas,
    /// A gauge in a room against one in the water: filled warm, read cold.
    Temperature,
    /// The body, read in one water, in another.
    BodyInWater,
    /// Everything else, read in one water, in another.
    Water,
    /// Foam, or the gas of a suit, squeezed at depth.
    Squeezed,
    /// The weight of the gas in the suit.
    GasWeight,
    /// A removable cylinder that may be gone by then.
    MayBeGone,
    /// A cylinder left behind before then.
    LeftBehind,
    /// A cylinder picked up before then.
    PickedUp,
    /// A figure that was corrected after it was written down.
    Corrected,
    /// Lead does not pull with all its mass.
    LeadPull,
}

impl Why {
    /// All reasons, in the order in which they are told.
    pub const ALL: [Why; 14] = [
        Why::Reserve,
        Why::NotUsed,
        Why::Breathed,
        Why::RealGas,
        Why::Temperature,
        Why::BodyInWater,
        Why::Water,
        Why::Squeezed,
        Why::GasWeight,
        Why::MayBeGone,
        Why::LeftBehind,
        Why::PickedUp,
        Why::Corrected,
        Why::LeadPull,
    ];
}

/// A reason with what it comes to.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Reason {
    /// Which.
    pub why: Why,
    /// How much more lift the program has by it, kg: positive floats.
    pub lift_kg: f64,
}

/// A thing on paper and here.
#[derive(Clone, Debug, PartialEq)]
pub struct PaperLine {
    /// Name as the plan gives it.
    pub label: String,
    /// Whose it is; parts by their place in the rig without its ballast, lead at the end.
    pub owner: Owner,
    /// Lift on paper, kg: positive floats; 0 for what paper does not count.
    pub paper_kg: f64,
    /// Lift here, kg.
    pub tool_kg: f64,
    /// Absolute pressure of a cylinder on paper, Pa.
    pub paper_pa: Option<f64>,
    /// The same here; `None` where the diver does not have it then.
    pub tool_pa: Option<f64>,
    /// Why they differ: what these come to is the difference.
    pub reasons: Vec<Reason>,
}

impl PaperLine {
    /// What the program has more than paper, kg.
    pub fn difference_kg(&self) -> f64 {
        self.tool_kg - self.paper_kg
    }

    /// The line with its reasons, those of nothing left out; what they leave is a figure that is not the one written down.
    pub(super) fn because(mut self, reasons: impl IntoIterator<Item = Reason>) -> Self {
        let is_any = |reason: &Reason| reason.lift_kg.abs() > ROUNDING_KG;
        self.reasons = reasons.into_iter().filter(is_any).collect();
        let told_kg: f64 = self.reasons.iter().map(|reason| reason.lift_kg).sum();
        let rest = Reason { why: Why::Corrected, lift_kg: self.difference_kg() - told_kg };
        self.reasons.extend(Some(rest).filter(is_any));
        self
    }

    /// The line of what the diver does not have any more, or may not have.
    pub(super) fn only_on_paper(self, why: Why) -> Self {
        let lift_kg = 0.0 - self.paper_kg;
        Self { tool_kg: 0.0, tool_pa: None, ..self }.because([Reason { why, lift_kg }])
    }

    /// The line of what the diver has picked up since.
    pub(super) fn only_here(self) -> Self {
        let lift_kg = self.tool_kg;
        Self { paper_kg: 0.0, paper_pa: None, ..self }.because([Reason { why: Why::PickedUp, lift_kg }])
    }
}

/// Lift that a volume gains in another water, kg.
fn moved_kg(volume_m3: f64, from_kg_m3: f64, to_kg_m3: f64) -> f64 {
    Bulk::volume(volume_m3).net_kg(to_kg_m3 - from_kg_m3)
}

impl Side<'_> {
    /// The line of a part that is worn or hangs on a cylinder.
    pub(super) fn part(&self, owner: Owner, part: &Part, binding: &Binding) -> PaperLine {
        let water_kg_m3 = binding.water_kg_m3;
        let surface = part.bulk(ATMOSPHERE_PA);
        // what is not on the diver then is as on the surface: it is rigid, or its line says that it is not counted
        let here = binding.lines.iter().find(|line| line.owner == owner).map_or(surface, |line| line.bulk);
        let read = self.plan.as_read(match (part.role, owner) {
            (Role::Person, _) => Thing::Diver,
            (Role::Suit, Owner::Part(_)) => Thing::Suit(&part.name),
            (Role::Wing, Owner::Part(_)) => Thing::Wing,
            _ => Thing::Part(&part.name),
        });
        let (paper_kg, from_kg_m3) = match read {
            Some(read) => (f64::from(part.count) * read.lift_kg, self.water_of(&read)),
            None => (surface.net_kg(PAPER_WATER_KG_M3), PAPER_WATER_KG_M3),
        };
        let why = if part.role == Role::Person { Why::BodyInWater } else { Why::Water };
        let reasons = [
            Reason { why, lift_kg: moved_kg(surface.volume_m3, from_kg_m3, water_kg_m3) },
            Reason { why: Why::Squeezed, lift_kg: (here.volume_m3 - surface.volume_m3) * water_kg_m3 },
        ];
        self.line(&part.name, owner, paper_kg, here.net_kg(water_kg_m3)).because(reasons)
    }

    /// The line of a cylinder without its gas.
    pub(super) fn shell(&self, cylinder: usize, binding: &Binding) -> Result<PaperLine, AnswerError> {
        let body = &self.scenario.rig().cylinders[cylinder];
        let water_kg_m3 = binding.water_kg_m3;
        let here = Bulk::new(body.shell_kg(), body.external_m3());
        let (mut paper_kg, mut from_kg_m3, mut real_kg) = (here.net_kg(PAPER_WATER_KG_M3), PAPER_WATER_KG_M3, 0.0);
        if let Some(read) = self.plan.as_read(Thing::Cylinder(body.name())) {
            from_kg_m3 = self.water_of(&read);
            let count = f64::from(read.count);
            let one_m3 = body.water_m3() / count;
            // read with gas in it: each takes off the weight of the gas in its own way
            let by_rule_kg = ByRule::of(&body.mix()).gas_kg(one_m3, read.gauge_pa);
            let gas_kg = match read.gauge_pa > 0.0 {
                true => in_a_room_kg(&body.mix(), one_m3, read.gauge_pa, self.scenario.settings().equation)?,
                false => 0.0,
            };
            paper_kg = count * (read.lift_kg + by_rule_kg);
            real_kg = count * (gas_kg - by_rule_kg);
        }
        let reasons = [
            Reason { why: Why::Water, lift_kg: moved_kg(here.volume_m3, from_kg_m3, water_kg_m3) },
            Reason { why: Why::RealGas, lift_kg: real_kg },
        ];
        let line = self.line(body.name(), Owner::Cylinder(cylinder), paper_kg, here.net_kg(water_kg_m3));
        Ok(line.because(reasons))
    }

    /// The line of what the body has taken out of a loop: its mass stays on the diver.
    pub(super) fn taken_up(&self, binding: &Binding) -> PaperLine {
        let is_it = |owner| matches!(owner, Owner::Absorbed | Owner::Metabolised);
        let kg: f64 = binding.lines.iter().filter(|line| is_it(line.owner)).map(|line| line.lift_kg).sum();
        let reasons = [Reason { why: Why::GasWeight, lift_kg: kg }];
        self.line("oxygen taken, kept as carbon dioxide", Owner::Absorbed, 0.0, kg).because(reasons)
    }

    /// The line of the gas in a suit or a loop.
    pub(super) fn bag(&self, label: &str, index: usize, kept_m3: f64, binding: &Binding) -> PaperLine {
        let owner = Owner::Bag(index);
        let water_kg_m3 = binding.water_kg_m3;
        let here = binding.lines.iter().find(|line| line.owner == owner).map_or(Bulk::NONE, |line| line.bulk);
        let paper_kg = Bulk::volume(kept_m3).net_kg(PAPER_WATER_KG_M3);
        let reasons = [
            Reason { why: Why::Water, lift_kg: moved_kg(kept_m3, PAPER_WATER_KG_M3, water_kg_m3) },
            Reason { why: Why::Squeezed, lift_kg: (here.volume_m3 - kept_m3) * water_kg_m3 },
            Reason { why: Why::GasWeight, lift_kg: 0.0 - here.mass_kg },
        ];
        self.line(label, owner, paper_kg, here.net_kg(water_kg_m3)).because(reasons)
    }

    /// The water of a reading, kg/m³; where the plan calls it the site's own, that at the surface.
    fn water_of(&self, read: &AsRead) -> f64 {
        read.water_kg_m3.unwrap_or_else(|| self.scenario.water().density_kg_m3(0, 0.0))
    }

    fn line(&self, label: &str, owner: Owner, paper_kg: f64, tool_kg: f64) -> PaperLine {
        let label = label.to_owned();
        PaperLine { label, owner, paper_kg, tool_kg, paper_pa: None, tool_pa: None, reasons: Vec::new() }
    }
}
