//! What a loop has used at the end of the dive, as bars: oxygen, diluent, absorbent.

use crate::findings::Circuit;
use crate::report::chart::font::{self, Weight};
use crate::report::chart::panel::{EDGE, WIDTH};
use crate::report::chart::scene::{Anchor, Scene, Text};
use crate::report::chart::shape::{Point, Rect};
use crate::report::chart::style::{BODY_PX, GRID, INK, RULE, SKY, SMALL_PX, SOFT, Stroke};
use crate::report::chart::{Facts, hatch};
use crate::report::measure::fixed;
use crate::report::words::free_gas;
use crate::rig::{CylinderSet, STANDARD_MOL_M3};

/// Height of all of it with the space below, px.
pub(super) const HEIGHT_PX: f64 = 104.0;
/// Height of a row and of its bar, px.
const ROW_PX: f64 = 24.0;
const BAR_PX: f64 = 13.0;
/// Where the bars begin and end, px.
const FROM_PX: f64 = 110.0;
const TO_PX: f64 = 470.0;

/// A thing that is used.
struct Used {
    name: &'static str,
    mol: f64,
    /// what there was; `None` where nobody says
    of_mol: Option<f64>,
}

/// Draws it from a height on.
pub(super) fn draw(scene: &mut Scene, facts: &Facts<'_>, circuit: &Circuit, top: f64) {
    let Some(rig) = facts.scenario.rig().breathing_loop else { return };
    let filled = |of: CylinderSet| of.iter().map(|i| facts.scenario.filled_mol(i)).sum::<f64>();
    let list = [
        Used { name: "oxygen", mol: circuit.oxygen_mol, of_mol: Some(filled(rig.oxygen)) },
        Used { name: "diluent", mol: circuit.diluent_mol, of_mol: Some(filled(rig.diluent)) },
        Used { name: "absorbent", mol: circuit.absorbed_mol, of_mol: circuit.absorbs_mol },
    ];
    let mut text = |x: f64, y: f64, (size, weight, colour), text: String| {
        let text = font::fit(&text, size, weight, WIDTH - EDGE - x);
        scene.text(Text { at: Point::new(x, y), anchor: Anchor::Start, size, weight, colour, text });
    };
    let title = "used at the end of the dive, as gas at 0 °C and one atmosphere";
    text(EDGE, top + BODY_PX, (BODY_PX, Weight::Bold, INK), title.into());
    let row = |i: usize| top + BODY_PX + 22.0 + ROW_PX * i as f64;
    for (i, used) in list.iter().enumerate() {
        text(EDGE, row(i), (SMALL_PX, Weight::Regular, INK), used.name.into());
        let x = if used.of_mol.is_some() { TO_PX + 14.0 } else { FROM_PX };
        text(x, row(i), (SMALL_PX, Weight::Regular, SOFT), told(facts, used));
    }
    for (i, used) in list.iter().enumerate() {
        let Some(of_mol) = used.of_mol.filter(|mol| *mol > 0.0) else { continue };
        let middle = row(i) - 0.36 * SMALL_PX;
        let whole = Rect { left: FROM_PX, right: TO_PX, top: middle - 0.5 * BAR_PX, bottom: middle + 0.5 * BAR_PX };
        let end = FROM_PX + (used.mol / of_mol).clamp(0.0, 1.0) * (TO_PX - FROM_PX);
        scene.fill(whole, GRID, 1.0);
        let part = Rect { right: end, ..whole };
        scene.fill(part, SKY, 1.0);
        if used.mol > of_mol {
            hatch::rect(scene, part, 6.0, Stroke::solid(INK, 1.0));
        }
        scene.line(Point::new(end, whole.top - 2.0), Point::new(end, whole.bottom + 2.0), Stroke::solid(INK, 1.2));
        scene.line(Point::new(TO_PX, whole.top - 2.0), Point::new(TO_PX, whole.bottom + 2.0), Stroke::solid(RULE, 1.0));
    }
}

/// `49 of 551 L, 9 %`.
fn told(facts: &Facts<'_>, used: &Used) -> String {
    let gas = |mol: f64| free_gas(facts.units, mol / STANDARD_MOL_M3);
    let what = if used.name == "absorbent" { " of carbon dioxide" } else { "" };
    match used.of_mol {
        Some(of_mol) if of_mol > 0.0 => {
            let share = fixed(100.0 * used.mol / of_mol, 0);
            format!("{} of {}{what}, {share} %", gas(used.mol), gas(of_mol))
        }
        _ => format!("{}{what}; the plan does not say what it takes up", gas(used.mol)),
    }
}
