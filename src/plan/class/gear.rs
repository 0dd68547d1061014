//! Which pieces of the gear list a plan takes, and how many of each there are.

use crate::plan::Plan;

/// A piece of a gear list in a plan.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PieceUse {
    /// The gear list, by its file.
    pub list: String,
    /// Name of the piece.
    pub piece: String,
    /// How many the plan takes.
    pub takes: u32,
    /// How many there are.
    pub has: u32,
}

/// The pieces of its gear list that a plan takes, in the order of the plan.
pub fn pieces(plan: &Plan) -> Vec<PieceUse> {
    let (Some(gear), file) = (&plan.gear, &plan.file) else { return Vec::new() };
    let count = |count: Option<i64>| u32::try_from(count.unwrap_or(1).max(1)).unwrap_or(u32::MAX);
    let parts = file.part.iter().map(|part| (&part.piece, count(part.count)));
    let ballast = file.ballast.iter().map(|one| (&one.piece, count(one.count)));
    let suit = file.suit.iter().map(|suit| (&suit.piece, 1));
    let wing = file.wing.iter().map(|wing| (&wing.piece, 1));
    // one of what hangs on it for each single cylinder
    let rigging = file.cylinder.iter().filter_map(|cylinder| {
        let hung = cylinder.rigging.as_ref()?;
        Some((&hung.piece, count(cylinder.count).saturating_mul(count(hung.count))))
    });
    let mut found: Vec<PieceUse> = Vec::new();
    for (piece, takes) in parts.chain(ballast).chain(suit).chain(wing).chain(rigging) {
        let Some(known) = piece.as_ref().and_then(|piece| gear.find(piece)).map(|at| &gear.pieces[at]) else {
            continue;
        };
        match found.iter_mut().find(|one| one.piece == known.name) {
            Some(one) => one.takes = one.takes.saturating_add(takes),
            None => found.push(PieceUse {
                // one that stands in the plan is the same for all students
                list: match plan.inside.contains(&gear.source) {
                    true => gear.file.clone(),
                    false => plan.sources[gear.source].name.clone(),
                },
                piece: known.name.clone(),
                takes,
                has: known.count,
            }),
        }
    }
    found
}
