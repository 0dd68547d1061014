//! Gas on paper and as it is.

use super::{End, PaperLine, Reason, Side, Why};
use crate::answer::AnswerError;
use crate::physics::gas::{EquationOfState, GasMix};
use crate::plan::typical::FILL_TEMPERATURE;
use crate::scenario::ScenarioError;
use crate::sim::Owner;
use crate::study::{Binding, StudyError};
use crate::units::{ATMOSPHERE_PA, BAR_PA, GAS_CONSTANT_J_MOL_K};

/// The weight of gas by the rule of paper: litres × bar × what a litre weighs at the surface.
///
/// `m = V·(p/1 bar)·ρ₁`, `ρ₁ = M·p₀/(R·T₀)` at one atmosphere and 20 °C: 1.2 g/L for air. Common practice.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ByRule {
    /// What the gas weighs at the surface, kg/m³.
    pub surface_kg_m3: f64,
}

impl ByRule {
    /// Of a gas.
    pub fn of(mix: &GasMix) -> Self {
        Self { surface_kg_m3: mix.molar_kg_mol() * ATMOSPHERE_PA / (GAS_CONSTANT_J_MOL_K * room_k()) }
    }

    /// Weight of the gas in a volume at what its gauge shows, kg.
    pub fn gas_kg(&self, water_m3: f64, gauge_pa: f64) -> f64 {
        water_m3 * gauge_pa / BAR_PA * self.surface_kg_m3
    }
}

/// A room's temperature, K: that of a rested fill.
fn room_k() -> f64 {
    FILL_TEMPERATURE.estimate.value
}

/// Weight of the gas in a volume at what its gauge shows in a room, kg.
pub(super) fn in_a_room_kg(
    mix: &GasMix,
    water_m3: f64,
    gauge_pa: f64,
    equation: EquationOfState,
) -> Result<f64, AnswerError> {
    let density = mix.molar_density_mol_m3((gauge_pa + ATMOSPHERE_PA).max(0.0), room_k(), equation);
    let mol_m3 = density.map_err(|error| StudyError::from(ScenarioError::from(error)))?;
    Ok(mol_m3 * mix.molar_kg_mol() * water_m3)
}

impl Side<'_> {
    /// The gas of a cylinder: on paper full or empty, here what counts at the moment.
    pub(super) fn gas(&self, cylinder: usize, binding: &Binding) -> Result<PaperLine, AnswerError> {
        let body = &self.scenario.rig().cylinders[cylinder];
        let equation = self.scenario.settings().equation;
        let (mix, water_m3) = (body.mix(), body.water_m3());
        let rule = ByRule::of(&mix);
        let then = binding.cylinders.iter().find(|then| then.cylinder == cylinder);
        let filled_kg = body.gas_kg(self.scenario.filled_mol(cylinder));
        // a cylinder that is not there any more counts as full here; its line says that it is not counted
        let held_kg = then.map_or(filled_kg, |then| then.gas_kg);
        let counted_pa = then.map(|then| then.counted_pa);
        // by the gauge at which paper and the program meet: the fill at the start, what is counted at the end
        let (paper_pa, gauge_pa, gauge_kg) = match (self.end, counted_pa) {
            (End::End, Some(pa)) => (0.0, pa - ATMOSPHERE_PA, held_kg),
            (End::End, None) => (0.0, body.fill_gauge_pa(), filled_kg),
            (End::Start, _) => (body.fill_gauge_pa(), body.fill_gauge_pa(), filled_kg),
        };
        let by_rule_kg = rule.gas_kg(water_m3, gauge_pa);
        let in_a_room_kg = in_a_room_kg(&mix, water_m3, gauge_pa, equation)?;
        let paper_kg = rule.gas_kg(water_m3, paper_pa);
        let is_breathed_down = self.scenario.down_to_reserve().contains(cylinder);
        let stays = if is_breathed_down { Why::Reserve } else { Why::NotUsed };
        let reasons = [
            Reason { why: stays, lift_kg: paper_kg - by_rule_kg },
            Reason { why: Why::RealGas, lift_kg: by_rule_kg - in_a_room_kg },
            Reason { why: Why::Temperature, lift_kg: in_a_room_kg - gauge_kg },
            Reason { why: Why::Breathed, lift_kg: gauge_kg - held_kg },
        ];
        let line = PaperLine {
            label: body.name().to_owned(),
            owner: Owner::Gas(cylinder),
            paper_kg: 0.0 - paper_kg,
            tool_kg: 0.0 - held_kg,
            paper_pa: Some(paper_pa + ATMOSPHERE_PA),
            tool_pa: counted_pa,
            reasons: Vec::new(),
        };
        Ok(line.because(reasons))
    }
}
