//! Plans as whoever offers their places needs them: the one chosen, what it gives, and those for places that came free.
//! Scope of all: the network.

use diesel_async::AsyncPgConnection;
use logistics::half_days::HalfDaySpan;

use super::store::plans::{self as store, BlockRow};
use super::words::{PlanPurpose, PlanState};
use crate::error::Result;
use crate::ids::{ClubId, MachineId, NetworkId, PlanId, RequestId, RoundId};

/// Where a plan for places that came free is still to be offered.
const AWAITED: &[PlanState] = &[PlanState::Queued, PlanState::Working, PlanState::Ready];
/// Where it has not come to its end.
const STANDING: &[PlanState] = &[PlanState::Queued, PlanState::Working, PlanState::Ready, PlanState::Chosen];

/// A place that a plan gives.
#[derive(Debug, Clone, Copy)]
pub struct PlacedRequest {
    /// Which request is served.
    pub request_id: RequestId,
    /// By which machine.
    pub machine_id: MachineId,
    /// The half-days.
    pub span: HalfDaySpan,
    /// Whose tractor and operator.
    pub crew_club_id: ClubId,
    /// Which wish it is, 1 for the first; none for a day that was only allowed.
    pub wish_rank: Option<i32>,
}

/// The plan that is chosen to be put to the clubs.
///
/// # Errors
/// A failing database.
pub async fn chosen_plan(tx: &mut AsyncPgConnection, network: NetworkId, round: RoundId) -> Result<Option<PlanId>> {
    Ok(store::chosen(tx, network, (round, PlanPurpose::Proposal)).await?.map(|plan| plan.id))
}

/// The places of a plan, in order of time.
///
/// # Errors
/// A failing database.
pub async fn places_of_plan(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    plan: PlanId,
) -> Result<Vec<PlacedRequest>> {
    let place = |row: BlockRow| PlacedRequest {
        request_id: row.request_id,
        machine_id: row.machine_id,
        span: row.span.0,
        crew_club_id: row.crew_club_id,
        wish_rank: row.wish_rank,
    };
    Ok(store::blocks_of(tx, network, &[plan]).await?.into_iter().map(place).collect())
}

/// Whether a plan for places that came free is being made, or is there and not offered yet.
///
/// # Errors
/// A failing database.
pub async fn refill_awaited(tx: &mut AsyncPgConnection, network: NetworkId, round: RoundId) -> Result<bool> {
    store::any(tx, network, (round, PlanPurpose::Refill), AWAITED).await
}

/// The round of a plan for places that came free, where that is ready to be offered.
///
/// # Errors
/// `not_found`.
pub async fn ready_refill(tx: &mut AsyncPgConnection, network: NetworkId, plan: PlanId) -> Result<Option<RoundId>> {
    let plan = store::find(tx, network, plan).await?;
    let ready = plan.purpose == PlanPurpose::Refill && plan.state == PlanState::Ready;
    Ok(ready.then_some(plan.round_id))
}

/// Notes that the places of a plan for those that came free are on offer, in place of one before it.
///
/// # Errors
/// A failing database.
pub async fn choose_refill(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    (round, plan): (RoundId, PlanId),
) -> Result<()> {
    end_refills(tx, network, round).await?;
    store::choose(tx, network, plan).await
}

/// Ends the plans for places that came free, whatever they have come to.
///
/// # Errors
/// A failing database.
pub async fn end_refills(tx: &mut AsyncPgConnection, network: NetworkId, round: RoundId) -> Result<()> {
    store::set_states(tx, network, (round, PlanPurpose::Refill), (STANDING, PlanState::Superseded)).await
}
