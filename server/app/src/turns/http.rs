//! Turns over HTTP.

use actix_web::get;
use actix_web::web::{Data, Json, Path};
use chrono::{DateTime, Utc};
use logistics::turns::{Entry, Turn, balance, season_of, weight};
use serde::Serialize;
use utoipa::ToSchema;

use super::running::latest_rounds;
use super::store::{self, TurnRow};
use super::words::TurnKind;
use crate::access::{Act, Caller, enter};
use crate::error::Result;
use crate::ids::{ClubId, NetworkId, RoundId, TurnId};
use crate::service::Service;
use crate::time::{today, zone_of};

/// How a club stands after what it had and went without.
#[derive(Debug, Serialize, ToSchema)]
pub struct ClubTurns {
    /// The club.
    pub club_id: ClubId,
    /// Its name.
    pub club_name: String,
    /// −9 to 9; positive for a club that gave way. What a request of it now weighs more than its need.
    pub balance: i64,
    /// What a request of it weighs now, for a need of 1, 2 … 5.
    pub weights: Vec<i64>,
    /// In how many of its latest rounds running it was left out.
    pub left_out_running: usize,
    /// What the balance is made of, from the season of its first entry to the present one, latest first.
    pub seasons: Vec<SeasonTurns>,
}

/// What a season added to a club's balance.
#[derive(Debug, Serialize, ToSchema)]
pub struct SeasonTurns {
    /// The year the season began in.
    pub season: i32,
    /// What was left of the balance before: half, toward zero.
    pub carried: i64,
    /// What the season's rounds added, latest first.
    pub entries: Vec<TurnEntry>,
    /// The two together, kept within −9 and 9.
    pub balance: i64,
}

/// How a request came out of a round.
#[derive(Debug, Serialize, ToSchema)]
pub struct TurnEntry {
    /// The entry.
    pub turn_id: TurnId,
    /// The round.
    pub round_id: RoundId,
    /// Its title.
    pub round_title: String,
    /// The ground the request was for.
    pub ground_name: String,
    /// What happened.
    pub kind: TurnKind,
    /// What it adds to the balance.
    pub points: i64,
    /// When the round was agreed.
    pub entered_at: DateTime<Utc>,
}

/// List the turns of all clubs
///
/// Those that asked in a round which was agreed, by name; every other club stands at 0. Everybody sees everybody's: it is
/// what makes a round fair.
#[utoipa::path(tag = "rounds", responses((status = 200, body = Vec<ClubTurns>)))]
#[get("/networks/{network_id}/turns")]
pub async fn list_turns(
    service: Data<Service>,
    caller: Caller,
    network: Path<NetworkId>,
) -> Result<Json<Vec<ClubTurns>>> {
    let (mut tx, member) = enter(&service, &caller, *network).await?;
    member.require(Act::SeeNetwork, None)?;
    let season = season_of(today(zone_of(&mut tx, *network).await?, Utc::now()));
    let rows = store::list(&mut tx, *network).await?;
    let rounds = latest_rounds(&mut tx, *network).await?;
    let of_club = |rows: &[TurnRow]| {
        let first = rows.first()?;
        let left_out = rounds.get(&first.club_id).map(Vec::as_slice).unwrap_or_default();
        Some(view(first, rows, left_out, season))
    };
    Ok(Json(rows.chunk_by(|one, next| one.club_id == next.club_id).filter_map(of_club).collect()))
}

fn view(club: &TurnRow, rows: &[TurnRow], left_out: &[bool], season: i32) -> ClubTurns {
    let begun = rows
        .iter()
        .map(|row| row.season)
        .fold((season, season), |(first, last), of_row| (first.min(of_row), last.max(of_row)));
    let balance = balance(&entries(rows), season);
    ClubTurns {
        club_id: club.club_id,
        club_name: club.club_name.clone(),
        balance,
        weights: (1..=5).map(|need| weight(need, balance)).collect(),
        left_out_running: left_out.iter().take_while(|&&left_out| left_out).count(),
        seasons: (begun.0..=begun.1).rev().map(|season| of_season(rows, season)).collect(),
    }
}

fn of_season(rows: &[TurnRow], season: i32) -> SeasonTurns {
    let before: Vec<Entry> = entries(rows).into_iter().filter(|entry| entry.season < season).collect();
    SeasonTurns {
        season,
        carried: balance(&before, season),
        entries: rows.iter().filter(|row| row.season == season).map(entry).collect(),
        balance: balance(&entries(rows), season),
    }
}

fn entries(rows: &[TurnRow]) -> Vec<Entry> {
    rows.iter().map(|row| Entry { season: row.season, turn: row.kind.into() }).collect()
}

fn entry(row: &TurnRow) -> TurnEntry {
    TurnEntry {
        turn_id: row.id,
        round_id: row.round_id,
        round_title: row.round_title.clone(),
        ground_name: row.ground_name.clone(),
        kind: row.kind,
        points: Turn::from(row.kind).points(),
        entered_at: row.entered_at,
    }
}
