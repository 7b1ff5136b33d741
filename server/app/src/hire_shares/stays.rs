//! Who has a hired machine when, where, and for how much work: by bookings that are agreed, or by a plan.

use std::collections::HashMap;

use anyhow::Context;
use diesel_async::AsyncPgConnection;
use logistics::distance::Position;
use logistics::half_days::HalfDaySpan;
use logistics::roads::reckoned_hm;

use super::pace::Pace;
use super::store::stays::{self as store, GroundRow, RequestRow, StayRow};
use super::worked::{SignedHours, Worked};
use crate::error::Result;
use crate::hires::corrected_depot_roads;
use crate::ids::{ClubId, GroundId, HireId, NetworkId};

/// A club's time with a hired machine.
#[derive(Debug, Clone, Copy)]
pub(super) struct Stay {
    /// Whose.
    pub(super) club_id: ClubId,
    /// Where the work is.
    pub(super) place: Place,
    /// When.
    pub(super) span: HalfDaySpan,
    /// Ground worked, m².
    pub(super) area_m2: i64,
    /// How long the machine works there.
    pub(super) worked: Worked,
    /// Road a lent tractor drives over and back, 0.1 km.
    pub(super) helper_hm: i64,
}

/// A ground, or a depot.
#[derive(Debug, Clone, Copy)]
pub(super) struct Place {
    ground_id: Option<GroundId>,
    depot_of: Option<HireId>,
    position: Position,
}

/// Road as a coordinator entered it, else as one would expect it.
#[derive(Debug, Default)]
pub(super) struct Roads {
    of_grounds: HashMap<(GroundId, GroundId), i32>,
    of_depots: HashMap<(HireId, GroundId), i32>,
}

/// The stays of one hire, and the roads between their places.
#[derive(Debug)]
pub(super) struct Journey {
    pub(super) stays: Vec<Stay>,
    pub(super) roads: Roads,
}

impl Place {
    /// The depot of a hire.
    pub(super) fn depot(hire: HireId, latitude_deg: f64, longitude_deg: f64) -> Result<Self> {
        Ok(Self { ground_id: None, depot_of: Some(hire), position: position(latitude_deg, longitude_deg)? })
    }

    fn of(ground: &GroundRow) -> Result<Self> {
        let position = position(ground.latitude_deg, ground.longitude_deg)?;
        Ok(Self { ground_id: Some(ground.id), depot_of: None, position })
    }
}

fn position(latitude_deg: f64, longitude_deg: f64) -> Result<Position> {
    Ok(Position::parse(latitude_deg, longitude_deg).context("the tables admit places on Earth only")?)
}

impl Roads {
    /// Road between two places, 0.1 km.
    pub(super) fn between_hm(&self, from: &Place, to: &Place) -> i64 {
        let pair = from.ground_id.zip(to.ground_id).map(|(a, b)| (a.min(b), a.max(b)));
        let depot = from.depot_of.zip(to.ground_id).or(to.depot_of.zip(from.ground_id));
        let entered = pair.and_then(|pair| self.of_grounds.get(&pair)).or_else(|| self.of_depots.get(&depot?));
        entered.map_or_else(|| reckoned_hm(from.position, to.position), |&road_hm| i64::from(road_hm))
    }
}

impl Journey {
    /// Puts rows together with what their requests say: the ground, the pitches, the neighbour who helps.
    pub(super) async fn of(
        tx: &mut AsyncPgConnection,
        network: NetworkId,
        (pace, signed): (Pace, &SignedHours),
        rows: Vec<StayRow>,
    ) -> Result<Self> {
        let ids: Vec<_> = rows.iter().map(|row| row.request_id).collect();
        let requests = store::requests(tx, network, &ids).await?;
        let areas = store::areas(tx, network, &ids).await?;
        let helpers: Vec<ClubId> = requests.values().filter_map(|request| request.helper_club_id).collect();
        let yards = store::grounds_of(tx, network, &helpers).await?;
        let of_depots = corrected_depot_roads(tx, network).await?.into_iter().collect();
        let roads = Roads { of_grounds: store::roads(tx, network).await?, of_depots };
        let mut stays = Vec::new();
        for row in rows {
            let request = requests.get(&row.request_id).context("a stay is of a request")?;
            let area_m2 = areas.get(&row.request_id).copied().unwrap_or(0);
            stays.push(Stay {
                club_id: request.club_id,
                place: Place::of(&request.ground)?,
                span: row.span.0,
                area_m2,
                worked: signed.worked(row.booking_id, pace, area_m2, row.span.0.half_days()),
                helper_hm: helper_hm(request, &yards, &roads)?,
            });
        }
        Ok(Self { stays, roads })
    }
}

/// From the nearest of the neighbour's grounds and back; nothing with a tractor of one's own.
fn helper_hm(request: &RequestRow, yards: &[GroundRow], roads: &Roads) -> Result<i64> {
    let work = Place::of(&request.ground)?;
    let of_helper = yards.iter().filter(|yard| Some(yard.club_id) == request.helper_club_id);
    let ways = of_helper.map(|yard| Ok(2 * roads.between_hm(&Place::of(yard)?, &work)));
    Ok(ways.collect::<Result<Vec<i64>>>()?.into_iter().min().unwrap_or(0))
}
