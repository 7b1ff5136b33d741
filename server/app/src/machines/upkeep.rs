//! Adding and changing machines and the times they can be booked, for whoever calls: a handler or the demo region.

use diesel_async::AsyncPgConnection;
use serde::Serialize;
use utoipa::ToSchema;

use super::facts::{MachineEntry, MachineFacts};
use super::span::Span;
use super::store::{self, Owned};
use crate::access::{Act, Member};
use crate::database::Tx;
use crate::error::Result;
use crate::ids::{AvailabilityId, ClubId, MachineId, NetworkId};
use crate::wire::IfMatch;

/// A machine of the network.
#[derive(Debug, Serialize, ToSchema)]
pub struct Machine {
    /// The machine.
    pub machine_id: MachineId,
    /// What it is and how it may be booked.
    #[serde(flatten)]
    pub facts: MachineFacts,
    /// The name of the owning club; null when the network owns it.
    pub owner_club_name: Option<String>,
    /// The clubs that may book it where only named clubs may.
    pub named_club_ids: Vec<ClubId>,
    /// When it can be booked at all, in order of time.
    pub availabilities: Vec<Availability>,
    /// Counts changes; the ETag.
    pub version: i32,
}

/// A span in which a machine can be booked.
#[derive(Debug, Serialize, ToSchema)]
pub struct Availability {
    /// The availability.
    pub availability_id: AvailabilityId,
    /// The half-days.
    #[serde(flatten)]
    pub span: Span,
}

/// Adds a machine.
///
/// # Errors
/// `not_your_role` for an owner the member does not act for; `name_taken`; `invalid`.
pub async fn add_machine(tx: &mut Tx, member: &Member, entry: MachineEntry) -> Result<Machine> {
    member.require(Act::EditMachine, entry.facts.owner_club_id)?;
    let id = MachineId::new();
    store::insert(tx, member.network_id, id, &entry.facts.trimmed()?).await?;
    store::set_named(tx, member.network_id, id, &entry.named_club_ids).await?;
    load(tx, member.network_id, id).await
}

/// Changes a machine.
///
/// # Errors
/// As [`add_machine`], for the owner before and after; `not_found`; `changed_meanwhile`.
pub async fn change_machine(
    tx: &mut Tx,
    member: &Member,
    id: MachineId,
    seen: IfMatch,
    entry: MachineEntry,
) -> Result<Machine> {
    let (before, _) = store::find(tx, member.network_id, id).await?;
    member.require(Act::EditMachine, before.facts.owner_club_id)?;
    member.require(Act::EditMachine, entry.facts.owner_club_id)?;
    store::update(tx, member.network_id, id, seen, &entry.facts.trimmed()?).await?;
    store::set_named(tx, member.network_id, id, &entry.named_club_ids).await?;
    load(tx, member.network_id, id).await
}

/// Lets a machine be booked in a span.
///
/// # Errors
/// `not_found`, `not_your_role`, `not_half_days`, `availability_overlaps`.
pub async fn add_availability(tx: &mut Tx, member: &Member, machine: MachineId, span: Span) -> Result<Availability> {
    let (row, _) = store::find(tx, member.network_id, machine).await?;
    member.require(Act::EditMachine, row.facts.owner_club_id)?;
    let availability_id = store::add_availability(tx, member.network_id, machine, &span.parse()?).await?;
    Ok(Availability { availability_id, span })
}

/// Takes such a span back.
///
/// # Errors
/// `not_found`, `not_your_role`; `availability_in_use` while a booking lies in it.
pub async fn remove_availability(tx: &mut Tx, member: &Member, machine: MachineId, id: AvailabilityId) -> Result<()> {
    let (row, _) = store::find(tx, member.network_id, machine).await?;
    member.require(Act::EditMachine, row.facts.owner_club_id)?;
    store::remove_availability(tx, member.network_id, machine, id).await
}

/// One machine. Scope: its network.
pub(super) async fn load(tx: &mut AsyncPgConnection, network: NetworkId, id: MachineId) -> Result<Machine> {
    let row = store::find(tx, network, id).await?;
    let mut machines = gather(tx, network, vec![row]).await?;
    Ok(machines.pop().ok_or(diesel::result::Error::NotFound)?)
}

/// Machines with all that belongs to them, in two further queries however many there are. Scope: their network.
pub(super) async fn gather(tx: &mut AsyncPgConnection, network: NetworkId, rows: Vec<Owned>) -> Result<Vec<Machine>> {
    let ids: Vec<MachineId> = rows.iter().map(|(row, _)| row.id).collect();
    let named = store::named_of(tx, network, &ids).await?;
    let available = store::availabilities_of(tx, network, &ids).await?;
    let machine = |(row, owner_club_name): Owned| {
        let clubs = named.iter().filter(|(machine, _)| *machine == row.id).map(|(_, club)| *club);
        let spans = available.iter().filter(|(machine, ..)| *machine == row.id);
        Machine {
            machine_id: row.id,
            facts: row.facts,
            owner_club_name,
            named_club_ids: clubs.collect(),
            availabilities: spans
                .map(|(_, id, span)| Availability { availability_id: *id, span: span.0.into() })
                .collect(),
            version: row.version,
        }
    };
    Ok(rows.into_iter().map(machine).collect())
}
