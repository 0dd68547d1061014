//! temporary front page
pub mod diver;
pub mod physics;
pub mod profile;
pub mod scenario;
pub mod sim;
pub mod units;
