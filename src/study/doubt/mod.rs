//! How sure the answers are: propagation of distributions by Monte Carlo, the whole run in the loop.
//!
//! The method is that of JCGM 101:2008 (Supplement 1 to the GUM): draw every uncertain input from its distribution, run
//! the dive, do so many times, and read estimates, standard uncertainties and coverage intervals from the results. Clause
//! numbers in this module are from memory.
//!
//! Thousands of trials are seldom run: [`stand_in`] has an additive quadratic from a few dozen runs answer for them, after
//! some hundred more have shown each time that it may. Where they do not, every draw is a run.
//!
//! [`draw`] from the number of a draw to its inputs · `chosen` draws that checks in the water make likelier · `ask` what a study asks of one dive · `ends` its lead range ·
//! [`answer`] what a draw answers · [`mod@stand_in`] what stands in for trials · [`settings`] how they are made · [`run`] many draws ·
//! `found` what they gave so far, and when to stop ·
//! [`interval`] what the draws of one quantity say · [`lead`] the lead that is right most often · [`band`] the band around
//! the curve · [`outlook`] what many draws say together · [`index`] shares of the variance · [`weigh`] what to weigh next.
//!
//! Results are the same to the last bit for any number of threads: a draw depends on its number alone, results are kept
//! in the order of the draws, and every sum runs in that order.

pub mod answer;
mod ask;
pub mod band;
mod chosen;
pub mod draw;
mod ends;
mod found;
pub mod index;
pub mod interval;
pub mod lead;
pub mod outlook;
pub mod run;
pub mod settings;
pub mod stand_in;
pub mod weigh;

pub use answer::{Answer, Risk, Row};
pub use band::CurveBand;
pub use draw::{BLOCK, Draws, Factor, Sequence};
pub use index::{Indices, Pair, indices};
pub use interval::{Chance, Interval, Numerical, Summary, tolerance_of};
pub use lead::{BestLead, LeadChances};
pub use outlook::{Outlook, Worth};
pub use run::{DoubtStudy, Failure, MIN_BLOCKS, Made, Stopped, doubt_study, one};
pub use settings::{Control, Settings, Tolerance};
pub use stand_in::{Certificate, Refusal, StandIn};
pub use weigh::{WeighNext, Weighing, weigh_next};
