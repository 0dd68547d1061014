//! Reading long files: every row of the table is linear, so ten times the rows take ten times the time.
//!
//! `cargo bench --bench reading`. What bounds each stands beside it; the files are made anew each time, in memory or in a
//! folder that goes away.

use std::fmt::Write as _;

use divan::{Bencher, black_box};
use lightpoint::internals::profile::Leg;
use lightpoint::internals::profile::simplify::{Bound, simplify};
use lightpoint::internals::rig::CylinderSet;
use lightpoint::{Answers, Plan};
use tempfile::TempDir;

fn main() {
    divan::main();
}

const HEAD: &str = "[site]\nwater = \"sea\"\ntemperature = \"10 °C\"\n[diver]\nmass = \"80 kg\"\nvolume = \"79.5 L\"\n\
[[cylinder]]\nname = \"back\"\nsize = \"steel 12 L 232 bar\"\ngas = \"air\"\nfill = \"200 bar\"\n\
[breathing]\nrate = \"1 L/min\"\n";
const WORN: &str = "[suit]\ngas_volume = \"10 L\"\nsupply = \"back\"\nmass = \"3 kg\"\nvolume = \"3 L\"\n\
[wing]\ncapacity = \"20 L\"\nsupply = \"back\"\nmass = \"1 kg\"\nvolume = \"0.5 L\"\n\
[[part]]\nname = \"hood\"\nmass = \"0.5 kg\"\nfoam = { volume = \"1 L\" }\n\
[[ballast]]\nname = \"belt\"\nmass = \"4 kg\"\n";
const LEGS: &str =
    "[dive]\n[[dive.leg]]\nto = \"20 m\"\nover = \"2 min\"\n[[dive.leg]]\nto = \"0 m\"\nspeed = \"9 m/min\"\n";

/// A day under water at one row a second, centimetres, with a thousand stops on the way up.
fn depth_m(second: usize, rows: usize) -> f64 {
    let down = rows / 40;
    if second < down {
        return 60.0 * second as f64 / down as f64;
    }
    let each = (rows - down).div_ceil(1000);
    let (stop, within) = ((second - down) / each, (second - down) % each);
    let deep_m = 60.0 * (1.0 - stop as f64 / 1000.0);
    // the last tenth of each is the way to the next stop
    let share = (within * 10).saturating_sub(each * 9) as f64 / each as f64;
    ((deep_m - 0.06 * share).max(0.0) * 100.0).round() / 100.0
}

fn with_file(name: &str, text: &str) -> TempDir {
    let folder = tempfile::tempdir().expect("a folder");
    std::fs::write(folder.path().join(name), text).expect("written");
    folder
}

fn with_profile(rows: usize) -> TempDir {
    let mut text = "time_s,depth_m\n".to_owned();
    for second in 0..rows {
        let _ = writeln!(text, "{second},{:.2}", depth_m(second, rows));
    }
    with_file("dive.csv", &text)
}

/// A profile, as `check` reads it: bound by 2 × rows quantities taken apart, then by the legs made and made fewer.
#[divan::bench(args = [8_000, 80_000], sample_count = 10)]
fn profile_rows(bencher: Bencher, rows: usize) {
    let folder = with_profile(rows);
    let plan = format!("{HEAD}[dive]\nprofile = \"dive.csv\"\n");
    bencher.bench_local(|| Plan::parse(&plan, "plan.toml", folder.path()).expect("a plan").build().expect("a dive"));
}

/// The same in a dry suit with wing and hood, read, run, searched for its lead: what `run` does before it shows anything.
/// Bound by the quantities taken apart, then by the runs over the legs that are left, six thousand of the 80 000.
#[divan::bench(args = [8_000, 80_000], sample_count = 10)]
fn run_of_profile_rows(bencher: Bencher, rows: usize) {
    let folder = with_profile(rows);
    let plan = format!("{}{WORN}[dive]\nprofile = \"dive.csv\"\n", HEAD.replace("1 L/min", "0.05 L/min"));
    bencher.bench_local(|| {
        let plan = Plan::parse(&plan, "plan.toml", folder.path()).expect("a plan");
        Answers::of(&plan).dive().expect("a dive")
    });
}

/// A list of gear: bound by 2 × rows quantities, and by the names, each copied twice.
#[divan::bench(args = [10_000, 100_000], sample_count = 10)]
fn gear_rows(bencher: Bencher, rows: usize) {
    let mut text = "name,mass,volume\n".to_owned();
    for row in 0..rows {
        let _ = writeln!(text, "g{row},1 kg,.5 L");
    }
    let folder = with_file("gear.csv", &text);
    let plan = format!("gear_list = \"gear.csv\"\n{HEAD}[[part]]\npiece = \"g{}\"\n{LEGS}", rows - 1);
    bencher.bench_local(|| Plan::parse(&plan, "plan.toml", folder.path()).expect("a plan").build().expect("a dive"));
}

/// Parts in the plan: bound by the TOML reader.
#[divan::bench(args = [1_000, 10_000], sample_count = 10)]
fn parts(bencher: Bencher, parts: usize) {
    let mut plan = HEAD.to_owned();
    for part in 0..parts {
        let _ = write!(plan, "[[part]]\nname = \"p{part}\"\nmass = \"0.01 kg\"\nmaterial = \"steel\"\n");
    }
    plan.push_str(LEGS);
    bencher.bench_local(|| Plan::parse(&plan, "plan.toml", "").expect("a plan").build().expect("a dive"));
}

/// Legs made fewer, alone: two looks at each.
#[divan::bench(args = [8_000, 80_000], sample_count = 20)]
fn simplified(bencher: Bencher, rows: usize) {
    let source = CylinderSet::of([0]);
    let leg =
        |second| Leg { end_s: second as f64, end_m: depth_m(second, rows), source, rate_m3_s: 3e-4, loop_mol_s: None };
    let legs: Vec<Leg> = (1..rows).map(leg).collect();
    let bound = Bound { lift_kg_m: &|_| 4e-3, gas_kg_m4: 0.13, air_m: 10.1, kept_m: &[6.0], kept_s: &[] };
    bencher.bench_local(|| simplify(0.0, black_box(&legs), &bound));
}
