//! What the queue does with an order: it reminds the clubs a day before the closing, and it closes.

use anyhow::Context;
use chrono::{DateTime, Utc};
use logistics::order_state::{self, OrderEvent};

use super::amounts::Measure;
use super::gathering::REMINDED_BEFORE;
use super::letters::Letters;
use super::reckoning::reckon;
use super::store::{self, WholeOrder, owed, writing};
use super::words::OrderState;
use crate::access::{Role, recipients};
use crate::database::{Scope, Tx};
use crate::error::Result;
use crate::ids::{NetworkId, OrderId};
use crate::mail;
use crate::service::Service;
use crate::time::zone_of;

/// Who is told what their club owes.
pub(super) const TOLD_OF_MONEY: [Role; 2] = [Role::GroundsLead, Role::Treasurer];

/// Closes an order at its time: enters each club's share, or calls the order off when too little came together, and
/// queues the letters, all in one transaction. An order that has closed already, or whose closing was moved, is left
/// as it is.
///
/// # Errors
/// A failing database.
pub async fn close(service: &Service, network: NetworkId, id: OrderId, now: DateTime<Utc>) -> Result<()> {
    let mut tx = service.db.begin(Scope::Network(network)).await?;
    let order = store::lock(&mut tx, network, id).await?;
    if order.state != OrderState::Gathering || now < order.closes_at {
        return Ok(());
    }
    // Read under the lock: a line that was on its way is in, and none comes after.
    let whole = store::find(&mut tx, network, id).await?;
    let event = OrderEvent::Close { total_kg: whole.total_kg(), smallest_kg: order.smallest_kg };
    match order_state::next(order.state.into(), event).context("an order that gathers can close")?.into() {
        OrderState::CalledOff => call_off(&mut tx, network, service, &whole, now).await?,
        _ => enter_shares(&mut tx, network, service, &whole, now).await?,
    }
    tx.commit().await
}

async fn enter_shares(
    tx: &mut Tx,
    network: NetworkId,
    service: &Service,
    whole: &WholeOrder,
    now: DateTime<Utc>,
) -> Result<()> {
    let reckoning = reckon(whole).context("lines that were taken can be reckoned")?;
    owed::enter(tx, network, whole, &reckoning, now).await?;
    let letters = Letters::about(whole, &service.config.public_url);
    for to in recipients(tx, network, Some(&whole.club_ids()), &TOLD_OF_MONEY).await? {
        let part = whole.lines.iter().zip(&reckoning.parts).find(|(line, _)| line.club_id == to.club_id);
        if let Some((_, &part)) = part {
            mail::post(tx, Some(network), letters.closed(&to, &reckoning, part), now).await?;
        }
    }
    Ok(())
}

async fn call_off(
    tx: &mut Tx,
    network: NetworkId,
    service: &Service,
    whole: &WholeOrder,
    now: DateTime<Utc>,
) -> Result<()> {
    let measure = Measure::of(whole);
    let reason = match whole.total_kg() {
        0 => "No club joined until the closing.".to_owned(),
        total_kg => format!(
            "Only {} came together; the smallest total is {}.",
            measure.amount(total_kg),
            measure.amount(whole.order.smallest_kg)
        ),
    };
    writing::set_state(tx, network, whole.order.id, OrderState::CalledOff, Some(&reason)).await?;
    tell_called_off(tx, network, &service.config.public_url, whole, &reason, now).await
}

/// Queues letters to the clubs of an order that it was called off.
pub(super) async fn tell_called_off(
    tx: &mut Tx,
    network: NetworkId,
    public_url: &str,
    whole: &WholeOrder,
    reason: &str,
    now: DateTime<Utc>,
) -> Result<()> {
    let letters = Letters::about(whole, public_url);
    for to in recipients(tx, network, Some(&whole.club_ids()), &TOLD_OF_MONEY).await? {
        mail::post(tx, Some(network), letters.called_off(&to, reason), now).await?;
    }
    Ok(())
}

/// Tells the grounds leads of all clubs, whether their club is in it or not, that an order closes within a day. An
/// order that has closed, or whose closing was moved away, needs no reminder.
///
/// # Errors
/// A failing database.
pub async fn remind(service: &Service, network: NetworkId, id: OrderId, now: DateTime<Utc>) -> Result<()> {
    let mut tx = service.db.begin(Scope::Network(network)).await?;
    let whole = store::find(&mut tx, network, id).await?;
    let closes_at = whole.order.closes_at;
    let timely = closes_at - REMINDED_BEFORE <= now && now < closes_at;
    if whole.order.state != OrderState::Gathering || !timely {
        return Ok(());
    }
    let so_far = reckon(&whole).context("lines that were taken can be reckoned")?;
    let zone = zone_of(&mut tx, network).await?;
    let letters = Letters::about(&whole, &service.config.public_url);
    for to in recipients(&mut tx, network, None, &[Role::GroundsLead]).await? {
        mail::post(&mut tx, Some(network), letters.closes_tomorrow(&to, &so_far, zone), now).await?;
    }
    tx.commit().await
}
