//! All integration tests as one program, so that the library is linked once. One module a subject; the modules after
//! the blank line are what they share. A part of it: `cargo test --test it gas::`.

mod answer;
mod ballast;
mod case_a;
mod cli;
mod commands;
mod cylinder_list;
mod defaults;
mod dependencies;
mod exact;
mod figures;
mod foam_and_body;
mod fuzz;
mod gas;
mod golden;
mod handbook;
mod handout;
mod house;
mod plan_bad;
mod plan_forms;
mod plan_inputs;
mod plan_notes;
mod plan_profiles;
mod plan_quantity;
mod plots;
mod properties;
mod readme;
mod reference_data;
mod refine;
mod refine_cli;
mod result_schema;
mod schema;
mod spread;
mod spread_cli;
mod stand_in;
mod starter;
mod water;
mod whole_dives;

mod browser;
mod command;
mod common;
mod parts;
mod rig;
mod support;
mod uncertain;
