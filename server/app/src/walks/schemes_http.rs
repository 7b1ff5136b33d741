//! The scoring scheme over HTTP: read by everyone, so that a score can be traced; changed by the coordinator.

use actix_web::web::{Data, Json, Path, Query};
use actix_web::{HttpResponse, get, put};
use chrono::{DateTime, Utc};
use comparison::criteria::Criterion as Measured;
use comparison::scheme::{self, SchemeError};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::criteria_http::CriterionKey;
use super::schemes::{self, StoredScheme, Version};
use crate::access::{Act, Caller, enter};
use crate::error::{Refused, Result, invalid};
use crate::ids::NetworkId;
use crate::service::Service;
use crate::text::note_parse;
use crate::wire::{IfMatch, Page, PageQuery, tagged};

/// The most points a scale may have: more would be noise drawn as knowledge.
const MOST_POINTS: usize = 50;

/// A version of the scoring scheme.
#[derive(Serialize, ToSchema)]
pub struct Scheme {
    version: i32,
    /// Why it was changed; of the first version whose opinion it is.
    note: String,
    /// In the order in which a walk takes them.
    criteria: Vec<SchemeCriterion>,
}

/// How one criterion counts.
#[derive(Serialize, ToSchema)]
pub struct SchemeCriterion {
    criterion: CriterionKey,
    name: &'static str,
    unit: &'static str,
    /// How much it counts beside the others.
    weight: f64,
    points: Vec<SchemePoint>,
}

/// A point of a scale: straight lines between points, level beyond the first and the last.
#[derive(Serialize, Deserialize, ToSchema)]
pub struct SchemePoint {
    /// In the criterion's unit.
    pub measured: f64,
    /// 0 to 100.
    pub score: f64,
}

/// A version and who made it.
#[derive(Serialize, ToSchema)]
pub struct SchemeVersion {
    version: i32,
    note: String,
    created_at: DateTime<Utc>,
    /// Null for the scheme the network started with, and for people who have left.
    created_by_name: Option<String>,
}

/// The next version of the scheme.
#[derive(Deserialize, ToSchema)]
pub struct ReplaceScheme {
    /// Why it is changed.
    pub note: String,
    /// All criteria that count.
    pub criteria: Vec<ReplaceCriterion>,
}

/// How one criterion is to count.
#[derive(Deserialize, ToSchema)]
pub struct ReplaceCriterion {
    /// What is measured.
    pub criterion: CriterionKey,
    /// How much it counts beside the others: more than 0, at most 1,000.
    pub weight: f64,
    /// At least two, their measures rising.
    pub points: Vec<SchemePoint>,
}

impl From<StoredScheme> for Scheme {
    fn from(stored: StoredScheme) -> Self {
        let criteria = stored.scheme.criteria().iter().map(|each| SchemeCriterion {
            criterion: CriterionKey(each.criterion),
            name: each.criterion.facts().name,
            unit: each.criterion.facts().unit,
            weight: each.weight,
            points: each.points.iter().map(|&(measured, score)| SchemePoint { measured, score }).collect(),
        });
        Self { version: stored.version, criteria: criteria.collect(), note: stored.note }
    }
}

impl From<Version> for SchemeVersion {
    fn from((version, note, created_at, created_by_name): Version) -> Self {
        Self { version, note, created_at, created_by_name }
    }
}

impl ReplaceScheme {
    fn parse(self) -> Result<(String, scheme::Scheme), Refused> {
        let note = note_parse("note", &self.note)?;
        let too_long = self.criteria.iter().position(|each| each.points.len() > MOST_POINTS);
        if let Some(place) = too_long {
            return Err(invalid(&format!("criteria.{place}.points"), "A scale has at most 50 points."));
        }
        let order: Vec<Measured> = self.criteria.iter().map(|each| each.criterion.0).collect();
        let criteria = self.criteria.into_iter().map(|each| scheme::SchemeCriterion {
            criterion: each.criterion.0,
            weight: each.weight,
            points: each.points.into_iter().map(|point| (point.measured, point.score)).collect(),
        });
        let scheme = scheme::Scheme::parse(criteria.collect()).map_err(|error| refusal(error, &order))?;
        Ok((note, scheme))
    }
}

/// What the crate refuses, on the field of the form that it concerns.
fn refusal(error: SchemeError, order: &[Measured]) -> Refused {
    let on = |criterion: Measured, part: &str, words: &str| {
        // Of a criterion that comes twice the second is the slip.
        let place = order.iter().rposition(|each| *each == criterion).unwrap_or_default();
        invalid(&format!("criteria.{place}.{part}"), format!("{}: {words}", criterion.facts().name))
    };
    match error {
        SchemeError::NoCriteria => invalid("criteria", "Choose at least one criterion to score."),
        SchemeError::CriterionTwice { criterion } => on(criterion, "criterion", "it is there twice."),
        SchemeError::WeightNotPositive { criterion } => on(criterion, "weight", "a weight is more than 0."),
        SchemeError::TooFewPoints { criterion } => on(criterion, "points", "a scale needs at least two points."),
        SchemeError::MeasuresNotRising { criterion } => on(criterion, "points", "the measures must rise."),
        SchemeError::ScoreOutOfRange { criterion } => on(criterion, "points", "a score is from 0 to 100."),
    }
}

/// List the versions of the scoring scheme
#[utoipa::path(tag = "walks", params(PageQuery), responses((status = 200, body = Page<SchemeVersion>)))]
#[get("/networks/{network_id}/schemes")]
pub async fn list_schemes(
    service: Data<Service>,
    caller: Caller,
    network: Path<NetworkId>,
    page: Query<PageQuery>,
) -> Result<Json<Page<SchemeVersion>>> {
    let (mut tx, member) = enter(&service, &caller, *network).await?;
    member.require(Act::SeeNetwork, None)?;
    let rows = schemes::list(&mut tx, *network, &page).await?;
    Ok(Json(Page::cut(rows, &page, |row| row.0, SchemeVersion::from)))
}

/// Read the current scoring scheme
#[utoipa::path(tag = "walks", responses((status = 200, body = Scheme)))]
#[get("/networks/{network_id}/schemes/current")]
pub async fn show_current_scheme(
    service: Data<Service>,
    caller: Caller,
    network: Path<NetworkId>,
) -> Result<HttpResponse> {
    let (mut tx, member) = enter(&service, &caller, *network).await?;
    member.require(Act::SeeNetwork, None)?;
    let current = Scheme::from(schemes::current(&mut tx, *network).await?);
    Ok(tagged(current.version, &current))
}

/// Change the scoring scheme
///
/// Makes the next version. Walks that were entered keep the version they were scored with.
#[utoipa::path(tag = "walks", params(IfMatch), responses((status = 200, body = Scheme)))]
#[put("/networks/{network_id}/schemes/current")]
pub async fn replace_scheme(
    service: Data<Service>,
    caller: Caller,
    network: Path<NetworkId>,
    seen: IfMatch,
    body: Json<ReplaceScheme>,
) -> Result<HttpResponse> {
    let (mut tx, member) = enter(&service, &caller, *network).await?;
    member.require(Act::EditScheme, None)?;
    let (note, scheme) = body.into_inner().parse()?;
    schemes::replace(&mut tx, *network, seen, &note, member.person_id, &scheme).await?;
    let next = Scheme::from(schemes::current(&mut tx, *network).await?);
    tx.commit().await?;
    Ok(tagged(next.version, &next))
}
