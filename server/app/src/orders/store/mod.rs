//! Queries on pooled orders, their price breaks, lines and shares. Scope of all: the network.
//!
//! Here is what is read; `writing` and `owed` change things.

pub(super) mod owed;
pub(super) mod writing;

use std::collections::HashMap;

use chrono::{DateTime, NaiveDate, Utc};
use diesel::dsl::{auto_type, exists};
use diesel::prelude::*;
use diesel_async::{AsyncPgConnection, RunQueryDsl};
use logistics::price_breaks::{PriceError, PriceList};

use super::view::{OrderProduct, OrderSupplier, PriceBreak};
use super::words::OrderState;
use crate::error::Result;
use crate::ids::{ClubId, NetworkId, OrderId, ProductId};
use crate::schema::{clubs, order_lines, pooled_orders, price_breaks, products, shares, suppliers};
use crate::wire::PageQuery;

/// An order as kept.
#[derive(Queryable, Selectable)]
#[diesel(table_name = pooled_orders)]
pub(in crate::orders) struct Order {
    pub(in crate::orders) id: OrderId,
    pub(in crate::orders) title: String,
    pub(in crate::orders) unit_kg: i64,
    pub(in crate::orders) pack_kg: i64,
    pub(in crate::orders) vat_basis_points: i32,
    pub(in crate::orders) smallest_kg: i64,
    pub(in crate::orders) closes_at: DateTime<Utc>,
    pub(in crate::orders) delivery_from_on: NaiveDate,
    pub(in crate::orders) delivery_until_on: NaiveDate,
    pub(in crate::orders) note: String,
    pub(in crate::orders) state: OrderState,
    pub(in crate::orders) price_pence: Option<i64>,
    pub(in crate::orders) goods_pence: Option<i64>,
    pub(in crate::orders) vat_pence: Option<i64>,
    pub(in crate::orders) called_off_reason: Option<String>,
    pub(in crate::orders) version: i32,
}

/// A club's line with the club's name.
#[derive(Queryable)]
pub(in crate::orders) struct Line {
    order_id: OrderId,
    pub(in crate::orders) club_id: ClubId,
    pub(in crate::orders) club_name: String,
    pub(in crate::orders) quantity_kg: i64,
    pub(in crate::orders) version: i32,
}

/// A share as entered at closing.
#[derive(Queryable, Selectable)]
#[diesel(table_name = shares)]
pub(in crate::orders) struct EnteredShare {
    order_id: OrderId,
    pub(in crate::orders) club_id: ClubId,
    pub(in crate::orders) goods_pence: i64,
    pub(in crate::orders) vat_pence: i64,
    pub(in crate::orders) alone_goods_pence: i64,
    pub(in crate::orders) alone_vat_pence: i64,
}

/// An order with everything that belongs to it: price breaks by quantity, lines by club id.
pub(in crate::orders) struct WholeOrder {
    pub(in crate::orders) order: Order,
    pub(in crate::orders) product: OrderProduct,
    pub(in crate::orders) supplier: OrderSupplier,
    pub(in crate::orders) price_breaks: Vec<PriceBreak>,
    pub(in crate::orders) lines: Vec<Line>,
    pub(in crate::orders) shares: Vec<EnteredShare>,
}

impl WholeOrder {
    /// What all lines come to.
    pub(in crate::orders) fn total_kg(&self) -> i64 {
        self.lines.iter().map(|line| line.quantity_kg).sum()
    }

    /// The clubs that have a line.
    pub(in crate::orders) fn club_ids(&self) -> Vec<ClubId> {
        self.lines.iter().map(|line| line.club_id).collect()
    }

    /// Its prices, as they were checked when they were written.
    pub(in crate::orders) fn price_list(&self) -> Result<PriceList, PriceError> {
        let breaks = self.price_breaks.iter().map(|&each| each.into()).collect();
        PriceList::parse(self.order.unit_kg, self.order.pack_kg, breaks)
    }
}

#[auto_type]
fn orders_with_names() -> _ {
    let of_product = products::network_id.eq(pooled_orders::network_id).and(products::id.eq(pooled_orders::product_id));
    let of_supplier =
        suppliers::network_id.eq(pooled_orders::network_id).and(suppliers::id.eq(pooled_orders::supplier_id));
    pooled_orders::table.inner_join(products::table.on(of_product)).inner_join(suppliers::table.on(of_supplier))
}

/// One order with everything.
pub(in crate::orders) async fn find(tx: &mut AsyncPgConnection, network: NetworkId, id: OrderId) -> Result<WholeOrder> {
    let row = orders_with_names()
        .filter(pooled_orders::network_id.eq(network))
        .filter(pooled_orders::id.eq(id))
        .select((Order::as_select(), OrderProduct::as_select(), OrderSupplier::as_select()))
        .first(tx)
        .await?;
    let order = complete(tx, network, vec![row]).await?.pop();
    Ok(order.ok_or(diesel::result::Error::NotFound)?)
}

/// Orders with everything, those that close soonest first.
pub(in crate::orders) async fn list(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    state: Option<OrderState>,
    page: &PageQuery,
) -> Result<Vec<WholeOrder>> {
    let mut query = orders_with_names()
        .filter(pooled_orders::network_id.eq(network))
        .select((Order::as_select(), OrderProduct::as_select(), OrderSupplier::as_select()))
        .order((pooled_orders::closes_at, pooled_orders::id))
        .limit(page.rows())
        .into_boxed();
    if let Some(state) = state {
        query = query.filter(pooled_orders::state.eq(state));
    }
    if let Some((at, id)) = page.after::<(DateTime<Utc>, OrderId)>()? {
        let later = pooled_orders::closes_at.gt(at);
        query = query.filter(later.or(pooled_orders::closes_at.eq(at).and(pooled_orders::id.gt(id))));
    }
    let rows = query.load(tx).await?;
    complete(tx, network, rows).await
}

/// Adds price breaks, lines and shares to orders: three queries for however many orders.
async fn complete(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    rows: Vec<(Order, OrderProduct, OrderSupplier)>,
) -> Result<Vec<WholeOrder>> {
    let ids: Vec<OrderId> = rows.iter().map(|(order, ..)| order.id).collect();
    let breaks: Vec<(OrderId, i64, i64)> = price_breaks::table
        .filter(price_breaks::network_id.eq(network))
        .filter(price_breaks::order_id.eq_any(&ids))
        .select((price_breaks::order_id, price_breaks::from_kg, price_breaks::price_pence))
        .order(price_breaks::from_kg)
        .load(tx)
        .await?;
    let entered: Vec<EnteredShare> = shares::table
        .filter(shares::network_id.eq(network))
        .filter(shares::order_id.eq_any(&ids))
        .select(EnteredShare::as_select())
        .load(tx)
        .await?;
    let lines = lines_of(tx, network, &ids).await?;
    let mut breaks = by_order(breaks, |row| row.0);
    let mut lines = by_order(lines, |line| line.order_id);
    let mut shares = by_order(entered, |share| share.order_id);
    let whole = rows.into_iter().map(|(order, product, supplier)| {
        let breaks = breaks.remove(&order.id).unwrap_or_default().into_iter();
        WholeOrder {
            price_breaks: breaks.map(|(_, from_kg, price_pence)| PriceBreak { from_kg, price_pence }).collect(),
            lines: lines.remove(&order.id).unwrap_or_default(),
            shares: shares.remove(&order.id).unwrap_or_default(),
            order,
            product,
            supplier,
        }
    });
    Ok(whole.collect())
}

async fn lines_of(tx: &mut AsyncPgConnection, network: NetworkId, ids: &[OrderId]) -> Result<Vec<Line>> {
    let of_club = clubs::network_id.eq(order_lines::network_id).and(clubs::id.eq(order_lines::club_id));
    let columns =
        (order_lines::order_id, order_lines::club_id, clubs::name, order_lines::quantity_kg, order_lines::version);
    Ok(order_lines::table
        .inner_join(clubs::table.on(of_club))
        .filter(order_lines::network_id.eq(network))
        .filter(order_lines::order_id.eq_any(ids))
        .select(columns)
        .order(order_lines::club_id)
        .load(tx)
        .await?)
}

/// Rows by their order, each order's in the sequence they came in.
fn by_order<T>(rows: Vec<T>, order_of: impl Fn(&T) -> OrderId) -> HashMap<OrderId, Vec<T>> {
    let mut sorted: HashMap<OrderId, Vec<T>> = HashMap::new();
    for row in rows {
        sorted.entry(order_of(&row)).or_default().push(row);
    }
    sorted
}

/// An order, locked until the transaction ends: its lines, terms and state stand still.
pub(in crate::orders) async fn lock(tx: &mut AsyncPgConnection, network: NetworkId, id: OrderId) -> Result<Order> {
    Ok(pooled_orders::table.find((network, id)).select(Order::as_select()).for_update().first(tx).await?)
}

/// What a price of a product is for, kg. None if the network has no such product.
pub(in crate::orders) async fn product_unit_kg(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    product: ProductId,
) -> Result<Option<i64>> {
    Ok(products::table.find((network, product)).select(products::unit_kg).first(tx).await.optional()?)
}

/// Whether the network has the order and the club.
pub(in crate::orders) async fn exist(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    order: OrderId,
    club: ClubId,
) -> Result<bool> {
    let order = exists(pooled_orders::table.find((network, order)));
    let club = exists(clubs::table.find((network, club)));
    Ok(diesel::select(order.and(club)).get_result(tx).await?)
}
