//! What a round is planned from, so far as hires and requests say it: the front door for whoever plans.
//!
//! Promises requests that are asked for, in the order they were made, each with the machines that suit it. Knows
//! nothing of bookings, roads, turns or plans.

use chrono::{NaiveDate, NaiveDateTime};
use diesel_async::AsyncPgConnection;
use logistics::half_days::HalfDaySpan;

use super::request_view::by_request;
use super::requests::{is_pulled, reaches};
use super::store::requests::{self as store, RequestRow};
use super::store::{self as rounds, HireRow, MachineRow, RoundRow};
use super::terms::HireCharges;
use super::words::{Grain, HauledBy, RoundState};
use super::workload::work_on;
use crate::error::Result;
use crate::ids::{ClubId, GroundId, HireId, MachineId, NetworkId, PitchId, RequestId, RoundId};

/// A round as it is planned.
#[derive(Debug, Clone)]
pub struct RoundFacts {
    /// The round.
    pub round_id: RoundId,
    /// Its title.
    pub title: String,
    /// Where it stands.
    pub state: RoundState,
    /// The unit in which clubs are placed.
    pub grain: Grain,
    /// Its first day.
    pub from_on: NaiveDate,
    /// Its last day, itself within the round.
    pub until_on: NaiveDate,
    /// One preference point is worth so many hectometres of road.
    pub hm_per_point: i32,
    /// A club left out so many times running is served first; 0 for never.
    pub guarantee_after: i32,
    /// The machines, by name.
    pub machines: Vec<RoundMachineFacts>,
    /// The requests, as they were made.
    pub requests: Vec<PlaceFacts>,
}

/// A machine of a round.
#[derive(Debug, Clone)]
pub struct RoundMachineFacts {
    /// The machine.
    pub machine_id: MachineId,
    /// Its name.
    pub name: String,
    /// When clubs can have it at most: the hire, or the round.
    pub span: HalfDaySpan,
    /// The hire it comes by, and what that costs.
    pub hire: Option<(HireId, HireCharges)>,
    /// Where an owned machine is fetched from and brought back to.
    pub kept_ground_id: Option<GroundId>,
}

impl RoundMachineFacts {
    /// Whether clubs fetch it and take it back, so that those roads count.
    #[must_use]
    pub fn is_hauled_by_clubs(&self) -> bool {
        self.hire.as_ref().is_none_or(|(_, charges)| charges.hauled_by == HauledBy::Clubs)
    }
}

/// A request as it is planned.
#[derive(Debug, Clone)]
pub struct PlaceFacts {
    /// The request.
    pub request_id: RequestId,
    /// Whose.
    pub club_id: ClubId,
    /// The club's name.
    pub club_name: String,
    /// Place of the work.
    pub ground_id: GroundId,
    /// The ground's name.
    pub ground_name: String,
    /// The pitches, by name.
    pub pitches: Vec<PitchId>,
    /// 1 to 5.
    pub need: i32,
    /// The neighbour who lends tractor and operator, with its name.
    pub helper: Option<(ClubId, String)>,
    /// Half-days allowed, in order.
    pub half_days: Vec<NaiveDateTime>,
    /// Days liked best, in order.
    pub wishes: Vec<NaiveDate>,
    /// Machines that suit, and how long the slowest of them takes.
    pub machines: Vec<MachineId>,
    /// Working minutes, setting up included.
    pub work_min: i64,
}

/// The facts of a round. Scope: the network.
///
/// # Errors
/// `not_found`.
pub async fn round_facts(tx: &mut AsyncPgConnection, network: NetworkId, id: RoundId) -> Result<RoundFacts> {
    let round = rounds::find(tx, network, id).await?;
    let machines = rounds::machines_of(tx, network, &[id]).await?;
    let hires = rounds::hires_of(tx, network, &[id]).await?;
    let requests = store::asked(tx, network, id).await?;
    let requests = places(tx, network, &round, &machines, requests).await?;
    let machine = |row: &MachineRow| machine_facts(row, &round, &hires);
    Ok(RoundFacts {
        machines: machines.iter().filter_map(machine).collect(),
        requests,
        round_id: round.id,
        title: round.terms.title,
        state: round.state,
        grain: round.grain,
        from_on: round.from_on,
        until_on: round.until_on,
        hm_per_point: round.terms.hm_per_point,
        guarantee_after: round.terms.guarantee_after,
    })
}

/// A machine as it can come; none where its span is no span, which the database does not keep.
fn machine_facts(row: &MachineRow, round: &RoundRow, hires: &[HireRow]) -> Option<RoundMachineFacts> {
    let hire = hires.iter().find(|hire| Some(hire.id) == row.hire_id);
    let whole = round.whole_days();
    Some(RoundMachineFacts {
        machine_id: row.machine_id,
        name: row.name.clone(),
        span: hire.map_or_else(|| HalfDaySpan::parse(whole.from, whole.until).ok(), |hire| Some(hire.span.0))?,
        hire: hire.map(|hire| (hire.id, hire.charges.clone())),
        kept_ground_id: row.kept_ground_id,
    })
}

async fn places(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    round: &RoundRow,
    machines: &[MachineRow],
    rows: Vec<RequestRow>,
) -> Result<Vec<PlaceFacts>> {
    let ids: Vec<RequestId> = rows.iter().map(|row| row.id).collect();
    let pitches = store::pitches_of(tx, network, &ids).await?.into_iter();
    let mut pitches = by_request(pitches.map(|(request, pitch, _, area_m2)| (request, (pitch, area_m2))).collect());
    let mut half_days = by_request(store::half_days_of(tx, network, &ids).await?);
    let mut wishes = by_request(store::wishes_of(tx, network, &ids).await?);
    let place = |row: RequestRow| {
        let (pitches, areas): (Vec<_>, Vec<_>) = pitches.remove(&row.id).unwrap_or_default().into_iter().unzip();
        let area_m2 = areas.into_iter().map(i64::from).sum();
        let suits = |machine: &&MachineRow| reaches(machine, &row.facts) && is_pulled(machine, &row.facts);
        let suiting: Vec<&MachineRow> = machines.iter().filter(suits).collect();
        let work = |machine: &&MachineRow| work_on(machine, round.grain, area_m2, row.facts.set_up_min);
        let work = suiting.iter().map(work).collect::<Result<Vec<_>, _>>()?;
        Ok(PlaceFacts {
            half_days: half_days.remove(&row.id).unwrap_or_default(),
            wishes: wishes.remove(&row.id).unwrap_or_default(),
            machines: suiting.iter().map(|machine| machine.machine_id).collect(),
            work_min: work.iter().map(|work| work.work_min).max().unwrap_or(1),
            request_id: row.id,
            club_id: row.club_id,
            club_name: row.club_name,
            ground_id: row.facts.ground_id,
            ground_name: row.ground_name,
            pitches,
            need: row.facts.need,
            helper: row.facts.helper_club_id.zip(row.helper_club_name),
        })
    };
    rows.into_iter().map(place).collect()
}
