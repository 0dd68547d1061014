//! What is shown: facts put together once, one file per format.

pub mod chart;
pub mod measure;
