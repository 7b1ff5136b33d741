//! What if: a request tried elsewhere, with what that would cost, before anything is pinned.

use std::collections::BTreeSet;
use std::ops::ControlFlow;
use std::time::{Duration, Instant};

use anyhow::Context;
use chrono::{DateTime, NaiveDateTime, Utc};
use logistics::rounds::{Block, Change, Level, Outcome, Place, Rules, changes, keeps_pins, plan, tried};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::facts::{Facts, Index, gather};
use super::store::plans::{self as store, PlanRow};
use super::view::levels_of;
use super::words::{LevelName, PlanState};
use crate::access::{Act, Caller, enter};
use crate::error::{Code, Result, invalid, refuse};
use crate::ids::{ClubId, MachineId, NetworkId, PlanId, RequestId, RoundId};
use crate::machines::Span;
use crate::service::Service;

/// How long a question may take; people wait for the answer.
const TRIAL_LASTS: Duration = Duration::from_secs(5);

/// A request to be tried elsewhere.
#[derive(Debug, Clone, Serialize, Deserialize, ToSchema)]
pub struct TryPlace {
    /// Which request.
    pub request_id: RequestId,
    /// On which machine; null for any.
    pub machine_id: Option<MachineId>,
    /// When it would begin, network-local; null for any time at which it is served at all.
    #[schema(value_type = Option<String>, example = "2027-05-04T00:00:00")]
    pub half_day: Option<NaiveDateTime>,
}

/// What came of trying.
#[derive(Debug, Serialize, ToSchema)]
pub struct Trial {
    /// Whether it can be there at all, others moved as need be.
    pub possible: bool,
    /// Whether this is the best way to have it there, or the best found in the time.
    pub proven: bool,
    /// What changes, level by level: nothing here means that it costs nothing.
    pub changes: Vec<LevelChange>,
    /// The request and all others that would have another place.
    pub moves: Vec<TriedPlace>,
}

/// A level before and after.
#[derive(Debug, Serialize, ToSchema)]
pub struct LevelChange {
    /// The level.
    pub level: LevelName,
    /// In the plan as it is.
    pub before: i64,
    /// With the request there.
    pub after: i64,
    /// By how much that is worse; negative where it is better.
    pub worse_by: i64,
}

/// A request that would have another place.
#[derive(Debug, Serialize, ToSchema)]
pub struct TriedPlace {
    /// The request.
    pub request_id: RequestId,
    /// Whose.
    pub club_id: ClubId,
    /// The club's name.
    pub club_name: String,
    /// Where it is now; null where it goes without.
    pub from: Option<Span>,
    /// Where it would be; null where it would go without.
    pub to: Option<Span>,
}

/// Tries a request elsewhere in a plan. Nothing is kept.
///
/// # Errors
/// `not_found`, `not_your_role`; `plan_not_ready`; `invalid` for a request, machine or half-day outside the round.
pub async fn try_place(
    service: &Service,
    caller: &Caller,
    (network, round, id): (NetworkId, RoundId, PlanId),
    said: &TryPlace,
    now: DateTime<Utc>,
) -> Result<Trial> {
    let (mut tx, member) = enter(service, caller, network).await?;
    member.require(Act::RunRound, None)?;
    let row = store::find(&mut tx, network, id).await?;
    if row.round_id != round {
        return Err(diesel::result::Error::NotFound.into());
    }
    if !matches!(row.state, PlanState::Ready | PlanState::Chosen) {
        return Err(refuse(Code::PlanNotReady, "It is not there yet, or another took its place.").into());
    }
    let facts = gather(&mut tx, network, (round, row.purpose), now).await?;
    let blocks = store::blocks_of(&mut tx, network, &[id]).await?;
    // The planner may think for seconds: nobody's lock and no connection waits for it.
    drop(tx);
    let (request, place) = read(&facts.index, said)?;
    let before: Vec<Block> = blocks.iter().filter_map(|block| facts.index.block(block)).collect();
    let trial = tokio::task::spawn_blocking(move || answer(&facts, &row, &before, (request, &place)));
    trial.await.context("the planner broke off")?
}

/// The request and the place that are meant.
fn read(index: &Index, said: &TryPlace) -> Result<(usize, Place)> {
    let missing = |field, words| move || invalid(field, words);
    let request =
        index.request(said.request_id).ok_or_else(missing("request_id", "It is not asked for in this round."))?;
    let machine = said
        .machine_id
        .map(|id| index.machine(id).ok_or_else(missing("machine_id", "It is not in this round.")))
        .transpose()?;
    let start = said
        .half_day
        .map(|at| index.slot_of(at).ok_or_else(missing("half_day", "It lies outside the round.")))
        .transpose()?;
    let place = match (start, machine) {
        (None, None) => Place::Anywhere,
        (start, machine) => {
            let starts = start.map_or(0..index.slots(), |start| start..start + 1);
            Place::Within { starts, machine }
        }
    };
    Ok((request, place))
}

fn answer(facts: &Facts, row: &PlanRow, before: &[Block], (request, place): (usize, &Place)) -> Result<Trial> {
    let moved = tried(&facts.problem, request, place);
    let until = Instant::now() + TRIAL_LASTS;
    let order = row.plan_order.with_worth(row.hm_per_point);
    let outcome = plan(&moved, order, &mut |_| match Instant::now() < until {
        true => ControlFlow::Continue(()),
        false => ControlFlow::Break(()),
    })
    .map_err(anyhow::Error::from)?;
    let possible = keeps_pins(&moved, &outcome);
    let levels: Vec<(Level, i64)> =
        levels_of(&row.levels).into_iter().map(|level| (level.level.into(), level.value)).collect();
    let changed = if possible { changes(&levels, &outcome.levels) } else { Vec::new() };
    Ok(Trial {
        possible,
        proven: outcome.is_proven(),
        changes: changed.iter().filter(|change| change.worse_by() != 0).map(level_change).collect(),
        moves: if possible { moves(facts, before, &outcome)? } else { Vec::new() },
    })
}

fn level_change(change: &Change) -> LevelChange {
    LevelChange { level: change.level.into(), before: change.before, after: change.after, worse_by: change.worse_by() }
}

fn moves(facts: &Facts, before: &[Block], outcome: &Outcome) -> Result<Vec<TriedPlace>> {
    let of = |blocks: &[Block], request: usize| blocks.iter().find(|block| block.request == request).copied();
    let numbers: BTreeSet<usize> = before.iter().chain(&outcome.blocks).map(|block| block.request).collect();
    let rules = Rules::new(&facts.problem).map_err(anyhow::Error::from)?;
    let mut moves = Vec::new();
    for number in numbers {
        let (from, to) = (of(before, number), of(&outcome.blocks, number));
        let place = |block: Option<Block>| block.map(|block| (block.machine, block.start, block.crew));
        let Some(request) = facts.index.round.requests.get(number).filter(|_| place(from) != place(to)) else {
            continue;
        };
        let span = |block: Option<Block>| {
            block.map(|block| facts.index.span(block.start..rules.end(&block)).map(Span::from)).transpose()
        };
        moves.push(TriedPlace {
            request_id: request.request_id,
            club_id: request.club_id,
            club_name: request.club_name.clone(),
            from: span(from)?,
            to: span(to)?,
        });
    }
    Ok(moves)
}
