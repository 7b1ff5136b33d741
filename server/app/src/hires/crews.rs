//! Tractors with operators in a round: how many a club has, and whether a neighbour may ask with one.
//!
//! A club that says nothing has one and lends it. What a club says cannot contradict a request that counts on it, and
//! the other way round; both look while they hold the round, so neither slips past the other.

use diesel_async::AsyncPgConnection;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::requests::RequestFacts;
use super::store::{self as rounds, crews as store};
use super::words::{RoundState, Tractor};
use crate::access::{Act, Member};
use crate::database::Tx;
use crate::error::{Code, Result, invalid, refuse};
use crate::ids::{ClubId, NetworkId, RoundId};

/// What a club that says nothing has.
const USUAL: (i32, bool) = (1, true);

/// How many tractors with operators a club has in a round.
#[derive(Debug, Clone, Copy, Serialize, Deserialize, ToSchema)]
pub struct SayCrews {
    /// How many can work at once; 0 for none.
    #[schema(minimum = 0, maximum = 20)]
    pub crews: i32,
    /// Whether a neighbour may ask with one of them.
    pub lends: bool,
}

/// What a club has in a round.
#[derive(Debug, Serialize, ToSchema)]
pub struct ClubCrews {
    /// The club.
    pub club_id: ClubId,
    /// Its name.
    pub club_name: String,
    /// How many tractors with operators can work at once.
    pub crews: i32,
    /// Whether a neighbour may ask with one of them.
    pub lends: bool,
}

/// What clubs said otherwise than the usual, by name. Scope: the network.
pub(super) async fn said(tx: &mut AsyncPgConnection, network: NetworkId, round: RoundId) -> Result<Vec<ClubCrews>> {
    rounds::find(tx, network, round).await?;
    let rows = store::list(tx, network, round).await?;
    let view = |row: store::CrewsRow| ClubCrews {
        club_id: row.club_id,
        club_name: row.club_name,
        crews: row.crews,
        lends: row.lends && row.crews > 0,
    };
    Ok(rows.into_iter().map(view).collect())
}

/// Says how many tractors with operators a club has in a round.
///
/// # Errors
/// `not_found`, `not_your_role`; `round_not_gathering` once places are offered; `tractor_counted_on` where a request
/// counts on what would no longer be there; `invalid` for an impossible number.
pub async fn say_crews(
    tx: &mut Tx,
    member: &Member,
    round: RoundId,
    club: ClubId,
    said: SayCrews,
) -> Result<ClubCrews> {
    let network = member.network_id;
    member.require(Act::AskForPlace, Some(club))?;
    let club_name = store::club_name(tx, network, club).await?;
    match rounds::lock(tx, network, round).await?.state {
        RoundState::Gathering | RoundState::RequestsClosed => {}
        RoundState::Offered | RoundState::Agreed | RoundState::Finished | RoundState::CalledOff => {
            return Err(refuse(Code::RoundNotGathering, "Places are offered already, or it was called off.").into());
        }
    }
    let lends = said.lends && said.crews > 0;
    let counting: Vec<String> = store::counting_on(tx, network, (round, club))
        .await?
        .into_iter()
        .filter(|(other, _)| if *other == club { said.crews == 0 } else { !lends })
        .map(|(_, name)| name)
        .collect();
    if !counting.is_empty() {
        let names = counting.join(", ");
        let words = format!("{names} asked with a tractor of {club_name}. Let that request be changed first.");
        return Err(refuse(Code::TractorCountedOn, words).into());
    }
    match (said.crews, lends) == USUAL {
        true => store::forget(tx, network, (round, club)).await?,
        false => store::put(tx, network, (round, club), (said.crews, lends)).await?,
    }
    Ok(ClubCrews { club_id: club, club_name, crews: said.crews, lends })
}

/// Refuses a request whose tractor is not there. Asked after the request is written, which holds the round.
pub(super) async fn tractor_is_there(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    (round, club): (RoundId, ClubId),
    facts: &RequestFacts,
) -> Result<()> {
    let whose = facts.helper_club_id.unwrap_or(club);
    let (crews, lends) = store::find(tx, network, (round, whose)).await?.unwrap_or(USUAL);
    match facts.tractor {
        Tractor::Own if crews == 0 => {
            Err(invalid("tractor", "The club said that it has no tractor in this round. Change that first.").into())
        }
        Tractor::Neighbour if !lends => {
            let name = store::club_name(tx, network, whose).await?;
            Err(invalid("helper_club_id", format!("{name} lends no tractor in this round.")).into())
        }
        Tractor::Neighbour if !store::has_ground(tx, network, whose).await? => {
            let name = store::club_name(tx, network, whose).await?;
            let words = format!("{name} has no ground entered, so nobody knows how far its tractor has to come.");
            Err(invalid("helper_club_id", words).into())
        }
        Tractor::Own | Tractor::Neighbour => Ok(()),
    }
}
