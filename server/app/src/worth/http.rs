//! Use and worth of a machine over HTTP.

use actix_web::get;
use actix_web::web::{Data, Json, Path, Query};
use chrono::Utc;
use serde::Deserialize;
use utoipa::IntoParams;

use super::season::season_of;
use super::view::{MachineWorth, WouldBuy};
use crate::access::{Act, Caller, enter};
use crate::error::{Result, invalid};
use crate::ids::{MachineId, NetworkId};
use crate::service::Service;

/// Which season, and what buying one would mean.
#[derive(Debug, Deserialize, IntoParams)]
#[into_params(parameter_in = Query)]
pub struct WorthQuery {
    /// The year the season begins in; without it, the season of today.
    season: Option<i32>,
    /// Price of buying one, pence.
    price_pence: Option<i64>,
    /// Years it would be kept.
    years: Option<u32>,
}

/// Show what a machine was used for in a season
///
/// By bookings that are agreed and begin in it. A season runs from July to June.
#[utoipa::path(tag = "machines", params(WorthQuery), responses((status = 200, body = MachineWorth)))]
#[get("/networks/{network_id}/machines/{machine_id}/worth")]
pub async fn show_machine_worth(
    service: Data<Service>,
    caller: Caller,
    path: Path<(NetworkId, MachineId)>,
    wanted: Query<WorthQuery>,
) -> Result<Json<MachineWorth>> {
    let (network, id) = path.into_inner();
    let (mut tx, member) = enter(&service, &caller, network).await?;
    member.require(Act::SeeNetwork, None)?;
    if wanted.price_pence.is_some_and(|pence| !(1..=100_000_000).contains(&pence)) {
        return Err(invalid("price_pence", "A price is more than nothing and at most £1,000,000.").into());
    }
    if wanted.years.is_some_and(|years| !(1..=30).contains(&years)) {
        return Err(invalid("years", "A machine is kept for 1 to 30 years.").into());
    }
    let year = wanted.season.unwrap_or_else(|| season_of(Utc::now().date_naive()));
    let buying = WouldBuy { price_pence: wanted.price_pence, years: wanted.years };
    Ok(Json(MachineWorth::of(&mut tx, &member, id, year, buying).await?))
}
