//! Handlers for how a machine is looked after: services, manuals, training.

use actix_web::web::{Data, Json, Path};
use actix_web::{HttpResponse, delete, get, post, put};
use chrono::Utc;

use super::papers::{self, CreateManual, CreateTraining, Manual, Training, TrainingRule};
use super::services::{self, CreateService, CreateServiceDone, ServiceView};
use super::view::{self, MachineCare};
use crate::access::{Caller, enter};
use crate::error::Result;
use crate::ids::{AttachmentId, MachineId, NetworkId, ServicePlanId, TrainingId};
use crate::machines::Terms;
use crate::service::Service;
use crate::wire::{Claim, OnceKey};

/// Show how a machine is looked after
#[utoipa::path(tag = "handovers", responses((status = 200, body = MachineCare)))]
#[get("/networks/{network_id}/machines/{machine_id}/care")]
pub async fn show_machine_care(
    service: Data<Service>,
    caller: Caller,
    path: Path<(NetworkId, MachineId)>,
) -> Result<Json<MachineCare>> {
    let (network, id) = path.into_inner();
    let (mut tx, member) = enter(&service, &caller, network).await?;
    let terms = Terms::read(&mut tx, network, id).await?;
    Ok(Json(view::of_machine(&mut tx, &member, &terms, Utc::now()).await?))
}

/// Add a service that comes again and again
///
/// Every so many hours, months, or both: whichever comes first.
#[utoipa::path(tag = "handovers", params(OnceKey), responses((status = 201, body = ServiceView)))]
#[post("/networks/{network_id}/machines/{machine_id}/services")]
pub async fn add_service(
    service: Data<Service>,
    caller: Caller,
    path: Path<(NetworkId, MachineId)>,
    key: OnceKey,
    body: Json<CreateService>,
) -> Result<HttpResponse> {
    let (network, machine) = path.into_inner();
    let (mut tx, member) = enter(&service, &caller, network).await?;
    let ticket = match key.claim(&mut tx, &member, &*body).await? {
        Claim::Answered(response) => return Ok(response),
        Claim::New(ticket) => ticket,
    };
    let added = services::add_service(&mut tx, &member, machine, body.into_inner(), Utc::now()).await?;
    let response = ticket.created(&mut tx, &member, &added).await?;
    tx.commit().await?;
    Ok(response)
}

/// End such a service
///
/// What was done stays on record.
#[utoipa::path(tag = "handovers", responses((status = 204)))]
#[delete("/networks/{network_id}/machines/{machine_id}/services/{service_plan_id}")]
pub async fn end_service(
    service: Data<Service>,
    caller: Caller,
    path: Path<(NetworkId, MachineId, ServicePlanId)>,
) -> Result<HttpResponse> {
    let (network, machine, id) = path.into_inner();
    let (mut tx, member) = enter(&service, &caller, network).await?;
    services::end_service(&mut tx, &member, machine, id, Utc::now()).await?;
    tx.commit().await?;
    Ok(HttpResponse::NoContent().finish())
}

/// Enter that a service was done
#[utoipa::path(tag = "handovers", params(OnceKey), responses((status = 201, body = ServiceView)))]
#[post("/networks/{network_id}/services/{service_plan_id}/done")]
pub async fn enter_service_done(
    service: Data<Service>,
    caller: Caller,
    path: Path<(NetworkId, ServicePlanId)>,
    key: OnceKey,
    body: Json<CreateServiceDone>,
) -> Result<HttpResponse> {
    let (network, id) = path.into_inner();
    let (mut tx, member) = enter(&service, &caller, network).await?;
    let ticket = match key.claim(&mut tx, &member, &*body).await? {
        Claim::Answered(response) => return Ok(response),
        Claim::New(ticket) => ticket,
    };
    let done = services::enter_service_done(&mut tx, &member, id, body.into_inner(), Utc::now()).await?;
    let response = ticket.created(&mut tx, &member, &done).await?;
    tx.commit().await?;
    Ok(response)
}

/// Add a manual to a machine
///
/// The file is sent before.
#[utoipa::path(tag = "handovers", responses((status = 201, body = Manual)))]
#[post("/networks/{network_id}/machines/{machine_id}/manuals")]
pub async fn add_manual(
    service: Data<Service>,
    caller: Caller,
    path: Path<(NetworkId, MachineId)>,
    body: Json<CreateManual>,
) -> Result<HttpResponse> {
    let (network, machine) = path.into_inner();
    let (mut tx, member) = enter(&service, &caller, network).await?;
    let manual = papers::add_manual(&mut tx, &member, machine, body.into_inner()).await?;
    tx.commit().await?;
    Ok(HttpResponse::Created().json(manual))
}

/// Take a manual from a machine
#[utoipa::path(tag = "handovers", responses((status = 204)))]
#[delete("/networks/{network_id}/machines/{machine_id}/manuals/{attachment_id}")]
pub async fn remove_manual(
    service: Data<Service>,
    caller: Caller,
    path: Path<(NetworkId, MachineId, AttachmentId)>,
) -> Result<HttpResponse> {
    let (network, machine, file) = path.into_inner();
    let (mut tx, member) = enter(&service, &caller, network).await?;
    papers::remove_manual(&mut tx, &member, machine, file, Utc::now()).await?;
    tx.commit().await?;
    Ok(HttpResponse::NoContent().finish())
}

/// Set whether a booking without a trained person is warned about
#[utoipa::path(tag = "handovers", responses((status = 200, body = TrainingRule)))]
#[put("/networks/{network_id}/machines/{machine_id}/training-rule")]
pub async fn set_training_rule(
    service: Data<Service>,
    caller: Caller,
    path: Path<(NetworkId, MachineId)>,
    body: Json<TrainingRule>,
) -> Result<Json<TrainingRule>> {
    let (network, machine) = path.into_inner();
    let (mut tx, member) = enter(&service, &caller, network).await?;
    papers::set_training_rule(&mut tx, &member, machine, *body).await?;
    tx.commit().await?;
    Ok(body)
}

/// Note that somebody was shown how to work a machine
#[utoipa::path(tag = "handovers", params(OnceKey), responses((status = 201, body = Training)))]
#[post("/networks/{network_id}/trainings")]
pub async fn note_training(
    service: Data<Service>,
    caller: Caller,
    network: Path<NetworkId>,
    key: OnceKey,
    body: Json<CreateTraining>,
) -> Result<HttpResponse> {
    let (mut tx, member) = enter(&service, &caller, *network).await?;
    let ticket = match key.claim(&mut tx, &member, &*body).await? {
        Claim::Answered(response) => return Ok(response),
        Claim::New(ticket) => ticket,
    };
    let training = papers::note_training(&mut tx, &member, body.into_inner(), Utc::now()).await?;
    let response = ticket.created(&mut tx, &member, &training).await?;
    tx.commit().await?;
    Ok(response)
}

/// Take such a note back
#[utoipa::path(tag = "handovers", responses((status = 204)))]
#[delete("/networks/{network_id}/trainings/{training_id}")]
pub async fn withdraw_training(
    service: Data<Service>,
    caller: Caller,
    path: Path<(NetworkId, TrainingId)>,
) -> Result<HttpResponse> {
    let (network, id) = path.into_inner();
    let (mut tx, member) = enter(&service, &caller, network).await?;
    papers::withdraw_training(&mut tx, &member, id, Utc::now()).await?;
    tx.commit().await?;
    Ok(HttpResponse::NoContent().finish())
}
