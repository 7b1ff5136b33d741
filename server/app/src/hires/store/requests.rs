//! Queries on clubs' requests for places. Scope of all: the network.

use std::collections::BTreeSet;

use chrono::{NaiveDate, NaiveDateTime};
use diesel::dsl::auto_type;
use diesel::prelude::*;
use diesel_async::{AsyncPgConnection, RunQueryDsl};

use crate::access::Member;
use crate::error::Result;
use crate::hires::requests::RequestFacts;
use crate::hires::words::RequestState;
use crate::ids::{ClubId, GroundId, NetworkId, PitchId, RequestId, RoundId};
use crate::schema::{clubs, grounds, pitches, request_half_days, request_pitches, request_wishes, round_requests};
use crate::wire::PageQuery;

diesel::alias!(clubs as helpers: Helpers);

/// A request with the names that go with it.
#[derive(Queryable)]
pub(in crate::hires) struct RequestRow {
    pub(in crate::hires) id: RequestId,
    pub(in crate::hires) round_id: RoundId,
    pub(in crate::hires) club_id: ClubId,
    pub(in crate::hires) facts: RequestFacts,
    pub(in crate::hires) state: RequestState,
    pub(in crate::hires) version: i32,
    pub(in crate::hires) club_name: String,
    pub(in crate::hires) ground_name: String,
    pub(in crate::hires) helper_club_name: Option<String>,
}

/// What a change decides by.
#[derive(Queryable)]
pub(in crate::hires) struct Standing {
    pub(in crate::hires) round_id: RoundId,
    pub(in crate::hires) club_id: ClubId,
    pub(in crate::hires) state: RequestState,
    pub(in crate::hires) version: i32,
}

/// A request that holds together, to be kept.
pub(in crate::hires) struct Written {
    pub(in crate::hires) club_id: ClubId,
    pub(in crate::hires) facts: RequestFacts,
    pub(in crate::hires) pitch_ids: Vec<PitchId>,
    pub(in crate::hires) half_days: Vec<NaiveDateTime>,
    pub(in crate::hires) wishes: Vec<NaiveDate>,
}

#[auto_type]
fn requests_with_names() -> _ {
    let of_club = clubs::network_id.eq(round_requests::network_id).and(clubs::id.eq(round_requests::club_id));
    let of_ground = grounds::network_id.eq(round_requests::network_id).and(grounds::id.eq(round_requests::ground_id));
    let of_helper = helpers
        .field(clubs::network_id)
        .eq(round_requests::network_id)
        .and(helpers.field(clubs::id).nullable().eq(round_requests::helper_club_id));
    round_requests::table
        .inner_join(clubs::table.on(of_club))
        .inner_join(grounds::table.on(of_ground))
        .left_join(helpers.on(of_helper))
}

#[auto_type]
fn columns() -> _ {
    let facts: diesel::dsl::AsSelect<RequestFacts, diesel::pg::Pg> = RequestFacts::as_select();
    let helper = helpers.field(clubs::name).nullable();
    (
        round_requests::id,
        round_requests::round_id,
        round_requests::club_id,
        facts,
        round_requests::state,
        round_requests::version,
        clubs::name,
        grounds::name,
        helper,
    )
}

/// One request.
pub(in crate::hires) async fn find(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    id: RequestId,
) -> Result<RequestRow> {
    Ok(requests_with_names()
        .filter(round_requests::network_id.eq(network))
        .filter(round_requests::id.eq(id))
        .select(columns())
        .first(tx)
        .await?)
}

/// The requests of a round, as they were made; those taken back as well.
pub(in crate::hires) async fn list(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    round: RoundId,
    page: &PageQuery,
) -> Result<Vec<RequestRow>> {
    let mut query = requests_with_names()
        .filter(round_requests::network_id.eq(network))
        .filter(round_requests::round_id.eq(round))
        .select(columns())
        .order(round_requests::id)
        .limit(page.rows())
        .into_boxed();
    if let Some(after) = page.after::<RequestId>()? {
        query = query.filter(round_requests::id.gt(after));
    }
    Ok(query.load(tx).await?)
}

/// The requests of a round that are asked for, as they were made.
pub(in crate::hires) async fn asked(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    round: RoundId,
) -> Result<Vec<RequestRow>> {
    Ok(requests_with_names()
        .filter(round_requests::network_id.eq(network))
        .filter(round_requests::round_id.eq(round))
        .filter(round_requests::state.eq(RequestState::Asked))
        .select(columns())
        .order(round_requests::id)
        .load(tx)
        .await?)
}

/// What a change decides by, locked until the transaction ends.
pub(in crate::hires) async fn lock(tx: &mut AsyncPgConnection, network: NetworkId, id: RequestId) -> Result<Standing> {
    Ok(round_requests::table
        .find((network, id))
        .select((round_requests::round_id, round_requests::club_id, round_requests::state, round_requests::version))
        .for_update()
        .first(tx)
        .await?)
}

/// Those of some pitches that lie on a ground of a club: id and area, m².
pub(in crate::hires) async fn pitches_on(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    (club, ground): (ClubId, GroundId),
    ids: &BTreeSet<PitchId>,
) -> Result<Vec<(PitchId, i32)>> {
    Ok(pitches::table
        .filter(pitches::network_id.eq(network))
        .filter(pitches::club_id.eq(club))
        .filter(pitches::ground_id.eq(ground))
        .filter(pitches::id.eq_any(ids.iter().copied().collect::<Vec<_>>()))
        .select((pitches::id, pitches::area_m2))
        .load(tx)
        .await?)
}

/// The pitches of some requests: request, pitch, name, area in m²; by name.
pub(in crate::hires) async fn pitches_of(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    ids: &[RequestId],
) -> Result<Vec<(RequestId, PitchId, String, i32)>> {
    let of_pitch = pitches::network_id.eq(request_pitches::network_id).and(pitches::id.eq(request_pitches::pitch_id));
    Ok(request_pitches::table
        .inner_join(pitches::table.on(of_pitch))
        .filter(request_pitches::network_id.eq(network))
        .filter(request_pitches::request_id.eq_any(ids))
        .select((request_pitches::request_id, pitches::id, pitches::name, pitches::area_m2))
        .order((pitches::name, pitches::id))
        .load(tx)
        .await?)
}

/// The half-days of some requests, in order.
pub(in crate::hires) async fn half_days_of(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    ids: &[RequestId],
) -> Result<Vec<(RequestId, NaiveDateTime)>> {
    Ok(request_half_days::table
        .filter(request_half_days::network_id.eq(network))
        .filter(request_half_days::request_id.eq_any(ids))
        .select((request_half_days::request_id, request_half_days::half_day))
        .order(request_half_days::half_day)
        .load(tx)
        .await?)
}

/// The wishes of some requests, best first.
pub(in crate::hires) async fn wishes_of(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    ids: &[RequestId],
) -> Result<Vec<(RequestId, NaiveDate)>> {
    Ok(request_wishes::table
        .filter(request_wishes::network_id.eq(network))
        .filter(request_wishes::request_id.eq_any(ids))
        .select((request_wishes::request_id, request_wishes::wish_on))
        .order(request_wishes::rank)
        .load(tx)
        .await?)
}

/// Keeps a new request.
pub(in crate::hires) async fn insert(
    tx: &mut AsyncPgConnection,
    member: &Member,
    round: RoundId,
    id: RequestId,
    new: &Written,
) -> Result<()> {
    diesel::insert_into(round_requests::table)
        .values((
            round_requests::network_id.eq(member.network_id),
            round_requests::id.eq(id),
            round_requests::round_id.eq(round),
            round_requests::club_id.eq(new.club_id),
            &new.facts,
            round_requests::asked_by.eq(member.person_id),
        ))
        .execute(tx)
        .await?;
    insert_parts(tx, member.network_id, id, new).await
}

/// Gives a request other words, pitches and days.
pub(in crate::hires) async fn update(
    tx: &mut AsyncPgConnection,
    member: &Member,
    id: RequestId,
    new: &Written,
) -> Result<()> {
    let network = member.network_id;
    diesel::update(round_requests::table.find((network, id)))
        .set((
            &new.facts,
            round_requests::asked_by.eq(member.person_id),
            round_requests::version.eq(round_requests::version + 1),
        ))
        .execute(tx)
        .await?;
    diesel::delete(
        request_pitches::table
            .filter(request_pitches::network_id.eq(network))
            .filter(request_pitches::request_id.eq(id)),
    )
    .execute(tx)
    .await?;
    diesel::delete(
        request_half_days::table
            .filter(request_half_days::network_id.eq(network))
            .filter(request_half_days::request_id.eq(id)),
    )
    .execute(tx)
    .await?;
    diesel::delete(
        request_wishes::table.filter(request_wishes::network_id.eq(network)).filter(request_wishes::request_id.eq(id)),
    )
    .execute(tx)
    .await?;
    insert_parts(tx, network, id, new).await
}

/// Takes a request back.
pub(in crate::hires) async fn withdraw(tx: &mut AsyncPgConnection, member: &Member, id: RequestId) -> Result<()> {
    diesel::update(round_requests::table.find((member.network_id, id)))
        .set((
            round_requests::state.eq(RequestState::Withdrawn),
            round_requests::asked_by.eq(member.person_id),
            round_requests::version.eq(round_requests::version + 1),
        ))
        .execute(tx)
        .await?;
    Ok(())
}

async fn insert_parts(tx: &mut AsyncPgConnection, network: NetworkId, id: RequestId, new: &Written) -> Result<()> {
    let pitch = |pitch: &PitchId| {
        (
            request_pitches::network_id.eq(network),
            request_pitches::request_id.eq(id),
            request_pitches::club_id.eq(new.club_id),
            request_pitches::pitch_id.eq(*pitch),
        )
    };
    let half_day = |at: &NaiveDateTime| {
        (
            request_half_days::network_id.eq(network),
            request_half_days::request_id.eq(id),
            request_half_days::half_day.eq(*at),
        )
    };
    let wish = |(rank, day): (i32, &NaiveDate)| {
        (
            request_wishes::network_id.eq(network),
            request_wishes::request_id.eq(id),
            request_wishes::rank.eq(rank),
            request_wishes::wish_on.eq(*day),
        )
    };
    let pitches: Vec<_> = new.pitch_ids.iter().map(pitch).collect();
    let half_days: Vec<_> = new.half_days.iter().map(half_day).collect();
    let wishes: Vec<_> = (1..).zip(&new.wishes).map(wish).collect();
    diesel::insert_into(request_pitches::table).values(pitches).execute(tx).await?;
    diesel::insert_into(request_half_days::table).values(half_days).execute(tx).await?;
    diesel::insert_into(request_wishes::table).values(wishes).execute(tx).await?;
    Ok(())
}
