//! What slices that carry a round further need of it: hold it, take it to its next state.

use diesel::prelude::*;
use diesel_async::{AsyncPgConnection, RunQueryDsl};

use super::store;
use super::words::{Grain, RoundState};
use crate::error::Result;
use crate::ids::{MachineId, NetworkId, RoundId};
use crate::machines::Span;
use crate::schema::rounds;

/// A round whose row is locked until the transaction ends: its state and its requests stand still.
#[derive(Debug, Clone)]
pub struct HeldRound {
    /// The round.
    pub round_id: RoundId,
    /// As members see it.
    pub title: String,
    /// Where it stands.
    pub state: RoundState,
    /// The unit in which clubs are placed.
    pub grain: Grain,
    /// Its days.
    pub span: Span,
}

/// Holds a round. Whoever changes offers, plans in use or bookings of a round does this first. Scope: the network.
///
/// # Errors
/// `not_found`.
pub async fn hold_round(tx: &mut AsyncPgConnection, network: NetworkId, id: RoundId) -> Result<HeldRound> {
    let row = store::lock(tx, network, id).await?;
    Ok(HeldRound { round_id: id, span: row.whole_days(), title: row.terms.title, state: row.state, grain: row.grain })
}

/// A round's title and where it stands. Scope: the network.
///
/// # Errors
/// `not_found`.
pub async fn title_and_state(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    id: RoundId,
) -> Result<(String, RoundState)> {
    let row = store::find(tx, network, id).await?;
    Ok((row.terms.title, row.state))
}

/// Takes a held round to another state. Scope: the network.
///
/// # Errors
/// A failing database.
pub async fn step_round(tx: &mut AsyncPgConnection, network: NetworkId, id: RoundId, state: RoundState) -> Result<()> {
    store::set_state(tx, network, id, state, None).await
}

/// The machines of a round that come by a hire. Scope: the network.
///
/// # Errors
/// A failing database.
pub async fn hired_machines(tx: &mut AsyncPgConnection, network: NetworkId, round: RoundId) -> Result<Vec<MachineId>> {
    let machines = store::machines_of(tx, network, &[round]).await?;
    Ok(machines.iter().filter(|row| row.hire_id.is_some()).map(|row| row.machine_id).collect())
}

/// Whether a place of a round that is declined is offered to the next best. Scope: the network.
///
/// # Errors
/// `not_found`.
pub async fn offers_on(tx: &mut AsyncPgConnection, network: NetworkId, round: RoundId) -> Result<bool> {
    Ok(rounds::table.find((network, round)).select(rounds::offers_on).first(tx).await?)
}

/// Sets whether a place of a held round that is declined is offered to the next best. Scope: the network.
///
/// # Errors
/// A failing database.
pub async fn set_offers_on(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    round: RoundId,
    offers_on: bool,
) -> Result<()> {
    diesel::update(rounds::table.find((network, round))).set(rounds::offers_on.eq(offers_on)).execute(tx).await?;
    Ok(())
}
