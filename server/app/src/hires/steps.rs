//! What slices that carry a round further need of it: hold it, know who asks for what, take it to its next state.

use chrono::NaiveDate;
use diesel::prelude::*;
use diesel_async::{AsyncPgConnection, RunQueryDsl};
use logistics::distance::Position;

use super::store::{self, requests};
use super::words::{Grain, RequestState, RoundState};
use crate::error::Result;
use crate::ids::{ClubId, GroundId, MachineId, NetworkId, PitchId, RequestId, RoundId};
use crate::machines::Span;
use crate::schema::{clubs, grounds, round_requests, rounds};

/// A round whose row is locked until the transaction ends: its state and its requests stand still.
#[derive(Debug, Clone)]
pub struct HeldRound {
    /// The round.
    pub round_id: RoundId,
    /// As members see it.
    pub title: String,
    /// Where it stands.
    pub state: RoundState,
    /// The unit in which clubs are placed.
    pub grain: Grain,
    /// Its days.
    pub span: Span,
}

/// A place that a club asks for.
#[derive(Debug, Clone)]
pub struct AskedPlace {
    /// The request.
    pub request_id: RequestId,
    /// Whose.
    pub club_id: ClubId,
    /// The club's name.
    pub club_name: String,
    /// Where the work is.
    pub ground_id: GroundId,
    /// The ground's name.
    pub ground_name: String,
    /// Where that lies.
    pub position: Position,
    /// Minutes to couple, set and clean.
    pub set_up_min: i32,
    /// The pitches, each with its turf in m².
    pub pitches: Vec<(PitchId, i32)>,
    /// The days liked best, in order.
    pub wishes: Vec<NaiveDate>,
}

/// Holds a round. Whoever changes offers, plans in use or bookings of a round does this first. Scope: the network.
///
/// # Errors
/// `not_found`.
pub async fn hold_round(tx: &mut AsyncPgConnection, network: NetworkId, id: RoundId) -> Result<HeldRound> {
    let row = store::lock(tx, network, id).await?;
    Ok(HeldRound { round_id: id, span: row.whole_days(), title: row.terms.title, state: row.state, grain: row.grain })
}

/// A round's title and where it stands. Scope: the network.
///
/// # Errors
/// `not_found`.
pub async fn title_and_state(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    id: RoundId,
) -> Result<(String, RoundState)> {
    let row = store::find(tx, network, id).await?;
    Ok((row.terms.title, row.state))
}

/// Takes a held round to another state. Scope: the network.
///
/// # Errors
/// A failing database.
pub async fn step_round(tx: &mut AsyncPgConnection, network: NetworkId, id: RoundId, state: RoundState) -> Result<()> {
    store::set_state(tx, network, id, state, None).await
}

/// The machines of a round that come by a hire. Scope: the network.
///
/// # Errors
/// A failing database.
pub async fn hired_machines(tx: &mut AsyncPgConnection, network: NetworkId, round: RoundId) -> Result<Vec<MachineId>> {
    let machines = store::machines_of(tx, network, &[round]).await?;
    Ok(machines.iter().filter(|row| row.hire_id.is_some()).map(|row| row.machine_id).collect())
}

/// Whether a place of a round that is declined is offered to the next best. Scope: the network.
///
/// # Errors
/// `not_found`.
pub async fn offers_on(tx: &mut AsyncPgConnection, network: NetworkId, round: RoundId) -> Result<bool> {
    Ok(rounds::table.find((network, round)).select(rounds::offers_on).first(tx).await?)
}

/// Sets whether a place of a held round that is declined is offered to the next best. Scope: the network.
///
/// # Errors
/// A failing database.
pub async fn set_offers_on(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    round: RoundId,
    offers_on: bool,
) -> Result<()> {
    diesel::update(rounds::table.find((network, round))).set(rounds::offers_on.eq(offers_on)).execute(tx).await?;
    Ok(())
}

/// The places asked for in a round, in the order of the requests; those taken back are no more. Scope: the network.
///
/// # Errors
/// A failing database.
pub async fn asked_places(tx: &mut AsyncPgConnection, network: NetworkId, round: RoundId) -> Result<Vec<AskedPlace>> {
    type Row = (RequestId, ClubId, String, GroundId, String, f64, f64, i32);
    let of_club = clubs::network_id.eq(round_requests::network_id).and(clubs::id.eq(round_requests::club_id));
    let of_ground = grounds::network_id.eq(round_requests::network_id).and(grounds::id.eq(round_requests::ground_id));
    let rows: Vec<Row> = round_requests::table
        .inner_join(clubs::table.on(of_club))
        .inner_join(grounds::table.on(of_ground))
        .filter(round_requests::network_id.eq(network))
        .filter(round_requests::round_id.eq(round))
        .filter(round_requests::state.eq(RequestState::Asked))
        .select((
            round_requests::id,
            clubs::id,
            clubs::name,
            grounds::id,
            grounds::name,
            grounds::latitude_deg,
            grounds::longitude_deg,
            round_requests::set_up_min,
        ))
        .order(round_requests::id)
        .load(tx)
        .await?;
    let ids: Vec<RequestId> = rows.iter().map(|row| row.0).collect();
    let pitches = requests::pitches_of(tx, network, &ids).await?;
    let wishes = requests::wishes_of(tx, network, &ids).await?;
    rows.into_iter().map(|row| asked(row, &pitches, &wishes)).collect()
}

fn asked(
    (request_id, club_id, club_name, ground_id, ground_name, latitude, longitude, set_up_min): (
        RequestId,
        ClubId,
        String,
        GroundId,
        String,
        f64,
        f64,
        i32,
    ),
    pitches: &[(RequestId, PitchId, String, i32)],
    wishes: &[(RequestId, NaiveDate)],
) -> Result<AskedPlace> {
    let pitches = pitches.iter().filter(|(request, ..)| *request == request_id);
    let wishes = wishes.iter().filter(|(request, _)| *request == request_id);
    Ok(AskedPlace {
        request_id,
        club_id,
        club_name,
        ground_id,
        ground_name,
        position: Position::parse(latitude, longitude).map_err(anyhow::Error::from)?,
        set_up_min,
        pitches: pitches.map(|(_, pitch, _, area_m2)| (*pitch, *area_m2)).collect(),
        wishes: wishes.map(|(_, day)| *day).collect(),
    })
}
