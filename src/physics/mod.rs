//! Pure physics: functions and value types without time, files or state.
//!
//! [`gas`] the equation of state · [`isotherm`] the same, tabulated at one temperature for the run · [`water`]
//! the water column · [`atmosphere`] pressure at altitude · [`foam`] closed-cell foam under pressure · [`blend`] two
//! gases in one bag · [`bulk`] what a thing lifts · [`place`] where, and the moment of it · [`body`] the diver's body by
//! segments · [`cheb`] the polynomial fit behind the tables.

pub mod atmosphere;
pub mod blend;
pub mod body;
pub mod bulk;
pub mod cheb;
pub mod foam;
pub mod gas;
pub mod isotherm;
pub mod place;
pub mod water;
