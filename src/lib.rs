//! temporary front page
pub mod diver;
pub mod estimate;
pub mod findings;
pub mod physics;
pub mod profile;
pub mod report;
pub mod scenario;
pub mod sim;
pub mod study;
pub mod units;
