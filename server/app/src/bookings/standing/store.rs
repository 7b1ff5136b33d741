//! Queries on standing bookings. Scope of all: the network.

use chrono::{DateTime, NaiveDate, NaiveDateTime, Utc};
use diesel::dsl::lower;
use diesel::prelude::*;
use diesel_async::{AsyncPgConnection, RunQueryDsl};

use super::super::booking::BookingState;
use crate::error::Result;
use crate::ids::{BookingId, ClubId, MachineId, NetworkId, PersonId, StandingId};
use crate::machines::StoredSpan;
use crate::schema::{bookings, clubs, machines, standing_bookings};

/// A standing booking as kept.
#[derive(Queryable, Selectable)]
#[diesel(table_name = standing_bookings)]
pub(super) struct Row {
    pub(super) id: StandingId,
    pub(super) machine_id: MachineId,
    pub(super) club_id: ClubId,
    pub(super) first_span: StoredSpan,
    pub(super) rule: String,
    pub(super) except_on: Vec<Option<NaiveDate>>,
    pub(super) ended_from: Option<NaiveDate>,
}

/// A standing booking with the names of its machine and club.
#[derive(Queryable)]
pub(super) struct Named {
    pub(super) row: Row,
    pub(super) machine: String,
    pub(super) club: String,
}

/// A standing booking to insert.
#[derive(Insertable)]
#[diesel(table_name = standing_bookings)]
pub(super) struct NewStanding {
    pub(super) id: StandingId,
    pub(super) machine_id: MachineId,
    pub(super) club_id: ClubId,
    pub(super) first_span: StoredSpan,
    pub(super) rule: String,
    pub(super) except_on: Vec<NaiveDate>,
    pub(super) note: String,
    pub(super) made_by: PersonId,
}

pub(super) async fn insert(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    new: &NewStanding,
    now: DateTime<Utc>,
) -> Result<()> {
    diesel::insert_into(standing_bookings::table)
        .values((standing_bookings::network_id.eq(network), new, standing_bookings::created_at.eq(now)))
        .execute(tx)
        .await?;
    Ok(())
}

#[diesel::dsl::auto_type]
fn named(network: NetworkId) -> _ {
    let machine =
        machines::network_id.eq(standing_bookings::network_id).and(machines::id.eq(standing_bookings::machine_id));
    let club = clubs::network_id.eq(standing_bookings::network_id).and(clubs::id.eq(standing_bookings::club_id));
    standing_bookings::table
        .inner_join(machines::table.on(machine))
        .inner_join(clubs::table.on(club))
        .filter(standing_bookings::network_id.eq(network))
}

pub(super) async fn find(tx: &mut AsyncPgConnection, network: NetworkId, id: StandingId) -> Result<Named> {
    let one = named(network).filter(standing_bookings::id.eq(id));
    Ok(one.select((Row::as_select(), machines::name, clubs::name)).first(tx).await?)
}

/// Standing bookings, last made first.
pub(super) async fn list(tx: &mut AsyncPgConnection, network: NetworkId, club: Option<ClubId>) -> Result<Vec<Named>> {
    let mut query = named(network)
        .select((Row::as_select(), machines::name, clubs::name))
        .order(standing_bookings::id.desc())
        .into_boxed();
    if let Some(club) = club {
        query = query.filter(standing_bookings::club_id.eq(club));
    }
    Ok(query.load(tx).await?)
}

/// The machines of what stands of it from a local time on, by id.
pub(super) async fn machines_of(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    id: StandingId,
    from: NaiveDateTime,
) -> Result<Vec<MachineId>> {
    Ok(bookings::table
        .filter(bookings::network_id.eq(network))
        .filter(bookings::standing_id.eq(id))
        .filter(bookings::state.eq_any([BookingState::Asked, BookingState::Agreed]))
        .filter(lower(bookings::span).ge(from))
        .select(bookings::machine_id)
        .distinct()
        .order(bookings::machine_id)
        .load(tx)
        .await?)
}

/// What stands of it from a local time on.
pub(super) async fn coming(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    id: StandingId,
    from: NaiveDateTime,
) -> Result<Vec<BookingId>> {
    Ok(bookings::table
        .filter(bookings::network_id.eq(network))
        .filter(bookings::standing_id.eq(id))
        .filter(bookings::state.eq_any([BookingState::Asked, BookingState::Agreed]))
        .filter(lower(bookings::span).ge(from))
        .select(bookings::id)
        .order(bookings::id)
        .load(tx)
        .await?)
}

/// Notes from which date on it was given up; the earliest counts.
pub(super) async fn end(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    id: StandingId,
    from_on: NaiveDate,
) -> Result<()> {
    let later = standing_bookings::ended_from.is_null().or(standing_bookings::ended_from.gt(from_on));
    diesel::update(standing_bookings::table.find((network, id)).filter(later))
        .set(standing_bookings::ended_from.eq(from_on))
        .execute(tx)
        .await?;
    Ok(())
}
