//! The engine behind one function, for the live page: a question as JSON goes in, an answer as JSON comes out.
//!
//! `abi` the few functions that a script can call · `ask` from a question to an answer · `plans` the plan of a question ·
//! `about` what the page shows of a plan beside its dive. `page/README.md` has the questions and their answers.

mod abi;
mod about;
mod ask;
mod change;
mod plans;

pub use ask::answer;
