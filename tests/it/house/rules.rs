//! The rules as data. To move a room or to add one, edit `LAYERS`; to allow what a rule forbids, add a line with its
//! reason to `ALLOWANCES`, and delete it when the code no longer needs it: a line that allows more than there is fails.

/// Layers by top module: a module imports lower numbers only, itself excepted. `page` is still to come.
pub const LAYERS: &[(&str, u8)] = &[
    ("units", 1),
    ("physics", 2),
    ("estimate", 2),
    ("rig", 3),
    ("profile", 3),
    ("scenario", 4),
    ("sim", 5),
    ("findings", 6),
    ("study", 7),
    ("plan", 8),
    ("answer", 9),
    ("report", 10),
    (ROOT, 10), // what `lib.rs` itself defines: it may name every layer's errors, so only the border may use it
    ("cli", 11),
    ("page", 11),
    ("main", 12),
];

/// The crate's root, `lib.rs`. It re-exports from everywhere; what it re-exports counts as where it comes from.
pub const ROOT: &str = "lib";

/// Imports within one layer.
pub const BESIDE: &[(&str, &str)] = &[
    // sets of cylinders are a value type of what is worn
    ("profile", "rig"),
];

/// Imports of a lower layer that are forbidden all the same, with the reason.
pub const NEVER: &[(&str, &[&str], &str)] = &[
    ("plan", &["sim", "findings", "study"], "a plan is checked without being run"),
    ("report", &["plan"], "a report turns facts into words, whatever they were made from"),
    ("cli", &["sim", "findings", "study"], "the command line parses, calls and prints; answers are put together below"),
    ("page", &["sim", "findings", "study"], "the page asks for answers as the command line does"),
];

/// Folders and files that may print, end the program or look at its environment.
pub const PRINTS: &[&str] = &["cli/"];
/// Folders and files that may read files.
pub const READS: &[&str] = &["plan/", "cli/"];
/// Folders and files that may write files.
pub const WRITES: &[&str] = &["cli/"];

/// Modules whose public numbers are SI with the unit in the name. The others hold figures of the plan in the trade's
/// units, ready-made statistics or sizes of a drawing.
pub const IN_SI: &[&str] = &["units", "physics", "rig", "profile", "scenario", "sim", "findings", "answer"];

/// Files of pure mathematics, whose numbers are of any quantity.
pub const ANY_QUANTITY: &[&str] = &["physics/cheb.rs", "sim/locate.rs", "units/quantity.rs"];

/// Ends of names that say a unit. Ratios end in `_frac` or `_ratio`.
#[rustfmt::skip]
pub const UNITS: &[&str] = &[
    "s", "m", "m2", "m3", "pa", "k", "kg", "mol", "n", "px", "frac", "ratio", "celsius", "fahrenheit",
    "kg_m3", "m3_s", "mol_m3", "kg_mol", "m_s", "m_s2", "pa_m", "j_mol", "j_mol_k", "kg_m4", "m3_mol", "rad", "deg",
    "nm", "n_m", "kg_m",
];

/// Numbers that have no unit: relative errors, and salinity on the practical scale.
pub const WITHOUT_UNIT: &[&str] =
    &["ledger_error", "LEDGER_TOLERANCE", "TABLE_ERROR", "ERROR", "SALINITY_RANGE", "practical_salinity"];

/// The one place that may write `ρ·V − m` down: what a mass and a volume lift.
pub const ONE_SUM: &[&str] = &["physics/bulk.rs"];

/// Something that a rule forbids and that stands all the same.
pub struct Allowance {
    /// Name of the rule.
    pub rule: &'static str,
    /// File below `src`, or a folder with a slash at its end.
    pub place: &'static str,
    /// A part of what the rule says about it; empty: anything in that place.
    pub what: &'static str,
    /// How often.
    pub times: usize,
    /// The day it was written down.
    pub since: &'static str,
    /// Why it stands, and what takes it away.
    pub why: &'static str,
}

/// What stands for now.
#[rustfmt::skip]
pub const ALLOWANCES: &[Allowance] = &[
    // words
    allow("words", "report/live.rs", "wasm-unsafe-eval", 1, "the standard's own word for leave to run WebAssembly"),
    // numbers
    allow("numbers", "answer/doubt.rs", "`drawn`", 1, "figures of any quantity, each beside its input"),
    allow("numbers", "answer/list.rs", "`figures`", 1, "figures of any quantity, each beside its key"),
    allow("numbers", "answer/list.rs", "`figure`", 1, "a figure of any quantity, which the key has"),
    allow("numbers", "answer/sweep.rs", "`own`", 1, "in the unit of the plan, which the question names"),
    allow("numbers", "answer/sweep.rs", "`numbers`", 1, "in the unit of the plan, which stands beside them"),
    allow("numbers", "rig/mod.rs", "`value`", 2, "checks a figure of any quantity; goes with the checked constructors"),
    allow("numbers", "physics/water.rs", "value of `density`", 1, "kg/m³; a field with a name would say so"),
    allow("numbers", "physics/water.rs", "`layer_span_m`", 1, "two depths; a range would say which is which"),
    allow("numbers", "findings/trim.rs", "value of `at`", 1, "an angle, rad; a field with a name would say so"),
    allow("numbers", "profile/mod.rs", "`leg_start`", 1, "time and depth; a point of the profile would say so"),
    allow("numbers", "sim/span.rs", "", 5, "a moment and the value of any quantity there"),
    allow("numbers", "findings/pool_check.rs", "value of `gauge`", 1, "a pressure in Pa; goes with the one list of terms"),
];

const fn allow(
    rule: &'static str,
    place: &'static str,
    what: &'static str,
    times: usize,
    why: &'static str,
) -> Allowance {
    Allowance { rule, place, what, times, since: "2026-11-25", why }
}
