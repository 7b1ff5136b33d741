//! Rounds and hires over HTTP.

use actix_web::web::{Data, Json, Path, Query};
use actix_web::{HttpResponse, get, post, put};
use chrono::Utc;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::rounds;
use super::store;
use super::terms::{ChangeHire, CreateHire, OpenRound, RoundTerms};
use super::view::{Round, gather, load};
use crate::access::{Act, Caller, enter};
use crate::error::Result;
use crate::ids::{GroundId, HireId, MachineId, NetworkId, RoundId};
use crate::service::Service;
use crate::wire::{Claim, IfMatch, OnceKey, Page, PageQuery, tagged};

/// A machine of the network or a club to add to a round.
#[derive(Debug, Serialize, Deserialize, ToSchema)]
pub struct AddRoundMachine {
    /// Which.
    pub machine_id: MachineId,
    /// Where it is fetched from and brought back to.
    pub kept_ground_id: GroundId,
}

/// Why a round is given up.
#[derive(Debug, Serialize, Deserialize, ToSchema)]
pub struct CallOffRound {
    /// Told to the clubs.
    pub reason: String,
}

/// List rounds
///
/// Those that begin last come first.
#[utoipa::path(tag = "rounds", params(PageQuery), responses((status = 200, body = Page<Round>)))]
#[get("/networks/{network_id}/rounds")]
pub async fn list_rounds(
    service: Data<Service>,
    caller: Caller,
    network: Path<NetworkId>,
    page: Query<PageQuery>,
) -> Result<Json<Page<Round>>> {
    let (mut tx, member) = enter(&service, &caller, *network).await?;
    member.require(Act::SeeNetwork, None)?;
    let rows = store::list(&mut tx, *network, &page).await?;
    let Page { items, next_cursor } = Page::cut(rows, &page, |row| (row.from_on, row.id), |row| row);
    Ok(Json(Page { items: gather(&mut tx, &member, items).await?, next_cursor }))
}

/// Open a round with a hire
///
/// The machine can be had in the hire's time by asking for a place. Requests close by themselves at their deadline.
#[utoipa::path(tag = "rounds", params(OnceKey), responses((status = 201, body = Round)))]
#[post("/networks/{network_id}/rounds")]
pub async fn open_round(
    service: Data<Service>,
    caller: Caller,
    network: Path<NetworkId>,
    key: OnceKey,
    body: Json<OpenRound>,
) -> Result<HttpResponse> {
    let (mut tx, member) = enter(&service, &caller, *network).await?;
    let ticket = match key.claim(&mut tx, &member, &*body).await? {
        Claim::Answered(response) => return Ok(response),
        Claim::New(ticket) => ticket,
    };
    let round = rounds::open_round(&mut tx, &member, &body, Utc::now()).await?;
    let response = ticket.created(&mut tx, &member, &round).await?;
    tx.commit().await?;
    Ok(response)
}

/// Show a round
#[utoipa::path(tag = "rounds", responses((status = 200, body = Round)))]
#[get("/networks/{network_id}/rounds/{round_id}")]
pub async fn show_round(
    service: Data<Service>,
    caller: Caller,
    path: Path<(NetworkId, RoundId)>,
) -> Result<HttpResponse> {
    let (network, id) = path.into_inner();
    let (mut tx, member) = enter(&service, &caller, network).await?;
    member.require(Act::SeeNetwork, None)?;
    let round = load(&mut tx, &member, id).await?;
    Ok(tagged(round.version, &round))
}

/// Change what clubs are told of a round
///
/// Only while it gathers.
#[utoipa::path(tag = "rounds", params(IfMatch), responses((status = 200, body = Round)))]
#[put("/networks/{network_id}/rounds/{round_id}")]
pub async fn change_round(
    service: Data<Service>,
    caller: Caller,
    path: Path<(NetworkId, RoundId)>,
    seen: IfMatch,
    body: Json<RoundTerms>,
) -> Result<HttpResponse> {
    let (network, id) = path.into_inner();
    let (mut tx, member) = enter(&service, &caller, network).await?;
    let round = rounds::alter_round(&mut tx, &member, id, seen, &body, Utc::now()).await?;
    tx.commit().await?;
    Ok(tagged(round.version, &round))
}

/// Add a further hire to a round
#[utoipa::path(tag = "rounds", params(OnceKey), responses((status = 201, body = Round)))]
#[post("/networks/{network_id}/rounds/{round_id}/hires")]
pub async fn add_hire(
    service: Data<Service>,
    caller: Caller,
    path: Path<(NetworkId, RoundId)>,
    key: OnceKey,
    body: Json<CreateHire>,
) -> Result<HttpResponse> {
    let (network, id) = path.into_inner();
    let (mut tx, member) = enter(&service, &caller, network).await?;
    let ticket = match key.claim(&mut tx, &member, &(id, &*body)).await? {
        Claim::Answered(response) => return Ok(response),
        Claim::New(ticket) => ticket,
    };
    let round = rounds::add_hire(&mut tx, &member, id, &body).await?;
    let response = ticket.created(&mut tx, &member, &round).await?;
    tx.commit().await?;
    Ok(response)
}

/// Change a hire
///
/// The supplier, the charges and the note until the round is agreed; its dates until places are offered, and the clubs
/// that asked are told. The version is the round's.
#[utoipa::path(tag = "rounds", params(IfMatch), responses((status = 200, body = Round)))]
#[put("/networks/{network_id}/rounds/{round_id}/hires/{hire_id}")]
pub async fn change_hire(
    service: Data<Service>,
    caller: Caller,
    path: Path<(NetworkId, RoundId, HireId)>,
    seen: IfMatch,
    body: Json<ChangeHire>,
) -> Result<HttpResponse> {
    let (network, id, hire) = path.into_inner();
    let (mut tx, member) = enter(&service, &caller, network).await?;
    let public_url = &service.config.public_url;
    let round = rounds::alter_hire(&mut tx, &member, (id, hire), seen, &body, (public_url, Utc::now())).await?;
    tx.commit().await?;
    Ok(tagged(round.version, &round))
}

/// Add a machine that the network or a club owns to a round
#[utoipa::path(tag = "rounds", responses((status = 200, body = Round)))]
#[post("/networks/{network_id}/rounds/{round_id}/machines")]
pub async fn add_round_machine(
    service: Data<Service>,
    caller: Caller,
    path: Path<(NetworkId, RoundId)>,
    body: Json<AddRoundMachine>,
) -> Result<Json<Round>> {
    let (network, id) = path.into_inner();
    let (mut tx, member) = enter(&service, &caller, network).await?;
    let round = rounds::add_own_machine(&mut tx, &member, id, body.machine_id, body.kept_ground_id).await?;
    tx.commit().await?;
    Ok(Json(round))
}

/// Call a round off
///
/// What clubs asked for stays to be read, and they are told by mail. An agreed round is not called off here.
#[utoipa::path(tag = "rounds", responses((status = 200, body = Round)))]
#[post("/networks/{network_id}/rounds/{round_id}/calling-off")]
pub async fn call_off_round(
    service: Data<Service>,
    caller: Caller,
    path: Path<(NetworkId, RoundId)>,
    body: Json<CallOffRound>,
) -> Result<Json<Round>> {
    let (network, id) = path.into_inner();
    let (mut tx, member) = enter(&service, &caller, network).await?;
    let public_url = &service.config.public_url;
    let round = rounds::call_off(&mut tx, &member, id, &body.reason, public_url, Utc::now()).await?;
    tx.commit().await?;
    Ok(Json(round))
}
