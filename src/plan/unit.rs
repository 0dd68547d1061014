//! What is measured as a type, so that a key of the plan takes a quantity of one sort and no other; and units in words.

use crate::plan::words::any_of;
use crate::units::{Quantity, Unit};

/// Sea water by which a lift is a volume, kg/m³: of the usual densities the larger, so that the volume is the smaller.
pub(crate) const LIFT_WATER_KG_M3: f64 = 1025.0;

/// A quantity as a type.
pub trait Dimension {
    /// The same as a value.
    const OF: Quantity;
    /// Another quantity that may stand for it, and how much of it one SI unit of the other is.
    const ALSO: Option<(Quantity, f64)> = None;
    /// Its name where it is not that of the quantity.
    const NAME: Option<&'static str> = None;
    /// Whether a number without a unit stands for itself.
    const IS_PLAIN: bool = false;
}

macro_rules! dimensions {
    ($($name:ident),+) => {
        $(
            #[doc = concat!("[`Quantity::", stringify!($name), "`] as a type.")]
            #[derive(Clone, Copy, Debug, PartialEq)]
            pub enum $name {}
            impl Dimension for $name {
                const OF: Quantity = Quantity::$name;
            }
        )+
    };
}

dimensions!(
    Mass,
    Volume,
    Length,
    Area,
    Pressure,
    PartialPressure,
    Temperature,
    Duration,
    Speed,
    FlowRate,
    Density,
    Fraction,
    Salinity,
    Torque,
    SpecificVolume
);

/// A volume of gas, or what it lifts in sea water, as a type: `18 L` or `40 lb`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Capacity {}
impl Dimension for Capacity {
    const OF: Quantity = Quantity::Volume;
    const ALSO: Option<(Quantity, f64)> = Some((Quantity::Mass, 1.0 / LIFT_WATER_KG_M3));
    const NAME: Option<&'static str> = Some("Capacity");
}

/// A ratio as a type: a plain number or a share, `0.85` or `85 %`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Ratio {}
impl Dimension for Ratio {
    const OF: Quantity = Quantity::Fraction;
    const NAME: Option<&'static str> = Some("Ratio");
    const IS_PLAIN: bool = true;
}

/// The unit of a name. Capital and small letters are alike where that leaves one meaning: `Bar` and `PSI`, but not `mpa`,
/// which may be a thousandth or a million.
pub(crate) fn unit_named(of: Quantity, name: &str) -> Option<&'static Unit> {
    let exact = of.units().iter().find(|unit| unit.names.contains(&name));
    let alike = |known: &&'static str| has_either_case(known) && known.eq_ignore_ascii_case(name);
    exact.or_else(|| of.units().iter().find(|unit| unit.names.iter().any(alike)))
}

/// Whether a name of a unit means the same in capital and in small letters.
pub(crate) fn has_either_case(name: &str) -> bool {
    !["MPa", "mbar", "mL", "ml"].contains(&name)
}

/// The units of a quantity in words: `kg, g, lb or oz`.
pub fn unit_list(of: Quantity) -> String {
    let names: Vec<&str> = of.units().iter().map(|unit| unit.names[0]).collect();
    any_of(&names)
}

/// The unit of a table column, by its last word in the header: `depth_ft` has feet.
pub(crate) fn column_unit(of: Quantity, suffix: &str) -> Option<&'static Unit> {
    let wanted = suffix.replace("_per_", "/").replace('_', "/");
    of.units().iter().find(|unit| unit.names.iter().any(|name| name.eq_ignore_ascii_case(&wanted)))
}
