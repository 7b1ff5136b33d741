//! Handlers for how long a job takes and what it costs.

use actix_web::get;
use actix_web::web::{Data, Json, Path, Query};
use chrono::{NaiveDate, NaiveDateTime, NaiveTime, Utc};
use serde::Deserialize;
use utoipa::IntoParams;
use uuid::Uuid;

use super::reckoning::{Charge, Reckoning, reckon};
use super::span::{Span, date_parse};
use super::store;
use super::terms::Terms;
use super::timetable::Timetable;
use crate::access::{Caller, enter};
use crate::error::{Code, Refused, Result, invalid, refuse};
use crate::ids::{ClubId, MachineId, NetworkId, PitchId};
use crate::service::Service;
use crate::time::{local, zone_of};

/// The job to reckon.
#[derive(Debug, Deserialize, IntoParams)]
#[into_params(parameter_in = Query)]
pub struct Job {
    /// For which club.
    club_id: ClubId,
    /// Pitches of that club: their ids with commas between.
    pitch_ids: String,
    /// Propose no time before this date; from now on without.
    from: Option<NaiveDate>,
}

impl Job {
    fn pitch_ids(&self) -> Result<Vec<PitchId>, Refused> {
        let ids = self.pitch_ids.split(',').filter(|id| !id.is_empty()).map(|id| id.parse::<Uuid>().map(PitchId));
        let mut ids: Vec<_> = ids
            .collect::<Result<_, _>>()
            .map_err(|_| refuse(Code::Unreadable, "pitch_ids are ids with commas between.").field("pitch_ids"))?;
        ids.sort_unstable();
        ids.dedup();
        if ids.is_empty() { Err(invalid("pitch_ids", "Choose at least one pitch.")) } else { Ok(ids) }
    }

    fn not_before(&self, now: NaiveDateTime) -> Result<NaiveDateTime, Refused> {
        let Some(date) = self.from else { return Ok(now) };
        Ok(date_parse("from", date)?.and_time(NaiveTime::MIN).max(now))
    }
}

/// Reckon how long a job takes
///
/// Field capacity after ASABE EP496, half-days to book, tine holes, and up to five times when the machine is free.
#[utoipa::path(tag = "machines", params(Job), responses((status = 200, body = Reckoning)))]
#[get("/networks/{network_id}/machines/{machine_id}/reckoning")]
pub async fn reckon_job(
    service: Data<Service>,
    caller: Caller,
    path: Path<(NetworkId, MachineId)>,
    job: Query<Job>,
) -> Result<Json<Reckoning>> {
    let (network, id) = path.into_inner();
    let ids = job.pitch_ids()?;
    let (mut tx, _) = enter(&service, &caller, network).await?;
    let now = local(zone_of(&mut tx, network).await?, Utc::now());
    let terms = Terms::read(&mut tx, network, id).await?;
    terms.admit(job.club_id)?;
    let pitches = store::pitches_of(&mut tx, network, job.club_id, &ids).await?;
    if pitches.len() != ids.len() {
        return Err(invalid("pitch_ids", "Choose pitches of the club itself.").into());
    }
    let timetable = Timetable::read(&mut tx, network, &terms, now, None).await?;
    Ok(Json(reckon(&terms, &timetable, pitches, job.not_before(now)?)?))
}

/// What a span costs
#[utoipa::path(tag = "machines", params(Span), responses((status = 200, body = Charge)))]
#[get("/networks/{network_id}/machines/{machine_id}/charge")]
pub async fn show_charge(
    service: Data<Service>,
    caller: Caller,
    path: Path<(NetworkId, MachineId)>,
    span: Query<Span>,
) -> Result<Json<Charge>> {
    let (network, id) = path.into_inner();
    let span = span.parse()?;
    let (mut tx, _) = enter(&service, &caller, network).await?;
    let terms = Terms::read(&mut tx, network, id).await?;
    Ok(Json(terms.charge(&span)?.into()))
}
