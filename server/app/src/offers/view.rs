//! Offers as members see them: the coordinator all, a club its own.

use chrono::{DateTime, NaiveDateTime, Utc};
use diesel_async::AsyncPgConnection;
use serde::Serialize;
use utoipa::ToSchema;

use super::store::{self, OfferRow};
use super::words::OfferState;
use crate::access::{Act, Member};
use crate::error::Result;
use crate::hires::{self, RoundState};
use crate::ids::{BookingId, ClubId, MachineId, OfferId, PlanId, RequestId, RoundId};
use crate::machines::Span;
use crate::rounds;

/// A round's offers.
#[derive(Debug, Serialize, ToSchema)]
pub struct RoundOffers {
    /// The round.
    pub round_id: RoundId,
    /// As members see it.
    pub title: String,
    /// Where the round stands.
    pub round_state: RoundState,
    /// The plan that is chosen to be put to the clubs, for the coordinator of a round that is ready for it.
    pub to_offer: Option<PlanToOffer>,
    /// Whether a place that is declined, or not answered in time, is offered to the next best.
    pub offers_on: bool,
    /// Whether places that came free are being planned again.
    pub refill_awaited: bool,
    /// The last date of those not answered.
    pub answer_by: Option<DateTime<Utc>>,
    /// How many have not been answered.
    pub outstanding: usize,
    /// How many were accepted, booked ones among them.
    pub accepted: usize,
    /// How many were declined or lapsed.
    pub declined: usize,
    /// Those you may see, in order of time: the coordinator all, a club its own.
    pub offers: Vec<OfferedPlace>,
}

/// A chosen plan that could be put to its clubs.
#[derive(Debug, Serialize, ToSchema)]
pub struct PlanToOffer {
    /// The plan.
    pub plan_id: PlanId,
    /// How many places it gives.
    pub places: usize,
    /// When the first begins: all answers must be in before.
    #[schema(value_type = Option<String>, example = "2027-05-04T00:00:00")]
    pub first_begins: Option<NaiveDateTime>,
}

/// A place of a round offered to a club.
#[derive(Debug, Serialize, ToSchema)]
pub struct OfferedPlace {
    /// The offer.
    pub offer_id: OfferId,
    /// In which round.
    pub round_id: RoundId,
    /// The request it serves.
    pub request_id: RequestId,
    /// To which club.
    pub club_id: ClubId,
    /// The club's name.
    pub club_name: String,
    /// The ground's name.
    pub ground_name: String,
    /// Which machine.
    pub machine_id: MachineId,
    /// Its name.
    pub machine_name: String,
    /// The half-days.
    pub span: Span,
    /// The neighbour who lends tractor and operator; null for the club's own.
    pub lent_by: Option<String>,
    /// The ground, with its club, that has the machine before; null where this is the first place on offer.
    pub comes_from: Option<String>,
    /// The ground, with its club, that has the machine after; null where this is the last place on offer.
    pub goes_to: Option<String>,
    /// Which of the club's wishes it is, 1 for the first; null for a day that was only allowed.
    pub wish_rank: Option<i32>,
    /// What the club is expected to pay for this hire, all its places together; null where nobody can say.
    pub expected_pence: Option<i64>,
    /// Where it stands.
    pub state: OfferState,
    /// Until when it can be answered.
    pub answer_by: DateTime<Utc>,
    /// When it was answered.
    pub answered_at: Option<DateTime<Utc>>,
    /// What the club said when declining.
    pub reason: String,
    /// When the club was reminded last.
    pub reminded_at: Option<DateTime<Utc>>,
    /// The booking it became.
    pub booking_id: Option<BookingId>,
    /// Whether you may answer it.
    pub yours_to_answer: bool,
}

/// The offers of a round. Scope: the network.
pub(super) async fn load(tx: &mut AsyncPgConnection, member: &Member, round: RoundId) -> Result<RoundOffers> {
    let (title, round_state) = hires::title_and_state(tx, member.network_id, round).await?;
    let mut offers = store::offers(tx, member.network_id, round, OfferState::ALL).await?;
    offers.retain(|offer| offer.state != OfferState::Withdrawn);
    offers.sort_by_key(|offer| (offer.span.0.from(), offer.id));
    let count = |states: &[OfferState]| offers.iter().filter(|offer| states.contains(&offer.state)).count();
    let outstanding = offers.iter().filter(|offer| offer.state == OfferState::Offered);
    Ok(RoundOffers {
        to_offer: to_offer(tx, member, (round, round_state)).await?,
        offers_on: hires::offers_on(tx, member.network_id, round).await?,
        refill_awaited: rounds::refill_awaited(tx, member.network_id, round).await?,
        round_id: round,
        title,
        round_state,
        answer_by: outstanding.map(|offer| offer.answer_by).max(),
        outstanding: count(&[OfferState::Offered]),
        accepted: count(&[OfferState::Accepted, OfferState::Booked]),
        declined: count(&[OfferState::Declined, OfferState::Lapsed]),
        offers: offers
            .iter()
            .filter(|offer| member.may(Act::SeeOffer, Some(offer.club_id)))
            .map(|offer| view(offer, &offers, member))
            .collect(),
    })
}

async fn to_offer(
    tx: &mut AsyncPgConnection,
    member: &Member,
    (round, state): (RoundId, RoundState),
) -> Result<Option<PlanToOffer>> {
    if state != RoundState::RequestsClosed || !member.may(Act::RunRound, None) {
        return Ok(None);
    }
    let Some(plan_id) = rounds::chosen_plan(tx, member.network_id, round).await? else { return Ok(None) };
    let blocks = rounds::places_of_plan(tx, member.network_id, plan_id).await?;
    let first_begins = blocks.iter().map(|block| block.span.from()).min();
    Ok(Some(PlanToOffer { plan_id, places: blocks.len(), first_begins }))
}

/// One offer. Scope: the network.
///
/// # Errors
/// `not_found`, `not_your_role` for those who are neither of the club nor coordinator.
pub(super) async fn load_one(tx: &mut AsyncPgConnection, member: &Member, id: OfferId) -> Result<OfferedPlace> {
    let offer = store::find(tx, member.network_id, id).await?;
    member.require(Act::SeeOffer, Some(offer.club_id))?;
    let others = store::offers(tx, member.network_id, offer.round_id, &LIVE).await?;
    Ok(view(&offer, &others, member))
}

/// The states in which a place is had, or may be.
const LIVE: [OfferState; 3] = [OfferState::Offered, OfferState::Accepted, OfferState::Booked];

/// The ground and club of an offer, as the stop before or after another.
fn stop(offer: &OfferRow) -> String {
    format!("{}, {}", offer.ground, offer.club)
}

fn view(offer: &OfferRow, all: &[OfferRow], member: &Member) -> OfferedPlace {
    let of_machine =
        |other: &&OfferRow| other.id != offer.id && other.machine_id == offer.machine_id && LIVE.contains(&other.state);
    let from = |row: &OfferRow| row.span.0.from();
    let before =
        all.iter().filter(of_machine).filter(|other| from(other) < from(offer)).max_by_key(|other| from(other));
    let after = all.iter().filter(of_machine).filter(|other| from(other) > from(offer)).min_by_key(|other| from(other));
    OfferedPlace {
        comes_from: before.map(stop),
        goes_to: after.map(stop),
        offer_id: offer.id,
        round_id: offer.round_id,
        request_id: offer.request_id,
        club_id: offer.club_id,
        lent_by: offer.is_lent().then(|| offer.crew_club.clone()),
        club_name: offer.club.clone(),
        ground_name: offer.ground.clone(),
        machine_id: offer.machine_id,
        machine_name: offer.machine.clone(),
        span: offer.span.0.into(),
        wish_rank: offer.wish_rank,
        expected_pence: offer.expected_pence,
        yours_to_answer: offer.state == OfferState::Offered && member.may(Act::AnswerOffer, Some(offer.club_id)),
        state: offer.state,
        answer_by: offer.answer_by,
        answered_at: offer.answered_at,
        reason: offer.reason.clone(),
        reminded_at: offer.reminded_at,
        booking_id: offer.booking_id,
    }
}
