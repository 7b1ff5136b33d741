//! What the page of needs looks at of rounds. Scope: the network.

use chrono::{DateTime, NaiveDateTime, Utc};
use diesel::prelude::*;
use diesel_async::{AsyncPgConnection, RunQueryDsl};

use super::Gathering;
use crate::error::Result;
use crate::ids::{ClubId, NetworkId, RoundId};
use crate::machines::StoredSpan;
use crate::schema::{clubs, machines, round_offers, round_requests, rounds};

/// Rounds that take requests, in order of closing.
pub(in crate::network::needs) async fn rounds_that_gather(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    of_clubs: &[ClubId],
    now: DateTime<Utc>,
) -> Result<Vec<Gathering<RoundId>>> {
    let open: Vec<(RoundId, String, DateTime<Utc>)> = rounds::table
        .filter(rounds::network_id.eq(network))
        .filter(rounds::state.eq("gathering"))
        .filter(rounds::requests_close_at.gt(now))
        .select((rounds::id, rounds::title, rounds::requests_close_at))
        .order((rounds::requests_close_at, rounds::id))
        .load(tx)
        .await?;
    let ids: Vec<_> = open.iter().map(|&(id, ..)| id).collect();
    let asked: Vec<(RoundId, ClubId)> = round_requests::table
        .filter(round_requests::network_id.eq(network))
        .filter(round_requests::round_id.eq_any(ids))
        .filter(round_requests::club_id.eq_any(of_clubs))
        .filter(round_requests::state.eq("asked"))
        .select((round_requests::round_id, round_requests::club_id))
        .load(tx)
        .await?;
    let with_requests = open.into_iter().map(|(id, title, closes_at)| {
        let joined = asked.iter().filter(|&&(round, _)| round == id).map(|&(_, club)| club).collect();
        Gathering { id, title, closes_at, joined }
    });
    Ok(with_requests.collect())
}

/// The rounds whose requests have closed and whose places are not offered, with how many ask, first closed first.
pub(in crate::network::needs) async fn closed_rounds(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
) -> Result<Vec<(RoundId, String, i64)>> {
    let asked = round_requests::table
        .filter(round_requests::network_id.eq(rounds::network_id))
        .filter(round_requests::round_id.eq(rounds::id))
        .filter(round_requests::state.eq("asked"));
    Ok(rounds::table
        .filter(rounds::network_id.eq(network))
        .filter(rounds::state.eq("requests_closed"))
        .select((rounds::id, rounds::title, asked.count().single_value().assume_not_null()))
        .order((rounds::requests_close_at, rounds::id))
        .load(tx)
        .await?)
}

/// A place that waits for a club's answer.
pub(in crate::network::needs) struct PlaceOnOffer {
    pub(in crate::network::needs) round: RoundId,
    pub(in crate::network::needs) machine: String,
    pub(in crate::network::needs) club: String,
    pub(in crate::network::needs) from: NaiveDateTime,
    pub(in crate::network::needs) until: NaiveDateTime,
    pub(in crate::network::needs) answer_by: DateTime<Utc>,
}

/// The places that some clubs can still answer, in order of their dates.
pub(in crate::network::needs) async fn places(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    of_clubs: &[ClubId],
    now: DateTime<Utc>,
) -> Result<Vec<PlaceOnOffer>> {
    type Row = (RoundId, String, String, StoredSpan, DateTime<Utc>);
    let of_club = clubs::network_id.eq(round_offers::network_id).and(clubs::id.eq(round_offers::club_id));
    let of_machine = machines::network_id.eq(round_offers::network_id).and(machines::id.eq(round_offers::machine_id));
    let rows: Vec<Row> = round_offers::table
        .inner_join(clubs::table.on(of_club))
        .inner_join(machines::table.on(of_machine))
        .filter(round_offers::network_id.eq(network))
        .filter(round_offers::club_id.eq_any(of_clubs))
        .filter(round_offers::state.eq("offered"))
        .filter(round_offers::answer_by.gt(now))
        .select((round_offers::round_id, machines::name, clubs::name, round_offers::span, round_offers::answer_by))
        .order((round_offers::answer_by, round_offers::span, round_offers::id))
        .load(tx)
        .await?;
    let place = |(round, machine, club, span, answer_by): Row| PlaceOnOffer {
        round,
        machine,
        club,
        from: span.0.from(),
        until: span.0.until(),
        answer_by,
    };
    Ok(rows.into_iter().map(place).collect())
}

/// A round on offer: how many of its places have no answer, how many have, and the last date.
pub(in crate::network::needs) struct RoundOnOffer {
    pub(in crate::network::needs) id: RoundId,
    pub(in crate::network::needs) title: String,
    pub(in crate::network::needs) outstanding: usize,
    pub(in crate::network::needs) answered: usize,
    pub(in crate::network::needs) answer_by: Option<DateTime<Utc>>,
}

/// The rounds on offer, by title.
pub(in crate::network::needs) async fn rounds_on_offer(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
) -> Result<Vec<RoundOnOffer>> {
    type Row = (RoundId, String, String, DateTime<Utc>);
    let of_round = rounds::network_id.eq(round_offers::network_id).and(rounds::id.eq(round_offers::round_id));
    let rows: Vec<Row> = round_offers::table
        .inner_join(rounds::table.on(of_round))
        .filter(round_offers::network_id.eq(network))
        .filter(rounds::state.eq("offered"))
        .filter(round_offers::state.ne("withdrawn"))
        .select((rounds::id, rounds::title, round_offers::state, round_offers::answer_by))
        .order((rounds::title, rounds::id))
        .load(tx)
        .await?;
    let round = |rows: &[Row]| {
        let (id, title, ..) = rows.first()?;
        let outstanding = rows.iter().filter(|(_, _, state, _)| state == "offered").count();
        Some(RoundOnOffer {
            id: *id,
            title: title.clone(),
            outstanding,
            answered: rows.len() - outstanding,
            answer_by: rows.iter().map(|(.., answer_by)| *answer_by).max(),
        })
    };
    Ok(rows.chunk_by(|one, next| one.0 == next.0).filter_map(round).collect())
}
