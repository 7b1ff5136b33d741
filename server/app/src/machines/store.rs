//! Queries on machines, their availabilities, and what of them is held. Scope of all: the network.

use chrono::NaiveDateTime;
use diesel::dsl::upper;
use diesel::prelude::*;
use diesel_async::{AsyncPgConnection, RunQueryDsl};
use logistics::half_days::HalfDaySpan;

use super::facts::MachineFacts;
use super::span::StoredSpan;
use super::words::{HoldState, MachineKind};
use crate::error::{Code, Error, Result, refuse};
use crate::ids::{AvailabilityId, BookingId, ClubId, MachineId, NetworkId, PitchId, RoundId};
use crate::schema::{bookings, clubs, hires, machine_availabilities, machine_clubs, machines, pitches, rounds};
use crate::wire::{IfMatch, PageQuery};

/// The states of a booking that holds its machine, as the exclusion constraint counts them.
const STANDING: [HoldState; 3] = [HoldState::Offered, HoldState::Asked, HoldState::Agreed];

/// A machine as kept.
#[derive(Queryable, Selectable)]
#[diesel(table_name = machines)]
pub(super) struct Row {
    pub(super) id: MachineId,
    #[diesel(embed)]
    pub(super) facts: MachineFacts,
    pub(super) version: i32,
}

/// A machine and the name of the club that owns it.
pub(super) type Owned = (Row, Option<String>);

#[diesel::dsl::auto_type]
fn owned(network: NetworkId) -> _ {
    let owner = clubs::network_id.eq(machines::network_id).and(clubs::id.nullable().eq(machines::owner_club_id));
    machines::table.left_join(clubs::table.on(owner)).filter(machines::network_id.eq(network))
}

pub(super) async fn find(tx: &mut AsyncPgConnection, network: NetworkId, id: MachineId) -> Result<Owned> {
    let one = owned(network).filter(machines::id.eq(id)).select((Row::as_select(), clubs::name.nullable()));
    Ok(one.first(tx).await?)
}

/// Machines by name.
pub(super) async fn list(tx: &mut AsyncPgConnection, network: NetworkId, page: &PageQuery) -> Result<Vec<Owned>> {
    let mut query = owned(network)
        .select((Row::as_select(), clubs::name.nullable()))
        .order(machines::name)
        .limit(page.rows())
        .into_boxed();
    if let Some(after) = page.after::<String>()? {
        query = query.filter(machines::name.gt(after));
    }
    Ok(query.load(tx).await?)
}

/// A machine, its row locked until the transaction ends.
pub(super) async fn lock(tx: &mut AsyncPgConnection, network: NetworkId, id: MachineId) -> Result<MachineFacts> {
    let row = machines::table.find((network, id)).select(MachineFacts::as_select());
    Ok(row.for_no_key_update().first(tx).await?)
}

pub(super) async fn insert(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    id: MachineId,
    facts: &MachineFacts,
) -> Result<()> {
    diesel::insert_into(machines::table)
        .values((machines::network_id.eq(network), machines::id.eq(id), facts))
        .execute(tx)
        .await?;
    Ok(())
}

/// Changes a machine, unless somebody did since it was read.
pub(super) async fn update(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    id: MachineId,
    seen: IfMatch,
    facts: &MachineFacts,
) -> Result<()> {
    let changed = diesel::update(machines::table.find((network, id)))
        .filter(machines::version.eq(seen.0))
        .set((facts, machines::version.eq(machines::version + 1)))
        .execute(tx)
        .await?;
    if changed == 1 { Ok(()) } else { Err(seen.stale().into()) }
}

/// Names the clubs that may book a machine, in place of those named before.
pub(super) async fn set_named(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    id: MachineId,
    named: &[ClubId],
) -> Result<()> {
    let before = machine_clubs::table.filter(machine_clubs::network_id.eq(network));
    diesel::delete(before.filter(machine_clubs::machine_id.eq(id))).execute(tx).await?;
    let rows: Vec<_> = named
        .iter()
        .map(|club| {
            (machine_clubs::network_id.eq(network), machine_clubs::machine_id.eq(id), machine_clubs::club_id.eq(club))
        })
        .collect();
    diesel::insert_into(machine_clubs::table).values(rows).on_conflict_do_nothing().execute(tx).await?;
    Ok(())
}

/// The clubs named for each of some machines.
pub(super) async fn named_of(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    ids: &[MachineId],
) -> Result<Vec<(MachineId, ClubId)>> {
    Ok(machine_clubs::table
        .filter(machine_clubs::network_id.eq(network))
        .filter(machine_clubs::machine_id.eq_any(ids))
        .select((machine_clubs::machine_id, machine_clubs::club_id))
        .order((machine_clubs::machine_id, machine_clubs::club_id))
        .load(tx)
        .await?)
}

/// An availability as kept, with its machine.
pub(super) type Available = (MachineId, AvailabilityId, StoredSpan);

/// The availabilities of some machines, in order of time.
pub(super) async fn availabilities_of(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    ids: &[MachineId],
) -> Result<Vec<Available>> {
    Ok(machine_availabilities::table
        .filter(machine_availabilities::network_id.eq(network))
        .filter(machine_availabilities::machine_id.eq_any(ids))
        .select((machine_availabilities::machine_id, machine_availabilities::id, machine_availabilities::span))
        .order(machine_availabilities::span)
        .load(tx)
        .await?)
}

pub(super) async fn add_availability(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    machine: MachineId,
    span: &HalfDaySpan,
) -> Result<AvailabilityId> {
    let id = AvailabilityId::new();
    diesel::insert_into(machine_availabilities::table)
        .values((
            machine_availabilities::network_id.eq(network),
            machine_availabilities::id.eq(id),
            machine_availabilities::machine_id.eq(machine),
            machine_availabilities::span.eq(StoredSpan(*span)),
        ))
        .execute(tx)
        .await?;
    Ok(id)
}

/// Removes an availability in which no booking lies.
pub(super) async fn remove_availability(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    machine: MachineId,
    id: AvailabilityId,
) -> Result<()> {
    let one = machine_availabilities::table.find((network, id)).filter(machine_availabilities::machine_id.eq(machine));
    match diesel::delete(one).execute(tx).await {
        Ok(0) => Err(diesel::result::Error::NotFound.into()),
        Ok(_) => Ok(()),
        // The same key that keeps a booking within an availability, broken from its other end.
        Err(diesel::result::Error::DatabaseError(_, info))
            if info.constraint_name() == Some("bookings_availability") =>
        {
            Err(refuse(Code::AvailabilityInUse, "Move or cancel the bookings that lie in it first.").into())
        }
        Err(error) => Err(Error::from(error)),
    }
}

/// The availability that holds the whole of a span, if one does.
pub(super) async fn availability_around(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    machine: MachineId,
    span: &HalfDaySpan,
) -> Result<Option<(AvailabilityId, HalfDaySpan)>> {
    let found: Option<(AvailabilityId, StoredSpan)> = machine_availabilities::table
        .filter(machine_availabilities::network_id.eq(network))
        .filter(machine_availabilities::machine_id.eq(machine))
        .filter(machine_availabilities::span.contains_range(StoredSpan(*span)))
        .select((machine_availabilities::id, machine_availabilities::span))
        .first(tx)
        .await
        .optional()?;
    Ok(found.map(|(id, span)| (id, span.0)))
}

/// The availabilities of a machine that end after a local time.
pub(super) async fn available_after(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    machine: MachineId,
    after: NaiveDateTime,
) -> Result<Vec<HalfDaySpan>> {
    let spans: Vec<StoredSpan> = machine_availabilities::table
        .filter(machine_availabilities::network_id.eq(network))
        .filter(machine_availabilities::machine_id.eq(machine))
        .filter(upper(machine_availabilities::span).gt(after))
        .select(machine_availabilities::span)
        .load(tx)
        .await?;
    Ok(spans.into_iter().map(|span| span.0).collect())
}

/// A booking that holds a machine.
#[derive(Queryable, Selectable)]
#[diesel(table_name = bookings)]
pub(super) struct Held {
    pub(super) span: StoredSpan,
    pub(super) gap_half_days: i32,
}

/// What is held of a machine after a local time.
pub(super) async fn held_after(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    machine: MachineId,
    after: NaiveDateTime,
    except: Option<BookingId>,
) -> Result<Vec<Held>> {
    let mut query = bookings::table
        .filter(bookings::network_id.eq(network))
        .filter(bookings::machine_id.eq(machine))
        .filter(bookings::state.eq_any(STANDING))
        .filter(upper(bookings::held).gt(after))
        .select(Held::as_select())
        .into_boxed();
    if let Some(except) = except {
        query = query.filter(bookings::id.ne(except));
    }
    Ok(query.load(tx).await?)
}

/// The chosen pitches of a club, by name: id, name, area in m². Scope: the network.
///
/// # Errors
/// A failing database.
pub async fn pitches_of(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    club: ClubId,
    ids: &[PitchId],
) -> Result<Vec<(PitchId, String, i32)>> {
    Ok(pitches::table
        .filter(pitches::network_id.eq(network))
        .filter(pitches::club_id.eq(club))
        .filter(pitches::id.eq_any(ids))
        .select((pitches::id, pitches::name, pitches::area_m2))
        .order((pitches::name, pitches::id))
        .load(tx)
        .await?)
}

/// A time of a hired machine that an open round decides about.
#[derive(Queryable)]
pub(super) struct Decided {
    pub(super) machine_id: MachineId,
    pub(super) round_id: RoundId,
    pub(super) round_title: String,
    pub(super) span: StoredSpan,
}

/// What open rounds decide about after a local time, of one machine or of all; as trigger `hired_time_gate` has it.
pub(super) async fn decided_by_rounds(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    machine: Option<MachineId>,
    after: NaiveDateTime,
) -> Result<Vec<Decided>> {
    let of_round = rounds::network_id.eq(hires::network_id).and(rounds::id.eq(hires::round_id));
    let mut query = hires::table
        .inner_join(rounds::table.on(of_round))
        .filter(hires::network_id.eq(network))
        .filter(rounds::state.eq_any(["gathering", "requests_closed", "offered"]))
        .filter(upper(hires::span).gt(after))
        .select((hires::machine_id, rounds::id, rounds::title, hires::span))
        .order((hires::machine_id, hires::span))
        .into_boxed();
    if let Some(machine) = machine {
        query = query.filter(hires::machine_id.eq(machine));
    }
    Ok(query.load(tx).await?)
}

/// A machine as the board shows it.
#[derive(Queryable, Selectable)]
#[diesel(table_name = machines)]
pub(super) struct Offered {
    pub(super) id: MachineId,
    pub(super) name: String,
    pub(super) kind: MachineKind,
    pub(super) gap_half_days: i32,
}

/// The machines that are offered, by name.
pub(super) async fn offered(tx: &mut AsyncPgConnection, network: NetworkId) -> Result<Vec<Offered>> {
    Ok(machines::table
        .filter(machines::network_id.eq(network))
        .filter(machines::retired.eq(false))
        .select(Offered::as_select())
        .order(machines::name)
        .load(tx)
        .await?)
}

/// The availabilities of all machines that share a half-day with a window, in order of time.
pub(super) async fn available_in(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    window: &HalfDaySpan,
) -> Result<Vec<(MachineId, StoredSpan)>> {
    Ok(machine_availabilities::table
        .filter(machine_availabilities::network_id.eq(network))
        .filter(machine_availabilities::span.overlaps_with(StoredSpan(*window)))
        .select((machine_availabilities::machine_id, machine_availabilities::span))
        .order(machine_availabilities::span)
        .load(tx)
        .await?)
}

/// A standing booking as the board shows it.
#[derive(Queryable, Selectable)]
#[diesel(table_name = bookings)]
pub(super) struct Standing {
    pub(super) id: BookingId,
    pub(super) machine_id: MachineId,
    pub(super) club_id: ClubId,
    pub(super) span: StoredSpan,
    pub(super) held: StoredSpan,
    pub(super) state: HoldState,
}

/// What is held of all machines within a window, with the clubs' names, in order of time.
pub(super) async fn standing_in(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    window: &HalfDaySpan,
) -> Result<Vec<(Standing, String)>> {
    let club = clubs::network_id.eq(bookings::network_id).and(clubs::id.eq(bookings::club_id));
    Ok(bookings::table
        .inner_join(clubs::table.on(club))
        .filter(bookings::network_id.eq(network))
        .filter(bookings::state.eq_any(STANDING))
        .filter(bookings::held.overlaps_with(StoredSpan(*window)))
        .select((Standing::as_select(), clubs::name))
        .order(bookings::span)
        .load(tx)
        .await?)
}
