//! Net buoyancy of a diver through a whole dive.
//!
//! (front page follows)

pub mod cli;
pub mod diver;
pub mod estimate;
pub mod findings;
pub mod physics;
pub mod plan;
pub mod profile;
pub mod report;
pub mod scenario;
pub mod sim;
pub mod study;
pub mod units;
