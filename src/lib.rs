//! Net buoyancy of a diver through a whole dive: how much lead, what a failed wing means, when the dive is lightest.
//!
//! # The balance
//!
//! Every part of the rig, the diver included, is a mass `m` and a displaced volume `V`. In water of density `ρ` it lifts
//!
//! ```text
//! B = ρ·V − m
//! ```
//!
//! kilograms: **positive floats, negative sinks**. The net lift is the sum over the body, the rigid parts, the foam
//! (which pressure squeezes), the cylinders (whose gas is breathed), the dry suit's gas and the wing's gas. *Bare* is the
//! same with the wing empty: the diver after a total wing failure. The **heavy point** is the most negative bare lift of a
//! dive, the **light point** the most positive one at or below the last stop.
//!
//! # Units and signs
//!
//! SI inside, with the unit at the end of every name (`depth_m`, `pressure_pa`, `lift_kg`). Pressures are absolute,
//! depth is positive downwards, buoyancy is in kilograms of lift. Other units exist in [`plan`] and [`report`] only, and
//! their factors in [`units`] only.
//!
//! # Data flow
//!
//! ```text
//! plan.toml, profile.csv, gear.csv
//!    │  plan      read, check, build             all problems at once, each with its place
//!    ▼
//! Scenario        diver + water + profile + settings, checked, immutable
//!    │  sim       run() = repeat step()          conserves every gram of gas, and checks it
//!    ▼
//! Trace           one Sample a step, what happened
//!    │  findings  functions of the trace         heavy and light point, failed wing, hold, wing size, band, cylinders
//!    │  study     many scenarios                 lead range, comparison, uncertainty, refinement
//!    ▼  answer    one call from a plan and what is asked to facts
//! report          text, CSV, JSON, figures, page
//! ```
//!
//! # Where to read on
//!
//! [`physics`] (gas, water, foam) · [`rig`] and [`profile`] · [`scenario`] · [`sim`], the loop on one screen ·
//! [`findings`] · [`study`] · [`plan`] · [`answer`] · [`report`] · [`cli`]. Each imports only what stands before it.
//!
//! # A dive in code
//!
//! ```
//! use lightpoint::findings::Findings;
//! use lightpoint::plan::Plan;
//!
//! # fn main() -> Result<(), Box<dyn std::error::Error>> {
//! let dive = Plan::demonstration(&[])?.build()?.scenario;
//! let trace = lightpoint::sim::run(&dive)?;
//! let findings = Findings::of(&dive, &trace);
//! assert!(findings.heavy.bare_kg < findings.light.bare_kg);
//! # Ok(())
//! # }
//! ```
//!
//! A planning and teaching aid: every figure is to be verified in the water; agency standards, local rules and the
//! judgement of a qualified instructor come first. It plans no decompression.

pub mod answer;
pub mod cli;
pub mod estimate;
pub mod findings;
pub mod physics;
pub mod plan;
pub mod profile;
pub mod report;
pub mod rig;
pub mod scenario;
pub mod sim;
pub mod study;
pub mod units;

pub use findings::Findings;
pub use physics::gas::GasMix;
pub use physics::water::Water;
pub use plan::Plan;
pub use profile::Profile;
pub use rig::Rig;
pub use scenario::{Scenario, Settings};
pub use sim::{Sample, State, Trace};
