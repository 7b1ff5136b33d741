//! Queries on the plans that offers come from, and on the machines they are about. Scope of all: the network.

use diesel::dsl::exists;
use diesel::prelude::*;
use diesel_async::{AsyncPgConnection, RunQueryDsl};

use crate::error::Result;
use crate::ids::{ClubId, MachineId, NetworkId, PlanId, RequestId, RoundId};
use crate::machines::StoredSpan;
use crate::schema::{machines, plan_blocks, round_machines, round_plans, rounds};

/// What a first plan, and one that fills declined places, is called where plans are kept.
const PROPOSAL: &str = "proposal";
const REFILL: &str = "refill";

/// A place that a plan gives.
#[derive(Queryable, Selectable)]
#[diesel(table_name = plan_blocks)]
pub(super) struct Block {
    pub(super) request_id: RequestId,
    pub(super) machine_id: MachineId,
    pub(super) span: StoredSpan,
    pub(super) crew_club_id: ClubId,
    pub(super) wish_rank: Option<i32>,
}

/// The plan that is chosen to be put to the clubs.
pub(super) async fn chosen(tx: &mut AsyncPgConnection, network: NetworkId, round: RoundId) -> Result<Option<PlanId>> {
    Ok(round_plans::table
        .filter(round_plans::network_id.eq(network))
        .filter(round_plans::round_id.eq(round))
        .filter(round_plans::purpose.eq(PROPOSAL))
        .filter(round_plans::state.eq("chosen"))
        .select(round_plans::id)
        .first(tx)
        .await
        .optional()?)
}

/// The places of a plan, in order of time.
pub(super) async fn blocks(tx: &mut AsyncPgConnection, network: NetworkId, plan: PlanId) -> Result<Vec<Block>> {
    Ok(plan_blocks::table
        .filter(plan_blocks::network_id.eq(network))
        .filter(plan_blocks::plan_id.eq(plan))
        .select(Block::as_select())
        .order((plan_blocks::span, plan_blocks::request_id))
        .load(tx)
        .await?)
}

/// The machines of a round that come by a hire.
pub(super) async fn hired(tx: &mut AsyncPgConnection, network: NetworkId, round: RoundId) -> Result<Vec<MachineId>> {
    Ok(round_machines::table
        .filter(round_machines::network_id.eq(network))
        .filter(round_machines::round_id.eq(round))
        .filter(round_machines::hire_id.is_not_null())
        .select(round_machines::machine_id)
        .load(tx)
        .await?)
}

/// The name of one of these machines that is retired, if any is.
pub(super) async fn a_retired(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    ids: impl Iterator<Item = MachineId>,
) -> Result<Option<String>> {
    Ok(machines::table
        .filter(machines::network_id.eq(network))
        .filter(machines::id.eq_any(ids.collect::<Vec<_>>()))
        .filter(machines::retired)
        .select(machines::name)
        .order(machines::name)
        .first(tx)
        .await
        .optional()?)
}

/// Whether what is declined is offered on in a round.
pub(super) async fn offers_on(tx: &mut AsyncPgConnection, network: NetworkId, round: RoundId) -> Result<bool> {
    Ok(rounds::table.find((network, round)).select(rounds::offers_on).first(tx).await?)
}

/// Sets whether what is declined is offered on in a round.
pub(super) async fn set_offers_on(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    round: RoundId,
    offers_on: bool,
) -> Result<()> {
    diesel::update(rounds::table.find((network, round))).set(rounds::offers_on.eq(offers_on)).execute(tx).await?;
    Ok(())
}

/// Whether a plan for places that were declined is being made, or is there and not offered yet.
pub(super) async fn refill_awaited(tx: &mut AsyncPgConnection, network: NetworkId, round: RoundId) -> Result<bool> {
    let awaited = round_plans::table
        .filter(round_plans::network_id.eq(network))
        .filter(round_plans::round_id.eq(round))
        .filter(round_plans::purpose.eq(REFILL))
        .filter(round_plans::state.eq_any(["queued", "working", "ready"]));
    Ok(diesel::select(exists(awaited)).get_result(tx).await?)
}

/// The round of a plan for declined places that is ready to be offered.
pub(super) async fn ready_refill(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    plan: PlanId,
) -> Result<Option<RoundId>> {
    Ok(round_plans::table
        .find((network, plan))
        .filter(round_plans::purpose.eq(REFILL))
        .filter(round_plans::state.eq("ready"))
        .select(round_plans::round_id)
        .first(tx)
        .await
        .optional()?)
}

/// Notes that the places of a plan for declined ones are on offer, in place of one before it.
pub(super) async fn choose_refill(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    round: RoundId,
    plan: PlanId,
) -> Result<()> {
    end_refills(tx, network, round).await?;
    diesel::update(round_plans::table.find((network, plan))).set(round_plans::state.eq("chosen")).execute(tx).await?;
    Ok(())
}

/// Ends the plans for declined places of a round, whatever they have come to.
pub(super) async fn end_refills(tx: &mut AsyncPgConnection, network: NetworkId, round: RoundId) -> Result<()> {
    let standing = round_plans::table
        .filter(round_plans::network_id.eq(network))
        .filter(round_plans::round_id.eq(round))
        .filter(round_plans::purpose.eq(REFILL))
        .filter(round_plans::state.ne_all(["failed", "superseded"]));
    diesel::update(standing).set(round_plans::state.eq("superseded")).execute(tx).await?;
    Ok(())
}
