//! Queries on tractors with operators that clubs have in a round. Scope of all: the network.

use diesel::prelude::*;
use diesel_async::{AsyncPgConnection, RunQueryDsl};

use crate::error::Result;
use crate::hires::words::{RequestState, Tractor};
use crate::ids::{ClubId, NetworkId, RoundId};
use crate::schema::{clubs, grounds, round_crews, round_requests};

/// What a club said of its tractors in a round.
#[derive(Queryable)]
pub(in crate::hires) struct CrewsRow {
    pub(in crate::hires) club_id: ClubId,
    pub(in crate::hires) club_name: String,
    pub(in crate::hires) crews: i32,
    pub(in crate::hires) lends: bool,
}

/// What clubs said, by name.
pub(in crate::hires) async fn list(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    round: RoundId,
) -> Result<Vec<CrewsRow>> {
    let of_club = clubs::network_id.eq(round_crews::network_id).and(clubs::id.eq(round_crews::club_id));
    Ok(round_crews::table
        .inner_join(clubs::table.on(of_club))
        .filter(round_crews::network_id.eq(network))
        .filter(round_crews::round_id.eq(round))
        .select((clubs::id, clubs::name, round_crews::crews, round_crews::lends))
        .order((clubs::name, clubs::id))
        .load(tx)
        .await?)
}

/// What one club said, if anything.
pub(in crate::hires) async fn find(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    (round, club): (RoundId, ClubId),
) -> Result<Option<(i32, bool)>> {
    let said = round_crews::table.find((network, round, club)).select((round_crews::crews, round_crews::lends));
    Ok(said.first(tx).await.optional()?)
}

/// Keeps what a club says.
pub(in crate::hires) async fn put(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    (round, club): (RoundId, ClubId),
    (crews, lends): (i32, bool),
) -> Result<()> {
    let said = (round_crews::crews.eq(crews), round_crews::lends.eq(lends));
    diesel::insert_into(round_crews::table)
        .values((
            round_crews::network_id.eq(network),
            round_crews::round_id.eq(round),
            round_crews::club_id.eq(club),
            said,
        ))
        .on_conflict((round_crews::network_id, round_crews::round_id, round_crews::club_id))
        .do_update()
        .set(said)
        .execute(tx)
        .await?;
    Ok(())
}

/// Forgets what a club said.
pub(in crate::hires) async fn forget(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    (round, club): (RoundId, ClubId),
) -> Result<()> {
    diesel::delete(round_crews::table.find((network, round, club))).execute(tx).await?;
    Ok(())
}

/// A club's name.
pub(in crate::hires) async fn club_name(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    club: ClubId,
) -> Result<String> {
    Ok(clubs::table.find((network, club)).select(clubs::name).first(tx).await?)
}

/// Whether a club has a ground: without one nobody knows where it is.
pub(in crate::hires) async fn has_ground(tx: &mut AsyncPgConnection, network: NetworkId, club: ClubId) -> Result<bool> {
    let of_club = grounds::table.filter(grounds::network_id.eq(network)).filter(grounds::club_id.eq(club));
    Ok(diesel::select(diesel::dsl::exists(of_club)).get_result(tx).await?)
}

/// The clubs whose requests in a round count on a club's tractors: its own, and those it is to help.
pub(in crate::hires) async fn counting_on(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    (round, club): (RoundId, ClubId),
) -> Result<Vec<(ClubId, String)>> {
    let of_club = clubs::network_id.eq(round_requests::network_id).and(clubs::id.eq(round_requests::club_id));
    let own = round_requests::club_id.eq(club).and(round_requests::tractor.eq(Tractor::Own));
    let helped = round_requests::helper_club_id.eq(club);
    Ok(round_requests::table
        .inner_join(clubs::table.on(of_club))
        .filter(round_requests::network_id.eq(network))
        .filter(round_requests::round_id.eq(round))
        .filter(round_requests::state.eq(RequestState::Asked))
        .filter(own.nullable().or(helped))
        .select((clubs::id, clubs::name))
        .distinct()
        .order((clubs::name, clubs::id))
        .load(tx)
        .await?)
}
