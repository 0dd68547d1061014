//! Net buoyancy of a diver through a whole dive: how much lead, what a failed wing means, when the dive is lightest.
//!
//! # A dive in code
//!
//! ```
#![doc = include_str!("../examples/dive_in_code.rs")]
//! ```
//!
//! Who has a plan as text has it shorter: `Plan` reads and checks it, [`Answers`] has one call for each question.
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
//! (which pressure squeezes), the cylinders (whose gas is breathed), and the gas of dry suit and wing; [`terms`] lists it
//! thing by thing. *Bare* is the same with the wing empty: the diver after a total wing failure. The **heavy point** is the
//! most negative bare lift of a dive, the **light point** the most positive one at or below the last stop.
//!
//! # Units and signs
//!
//! SI inside, with the unit at the end of every name (`depth_m`, `pressure_pa`, `lift_kg`). Times count from the start of
//! the dive. Pressures are absolute, but for those that a gauge shows, which are named so (`fill_gauge_pa`). Depth is
//! positive downwards, buoyancy is in kilograms of lift. Other units are for plans and reports only.
//!
//! # Data flow
//!
//! ```text
//! plan.toml, profile.csv, gear.csv
//!    │  plan      read, check, build             all problems at once, each with its place
//!    ▼
//! Scenario        rig + water + profile + settings, checked, immutable
//!    │  sim       Run: from event to event       a Span between two; keeps every gram of gas, and checks it
//!    ▼
//! Trace           all spans, what happened       the moment (Now) at any time, exact whatever the distance of rows
//!    │  findings  functions of the trace         heavy and light point, failed wing, hold, wing size, band, cylinders
//!    │  study     many scenarios                 lead range, comparison, doubt, calibration
//!    ▼  answer    one call from a plan and what is asked to facts
//! report          text, CSV, JSON, figures, page
//! ```
//!
//! An event is where the course of the dive has a corner: a leg ends, a layer of water begins, a cylinder runs dry, comes
//! or goes, a bag is full or empty. Between two of them everything is smooth, so a run of an hour is some dozens of steps,
//! each exact to [`Settings::tolerance_kg`].
//!
//! # Features
//!
//! | feature | what it adds |
//! | --- | --- |
//! | none | the engine: from a rig in code to the advice about its lead |
//! | `doubt` | how sure the answers are, what to weigh next, checks in the water brought back; several cores |
//! | `plan` | plans, gear lists and recorded profiles; brings `doubt` |
//! | `report` | words, tables, figures and the page; brings `plan` |
//! | `program` | the command-line program, with all the others; on by default |
//!
//! # Care
//!
//! A planning and teaching aid: every figure is to be verified in the water; agency standards, local rules and the
//! judgement of a qualified instructor come first. It plans no decompression.

#[cfg(feature = "plan")]
mod answer;
#[cfg(feature = "program")]
mod cli;
#[cfg(feature = "doubt")]
mod estimate;
mod findings;
mod physics;
#[cfg(feature = "plan")]
mod plan;
mod profile;
#[cfg(feature = "report")]
mod report;
mod rig;
mod scenario;
mod sim;
mod study;
mod units;

// Who dives with what.
pub use rig::{Bag, BagStart, Body, Cylinder, CylinderSet, CylinderSpec, Lie, Part, Rig, Role};

// Where on the diver.
pub use physics::body::{Posture, Shape as BodyShape, Stance};
pub use physics::place::{Centres, Moment, Point};

// Gas, foam and water.
pub use physics::bulk::Bulk;
pub use physics::foam::Foam;
pub use physics::gas::{EquationOfState, GasMix, Species};
pub use physics::water::{Brine, Layer, Water};

// The dive.
pub use profile::{Change, Leg, Move, Profile, Stop};
pub use scenario::{Scenario, Settings};

// Its run. `terms` stands in a module of its own name, which the shorter path would hand out as well.
pub use sim::terms::terms;
pub use sim::{Balance, Event, Happening, Now, Owner, Run, Sample, Span, State, Term, Trace, run};

// What a run says.
pub use findings::{Band, FailedWing, Findings, Hang, Hold, PoolCheck, SuitUse, SwimUp, Trim, TrimAt};

// The right lead.
pub use study::compare::compare;
pub use study::{Advice, Ballast, Bound, Comparison, LeadBounds, LeadRange, Pieces, Verdict, lead_bounds};

// How sure it is.
#[cfg(feature = "doubt")]
pub use estimate::{Doubt, Estimate, Input, KeyPath, Origin, Shape};
#[cfg(feature = "doubt")]
pub use study::doubt::{Control, DoubtStudy, Outlook, Settings as DrawSettings, doubt_study};
#[cfg(feature = "doubt")]
pub use units::Quantity;

// Plans, and what can be asked of one.
#[cfg(feature = "plan")]
pub use answer::{AnswerError, Answers, BallastFacts, Calibration, DiveFacts, DoubtFacts, Quick};
#[cfg(feature = "plan")]
pub use plan::{Built, Note, Plan, Problem, Problems};

// Pictures.
#[cfg(feature = "report")]
pub use report::Rows;
#[cfg(feature = "report")]
pub use report::chart::{Facts as FigureFacts, Figure, Picture, draw as draw_figure};
#[cfg(feature = "report")]
pub use units::UnitSystem;

/// Whatever can go wrong, from whichever part of the library. Its text is that of the part.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[error(transparent)]
#[non_exhaustive]
pub enum Error {
    /// A gas, or its state.
    Gas(#[from] physics::gas::GasError),
    /// A column of water.
    Water(#[from] physics::water::WaterError),
    /// What is worn.
    Rig(#[from] rig::RigError),
    /// A profile.
    Profile(#[from] profile::ProfileError),
    /// A dive as a whole.
    Scenario(#[from] scenario::ScenarioError),
    /// A run.
    Run(#[from] sim::SimError),
    /// Pieces of lead.
    Pieces(#[from] study::PiecesError),
    /// A question that needs many runs.
    Study(#[from] study::StudyError),
    /// Checks brought back.
    #[cfg(feature = "doubt")]
    Calibrate(#[from] study::calibrate::CalibrateError),
    /// Weighings of one piece.
    #[cfg(feature = "doubt")]
    Combine(#[from] estimate::combine::CombineError),
    /// A plan: everything that is wrong with it.
    #[cfg(feature = "plan")]
    Plan(#[from] plan::Problems),
    /// What checks leave of a plan makes no dive.
    #[cfg(feature = "plan")]
    #[error("what the checks leave of the plan makes no dive: {0}")]
    Corrected(String),
    /// Drawn numbers that make no dive.
    #[cfg(feature = "plan")]
    Draw(#[from] plan::DrawError),
    /// A figure.
    #[cfg(feature = "report")]
    Figure(#[from] report::chart::ChartError),
}

#[cfg(feature = "plan")]
impl From<AnswerError> for Error {
    /// As if the part had been asked itself.
    fn from(error: AnswerError) -> Self {
        match error {
            AnswerError::Problems(error) => Self::Plan(error),
            AnswerError::Sim(error) => Self::Run(error),
            AnswerError::Study(error) => Self::Study(error),
            AnswerError::Calibrate(error) => Self::Calibrate(error),
            AnswerError::Pieces(error) => Self::Pieces(error),
            AnswerError::Corrected(what) => Self::Corrected(what),
            AnswerError::Cancelled => Self::Calibrate(study::calibrate::CalibrateError::Cancelled),
        }
    }
}

/// The modules as they are inside, for the program, the tests and the benches of this package: they look at single parts,
/// such as a gas table or the words of a report, which are no promise to anybody else and may change in any version.
#[doc(hidden)]
pub mod internals {
    /// A private module cannot be handed out itself, but all that is public in it can.
    macro_rules! open {
        ($($room:ident)*) => {
            $(pub mod $room {
                pub use crate::$room::*;
            })*
        };
    }

    open!(findings physics profile rig scenario sim study units);
    #[cfg(feature = "doubt")]
    open!(estimate);
    #[cfg(feature = "plan")]
    open!(answer plan);
    #[cfg(feature = "report")]
    open!(report);
    #[cfg(feature = "program")]
    open!(cli);
}
