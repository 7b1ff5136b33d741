//! The papers of a machine: its maker's manuals, and who was shown how to work it.

use chrono::{DateTime, NaiveDate, Utc};
use diesel_async::AsyncPgConnection;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::store_papers as store;
use crate::access::{Act, Member};
use crate::attachments::{self, Attachment};
use crate::database::Tx;
use crate::error::{Result, invalid};
use crate::ids::{AttachmentId, ClubId, MachineId, NetworkId, TrainingId};
use crate::machines::{MachineKind, Terms, date_parse};
use crate::text::{name_parse, note_parse};

/// A manual to add: a file sent before.
#[derive(Debug, Clone, Serialize, Deserialize, ToSchema)]
pub struct CreateManual {
    /// The file.
    pub attachment_id: AttachmentId,
    /// What it is, such as: operator's manual.
    pub title: String,
}

/// A manual.
#[derive(Debug, Serialize, ToSchema)]
pub struct Manual {
    /// What it is.
    pub title: String,
    /// The file.
    #[serde(flatten)]
    pub file: Attachment,
}

/// Adds a manual to a machine.
///
/// # Errors
/// `not_found`, `not_your_role`, `invalid`.
pub async fn add_manual(tx: &mut Tx, member: &Member, machine: MachineId, wish: CreateManual) -> Result<Manual> {
    let network = member.network_id;
    let terms = Terms::hold(tx, network, machine).await?;
    member.require(Act::EditMachine, terms.facts.owner_club_id)?;
    let title = name_parse("title", &wish.title)?;
    store::add_manual(tx, network, machine, wish.attachment_id, &title).await?;
    let mut files = attachments::find_all(tx, network, &[wish.attachment_id]).await?;
    let file = files.pop().ok_or_else(|| invalid("attachment_id", "The file is not there any more: send it again."))?;
    Ok(Manual { title, file })
}

/// Takes a manual from a machine; the file goes when nothing else refers to it.
///
/// # Errors
/// `not_found`, `not_your_role`.
pub async fn remove_manual(
    tx: &mut Tx,
    member: &Member,
    machine: MachineId,
    file: AttachmentId,
    now: DateTime<Utc>,
) -> Result<()> {
    let network = member.network_id;
    let terms = Terms::hold(tx, network, machine).await?;
    member.require(Act::EditMachine, terms.facts.owner_club_id)?;
    store::remove_manual(tx, network, machine, file).await?;
    attachments::forget_soon(tx, network, file, now).await
}

/// The manuals of a machine, by title. Scope: the network.
pub(super) async fn manuals_of(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    machine: MachineId,
) -> Result<Vec<Manual>> {
    let titles = store::manuals_of(tx, network, machine).await?;
    let ids: Vec<AttachmentId> = titles.iter().map(|(id, _)| *id).collect();
    let files = attachments::find_all(tx, network, &ids).await?;
    let manual = |(id, title): (AttachmentId, String)| {
        let file = files.iter().find(|file| file.attachment_id == id)?.clone();
        Some(Manual { title, file })
    };
    Ok(titles.into_iter().filter_map(manual).collect())
}

/// A training to note: of one machine, or of all of a kind.
#[derive(Debug, Clone, Serialize, Deserialize, ToSchema)]
pub struct CreateTraining {
    /// At which club.
    pub club_id: ClubId,
    /// Who; the person needs no account.
    pub person_name: String,
    /// On this machine, or
    #[serde(default)]
    pub machine_id: Option<MachineId>,
    /// on every machine of this kind.
    #[serde(default)]
    pub machine_kind: Option<MachineKind>,
    /// On which date.
    pub trained_on: NaiveDate,
    /// The last date it counts; without, it does not run out.
    #[serde(default)]
    pub until_on: Option<NaiveDate>,
    /// Free text.
    #[serde(default)]
    pub note: String,
}

/// Somebody who was shown how to work a machine.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct Training {
    /// The note of it.
    pub training_id: TrainingId,
    /// At which club.
    pub club_id: ClubId,
    /// Its name.
    pub club_name: String,
    /// Who.
    pub person_name: String,
    /// The machine; null when it is a kind.
    pub machine_id: Option<MachineId>,
    /// The kind; null when it is one machine.
    pub machine_kind: Option<MachineKind>,
    /// On which date.
    pub trained_on: NaiveDate,
    /// The last date it counts; null: it does not run out.
    pub until_on: Option<NaiveDate>,
    /// Free text.
    pub note: String,
}

impl Training {
    /// Whether it counts on a date.
    pub(super) fn counts_on(&self, day: NaiveDate) -> bool {
        self.trained_on <= day && self.until_on.is_none_or(|until| day <= until)
    }
}

/// Notes that somebody was trained.
///
/// # Errors
/// `not_your_role`, `invalid`.
pub async fn note_training(tx: &mut Tx, member: &Member, wish: CreateTraining, now: DateTime<Utc>) -> Result<Training> {
    member.require(Act::NoteTraining, None)?;
    let wish = CreateTraining {
        person_name: name_parse("person_name", &wish.person_name)?,
        trained_on: date_parse("trained_on", wish.trained_on)?,
        until_on: wish.until_on.map(|until| date_parse("until_on", until)).transpose()?,
        note: note_parse("note", &wish.note)?,
        ..wish
    };
    let id = store::insert_training(tx, member, &wish, now).await?;
    let mut noted = store::trainings(tx, member.network_id, store::Of::Id(id)).await?;
    Ok(noted.pop().ok_or(diesel::result::Error::NotFound)?)
}

/// Takes such a note back.
///
/// # Errors
/// `not_found`, `not_your_role`.
pub async fn withdraw_training(tx: &mut Tx, member: &Member, id: TrainingId, now: DateTime<Utc>) -> Result<()> {
    member.require(Act::NoteTraining, None)?;
    store::withdraw_training(tx, member.network_id, id, now).await
}

/// Whether bookings of a machine are warned about.
#[derive(Debug, Clone, Copy, Serialize, Deserialize, ToSchema)]
pub struct TrainingRule {
    /// Whether a booking by a club without a trained person is warned about.
    pub warns: bool,
}

/// Sets whether bookings of a machine are warned about.
///
/// # Errors
/// `not_found`, `not_your_role`.
pub async fn set_training_rule(tx: &mut Tx, member: &Member, machine: MachineId, rule: TrainingRule) -> Result<()> {
    let terms = Terms::hold(tx, member.network_id, machine).await?;
    member.require(Act::EditMachine, terms.facts.owner_club_id)?;
    store::set_rule(tx, member.network_id, machine, rule.warns).await
}

/// Who was trained on a machine or its kind, by club and name. Scope: the network.
pub(super) async fn trained_on(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    machine: MachineId,
    kind: MachineKind,
) -> Result<Vec<Training>> {
    store::trainings(tx, network, store::Of::Machine(machine, kind)).await
}
