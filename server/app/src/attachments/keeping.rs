//! Keeping a file and forgetting it, for whoever calls: a handler, a job or the demo region.

use anyhow::Context;
use chrono::{DateTime, TimeDelta, Utc};
use diesel_async::AsyncPgConnection;
use object_store::{ObjectStoreExt, PutPayload};
use sha2::{Digest, Sha256};
use tokio::sync::Semaphore;
use uuid::Version;

use super::LARGEST_FILE;
use super::objects::place;
use super::picture::{Looked, look};
use super::store::{self, Attachment, Row};
use crate::access::Member;
use crate::database::Scope;
use crate::error::{Code, Result, invalid, refuse};
use crate::ids::{AttachmentId, ClubId, NetworkId};
use crate::jobs::{self, Job};
use crate::service::Service;
use crate::text::name_parse;

/// How long a file may wait for something to refer to it: a form filled in on a phone without signal is sent within days.
const FORGOTTEN_AFTER: TimeDelta = TimeDelta::hours(48);
/// How many files a person may send within an hour.
const MOST_AN_HOUR: i64 = 120;
/// How many files are looked into at once: a large picture takes hundreds of megabytes while it is made anew.
static LOOKING: Semaphore = Semaphore::const_new(2);

/// A file to keep.
pub struct NewFile {
    /// Minted by the sender.
    pub id: AttachmentId,
    /// Shown to this club and the coordinators only; without, to the whole network.
    pub club_id: Option<ClubId>,
    /// What it is called.
    pub file_name: String,
    /// Its bytes.
    pub bytes: Vec<u8>,
}

/// Keeps a file. The same file sent again is kept once. Makes its own transactions, because the object comes between.
///
/// # Errors
/// `file_too_large`, `file_not_readable`, `slow_down`; `invalid` for the id, the name or the club; `never_edited` for
/// another file of the same id.
pub async fn keep(service: &Service, member: &Member, new: NewFile, now: DateTime<Utc>) -> Result<Attachment> {
    let file_name = name_parse("file_name", &new.file_name)?;
    if new.id.0.get_version() != Some(Version::SortRand) {
        return Err(invalid("attachment_id", "The id of a file is a UUID of version 7.").into());
    }
    if new.club_id.is_some_and(|club| !member.belongs_to(club)) {
        return Err(invalid("club_id", "Choose a club of yours.").into());
    }
    if new.bytes.len() > LARGEST_FILE {
        return Err(too_large().into());
    }
    let sent_sha256 = Sha256::digest(&new.bytes).to_vec();
    let turn = LOOKING.acquire().await.context("waiting to look into a file")?;
    let looked = tokio::task::spawn_blocking(move || look(new.bytes)).await.context("looking into a file")??;
    drop(turn);
    announce(service, member, new.id, now).await?;
    let size_bytes = i32::try_from(looked.bytes.len()).context("a file within the limit")?;
    let facts = Attachment { attachment_id: new.id, file_name, media_type: looked.media_type, size_bytes };
    let uploaded_by = member.person_id;
    write(service, member, Row { facts, club_id: new.club_id, sent_sha256, uploaded_by, uploaded_at: now }, looked)
        .await
}

/// The refusal for a file over the limit.
pub(super) fn too_large() -> crate::error::Refused {
    refuse(Code::FileTooLarge, "A file is at most 15 MB. Send a smaller photo, or the manual in parts.")
}

/// Queues the second look before anything is written, so that nothing written is ever lost sight of.
async fn announce(service: &Service, member: &Member, id: AttachmentId, now: DateTime<Utc>) -> Result<()> {
    let mut tx = service.db.begin(Scope::Member(member.network_id, member.person_id)).await?;
    if store::sent_within_the_hour(&mut tx, member.network_id, member.person_id, now).await? >= MOST_AN_HOUR {
        return Err(refuse(Code::SlowDown, "That is a lot of files for one hour. Try again a little later.").into());
    }
    let job = Job::LookAgain { look_again: id };
    jobs::enqueue(&mut tx, Some(member.network_id), &job, now + FORGOTTEN_AFTER).await?;
    tx.commit().await
}

/// Writes the object and then the row.
async fn write(service: &Service, member: &Member, row: Row, looked: Looked) -> Result<Attachment> {
    let network = member.network_id;
    let mut tx = service.db.begin(Scope::Member(network, member.person_id)).await?;
    let id = row.facts.attachment_id;
    store::hold(&mut tx, id).await?;
    if let Some(first) = store::find(&mut tx, network, id).await? {
        if first.sent_sha256 == row.sent_sha256 && first.uploaded_by == row.uploaded_by {
            return Ok(first.facts);
        }
        return Err(refuse(Code::NeverEdited, "Another file has that id; mint a new one.").into());
    }
    let payload = PutPayload::from(looked.bytes);
    service.objects.put(&place(network, id), payload).await.context("writing an attachment")?;
    store::insert(&mut tx, network, &row).await?;
    tx.commit().await?;
    Ok(row.facts)
}

/// Has a file looked at again soon, because what referred to it no longer does.
///
/// # Errors
/// A failing database.
pub async fn forget_soon(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    id: AttachmentId,
    now: DateTime<Utc>,
) -> Result<()> {
    jobs::enqueue(tx, Some(network), &Job::LookAgain { look_again: id }, now).await
}

/// Looks at a file again: removes it if nothing refers to it, and whatever an interrupted upload or removal left.
///
/// # Errors
/// A failing database or object store.
pub async fn look_again(service: &Service, network: NetworkId, id: AttachmentId) -> Result<()> {
    let mut tx = service.db.begin(Scope::Network(network)).await?;
    store::hold(&mut tx, id).await?;
    if !store::remove_unless_needed(&mut tx, network, id).await? {
        return Ok(());
    }
    tx.commit().await?;
    // Between the two an upload of the same id may come in: it holds the lock until its row is there to be seen.
    let mut tx = service.db.begin(Scope::Network(network)).await?;
    store::hold(&mut tx, id).await?;
    if store::find(&mut tx, network, id).await?.is_some() {
        return Ok(());
    }
    match service.objects.delete(&place(network, id)).await {
        Ok(()) | Err(object_store::Error::NotFound { .. }) => Ok(()),
        Err(error) => Err(anyhow::Error::new(error).context("removing an attachment").into()),
    }
}
