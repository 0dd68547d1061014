//! All integration tests as one program, so that the library is linked once. One module a subject; the modules after
//! the blank line are what they share. A part of it: `cargo test --test it gas::`.

mod answer;
mod ballast;

mod bench_cli;

mod bench_facts;

mod calibrate;
mod calibrate_cli;
mod case_a;
mod class;
mod cli;
mod commands;
mod cylinder_list;
mod defaults;
mod dependencies;
mod doubt;
mod doubt_cli;
mod exact;
mod figures;
mod foam_and_body;
mod fuzz;
mod gas;
mod golden;
mod handbook;
mod handout;
mod house;
mod list;
mod marks;
mod paper;
mod plan_bad;
mod plan_forms;
mod plan_inputs;
mod plan_notes;
mod plan_profiles;
mod plan_quantity;
mod plan_reference;
mod plots;
mod properties;
mod readings;
mod readme;
mod reference_data;
mod result_schema;
mod rigged;
mod schema;
mod short_plans;
mod stand_in;
mod starter;
mod typical;
mod water;
mod weight_check;
mod whole_dives;
mod widths;

mod browser;
mod command;
mod common;
mod parts;
mod rig;
mod support;
mod uncertain;
