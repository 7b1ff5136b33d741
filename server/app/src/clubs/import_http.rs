//! The import over HTTP.

use actix_web::web::{Data, Json, Path};
use actix_web::{HttpResponse, post};

use super::import::{CreateImport, ImportReport, import_places};
use crate::access::{Caller, enter};
use crate::error::{Code, Result, refuse};
use crate::ids::NetworkId;
use crate::service::Service;
use crate::wire::{Claim, OnceKey};

/// Bring in clubs, grounds and pitches
///
/// CSV, one row a pitch. A dry run lists what is wrong by line, or what would be added (200). A real run adds all of
/// it (201) or, with any fault, nothing (422 `import_faults` with the same list as `faults`).
#[utoipa::path(
    tag = "clubs", params(OnceKey),
    responses((status = 200, body = ImportReport), (status = 201, body = ImportReport))
)]
#[post("/networks/{network_id}/imports")]
pub async fn create_import(
    service: Data<Service>,
    caller: Caller,
    network: Path<NetworkId>,
    key: OnceKey,
    body: Json<CreateImport>,
) -> Result<HttpResponse> {
    let (mut tx, member) = enter(&service, &caller, *network).await?;
    let ticket = match key.claim(&mut tx, &member, &*body).await? {
        Claim::Answered(response) => return Ok(response),
        Claim::New(ticket) => ticket,
    };
    let report = import_places(&mut tx, &member, &body).await?;
    if body.dry_run {
        // Not committed: neither the places nor the key are kept.
        return Ok(HttpResponse::Ok().json(report));
    }
    if !report.faults.is_empty() {
        let detail = "Nothing was added. Put right the lines listed, then try again.";
        return Err(refuse(Code::ImportFaults, detail).with("faults", report.faults).into());
    }
    let response = ticket.created(&mut tx, &member, &report).await?;
    tx.commit().await?;
    Ok(response)
}
