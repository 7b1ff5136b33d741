//! A request as members see it: everybody sees who asks for which days, as sharing needs; notes stay with the club.

use std::collections::HashMap;

use chrono::{NaiveDate, NaiveDateTime};
use diesel_async::AsyncPgConnection;
use serde::Serialize;
use utoipa::ToSchema;

use super::requests::RequestFacts;
use super::store::requests::{self as store, RequestRow};
use super::store::{self as rounds, MachineRow};
use super::words::{Grain, RequestState};
use super::workload::work_on;
use crate::access::{Act, Member};
use crate::error::Result;
use crate::ids::{ClubId, MachineId, PitchId, RequestId, RoundId};

/// A club's request for a place in a round.
#[derive(Debug, Serialize, ToSchema)]
pub struct PlaceRequest {
    /// The request.
    pub request_id: RequestId,
    /// In which round.
    pub round_id: RoundId,
    /// Whose wish.
    pub club_id: ClubId,
    /// The club's name.
    pub club_name: String,
    /// The ground's name.
    pub ground_name: String,
    /// The name of the neighbour who lends tractor and operator.
    pub helper_club_name: Option<String>,
    /// What the club says; its note is empty for those who are neither of the club nor coordinator.
    #[serde(flatten)]
    pub facts: RequestFacts,
    /// The pitches.
    pub pitches: Vec<RequestedPitch>,
    /// The half-days on which it could happen, in order.
    #[schema(value_type = Vec<String>)]
    pub half_days: Vec<NaiveDateTime>,
    /// The days liked best, in order.
    pub wishes: Vec<NaiveDate>,
    /// The work, by machine of the round.
    pub work: Vec<MachineWork>,
    /// Where it stands.
    pub state: RequestState,
    /// Whether it is of a club of yours.
    pub yours: bool,
    /// Counts changes; the ETag.
    pub version: i32,
}

/// A pitch of a request.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct RequestedPitch {
    /// The pitch.
    pub pitch_id: PitchId,
    /// Its name.
    pub name: String,
    /// Turf to work.
    pub area_m2: i32,
}

/// How long a machine takes for a request.
#[derive(Debug, Serialize, ToSchema)]
pub struct MachineWork {
    /// The machine.
    pub machine_id: MachineId,
    /// Its name.
    pub machine_name: String,
    /// Hours of work on the turf (ASABE EP496).
    pub hours: f64,
    /// Minutes in all, setting up included.
    pub work_min: i64,
    /// Half-days or days, by the round's grain, of 270 or 540 working minutes.
    pub slots: i64,
}

/// One request. Scope: the network.
pub(super) async fn load(tx: &mut AsyncPgConnection, member: &Member, id: RequestId) -> Result<PlaceRequest> {
    let row = store::find(tx, member.network_id, id).await?;
    let mut requests = gather(tx, member, row.round_id, vec![row]).await?;
    Ok(requests.pop().ok_or(diesel::result::Error::NotFound)?)
}

/// Requests of one round with all that belongs to them. Scope: the network.
pub(super) async fn gather(
    tx: &mut AsyncPgConnection,
    member: &Member,
    round: RoundId,
    rows: Vec<RequestRow>,
) -> Result<Vec<PlaceRequest>> {
    let network = member.network_id;
    let ids: Vec<RequestId> = rows.iter().map(|row| row.id).collect();
    let grain = rounds::find(tx, network, round).await?.grain;
    let machines = rounds::machines_of(tx, network, &[round]).await?;
    let mut pitches: HashMap<RequestId, Vec<RequestedPitch>> = HashMap::new();
    for (request, pitch_id, name, area_m2) in store::pitches_of(tx, network, &ids).await? {
        pitches.entry(request).or_default().push(RequestedPitch { pitch_id, name, area_m2 });
    }
    let mut half_days = by_request(store::half_days_of(tx, network, &ids).await?);
    let mut wishes = by_request(store::wishes_of(tx, network, &ids).await?);
    let view = |row: RequestRow| {
        let pitches = pitches.remove(&row.id).unwrap_or_default();
        let work = work_by(&machines, grain, &row.facts, &pitches)?;
        let days = (half_days.remove(&row.id).unwrap_or_default(), wishes.remove(&row.id).unwrap_or_default());
        Ok(seen_by(member, row, pitches, days, work))
    };
    rows.into_iter().map(view).collect()
}

/// Rows sorted to their requests, in the order they came.
pub(super) fn by_request<T>(rows: Vec<(RequestId, T)>) -> HashMap<RequestId, Vec<T>> {
    let mut sorted: HashMap<RequestId, Vec<T>> = HashMap::new();
    for (request, each) in rows {
        sorted.entry(request).or_default().push(each);
    }
    sorted
}

fn work_by(
    machines: &[MachineRow],
    grain: Grain,
    facts: &RequestFacts,
    pitches: &[RequestedPitch],
) -> Result<Vec<MachineWork>> {
    let area_m2 = pitches.iter().map(|pitch| i64::from(pitch.area_m2)).sum();
    let work = |machine: &MachineRow| {
        let work = work_on(machine, grain, area_m2, facts.set_up_min)?;
        Ok(MachineWork {
            machine_id: machine.machine_id,
            machine_name: machine.name.clone(),
            hours: work.hours,
            work_min: work.work_min,
            slots: work.slots,
        })
    };
    machines.iter().map(work).collect()
}

fn seen_by(
    member: &Member,
    row: RequestRow,
    pitches: Vec<RequestedPitch>,
    (half_days, wishes): (Vec<NaiveDateTime>, Vec<NaiveDate>),
    work: Vec<MachineWork>,
) -> PlaceRequest {
    let yours = member.belongs_to(row.club_id);
    let reads_notes = yours || member.may(Act::RunRound, None);
    let note = if reads_notes { row.facts.note.clone() } else { String::new() };
    PlaceRequest {
        request_id: row.id,
        round_id: row.round_id,
        club_id: row.club_id,
        club_name: row.club_name,
        ground_name: row.ground_name,
        helper_club_name: row.helper_club_name,
        facts: RequestFacts { note, ..row.facts },
        pitches,
        half_days,
        wishes,
        work,
        state: row.state,
        yours,
        version: row.version,
    }
}
