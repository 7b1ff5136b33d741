//! Queries on closed grounds and on the bookings that lie on closed days. Scope of all: the network.

use chrono::{DateTime, NaiveDateTime, Utc};
use diesel::dsl::{auto_type, exists, lower, not, upper};
use diesel::prelude::*;
use diesel_async::{AsyncPgConnection, RunQueryDsl};

use crate::access::Member;
use crate::error::Result;
use crate::ids::{BookingId, ClosureId, ClubId, GroundId, NetworkId, RoundId};
use crate::machines::{HoldState, StoredSpan};
use crate::schema::{
    booking_pitches, bookings, clubs, ground_closures, grounds, machines, people, pitches, round_requests, rounds,
};

/// A closure to insert.
#[derive(Insertable)]
#[diesel(table_name = ground_closures)]
pub(super) struct NewClosure {
    pub(super) id: ClosureId,
    pub(super) club_id: ClubId,
    pub(super) ground_id: GroundId,
    pub(super) span: StoredSpan,
    pub(super) reason: String,
}

/// A closure with the names that go with it; nobody where the person has left the network.
#[derive(Queryable)]
pub(super) struct ClosureRow {
    pub(super) id: ClosureId,
    pub(super) club_id: ClubId,
    pub(super) club: String,
    pub(super) ground_id: GroundId,
    pub(super) ground: String,
    pub(super) span: StoredSpan,
    pub(super) reason: String,
    pub(super) closed_by: Option<String>,
    pub(super) closed_at: DateTime<Utc>,
    pub(super) lifted_at: Option<DateTime<Utc>>,
}

/// A booking that lies on days on which its ground is closed, and has not begun.
#[derive(Debug, Clone, Queryable)]
pub struct OnClosedDays {
    /// By which closure.
    pub closure_id: ClosureId,
    /// The ground's name.
    pub ground: String,
    /// The club's name.
    pub club: String,
    /// Whose.
    pub club_id: ClubId,
    /// The booking.
    pub booking_id: BookingId,
    /// The machine's name.
    pub machine: String,
    /// When it is booked.
    pub span: StoredSpan,
    /// The round that made it; none for one made directly.
    pub round_id: Option<RoundId>,
    /// The round's title.
    pub round_title: Option<String>,
}

/// The club of a ground.
pub(super) async fn club_of(tx: &mut AsyncPgConnection, network: NetworkId, id: GroundId) -> Result<ClubId> {
    Ok(grounds::table.find((network, id)).select(grounds::club_id).first(tx).await?)
}

pub(super) async fn insert(
    tx: &mut AsyncPgConnection,
    member: &Member,
    new: &NewClosure,
    now: DateTime<Utc>,
) -> Result<()> {
    diesel::insert_into(ground_closures::table)
        .values((
            ground_closures::network_id.eq(member.network_id),
            new,
            ground_closures::closed_by.eq(member.person_id),
            ground_closures::closed_at.eq(now),
        ))
        .execute(tx)
        .await?;
    Ok(())
}

/// Lifts a closure; says whether it still stood.
pub(super) async fn lift(
    tx: &mut AsyncPgConnection,
    member: &Member,
    id: ClosureId,
    now: DateTime<Utc>,
) -> Result<bool> {
    let lifted = diesel::update(ground_closures::table.find((member.network_id, id)))
        .filter(ground_closures::lifted_at.is_null())
        .set((ground_closures::lifted_at.eq(now), ground_closures::lifted_by.eq(member.person_id)))
        .execute(tx)
        .await?;
    Ok(lifted == 1)
}

#[auto_type]
fn named(network: NetworkId) -> _ {
    let of_club = clubs::network_id.eq(ground_closures::network_id).and(clubs::id.eq(ground_closures::club_id));
    let of_ground = grounds::network_id.eq(ground_closures::network_id).and(grounds::id.eq(ground_closures::ground_id));
    ground_closures::table
        .inner_join(clubs::table.on(of_club))
        .inner_join(grounds::table.on(of_ground))
        .left_join(people::table.on(people::id.eq(ground_closures::closed_by)))
        .filter(ground_closures::network_id.eq(network))
}

#[auto_type]
fn columns() -> _ {
    (
        ground_closures::id,
        clubs::id,
        clubs::name,
        grounds::id,
        grounds::name,
        ground_closures::span,
        ground_closures::reason,
        people::name.nullable(),
        ground_closures::closed_at,
        ground_closures::lifted_at,
    )
}

/// One closure.
pub(super) async fn find(tx: &mut AsyncPgConnection, network: NetworkId, id: ClosureId) -> Result<ClosureRow> {
    Ok(named(network).filter(ground_closures::id.eq(id)).select(columns()).first(tx).await?)
}

/// The closures that stand and end after a local time, in order of time; of one club or of all.
pub(super) async fn standing(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    of_club: Option<ClubId>,
    after: NaiveDateTime,
) -> Result<Vec<ClosureRow>> {
    let mut query = named(network)
        .filter(ground_closures::lifted_at.is_null())
        .filter(upper(ground_closures::span).gt(after))
        .select(columns())
        .order((ground_closures::span, ground_closures::id))
        .into_boxed();
    if let Some(club) = of_club {
        query = query.filter(ground_closures::club_id.eq(club));
    }
    Ok(query.load(tx).await?)
}

diesel::alias!(grounds as other_grounds: OtherGrounds);

/// Whether a booking is for the ground of a closure: by the request it serves, by a pitch it names, or because its
/// club has no other ground.
#[auto_type]
fn is_for_the_ground() -> _ {
    let of_request = round_requests::table
        .filter(round_requests::network_id.eq(bookings::network_id))
        .filter(round_requests::id.nullable().eq(bookings::request_id))
        .filter(round_requests::ground_id.eq(ground_closures::ground_id));
    let pitch = pitches::network_id.eq(booking_pitches::network_id).and(pitches::id.eq(booking_pitches::pitch_id));
    let of_pitch = booking_pitches::table
        .inner_join(pitches::table.on(pitch))
        .filter(booking_pitches::network_id.eq(bookings::network_id))
        .filter(booking_pitches::booking_id.eq(bookings::id))
        .filter(pitches::ground_id.eq(ground_closures::ground_id));
    let any_pitch = booking_pitches::table
        .filter(booking_pitches::network_id.eq(bookings::network_id))
        .filter(booking_pitches::booking_id.eq(bookings::id));
    let elsewhere = other_grounds
        .filter(other_grounds.field(grounds::network_id).eq(bookings::network_id))
        .filter(other_grounds.field(grounds::club_id).eq(bookings::club_id))
        .filter(other_grounds.field(grounds::id).ne(ground_closures::ground_id));
    let nowhere_else = bookings::request_id.is_null().and(not(exists(any_pitch))).and(not(exists(elsewhere)));
    exists(of_request).or(exists(of_pitch)).or(nowhere_else)
}

/// The bookings that begin after a local time and lie on days on which their ground is closed, in order of time; one
/// that lies in two closures stands there twice.
///
/// # Errors
/// A failing database.
pub async fn on_closed_days(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    after: NaiveDateTime,
) -> Result<Vec<OnClosedDays>> {
    let closed = ground_closures::network_id
        .eq(bookings::network_id)
        .and(ground_closures::club_id.eq(bookings::club_id))
        .and(ground_closures::span.overlaps_with(bookings::span));
    let of_club = clubs::network_id.eq(bookings::network_id).and(clubs::id.eq(bookings::club_id));
    let of_ground = grounds::network_id.eq(ground_closures::network_id).and(grounds::id.eq(ground_closures::ground_id));
    let of_machine = machines::network_id.eq(bookings::network_id).and(machines::id.eq(bookings::machine_id));
    let of_round = rounds::network_id.eq(bookings::network_id).and(rounds::id.nullable().eq(bookings::round_id));
    Ok(bookings::table
        .inner_join(ground_closures::table.on(closed))
        .inner_join(clubs::table.on(of_club))
        .inner_join(grounds::table.on(of_ground))
        .inner_join(machines::table.on(of_machine))
        .left_join(rounds::table.on(of_round))
        .filter(bookings::network_id.eq(network))
        .filter(ground_closures::lifted_at.is_null())
        .filter(bookings::state.eq_any([HoldState::Asked, HoldState::Agreed]))
        .filter(lower(bookings::span).gt(after))
        .filter(is_for_the_ground())
        .select((
            ground_closures::id,
            grounds::name,
            clubs::name,
            clubs::id,
            bookings::id,
            machines::name,
            bookings::span,
            bookings::round_id,
            rounds::title.nullable(),
        ))
        .order((bookings::span, bookings::id, ground_closures::id))
        .load(tx)
        .await?)
}
