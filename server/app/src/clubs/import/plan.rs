//! What rows and places known already come to together: what to add, and which rows contradict.
//!
//! A place is described by the network if it is there, otherwise by the first line that names it; every later line
//! must say the same.

use std::collections::HashMap;

use super::super::club::ClubFacts;
use super::super::ground::GroundFacts;
use super::super::pitch::PitchFacts;
use super::ImportFault;
use super::sheet::Row;
use crate::ids::{ClubId, GroundId, PitchId};

/// A place and who described it.
pub(super) struct Known<I, F> {
    pub(super) id: I,
    pub(super) facts: F,
    /// The line that described it; none if it is in the network.
    pub(super) said_in: Option<u64>,
}

/// Every place known so far, by what people call it.
#[derive(Default)]
pub(super) struct Places {
    pub(super) clubs: HashMap<String, Known<ClubId, ClubFacts>>,
    pub(super) grounds: HashMap<(ClubId, String), Known<GroundId, GroundFacts>>,
    pub(super) pitches: HashMap<(GroundId, String), Option<u64>>,
}

/// What to add.
#[derive(Default)]
pub(super) struct Plan {
    pub(super) clubs: Vec<(ClubId, ClubFacts)>,
    pub(super) grounds: Vec<(GroundId, ClubId, GroundFacts)>,
    pub(super) pitches: Vec<(PitchId, GroundId, ClubId, PitchFacts)>,
}

/// Draws up what to add, and names the rows that contradict what is known.
pub(super) fn draw(rows: Vec<Row>, mut known: Places) -> (Plan, Vec<ImportFault>) {
    let mut plan = Plan::default();
    let mut faults = Vec::new();
    for row in rows {
        let line = row.line;
        match place(row, &mut known, &mut plan) {
            Ok(()) => {}
            Err((column, reason)) => faults.push(ImportFault::of_column(line, column, reason)),
        }
    }
    (plan, faults)
}

/// Finds or adds club, ground and pitch of a row; refuses with column and reason.
fn place(row: Row, known: &mut Places, plan: &mut Plan) -> Result<(), (&'static str, String)> {
    let club = known.clubs.entry(row.club.name().to_owned()).or_insert_with(|| {
        let id = ClubId::new();
        plan.clubs.push((id, row.club.clone()));
        Known { id, facts: row.club.clone(), said_in: Some(row.line) }
    });
    agree("club", &row.club.spoken(), &club.facts.spoken(), club.said_in)?;
    let ground = known.grounds.entry((club.id, row.ground.name().to_owned())).or_insert_with(|| {
        let id = GroundId::new();
        plan.grounds.push((id, club.id, row.ground.clone()));
        Known { id, facts: row.ground.clone(), said_in: Some(row.line) }
    });
    agree("ground", &row.ground.spoken(), &ground.facts.spoken(), ground.said_in)?;
    match known.pitches.insert((ground.id, row.pitch.name().to_owned()), Some(row.line)) {
        None => plan.pitches.push((PitchId::new(), ground.id, club.id, row.pitch)),
        Some(None) => return Err(("pitch", "The network has this pitch already; take the line out.".to_owned())),
        Some(Some(line)) => return Err(("pitch", format!("Line {line} has this pitch already."))),
    }
    Ok(())
}

/// Refuses what is said otherwise now than before, at the first column that differs.
fn agree<const N: usize>(
    what: &str,
    now: &[(&'static str, String); N],
    before: &[(&'static str, String); N],
    said_in: Option<u64>,
) -> Result<(), (&'static str, String)> {
    let Some((_, (column, before))) = now.iter().zip(before).find(|(now, before)| now != before) else {
        return Ok(());
    };
    let before = if before.is_empty() { "nothing" } else { before };
    Err((
        column,
        match said_in {
            Some(line) => format!("Line {line} says {before} of the same {what}."),
            None => format!("The network has this {what} already, with {before}; change it there or here."),
        },
    ))
}
