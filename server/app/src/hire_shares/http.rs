//! The costs of hires over HTTP.

use actix_web::web::{Data, Json, Path, Query};
use actix_web::{HttpResponse, get, post};
use chrono::{DateTime, Utc};
use serde::{Deserialize, Serialize};
use utoipa::{IntoParams, ToSchema};

use super::entering::{EnterHireShares, enter_shares};
use super::facts::Facts;
use super::settling::{SettleHire, settle};
use super::store::owed::{self, OwedRow};
use super::view::HireCosts;
use crate::access::{Act, Caller, Member, enter};
use crate::error::{Refused, Result};
use crate::ids::{ClubId, HireId, HireStatementId, NetworkId, PlanId, RoundId};
use crate::service::Service;
use crate::wire::{Claim, OnceKey, Page, PageQuery};

/// Whose shares.
#[derive(Debug, Deserialize, IntoParams)]
#[into_params(parameter_in = Query)]
pub struct HireSharesQuery {
    /// Only those of this club; without it those of every club whose money you may see.
    club_id: Option<ClubId>,
}

/// What a club owes for a hire, as entered.
#[derive(Debug, Serialize, ToSchema)]
pub struct HireShare {
    statement_id: HireStatementId,
    hire_id: HireId,
    round_id: RoundId,
    round_title: String,
    machine_name: String,
    club_id: ClubId,
    share_pence: i64,
    /// Trips of a neighbour with a lent tractor.
    helper_pence: i64,
    /// Both.
    owes_pence: i64,
    /// Hiring alone for the same days, helper trips included.
    alone_pence: i64,
    entered_at: DateTime<Utc>,
    /// When it was paid as shared; null while it is owed.
    settled_at: Option<DateTime<Utc>>,
}

/// What a hire is asked about.
#[derive(Debug, Deserialize, IntoParams)]
#[into_params(parameter_in = Query)]
pub struct HireCostsQuery {
    /// What the supplier asks, pence: shares and rules as they would be with this invoice instead of the expected one.
    invoice_pence: Option<i64>,
}

/// Show what a hire costs and who pays what
///
/// By the bookings that are agreed; once entered, with what stands.
#[utoipa::path(tag = "hire shares", params(HireCostsQuery), responses((status = 200, body = HireCosts)))]
#[get("/networks/{network_id}/hires/{hire_id}/costs")]
pub async fn show_hire_costs(
    service: Data<Service>,
    caller: Caller,
    path: Path<(NetworkId, HireId)>,
    asked: Query<HireCostsQuery>,
) -> Result<Json<HireCosts>> {
    let (network, id) = path.into_inner();
    let (mut tx, member) = enter(&service, &caller, network).await?;
    member.require(Act::SeeNetwork, None)?;
    let facts = Facts::of_bookings(&mut tx, network, id, false).await?.with_invoice(asked.invoice_pence)?;
    Ok(Json(HireCosts::seen_by(&mut tx, &member, &facts).await?))
}

/// Show what a plan would cost and who would pay what
///
/// For each hire of its round, before anyone confirms a place.
#[utoipa::path(tag = "hire shares", responses((status = 200, body = Vec<HireCosts>)))]
#[get("/networks/{network_id}/plans/{plan_id}/costs")]
pub async fn show_plan_costs(
    service: Data<Service>,
    caller: Caller,
    path: Path<(NetworkId, PlanId)>,
) -> Result<Json<Vec<HireCosts>>> {
    let (network, id) = path.into_inner();
    let (mut tx, member) = enter(&service, &caller, network).await?;
    member.require(Act::SeeNetwork, None)?;
    let mut costs = Vec::new();
    for facts in Facts::of_plan(&mut tx, network, id).await? {
        costs.push(HireCosts::seen_by(&mut tx, &member, &facts).await?);
    }
    Ok(Json(costs))
}

/// Enter what each club owes for a hire
///
/// For good: a mistake is countered by another statement that names this one.
#[utoipa::path(tag = "hire shares", params(OnceKey), responses((status = 201, body = HireCosts)))]
#[post("/networks/{network_id}/hires/{hire_id}/shares")]
pub async fn enter_hire_shares(
    service: Data<Service>,
    caller: Caller,
    path: Path<(NetworkId, HireId)>,
    key: OnceKey,
    body: Json<EnterHireShares>,
) -> Result<HttpResponse> {
    let (network, id) = path.into_inner();
    let (mut tx, member) = enter(&service, &caller, network).await?;
    let ticket = match key.claim(&mut tx, &member, &*body).await? {
        Claim::Answered(response) => return Ok(response),
        Claim::New(ticket) => ticket,
    };
    let costs = enter_shares(&mut tx, &member, &service.config.public_url, id, &body, Utc::now()).await?;
    let response = ticket.created(&mut tx, &member, &costs).await?;
    tx.commit().await?;
    Ok(response)
}

/// Settle a hire
///
/// The invoice is paid as it was shared: nobody owes for it any more, and what was entered can no longer be countered.
#[utoipa::path(tag = "hire shares", params(OnceKey), responses((status = 201, body = HireCosts)))]
#[post("/networks/{network_id}/hires/{hire_id}/settlement")]
pub async fn settle_hire(
    service: Data<Service>,
    caller: Caller,
    path: Path<(NetworkId, HireId)>,
    key: OnceKey,
    body: Json<SettleHire>,
) -> Result<HttpResponse> {
    let (network, id) = path.into_inner();
    let (mut tx, member) = enter(&service, &caller, network).await?;
    let ticket = match key.claim(&mut tx, &member, &*body).await? {
        Claim::Answered(response) => return Ok(response),
        Claim::New(ticket) => ticket,
    };
    let costs = settle(&mut tx, &member, &service.config.public_url, id, *body, Utc::now()).await?;
    let response = ticket.created(&mut tx, &member, &costs).await?;
    tx.commit().await?;
    Ok(response)
}

/// List what clubs owe for hires
///
/// The last entered comes first; what was countered is left out.
#[utoipa::path(tag = "hire shares", params(HireSharesQuery, PageQuery), responses((status = 200, body = Page<HireShare>)))]
#[get("/networks/{network_id}/hire-shares")]
pub async fn list_hire_shares(
    service: Data<Service>,
    caller: Caller,
    network: Path<NetworkId>,
    wanted: Query<HireSharesQuery>,
    page: Query<PageQuery>,
) -> Result<Json<Page<HireShare>>> {
    let (mut tx, member) = enter(&service, &caller, *network).await?;
    let clubs = clubs_to_show(&member, wanted.club_id)?;
    let rows = owed::owed(&mut tx, *network, clubs.as_deref(), &page).await?;
    Ok(Json(Page::cut(rows, &page, |row| (row.statement_id, row.club_id), view)))
}

/// The clubs whose shares a member asks for and may see; none given means all of the network.
fn clubs_to_show(member: &Member, wanted: Option<ClubId>) -> Result<Option<Vec<ClubId>>, Refused> {
    if let Some(club) = wanted {
        member.require(Act::SeeShares, Some(club))?;
        return Ok(Some(vec![club]));
    }
    let clubs = member.clubs_for(Act::SeeShares);
    if clubs.as_ref().is_some_and(Vec::is_empty) {
        member.require(Act::SeeShares, None)?;
    }
    Ok(clubs)
}

fn view(row: OwedRow) -> HireShare {
    HireShare {
        statement_id: row.statement_id,
        hire_id: row.hire_id,
        round_id: row.round_id,
        round_title: row.round_title,
        machine_name: row.machine_name,
        club_id: row.club_id,
        share_pence: row.share_pence,
        helper_pence: row.helper_pence,
        owes_pence: row.share_pence + row.helper_pence,
        alone_pence: row.alone_pence + row.helper_pence,
        entered_at: row.entered_at,
        settled_at: row.settled_at,
    }
}
