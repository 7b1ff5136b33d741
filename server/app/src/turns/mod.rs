//! Turns: the record of who had which days and who went without, over the seasons.
//!
//! Promises: an entry is made once for each request, when its round is agreed, and never changed (trigger
//! `turns_immutable`); where the round turns out otherwise, a later entry counters it and counts alone. What one counts
//! for is `logistics::turns` alone. Does not know how a round was planned.

mod http;
mod running;
mod store;
mod words;

use chrono::{DateTime, NaiveDate, Utc};
use diesel_async::AsyncPgConnection;
use logistics::turns::season_of;
use utoipa_actix_web::service_config::ServiceConfig;

pub use http::{ClubTurns, SeasonTurns, TurnEntry};
pub use logistics::turns::Outcome;
pub use running::guaranteed;
pub use store::entries_of;
pub use words::TurnKind;

use self::store::NewTurn;
use crate::error::Result;
use crate::ids::{ClubId, NetworkId, RequestId, RoundId};

/// The routes of this slice.
pub fn routes(config: &mut ServiceConfig) {
    config.service(http::list_turns);
}

/// Enters how each request came out of a round that begins on a day. Scope: the network.
///
/// # Errors
/// `never_edited` for a request whose turn is entered already.
pub async fn enter(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    (round, first_day): (RoundId, NaiveDate),
    outcomes: &[(RequestId, ClubId, Outcome)],
    now: DateTime<Utc>,
) -> Result<()> {
    let new: Vec<_> = outcomes.iter().map(|(request, club, outcome)| NewTurn::of(*request, *club, *outcome)).collect();
    store::insert(tx, network, (round, season_of(first_day)), &new, now).await
}

/// Corrects how requests came out of a round that begins on a day: each entry that differs is countered by a new one.
/// Scope: the network.
///
/// # Errors
/// `never_edited` where somebody else corrects the same at once.
pub async fn correct(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    (round, first_day): (RoundId, NaiveDate),
    outcomes: &[(RequestId, ClubId, Outcome)],
    now: DateTime<Utc>,
) -> Result<()> {
    let stand = store::standing(tx, network, round).await?;
    let new = |(request, club, outcome): &(RequestId, ClubId, Outcome)| {
        let new = NewTurn::of(*request, *club, *outcome);
        match stand.iter().find(|(of, ..)| of == request) {
            Some((.., kind)) if *kind == new.kind => None,
            stands => Some(NewTurn { counters: stands.map(|(_, turn, _)| *turn), ..new }),
        }
    };
    let new: Vec<NewTurn> = outcomes.iter().filter_map(new).collect();
    store::insert(tx, network, (round, season_of(first_day)), &new, now).await
}
