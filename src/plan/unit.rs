//! What is measured as a type, so that a key of the plan takes a quantity of one sort and no other; and units in words.

use crate::plan::words::any_of;
use crate::units::{Quantity, Unit};

/// A quantity as a type.
pub trait Dimension {
    /// The same as a value.
    const OF: Quantity;
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

dimensions!(Mass, Volume, Length, Area, Pressure, Temperature, Duration, Speed, FlowRate, Density, Fraction, Salinity);

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
