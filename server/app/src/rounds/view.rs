//! A round's plans as its coordinator sees them.

use std::collections::BTreeSet;

use chrono::{DateTime, NaiveDateTime, Utc};
use diesel_async::AsyncPgConnection;
use logistics::rounds::Hectometres;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::facts::{Facts, fingerprint, gather};
use super::pins::Pin;
use super::places::Place;
use super::store::facts as fact_store;
use super::store::plans::{self as store, BlockRow, LeftOutRow, PlanRow};
use super::words::{LevelName, PlanOrder, PlanPurpose, PlanState};
use crate::access::Member;
use crate::error::Result;
use crate::hires::{PlaceFacts, RoundState};
use crate::ids::{ClubId, GroundId, MachineId, PlanId, RequestId, RoundId};
use crate::machines::Span;

/// Hectometres in a kilometre.
const HM_PER_KM: f64 = 10.0;

/// A round, its plans, and what the coordinator pinned.
#[derive(Debug, Serialize, ToSchema)]
pub struct PlannedRound {
    /// The round.
    pub round_id: RoundId,
    /// Where it stands.
    pub state: RoundState,
    /// Its plans that were not set aside: for a proposal one in each order.
    pub plans: Vec<Plan>,
    /// Pins and bans, as they were made.
    pub pins: Vec<Pin>,
    /// The grounds and depots it goes to, and the grounds that lent tractors come from.
    pub places: Vec<RoundPlace>,
}

/// A ground or depot that a round goes to, or that a lent tractor comes from.
#[derive(Debug, Serialize, ToSchema)]
pub struct RoundPlace {
    /// The ground; null for a depot.
    pub ground_id: Option<GroundId>,
    /// The machines that start and end there; none for the ground of a request.
    pub machine_ids: Vec<MachineId>,
    /// Its name, or whose depot it is.
    pub name: String,
    /// Latitude, degrees; null where nobody said.
    pub latitude_deg: Option<f64>,
    /// Longitude, degrees; null where nobody said.
    pub longitude_deg: Option<f64>,
}

/// A plan: who gets which machine when.
#[derive(Debug, Serialize, ToSchema)]
pub struct Plan {
    /// The plan.
    pub plan_id: PlanId,
    /// What it is for.
    pub purpose: PlanPurpose,
    /// What comes first in it.
    pub order: PlanOrder,
    /// What a wish point is worth in it, kilometres.
    pub km_per_point: f64,
    /// Where it stands.
    pub state: PlanState,
    /// Whether something it was made from has changed since.
    pub is_stale: bool,
    /// What it reaches, in the order of what counts first; while it is searched, the best so far.
    pub levels: Vec<PlanLevel>,
    /// Whether every level is proven best possible.
    pub is_best_possible: bool,
    /// How far the first level that is not proven could still be from the best, percent; null where all are proven.
    pub within_percent: Option<f64>,
    /// Whether the worker was asked to be content.
    pub is_stopping: bool,
    /// Why it failed, or what would serve more clubs.
    pub note: Option<String>,
    /// When a worker took it up.
    pub started_at: Option<DateTime<Utc>>,
    /// When it was there.
    pub ready_at: Option<DateTime<Utc>>,
    /// Whether its reasons are there.
    pub is_explained: bool,
    /// Who is served, in order of time.
    pub places: Vec<PlannedPlace>,
    /// Who goes without.
    pub left_out: Vec<UnservedRequest>,
}

/// What a plan reaches on a level.
#[derive(Debug, Clone, Serialize, Deserialize, ToSchema)]
pub struct PlanLevel {
    /// The level.
    pub level: LevelName,
    /// What the plan reaches.
    pub value: i64,
    /// What no plan can pass that is as good on the levels before.
    pub bound: i64,
}

/// A request's place in a plan.
#[derive(Debug, Serialize, ToSchema)]
pub struct PlannedPlace {
    /// The request.
    pub request_id: RequestId,
    /// Whose.
    pub club_id: ClubId,
    /// The club's name.
    pub club_name: String,
    /// Where.
    pub ground_id: GroundId,
    /// The ground's name.
    pub ground_name: String,
    /// The machine that comes.
    pub machine_id: MachineId,
    /// Its name.
    pub machine_name: String,
    /// When.
    pub span: Span,
    /// Whose tractor and operator.
    pub crew_club_id: ClubId,
    /// That club's name.
    pub crew_club_name: String,
    /// Which of its wishes this is; null for a day that was only allowed.
    pub wish_rank: Option<i32>,
    /// How many days it wished for.
    pub wishes: usize,
    /// Wish points it brings.
    pub points: i32,
    /// What serving it weighs.
    pub weight: i64,
    /// Whether it must be served, having gone without before.
    pub is_guaranteed: bool,
    /// Road of the machine to get there, kilometres.
    pub haul_km: f64,
    /// Road of a lent tractor, over and back, kilometres.
    pub helper_km: f64,
    /// The ground a lent tractor comes from; null for the club's own.
    pub helper_ground_id: Option<GroundId>,
    /// Road of the machine from there back to where it is kept, kilometres, where the club is its last and clubs take it
    /// back.
    pub home_km: Option<f64>,
    /// When the work is done and the machine may go on, network-local.
    #[schema(value_type = String, example = "2027-05-04T15:40:00")]
    pub leaves_at: NaiveDateTime,
    /// Why it has no better day; null where it has its first wish.
    pub reason: Option<String>,
}

/// A request that a plan does not serve.
#[derive(Debug, Serialize, ToSchema)]
pub struct UnservedRequest {
    /// The request.
    pub request_id: RequestId,
    /// Whose.
    pub club_id: ClubId,
    /// The club's name.
    pub club_name: String,
    /// Where.
    pub ground_name: String,
    /// What serving it would weigh.
    pub weight: i64,
    /// Whether it must be served, having gone without before.
    pub is_guaranteed: bool,
    /// Why, and what would serve it; null until it is explained.
    pub reason: Option<String>,
}

/// A round with its plans. Scope: the network.
pub(super) async fn load(
    tx: &mut AsyncPgConnection,
    member: &Member,
    round: RoundId,
    now: DateTime<Utc>,
) -> Result<PlannedRound> {
    let network = member.network_id;
    let rows = store::list(tx, network, round).await?;
    let ids: Vec<PlanId> = rows.iter().map(|row| row.id).collect();
    let blocks = store::blocks_of(tx, network, &ids).await?;
    let left_out = store::left_out_of(tx, network, &ids).await?;
    let pins = fact_store::pins(tx, network, round).await?;
    let mut today = gather(tx, network, (round, PlanPurpose::Proposal), now).await?;
    let mut plans = Vec::new();
    for row in rows {
        if row.purpose != PlanPurpose::Proposal {
            today = gather(tx, network, (round, row.purpose), now).await?;
        }
        plans.push(plan(&today, row, &blocks, &left_out)?);
    }
    Ok(PlannedRound {
        round_id: round,
        state: today.index.round.state,
        plans,
        pins: pins.into_iter().map(Pin::from).collect(),
        places: places(&today),
    })
}

fn plan(today: &Facts, row: PlanRow, blocks: &[BlockRow], left_out: &[LeftOutRow]) -> Result<Plan> {
    let levels = levels_of(&row.levels);
    let of_plan: Vec<&BlockRow> = blocks.iter().filter(|block| block.plan_id == row.id).collect();
    let is_last = |block: &BlockRow| {
        let later =
            |other: &&BlockRow| other.machine_id == block.machine_id && other.span.0.from() > block.span.0.from();
        !of_plan.iter().any(later)
    };
    let without = left_out.iter().filter(|left| left.plan_id == row.id);
    let open = levels.iter().find(|level| level.value != level.bound);
    Ok(Plan {
        plan_id: row.id,
        purpose: row.purpose,
        order: row.plan_order,
        km_per_point: f64::from(row.hm_per_point) / HM_PER_KM,
        state: row.state,
        is_stale: row.facts != fingerprint(today),
        is_best_possible: row.ready_at.is_some() && open.is_none(),
        within_percent: open.map(gap_percent),
        is_stopping: row.stop_wanted,
        is_explained: row.explained_at.is_some(),
        note: row.note,
        started_at: row.started_at,
        ready_at: row.ready_at,
        places: of_plan.iter().filter_map(|block| place(today, block, is_last(block))).collect(),
        left_out: without.filter_map(|left| unserved(today, left)).collect(),
        levels,
    })
}

/// Levels as they were kept; none where nothing was found yet.
pub(super) fn levels_of(kept: &serde_json::Value) -> Vec<PlanLevel> {
    serde_json::from_value(kept.clone()).unwrap_or_default()
}

/// How far a level could be from its bound, in percent of what it reaches, rounded up to a tenth.
#[expect(clippy::as_conversions, clippy::cast_precision_loss, reason = "a share shown with one decimal")]
fn gap_percent(level: &PlanLevel) -> f64 {
    let (gap, whole) = ((level.bound - level.value).unsigned_abs(), level.value.unsigned_abs().max(1));
    (gap as f64 / whole as f64 * 1_000.0).ceil() / 10.0
}

fn request_of(today: &Facts, id: RequestId) -> Option<(usize, &PlaceFacts)> {
    let number = today.index.request(id)?;
    Some((number, today.index.round.requests.get(number)?))
}

fn place(today: &Facts, block: &BlockRow, is_last: bool) -> Option<PlannedPlace> {
    let (number, request) = request_of(today, block.request_id)?;
    let asked = today.problem.requests.get(number)?;
    let machine_number = today.index.machine(block.machine_id)?;
    let machine = today.index.round.machines.get(machine_number)?;
    let helper = request.helper.as_ref().filter(|(club, _)| *club == block.crew_club_id);
    let from = helper.and_then(|(club, _)| today.index.places.get(helper_place(today, *club, asked.place)?));
    Some(PlannedPlace {
        request_id: block.request_id,
        club_id: request.club_id,
        club_name: request.club_name.clone(),
        ground_id: request.ground_id,
        ground_name: request.ground_name.clone(),
        machine_id: block.machine_id,
        machine_name: machine.name.clone(),
        span: block.span.0.into(),
        crew_club_id: block.crew_club_id,
        crew_club_name: helper.map_or_else(|| request.club_name.clone(), |(_, name)| name.clone()),
        wish_rank: block.wish_rank,
        wishes: request.wishes.len(),
        points: block.points,
        weight: asked.weight,
        is_guaranteed: asked.guaranteed,
        haul_km: f64::from(block.haul_hm) / HM_PER_KM,
        helper_km: f64::from(block.helper_hm) / HM_PER_KM,
        helper_ground_id: from.and_then(|place| place.ground_id),
        home_km: if is_last { home_km(today, machine_number, asked.place) } else { None },
        leaves_at: block.leaves_at,
        reason: block.reason.clone(),
    })
}

fn unserved(today: &Facts, left: &LeftOutRow) -> Option<UnservedRequest> {
    let (number, request) = request_of(today, left.request_id)?;
    let asked = today.problem.requests.get(number)?;
    Some(UnservedRequest {
        request_id: left.request_id,
        club_id: request.club_id,
        club_name: request.club_name.clone(),
        ground_name: request.ground_name.clone(),
        weight: asked.weight,
        is_guaranteed: asked.guaranteed,
        reason: left.reason.clone(),
    })
}

/// Where a lent tractor comes from: the nearest ground of its club, by the road the planner used.
fn helper_place(today: &Facts, club: ClubId, to: usize) -> Option<usize> {
    let of_club = today.index.places.iter().enumerate().filter(|(_, place)| place.club_id == Some(club));
    of_club.map(|(from, _)| from).min_by_key(|from| road_hm(today, *from, to))
}

fn road_hm(today: &Facts, from: usize, to: usize) -> Option<Hectometres> {
    today.problem.road_hm.get(from)?.get(to).copied()
}

/// The road from a machine's last request back to where it is kept; none where others collect it.
fn home_km(today: &Facts, machine: usize, last: usize) -> Option<f64> {
    let machine = today.problem.machines.get(machine).filter(|machine| machine.hauled_by_clubs)?;
    let road = road_hm(today, last, machine.end_place)?;
    Some(f64::from(i32::try_from(road).ok()?) / HM_PER_KM)
}

fn places(today: &Facts) -> Vec<RoundPlace> {
    let requests = today.problem.requests.iter().zip(&today.index.round.requests);
    let lent = requests.filter_map(|(asked, facts)| helper_place(today, facts.helper.as_ref()?.0, asked.place));
    let needed: BTreeSet<usize> = today.problem.requests.iter().map(|request| request.place).chain(lent).collect();
    let machines_at = |number: usize| -> Vec<MachineId> {
        let machines = today.problem.machines.iter().zip(&today.index.round.machines);
        machines.filter(|(machine, _)| machine.start_place == number).map(|(_, facts)| facts.machine_id).collect()
    };
    let place = |(number, place): (usize, &Place)| {
        let machine_ids = machines_at(number);
        (needed.contains(&number) || !machine_ids.is_empty()).then(|| RoundPlace {
            ground_id: place.ground_id,
            machine_ids,
            name: place.name.clone(),
            latitude_deg: place.position.map(|at| at.lat_deg()),
            longitude_deg: place.position.map(|at| at.lon_deg()),
        })
    };
    today.index.places.iter().enumerate().filter_map(place).collect()
}
