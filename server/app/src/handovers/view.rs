//! Handovers, faults and the care of a machine as shown.

use chrono::{DateTime, NaiveDate, Utc};
use diesel_async::AsyncPgConnection;
use serde::Serialize;
use utoipa::ToSchema;

use super::meter::hours;
use super::papers::{Manual, Training, manuals_of, trained_on};
use super::services::{ServiceView, services_of};
use super::store::{self, Row};
use super::store_faults::{self, FaultRow};
use super::store_papers;
use super::words::{Direction, Severity};
use crate::access::{Act, Member};
use crate::bookings::Booking;
use crate::database::Tx;
use crate::error::Result;
use crate::ids::{AttachmentId, BookingId, ClubId, FaultId, HandoverId, MachineId, NetworkId};
use crate::machines::Terms;
use crate::time::{today, zone_of};

/// Stands in for the name of a person who is no longer in the network.
const SOMEBODY: &str = "A former member";

/// A handover as signed.
#[derive(Debug, Serialize, ToSchema)]
pub struct Handover {
    /// The handover.
    pub handover_id: HandoverId,
    /// Of which booking.
    pub booking_id: BookingId,
    /// By which club.
    pub club_id: ClubId,
    /// Whether the club took the machine over or gave it back.
    pub direction: Direction,
    /// The handover it puts right.
    pub counters: Option<HandoverId>,
    /// The hour meter, in hours; null where it was not read.
    pub meter_h: Option<f64>,
    /// Why the meter stood lower than before, or was not read.
    pub meter_reason: String,
    /// Whether tines, blades or brushes were sound; null for a machine without.
    pub tines_sound: Option<bool>,
    /// Whether guards and shaft cover were sound.
    pub guards_sound: bool,
    /// Whether soil and grass were washed off.
    pub washed_down: bool,
    /// Free text.
    pub note: String,
    /// The name under it.
    pub signed_name: String,
    /// The name of the account it came from.
    pub signed_by_name: String,
    /// When, by the clock of the phone.
    pub signed_at: DateTime<Utc>,
    /// When it arrived.
    pub received_at: DateTime<Utc>,
    /// What was found wrong.
    pub faults: Vec<Fault>,
}

/// A fault of a machine.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct Fault {
    /// The fault.
    pub fault_id: FaultId,
    /// Of which machine.
    pub machine_id: MachineId,
    /// Whether work can go on.
    pub severity: Severity,
    /// What is wrong.
    pub what: String,
    /// Its photos.
    pub photo_ids: Vec<AttachmentId>,
    /// Who told.
    pub told_by_name: String,
    /// When.
    pub told_at: DateTime<Utc>,
    /// What was done about it; null while it is open.
    pub cleared_note: Option<String>,
    /// When it was cleared.
    pub cleared_at: Option<DateTime<Utc>>,
    #[serde(skip)]
    pub(super) handover: Option<HandoverId>,
}

/// All that is to be known when a machine passes on.
#[derive(Debug, Serialize, ToSchema)]
pub struct BookingHandovers {
    /// The booking.
    pub booking_id: BookingId,
    /// Its machine.
    pub machine_id: MachineId,
    /// Its handovers, newest first; one that another counters no longer counts.
    pub handovers: Vec<Handover>,
    /// The last reading of the machine's hour meter, in hours.
    pub last_meter_h: Option<f64>,
    /// The faults of the machine that are open.
    pub open_faults: Vec<Fault>,
    /// Whether one of them takes it out of service.
    pub out_of_service: bool,
    /// What put the booking before the coordinator; empty when nothing needs a decision.
    pub needs_decision: Vec<String>,
    /// Who of the club was trained on the machine and may operate it when the booking begins.
    pub trained: Vec<String>,
    /// Whether it is to be warned that nobody was.
    pub warn_untrained: bool,
    /// The manuals of the machine.
    pub manuals: Vec<Manual>,
    /// Whether you may sign.
    pub may_sign: bool,
}

/// How a machine is looked after.
#[derive(Debug, Serialize, ToSchema)]
pub struct MachineCare {
    /// The machine.
    pub machine_id: MachineId,
    /// The last reading of its hour meter, in hours.
    pub last_meter_h: Option<f64>,
    /// Its faults that are open, the worst first.
    pub open_faults: Vec<Fault>,
    /// Whether one of them takes it out of service.
    pub out_of_service: bool,
    /// Its services, the most pressing first.
    pub services: Vec<ServiceView>,
    /// Its manuals, by title.
    pub manuals: Vec<Manual>,
    /// Who was trained on it or its kind, by club and name; those run out too.
    pub trained: Vec<Training>,
    /// Who of your clubs may operate it today.
    pub trained_at_your_clubs: Vec<String>,
    /// Whether a booking by a club without a trained person is warned about.
    pub warns_untrained: bool,
    /// Its newest handovers.
    pub handovers: Vec<Handover>,
    /// Whether you may clear faults, enter services and manuals.
    pub may_look_after: bool,
}

/// One handover. Scope: the network.
pub(super) async fn load(tx: &mut AsyncPgConnection, network: NetworkId, id: HandoverId) -> Result<Handover> {
    let mut handovers = list(tx, network, store::Of::Id(id)).await?;
    Ok(handovers.pop().ok_or(diesel::result::Error::NotFound)?)
}

/// One fault. Scope: the network.
pub(super) async fn load_fault(tx: &mut AsyncPgConnection, network: NetworkId, id: FaultId) -> Result<Fault> {
    let mut faults = faults(tx, network, store_faults::Of::Id(id)).await?;
    Ok(faults.pop().ok_or(diesel::result::Error::NotFound)?)
}

async fn list(tx: &mut AsyncPgConnection, network: NetworkId, of: store::Of) -> Result<Vec<Handover>> {
    let rows = store::list(tx, network, of).await?;
    let ids = rows.iter().map(|(row, _)| row.id).collect();
    let faults = faults(tx, network, store_faults::Of::Handovers(ids)).await?;
    Ok(rows.into_iter().map(|row| handover(row, &faults)).collect())
}

fn handover((row, signed_by): (Row, Option<String>), faults: &[Fault]) -> Handover {
    Handover {
        faults: faults.iter().filter(|fault| fault.handover == Some(row.id)).cloned().collect(),
        handover_id: row.id,
        booking_id: row.booking_id,
        club_id: row.club_id,
        direction: row.direction,
        counters: row.counters,
        meter_h: row.meter_tenth_hours.map(hours),
        meter_reason: row.meter_reason,
        tines_sound: row.tines_sound,
        guards_sound: row.guards_sound,
        washed_down: row.washed_down,
        note: row.note,
        signed_name: row.signed_name,
        signed_by_name: signed_by.unwrap_or_else(|| SOMEBODY.to_owned()),
        signed_at: row.signed_at,
        received_at: row.received_at,
    }
}

async fn faults(tx: &mut AsyncPgConnection, network: NetworkId, of: store_faults::Of) -> Result<Vec<Fault>> {
    let rows = store_faults::list(tx, network, of).await?;
    let ids: Vec<FaultId> = rows.iter().map(|row| row.id).collect();
    let photos = store_faults::photos_of(tx, network, &ids).await?;
    let fault = |row: FaultRow| {
        let of_this = photos.iter().filter(|(fault, _)| *fault == row.id);
        let (cleared_note, cleared_at) = row.cleared.unzip();
        Fault {
            photo_ids: of_this.map(|(_, photo)| *photo).collect(),
            fault_id: row.id,
            machine_id: row.machine_id,
            severity: row.severity,
            what: row.what,
            told_by_name: row.told_by.unwrap_or_else(|| SOMEBODY.to_owned()),
            told_at: row.told_at,
            cleared_note,
            cleared_at,
            handover: row.handover_id,
        }
    };
    Ok(rows.into_iter().map(fault).collect())
}

fn out_of_service(open: &[Fault]) -> bool {
    open.iter().any(|fault| fault.severity == Severity::OutOfService)
}

/// What is to be known when the machine of a booking passes on. Scope: the network.
pub(super) async fn of_booking(tx: &mut Tx, member: &Member, booking: &Booking) -> Result<BookingHandovers> {
    let (network, machine) = (member.network_id, booking.machine_id);
    let terms = Terms::read(tx, network, machine).await?;
    let trained = trained_on(tx, network, machine, terms.facts.kind).await?;
    let trained = names(&trained, booking.span.from.date(), |club| club == booking.club_id);
    let open_faults = faults(tx, network, store_faults::Of::Open(machine)).await?;
    Ok(BookingHandovers {
        booking_id: booking.booking_id,
        machine_id: machine,
        handovers: list(tx, network, store::Of::Booking(booking.booking_id)).await?,
        last_meter_h: store::last_meter(tx, network, machine, None, None).await?.map(hours),
        out_of_service: out_of_service(&open_faults),
        open_faults,
        needs_decision: store_faults::waiting_for(tx, network, booking.booking_id).await?,
        warn_untrained: trained.is_empty() && store_papers::warns(tx, network, machine).await?,
        trained,
        manuals: manuals_of(tx, network, machine).await?,
        may_sign: member.may(Act::HandOver, Some(booking.club_id)),
    })
}

/// How a machine is looked after. Scope: the network.
pub(super) async fn of_machine(tx: &mut Tx, member: &Member, terms: &Terms, now: DateTime<Utc>) -> Result<MachineCare> {
    let (network, machine) = (member.network_id, terms.machine_id);
    let today = today(zone_of(tx, network).await?, now);
    let open_faults = faults(tx, network, store_faults::Of::Open(machine)).await?;
    let trained = trained_on(tx, network, machine, terms.facts.kind).await?;
    Ok(MachineCare {
        machine_id: machine,
        last_meter_h: store::last_meter(tx, network, machine, None, None).await?.map(hours),
        out_of_service: out_of_service(&open_faults),
        open_faults,
        services: services_of(tx, network, machine, now).await?,
        manuals: manuals_of(tx, network, machine).await?,
        trained_at_your_clubs: names(&trained, today, |club| member.belongs_to(club)),
        trained,
        warns_untrained: store_papers::warns(tx, network, machine).await?,
        handovers: list(tx, network, store::Of::Machine(machine)).await?,
        may_look_after: member.may(Act::EditMachine, terms.facts.owner_club_id),
    })
}

/// The names of those who count on a date at some clubs, each once.
fn names(trained: &[Training], day: NaiveDate, at: impl Fn(ClubId) -> bool) -> Vec<String> {
    let here = trained.iter().filter(|training| at(training.club_id) && training.counts_on(day));
    let mut names: Vec<String> = here.map(|training| training.person_name.clone()).collect();
    names.sort();
    names.dedup();
    names
}
