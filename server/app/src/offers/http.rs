//! Offers over HTTP.

use actix_web::web::{Data, Json, Path};
use actix_web::{HttpResponse, get, post};
use chrono::Utc;

use super::agreeing;
use super::answering::{self, AnswerOffer};
use super::offering::{self, OfferPlan, TakeBack};
use super::reminding;
use super::view::{OfferedPlace, RoundOffers, load, load_one};
use crate::access::{Act, Caller, enter};
use crate::error::Result;
use crate::ids::{NetworkId, OfferId, RoundId};
use crate::service::Service;
use crate::wire::{Claim, OnceKey};

/// List a round's offers
///
/// The coordinator sees all, a club its own.
#[utoipa::path(tag = "offers", responses((status = 200, body = RoundOffers)))]
#[get("/networks/{network_id}/rounds/{round_id}/offers")]
pub async fn list_round_offers(
    service: Data<Service>,
    caller: Caller,
    path: Path<(NetworkId, RoundId)>,
) -> Result<Json<RoundOffers>> {
    let (network, round) = path.into_inner();
    let (mut tx, member) = enter(&service, &caller, network).await?;
    member.require(Act::SeeNetwork, None)?;
    Ok(Json(load(&mut tx, &member, round).await?))
}

/// Put the chosen plan to its clubs
///
/// Each club is mailed its days. A plan that is out of date is refused (`plan_stale`).
#[utoipa::path(tag = "offers", params(OnceKey), responses((status = 201, body = RoundOffers)))]
#[post("/networks/{network_id}/rounds/{round_id}/offers")]
pub async fn offer_plan(
    service: Data<Service>,
    caller: Caller,
    path: Path<(NetworkId, RoundId)>,
    key: OnceKey,
    body: Json<OfferPlan>,
) -> Result<HttpResponse> {
    let (network, round) = path.into_inner();
    let (mut tx, member) = enter(&service, &caller, network).await?;
    let ticket = match key.claim(&mut tx, &member, &*body).await? {
        Claim::Answered(response) => return Ok(response),
        Claim::New(ticket) => ticket,
    };
    let public_url = &service.config.public_url;
    let offers = offering::offer_plan(&mut tx, &member, round, &body, public_url, Utc::now()).await?;
    let response = ticket.created(&mut tx, &member, &offers).await?;
    tx.commit().await?;
    Ok(response)
}

/// Remind the clubs that have not answered
///
/// Those reminded less than 20 hours ago are left in peace.
#[utoipa::path(tag = "offers", responses((status = 200, body = RoundOffers)))]
#[post("/networks/{network_id}/rounds/{round_id}/offers/reminder")]
pub async fn remind_round_offers(
    service: Data<Service>,
    caller: Caller,
    path: Path<(NetworkId, RoundId)>,
) -> Result<Json<RoundOffers>> {
    let (network, round) = path.into_inner();
    let (mut tx, member) = enter(&service, &caller, network).await?;
    let public_url = &service.config.public_url;
    let offers = reminding::remind_clubs(&mut tx, &member, round, public_url, Utc::now()).await?;
    tx.commit().await?;
    Ok(Json(offers))
}

/// Take a round's offers back
///
/// Nothing of the round is booked, and it can be planned again. The clubs are told why.
#[utoipa::path(tag = "offers", responses((status = 200, body = RoundOffers)))]
#[post("/networks/{network_id}/rounds/{round_id}/offers/taking-back")]
pub async fn take_back_round_offers(
    service: Data<Service>,
    caller: Caller,
    path: Path<(NetworkId, RoundId)>,
    body: Json<TakeBack>,
) -> Result<Json<RoundOffers>> {
    let (network, round) = path.into_inner();
    let (mut tx, member) = enter(&service, &caller, network).await?;
    let public_url = &service.config.public_url;
    let offers = offering::take_back_offers(&mut tx, &member, round, &body, public_url, Utc::now()).await?;
    tx.commit().await?;
    Ok(Json(offers))
}

/// Show an offered place
#[utoipa::path(tag = "offers", responses((status = 200, body = OfferedPlace)))]
#[get("/networks/{network_id}/offers/{offer_id}")]
pub async fn show_offered_place(
    service: Data<Service>,
    caller: Caller,
    path: Path<(NetworkId, OfferId)>,
) -> Result<Json<OfferedPlace>> {
    let (network, id) = path.into_inner();
    let (mut tx, member) = enter(&service, &caller, network).await?;
    Ok(Json(load_one(&mut tx, &member, id).await?))
}

/// Accept or decline an offered place
///
/// The same answer given again changes nothing.
#[utoipa::path(tag = "offers", responses((status = 200, body = OfferedPlace)))]
#[post("/networks/{network_id}/offers/{offer_id}/answer")]
pub async fn answer_offered_place(
    service: Data<Service>,
    caller: Caller,
    path: Path<(NetworkId, OfferId)>,
    body: Json<AnswerOffer>,
) -> Result<Json<OfferedPlace>> {
    let (network, id) = path.into_inner();
    let (mut tx, member) = enter(&service, &caller, network).await?;
    let public_url = &service.config.public_url;
    let offer = answering::answer_offer(&mut tx, &member, id, &body, public_url, Utc::now()).await?;
    tx.commit().await?;
    Ok(Json(offer))
}

/// Agree a round before its date
///
/// What is accepted is booked in one transaction, what is not answered is taken back. When a place cannot be had nothing
/// is booked, and `places_taken` says which and why (`clashes`).
#[utoipa::path(tag = "offers", params(OnceKey), responses((status = 201, body = RoundOffers)))]
#[post("/networks/{network_id}/rounds/{round_id}/agreement")]
pub async fn agree_round(
    service: Data<Service>,
    caller: Caller,
    path: Path<(NetworkId, RoundId)>,
    key: OnceKey,
) -> Result<HttpResponse> {
    let (network, round) = path.into_inner();
    let (mut tx, member) = enter(&service, &caller, network).await?;
    let ticket = match key.claim(&mut tx, &member, &()).await? {
        Claim::Answered(response) => return Ok(response),
        Claim::New(ticket) => ticket,
    };
    let offers = agreeing::agree_round(&mut tx, &member, round, &service.config.public_url, Utc::now()).await?;
    let response = ticket.created(&mut tx, &member, &offers).await?;
    tx.commit().await?;
    Ok(response)
}
