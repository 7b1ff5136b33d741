//! What the page of needs looks at of rounds that are on offer; as `needs_store`, it only reads. Scope: the network.

use chrono::{DateTime, NaiveDateTime, Utc};
use diesel::prelude::*;
use diesel_async::{AsyncPgConnection, RunQueryDsl};

use crate::error::Result;
use crate::ids::{ClubId, NetworkId, RoundId};
use crate::machines::StoredSpan;
use crate::schema::{clubs, machines, round_offers, rounds};

/// A place that waits for a club's answer.
pub(super) struct PlaceOnOffer {
    pub(super) round: RoundId,
    pub(super) machine: String,
    pub(super) club: String,
    pub(super) from: NaiveDateTime,
    pub(super) until: NaiveDateTime,
    pub(super) answer_by: DateTime<Utc>,
}

/// The places that some clubs can still answer, in order of their dates.
pub(super) async fn places(
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
pub(super) struct RoundOnOffer {
    pub(super) id: RoundId,
    pub(super) title: String,
    pub(super) outstanding: usize,
    pub(super) answered: usize,
    pub(super) answer_by: Option<DateTime<Utc>>,
}

/// The rounds on offer, by title.
pub(super) async fn rounds_on_offer(tx: &mut AsyncPgConnection, network: NetworkId) -> Result<Vec<RoundOnOffer>> {
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
