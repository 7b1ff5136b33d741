//! What clubs' turns in other rounds count for in this one.

use std::collections::BTreeMap;

use diesel_async::AsyncPgConnection;
use logistics::turns::{Entry, balance, season_of};

use crate::error::Result;
use crate::hires::RoundFacts;
use crate::ids::{ClubId, NetworkId};
use crate::turns;

/// What a club's turns come to.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub(super) struct HasTurns {
    /// Its balance; positive for a club that gave way.
    pub(super) balance: i64,
    /// Whether it went without so often running that it is served first.
    pub(super) is_guaranteed: bool,
}

/// What the turns of clubs come to, those of the round itself aside; clubs without turns are not named. Scope: the
/// network.
pub(super) async fn of_clubs(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    round: &RoundFacts,
) -> Result<BTreeMap<ClubId, HasTurns>> {
    let mut entries: BTreeMap<ClubId, Vec<Entry>> = BTreeMap::new();
    for (club, entry) in turns::entries_of(tx, network, round.round_id).await? {
        entries.entry(club).or_default().push(entry);
    }
    let after = usize::try_from(round.guarantee_after).unwrap_or(0);
    let guaranteed = turns::guaranteed(tx, network, round.round_id, after).await?;
    let season = season_of(round.from_on);
    let has = |(club, entries): (ClubId, Vec<Entry>)| {
        let has = HasTurns { balance: balance(&entries, season), is_guaranteed: guaranteed.contains(&club) };
        (club, has)
    };
    Ok(entries.into_iter().map(has).collect())
}
