//! Queries on attachments. Scope of all: the network.

use chrono::{DateTime, TimeDelta, Utc};
use diesel::prelude::*;
use diesel::sql_types::{BigInt, Text};
use diesel_async::{AsyncConnection, AsyncPgConnection, RunQueryDsl};
use serde::Serialize;
use utoipa::ToSchema;

use crate::error::{Error, Result};
use crate::ids::{AttachmentId, ClubId, NetworkId, PersonId};
use crate::schema::attachments;
use crate::words::words;

words! {
    /// What a file is.
    MediaType {
        /// A document.
        Pdf = "application/pdf",
        /// A picture.
        Jpeg = "image/jpeg",
    }
}

/// A file that something refers to.
#[derive(Debug, Clone, Serialize, ToSchema, Queryable, Selectable, Insertable)]
#[diesel(table_name = attachments)]
pub struct Attachment {
    /// The attachment; its bytes are read at `attachments/{attachment_id}`.
    #[diesel(column_name = id)]
    pub attachment_id: AttachmentId,
    /// What it is called when saved.
    pub file_name: String,
    /// What it is.
    pub media_type: MediaType,
    /// How large it is.
    pub size_bytes: i32,
}

/// An attachment as kept.
#[derive(Queryable, Selectable, Insertable)]
#[diesel(table_name = attachments)]
pub(super) struct Row {
    #[diesel(embed)]
    pub(super) facts: Attachment,
    pub(super) club_id: Option<ClubId>,
    pub(super) sent_sha256: Vec<u8>,
    pub(super) uploaded_by: PersonId,
    pub(super) uploaded_at: DateTime<Utc>,
}

pub(super) async fn find(tx: &mut AsyncPgConnection, network: NetworkId, id: AttachmentId) -> Result<Option<Row>> {
    Ok(attachments::table.find((network, id)).select(Row::as_select()).first(tx).await.optional()?)
}

/// Some attachments, in the order of their making.
///
/// # Errors
/// A failing database.
pub async fn find_all(tx: &mut AsyncPgConnection, network: NetworkId, ids: &[AttachmentId]) -> Result<Vec<Attachment>> {
    Ok(attachments::table
        .filter(attachments::network_id.eq(network))
        .filter(attachments::id.eq_any(ids))
        .select(Attachment::as_select())
        .order(attachments::id)
        .load(tx)
        .await?)
}

/// How many files a person sent within the hour before.
pub(super) async fn sent_within_the_hour(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    person: PersonId,
    now: DateTime<Utc>,
) -> Result<i64> {
    Ok(attachments::table
        .filter(attachments::network_id.eq(network))
        .filter(attachments::uploaded_by.eq(person))
        .filter(attachments::uploaded_at.gt(now - TimeDelta::hours(1)))
        .count()
        .get_result(tx)
        .await?)
}

pub(super) async fn insert(tx: &mut AsyncPgConnection, network: NetworkId, row: &Row) -> Result<()> {
    diesel::insert_into(attachments::table).values((attachments::network_id.eq(network), row)).execute(tx).await?;
    Ok(())
}

#[derive(QueryableByName)]
struct Held {
    #[diesel(sql_type = BigInt)]
    #[expect(dead_code, reason = "what the lock answers says nothing")]
    held: i64,
}

/// Keeps others from writing or removing the same attachment until the transaction ends; there may be no row to lock.
pub(super) async fn hold(tx: &mut AsyncPgConnection, id: AttachmentId) -> Result<()> {
    let held = diesel::sql_query("SELECT 1::bigint AS held FROM pg_advisory_xact_lock(hashtextextended($1, 0))");
    held.bind::<Text, _>(id.to_string()).get_result::<Held>(tx).await?;
    Ok(())
}

/// Removes a row unless something refers to it. Says whether no such row is left.
pub(super) async fn remove_unless_needed(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    id: AttachmentId,
) -> Result<bool> {
    // In a savepoint: the foreign keys decide, and the transaction goes on either way.
    let removed = tx.transaction::<_, diesel::result::Error, _>(async |tx| {
        diesel::delete(attachments::table.find((network, id))).execute(tx).await
    });
    match removed.await {
        Ok(_) => Ok(true),
        Err(diesel::result::Error::DatabaseError(diesel::result::DatabaseErrorKind::ForeignKeyViolation, _)) => {
            Ok(false)
        }
        Err(error) => Err(Error::from(error)),
    }
}
