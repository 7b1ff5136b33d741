//! Queries on handovers. Scope of all: the network.
//!
//! A handover counts until another one names it: every query here leaves out what was countered.

use chrono::{DateTime, Utc};
use diesel::dsl::{exists, not};
use diesel::prelude::*;
use diesel_async::{AsyncPgConnection, RunQueryDsl};

use super::words::Direction;
use crate::error::Result;
use crate::ids::{BookingId, ClubId, HandoverId, MachineId, NetworkId, PersonId};
use crate::schema::{handovers, people, service_plans};

diesel::alias!(handovers as later: Later);

/// A handover as kept.
#[derive(Queryable, Selectable, Insertable)]
#[diesel(table_name = handovers)]
pub(super) struct Row {
    pub(super) id: HandoverId,
    pub(super) booking_id: BookingId,
    pub(super) machine_id: MachineId,
    pub(super) club_id: ClubId,
    pub(super) direction: Direction,
    pub(super) revision: i32,
    pub(super) counters: Option<HandoverId>,
    pub(super) meter_tenth_hours: Option<i32>,
    pub(super) previous_tenth_hours: Option<i32>,
    pub(super) meter_reason: String,
    pub(super) tines_sound: Option<bool>,
    pub(super) guards_sound: bool,
    pub(super) washed_down: bool,
    pub(super) note: String,
    pub(super) signed_name: String,
    pub(super) signed_by: PersonId,
    pub(super) signed_at: DateTime<Utc>,
    pub(super) received_at: DateTime<Utc>,
}

/// Whether a handover still counts.
#[diesel::dsl::auto_type]
fn counts() -> _ {
    not(exists(
        later
            .filter(later.field(handovers::network_id).eq(handovers::network_id))
            .filter(later.field(handovers::counters).eq(handovers::id.nullable())),
    ))
}

pub(super) async fn find(tx: &mut AsyncPgConnection, network: NetworkId, id: HandoverId) -> Result<Option<Row>> {
    Ok(handovers::table.find((network, id)).select(Row::as_select()).first(tx).await.optional()?)
}

/// The handover of a booking that counts, one way.
pub(super) async fn current(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    booking: BookingId,
    direction: Direction,
) -> Result<Option<Row>> {
    Ok(handovers::table
        .filter(handovers::network_id.eq(network))
        .filter(handovers::booking_id.eq(booking))
        .filter(handovers::direction.eq(direction))
        .order(handovers::revision.desc())
        .select(Row::as_select())
        .first(tx)
        .await
        .optional()?)
}

/// The last reading of a machine's hour meter: before an instant, and leaving out a handover that is put right.
pub(super) async fn last_meter(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    machine: MachineId,
    before: Option<DateTime<Utc>>,
    except: Option<HandoverId>,
) -> Result<Option<i32>> {
    let mut query = handovers::table
        .filter(handovers::network_id.eq(network))
        .filter(handovers::machine_id.eq(machine))
        .filter(handovers::meter_tenth_hours.is_not_null())
        .filter(counts())
        .order((handovers::signed_at.desc(), handovers::id.desc()))
        .select(handovers::meter_tenth_hours)
        .into_boxed();
    if let Some(before) = before {
        query = query.filter(handovers::signed_at.le(before));
    }
    if let Some(except) = except {
        query = query.filter(handovers::id.ne(except));
    }
    Ok(query.first::<Option<i32>>(tx).await.optional()?.flatten())
}

pub(super) async fn insert(tx: &mut AsyncPgConnection, network: NetworkId, row: &Row) -> Result<()> {
    diesel::insert_into(handovers::table).values((handovers::network_id.eq(network), row)).execute(tx).await?;
    Ok(())
}

/// Whether anything of a machine is to be serviced again and again.
pub(super) async fn is_serviced(tx: &mut AsyncPgConnection, network: NetworkId, machine: MachineId) -> Result<bool> {
    let plans = service_plans::table
        .filter(service_plans::network_id.eq(network))
        .filter(service_plans::machine_id.eq(machine))
        .filter(service_plans::ended_at.is_null());
    Ok(diesel::select(exists(plans)).get_result(tx).await?)
}

/// Which handovers are wanted.
#[derive(Clone, Copy)]
pub(super) enum Of {
    /// This one.
    Id(HandoverId),
    /// All of a booking, those that were countered as well.
    Booking(BookingId),
    /// The newest of a machine that count.
    Machine(MachineId),
}

/// How many handovers the page of a machine shows.
const NEWEST: i64 = 12;

/// Handovers with the names of the accounts they came from, newest first.
pub(super) async fn list(tx: &mut AsyncPgConnection, network: NetworkId, of: Of) -> Result<Vec<(Row, Option<String>)>> {
    let mut query = handovers::table
        .left_join(people::table.on(people::id.eq(handovers::signed_by)))
        .filter(handovers::network_id.eq(network))
        .order((handovers::signed_at.desc(), handovers::id.desc()))
        .select((Row::as_select(), people::name.nullable()))
        .into_boxed();
    query = match of {
        Of::Id(id) => query.filter(handovers::id.eq(id)),
        Of::Booking(booking) => query.filter(handovers::booking_id.eq(booking)),
        Of::Machine(machine) => query.filter(handovers::machine_id.eq(machine)).filter(counts()).limit(NEWEST),
    };
    Ok(query.load(tx).await?)
}

/// The readings that count, of all machines, by booking: booking, machine, club, way, reading in tenths of an hour.
pub(super) type Reading = (BookingId, MachineId, ClubId, Direction, Option<i32>);

/// Readings signed within a time.
pub(super) async fn readings(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    from: DateTime<Utc>,
    until: DateTime<Utc>,
) -> Result<Vec<Reading>> {
    let given_back_then = later
        .filter(later.field(handovers::network_id).eq(handovers::network_id))
        .filter(later.field(handovers::booking_id).eq(handovers::booking_id))
        .filter(later.field(handovers::direction).eq(Direction::In))
        .filter(later.field(handovers::signed_at).ge(from))
        .filter(later.field(handovers::signed_at).lt(until));
    Ok(handovers::table
        .filter(handovers::network_id.eq(network))
        .filter(counts())
        .filter(exists(given_back_then))
        .select((
            handovers::booking_id,
            handovers::machine_id,
            handovers::club_id,
            handovers::direction,
            handovers::meter_tenth_hours,
        ))
        .order((handovers::machine_id, handovers::booking_id, handovers::direction))
        .load(tx)
        .await?)
}
