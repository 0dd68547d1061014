//! temporary front page
pub mod diver;
pub mod estimate;
pub mod physics;
pub mod plan;
pub mod profile;
pub mod scenario;
pub mod units;
