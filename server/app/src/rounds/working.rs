//! Making a plan: outside any transaction, on a thread of its own, watched by the queue.
//!
//! Promises that a coordinator can end the search, that what was found until then counts, and that a plan nobody wants
//! any more is dropped. The planner itself reads no clock; the limits of time are here.

use std::ops::ControlFlow;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::{Duration, Instant};

use anyhow::Context;
use chrono::{DateTime, TimeDelta, Utc};
use logistics::rounds::{Block, Level, Order, Outcome, ProblemError, Reached, Rules, plan};
use serde_json::{Value, json};
use tokio::sync::watch;

use super::explaining::{Reasons, explain};
use super::facts::{Facts, fingerprint, gather};
use super::store::plans::{self as store, BlockRow, LeftOutRow, PlanRow};
use super::words::{LevelName, PlanPurpose, PlanState};
use crate::database::Scope;
use crate::error::Result;
use crate::ids::{NetworkId, PlanId};
use crate::jobs::{self, Job};
use crate::machines::StoredSpan;
use crate::service::Service;

/// How long is searched at most. With the explaining below the claim of the job, as the queue counts it.
const SEARCH_LASTS: Duration = Duration::from_secs(60);
/// How long reasons are looked for at most.
const EXPLAINING_LASTS: Duration = Duration::from_secs(20);
/// How often progress is noted.
const NOTED_EVERY: Duration = Duration::from_millis(500);

/// Makes a plan that was asked for. One that was set aside meanwhile, or is there already, is left alone.
///
/// # Errors
/// A failing database.
pub async fn make_plan(service: &Service, network: NetworkId, id: PlanId, now: DateTime<Utc>) -> Result<()> {
    let Some((row, facts)) = take_up(service, network, id, now).await? else { return Ok(()) };
    let facts = Arc::new(facts);
    match search(service, network, &row, &facts).await? {
        Err(problem) => {
            let mut tx = service.db.begin(Scope::Network(network)).await?;
            store::fail(&mut tx, network, id, &format!("It cannot be planned: {problem}.")).await?;
            tx.commit().await
        }
        Ok(outcome) => {
            if put_down(service, network, (&row, &facts), &outcome, now).await? {
                write_reasons(service, network, (&row, &facts), outcome, now).await?;
            }
            Ok(())
        }
    }
}

/// Reads what the plan is made from; nothing when nobody waits for it.
async fn take_up(
    service: &Service,
    network: NetworkId,
    id: PlanId,
    now: DateTime<Utc>,
) -> Result<Option<(PlanRow, Facts)>> {
    let mut tx = service.db.begin(Scope::Network(network)).await?;
    let row = store::lock(&mut tx, network, id).await?;
    if !matches!(row.state, PlanState::Queued | PlanState::Working) {
        return Ok(None);
    }
    let facts = gather(&mut tx, network, (row.round_id, row.purpose), now).await?;
    store::start(&mut tx, network, id, &fingerprint(&facts), now).await?;
    tx.commit().await?;
    Ok(Some((row, facts)))
}

/// Searches on a thread of its own, noting progress, until it is proven, time is up, or it is found good enough.
async fn search(
    service: &Service,
    network: NetworkId,
    row: &PlanRow,
    facts: &Arc<Facts>,
) -> Result<Result<Outcome, ProblemError>> {
    let (tell, mut news) = watch::channel(Vec::<Reached>::new());
    let enough = Arc::new(AtomicBool::new(row.stop_wanted));
    let order = row.plan_order.with_worth(row.hm_per_point);
    let searching = tokio::task::spawn_blocking({
        let (facts, enough) = (Arc::clone(facts), Arc::clone(&enough));
        move || {
            let (began, mut told) = (Instant::now(), Instant::now());
            let outcome = plan(&facts.problem, order, &mut |progress| {
                if told.elapsed() >= NOTED_EVERY {
                    told = Instant::now();
                    tell.send_replace(progress.best.levels.clone());
                }
                // A plan that serves nobody is not what was found good enough.
                let content = enough.load(Ordering::Relaxed) && !progress.best.blocks.is_empty();
                match content || began.elapsed() >= SEARCH_LASTS {
                    true => ControlFlow::Break(()),
                    false => ControlFlow::Continue(()),
                }
            });
            outcome.map(|outcome| tightened(outcome, &tell.borrow()))
        }
    });
    let mut tick = tokio::time::interval(NOTED_EVERY);
    tokio::pin!(searching);
    loop {
        tokio::select! {
            done = &mut searching => return Ok(done.context("the planner broke off")?),
            _ = tick.tick() => {
                let levels = news.has_changed().unwrap_or(false).then(|| levels_json(&news.borrow_and_update()));
                let mut tx = service.db.begin(Scope::Network(network)).await?;
                let goes_on = store::progress(&mut tx, network, row.id, levels.as_ref()).await?;
                tx.commit().await?;
                enough.fetch_or(!goes_on, Ordering::Relaxed);
            }
        }
    }
}

/// A plan with the bound of its first open level as tight as it was told before: a search that is broken off forgets.
fn tightened(mut outcome: Outcome, told: &[Reached]) -> Outcome {
    let alike = |(ours, theirs): (&Reached, &Reached)| ours.level == theirs.level && ours.value == theirs.value;
    let is_open = |reached: &Reached| reached.value != reached.bound;
    let Some(open) = outcome.levels.iter().position(is_open) else { return outcome };
    if !outcome.levels.iter().zip(told).take(open).all(alike) {
        return outcome;
    }
    if let Some((ours, theirs)) = outcome.levels.get_mut(open).zip(told.get(open)) {
        let tighter =
            (ours.value..ours.bound).contains(&theirs.bound) || (ours.bound + 1..=ours.value).contains(&theirs.bound);
        if tighter {
            ours.bound = theirs.bound;
        }
    }
    outcome
}

/// Levels as they are kept.
fn levels_json(levels: &[Reached]) -> Value {
    let level = |reached: &Reached| json!({"level": LevelName::from(reached.level), "value": reached.value, "bound": reached.bound});
    levels.iter().map(level).collect()
}

/// Puts a plan down; says whether it was still wanted.
async fn put_down(
    service: &Service,
    network: NetworkId,
    (row, facts): (&PlanRow, &Facts),
    outcome: &Outcome,
    now: DateTime<Utc>,
) -> Result<bool> {
    let mut tx = service.db.begin(Scope::Network(network)).await?;
    let wanted = store::finish(&mut tx, network, row.id, (&levels_json(&outcome.levels), now)).await?;
    if wanted {
        let (blocks, left_out) = places(network, row, facts, outcome)?;
        store::insert_places(&mut tx, &blocks, &left_out).await?;
        if row.purpose == PlanPurpose::Refill {
            jobs::enqueue(&mut tx, Some(network), &Job::OfferRefill { offer_refill: row.id }, now).await?;
        }
    }
    tx.commit().await?;
    Ok(wanted)
}

async fn write_reasons(
    service: &Service,
    network: NetworkId,
    (row, facts): (&PlanRow, &Arc<Facts>),
    outcome: Outcome,
    now: DateTime<Utc>,
) -> Result<()> {
    let order = row.plan_order.with_worth(row.hm_per_point);
    let facts = Arc::clone(facts);
    let until = Instant::now() + EXPLAINING_LASTS;
    let explaining = tokio::task::spawn_blocking(move || explain(&facts, order, &outcome, until));
    let Reasons { of_requests, of_plan } = explaining.await.context("the explaining broke off")?;
    let mut tx = service.db.begin(Scope::Network(network)).await?;
    store::explain(&mut tx, network, row.id, (&of_requests, of_plan.as_deref()), now).await?;
    tx.commit().await
}

/// What a plan gives to whom, as it is kept.
fn places(
    network_id: NetworkId,
    row: &PlanRow,
    facts: &Facts,
    outcome: &Outcome,
) -> Result<(Vec<BlockRow>, Vec<LeftOutRow>)> {
    let rules = Rules::new(&facts.problem).map_err(anyhow::Error::from)?;
    let mut before: Option<&Block> = None;
    let mut blocks = Vec::new();
    for block in &outcome.blocks {
        let comes_from = before.filter(|earlier| earlier.machine == block.machine);
        blocks.push(place(network_id, row, facts, (&rules, comes_from, block))?);
        before = Some(block);
    }
    let served = |number: usize| outcome.blocks.iter().any(|block| block.request == number);
    let requests = facts.index.round.requests.iter().enumerate();
    let left_out = requests.filter(|(number, _)| !served(*number)).map(|(_, request)| LeftOutRow {
        network_id,
        plan_id: row.id,
        round_id: row.round_id,
        request_id: request.request_id,
        reason: None,
    });
    Ok((blocks, left_out.collect()))
}

fn place(
    network_id: NetworkId,
    row: &PlanRow,
    facts: &Facts,
    (rules, before, block): (&Rules<'_>, Option<&Block>, &Block),
) -> Result<BlockRow> {
    let index = &facts.index;
    let nobody = || anyhow::anyhow!("the planner placed a request, machine or crew that is not in the round");
    let request = index.round.requests.get(block.request).with_context(nobody)?;
    let machine = index.round.machines.get(block.machine).with_context(nobody)?;
    let crew = index.crews.get(block.crew).with_context(nobody)?;
    let day = index.begins(block.start).date();
    let rank = request.wishes.iter().position(|wish| *wish == day);
    let haul_hm = match before {
        Some(before) => rules.road_hm(before.request, block.request),
        None => rules.legs_hm(block.machine, block.request).0,
    };
    let helper = rules.crews(block.request, block.start).into_iter().find(|(crew, _)| *crew == block.crew);
    Ok(BlockRow {
        network_id,
        plan_id: row.id,
        round_id: row.round_id,
        request_id: request.request_id,
        machine_id: machine.machine_id,
        crew_club_id: *crew,
        span: StoredSpan(index.span(block.start..rules.end(block))?),
        wish_rank: rank.and_then(|place| i32::try_from(place + 1).ok()),
        points: whole(rules.gain(Level::Points, Order::WishesFirst, block, 0))?,
        haul_hm: whole(haul_hm)?,
        helper_hm: whole(helper.map_or(0, |(_, road)| road))?,
        leaves_at: index.begins(0) + TimeDelta::minutes(rules.done_min(block.request, block.start)),
        reason: None,
    })
}

fn whole(number: i64) -> Result<i32> {
    Ok(i32::try_from(number).context("the planner counts within its own limits")?)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn reached(level: Level, value: i64, bound: i64) -> Reached {
        Reached { level, value, bound }
    }

    #[test]
    fn a_bound_that_was_told_is_kept_where_it_is_tighter_and_still_speaks_of_the_same() {
        let bounds = |levels: Vec<Reached>, told: &[Reached]| -> Vec<i64> {
            tightened(Outcome { blocks: Vec::new(), levels }, told).levels.iter().map(|level| level.bound).collect()
        };
        let levels = || vec![reached(Level::Guaranteed, 1, 1), reached(Level::Weight, 90, 140)];
        assert_eq!(bounds(levels(), &[reached(Level::Guaranteed, 1, 1), reached(Level::Weight, 80, 95)]), [1, 95]);
        assert_eq!(bounds(levels(), &[reached(Level::Guaranteed, 1, 1), reached(Level::Weight, 80, 150)]), [1, 140]);
        assert_eq!(bounds(levels(), &[reached(Level::Guaranteed, 0, 1), reached(Level::Weight, 80, 95)]), [1, 140]);
        assert_eq!(bounds(levels(), &[]), [1, 140]);
        let road = vec![reached(Level::Haul, 500, 0)];
        assert_eq!(bounds(road.clone(), &[reached(Level::Haul, 520, 410)]), [410]);
        assert_eq!(bounds(road, &[reached(Level::Haul, 520, 510)]), [0]);
    }
}
