//! Listing, adding, showing and changing clubs, grounds and pitches.

use actix_web::web::{Data, Json, Path, Query};
use actix_web::{HttpResponse, get, post, put};
use serde::Deserialize;
use utoipa::IntoParams;

use super::club::{Club, CreateClub, add_club, alter_club};
use super::ground::{CreateGround, Ground, add_ground, alter_ground};
use super::pitch::{self, CreatePitch, Pitch, add_pitch, alter_pitch};
use super::store;
use crate::access::{Act, Caller, enter};
use crate::error::Result;
use crate::ids::{ClubId, GroundId, NetworkId, PitchId};
use crate::service::Service;
use crate::wire::{Claim, IfMatch, OnceKey, Page, PageQuery, tagged};

/// Whose places to list.
#[derive(Deserialize, IntoParams)]
#[into_params(parameter_in = Query)]
pub struct OfClub {
    /// Only this club's; all clubs' without.
    club_id: Option<ClubId>,
}

/// List clubs
#[utoipa::path(tag = "clubs", params(PageQuery), responses((status = 200, body = Page<Club>)))]
#[get("/networks/{network_id}/clubs")]
pub async fn list_clubs(
    service: Data<Service>,
    caller: Caller,
    network: Path<NetworkId>,
    page: Query<PageQuery>,
) -> Result<Json<Page<Club>>> {
    let (mut tx, member) = enter(&service, &caller, *network).await?;
    member.require(Act::SeeNetwork, None)?;
    let rows = store::list_clubs(&mut tx, *network, &page).await?;
    Ok(Json(Page::cut(rows, &page, |club| club.name.clone(), |club| club)))
}

/// Add a club
#[utoipa::path(tag = "clubs", params(OnceKey), responses((status = 201, body = Club)))]
#[post("/networks/{network_id}/clubs")]
pub async fn create_club(
    service: Data<Service>,
    caller: Caller,
    network: Path<NetworkId>,
    key: OnceKey,
    body: Json<CreateClub>,
) -> Result<HttpResponse> {
    let (mut tx, member) = enter(&service, &caller, *network).await?;
    let ticket = match key.claim(&mut tx, &member, &*body).await? {
        Claim::Answered(response) => return Ok(response),
        Claim::New(ticket) => ticket,
    };
    let club = add_club(&mut tx, &member, &body).await?;
    let response = ticket.created(&mut tx, &member, &club).await?;
    tx.commit().await?;
    Ok(response)
}

/// Show a club
#[utoipa::path(tag = "clubs", responses((status = 200, body = Club)))]
#[get("/networks/{network_id}/clubs/{club_id}")]
pub async fn show_club(
    service: Data<Service>,
    caller: Caller,
    path: Path<(NetworkId, ClubId)>,
) -> Result<HttpResponse> {
    let (network, id) = path.into_inner();
    let (mut tx, member) = enter(&service, &caller, network).await?;
    member.require(Act::SeeNetwork, None)?;
    let club = store::club(&mut tx, network, id).await?;
    Ok(tagged(club.version, &club))
}

/// Change a club
#[utoipa::path(tag = "clubs", params(IfMatch), responses((status = 200, body = Club)))]
#[put("/networks/{network_id}/clubs/{club_id}")]
pub async fn change_club(
    service: Data<Service>,
    caller: Caller,
    path: Path<(NetworkId, ClubId)>,
    seen: IfMatch,
    body: Json<CreateClub>,
) -> Result<HttpResponse> {
    let (network, id) = path.into_inner();
    let (mut tx, member) = enter(&service, &caller, network).await?;
    let club = alter_club(&mut tx, &member, id, seen, &body).await?;
    tx.commit().await?;
    Ok(tagged(club.version, &club))
}

/// List grounds
#[utoipa::path(tag = "clubs", params(OfClub, PageQuery), responses((status = 200, body = Page<Ground>)))]
#[get("/networks/{network_id}/grounds")]
pub async fn list_grounds(
    service: Data<Service>,
    caller: Caller,
    network: Path<NetworkId>,
    of: Query<OfClub>,
    page: Query<PageQuery>,
) -> Result<Json<Page<Ground>>> {
    let (mut tx, member) = enter(&service, &caller, *network).await?;
    member.require(Act::SeeNetwork, None)?;
    let rows = store::list_grounds(&mut tx, *network, of.club_id, &page).await?;
    Ok(Json(Page::cut(rows, &page, |ground| (ground.club_name.clone(), ground.name.clone()), |ground| ground)))
}

/// Add a ground to a club
#[utoipa::path(tag = "clubs", params(OnceKey), responses((status = 201, body = Ground)))]
#[post("/networks/{network_id}/clubs/{club_id}/grounds")]
pub async fn create_ground(
    service: Data<Service>,
    caller: Caller,
    path: Path<(NetworkId, ClubId)>,
    key: OnceKey,
    body: Json<CreateGround>,
) -> Result<HttpResponse> {
    let (network, club) = path.into_inner();
    let (mut tx, member) = enter(&service, &caller, network).await?;
    let ticket = match key.claim(&mut tx, &member, &*body).await? {
        Claim::Answered(response) => return Ok(response),
        Claim::New(ticket) => ticket,
    };
    let ground = add_ground(&mut tx, &member, club, &body).await?;
    let response = ticket.created(&mut tx, &member, &ground).await?;
    tx.commit().await?;
    Ok(response)
}

/// Show a ground
#[utoipa::path(tag = "clubs", responses((status = 200, body = Ground)))]
#[get("/networks/{network_id}/grounds/{ground_id}")]
pub async fn show_ground(
    service: Data<Service>,
    caller: Caller,
    path: Path<(NetworkId, GroundId)>,
) -> Result<HttpResponse> {
    let (network, id) = path.into_inner();
    let (mut tx, member) = enter(&service, &caller, network).await?;
    member.require(Act::SeeNetwork, None)?;
    let ground = store::ground(&mut tx, network, id).await?;
    Ok(tagged(ground.version, &ground))
}

/// Change a ground
#[utoipa::path(tag = "clubs", params(IfMatch), responses((status = 200, body = Ground)))]
#[put("/networks/{network_id}/grounds/{ground_id}")]
pub async fn change_ground(
    service: Data<Service>,
    caller: Caller,
    path: Path<(NetworkId, GroundId)>,
    seen: IfMatch,
    body: Json<CreateGround>,
) -> Result<HttpResponse> {
    let (network, id) = path.into_inner();
    let (mut tx, member) = enter(&service, &caller, network).await?;
    let ground = alter_ground(&mut tx, &member, id, seen, &body).await?;
    tx.commit().await?;
    Ok(tagged(ground.version, &ground))
}

/// List pitches
#[utoipa::path(tag = "clubs", params(OfClub, PageQuery), responses((status = 200, body = Page<Pitch>)))]
#[get("/networks/{network_id}/pitches")]
pub async fn list_pitches(
    service: Data<Service>,
    caller: Caller,
    network: Path<NetworkId>,
    of: Query<OfClub>,
    page: Query<PageQuery>,
) -> Result<Json<Page<Pitch>>> {
    let (mut tx, member) = enter(&service, &caller, *network).await?;
    member.require(Act::SeeNetwork, None)?;
    let rows = store::list_pitches(&mut tx, *network, of.club_id, &page).await?;
    let ids: Vec<_> = rows.iter().map(|row| row.pitch_id).collect();
    let mut scores = store::latest_scores(&mut tx, *network, &ids, member.clubs_for(Act::SeeWalks)).await?;
    Ok(Json(Page::cut(rows, &page, store::pitch_key, |surface| {
        let latest_score = scores.remove(&surface.pitch_id);
        Pitch { surface, latest_score }
    })))
}

/// Add a pitch to a ground
#[utoipa::path(tag = "clubs", params(OnceKey), responses((status = 201, body = Pitch)))]
#[post("/networks/{network_id}/grounds/{ground_id}/pitches")]
pub async fn create_pitch(
    service: Data<Service>,
    caller: Caller,
    path: Path<(NetworkId, GroundId)>,
    key: OnceKey,
    body: Json<CreatePitch>,
) -> Result<HttpResponse> {
    let (network, ground) = path.into_inner();
    let (mut tx, member) = enter(&service, &caller, network).await?;
    let ticket = match key.claim(&mut tx, &member, &*body).await? {
        Claim::Answered(response) => return Ok(response),
        Claim::New(ticket) => ticket,
    };
    let pitch = add_pitch(&mut tx, &member, ground, &body).await?;
    let response = ticket.created(&mut tx, &member, &pitch).await?;
    tx.commit().await?;
    Ok(response)
}

/// Show a pitch
#[utoipa::path(tag = "clubs", responses((status = 200, body = Pitch)))]
#[get("/networks/{network_id}/pitches/{pitch_id}")]
pub async fn show_pitch(
    service: Data<Service>,
    caller: Caller,
    path: Path<(NetworkId, PitchId)>,
) -> Result<HttpResponse> {
    let (network, id) = path.into_inner();
    let (mut tx, member) = enter(&service, &caller, network).await?;
    member.require(Act::SeeNetwork, None)?;
    let pitch = pitch::seen_by(&mut tx, &member, id).await?;
    Ok(tagged(pitch.surface.version, &pitch))
}

/// Change a pitch
#[utoipa::path(tag = "clubs", params(IfMatch), responses((status = 200, body = Pitch)))]
#[put("/networks/{network_id}/pitches/{pitch_id}")]
pub async fn change_pitch(
    service: Data<Service>,
    caller: Caller,
    path: Path<(NetworkId, PitchId)>,
    seen: IfMatch,
    body: Json<CreatePitch>,
) -> Result<HttpResponse> {
    let (network, id) = path.into_inner();
    let (mut tx, member) = enter(&service, &caller, network).await?;
    let pitch = alter_pitch(&mut tx, &member, id, seen, &body).await?;
    tx.commit().await?;
    Ok(tagged(pitch.surface.version, &pitch))
}
