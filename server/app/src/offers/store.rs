//! Queries on offers. Scope of all: the network.

use chrono::{DateTime, Utc};
use diesel::dsl::auto_type;
use diesel::prelude::*;
use diesel_async::{AsyncPgConnection, RunQueryDsl};

use super::words::OfferState;
use crate::access::Member;
use crate::error::Result;
use crate::ids::{BookingId, ClubId, MachineId, NetworkId, OfferId, PersonId, PlanId, RequestId, RoundId};
use crate::machines::StoredSpan;
use crate::schema::{clubs, grounds, machines, round_offers, round_requests, rounds};

/// An offer to insert.
#[derive(Insertable)]
#[diesel(table_name = round_offers)]
pub(super) struct NewOffer {
    pub(super) id: OfferId,
    pub(super) round_id: RoundId,
    pub(super) plan_id: PlanId,
    pub(super) request_id: RequestId,
    pub(super) club_id: ClubId,
    pub(super) machine_id: MachineId,
    pub(super) span: StoredSpan,
    pub(super) crew_club_id: ClubId,
    pub(super) wish_rank: Option<i32>,
    pub(super) expected_pence: Option<i64>,
    pub(super) answer_by: DateTime<Utc>,
    pub(super) offered_at: DateTime<Utc>,
}

/// An offer with the names that go with it.
#[derive(Queryable)]
pub(super) struct OfferRow {
    pub(super) id: OfferId,
    pub(super) round_id: RoundId,
    pub(super) request_id: RequestId,
    pub(super) club_id: ClubId,
    pub(super) machine_id: MachineId,
    pub(super) span: StoredSpan,
    pub(super) crew_club_id: ClubId,
    pub(super) wish_rank: Option<i32>,
    pub(super) expected_pence: Option<i64>,
    pub(super) state: OfferState,
    pub(super) answer_by: DateTime<Utc>,
    pub(super) answered_at: Option<DateTime<Utc>>,
    pub(super) answered_by: Option<PersonId>,
    pub(super) reason: String,
    pub(super) booking_id: Option<BookingId>,
    pub(super) reminded_at: Option<DateTime<Utc>>,
    pub(super) club: String,
    pub(super) machine: String,
    pub(super) ground: String,
    pub(super) crew_club: String,
    pub(super) round_opened_by: PersonId,
}

impl OfferRow {
    /// Whether a neighbour lends tractor and operator.
    pub(super) fn is_lent(&self) -> bool {
        self.crew_club_id != self.club_id
    }
}

diesel::alias!(clubs as crews: Crews);

#[auto_type]
fn offers_with_names() -> _ {
    let of_round = rounds::network_id.eq(round_offers::network_id).and(rounds::id.eq(round_offers::round_id));
    let of_club = clubs::network_id.eq(round_offers::network_id).and(clubs::id.eq(round_offers::club_id));
    let of_machine = machines::network_id.eq(round_offers::network_id).and(machines::id.eq(round_offers::machine_id));
    let of_request =
        round_requests::network_id.eq(round_offers::network_id).and(round_requests::id.eq(round_offers::request_id));
    let of_ground = grounds::network_id.eq(round_requests::network_id).and(grounds::id.eq(round_requests::ground_id));
    let of_crew = crews
        .field(clubs::network_id)
        .eq(round_offers::network_id)
        .and(crews.field(clubs::id).eq(round_offers::crew_club_id));
    round_offers::table
        .inner_join(rounds::table.on(of_round))
        .inner_join(clubs::table.on(of_club))
        .inner_join(machines::table.on(of_machine))
        .inner_join(round_requests::table.on(of_request))
        .inner_join(grounds::table.on(of_ground))
        .inner_join(crews.on(of_crew))
}

#[auto_type]
fn columns() -> _ {
    let crew = crews.field(clubs::name);
    (
        round_offers::id,
        round_offers::round_id,
        round_offers::request_id,
        round_offers::club_id,
        round_offers::machine_id,
        round_offers::span,
        round_offers::crew_club_id,
        round_offers::wish_rank,
        round_offers::expected_pence,
        round_offers::state,
        round_offers::answer_by,
        round_offers::answered_at,
        round_offers::answered_by,
        round_offers::reason,
        round_offers::booking_id,
        round_offers::reminded_at,
        clubs::name,
        machines::name,
        grounds::name,
        crew,
        rounds::opened_by,
    )
}

/// Keeps offers.
pub(super) async fn insert(tx: &mut AsyncPgConnection, network: NetworkId, new: &[NewOffer]) -> Result<()> {
    let rows: Vec<_> = new.iter().map(|offer| (round_offers::network_id.eq(network), offer)).collect();
    diesel::insert_into(round_offers::table).values(rows).execute(tx).await?;
    Ok(())
}

/// One offer.
pub(super) async fn find(tx: &mut AsyncPgConnection, network: NetworkId, id: OfferId) -> Result<OfferRow> {
    Ok(offers_with_names()
        .filter(round_offers::network_id.eq(network))
        .filter(round_offers::id.eq(id))
        .select(columns())
        .first(tx)
        .await?)
}

/// Some offers, in order of time.
pub(super) async fn find_all(tx: &mut AsyncPgConnection, network: NetworkId, ids: &[OfferId]) -> Result<Vec<OfferRow>> {
    Ok(offers_with_names()
        .filter(round_offers::network_id.eq(network))
        .filter(round_offers::id.eq_any(ids.to_vec()))
        .select(columns())
        .order((round_offers::span, round_offers::id))
        .load(tx)
        .await?)
}

/// The offers of a round in some states, as they were made.
pub(super) async fn offers(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    round: RoundId,
    states: &[OfferState],
) -> Result<Vec<OfferRow>> {
    Ok(offers_with_names()
        .filter(round_offers::network_id.eq(network))
        .filter(round_offers::round_id.eq(round))
        .filter(round_offers::state.eq_any(states.to_vec()))
        .select(columns())
        .order(round_offers::id)
        .load(tx)
        .await?)
}

/// Keeps a club's answer.
pub(super) async fn answer(
    tx: &mut AsyncPgConnection,
    member: &Member,
    id: OfferId,
    (state, reason): (OfferState, &str),
    now: DateTime<Utc>,
) -> Result<()> {
    diesel::update(round_offers::table.find((member.network_id, id)))
        .set((
            round_offers::state.eq(state),
            round_offers::reason.eq(reason),
            round_offers::answered_at.eq(now),
            round_offers::answered_by.eq(member.person_id),
        ))
        .execute(tx)
        .await?;
    Ok(())
}

/// Gives an offer another state.
pub(super) async fn set_state(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    id: OfferId,
    state: OfferState,
) -> Result<()> {
    diesel::update(round_offers::table.find((network, id))).set(round_offers::state.eq(state)).execute(tx).await?;
    Ok(())
}

/// Takes back whatever of a round is not booked, answered or not: a new plan is offered on a clean slate.
pub(super) async fn withdraw_all(tx: &mut AsyncPgConnection, network: NetworkId, round: RoundId) -> Result<()> {
    let not_booked = round_offers::table
        .filter(round_offers::network_id.eq(network))
        .filter(round_offers::round_id.eq(round))
        .filter(round_offers::state.ne(OfferState::Booked));
    diesel::update(not_booked).set(round_offers::state.eq(OfferState::Withdrawn)).execute(tx).await?;
    Ok(())
}

/// Notes that clubs were reminded.
pub(super) async fn remind(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    ids: &[OfferId],
    now: DateTime<Utc>,
) -> Result<()> {
    let some = round_offers::table.filter(round_offers::network_id.eq(network)).filter(round_offers::id.eq_any(ids));
    diesel::update(some).set(round_offers::reminded_at.eq(now)).execute(tx).await?;
    Ok(())
}

/// Notes the booking that an accepted offer became.
pub(super) async fn book(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    request: RequestId,
    booking: BookingId,
) -> Result<()> {
    let accepted = round_offers::table
        .filter(round_offers::network_id.eq(network))
        .filter(round_offers::request_id.eq(request))
        .filter(round_offers::state.eq(OfferState::Accepted));
    diesel::update(accepted)
        .set((round_offers::state.eq(OfferState::Booked), round_offers::booking_id.eq(booking)))
        .execute(tx)
        .await?;
    Ok(())
}

/// Withdraws the booked offers of some requests.
pub(super) async fn withdraw_booked(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    requests: &[RequestId],
) -> Result<()> {
    let booked = round_offers::table
        .filter(round_offers::network_id.eq(network))
        .filter(round_offers::request_id.eq_any(requests))
        .filter(round_offers::state.eq(OfferState::Booked));
    diesel::update(booked)
        .set((round_offers::state.eq(OfferState::Withdrawn), round_offers::booking_id.eq(None::<BookingId>)))
        .execute(tx)
        .await?;
    Ok(())
}

/// Keeps places that are booked without being offered.
pub(super) async fn insert_booked(
    tx: &mut AsyncPgConnection,
    member: &Member,
    new: &[(NewOffer, BookingId)],
    now: DateTime<Utc>,
) -> Result<()> {
    let rows = new.iter().map(|(offer, booking)| {
        (
            round_offers::network_id.eq(member.network_id),
            offer,
            round_offers::state.eq(OfferState::Booked),
            round_offers::booking_id.eq(*booking),
            round_offers::answered_at.eq(now),
            round_offers::answered_by.eq(member.person_id),
        )
    });
    diesel::insert_into(round_offers::table).values(rows.collect::<Vec<_>>()).execute(tx).await?;
    Ok(())
}

/// Who opened a round.
pub(super) async fn opened_by(tx: &mut AsyncPgConnection, network: NetworkId, round: RoundId) -> Result<PersonId> {
    Ok(rounds::table.find((network, round)).select(rounds::opened_by).first(tx).await?)
}
