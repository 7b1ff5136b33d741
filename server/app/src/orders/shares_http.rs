//! What clubs owe, over HTTP.

use actix_web::get;
use actix_web::web::{Data, Json, Path, Query};
use chrono::{DateTime, Utc};
use serde::{Deserialize, Serialize};
use utoipa::{IntoParams, ToSchema};

use super::store::owed::{self, Owed};
use super::words::OrderState;
use crate::access::{Act, Caller, Member, enter};
use crate::error::{Refused, Result};
use crate::ids::{ClubId, NetworkId, OrderId};
use crate::service::Service;
use crate::wire::{Page, PageQuery};

/// Whose shares.
#[derive(Debug, Deserialize, IntoParams)]
#[into_params(parameter_in = Query)]
pub struct SharesQuery {
    /// Only those of this club; without it those of every club whose money you may see.
    club_id: Option<ClubId>,
}

/// What a club owes for a pooled order, as entered at closing.
#[derive(Debug, Serialize, ToSchema)]
pub struct Share {
    order_id: OrderId,
    title: String,
    club_id: ClubId,
    goods_pence: i64,
    vat_pence: i64,
    total_pence: i64,
    entered_at: DateTime<Utc>,
    /// Nothing is owed for an order that was called off.
    order_state: OrderState,
}

/// List what clubs owe
///
/// The latest opened order comes first.
#[utoipa::path(tag = "orders", params(SharesQuery, PageQuery), responses((status = 200, body = Page<Share>)))]
#[get("/networks/{network_id}/shares")]
pub async fn list_shares(
    service: Data<Service>,
    caller: Caller,
    network: Path<NetworkId>,
    wanted: Query<SharesQuery>,
    page: Query<PageQuery>,
) -> Result<Json<Page<Share>>> {
    let (mut tx, member) = enter(&service, &caller, *network).await?;
    let clubs = clubs_to_show(&member, wanted.club_id)?;
    let rows = owed::list(&mut tx, *network, clubs.as_deref(), &page).await?;
    Ok(Json(Page::cut(rows, &page, |row| (row.order_id, row.club_id), view)))
}

/// The clubs whose shares a member asks for and may see; none given means all of the network.
fn clubs_to_show(member: &Member, wanted: Option<ClubId>) -> Result<Option<Vec<ClubId>>, Refused> {
    if let Some(club) = wanted {
        member.require(Act::SeeShares, Some(club))?;
        return Ok(Some(vec![club]));
    }
    let clubs = member.clubs_for(Act::SeeShares);
    if clubs.as_ref().is_some_and(Vec::is_empty) {
        member.require(Act::SeeShares, None)?;
    }
    Ok(clubs)
}

fn view(row: Owed) -> Share {
    Share {
        order_id: row.order_id,
        title: row.title,
        club_id: row.club_id,
        goods_pence: row.goods_pence,
        vat_pence: row.vat_pence,
        total_pence: row.goods_pence + row.vat_pence,
        entered_at: row.entered_at,
        order_state: row.order_state,
    }
}
