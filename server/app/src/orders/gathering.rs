//! While an order gathers: opening it, changing its terms, the clubs' lines.

use chrono::{DateTime, TimeDelta, Utc};

use super::store::{self, WholeOrder, writing};
use super::terms::{CreateOrder, Terms};
use super::view::PooledOrder;
use super::words::OrderState;
use crate::access::{Act, Member};
use crate::database::Tx;
use crate::error::{Code, Refused, Result, invalid, not_found, refuse};
use crate::ids::{ClubId, NetworkId, OrderId};
use crate::jobs::{self, Job};
use crate::time::zone_of;
use crate::wire::IfMatch;

/// How long before its closing the clubs are reminded of an order.
pub(super) const REMINDED_BEFORE: TimeDelta = TimeDelta::hours(24);

/// Opens an order and queues its closing.
///
/// # Errors
/// `not_your_role`; `invalid` on the field that will not do.
pub async fn open_order(tx: &mut Tx, member: &Member, said: &CreateOrder, now: DateTime<Utc>) -> Result<PooledOrder> {
    member.require(Act::RunOrder, None)?;
    let unit_kg = unit_of_product(tx, member.network_id, said).await?;
    let terms = Terms::parse(said, unit_kg, zone_of(tx, member.network_id).await?, now)?;
    let id = OrderId::new();
    writing::insert(tx, member, id, &terms).await?;
    schedule(tx, member.network_id, id, terms.closes_at(), now).await?;
    show_order(tx, member, id).await
}

/// Gives an order that gathers other terms; when its closing moves, the queue is told.
///
/// # Errors
/// `not_found`, `not_your_role`, `order_not_gathering`, `changed_meanwhile`; `invalid` on the field that will not do,
/// such as a pack that the lines there are do not fit.
pub async fn alter_order(
    tx: &mut Tx,
    member: &Member,
    id: OrderId,
    seen: IfMatch,
    said: &CreateOrder,
    now: DateTime<Utc>,
) -> Result<PooledOrder> {
    member.require(Act::RunOrder, None)?;
    let network = member.network_id;
    let order = store::lock(tx, network, id).await?;
    if order.state != OrderState::Gathering || now >= order.closes_at {
        return Err(refuse(Code::OrderNotGathering, "The order has closed; its terms stand.").into());
    }
    if order.version != seen.0 {
        return Err(seen.stale().into());
    }
    let whole = store::find(tx, network, id).await?;
    // An order keeps the unit it was opened with, whatever becomes of its product.
    let unit_kg = match whole.product.product_id == said.product_id {
        true => order.unit_kg,
        false => unit_of_product(tx, network, said).await?,
    };
    let terms = Terms::parse(said, unit_kg, zone_of(tx, network).await?, now)?;
    check_lines(&whole, &terms)?;
    writing::update(tx, network, id, &terms).await?;
    schedule(tx, network, id, terms.closes_at(), now).await?;
    show_order(tx, member, id).await
}

/// Puts a club's line into an order, or changes it.
///
/// # Errors
/// `not_found` for an unknown order or club; `not_your_role`; `order_not_gathering` when it comes late;
/// `not_whole_packs`; `quantity_absurd`.
pub async fn set_line(
    tx: &mut Tx,
    member: &Member,
    order: OrderId,
    club: ClubId,
    quantity_kg: i64,
    now: DateTime<Utc>,
) -> Result<PooledOrder> {
    member.require(Act::ChangeLine, Some(club))?;
    check_there(tx, member.network_id, order, club).await?;
    writing::put_line(tx, member, (order, club), quantity_kg, now).await?;
    show_order(tx, member, order).await
}

/// Takes a club's line back; without a line there is nothing to do.
///
/// # Errors
/// `not_found` for an unknown order or club; `not_your_role`; `order_not_gathering` when it comes late.
pub async fn take_line_back(tx: &mut Tx, member: &Member, order: OrderId, club: ClubId) -> Result<PooledOrder> {
    member.require(Act::ChangeLine, Some(club))?;
    check_there(tx, member.network_id, order, club).await?;
    writing::delete_line(tx, member.network_id, order, club).await?;
    show_order(tx, member, order).await
}

/// An order as the member sees it.
///
/// # Errors
/// `not_found`.
pub async fn show_order(tx: &mut Tx, member: &Member, id: OrderId) -> Result<PooledOrder> {
    PooledOrder::seen_by(member, store::find(tx, member.network_id, id).await?)
}

async fn check_there(tx: &mut Tx, network: NetworkId, order: OrderId, club: ClubId) -> Result<()> {
    if !store::exist(tx, network, order, club).await? {
        return Err(not_found().into());
    }
    Ok(())
}

async fn unit_of_product(tx: &mut Tx, network: NetworkId, said: &CreateOrder) -> Result<i64> {
    let unit_kg = store::product_unit_kg(tx, network, said.product_id).await?;
    Ok(unit_kg.ok_or_else(|| invalid("product_id", "There is no such product in this network."))?)
}

/// New terms must fit the lines that are there: clubs joined for this product and in these packs.
fn check_lines(whole: &WholeOrder, terms: &Terms) -> Result<(), Refused> {
    if whole.lines.is_empty() {
        return Ok(());
    }
    if whole.product.product_id != terms.product_id() {
        return Err(invalid("product_id", "Clubs have joined for this product; open another order for another one."));
    }
    match whole.lines.iter().find(|line| line.quantity_kg % terms.pack_kg() != 0) {
        None => Ok(()),
        Some(line) => Err(invalid(
            "pack_kg",
            format!("{} has {} kg in it, which is not whole packs of that size.", line.club_name, line.quantity_kg),
        )),
    }
}

/// Queues the closing and, when there is time for one, the reminder; a closing that was moved moves them.
async fn schedule(
    tx: &mut Tx,
    network: NetworkId,
    id: OrderId,
    closes_at: DateTime<Utc>,
    now: DateTime<Utc>,
) -> Result<()> {
    let (closing, reminder) = (Job::CloseOrder { close_order: id }, Job::RemindOrder { remind_order: id });
    jobs::enqueue(tx, Some(network), &closing, closes_at).await?;
    let reminded_at = closes_at - REMINDED_BEFORE;
    if reminded_at > now {
        return jobs::enqueue(tx, Some(network), &reminder, reminded_at).await;
    }
    jobs::drop_subject(tx, &reminder, now).await
}

/// Drops the jobs of an order that is called off.
pub(super) async fn unschedule(tx: &mut Tx, id: OrderId, now: DateTime<Utc>) -> Result<()> {
    jobs::drop_subject(tx, &Job::CloseOrder { close_order: id }, now).await?;
    jobs::drop_subject(tx, &Job::RemindOrder { remind_order: id }, now).await
}
