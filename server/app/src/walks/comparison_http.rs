//! The comparison over HTTP.

use actix_web::get;
use actix_web::web::{Data, Json, Path, Query};
use chrono::{Days, NaiveDate, Utc};
use comparison::privacy::FEWEST_OTHERS;
use serde::{Deserialize, Serialize};
use utoipa::{IntoParams, ToSchema};

use super::comparing::compare;
use super::criteria_http::CriterionKey;
use super::neighbours::{self, Circle, Place, Search};
use crate::access::{Act, Caller, enter};
use crate::clubs::{Soil, Sport};
use crate::error::{Refused, Result, invalid};
use crate::ids::{NetworkId, PitchId};
use crate::service::Service;
use crate::time::{today, zone_of};

/// How far to look unless told, km.
const USUAL_KM: i32 = 30;

/// How long a walk counts: a year has every season once.
const WALK_COUNTS: Days = Days::new(365);

/// Which pitches to compare with.
#[derive(Deserialize, IntoParams)]
#[into_params(parameter_in = Query)]
pub struct ComparisonQuery {
    /// At most this far away, as the crow flies: 1 to 500 km; 30 unless told. Not together with `nearest`.
    #[param(minimum = 1, maximum = 500)]
    within_km: Option<i32>,
    /// This many, nearest first: 5 to 200.
    #[param(minimum = 5, maximum = 200)]
    nearest: Option<i32>,
    /// `same` unless told.
    #[param(inline)]
    sport: Option<SameOrAny>,
    /// `any` unless told.
    #[param(inline)]
    soil: Option<SameOrAny>,
}

/// Whether the others must be alike.
#[derive(Clone, Copy, PartialEq, Eq, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum SameOrAny {
    /// Only the same.
    Same,
    /// Whatever it is.
    Any,
}

/// Where a pitch stands among others.
#[derive(Serialize, ToSchema)]
pub struct Comparison {
    pub(super) pitch_id: PitchId,
    pub(super) pitch_name: String,
    /// Its latest walk in the time looked at; null if there is none.
    pub(super) own: Option<OwnScore>,
    pub(super) basis: ComparisonBasis,
    /// How many pitches of other clubs it is compared with.
    pub(super) others: usize,
    /// With fewer nothing is shown.
    pub(super) fewest_others: usize,
    pub(super) shown: bool,
    pub(super) reason_not_shown: Option<String>,
    /// 0 to 100; null when not shown.
    pub(super) percentile: Option<f64>,
    pub(super) percentile_definition: &'static str,
    /// 1 is best, equals share it; null when not shown.
    pub(super) rank: Option<usize>,
    /// Every pitch, best first; empty when not shown.
    pub(super) marks: Vec<ComparisonMark>,
    /// What was measured, in the order in which a walk takes it.
    pub(super) criteria: Vec<ComparisonCriterion>,
}

/// The own latest walk.
#[derive(Serialize, ToSchema)]
pub struct OwnScore {
    pub(super) score: f64,
    pub(super) score_se: f64,
    pub(super) walked_on: NaiveDate,
}

/// What the comparison rests on.
#[derive(Serialize, ToSchema)]
pub struct ComparisonBasis {
    pub(super) within_km: Option<i32>,
    pub(super) nearest: Option<usize>,
    /// Null for any.
    pub(super) sport: Option<Sport>,
    /// Null for any.
    pub(super) soil: Option<Soil>,
    /// Walks of this day or later.
    pub(super) walked_since_on: NaiveDate,
    /// What to bear in mind.
    pub(super) note: &'static str,
}

/// A pitch in the comparison; where its club is only counted, a score and nothing else.
#[derive(Serialize, ToSchema)]
pub struct ComparisonMark {
    pub(super) score: f64,
    pub(super) score_se: f64,
    pub(super) yours: bool,
    pub(super) club_name: Option<String>,
    pub(super) pitch_name: Option<String>,
    /// As the crow flies, to the whole km.
    pub(super) distance_km: Option<f64>,
}

/// One criterion, here and among the others.
#[derive(Serialize, ToSchema)]
pub struct ComparisonCriterion {
    pub(super) criterion: CriterionKey,
    pub(super) name: &'static str,
    pub(super) unit: &'static str,
    /// The mean of the own readings.
    pub(super) own_mean: Option<f64>,
    pub(super) own_score: Option<f64>,
    /// Half of the others score lower (quantile of type 8); null with too few who measured it.
    pub(super) others_median_score: Option<f64>,
}

impl ComparisonQuery {
    fn parse(&self, place: &Place, today: NaiveDate) -> Result<Search, Refused> {
        let circle = match (self.within_km, self.nearest) {
            (Some(_), Some(_)) => {
                return Err(
                    invalid("within_km", "Choose a distance or a number of pitches, not both.").field("nearest")
                );
            }
            (None, Some(most)) => usize::try_from(most)
                .ok()
                .filter(|most| (FEWEST_OTHERS..=200).contains(most))
                .map(Circle::Nearest)
                .ok_or_else(|| invalid("nearest", "Choose from 5 to 200 pitches."))?,
            (km, None) => Some(km.unwrap_or(USUAL_KM))
                .filter(|km| (1..=500).contains(km))
                .map(Circle::WithinKm)
                .ok_or_else(|| invalid("within_km", "Choose from 1 to 500 km."))?,
        };
        let same_sport = self.sport.unwrap_or(SameOrAny::Same) == SameOrAny::Same;
        let same_soil = self.soil.unwrap_or(SameOrAny::Any) == SameOrAny::Same;
        Ok(Search {
            circle,
            sport: same_sport.then_some(place.sport),
            soil: same_soil.then_some(place.soil),
            since: today - WALK_COUNTS,
        })
    }
}

/// Compare a pitch with others
///
/// Each pitch of another club in the circle counts by its latest walk of the past year. Only clubs that chose to share
/// are named; with fewer than five others nothing is shown but the reason.
#[utoipa::path(tag = "walks", params(ComparisonQuery), responses((status = 200, body = Comparison)))]
#[get("/networks/{network_id}/pitches/{pitch_id}/comparison")]
pub async fn compare_pitch(
    service: Data<Service>,
    caller: Caller,
    path: Path<(NetworkId, PitchId)>,
    query: Query<ComparisonQuery>,
) -> Result<Json<Comparison>> {
    let (network, pitch) = path.into_inner();
    let (mut tx, member) = enter(&service, &caller, network).await?;
    let place = neighbours::place(&mut tx, network, pitch).await?;
    member.require(Act::SeeWalks, Some(place.club_id))?;
    let today = today(zone_of(&mut tx, network).await?, Utc::now());
    let search = query.parse(&place, today)?;
    Ok(Json(compare(&mut tx, network, place, &search).await?))
}
