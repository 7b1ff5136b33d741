//! Queries on bookings. Scope of all: the network.

use chrono::{DateTime, NaiveDateTime, Utc};
use diesel::dsl::{exists, lower, upper};
use diesel::prelude::*;
use diesel_async::{AsyncPgConnection, RunQueryDsl};

use super::booking::BookingState;
use crate::error::Result;
use crate::ids::{
    AvailabilityId, BookingId, ClubId, MachineId, NetworkId, PersonId, PitchId, RequestId, RoundId, StandingId,
};
use crate::machines::StoredSpan;
use crate::schema::{booking_pitches, bookings, clubs, machines, people, pitches};
use crate::wire::{IfMatch, PageQuery};

/// The states in which a booking holds its place, as the exclusion constraint counts them.
const HOLDING: [BookingState; 3] = [BookingState::Offered, BookingState::Asked, BookingState::Agreed];

/// A booking as kept.
#[derive(Queryable, Selectable)]
#[diesel(table_name = bookings)]
pub(super) struct Row {
    pub(super) id: BookingId,
    pub(super) machine_id: MachineId,
    pub(super) club_id: ClubId,
    pub(super) span: StoredSpan,
    pub(super) held: StoredSpan,
    pub(super) state: BookingState,
    pub(super) charge_pence: i64,
    pub(super) note: String,
    pub(super) answer_reason: Option<String>,
    pub(super) standing_id: Option<StandingId>,
    pub(super) version: i32,
    pub(super) changed_at: DateTime<Utc>,
}

/// A booking with the names of its machine, its club, and who booked; nobody where that person has left the network.
#[derive(Queryable)]
pub(super) struct Named {
    pub(super) row: Row,
    pub(super) machine: String,
    pub(super) club: String,
    pub(super) booked_by: Option<String>,
}

/// Where a booking stands: what making and moving one decide.
#[derive(Insertable, AsChangeset)]
#[diesel(table_name = bookings)]
pub(super) struct Place {
    pub(super) span: StoredSpan,
    pub(super) gap_half_days: i32,
    pub(super) availability_id: AvailabilityId,
    pub(super) available: StoredSpan,
    pub(super) state: BookingState,
    pub(super) charge_pence: i64,
}

/// A booking to insert.
pub(super) struct NewBooking {
    pub(super) id: BookingId,
    pub(super) machine_id: MachineId,
    pub(super) club_id: ClubId,
    pub(super) place: Place,
    pub(super) pitch_ids: Vec<PitchId>,
    pub(super) note: String,
    pub(super) booked_by: PersonId,
    /// The standing booking it is an occurrence of.
    pub(super) standing_id: Option<StandingId>,
}

pub(super) async fn insert(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    new: &NewBooking,
    now: DateTime<Utc>,
) -> Result<()> {
    diesel::insert_into(bookings::table)
        .values((
            bookings::network_id.eq(network),
            bookings::id.eq(new.id),
            bookings::machine_id.eq(new.machine_id),
            bookings::club_id.eq(new.club_id),
            &new.place,
            bookings::note.eq(&new.note),
            bookings::booked_by.eq(new.booked_by),
            bookings::standing_id.eq(new.standing_id),
            bookings::created_at.eq(now),
            bookings::changed_at.eq(now),
        ))
        .execute(tx)
        .await?;
    let pitches: Vec<_> = new
        .pitch_ids
        .iter()
        .map(|pitch| {
            (
                booking_pitches::network_id.eq(network),
                booking_pitches::booking_id.eq(new.id),
                booking_pitches::club_id.eq(new.club_id),
                booking_pitches::pitch_id.eq(pitch),
            )
        })
        .collect();
    diesel::insert_into(booking_pitches::table).values(pitches).on_conflict_do_nothing().execute(tx).await?;
    Ok(())
}

/// Puts a booking in another place, unless somebody changed it since it was read.
pub(super) async fn set_place(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    id: BookingId,
    seen: IfMatch,
    place: &Place,
    now: DateTime<Utc>,
) -> Result<()> {
    let moved = diesel::update(bookings::table.find((network, id)))
        .filter(bookings::version.eq(seen.0))
        .set((place, bookings::changed_at.eq(now), bookings::version.eq(bookings::version + 1)))
        .execute(tx)
        .await?;
    if moved == 1 { Ok(()) } else { Err(seen.stale().into()) }
}

/// Gives a booking that holds its place another state in which it does.
pub(super) async fn set_state(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    id: BookingId,
    state: BookingState,
    now: DateTime<Utc>,
) -> Result<()> {
    diesel::update(bookings::table.find((network, id)))
        .set((bookings::state.eq(state), bookings::changed_at.eq(now), bookings::version.eq(bookings::version + 1)))
        .execute(tx)
        .await?;
    Ok(())
}

/// Lets go of what a booking holds.
pub(super) async fn release(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    id: BookingId,
    state: BookingState,
    reason: Option<&str>,
    now: DateTime<Utc>,
) -> Result<()> {
    diesel::update(bookings::table.find((network, id)))
        .set((
            bookings::state.eq(state),
            bookings::answer_reason.eq(reason),
            bookings::availability_id.eq(None::<AvailabilityId>),
            bookings::available.eq(None::<StoredSpan>),
            bookings::changed_at.eq(now),
            bookings::version.eq(bookings::version + 1),
        ))
        .execute(tx)
        .await?;
    Ok(())
}

/// The machine of a booking. Only a swap changes it.
pub(super) async fn machine_of(tx: &mut AsyncPgConnection, network: NetworkId, id: BookingId) -> Result<MachineId> {
    Ok(bookings::table.find((network, id)).select(bookings::machine_id).first(tx).await?)
}

#[diesel::dsl::auto_type]
fn named(network: NetworkId) -> _ {
    let machine = machines::network_id.eq(bookings::network_id).and(machines::id.eq(bookings::machine_id));
    let club = clubs::network_id.eq(bookings::network_id).and(clubs::id.eq(bookings::club_id));
    bookings::table
        .inner_join(machines::table.on(machine))
        .inner_join(clubs::table.on(club))
        .left_join(people::table.on(people::id.eq(bookings::booked_by)))
        .filter(bookings::network_id.eq(network))
}

pub(super) async fn find(tx: &mut AsyncPgConnection, network: NetworkId, id: BookingId) -> Result<Named> {
    let one = named(network).filter(bookings::id.eq(id));
    Ok(one.select((Row::as_select(), machines::name, clubs::name, people::name.nullable())).first(tx).await?)
}

/// Which bookings are wanted.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Wanted {
    /// Those of this club.
    pub(super) club: Option<ClubId>,
    /// Those of this machine.
    pub(super) machine: Option<MachineId>,
    /// Those of this standing booking.
    pub(super) standing: Option<StandingId>,
    /// Those that end after this local time.
    pub(super) after: Option<NaiveDateTime>,
    /// Those that stand, or were let go no longer ago than this.
    pub(super) let_go_since: Option<DateTime<Utc>>,
}

/// What bookings are ordered by: beginning, then id.
pub(super) type Key = (NaiveDateTime, BookingId);

/// Bookings in order of time: one page of them, or all.
pub(super) async fn list(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    wanted: Wanted,
    page: Option<&PageQuery>,
) -> Result<Vec<Named>> {
    let mut query = named(network)
        .select((Row::as_select(), machines::name, clubs::name, people::name.nullable()))
        .order((lower(bookings::span), bookings::id))
        .into_boxed();
    if let Some(club) = wanted.club {
        query = query.filter(bookings::club_id.eq(club));
    }
    if let Some(machine) = wanted.machine {
        query = query.filter(bookings::machine_id.eq(machine));
    }
    if let Some(standing) = wanted.standing {
        query = query.filter(bookings::standing_id.eq(standing));
    }
    if let Some(after) = wanted.after {
        query = query.filter(upper(bookings::span).gt(after));
    }
    if let Some(since) = wanted.let_go_since {
        let standing = bookings::state.eq_any(HOLDING);
        query = query.filter(standing.or(bookings::changed_at.ge(since)));
    }
    if let Some(page) = page {
        query = query.limit(page.rows());
        if let Some((from, id)) = page.after::<Key>()? {
            let begins = lower(bookings::span);
            query = query.filter(begins.gt(from).or(begins.eq(from).and(bookings::id.gt(id))));
        }
    }
    Ok(query.load(tx).await?)
}

/// The pitches of some bookings, by name.
pub(super) async fn pitches_of(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    ids: &[BookingId],
) -> Result<Vec<(BookingId, PitchId, String)>> {
    let pitch = pitches::network_id.eq(booking_pitches::network_id).and(pitches::id.eq(booking_pitches::pitch_id));
    Ok(booking_pitches::table
        .inner_join(pitches::table.on(pitch))
        .filter(booking_pitches::network_id.eq(network))
        .filter(booking_pitches::booking_id.eq_any(ids))
        .select((booking_pitches::booking_id, pitches::id, pitches::name))
        .order((booking_pitches::booking_id, pitches::name, pitches::id))
        .load(tx)
        .await?)
}

/// Whether another booking, or a handover, stands in the way of a place.
pub(super) async fn is_held(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    machine: MachineId,
    place: &Place,
) -> Result<bool> {
    let gap = u32::try_from(place.gap_half_days).unwrap_or_default();
    let held = StoredSpan(place.span.0.with_gap(gap).map_err(anyhow::Error::from)?);
    let in_the_way = bookings::table
        .filter(bookings::network_id.eq(network))
        .filter(bookings::machine_id.eq(machine))
        .filter(bookings::state.eq_any(HOLDING))
        .filter(bookings::held.overlaps_with(held));
    Ok(diesel::select(exists(in_the_way)).get_result(tx).await?)
}

/// Some bookings, in no order.
pub(super) async fn find_all(tx: &mut AsyncPgConnection, network: NetworkId, ids: &[BookingId]) -> Result<Vec<Named>> {
    let some = named(network).filter(bookings::id.eq_any(ids.to_vec()));
    Ok(some.select((Row::as_select(), machines::name, clubs::name, people::name.nullable())).load(tx).await?)
}

/// Notes which request of which round a booking serves.
pub(super) async fn set_request(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    id: BookingId,
    round: RoundId,
    request: RequestId,
) -> Result<()> {
    diesel::update(bookings::table.find((network, id)))
        .set((bookings::round_id.eq(round), bookings::request_id.eq(request)))
        .execute(tx)
        .await?;
    Ok(())
}

/// Puts a booking that is agreed in another place, maybe of another machine; says whether it still was as seen.
pub(super) async fn put_elsewhere(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    (id, version): (BookingId, i32),
    (machine, place): (MachineId, &Place),
    now: DateTime<Utc>,
) -> Result<bool> {
    let moved = diesel::update(bookings::table.find((network, id)))
        .filter(bookings::version.eq(version))
        .filter(bookings::state.eq(BookingState::Agreed))
        .set((
            bookings::machine_id.eq(machine),
            place,
            bookings::changed_at.eq(now),
            bookings::version.eq(bookings::version + 1),
        ))
        .execute(tx)
        .await?;
    Ok(moved == 1)
}

/// Whether a booking stands as it was seen.
pub(super) async fn is_as_seen(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    id: BookingId,
    version: i32,
) -> Result<bool> {
    let as_seen = bookings::table
        .find((network, id))
        .filter(bookings::version.eq(version))
        .filter(bookings::state.eq(BookingState::Agreed));
    Ok(diesel::select(exists(as_seen)).get_result(tx).await?)
}

/// A booking of a round: the request served, itself, its machine, its version, the machine's name, when.
pub(super) type OfRound = (RequestId, BookingId, MachineId, i32, String, StoredSpan);

/// The bookings of a round that stand, in order of time.
pub(super) async fn of_round(tx: &mut AsyncPgConnection, network: NetworkId, round: RoundId) -> Result<Vec<OfRound>> {
    let machine = machines::network_id.eq(bookings::network_id).and(machines::id.eq(bookings::machine_id));
    Ok(bookings::table
        .inner_join(machines::table.on(machine))
        .filter(bookings::network_id.eq(network))
        .filter(bookings::round_id.eq(round))
        .filter(bookings::state.eq_any([BookingState::Asked, BookingState::Agreed]))
        .select((
            bookings::request_id.assume_not_null(),
            bookings::id,
            bookings::machine_id,
            bookings::version,
            machines::name,
            bookings::span,
        ))
        .order((bookings::span, bookings::id))
        .load(tx)
        .await?)
}

diesel::alias!(bookings as others: Others);

/// Which of some bookings another holds up: the request served, its span, the machine, the other club.
pub(super) async fn clashes_of(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    ids: &[BookingId],
) -> Result<Vec<(RequestId, StoredSpan, String, String)>> {
    let in_the_way = others
        .field(bookings::network_id)
        .eq(bookings::network_id)
        .and(others.field(bookings::machine_id).eq(bookings::machine_id))
        .and(others.field(bookings::id).ne(bookings::id))
        .and(others.field(bookings::held).overlaps_with(bookings::held));
    let of_machine = machines::network_id.eq(bookings::network_id).and(machines::id.eq(bookings::machine_id));
    let of_club = clubs::network_id.eq(bookings::network_id).and(clubs::id.eq(others.field(bookings::club_id)));
    Ok(bookings::table
        .inner_join(others.on(in_the_way))
        .inner_join(machines::table.on(of_machine))
        .inner_join(clubs::table.on(of_club))
        .filter(bookings::network_id.eq(network))
        .filter(bookings::id.eq_any(ids))
        .filter(others.field(bookings::state).eq_any(HOLDING))
        .select((bookings::request_id.assume_not_null(), bookings::span, machines::name, clubs::name))
        .order((bookings::span, bookings::id))
        .load(tx)
        .await?)
}
