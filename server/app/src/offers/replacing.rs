//! What a re-plan does to the offers that were booked: the places that change are withdrawn and stand anew.

use chrono::{DateTime, Utc};
use logistics::half_days::HalfDaySpan;

use super::offering::{expected_of, share_of};
use super::store::{self, NewOffer};
use crate::access::Member;
use crate::database::Tx;
use crate::error::Result;
use crate::ids::{BookingId, ClubId, MachineId, OfferId, PlanId, RequestId, RoundId};
use crate::machines::StoredSpan;

/// A place that is booked without being offered first.
#[derive(Debug, Clone, Copy)]
pub struct PlaceGiven {
    /// The request it serves.
    pub request_id: RequestId,
    /// Whose.
    pub club_id: ClubId,
    /// Which machine.
    pub machine_id: MachineId,
    /// When.
    pub span: HalfDaySpan,
    /// Whose tractor and operator.
    pub crew_club_id: ClubId,
    /// Which of its wishes that is; none for a day that was only allowed.
    pub wish_rank: Option<i32>,
    /// The booking.
    pub booking_id: BookingId,
}

/// Withdraws the booked places of some requests of a held round and puts others in their stead. Scope: the network.
///
/// # Errors
/// A failing database.
pub async fn replace_booked(
    tx: &mut Tx,
    member: &Member,
    (round, plan): (RoundId, PlanId),
    (requests, places): (&[RequestId], &[PlaceGiven]),
    now: DateTime<Utc>,
) -> Result<()> {
    store::withdraw_booked(tx, member.network_id, requests).await?;
    let expected = expected_of(tx, member.network_id, plan).await?;
    let new = |place: &PlaceGiven| NewOffer {
        id: OfferId::new(),
        round_id: round,
        plan_id: plan,
        request_id: place.request_id,
        club_id: place.club_id,
        machine_id: place.machine_id,
        span: StoredSpan(place.span),
        crew_club_id: place.crew_club_id,
        wish_rank: place.wish_rank,
        expected_pence: share_of(&expected, place.machine_id, place.club_id),
        answer_by: now,
        offered_at: now,
    };
    let new: Vec<(NewOffer, BookingId)> = places.iter().map(|place| (new(place), place.booking_id)).collect();
    store::insert_booked(tx, member, &new, now).await
}
