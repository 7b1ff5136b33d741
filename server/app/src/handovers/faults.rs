//! Faults: told with a handover or at any time, and cleared. One that takes the machine out of service puts every booking
//! behind it before the coordinator; each keeps its place until decided.

use chrono::{DateTime, Utc};
use diesel_async::AsyncPgConnection;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::letters;
use super::store_faults::{self as store, Behind};
use super::view::{Fault, load_fault};
use super::words::Severity;
use crate::access::{Act, Member, Role, addresses};
use crate::attachments::{self, MediaType};
use crate::bookings;
use crate::database::Tx;
use crate::error::{Code, Refused, Result, invalid, refuse};
use crate::ids::{AttachmentId, BookingId, ClubId, FaultId, HandoverId, MachineId, NetworkId};
use crate::machines::Terms;
use crate::mail;
use crate::text::note_parse;
use crate::time::{local, zone_of};

/// The most faults told at once, and photos of one.
const MOST_FAULTS: usize = 10;
const MOST_PHOTOS: usize = 6;

/// A fault to tell of.
#[derive(Debug, Clone, Serialize, Deserialize, ToSchema)]
pub struct CreateFault {
    /// Whether work can go on.
    pub severity: Severity,
    /// What is wrong.
    pub what: String,
    /// Photos sent before.
    #[serde(default)]
    pub photo_ids: Vec<AttachmentId>,
}

/// How a fault ended.
#[derive(Debug, Clone, Deserialize, ToSchema)]
pub struct ClearFault {
    /// What was done.
    pub note: String,
}

/// A fault that makes sense, before it is told.
pub(super) struct NewFault {
    pub(super) severity: Severity,
    pub(super) what: String,
    pub(super) photos: Vec<AttachmentId>,
    /// Found at this handover.
    pub(super) handover: Option<HandoverId>,
    /// A booking that is over with this handover, and so needs no decision.
    pub(super) spared: Option<BookingId>,
}

/// Reads faults as sent. Scope: the network.
pub(super) async fn parse_faults(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    faults: &[CreateFault],
) -> Result<Vec<NewFault>> {
    if faults.len() > MOST_FAULTS {
        return Err(invalid("faults", "Tell of ten faults at most at once.").into());
    }
    let mut parsed = Vec::new();
    for (place, fault) in faults.iter().enumerate() {
        let what = said(&format!("faults.{place}.what"), &fault.what)?;
        let mut photos = fault.photo_ids.clone();
        photos.sort();
        photos.dedup();
        let field = format!("faults.{place}.photo_ids");
        if photos.len() > MOST_PHOTOS {
            return Err(invalid(&field, "Add six photos at most to a fault.").into());
        }
        let found = attachments::find_all(tx, network, &photos).await?;
        if found.len() != photos.len() || found.iter().any(|file| file.media_type != MediaType::Jpeg) {
            return Err(invalid(&field, "A photo is not there any more: send it again.").into());
        }
        parsed.push(NewFault { severity: fault.severity, what, photos, handover: None, spared: None });
    }
    Ok(parsed)
}

fn said(field: &str, text: &str) -> Result<String, Refused> {
    let text = note_parse(field, text)?;
    if text.is_empty() { Err(invalid(field, "Say it in a few words.")) } else { Ok(text) }
}

/// Tells of a fault of a machine at any time.
///
/// # Errors
/// `not_found`, `not_your_role`, `invalid`.
pub async fn tell_of_fault(
    tx: &mut Tx,
    member: &Member,
    machine: MachineId,
    wish: CreateFault,
    public_url: &str,
    now: DateTime<Utc>,
) -> Result<Fault> {
    let terms = Terms::hold(tx, member.network_id, machine).await?;
    // Whoever stands beside the machine may tell, of whichever club.
    if !member.roles.iter().any(|&(_, club)| member.may(Act::HandOver, club)) {
        member.require(Act::HandOver, None)?;
    }
    let mut faults = parse_faults(tx, member.network_id, &[wish]).await?;
    let fault = faults.pop().ok_or(diesel::result::Error::NotFound)?;
    let id = tell(tx, member, &terms, fault, public_url, now).await?;
    load_fault(tx, member.network_id, id).await
}

/// Writes a fault of a machine that is held, asks about the bookings behind it, and tells everybody concerned.
pub(super) async fn tell(
    tx: &mut Tx,
    member: &Member,
    terms: &Terms,
    fault: NewFault,
    public_url: &str,
    now: DateTime<Utc>,
) -> Result<FaultId> {
    let network = member.network_id;
    let id = store::insert(tx, member, terms.machine_id, &fault, now).await?;
    let mut behind = Vec::new();
    if fault.severity == Severity::OutOfService {
        let wall = local(zone_of(tx, network).await?, now);
        behind = store::behind(tx, network, terms.machine_id, wall).await?;
        behind.retain(|booking| Some(booking.id) != fault.spared);
        store::ask(tx, network, id, &behind, now).await?;
        bookings::take_offers_back(tx, network, terms.machine_id, public_url, now).await?;
        for booking in &behind {
            for to in addresses(tx, network, Some(booking.club_id), &[Role::GroundsLead]).await? {
                let letter = letters::waits(&to, &terms.facts.name, booking, &fault.what, public_url);
                mail::post(tx, Some(network), letter, now).await?;
            }
        }
    }
    for to in keepers(tx, network, terms.facts.owner_club_id).await? {
        let letter = letters::told(&to, terms, &fault, &behind, public_url);
        mail::post(tx, Some(network), letter, now).await?;
    }
    Ok(id)
}

/// Who looks after a machine: the coordinators, and the grounds leads of the club that owns it.
pub(super) async fn keepers(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    owner: Option<ClubId>,
) -> Result<Vec<String>> {
    let mut keepers = addresses(tx, network, None, &[Role::Coordinator]).await?;
    if let Some(owner) = owner {
        keepers.extend(addresses(tx, network, Some(owner), &[Role::GroundsLead]).await?);
    }
    keepers.sort();
    keepers.dedup();
    Ok(keepers)
}

/// Clears a fault. The bookings it put before the coordinator stand as they did, and who waits for the machine is offered
/// what is free of it.
///
/// # Errors
/// `not_found`, `not_your_role`, `invalid`, `fault_cleared`.
pub async fn clear_fault(
    tx: &mut Tx,
    member: &Member,
    id: FaultId,
    wish: ClearFault,
    public_url: &str,
    now: DateTime<Utc>,
) -> Result<Fault> {
    let network = member.network_id;
    let machine = store::machine_of(tx, network, id).await?;
    let terms = Terms::hold(tx, network, machine).await?;
    member.require(Act::EditMachine, terms.facts.owner_club_id)?;
    let note = said("note", &wish.note)?;
    if store::is_cleared(tx, network, id).await? {
        return Err(refuse(Code::FaultCleared, "Somebody cleared it first.").into());
    }
    store::clear(tx, member, id, &note, now).await?;
    let waited = store::end_waiting(tx, member, id, now).await?;
    // Another fault may still hold the machine: then its own decisions wait on, and nothing is to be told.
    if !store::is_out_of_service(tx, network, machine).await? {
        for Behind { id, club_id, from, until, .. } in waited {
            for to in addresses(tx, network, Some(club_id), &[Role::GroundsLead]).await? {
                let letter = letters::serves_again(&to, &terms.facts.name, (id, from, until), &note, public_url);
                mail::post(tx, Some(network), letter, now).await?;
            }
        }
        bookings::offer_places(tx, network, &terms, public_url, now).await?;
    }
    load_fault(tx, network, id).await
}
