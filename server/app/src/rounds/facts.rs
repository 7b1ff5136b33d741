//! What a round is planned from: hires and requests, places and roads, turns, pins, and what stands already; gathered
//! into a [`Problem`] and an [`Index`] that knows which number is whom.
//!
//! Promises that equal facts make equal problems, so that a plan whose facts have changed is known ([`fingerprint`]).

use std::collections::BTreeMap;

use chrono::{DateTime, NaiveDateTime, TimeDelta, Utc};
use diesel_async::AsyncPgConnection;
use logistics::half_days::HalfDaySpan;
use logistics::rounds::{Ban, Block, Clock, Crew, CrewChoice, Machine, Pin, Problem, Request, Standing};
use sha2::{Digest, Sha256};

use super::places::{Place, Places, places_needed};
use super::standing::{self, HasTurns};
use super::store::facts::{self as store, PinRow};
use super::store::plans::BlockRow;
use super::words::{PinKind, PlanPurpose};
use crate::error::Result;
use crate::hires::{PlaceFacts, RoundFacts, RoundMachineFacts, corrected_depot_roads, round_facts};
use crate::ids::{ClubId, MachineId, NetworkId, RequestId, RoundId};
use crate::machines::{StoredSpan, Terms, half_day_of};
use crate::time::{local, zone_of};

/// Minutes to hand a machine over: uncouple, load, unload, couple (common practice, no source).
const HANDOVER_MIN: i64 = 45;
/// Length of a half-day of wall time.
const HALF_DAY: TimeDelta = TimeDelta::hours(12);

/// What a round is planned from.
pub(super) struct Facts {
    /// As the planner reads it.
    pub(super) problem: Problem,
    /// Who is who in it.
    pub(super) index: Index,
}

/// Who is who in a [`Problem`]: its requests, machines, crews and places by their numbers, its slots by their time.
pub(super) struct Index {
    /// The round; machines and requests stand in the order of their numbers.
    pub(super) round: RoundFacts,
    /// The clubs whose crews work, by number.
    pub(super) crews: Vec<ClubId>,
    /// The places, by number.
    pub(super) places: Vec<Place>,
}

impl Index {
    fn clock(&self) -> Clock {
        Clock::new(self.round.grain.into())
    }

    fn half_days_a_slot(&self) -> i32 {
        if self.clock().slots_of_a_day() == 1 { 2 } else { 1 }
    }

    /// When a slot begins.
    pub(super) fn begins(&self, slot: usize) -> NaiveDateTime {
        let slot = i32::try_from(slot).unwrap_or(i32::MAX / 4);
        self.round.from_on.and_time(chrono::NaiveTime::MIN) + HALF_DAY * (slot * self.half_days_a_slot())
    }

    /// The slot that a half-day lies in; none outside the round.
    pub(super) fn slot_of(&self, half_day: NaiveDateTime) -> Option<usize> {
        let since = half_day - self.begins(0);
        let halves = usize::try_from(since.num_hours().div_euclid(12)).ok()?;
        let slot = if self.half_days_a_slot() == 2 { halves / 2 } else { halves };
        (slot < self.slots()).then_some(slot)
    }

    /// Days of the round.
    pub(super) fn days(&self) -> usize {
        usize::try_from((self.round.until_on - self.round.from_on).num_days() + 1).unwrap_or(0)
    }

    /// Slots of the round.
    pub(super) fn slots(&self) -> usize {
        self.days() * self.clock().slots_of_a_day()
    }

    /// The time of so many slots from one on.
    ///
    /// # Errors
    /// Only beyond the calendar.
    pub(super) fn span(&self, slots: std::ops::Range<usize>) -> Result<HalfDaySpan> {
        Ok(HalfDaySpan::parse(self.begins(slots.start), self.begins(slots.end)).map_err(anyhow::Error::from)?)
    }

    /// The number of a request.
    pub(super) fn request(&self, id: RequestId) -> Option<usize> {
        self.round.requests.iter().position(|request| request.request_id == id)
    }

    /// The number of a machine.
    pub(super) fn machine(&self, id: MachineId) -> Option<usize> {
        self.round.machines.iter().position(|machine| machine.machine_id == id)
    }

    /// A place as the planner knows it; none for what is not in the round.
    pub(super) fn block(&self, place: &BlockRow) -> Option<Block> {
        Some(Block {
            machine: self.machine(place.machine_id)?,
            start: self.slot_of(place.span.0.from())?,
            request: self.request(place.request_id)?,
            crew: self.crews.iter().position(|club| *club == place.crew_club_id)?,
        })
    }

    /// The slots in which all of a slot's half-days are so.
    fn slots_where(&self, is_so: impl Fn(NaiveDateTime) -> bool) -> Vec<bool> {
        let whole = |slot: usize| (0..self.half_days_a_slot()).all(|half| is_so(self.begins(slot) + HALF_DAY * half));
        (0..self.slots()).map(whole).collect()
    }
}

/// Gathers what a round is planned from. Scope: the network.
pub(super) async fn gather(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    (round, purpose): (RoundId, PlanPurpose),
    now: DateTime<Utc>,
) -> Result<Facts> {
    let round = round_facts(tx, network, round).await?;
    let running = half_day_of(local(zone_of(tx, network).await?, now));
    let turns = standing::of_clubs(tx, network, &round).await?;
    let (clubs, grounds) = places_needed(&round);
    let grounds = store::grounds_of(tx, network, &clubs, &grounds).await?;
    let roads = (store::roads(tx, network).await?, corrected_depot_roads(tx, network).await?);
    let mut places = Places::of(grounds, roads.0, roads.1);
    let start_places: Vec<usize> = round.machines.iter().map(|machine| places.of_machine(machine)).collect();
    let work_places: Vec<usize> = round.requests.iter().map(|request| places.of_ground(request.ground_id)).collect();
    let crews = round.requests.iter().map(crew_club).collect::<std::collections::BTreeSet<_>>().into_iter().collect();

    let mut index = Index { crews, places: Vec::new(), round };

    let machines = machines(tx, network, &index, (&start_places, running)).await?;
    let mut requests = requests(&index, &turns, (&work_places, &places));
    admit(tx, network, &index, &mut requests).await?;
    close_grounds(tx, network, &index, &mut requests).await?;
    let crews = crews_of(tx, network, &index).await?;
    let road_hm = places.road_table();
    index.places = places.all;
    let mut problem = Problem {
        grain: index.round.grain.into(),
        days: index.days(),
        road_hm,
        handover_min: HANDOVER_MIN,
        machines,
        crews,
        requests,
        pins: Vec::new(),
        bans: Vec::new(),
        standing: None,
    };
    settle(tx, network, &index, purpose, (&mut problem, running)).await?;
    Ok(Facts { problem, index })
}

/// What tells facts from others: a hash of the problem and of who is who in it. A release that reads facts otherwise
/// ages every plan, and should.
pub(super) fn fingerprint(facts: &Facts) -> Vec<u8> {
    let requests: Vec<RequestId> = facts.index.round.requests.iter().map(|request| request.request_id).collect();
    let machines: Vec<MachineId> = facts.index.round.machines.iter().map(|machine| machine.machine_id).collect();
    let read = format!("{:?} {requests:?} {machines:?} {:?}", facts.problem, facts.index.crews);
    Sha256::digest(read.as_bytes()).to_vec()
}

/// Whose tractor and operator come for a request.
fn crew_club(request: &PlaceFacts) -> ClubId {
    request.helper.as_ref().map_or(request.club_id, |(helper, _)| *helper)
}

async fn machines(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    index: &Index,
    (places, running): (&[usize], NaiveDateTime),
) -> Result<Vec<Machine>> {
    let ids: Vec<MachineId> = index.round.machines.iter().map(|machine| machine.machine_id).collect();
    let whole = index.span(0..index.slots())?;
    let there = store::available(tx, network, &ids).await?;
    let held = store::held(tx, network, &ids, index.round.round_id, whole).await?;
    let machine = |(facts, &place): (&RoundMachineFacts, &usize)| {
        let within = |spans: &[(MachineId, StoredSpan)], at: NaiveDateTime| {
            spans.iter().any(|(id, span)| *id == facts.machine_id && span.0.from() <= at && at < span.0.until())
        };
        let free = |at: NaiveDateTime| {
            at > running
                && facts.span.from() <= at
                && at < facts.span.until()
                && within(&there, at)
                && !within(&held, at)
        };
        Machine {
            available: index.slots_where(free),
            start_place: place,
            end_place: place,
            hauled_by_clubs: facts.is_hauled_by_clubs(),
        }
    };
    Ok(index.round.machines.iter().zip(places).map(machine).collect())
}

fn requests(index: &Index, turns: &BTreeMap<ClubId, HasTurns>, (at, places): (&[usize], &Places)) -> Vec<Request> {
    let request = |(facts, &place): (&PlaceFacts, &usize)| {
        let has = turns.get(&facts.club_id).copied().unwrap_or_default();
        let crew = index.crews.iter().position(|club| *club == crew_club(facts));
        let helper_hm = facts.helper.as_ref().map_or(Some(0), |(helper, _)| places.helper_hm(*helper, place));
        let choice = |(crew, helper_hm)| CrewChoice { crew, helper_hm };
        Request {
            place,
            work_min: facts.work_min,
            allowed: index.slots_where(|at| facts.half_days.contains(&at)),
            machines: facts.machines.iter().filter_map(|id| index.machine(*id)).collect(),
            crews: crew.zip(helper_hm).map(choice).into_iter().collect(),
            weight: logistics::turns::weight(i64::from(facts.need), has.balance),
            guaranteed: has.is_guaranteed,
            points: (0..index.days()).map(|day| points_on(index, facts, has.balance, day)).collect(),
        }
    };
    index.round.requests.iter().zip(at).map(request).collect()
}

fn points_on(index: &Index, facts: &PlaceFacts, balance: i64, day: usize) -> i64 {
    let date = index.begins(day * index.clock().slots_of_a_day()).date();
    let rank = facts.wishes.iter().position(|wish| *wish == date).map(|place| place + 1);
    rank.map_or(0, |rank| logistics::turns::wish_points(rank, balance))
}

/// Takes away from each request the machines that are not open to its club, or retired.
async fn admit(tx: &mut AsyncPgConnection, network: NetworkId, index: &Index, requests: &mut [Request]) -> Result<()> {
    for (number, machine) in index.round.machines.iter().enumerate() {
        let terms = Terms::read(tx, network, machine.machine_id).await?;
        for (request, facts) in requests.iter_mut().zip(&index.round.requests) {
            if terms.admit(facts.club_id).is_err() {
                request.machines.retain(|each| *each != number);
            }
        }
    }
    Ok(())
}

/// Takes the half-days away on which a ground is closed.
async fn close_grounds(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    index: &Index,
    requests: &mut [Request],
) -> Result<()> {
    let closed = store::closures(tx, network, index.span(0..index.slots())?).await?;
    for (request, facts) in requests.iter_mut().zip(&index.round.requests) {
        let open = index.slots_where(|at| {
            let shut = |span: &StoredSpan| span.0.from() <= at && at < span.0.until();
            !closed.iter().any(|(ground, span)| *ground == facts.ground_id && shut(span))
        });
        request.allowed.iter_mut().zip(open).for_each(|(allowed, open)| *allowed &= open);
    }
    Ok(())
}

/// The crews: one tractor with operator for each club, unless it said otherwise; they can come on any day.
async fn crews_of(tx: &mut AsyncPgConnection, network: NetworkId, index: &Index) -> Result<Vec<Crew>> {
    let said: BTreeMap<ClubId, i32> = store::crews(tx, network, index.round.round_id).await?.into_iter().collect();
    let crew = |club: &ClubId| Crew {
        count: said.get(club).map_or(1, |count| usize::try_from(*count).unwrap_or(0)),
        available: vec![true; index.slots()],
    };
    Ok(index.crews.iter().map(crew).collect())
}

/// Puts in what is settled: the coordinator's pins; for a refill what clubs answered; for a re-plan what is confirmed.
async fn settle(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    index: &Index,
    purpose: PlanPurpose,
    (problem, running): (&mut Problem, NaiveDateTime),
) -> Result<()> {
    let round = index.round.round_id;
    for pin in store::pins(tx, network, round).await? {
        put(index, problem, &pin);
    }
    if purpose == PlanPurpose::Proposal {
        return Ok(());
    }
    for request in store::given_up(tx, network, round).await? {
        leave_out(index, problem, request);
    }
    let placed = match purpose {
        PlanPurpose::Replan => store::confirmed(tx, network, round).await?,
        PlanPurpose::Refill | PlanPurpose::Proposal => store::on_offer(tx, network, round).await?,
    };
    let blocks: Vec<Block> = placed.iter().filter_map(|place| block_of(index, place)).collect();
    if purpose == PlanPurpose::Replan {
        problem.pins.clear();
        let now_slot = index
            .slot_of(running)
            .map_or_else(|| if running < index.begins(0) { 0 } else { index.slots() }, |slot| slot + 1);
        problem.standing = Some(Standing { confirmed: blocks, now_slot });
        return Ok(());
    }
    for block in blocks {
        problem.pins.retain(|pin| pin.request != block.request);
        problem.bans.retain(|ban| ban.request != block.request);
        problem.pins.push(Pin { request: block.request, machine: Some(block.machine), start: Some(block.start) });
    }
    Ok(())
}

/// A pin or ban as the planner reads it; one of a request that is withdrawn, or outside the round, is passed over.
fn put(index: &Index, problem: &mut Problem, pin: &PinRow) {
    let Some(request) = index.request(pin.request_id) else { return };
    let machine = pin.machine_id.and_then(|id| index.machine(id));
    let start = pin.half_day.and_then(|at| index.slot_of(at));
    if pin.machine_id.is_some() != machine.is_some() || pin.half_day.is_some() != start.is_some() {
        return;
    }
    match pin.kind {
        PinKind::Pin => problem.pins.push(Pin { request, machine, start }),
        PinKind::Ban => problem.bans.push(Ban { request, machine, start }),
    }
}

fn leave_out(index: &Index, problem: &mut Problem, request: RequestId) {
    let Some(request) = index.request(request) else { return };
    problem.pins.retain(|pin| pin.request != request);
    problem.bans.push(Ban { request, machine: None, start: None });
}

fn block_of(index: &Index, place: &store::PlacedRow) -> Option<Block> {
    let request = index.request(place.request_id?)?;
    let facts = index.round.requests.get(request)?;
    let crew = place.crew_club_id.unwrap_or_else(|| crew_club(facts));
    Some(Block {
        machine: index.machine(place.machine_id)?,
        start: index.slot_of(place.span.0.from())?,
        request,
        crew: index.crews.iter().position(|club| *club == crew)?,
    })
}
