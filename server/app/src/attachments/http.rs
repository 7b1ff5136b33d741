//! Handlers for attachments.

use actix_web::http::header::{
    CACHE_CONTROL, CONTENT_DISPOSITION, Charset, ContentDisposition, DispositionParam, DispositionType, ExtendedValue,
};
use actix_web::web::{Bytes, Data, Path, Payload, Query};
use actix_web::{HttpResponse, get, post};
use anyhow::Context;
use chrono::Utc;
use futures_util::StreamExt;
use object_store::ObjectStoreExt;
use serde::Deserialize;
use utoipa::{IntoParams, ToSchema};

use super::LARGEST_FILE;
use super::keeping::{NewFile, keep, too_large};
use super::objects::place;
use super::store::{self, Attachment, MediaType};
use crate::access::{Act, Caller, enter};
use crate::error::{Code, Error, Result, not_found, refuse};
use crate::ids::{AttachmentId, ClubId, NetworkId};
use crate::service::Service;

/// About the file that is sent.
#[derive(Debug, Deserialize, IntoParams)]
#[into_params(parameter_in = Query)]
pub struct UploadQuery {
    /// A UUID of version 7 that the sender minted.
    attachment_id: AttachmentId,
    /// What it is called when saved.
    file_name: String,
    /// Shown to this club of yours and the coordinators only; without, to the whole network.
    club_id: Option<ClubId>,
}

/// The bytes of a file, as they are.
#[derive(ToSchema)]
#[schema(value_type = String, format = Binary)]
pub struct FileBytes(#[expect(dead_code, reason = "stands for the body in the OpenAPI document")] Vec<u8>);

/// Send a file
///
/// A PDF or a picture, at most 15 MB. Its id is minted by the sender: sent again, it is kept once. A picture is made
/// anew without what was written into it besides. A file that nothing refers to is removed after two days.
#[utoipa::path(
    tag = "attachments", params(UploadQuery),
    request_body(content = inline(FileBytes), content_type = "application/octet-stream"),
    responses((status = 201, body = Attachment))
)]
#[post("/networks/{network_id}/attachments")]
pub async fn upload_attachment(
    service: Data<Service>,
    caller: Caller,
    network: Path<NetworkId>,
    query: Query<UploadQuery>,
    body: Payload,
) -> Result<HttpResponse> {
    // Nobody's bytes are taken who is not a member; the connection is given back while they come in.
    let (tx, member) = enter(&service, &caller, *network).await?;
    drop(tx);
    let bytes = read_limited(body).await?;
    let UploadQuery { attachment_id: id, file_name, club_id } = query.into_inner();
    let attachment = keep(&service, &member, NewFile { id, club_id, file_name, bytes }, Utc::now()).await?;
    Ok(HttpResponse::Created().json(attachment))
}

/// Read a file
///
/// Pictures to be shown, documents to be saved.
#[utoipa::path(
    tag = "attachments",
    responses((status = 200, description = "The file", content(
        (inline(FileBytes) = "application/pdf"), (inline(FileBytes) = "image/jpeg")
    )))
)]
#[get("/networks/{network_id}/attachments/{attachment_id}")]
pub async fn read_attachment(
    service: Data<Service>,
    caller: Caller,
    path: Path<(NetworkId, AttachmentId)>,
) -> Result<HttpResponse> {
    let (network, id) = path.into_inner();
    let (mut tx, member) = enter(&service, &caller, network).await?;
    let row = store::find(&mut tx, network, id).await?.ok_or_else(not_found)?;
    drop(tx);
    if row.club_id.is_some_and(|club| !member.may(Act::SeeWalks, Some(club))) {
        return Err(not_found().into());
    }
    let object = service.objects.get(&place(network, id)).await.context("reading an attachment")?;
    Ok(HttpResponse::Ok()
        .content_type(row.facts.media_type.as_str())
        .insert_header((CONTENT_DISPOSITION, disposition(&row.facts)))
        // It never changes, but whose it is may: each browser asks again after a day.
        .insert_header((CACHE_CONTROL, "private, max-age=86400"))
        .streaming(object.into_stream()))
}

/// Takes in a body up to the limit, and stops reading there.
async fn read_limited(mut body: Payload) -> Result<Vec<u8>> {
    let mut bytes = Vec::new();
    while let Some(chunk) = body.next().await {
        let chunk: Bytes =
            chunk.map_err(|_| refuse(Code::Unreadable, "The file did not arrive whole; send it again."))?;
        if bytes.len() + chunk.len() > LARGEST_FILE {
            return Err(Error::from(too_large()));
        }
        bytes.extend_from_slice(&chunk);
    }
    Ok(bytes)
}

/// A document is saved and not opened within our pages, whatever is in it.
fn disposition(file: &Attachment) -> ContentDisposition {
    let disposition = match file.media_type {
        MediaType::Pdf => DispositionType::Attachment,
        MediaType::Jpeg => DispositionType::Inline,
    };
    let name = ExtendedValue {
        charset: Charset::Ext("UTF-8".to_owned()),
        language_tag: None,
        value: file.file_name.clone().into_bytes(),
    };
    ContentDisposition { disposition, parameters: vec![DispositionParam::FilenameExt(name)] }
}
