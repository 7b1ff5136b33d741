//! Re-plans of an agreed round: the latest, how the round stands without it, and putting one into force.

use chrono::{DateTime, Utc};
use diesel_async::AsyncPgConnection;
use logistics::rounds::{Block, Level, Order, Rules};

use super::asking::require_fresh;
use super::facts::{Facts, gather};
use super::offered::{PlacedRequest, places_of_plan};
use super::store::plans as store;
use super::view::{Plan, PlanLevel, load};
use super::words::{PlanPurpose, PlanState};
use crate::access::Member;
use crate::database::Tx;
use crate::error::{Code, Result, refuse};
use crate::ids::{NetworkId, PlanId, RoundId};

/// The latest re-plan of a round, and what the places it has come to on the levels of that plan. Scope: the network.
///
/// # Errors
/// `not_found`.
pub async fn latest_replan(
    tx: &mut Tx,
    member: &Member,
    round: RoundId,
    now: DateTime<Utc>,
) -> Result<(Option<Plan>, Vec<PlanLevel>)> {
    let planned = load(tx, member, round, now).await?;
    let plan = planned.plans.into_iter().find(|plan| plan.purpose == PlanPurpose::Replan);
    let Some(found) = &plan else { return Ok((None, Vec::new())) };
    let row = store::find(tx, member.network_id, found.plan_id).await?;
    let facts = gather(tx, member.network_id, (round, PlanPurpose::Replan), now).await?;
    let stands = levels_of_standing(&facts, row.plan_order.with_worth(row.hm_per_point));
    Ok((plan, stands))
}

/// What the confirmed places come to; nothing where they cannot be reckoned.
fn levels_of_standing(facts: &Facts, order: Order) -> Vec<PlanLevel> {
    let (Ok(rules), Some(standing)) = (Rules::new(&facts.problem), &facts.problem.standing) else { return Vec::new() };
    let helper_hm = |block: &Block| {
        let crews = &facts.problem.requests.get(block.request)?.crews;
        Some(crews.iter().find(|choice| choice.crew == block.crew)?.helper_hm)
    };
    let mut blocks = standing.confirmed.clone();
    blocks.sort_unstable();
    let road = machine_road_hm(&rules, &blocks);
    let value = |level: Level| {
        let gains = blocks.iter().map(|block| rules.gain(level, order, block, helper_hm(block).unwrap_or(0)));
        let own: i64 = gains.sum();
        match level {
            Level::Haul => road - own,
            Level::Disruption => -own,
            Level::PointsLessHaul => own - road,
            _ => own,
        }
    };
    let level = |level: Level| PlanLevel { level: level.into(), value: value(level), bound: value(level) };
    rules.levels(order).into_iter().map(level).collect()
}

/// Road of the machines through blocks in order of machine and time.
fn machine_road_hm(rules: &Rules<'_>, blocks: &[Block]) -> i64 {
    let journeys = blocks.chunk_by(|one, next| one.machine == next.machine);
    let road = |journey: &[Block]| {
        let (Some(first), Some(last)) = (journey.first(), journey.last()) else { return 0 };
        let pairs = journey.iter().zip(journey.iter().skip(1));
        let between: i64 = pairs.map(|(one, next)| rules.road_hm(one.request, next.request)).sum();
        rules.legs_hm(first.machine, first.request).0 + between + rules.legs_hm(last.machine, last.request).1
    };
    journeys.map(road).sum()
}

/// Puts a re-plan of a held round into force, in place of one before it, and says what it gives. Scope: the network.
///
/// # Errors
/// `not_found`; `plan_in_force` for one that is; `plan_not_ready`; `plan_stale`.
pub async fn put_into_force(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    (round, plan): (RoundId, PlanId),
    now: DateTime<Utc>,
) -> Result<Vec<PlacedRequest>> {
    let row = store::lock(tx, network, plan).await?;
    if row.round_id != round || row.purpose != PlanPurpose::Replan {
        return Err(diesel::result::Error::NotFound.into());
    }
    match row.state {
        PlanState::Ready => require_fresh(tx, network, plan, now).await?,
        PlanState::Chosen => {
            return Err(refuse(Code::PlanInForce, "Somebody accepted it first; its clubs have been told.").into());
        }
        PlanState::Queued | PlanState::Working | PlanState::Failed | PlanState::Superseded => {
            return Err(refuse(Code::PlanNotReady, "It is not there yet, or another took its place.").into());
        }
    }
    let before = (&[PlanState::Chosen][..], PlanState::Superseded);
    store::set_states(tx, network, (round, PlanPurpose::Replan), before).await?;
    store::choose(tx, network, plan).await?;
    places_of_plan(tx, network, plan).await
}
