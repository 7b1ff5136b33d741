//! Entering shares, and listing them.

use chrono::{DateTime, Utc};
use diesel::prelude::*;
use diesel_async::{AsyncPgConnection, RunQueryDsl};

use super::{Line, WholeOrder};
use crate::error::Result;
use crate::ids::{ClubId, NetworkId, OrderId};
use crate::orders::reckoning::{Part, Reckoning};
use crate::orders::words::OrderState;
use crate::schema::{pooled_orders, shares};
use crate::wire::PageQuery;

/// Closes an order: its totals are fixed and each line's share is entered. At commit the database compares their sums.
pub(in crate::orders) async fn enter(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    whole: &WholeOrder,
    reckoning: &Reckoning,
    now: DateTime<Utc>,
) -> Result<()> {
    let row = |(line, Part { share, alone }): (&Line, &Part)| {
        (
            shares::network_id.eq(network),
            shares::order_id.eq(whole.order.id),
            shares::club_id.eq(line.club_id),
            shares::quantity_kg.eq(line.quantity_kg),
            shares::goods_pence.eq(share.goods_pence),
            shares::vat_pence.eq(share.vat_pence),
            shares::alone_goods_pence.eq(alone.goods_pence),
            shares::alone_vat_pence.eq(alone.vat_pence),
            shares::entered_at.eq(now),
        )
    };
    let rows: Vec<_> = whole.lines.iter().zip(&reckoning.parts).map(row).collect();
    diesel::insert_into(shares::table).values(rows).execute(tx).await?;
    diesel::update(pooled_orders::table.find((network, whole.order.id)))
        .set((
            pooled_orders::state.eq(OrderState::Closed),
            pooled_orders::closed_at.eq(now),
            pooled_orders::total_kg.eq(reckoning.total_kg),
            pooled_orders::price_pence.eq(reckoning.price_pence),
            pooled_orders::goods_pence.eq(reckoning.goods_pence),
            pooled_orders::vat_pence.eq(reckoning.vat_pence),
            pooled_orders::version.eq(pooled_orders::version + 1),
        ))
        .execute(tx)
        .await?;
    Ok(())
}

/// A share with the order it is for.
#[derive(Queryable)]
pub(in crate::orders) struct Owed {
    pub(in crate::orders) order_id: OrderId,
    pub(in crate::orders) club_id: ClubId,
    pub(in crate::orders) title: String,
    pub(in crate::orders) order_state: OrderState,
    pub(in crate::orders) goods_pence: i64,
    pub(in crate::orders) vat_pence: i64,
    pub(in crate::orders) entered_at: DateTime<Utc>,
}

/// Shares, the latest opened order first, of some clubs or of all.
pub(in crate::orders) async fn list(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    of_clubs: Option<&[ClubId]>,
    page: &PageQuery,
) -> Result<Vec<Owed>> {
    let of_order = pooled_orders::network_id.eq(shares::network_id).and(pooled_orders::id.eq(shares::order_id));
    let mut query = shares::table
        .inner_join(pooled_orders::table.on(of_order))
        .filter(shares::network_id.eq(network))
        .select((
            shares::order_id,
            shares::club_id,
            pooled_orders::title,
            pooled_orders::state,
            shares::goods_pence,
            shares::vat_pence,
            shares::entered_at,
        ))
        .order((shares::order_id.desc(), shares::club_id))
        .limit(page.rows())
        .into_boxed();
    if let Some(of_clubs) = of_clubs {
        query = query.filter(shares::club_id.eq_any(of_clubs.to_vec()));
    }
    if let Some((order, club)) = page.after::<(OrderId, ClubId)>()? {
        let earlier = shares::order_id.lt(order);
        query = query.filter(earlier.or(shares::order_id.eq(order).and(shares::club_id.gt(club))));
    }
    Ok(query.load(tx).await?)
}
