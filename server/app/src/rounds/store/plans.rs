//! Queries on plans. Scope of all: the network.

use chrono::{DateTime, NaiveDateTime, Utc};
use diesel::dsl::exists;
use diesel::prelude::*;
use diesel_async::{AsyncPgConnection, RunQueryDsl};

use crate::error::Result;
use crate::ids::{ClubId, MachineId, NetworkId, PersonId, PlanId, RequestId, RoundId};
use crate::machines::StoredSpan;
use crate::rounds::words::{PlanOrder, PlanPurpose, PlanState};
use crate::schema::{plan_blocks, plan_left_out, round_plans};

/// A plan as kept.
#[derive(Queryable, Selectable)]
#[diesel(table_name = round_plans)]
pub(in crate::rounds) struct PlanRow {
    pub(in crate::rounds) id: PlanId,
    pub(in crate::rounds) round_id: RoundId,
    pub(in crate::rounds) purpose: PlanPurpose,
    pub(in crate::rounds) plan_order: PlanOrder,
    pub(in crate::rounds) hm_per_point: i32,
    pub(in crate::rounds) state: PlanState,
    pub(in crate::rounds) facts: Vec<u8>,
    pub(in crate::rounds) levels: serde_json::Value,
    pub(in crate::rounds) note: Option<String>,
    pub(in crate::rounds) stop_wanted: bool,
    pub(in crate::rounds) started_at: Option<DateTime<Utc>>,
    pub(in crate::rounds) ready_at: Option<DateTime<Utc>>,
    pub(in crate::rounds) explained_at: Option<DateTime<Utc>>,
}

/// A plan to be made.
pub(in crate::rounds) struct NewPlan<'a> {
    pub(in crate::rounds) id: PlanId,
    pub(in crate::rounds) round_id: RoundId,
    pub(in crate::rounds) purpose: PlanPurpose,
    pub(in crate::rounds) plan_order: PlanOrder,
    pub(in crate::rounds) hm_per_point: i32,
    pub(in crate::rounds) facts: &'a [u8],
    pub(in crate::rounds) made_by: PersonId,
}

/// A request's place in a plan.
#[derive(Queryable, Selectable, Insertable)]
#[diesel(table_name = plan_blocks)]
pub(in crate::rounds) struct BlockRow {
    pub(in crate::rounds) network_id: NetworkId,
    pub(in crate::rounds) plan_id: PlanId,
    pub(in crate::rounds) round_id: RoundId,
    pub(in crate::rounds) request_id: RequestId,
    pub(in crate::rounds) machine_id: MachineId,
    pub(in crate::rounds) crew_club_id: ClubId,
    pub(in crate::rounds) span: StoredSpan,
    pub(in crate::rounds) wish_rank: Option<i32>,
    pub(in crate::rounds) points: i32,
    pub(in crate::rounds) haul_hm: i32,
    pub(in crate::rounds) helper_hm: i32,
    pub(in crate::rounds) leaves_at: NaiveDateTime,
    pub(in crate::rounds) reason: Option<String>,
}

/// A request that a plan does not serve.
#[derive(Queryable, Selectable, Insertable)]
#[diesel(table_name = plan_left_out)]
pub(in crate::rounds) struct LeftOutRow {
    pub(in crate::rounds) network_id: NetworkId,
    pub(in crate::rounds) plan_id: PlanId,
    pub(in crate::rounds) round_id: RoundId,
    pub(in crate::rounds) request_id: RequestId,
    pub(in crate::rounds) reason: Option<String>,
}

/// Gives the plans of a round for a purpose that are in some states another one.
pub(in crate::rounds) async fn set_states(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    (round, purpose): (RoundId, PlanPurpose),
    (from, to): (&[PlanState], PlanState),
) -> Result<()> {
    diesel::update(round_plans::table)
        .filter(round_plans::network_id.eq(network))
        .filter(round_plans::round_id.eq(round))
        .filter(round_plans::purpose.eq(purpose))
        .filter(round_plans::state.eq_any(from))
        .set(round_plans::state.eq(to))
        .execute(tx)
        .await?;
    Ok(())
}

pub(in crate::rounds) async fn insert(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    plan: &NewPlan<'_>,
) -> Result<()> {
    diesel::insert_into(round_plans::table)
        .values((
            round_plans::network_id.eq(network),
            round_plans::id.eq(plan.id),
            round_plans::round_id.eq(plan.round_id),
            round_plans::purpose.eq(plan.purpose),
            round_plans::plan_order.eq(plan.plan_order),
            round_plans::hm_per_point.eq(plan.hm_per_point),
            round_plans::facts.eq(plan.facts),
            round_plans::made_by.eq(plan.made_by),
        ))
        .execute(tx)
        .await?;
    Ok(())
}

/// One plan.
pub(in crate::rounds) async fn find(tx: &mut AsyncPgConnection, network: NetworkId, id: PlanId) -> Result<PlanRow> {
    Ok(round_plans::table.find((network, id)).select(PlanRow::as_select()).first(tx).await?)
}

/// One plan, kept from changing until the transaction ends.
pub(in crate::rounds) async fn lock(tx: &mut AsyncPgConnection, network: NetworkId, id: PlanId) -> Result<PlanRow> {
    Ok(round_plans::table.find((network, id)).select(PlanRow::as_select()).for_update().first(tx).await?)
}

/// The plans of a round that were not set aside, by purpose, the latest first.
pub(in crate::rounds) async fn list(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    round: RoundId,
) -> Result<Vec<PlanRow>> {
    Ok(round_plans::table
        .filter(round_plans::network_id.eq(network))
        .filter(round_plans::round_id.eq(round))
        .filter(round_plans::state.ne(PlanState::Superseded))
        .order((round_plans::created_at.desc(), round_plans::id))
        .select(PlanRow::as_select())
        .load(tx)
        .await?)
}

/// Notes that a worker takes a plan up, from facts as they are now.
pub(in crate::rounds) async fn start(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    id: PlanId,
    facts: &[u8],
    now: DateTime<Utc>,
) -> Result<()> {
    diesel::update(round_plans::table.find((network, id)))
        .set((round_plans::state.eq(PlanState::Working), round_plans::facts.eq(facts), round_plans::started_at.eq(now)))
        .execute(tx)
        .await?;
    Ok(())
}

/// Notes how far a worker has come; says whether it is to go on.
pub(in crate::rounds) async fn progress(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    id: PlanId,
    levels: Option<&serde_json::Value>,
) -> Result<bool> {
    let working = round_plans::table.find((network, id)).filter(round_plans::state.eq(PlanState::Working));
    let goes_on: Option<bool> = match levels {
        Some(levels) => {
            let noted = diesel::update(working).set(round_plans::levels.eq(levels));
            noted.returning(round_plans::stop_wanted).get_result(tx).await.optional()?
        }
        None => working.select(round_plans::stop_wanted).first(tx).await.optional()?,
    };
    Ok(goes_on == Some(false))
}

/// Puts a plan down; says whether it was still wanted.
pub(in crate::rounds) async fn finish(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    id: PlanId,
    (levels, now): (&serde_json::Value, DateTime<Utc>),
) -> Result<bool> {
    let done = diesel::update(round_plans::table.find((network, id)))
        .filter(round_plans::state.eq(PlanState::Working))
        .set((round_plans::state.eq(PlanState::Ready), round_plans::levels.eq(levels), round_plans::ready_at.eq(now)))
        .execute(tx)
        .await?;
    Ok(done == 1)
}

/// Puts down what a plan gives to whom.
pub(in crate::rounds) async fn insert_places(
    tx: &mut AsyncPgConnection,
    blocks: &[BlockRow],
    left_out: &[LeftOutRow],
) -> Result<()> {
    diesel::insert_into(plan_blocks::table).values(blocks).execute(tx).await?;
    diesel::insert_into(plan_left_out::table).values(left_out).execute(tx).await?;
    Ok(())
}

/// Notes that a plan cannot be made, and why.
pub(in crate::rounds) async fn fail(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    id: PlanId,
    why: &str,
) -> Result<()> {
    diesel::update(round_plans::table.find((network, id)))
        .set((round_plans::state.eq(PlanState::Failed), round_plans::note.eq(why)))
        .execute(tx)
        .await?;
    Ok(())
}

/// Writes the reasons to a plan.
pub(in crate::rounds) async fn explain(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    id: PlanId,
    (reasons, note): (&[(RequestId, String)], Option<&str>),
    now: DateTime<Utc>,
) -> Result<()> {
    for (request, reason) in reasons {
        diesel::update(plan_blocks::table.find((network, id, *request)))
            .set(plan_blocks::reason.eq(reason))
            .execute(tx)
            .await?;
        diesel::update(plan_left_out::table.find((network, id, *request)))
            .set(plan_left_out::reason.eq(reason))
            .execute(tx)
            .await?;
    }
    diesel::update(round_plans::table.find((network, id)))
        .set((round_plans::note.eq(note), round_plans::explained_at.eq(now)))
        .execute(tx)
        .await?;
    Ok(())
}

/// Asks the worker to be content with what it has.
pub(in crate::rounds) async fn want_stop(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    (round, id): (RoundId, PlanId),
) -> Result<()> {
    let one = round_plans::table.find((network, id)).filter(round_plans::round_id.eq(round));
    diesel::update(one).set(round_plans::stop_wanted.eq(true)).execute(tx).await?;
    Ok(())
}

/// Makes a plan the one to offer.
pub(in crate::rounds) async fn choose(tx: &mut AsyncPgConnection, network: NetworkId, id: PlanId) -> Result<()> {
    let one = round_plans::table.find((network, id));
    diesel::update(one).set(round_plans::state.eq(PlanState::Chosen)).execute(tx).await?;
    Ok(())
}

/// The plan that is chosen for a purpose, if any.
pub(in crate::rounds) async fn chosen(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    (round, purpose): (RoundId, PlanPurpose),
) -> Result<Option<PlanRow>> {
    Ok(round_plans::table
        .filter(round_plans::network_id.eq(network))
        .filter(round_plans::round_id.eq(round))
        .filter(round_plans::purpose.eq(purpose))
        .filter(round_plans::state.eq(PlanState::Chosen))
        .select(PlanRow::as_select())
        .first(tx)
        .await
        .optional()?)
}

/// Whether a round has a plan for a purpose that is in one of some states.
pub(in crate::rounds) async fn any(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    (round, purpose): (RoundId, PlanPurpose),
    states: &[PlanState],
) -> Result<bool> {
    let plans = round_plans::table
        .filter(round_plans::network_id.eq(network))
        .filter(round_plans::round_id.eq(round))
        .filter(round_plans::purpose.eq(purpose))
        .filter(round_plans::state.eq_any(states));
    Ok(diesel::select(exists(plans)).get_result(tx).await?)
}

/// The places of some plans, in order of machine and time.
pub(in crate::rounds) async fn blocks_of(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    ids: &[PlanId],
) -> Result<Vec<BlockRow>> {
    Ok(plan_blocks::table
        .filter(plan_blocks::network_id.eq(network))
        .filter(plan_blocks::plan_id.eq_any(ids))
        .order((plan_blocks::span, plan_blocks::request_id))
        .select(BlockRow::as_select())
        .load(tx)
        .await?)
}

/// The requests that some plans leave out.
pub(in crate::rounds) async fn left_out_of(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    ids: &[PlanId],
) -> Result<Vec<LeftOutRow>> {
    Ok(plan_left_out::table
        .filter(plan_left_out::network_id.eq(network))
        .filter(plan_left_out::plan_id.eq_any(ids))
        .order((plan_left_out::plan_id, plan_left_out::request_id))
        .select(LeftOutRow::as_select())
        .load(tx)
        .await?)
}
