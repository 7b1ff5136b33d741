//! Queries on faults and on the bookings behind them. Scope of all: the network.

use std::ops::Bound;

use chrono::{DateTime, NaiveDateTime, Utc};
use diesel::dsl::{exists, not, upper};
use diesel::prelude::*;
use diesel_async::{AsyncPgConnection, RunQueryDsl};

use super::faults::NewFault;
use super::words::{Decision, Severity};
use crate::access::Member;
use crate::error::Result;
use crate::ids::{AttachmentId, BookingId, ClubId, FaultId, HandoverId, MachineId, NetworkId};
use crate::schema::{booking_decisions, bookings, clubs, fault_clearings, fault_photos, faults, people};

/// The states of a booking that holds its machine.
const STANDING: [&str; 2] = ["asked", "agreed"];

/// A booking behind a fault.
#[derive(Debug, Clone)]
pub(super) struct Behind {
    pub(super) id: BookingId,
    pub(super) club_id: ClubId,
    pub(super) club: String,
    pub(super) from: NaiveDateTime,
    pub(super) until: NaiveDateTime,
}

type BehindRow = (BookingId, ClubId, String, (Bound<NaiveDateTime>, Bound<NaiveDateTime>));

fn bounded(rows: Vec<BehindRow>) -> Vec<Behind> {
    let bounded = rows.into_iter().filter_map(|(id, club_id, club, span)| match span {
        (Bound::Included(from), Bound::Excluded(until)) => Some(Behind { id, club_id, club, from, until }),
        _ => None, // the constraint on half-days leaves no other
    });
    bounded.collect()
}

pub(super) async fn insert(
    tx: &mut AsyncPgConnection,
    member: &Member,
    machine: MachineId,
    fault: &NewFault,
    now: DateTime<Utc>,
) -> Result<FaultId> {
    let id = FaultId::new();
    diesel::insert_into(faults::table)
        .values((
            faults::network_id.eq(member.network_id),
            faults::id.eq(id),
            faults::machine_id.eq(machine),
            faults::handover_id.eq(fault.handover),
            faults::severity.eq(fault.severity),
            faults::what.eq(&fault.what),
            faults::told_by.eq(member.person_id),
            faults::told_at.eq(now),
        ))
        .execute(tx)
        .await?;
    let photos: Vec<_> = fault
        .photos
        .iter()
        .map(|photo| {
            (
                fault_photos::network_id.eq(member.network_id),
                fault_photos::fault_id.eq(id),
                fault_photos::attachment_id.eq(photo),
            )
        })
        .collect();
    diesel::insert_into(fault_photos::table).values(photos).execute(tx).await?;
    Ok(id)
}

/// The bookings of a machine that stand and have not ended.
pub(super) async fn behind(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    machine: MachineId,
    wall: NaiveDateTime,
) -> Result<Vec<Behind>> {
    let club = clubs::network_id.eq(bookings::network_id).and(clubs::id.eq(bookings::club_id));
    let rows = bookings::table
        .inner_join(clubs::table.on(club))
        .filter(bookings::network_id.eq(network))
        .filter(bookings::machine_id.eq(machine))
        .filter(bookings::state.eq_any(STANDING))
        .filter(upper(bookings::span).gt(wall))
        .select((bookings::id, bookings::club_id, clubs::name, bookings::span))
        .order((bookings::span, bookings::id))
        .load(tx)
        .await?;
    Ok(bounded(rows))
}

/// Puts bookings before the coordinator.
pub(super) async fn ask(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    fault: FaultId,
    behind: &[Behind],
    now: DateTime<Utc>,
) -> Result<()> {
    let rows: Vec<_> = behind
        .iter()
        .map(|booking| {
            (
                booking_decisions::network_id.eq(network),
                booking_decisions::booking_id.eq(booking.id),
                booking_decisions::fault_id.eq(fault),
                booking_decisions::asked_at.eq(now),
            )
        })
        .collect();
    diesel::insert_into(booking_decisions::table).values(rows).execute(tx).await?;
    Ok(())
}

/// What the coordinator decided, or `fault_cleared`.
#[derive(AsChangeset)]
#[diesel(table_name = booking_decisions)]
struct Decided<'a> {
    decision: Decision,
    note: &'a str,
    decided_by: crate::ids::PersonId,
    decided_at: DateTime<Utc>,
}

/// Decides about a booking. Says whether anything waited.
pub(super) async fn decide(
    tx: &mut AsyncPgConnection,
    member: &Member,
    booking: BookingId,
    decision: Decision,
    note: &str,
    now: DateTime<Utc>,
) -> Result<bool> {
    let decided = diesel::update(booking_decisions::table)
        .filter(booking_decisions::network_id.eq(member.network_id))
        .filter(booking_decisions::booking_id.eq(booking))
        .filter(booking_decisions::decision.is_null())
        .set(Decided { decision, note, decided_by: member.person_id, decided_at: now })
        .execute(tx)
        .await?;
    Ok(decided > 0)
}

/// Ends the waiting for a fault that was cleared, and gives the bookings that stand.
pub(super) async fn end_waiting(
    tx: &mut AsyncPgConnection,
    member: &Member,
    fault: FaultId,
    now: DateTime<Utc>,
) -> Result<Vec<Behind>> {
    let network = member.network_id;
    let waited: Vec<BookingId> = diesel::update(booking_decisions::table)
        .filter(booking_decisions::network_id.eq(network))
        .filter(booking_decisions::fault_id.eq(fault))
        .filter(booking_decisions::decision.is_null())
        .set(Decided { decision: Decision::FaultCleared, note: "", decided_by: member.person_id, decided_at: now })
        .returning(booking_decisions::booking_id)
        .get_results(tx)
        .await?;
    let club = clubs::network_id.eq(bookings::network_id).and(clubs::id.eq(bookings::club_id));
    let rows = bookings::table
        .inner_join(clubs::table.on(club))
        .filter(bookings::network_id.eq(network))
        .filter(bookings::id.eq_any(waited))
        .filter(bookings::state.eq_any(STANDING))
        .select((bookings::id, bookings::club_id, clubs::name, bookings::span))
        .order((bookings::span, bookings::id))
        .load(tx)
        .await?;
    Ok(bounded(rows))
}

pub(super) async fn machine_of(tx: &mut AsyncPgConnection, network: NetworkId, id: FaultId) -> Result<MachineId> {
    Ok(faults::table.find((network, id)).select(faults::machine_id).first(tx).await?)
}

#[diesel::dsl::auto_type]
fn cleared() -> _ {
    fault_clearings::table
        .filter(fault_clearings::network_id.eq(faults::network_id))
        .filter(fault_clearings::fault_id.eq(faults::id))
}

pub(super) async fn is_cleared(tx: &mut AsyncPgConnection, network: NetworkId, id: FaultId) -> Result<bool> {
    Ok(diesel::select(exists(fault_clearings::table.find((network, id)))).get_result(tx).await?)
}

pub(super) async fn clear(
    tx: &mut AsyncPgConnection,
    member: &Member,
    id: FaultId,
    note: &str,
    now: DateTime<Utc>,
) -> Result<()> {
    diesel::insert_into(fault_clearings::table)
        .values((
            fault_clearings::network_id.eq(member.network_id),
            fault_clearings::fault_id.eq(id),
            fault_clearings::note.eq(note),
            fault_clearings::cleared_by.eq(member.person_id),
            fault_clearings::cleared_at.eq(now),
        ))
        .execute(tx)
        .await?;
    Ok(())
}

pub(super) async fn is_out_of_service(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    machine: MachineId,
) -> Result<bool> {
    Ok(out_of_service(tx, network).await?.contains(&machine))
}

/// The machines that are out of service. Scope: the network.
///
/// # Errors
/// A failing database.
pub async fn out_of_service(tx: &mut AsyncPgConnection, network: NetworkId) -> Result<Vec<MachineId>> {
    Ok(faults::table
        .filter(faults::network_id.eq(network))
        .filter(faults::severity.eq(Severity::OutOfService))
        .filter(not(exists(cleared())))
        .select(faults::machine_id)
        .distinct()
        .load(tx)
        .await?)
}

/// The bookings that stand, have not ended at a local time, and need a decision. Scope: the network.
///
/// # Errors
/// A failing database.
pub async fn undecided(tx: &mut AsyncPgConnection, network: NetworkId, wall: NaiveDateTime) -> Result<Vec<BookingId>> {
    let booking =
        bookings::network_id.eq(booking_decisions::network_id).and(bookings::id.eq(booking_decisions::booking_id));
    Ok(booking_decisions::table
        .inner_join(bookings::table.on(booking))
        .filter(booking_decisions::network_id.eq(network))
        .filter(booking_decisions::decision.is_null())
        .filter(bookings::state.eq_any(STANDING))
        .filter(upper(bookings::span).gt(wall))
        .select(bookings::id)
        .distinct()
        .load(tx)
        .await?)
}

/// A fault as kept, with the name of who told, and how it was cleared: note, when.
#[derive(Queryable)]
pub(super) struct FaultRow {
    pub(super) id: FaultId,
    pub(super) machine_id: MachineId,
    pub(super) handover_id: Option<HandoverId>,
    pub(super) severity: Severity,
    pub(super) what: String,
    pub(super) told_at: DateTime<Utc>,
    pub(super) told_by: Option<String>,
    pub(super) cleared: Option<(String, DateTime<Utc>)>,
}

/// Which faults are wanted.
#[derive(Clone)]
pub(super) enum Of {
    /// This one.
    Id(FaultId),
    /// Those of a machine that are open.
    Open(MachineId),
    /// Those found at some handovers.
    Handovers(Vec<HandoverId>),
}

/// Faults, the worst and newest first.
pub(super) async fn list(tx: &mut AsyncPgConnection, network: NetworkId, of: Of) -> Result<Vec<FaultRow>> {
    let clearing = fault_clearings::network_id.eq(faults::network_id).and(fault_clearings::fault_id.eq(faults::id));
    let mut query = faults::table
        .left_join(people::table.on(people::id.eq(faults::told_by)))
        .left_join(fault_clearings::table.on(clearing))
        .filter(faults::network_id.eq(network))
        .order((faults::severity, faults::told_at.desc(), faults::id.desc()))
        .select((
            faults::id,
            faults::machine_id,
            faults::handover_id,
            faults::severity,
            faults::what,
            faults::told_at,
            people::name.nullable(),
            (fault_clearings::note, fault_clearings::cleared_at).nullable(),
        ))
        .into_boxed();
    query = match of {
        Of::Id(id) => query.filter(faults::id.eq(id)),
        Of::Open(machine) => query.filter(faults::machine_id.eq(machine)).filter(fault_clearings::cleared_at.is_null()),
        Of::Handovers(ids) => query.filter(faults::handover_id.eq_any(ids)),
    };
    Ok(query.load(tx).await?)
}

/// The photos of some faults.
pub(super) async fn photos_of(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    ids: &[FaultId],
) -> Result<Vec<(FaultId, AttachmentId)>> {
    Ok(fault_photos::table
        .filter(fault_photos::network_id.eq(network))
        .filter(fault_photos::fault_id.eq_any(ids))
        .select((fault_photos::fault_id, fault_photos::attachment_id))
        .order((fault_photos::fault_id, fault_photos::attachment_id))
        .load(tx)
        .await?)
}

/// What waits for a decision about a booking: what the fault is.
pub(super) async fn waiting_for(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    booking: BookingId,
) -> Result<Vec<String>> {
    let fault = faults::network_id.eq(booking_decisions::network_id).and(faults::id.eq(booking_decisions::fault_id));
    Ok(booking_decisions::table
        .inner_join(faults::table.on(fault))
        .filter(booking_decisions::network_id.eq(network))
        .filter(booking_decisions::booking_id.eq(booking))
        .filter(booking_decisions::decision.is_null())
        .select(faults::what)
        .order(booking_decisions::asked_at)
        .load(tx)
        .await?)
}
