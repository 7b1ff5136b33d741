//! Showing the network and its people, and taking a role away.

use actix_web::web::{Data, Json, Path, Query};
use actix_web::{HttpResponse, delete, get};
use chrono::Utc;
use serde::Serialize;
use utoipa::ToSchema;

use super::needs::{Need, needs_of};
use super::people::{self, PersonInNetwork};
use super::{Network, store};
use crate::access::{Act, Caller, enter};
use crate::error::Result;
use crate::ids::{ClubId, MembershipId, NetworkId};
use crate::service::Service;
use crate::wire::{Page, PageQuery};

/// Everything that needs the caller.
#[derive(Serialize, ToSchema)]
pub struct Needs {
    /// Most pressing first.
    items: Vec<Need>,
}

/// Show the network
#[utoipa::path(tag = "network", responses((status = 200, body = Network)))]
#[get("/networks/{network_id}")]
pub async fn show_network(service: Data<Service>, caller: Caller, network: Path<NetworkId>) -> Result<Json<Network>> {
    let (mut tx, member) = enter(&service, &caller, *network).await?;
    member.require(Act::SeeNetwork, None)?;
    Ok(Json(store::network(&mut tx, *network).await?))
}

/// What needs me
///
/// One sentence each, most pressing first, by what the caller may do about it.
#[utoipa::path(tag = "network", responses((status = 200, body = Needs)))]
#[get("/networks/{network_id}/needs")]
pub async fn list_needs(service: Data<Service>, caller: Caller, network: Path<NetworkId>) -> Result<Json<Needs>> {
    let now = Utc::now();
    let (mut tx, member) = enter(&service, &caller, *network).await?;
    let items = needs_of(&mut tx, &member, now).await?;
    Ok(Json(Needs { items }))
}

/// List people
///
/// A coordinator sees everybody, a grounds lead and a treasurer the people of their clubs and what they are there.
#[utoipa::path(tag = "people", params(PageQuery), responses((status = 200, body = Page<PersonInNetwork>)))]
#[get("/networks/{network_id}/people")]
pub async fn list_people(
    service: Data<Service>,
    caller: Caller,
    network: Path<NetworkId>,
    page: Query<PageQuery>,
) -> Result<Json<Page<PersonInNetwork>>> {
    let (mut tx, member) = enter(&service, &caller, *network).await?;
    let clubs = member.clubs_for(Act::SeePeople);
    if clubs.as_ref().is_some_and(Vec::is_empty) {
        member.require(Act::SeePeople, None::<ClubId>)?;
    }
    let rows = people::list(&mut tx, *network, clubs.as_deref(), &page).await?;
    let ids: Vec<_> = rows.iter().map(|&(id, ..)| id).collect();
    let mut places = people::places(&mut tx, *network, clubs.as_deref(), &ids).await?;
    let key = |(id, name, _): &people::Named| (name.clone(), *id);
    Ok(Json(Page::cut(rows, &page, key, |(person_id, name, email)| {
        let roles = places.remove(&person_id).unwrap_or_default();
        PersonInNetwork { person_id, name, email, roles }
    })))
}

/// Take a role away
#[utoipa::path(tag = "people", responses((status = 204)))]
#[delete("/networks/{network_id}/memberships/{membership_id}")]
pub async fn end_membership(
    service: Data<Service>,
    caller: Caller,
    path: Path<(NetworkId, MembershipId)>,
) -> Result<HttpResponse> {
    let (network, id) = path.into_inner();
    let (mut tx, member) = enter(&service, &caller, network).await?;
    people::end_membership(&mut tx, &member, id).await?;
    tx.commit().await?;
    Ok(HttpResponse::NoContent().finish())
}
