//! Roads between grounds: reckoned from the map, or as a coordinator knows them. A road is the same both ways.

use std::collections::BTreeMap;

use anyhow::Context;
use diesel_async::AsyncPgConnection;
use logistics::distance::Position;
use logistics::roads::reckoned_hm;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::store::roads::{self as store, GroundRow};
use super::store::{self as rounds};
use crate::access::{Act, Member};
use crate::database::Tx;
use crate::error::{Refused, Result, invalid};
use crate::ids::{ClubId, GroundId, NetworkId, RoundId};

/// How many reckoned roads a list shows at most: the nearest, which are the ones a round uses.
const MOST_RECKONED: usize = 200;

/// A road as driven.
#[derive(Debug, Clone, Copy, Serialize, Deserialize, ToSchema)]
pub struct CorrectRoad {
    /// Its length in hectometres (0.1 km).
    #[schema(minimum = 0, maximum = 20_000)]
    pub road_hm: i32,
}

/// The road between two grounds.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct Road {
    /// One of them.
    pub from: RoadEnd,
    /// The other.
    pub to: RoadEnd,
    /// 1.3 times the distance as the crow flies, in hectometres (0.1 km).
    pub reckoned_hm: i64,
    /// As a coordinator knows it; null where the reckoned one counts.
    pub corrected_hm: Option<i32>,
}

/// A ground at the end of a road.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct RoadEnd {
    /// The ground.
    pub ground_id: GroundId,
    /// Its name.
    pub ground_name: String,
    /// Whose it is.
    pub club_id: ClubId,
    /// The club's name.
    pub club_name: String,
}

/// The roads among the grounds of a round, or from one of them to the others: the shortest first, those corrected
/// always among them. Scope: the network.
pub(super) async fn of_round(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    round: RoundId,
    from: Option<GroundId>,
) -> Result<Vec<Road>> {
    rounds::find(tx, network, round).await?;
    let grounds = store::grounds_of_round(tx, network, round).await?;
    let entered: BTreeMap<_, _> = store::entered(tx, network).await?.into_iter().collect();
    let mut roads = Vec::new();
    for (at, one) in grounds.iter().enumerate() {
        for other in grounds.iter().skip(at + 1) {
            if from.is_none_or(|from| from == one.id || from == other.id) {
                roads.push(road(one, other, entered.get(&ordered(one.id, other.id)).copied())?);
            }
        }
    }
    roads.sort_by_key(Road::length_hm);
    let mut reckoned = 0;
    roads.retain(|road| {
        reckoned += usize::from(road.corrected_hm.is_none());
        road.corrected_hm.is_some() || reckoned <= MOST_RECKONED
    });
    Ok(roads)
}

/// Says how long the road between two grounds is.
///
/// # Errors
/// `not_found`, `not_your_role`; `invalid` for a road from a ground to itself or an impossible length.
pub async fn correct_road(tx: &mut Tx, member: &Member, ends: (GroundId, GroundId), said: CorrectRoad) -> Result<Road> {
    member.require(Act::RunRound, None)?;
    let (one, other) = both(tx, member.network_id, ends).await?;
    store::put(tx, member.network_id, ordered(one.id, other.id), said.road_hm).await?;
    road(&one, &other, Some(said.road_hm))
}

/// Lets the reckoned road between two grounds count again.
///
/// # Errors
/// `not_found`, `not_your_role`; `invalid` for a road from a ground to itself.
pub async fn forget_road(tx: &mut Tx, member: &Member, ends: (GroundId, GroundId)) -> Result<Road> {
    member.require(Act::RunRound, None)?;
    let (one, other) = both(tx, member.network_id, ends).await?;
    store::forget(tx, member.network_id, ordered(one.id, other.id)).await?;
    road(&one, &other, None)
}

async fn both(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    (one, other): (GroundId, GroundId),
) -> Result<(GroundRow, GroundRow)> {
    let ends = (store::ground(tx, network, one).await?, store::ground(tx, network, other).await?);
    if one == other {
        let same: Refused = invalid("other_ground_id", "A road leads from one ground to another.");
        return Err(same.into());
    }
    Ok(ends)
}

fn ordered(one: GroundId, other: GroundId) -> (GroundId, GroundId) {
    (one.min(other), one.max(other))
}

fn road(one: &GroundRow, other: &GroundRow, corrected_hm: Option<i32>) -> Result<Road> {
    let reckoned_hm = reckoned_hm(position(one)?, position(other)?);
    Ok(Road { from: end(one), to: end(other), reckoned_hm, corrected_hm })
}

/// Where a ground lies.
pub(super) fn position(ground: &GroundRow) -> Result<Position> {
    let position = Position::parse(ground.latitude_deg, ground.longitude_deg);
    Ok(position.context("the table admits positions on earth only")?)
}

/// A ground as the end of a road.
pub(super) fn end(ground: &GroundRow) -> RoadEnd {
    RoadEnd {
        ground_id: ground.id,
        ground_name: ground.name.clone(),
        club_id: ground.club_id,
        club_name: ground.club_name.clone(),
    }
}

impl Road {
    /// What counts.
    fn length_hm(&self) -> i64 {
        self.corrected_hm.map_or(self.reckoned_hm, i64::from)
    }
}
