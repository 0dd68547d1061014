//! Readings in water as the plan has them, before anything is made of them: what a sum on paper starts from.

use crate::plan::Plan;
use crate::plan::file::CylinderTable;
use crate::plan::typical::READING_WATERS;
use crate::plan::unit::{Density, Mass};
use crate::plan::written::Written;

/// A thing of the plan that may have been read in water.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Thing<'a> {
    /// The diver's own body.
    Diver,
    /// The suit by its name, without the gas in it; an undergarment that comes with it has another one.
    Suit(&'a str),
    /// The empty wing.
    Wing,
    /// A part, by its name.
    Part(&'a str),
    /// A cylinder, by its name.
    Cylinder(&'a str),
}

/// A reading in water as the plan has it, of one piece.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct AsRead {
    /// What the scale said, kg: positive floats.
    pub lift_kg: f64,
    /// Density of the water of the reading, kg/m³; `None` where the plan does not say, or calls it the site's own.
    pub water_kg_m3: Option<f64>,
    /// Gauge pressure that a cylinder had then, Pa; zero for one read empty and for everything else.
    pub gauge_pa: f64,
    /// How many pieces of this reading the thing is.
    pub count: u32,
}

impl Plan {
    /// The reading of a thing, if the plan knows it by one: its own, or that of its piece in the gear list. Of several
    /// weighings of a piece it is their mean.
    pub fn as_read(&self, thing: Thing<'_>) -> Option<AsRead> {
        let file = self.file();
        match thing {
            Thing::Diver => {
                let diver = file.diver.as_ref()?;
                read(&diver.in_water, diver.read_in.as_deref())
            }
            Thing::Suit(name) => {
                let suit = file.suit.as_ref()?;
                let own = suit.name.as_deref().or(suit.piece.as_deref()).unwrap_or("suit");
                if own != name {
                    return None;
                }
                self.own_or_piece(&suit.in_water, suit.read_in.as_deref(), suit.piece.as_deref())
            }
            Thing::Wing => {
                let wing = file.wing.as_ref()?;
                self.own_or_piece(&wing.in_water, wing.read_in.as_deref(), wing.piece.as_deref())
            }
            Thing::Part(name) => {
                let is_named = |given: &Option<String>| given.as_deref().is_some_and(|given| given.trim() == name);
                let table =
                    file.part.iter().find(|part| is_named(part.name.as_ref().map_or(&part.piece, |_| &part.name)))?;
                self.own_or_piece(&table.in_water, table.read_in.as_deref(), table.piece.as_deref())
            }
            Thing::Cylinder(name) => file.cylinder.iter().find_map(|table| cylinder(table, name)),
        }
    }

    fn own_or_piece(&self, own: &Option<Written<Mass>>, read_in: Option<&str>, piece: Option<&str>) -> Option<AsRead> {
        if own.is_some() {
            return read(own, read_in);
        }
        let list = self.gear.as_ref()?;
        let found = &list.pieces[list.find(piece?)?];
        let figure = found.in_water.as_ref()?;
        of(&figure.quantity, found.read_in.as_deref())
    }
}

/// The reading of a cylinder by the name that the dive knows it by: the table's, or with a number behind it where a table
/// stands for several without a manifold.
fn cylinder(table: &CylinderTable, name: &str) -> Option<AsRead> {
    let own = table.name.as_deref()?.trim();
    let count = table.count.and_then(|count| u32::try_from(count).ok()).unwrap_or(1);
    let is_one_of = table.manifold == Some(false)
        && name.strip_prefix(own).and_then(|n| n.strip_prefix(' ')).is_some_and(|n| n.parse::<u32>().is_ok());
    if name != own && !is_one_of {
        return None;
    }
    let gauge_pa = table.read_at.as_ref().and_then(|at| at.estimate().ok()).map_or(0.0, |at| at.value);
    let count = if is_one_of { 1 } else { count };
    read(&table.in_water, table.read_in.as_deref()).map(|one| AsRead { gauge_pa, count, ..one })
}

fn read(reading: &Option<Written<Mass>>, read_in: Option<&str>) -> Option<AsRead> {
    of(reading.as_ref()?, read_in)
}

fn of(reading: &Written<Mass>, read_in: Option<&str>) -> Option<AsRead> {
    let lift_kg = reading.estimate().ok()?.value;
    let water_kg_m3 = read_in.and_then(|word| {
        let known = READING_WATERS.iter().find(|(name, _)| *name == word).map(|(_, water)| water.estimate.value);
        known.or_else(|| Written::<Density>::parse(word).estimate().ok().map(|density| density.value))
    });
    Some(AsRead { lift_kg, water_kg_m3, gauge_pa: 0.0, count: 1 })
}
