//! Queries on turns. Scope of all: the network.

use chrono::{DateTime, Utc};
use diesel::dsl::{auto_type, exists, not};
use diesel::prelude::*;
use diesel_async::{AsyncPgConnection, RunQueryDsl};
use logistics::turns::{Entry, Outcome, Turn};

use super::words::TurnKind;
use crate::error::Result;
use crate::ids::{ClubId, NetworkId, RequestId, RoundId, TurnId};
use crate::schema::{clubs, grounds, round_requests, rounds, turns};

/// An entry with the names that go with it.
#[derive(Queryable)]
pub(super) struct TurnRow {
    pub(super) id: TurnId,
    pub(super) club_id: ClubId,
    pub(super) club_name: String,
    pub(super) round_id: RoundId,
    pub(super) round_title: String,
    pub(super) ground_name: String,
    pub(super) season: i32,
    pub(super) kind: TurnKind,
    pub(super) entered_at: DateTime<Utc>,
}

/// A turn to enter.
#[derive(Clone, Copy)]
pub(super) struct NewTurn {
    pub(super) request_id: RequestId,
    pub(super) club_id: ClubId,
    pub(super) kind: TurnKind,
    /// The entry it takes the place of.
    pub(super) counters: Option<TurnId>,
}

impl NewTurn {
    /// The first entry of a request.
    pub(super) fn of(request_id: RequestId, club_id: ClubId, outcome: Outcome) -> Self {
        Self { request_id, club_id, kind: TurnKind::from(Turn::of(outcome)), counters: None }
    }
}

diesel::alias!(turns as later: Later);

/// Whether a later entry takes the place of this one.
#[auto_type]
fn is_countered() -> _ {
    let of_network = later.field(turns::network_id).eq(turns::network_id);
    exists(later.filter(of_network).filter(later.field(turns::counters).eq(turns::id.nullable())))
}

/// Enters what became of each request.
pub(super) async fn insert(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    (round, season): (RoundId, i32),
    new: &[NewTurn],
    now: DateTime<Utc>,
) -> Result<()> {
    let rows = new.iter().map(|turn| {
        (
            turns::network_id.eq(network),
            turns::id.eq(TurnId::new()),
            turns::round_id.eq(round),
            turns::request_id.eq(turn.request_id),
            turns::club_id.eq(turn.club_id),
            turns::season.eq(season),
            turns::kind.eq(turn.kind),
            turns::counters.eq(turn.counters),
            turns::entered_at.eq(now),
        )
    });
    diesel::insert_into(turns::table).values(rows.collect::<Vec<_>>()).execute(tx).await?;
    Ok(())
}

/// What stands of each request of a round.
pub(super) async fn standing(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    round: RoundId,
) -> Result<Vec<(RequestId, TurnId, TurnKind)>> {
    Ok(turns::table
        .filter(turns::network_id.eq(network))
        .filter(turns::round_id.eq(round))
        .filter(not(is_countered()))
        .select((turns::request_id, turns::id, turns::kind))
        .load(tx)
        .await?)
}

/// Every entry that stands by club, latest first.
pub(super) async fn list(tx: &mut AsyncPgConnection, network: NetworkId) -> Result<Vec<TurnRow>> {
    let of_club = clubs::network_id.eq(turns::network_id).and(clubs::id.eq(turns::club_id));
    let of_round = rounds::network_id.eq(turns::network_id).and(rounds::id.eq(turns::round_id));
    let of_request = round_requests::network_id.eq(turns::network_id).and(round_requests::id.eq(turns::request_id));
    let of_ground = grounds::network_id.eq(turns::network_id).and(grounds::id.eq(round_requests::ground_id));
    Ok(turns::table
        .inner_join(clubs::table.on(of_club))
        .inner_join(rounds::table.on(of_round))
        .inner_join(round_requests::table.on(of_request))
        .inner_join(grounds::table.on(of_ground))
        .filter(turns::network_id.eq(network))
        .filter(not(is_countered()))
        .select((
            turns::id,
            clubs::id,
            clubs::name,
            rounds::id,
            rounds::title,
            grounds::name,
            turns::season,
            turns::kind,
            turns::entered_at,
        ))
        .order((clubs::name, clubs::id, turns::season.desc(), turns::entered_at.desc(), turns::id.desc()))
        .load(tx)
        .await?)
}

/// The entries that make the balances, one round aside, latest first: whose, and what.
///
/// # Errors
/// A failing database.
pub async fn entries_of(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    aside: RoundId,
) -> Result<Vec<(ClubId, Entry)>> {
    let rows: Vec<(ClubId, i32, TurnKind)> = turns::table
        .filter(turns::network_id.eq(network))
        .filter(turns::round_id.ne(aside))
        .filter(not(is_countered()))
        .select((turns::club_id, turns::season, turns::kind))
        .order((turns::entered_at.desc(), turns::id.desc()))
        .load(tx)
        .await?;
    let entry = |(club, season, kind): (ClubId, i32, TurnKind)| (club, Entry { season, turn: kind.into() });
    Ok(rows.into_iter().map(entry).collect())
}

/// What became of each club in each of its rounds, by club and, within a club, the latest round first.
pub(super) async fn by_round(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
) -> Result<Vec<(ClubId, RoundId, TurnKind)>> {
    let of_round = rounds::network_id.eq(turns::network_id).and(rounds::id.eq(turns::round_id));
    Ok(turns::table
        .inner_join(rounds::table.on(of_round))
        .filter(turns::network_id.eq(network))
        .filter(not(is_countered()))
        .select((turns::club_id, turns::round_id, turns::kind))
        .order((turns::club_id, rounds::from_on.desc(), turns::round_id.desc()))
        .load(tx)
        .await?)
}
