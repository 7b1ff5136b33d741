//! Walks over HTTP: entered by whoever may walk the pitch, read by the club's people and the coordinator.

use actix_web::web::{Data, Json, Path, Query};
use actix_web::{HttpResponse, get, post};
use chrono::{NaiveDate, Utc};
use comparison::criteria::Criterion;
use serde::{Deserialize, Serialize};
use utoipa::{IntoParams, ToSchema};

use super::criteria_http::CriterionKey;
use super::record::record;
use super::store::{self, WalksOf};
use super::view;
use crate::access::{Act, Caller, enter};
use crate::error::Result;
use crate::ids::{ClubId, NetworkId, PitchId, WalkId};
use crate::service::Service;
use crate::wire::{Claim, OnceKey, Page, PageQuery};

/// A walk to enter.
#[derive(Serialize, Deserialize, ToSchema)]
pub struct CreateWalk {
    /// A UUID of version 7 minted by the phone, so that a walk entered without signal is sent once however often it
    /// is sent; null for a new one.
    pub walk_id: Option<WalkId>,
    /// Which pitch.
    pub pitch_id: PitchId,
    /// The local date of the visit.
    pub walked_on: NaiveDate,
    /// Every criterion measured.
    pub readings: Vec<CreateReadings>,
    /// Free text.
    pub note: String,
}

/// The readings of one criterion.
#[derive(Serialize, Deserialize, ToSchema)]
pub struct CreateReadings {
    /// What was measured.
    pub criterion: CriterionKey,
    /// In the criterion's unit, in the order in which they were taken; at most 200.
    pub values: Vec<f64>,
}

/// An assessment visit to a pitch.
#[derive(Serialize, ToSchema)]
pub struct Walk {
    pub(super) walk_id: WalkId,
    pub(super) pitch_id: PitchId,
    pub(super) pitch_name: String,
    pub(super) club_id: ClubId,
    pub(super) club_name: String,
    pub(super) walked_on: NaiveDate,
    pub(super) walked_by_name: String,
    /// The version of the scheme it was scored with.
    pub(super) scheme_version: i32,
    /// 0 to 100 by that scheme.
    pub(super) score: f64,
    /// Standard error of the score, from the spread and number of readings.
    pub(super) score_se: f64,
    /// What the score is made of.
    pub(super) criteria: Vec<WalkCriterion>,
    /// What the scheme scores but nobody measured; it does not weigh.
    pub(super) missing: Vec<CriterionKey>,
    /// What was measured but the scheme does not score.
    pub(super) unscored: Vec<UnscoredReadings>,
    pub(super) note: String,
}

/// What a walk says of one criterion.
#[derive(Serialize, ToSchema)]
pub struct WalkCriterion {
    pub(super) criterion: CriterionKey,
    pub(super) name: &'static str,
    pub(super) unit: &'static str,
    /// How many readings.
    pub(super) n: usize,
    /// Their mean.
    pub(super) mean: f64,
    /// Their standard deviation; of a single reading the usual spread.
    pub(super) sd: f64,
    /// The score of the mean, 0 to 100.
    pub(super) score: f64,
    /// Standard error of that score.
    pub(super) score_se: f64,
    /// Its share in the score of the walk; the shares sum to 1.
    pub(super) weight: f64,
    pub(super) values: Vec<f64>,
}

/// Readings that the walk's scheme does not score.
#[derive(Serialize, ToSchema)]
pub struct UnscoredReadings {
    criterion: CriterionKey,
    name: &'static str,
    unit: &'static str,
    values: Vec<f64>,
}

impl UnscoredReadings {
    pub(super) fn new(criterion: Criterion, values: &[f64]) -> Self {
        let facts = criterion.facts();
        Self { criterion: CriterionKey(criterion), name: facts.name, unit: facts.unit, values: values.to_vec() }
    }
}

/// Whose walks to list.
#[derive(Deserialize, IntoParams)]
#[into_params(parameter_in = Query)]
pub struct WalksQuery {
    /// Of this pitch; without, of every pitch whose walks the caller may see.
    pitch_id: Option<PitchId>,
}

/// List walks, newest first
#[utoipa::path(tag = "walks", params(WalksQuery, PageQuery), responses((status = 200, body = Page<Walk>)))]
#[get("/networks/{network_id}/walks")]
pub async fn list_walks(
    service: Data<Service>,
    caller: Caller,
    network: Path<NetworkId>,
    query: Query<WalksQuery>,
    page: Query<PageQuery>,
) -> Result<Json<Page<Walk>>> {
    let (mut tx, member) = enter(&service, &caller, *network).await?;
    let of = match query.pitch_id {
        Some(pitch) => {
            member.require(Act::SeeWalks, Some(store::club_of_pitch(&mut tx, *network, pitch).await?))?;
            WalksOf::Pitch(pitch)
        }
        None => member.clubs_for(Act::SeeWalks).map_or(WalksOf::Network, WalksOf::Clubs),
    };
    let rows = store::list(&mut tx, *network, of, &page).await?;
    let page = Page::cut(rows, &page, |(walk, ..)| (walk.walked_on, walk.id), |row| row);
    let items = view::walks(&mut tx, *network, page.items).await?;
    Ok(Json(Page { items, next_cursor: page.next_cursor }))
}

/// Enter a walk
///
/// Scored with the current scheme; it stands as entered. The same `walk_id` with the same content answers the walk
/// that is there.
#[utoipa::path(tag = "walks", params(OnceKey), responses((status = 201, body = Walk)))]
#[post("/networks/{network_id}/walks")]
pub async fn create_walk(
    service: Data<Service>,
    caller: Caller,
    network: Path<NetworkId>,
    key: OnceKey,
    body: Json<CreateWalk>,
) -> Result<HttpResponse> {
    let (mut tx, member) = enter(&service, &caller, *network).await?;
    let ticket = match key.claim(&mut tx, &member, &*body).await? {
        Claim::Answered(response) => return Ok(response),
        Claim::New(ticket) => ticket,
    };
    let id = record(&mut tx, &member, body.into_inner(), Utc::now()).await?;
    let row = store::find(&mut tx, *network, id).await?;
    let walk = view::walk(&mut tx, *network, row).await?;
    let response = ticket.created(&mut tx, &member, &walk).await?;
    tx.commit().await?;
    Ok(response)
}

/// Read a walk
#[utoipa::path(tag = "walks", responses((status = 200, body = Walk)))]
#[get("/networks/{network_id}/walks/{walk_id}")]
pub async fn show_walk(service: Data<Service>, caller: Caller, path: Path<(NetworkId, WalkId)>) -> Result<Json<Walk>> {
    let (network, id) = path.into_inner();
    let (mut tx, member) = enter(&service, &caller, network).await?;
    let row = store::find(&mut tx, network, id).await?;
    member.require(Act::SeeWalks, Some(row.0.club_id))?;
    Ok(Json(view::walk(&mut tx, network, row).await?))
}
