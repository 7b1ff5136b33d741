//! Writing orders, their terms, lines and states.

use chrono::{DateTime, Utc};
use diesel::prelude::*;
use diesel_async::{AsyncPgConnection, RunQueryDsl};

use crate::access::Member;
use crate::error::Result;
use crate::ids::{ClubId, NetworkId, OrderId};
use crate::orders::terms::Terms;
use crate::orders::view::PriceBreak;
use crate::orders::words::OrderState;
use crate::schema::{order_lines, pooled_orders, price_breaks};

/// Keeps a new order.
pub(in crate::orders) async fn insert(
    tx: &mut AsyncPgConnection,
    member: &Member,
    id: OrderId,
    terms: &Terms,
) -> Result<()> {
    let network = member.network_id;
    diesel::insert_into(pooled_orders::table)
        .values((
            pooled_orders::network_id.eq(network),
            pooled_orders::id.eq(id),
            pooled_orders::opened_by.eq(member.person_id),
            terms.columns(),
        ))
        .execute(tx)
        .await?;
    insert_breaks(tx, network, id, terms.price_breaks()).await
}

/// Gives an order other terms.
pub(in crate::orders) async fn update(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    id: OrderId,
    terms: &Terms,
) -> Result<()> {
    diesel::update(pooled_orders::table.find((network, id)))
        .set((terms.columns(), pooled_orders::version.eq(pooled_orders::version + 1)))
        .execute(tx)
        .await?;
    let breaks = price_breaks::table.filter(price_breaks::network_id.eq(network)).filter(price_breaks::order_id.eq(id));
    diesel::delete(breaks).execute(tx).await?;
    insert_breaks(tx, network, id, terms.price_breaks()).await
}

async fn insert_breaks(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    order: OrderId,
    breaks: &[PriceBreak],
) -> Result<()> {
    let row = |each: &PriceBreak| {
        (
            price_breaks::network_id.eq(network),
            price_breaks::order_id.eq(order),
            price_breaks::from_kg.eq(each.from_kg),
            price_breaks::price_pence.eq(each.price_pence),
        )
    };
    let rows: Vec<_> = breaks.iter().map(row).collect();
    diesel::insert_into(price_breaks::table).values(rows).execute(tx).await?;
    Ok(())
}

/// Adds or changes a club's line; the database refuses late lines and broken packs.
pub(in crate::orders) async fn put_line(
    tx: &mut AsyncPgConnection,
    member: &Member,
    (order, club): (OrderId, ClubId),
    quantity_kg: i64,
    now: DateTime<Utc>,
) -> Result<()> {
    let written = (
        order_lines::quantity_kg.eq(quantity_kg),
        order_lines::changed_by.eq(member.person_id),
        order_lines::changed_at.eq(now),
    );
    diesel::insert_into(order_lines::table)
        .values((
            order_lines::network_id.eq(member.network_id),
            order_lines::order_id.eq(order),
            order_lines::club_id.eq(club),
            written,
        ))
        .on_conflict((order_lines::network_id, order_lines::order_id, order_lines::club_id))
        .do_update()
        .set((written, order_lines::version.eq(order_lines::version + 1)))
        .execute(tx)
        .await?;
    Ok(())
}

/// Takes a club's line away, if it has one; the database refuses it after the closing.
pub(in crate::orders) async fn delete_line(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    order: OrderId,
    club: ClubId,
) -> Result<()> {
    diesel::delete(order_lines::table.find((network, order, club))).execute(tx).await?;
    Ok(())
}

/// Moves an order to another state; one that is called off says why.
pub(in crate::orders) async fn set_state(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    id: OrderId,
    state: OrderState,
    called_off_reason: Option<&str>,
) -> Result<()> {
    diesel::update(pooled_orders::table.find((network, id)))
        .set((
            pooled_orders::state.eq(state),
            pooled_orders::called_off_reason.eq(called_off_reason),
            pooled_orders::version.eq(pooled_orders::version + 1),
        ))
        .execute(tx)
        .await?;
    Ok(())
}
