//! Asking for plans, being content with one, choosing one.

use chrono::{DateTime, Utc};
use diesel_async::AsyncPgConnection;
use logistics::rounds::MOST_REQUESTS;

use super::facts::{fingerprint, gather};
use super::store::plans::{self as store, NewPlan, PlanRow};
use super::view::{PlannedRound, load};
use super::words::{PlanOrder, PlanPurpose, PlanState};
use crate::access::{Act, Member};
use crate::database::Tx;
use crate::error::{Code, Refused, Result, refuse};
use crate::hires::{RoundState, hold_round};
use crate::ids::{NetworkId, PersonId, PlanId, RoundId};
use crate::jobs::{self, Job};

/// Has a round planned anew: a proposal in each order while it waits to be offered, a re-plan once it is agreed.
///
/// Plans asked for before and not chosen are set aside, so that two coordinators who press at once get one set of plans.
///
/// # Errors
/// `not_found`, `not_your_role`; `round_not_to_plan` where it gathers, is on offer, over, or nobody asked for a place;
/// `round_too_large`.
pub async fn ask_plans(tx: &mut Tx, member: &Member, round: RoundId, now: DateTime<Utc>) -> Result<PlannedRound> {
    member.require(Act::RunRound, None)?;
    let network = member.network_id;
    let state = hold_round(tx, network, round).await?.state;
    let purpose = match state {
        RoundState::RequestsClosed => PlanPurpose::Proposal,
        RoundState::Agreed => PlanPurpose::Replan,
        RoundState::Gathering | RoundState::Offered | RoundState::Finished | RoundState::CalledOff => {
            return Err(not_to_plan(state).into());
        }
    };
    let orders = match purpose {
        PlanPurpose::Proposal => PlanOrder::ALL.to_vec(),
        PlanPurpose::Refill | PlanPurpose::Replan => vec![order_chosen(tx, network, round).await?],
    };
    queue(tx, network, (round, purpose), &orders, (member.person_id, now)).await?;
    load(tx, member, round, now).await
}

/// Has the places of a round that were declined or not answered planned for those who have none. Scope: the network.
///
/// # Errors
/// `round_too_large`; a failing database.
pub async fn ask_refill(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    round: RoundId,
    made_by: PersonId,
    now: DateTime<Utc>,
) -> Result<()> {
    let order = order_chosen(tx, network, round).await?;
    queue(tx, network, (round, PlanPurpose::Refill), &[order], (made_by, now)).await
}

/// The order of the plan that was chosen first.
async fn order_chosen(tx: &mut AsyncPgConnection, network: NetworkId, round: RoundId) -> Result<PlanOrder> {
    let chosen = store::chosen(tx, network, (round, PlanPurpose::Proposal)).await?;
    Ok(chosen.map_or(PlanOrder::WishesFirst, |plan| plan.plan_order))
}

async fn queue(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    of: (RoundId, PlanPurpose),
    orders: &[PlanOrder],
    (made_by, now): (PersonId, DateTime<Utc>),
) -> Result<()> {
    hold_round(tx, network, of.0).await?;
    let read = gather(tx, network, of, now).await?;
    let hm_per_point = read.index.round.hm_per_point;
    match read.index.round.requests.len() {
        0 => return Err(refuse(Code::RoundNotToPlan, "Nobody has asked for a place.").into()),
        many if many > MOST_REQUESTS => {
            let words =
                format!("{many} requests are more than the {MOST_REQUESTS} that one plan holds. Open a second round.");
            return Err(refuse(Code::RoundTooLarge, words).into());
        }
        _ => {}
    }
    let facts = fingerprint(&read);
    let (round, purpose) = of;
    store::set_states(tx, network, of, (before_new_plans(purpose), PlanState::Superseded)).await?;
    for &plan_order in orders {
        let id = PlanId::new();
        let plan = NewPlan { id, round_id: round, purpose, plan_order, hm_per_point, facts: &facts, made_by };
        store::insert(tx, network, &plan).await?;
        jobs::enqueue(tx, Some(network), &Job::MakePlan { make_plan: id }, now).await?;
    }
    Ok(())
}

/// The plans that give way to new ones. What is on offer or in force stays chosen; nothing is while a proposal is made.
fn before_new_plans(purpose: PlanPurpose) -> &'static [PlanState] {
    match purpose {
        PlanPurpose::Proposal => {
            &[PlanState::Queued, PlanState::Working, PlanState::Ready, PlanState::Failed, PlanState::Chosen]
        }
        PlanPurpose::Refill | PlanPurpose::Replan => {
            &[PlanState::Queued, PlanState::Working, PlanState::Ready, PlanState::Failed]
        }
    }
}

/// Finds a plan good enough: the worker ends its search with the best it has.
///
/// # Errors
/// `not_found`, `not_your_role`.
pub async fn stop(
    tx: &mut Tx,
    member: &Member,
    (round, plan): (RoundId, PlanId),
    now: DateTime<Utc>,
) -> Result<PlannedRound> {
    member.require(Act::RunRound, None)?;
    store::want_stop(tx, member.network_id, (round, plan)).await?;
    load(tx, member, round, now).await
}

/// Chooses a plan, in place of one chosen before: it is the one to offer.
///
/// # Errors
/// `not_found`, `not_your_role`; `round_not_to_plan` once its places are on offer; `plan_not_ready`; `plan_stale`.
pub async fn choose(
    tx: &mut Tx,
    member: &Member,
    (round, plan): (RoundId, PlanId),
    now: DateTime<Utc>,
) -> Result<PlannedRound> {
    member.require(Act::RunRound, None)?;
    let network = member.network_id;
    let state = hold_round(tx, network, round).await?.state;
    let row = store::lock(tx, network, plan).await?;
    let fits = match row.purpose {
        PlanPurpose::Proposal => state == RoundState::RequestsClosed,
        // A re-plan is accepted, and a refill offered by itself.
        PlanPurpose::Refill | PlanPurpose::Replan => false,
    };
    match row.state {
        _ if row.round_id != round => return Err(diesel::result::Error::NotFound.into()),
        _ if !fits => return Err(not_to_plan(state).into()),
        PlanState::Chosen | PlanState::Ready => fresh(tx, network, &row, now).await?,
        PlanState::Queued | PlanState::Working | PlanState::Failed | PlanState::Superseded => {
            return Err(refuse(Code::PlanNotReady, "It is not there yet, or another took its place.").into());
        }
    }
    if row.state == PlanState::Ready {
        store::set_states(tx, network, (round, row.purpose), (&[PlanState::Chosen], PlanState::Ready)).await?;
        store::choose(tx, network, plan).await?;
    }
    load(tx, member, round, now).await
}

/// Refuses a plan that was made from other facts than there are now. Scope: the network.
///
/// # Errors
/// `not_found`, `plan_stale`.
pub async fn require_fresh(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    plan: PlanId,
    now: DateTime<Utc>,
) -> Result<()> {
    let row = store::find(tx, network, plan).await?;
    fresh(tx, network, &row, now).await
}

async fn fresh(tx: &mut AsyncPgConnection, network: NetworkId, plan: &PlanRow, now: DateTime<Utc>) -> Result<()> {
    let today = gather(tx, network, (plan.round_id, plan.purpose), now).await?;
    match fingerprint(&today) == plan.facts {
        true => Ok(()),
        false => {
            Err(refuse(Code::PlanStale, "Something it was made from has changed since. Have the round planned again.")
                .into())
        }
    }
}

pub(super) fn not_to_plan(state: RoundState) -> Refused {
    let words = match state {
        RoundState::Gathering => "Clubs can still ask for a place; it is planned once requests have closed.",
        RoundState::Offered => "Its places are on offer. Take the offers back to plan it anew.",
        RoundState::RequestsClosed | RoundState::Agreed => "This plan is for another step of the round.",
        RoundState::Finished => "It is over.",
        RoundState::CalledOff => "It was called off.",
    };
    refuse(Code::RoundNotToPlan, words)
}
