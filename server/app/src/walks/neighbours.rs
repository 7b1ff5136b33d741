//! Which pitches a pitch is compared with: those of other clubs that were walked lately, near by, alike.

use std::collections::HashMap;

use anyhow::Context;
use chrono::NaiveDate;
use comparison::criteria::Criterion;
use diesel::dsl::avg;
use diesel::prelude::*;
use diesel_async::{AsyncPgConnection, RunQueryDsl};
use logistics::distance::{BoundingBox, Position, bounding_box, geodesic_km};

use crate::clubs::{Sharing, Soil, Sport};
use crate::error::Result;
use crate::ids::{ClubId, NetworkId, PitchId, SchemeId, WalkId};
use crate::schema::{clubs, grounds, pitches, readings, walks};

/// Which others to look for.
pub(super) struct Search {
    pub(super) circle: Circle,
    /// Only this sport; none for any.
    pub(super) sport: Option<Sport>,
    /// Only this soil; none for any.
    pub(super) soil: Option<Soil>,
    /// Only walks of this day or later.
    pub(super) since: NaiveDate,
}

/// How far to look.
#[derive(Clone, Copy)]
pub(super) enum Circle {
    /// Kilometres, as the crow flies.
    WithinKm(i32),
    /// This many pitches, nearest first.
    Nearest(usize),
}

/// The pitch that asks.
#[derive(Queryable)]
pub(super) struct Place {
    pub(super) pitch_id: PitchId,
    pub(super) pitch_name: String,
    pub(super) club_id: ClubId,
    pub(super) club_name: String,
    pub(super) sport: Sport,
    pub(super) soil: Soil,
    at: (f64, f64),
}

/// The latest walk of a pitch.
#[derive(Queryable, Selectable)]
#[diesel(table_name = walks)]
pub(super) struct LatestWalk {
    pub(super) id: WalkId,
    pub(super) scheme_id: SchemeId,
    pub(super) walked_on: NaiveDate,
    pub(super) score: f64,
    pub(super) score_se: f64,
}

/// A pitch to compare with.
pub(super) struct Neighbour {
    pub(super) walk: LatestWalk,
    pub(super) pitch_name: String,
    pub(super) club_name: String,
    pub(super) sharing: Sharing,
    pub(super) distance_km: f64,
}

fn position((latitude_deg, longitude_deg): (f64, f64)) -> Result<Position> {
    Ok(Position::parse(latitude_deg, longitude_deg).context("a stored ground is on the map")?)
}

/// The pitch that asks. Scope: the network.
pub(super) async fn place(tx: &mut AsyncPgConnection, network: NetworkId, pitch: PitchId) -> Result<Place> {
    let on_ground = grounds::network_id.eq(pitches::network_id).and(grounds::id.eq(pitches::ground_id));
    let of_club = clubs::network_id.eq(pitches::network_id).and(clubs::id.eq(pitches::club_id));
    Ok(pitches::table
        .inner_join(grounds::table.on(on_ground))
        .inner_join(clubs::table.on(of_club))
        .filter(pitches::network_id.eq(network))
        .filter(pitches::id.eq(pitch))
        .select((
            pitches::id,
            pitches::name,
            clubs::id,
            clubs::name,
            pitches::sport,
            grounds::soil,
            (grounds::latitude_deg, grounds::longitude_deg),
        ))
        .first(tx)
        .await?)
}

/// The latest walk of a pitch since a day. Scope: the network.
pub(super) async fn latest_walk(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    pitch: PitchId,
    since: NaiveDate,
) -> Result<Option<LatestWalk>> {
    let walk = walks::table
        .filter(walks::network_id.eq(network))
        .filter(walks::pitch_id.eq(pitch))
        .filter(walks::walked_on.ge(since))
        .order((walks::walked_on.desc(), walks::id.desc()))
        .select(LatestWalk::as_select())
        .first(tx)
        .await;
    Ok(walk.optional()?)
}

/// The pitches of other clubs to compare with, nearest first. Scope: the network.
///
/// The club's own other pitches stay out: they would fill up the number that keeps other clubs from being told apart.
pub(super) async fn neighbours(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    place: &Place,
    search: &Search,
) -> Result<Vec<Neighbour>> {
    let centre = position(place.at)?;
    let within = match search.circle {
        Circle::WithinKm(km) => Some(bounding_box(centre, f64::from(km)).context("a distance is positive")?),
        Circle::Nearest(_) => None,
    };
    let mut found = Vec::new();
    for (walk, pitch, pitch_name, club_name, sharing, at) in candidates(tx, network, place, search, within).await? {
        let distance_km = geodesic_km(centre, position(at)?);
        found.push((pitch, Neighbour { walk, pitch_name, club_name, sharing, distance_km }));
    }
    // Of pitches on one ground the earlier entered is the nearer: always the same ones are taken.
    found.sort_by(|(a, left), (b, right)| left.distance_km.total_cmp(&right.distance_km).then(a.cmp(b)));
    let found = found.into_iter().map(|(_, neighbour)| neighbour);
    Ok(match search.circle {
        Circle::WithinKm(km) => found.take_while(|each| each.distance_km <= f64::from(km)).collect(),
        Circle::Nearest(most) => found.take(most).collect(),
    })
}

type Candidate = (LatestWalk, PitchId, String, String, Sharing, (f64, f64));

/// Each pitch of another club in the box that fits the search, with its latest walk.
async fn candidates(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    place: &Place,
    search: &Search,
    within: Option<BoundingBox>,
) -> Result<Vec<Candidate>> {
    let of_pitch = pitches::network_id.eq(walks::network_id).and(pitches::id.eq(walks::pitch_id));
    let on_ground = grounds::network_id.eq(pitches::network_id).and(grounds::id.eq(pitches::ground_id));
    let of_club = clubs::network_id.eq(pitches::network_id).and(clubs::id.eq(pitches::club_id));
    let at = (grounds::latitude_deg, grounds::longitude_deg);
    let mut query = walks::table
        .inner_join(pitches::table.on(of_pitch))
        .inner_join(grounds::table.on(on_ground))
        .inner_join(clubs::table.on(of_club))
        .filter(walks::network_id.eq(network))
        .filter(walks::club_id.ne(place.club_id))
        .filter(walks::walked_on.ge(search.since))
        .distinct_on(walks::pitch_id)
        .order((walks::pitch_id, walks::walked_on.desc(), walks::id.desc()))
        .select((LatestWalk::as_select(), pitches::id, pitches::name, clubs::name, clubs::sharing, at))
        .into_boxed();
    if let Some(sport) = search.sport {
        query = query.filter(pitches::sport.eq(sport));
    }
    if let Some(soil) = search.soil {
        query = query.filter(grounds::soil.eq(soil));
    }
    if let Some(within) = within {
        query = query
            .filter(grounds::latitude_deg.between(within.south_deg, within.north_deg))
            .filter(grounds::longitude_deg.between(within.west_deg, within.east_deg));
    }
    Ok(query.load(tx).await?)
}

/// The mean reading of each criterion of walks, in one query. Scope: the network.
pub(super) async fn means(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    ids: &[WalkId],
) -> Result<HashMap<WalkId, Vec<(Criterion, f64)>>> {
    let rows: Vec<(WalkId, String, Option<f64>)> = readings::table
        .filter(readings::network_id.eq(network))
        .filter(readings::walk_id.eq_any(ids))
        .group_by((readings::walk_id, readings::criterion))
        .select((readings::walk_id, readings::criterion, avg(readings::value)))
        .load(tx)
        .await?;
    let mut means: HashMap<WalkId, Vec<(Criterion, f64)>> = HashMap::new();
    for (walk, criterion, mean) in rows {
        let criterion = Criterion::parse(&criterion).context("a stored criterion is known")?;
        means.entry(walk).or_default().push((criterion, mean.context("a group has readings")?));
    }
    Ok(means)
}
