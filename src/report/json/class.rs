//! A class, as JSON.

use schemars::JsonSchema;
use serde::Serialize;
use serde_json::{Value, json};

use crate::answer::class::{ClassFacts, Judged, Packing, Pile, PlacedLead, StudentFacts, Trouble};
use crate::report::class::words;
use crate::report::json::{Head, PlanSource, micro};
use crate::report::measure::UnitSystem;
use crate::report::{CAUTIONS, Source};
use crate::study::Choice;

/// The lead of a class
#[derive(Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
pub(super) struct ClassResult {
    #[serde(flatten)]
    head: Head,
    /// What it answers
    #[schemars(extend("const" = "class"))]
    command: &'static str,
    /// The class
    class: PlanSource,
    /// The students, in the order of the file
    students: Vec<Student>,
    /// The lead to bring for the dive
    bring: Bring,
    /// The lead to bring for the pool
    bring_to_pool: Bring,
    /// Pieces of the gear list that more students want at the same time than there are
    wanted: Vec<WantedPiece>,
    cautions: &'static str,
}

/// A student
#[derive(Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
struct Student {
    name: String,
    /// Null where there is no answer; `problems` or `error` say why
    lead: Option<Lead>,
    /// What is wrong with the student's plan
    problems: Vec<Fault>,
    /// Why the dive has no answer though its plan is right
    error: Option<String>,
}

/// A problem at its place
#[derive(Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
struct Fault {
    code: &'static str,
    message: String,
    file: String,
    /// From 1
    line: usize,
    /// From 1, in characters
    column: usize,
}

/// The lead of a student
#[derive(Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
struct Lead {
    /// Below zero where no lead is needed
    least_kg: f64,
    /// Below zero where the diver is too heavy without any
    most_kg: f64,
    /// The least sum of pieces that stays down in 95 of 100 trials; null where none is advised, or no trials were made
    advised_kg: Option<f64>,
    /// The least lead in pieces that exist, its doubt left out
    least_in_pieces_kg: Option<f64>,
    /// Lower end of the 95 % interval of the least lead, not below zero
    least_low_kg: Option<f64>,
    /// Upper end of it
    least_high_kg: Option<f64>,
    /// Share of the variance of the least lead that comes from typical figures
    typical_frac: Option<f64>,
    /// Share of the trials in which the advised lead stays down; null where none is advised
    holds_frac: Option<f64>,
    /// Share of the trials in which it can be swum up with a failed wing
    swims_frac: Option<f64>,
    /// Ballast of the plan
    own_kg: f64,
    /// What the plan carries above the least, where that is more than its doubt and a piece
    needless_kg: Option<f64>,
    /// The lead with which the dive is judged where the plan has none
    judged_with_kg: Option<f64>,
    /// What is wrong, the worst first
    trouble: Vec<TroubleTold>,
    /// What to take of the lead that there is, the heaviest first; null where there is nothing to take, or it is missing
    takes_kg: Option<Vec<f64>>,
    /// Lead with which the student hangs neutral in the pool; below zero where none is needed
    pool_kg: f64,
    /// What to take to the pool, the heaviest first
    takes_to_pool_kg: Option<Vec<f64>>,
    /// Where the advised lead, else the plan's own, turns the diver least; empty where there is none, or no trials were made
    places: Vec<PlacedPieces>,
}

/// Lead at a place
#[derive(Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
struct PlacedPieces {
    place: String,
    /// The heaviest first
    pieces_kg: Vec<f64>,
}

/// Something that is wrong
#[derive(Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
struct TroubleTold {
    kind: TroubleKind,
    text: String,
}

/// What is wrong
#[derive(Serialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
enum TroubleKind {
    OutOfGas,
    /// The breathing loop runs out of oxygen
    OxygenOut,
    /// It runs out of diluent
    DiluentOut,
    /// The partial pressure of its oxygen leaves the limits
    LoopOxygen,
    /// Its absorbent is used up
    AbsorbentSpent,
    NoLeadIsRight,
    FailedWing,
    FloatsUp,
    WingTooSmall,
    /// Typical figures are most of the doubt: nothing is advised before a check
    RepeatCheck,
    CheckFirst,
    DoubtTooWide,
    PiecesTooCoarse,
    PiecesTooFew,
    NeedlessLead,
}

/// Lead for all students
#[derive(Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
struct Bring {
    lead_kg: f64,
    pieces: Vec<PileOfPieces>,
    /// Pieces that are missing of those that there are
    missing: Vec<PileOfPieces>,
    /// Students for whom nothing is left
    without: Vec<String>,
}

/// Pieces of one mass
#[derive(Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
struct PileOfPieces {
    piece_kg: f64,
    count: usize,
}

/// A piece of the gear list
#[derive(Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
struct WantedPiece {
    piece: String,
    list: String,
    wanted: u64,
    has: u64,
    students: Vec<String>,
}

/// A class.
pub fn result(source: &Source, facts: &ClassFacts) -> Value {
    let name = |index: &usize| facts.students[*index].name.clone();
    let bring = |packing: &Packing| Bring {
        lead_kg: micro(packing.bring_kg()),
        pieces: packing.bring.iter().map(pile).collect(),
        missing: packing.missing.iter().map(pile).collect(),
        without: packing.without.iter().map(name).collect(),
    };
    json!(ClassResult {
        head: Head::new(),
        command: "class",
        class: PlanSource::of(source),
        students: (0..facts.students.len()).map(|index| student(facts, index)).collect(),
        bring: bring(&facts.sea),
        bring_to_pool: bring(&facts.pool),
        wanted: facts
            .wanted
            .iter()
            .map(|one| WantedPiece {
                piece: one.piece.clone(),
                list: one.list.clone(),
                wanted: one.wanted,
                has: one.has,
                students: one.students.iter().map(name).collect(),
            })
            .collect(),
        cautions: CAUTIONS,
    })
}

fn pile(pile: &Pile) -> PileOfPieces {
    PileOfPieces { piece_kg: micro(pile.piece_kg), count: pile.count }
}

fn student(facts: &ClassFacts, index: usize) -> Student {
    let one = &facts.students[index];
    let problems: Vec<Fault> = match &one.facts {
        Ok(_) => Vec::new(),
        Err(_) => facts
            .faults
            .of(index)
            .map(|problem| {
                let source = &facts.faults.sources[problem.source];
                let (line, column) = source.line_column(problem.span.start);
                let (code, message) = (problem.code.as_str(), problem.message.clone());
                Fault { code, message, file: source.name.clone(), line, column }
            })
            .collect(),
    };
    Student {
        name: one.name.clone(),
        lead: one.facts.as_ref().ok().map(|found| lead(facts, index, found)),
        error: one.facts.as_ref().err().filter(|_| problems.is_empty()).map(ToString::to_string),
        problems,
    }
}

fn lead(facts: &ClassFacts, index: usize, found: &StudentFacts) -> Lead {
    let sure = found.sure.as_ref();
    let advised = sure.and_then(|sure| sure.advised.as_ref());
    let kg = |choice: Option<&Choice>| choice.map(|choice| micro(choice.lead_kg));
    let pieces =
        |choice: &Option<Choice>| choice.as_ref().map(|one| one.pieces_kg.iter().map(|kg| micro(*kg)).collect());
    Lead {
        least_kg: micro(found.lead.least_kg),
        most_kg: micro(found.lead.most_kg),
        advised_kg: kg(advised),
        least_in_pieces_kg: kg(found.barely.as_ref()),
        least_low_kg: sure.map(|sure| micro(sure.interval.low)),
        least_high_kg: sure.map(|sure| micro(sure.interval.high)),
        typical_frac: sure.map(|sure| micro(sure.typical_frac)),
        holds_frac: sure.filter(|_| advised.is_some()).map(|sure| micro(sure.holds_frac)),
        swims_frac: sure.filter(|_| advised.is_some()).map(|sure| micro(sure.swims_frac)),
        own_kg: micro(found.own.ballast_kg),
        needless_kg: sure.and_then(|sure| sure.needless_kg).map(micro),
        judged_with_kg: match found.judged {
            Judged::WithLead { lead_kg } => Some(micro(lead_kg)),
            Judged::AsPlanned | Judged::Without => None,
        },
        trouble: found.trouble.iter().map(told).collect(),
        takes_kg: pieces(&facts.sea.taken[index]),
        pool_kg: micro(found.pool_kg),
        takes_to_pool_kg: pieces(&facts.pool.taken[index]),
        places: found.places.iter().map(placed).collect(),
    }
}

fn placed(of: &PlacedLead) -> PlacedPieces {
    PlacedPieces { place: of.place.clone(), pieces_kg: of.pieces_kg.iter().map(|kg| micro(*kg)).collect() }
}

fn told(trouble: &Trouble) -> TroubleTold {
    let kind = match trouble {
        Trouble::OutOfGas => TroubleKind::OutOfGas,
        Trouble::LoopSupplyOut { is_oxygen: true, .. } => TroubleKind::OxygenOut,
        Trouble::LoopSupplyOut { is_oxygen: false, .. } => TroubleKind::DiluentOut,
        Trouble::LoopOxygen { .. } => TroubleKind::LoopOxygen,
        Trouble::AbsorbentSpent { .. } => TroubleKind::AbsorbentSpent,
        Trouble::NoLeadIsRight { .. } => TroubleKind::NoLeadIsRight,
        Trouble::FailedWing { .. } => TroubleKind::FailedWing,
        Trouble::FloatsUp { .. } => TroubleKind::FloatsUp,
        Trouble::WingTooSmall { .. } => TroubleKind::WingTooSmall,
        Trouble::RepeatCheck => TroubleKind::RepeatCheck,
        Trouble::CheckFirst => TroubleKind::CheckFirst,
        Trouble::DoubtTooWide => TroubleKind::DoubtTooWide,
        Trouble::PiecesTooCoarse => TroubleKind::PiecesTooCoarse,
        Trouble::PiecesTooFew => TroubleKind::PiecesTooFew,
        Trouble::Needless { .. } => TroubleKind::NeedlessLead,
    };
    TroubleTold { kind, text: words(UnitSystem::Metric, trouble) }
}
