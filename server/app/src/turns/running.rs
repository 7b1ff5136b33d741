//! How often a club was left out running, and which clubs are therefore served first.

use std::collections::{BTreeMap, BTreeSet};

use diesel_async::AsyncPgConnection;
use logistics::turns::is_guaranteed;

use super::store;
use super::words::TurnKind;
use crate::error::Result;
use crate::ids::{ClubId, NetworkId, RoundId};

/// The clubs that were left out of each of the last so many rounds they asked in, one round aside; none for 0. Scope:
/// the network.
///
/// # Errors
/// A failing database.
pub async fn guaranteed(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    aside: RoundId,
    after: usize,
) -> Result<BTreeSet<ClubId>> {
    let mut rows = store::by_round(tx, network).await?;
    rows.retain(|(_, round, _)| *round != aside);
    let rounds = left_out_by_round(&rows);
    Ok(rounds.into_iter().filter(|(_, left_out)| is_guaranteed(left_out, after)).map(|(club, _)| club).collect())
}

/// Whether each club was left out of its rounds, the latest first.
pub(super) async fn latest_rounds(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
) -> Result<BTreeMap<ClubId, Vec<bool>>> {
    Ok(left_out_by_round(&store::by_round(tx, network).await?))
}

/// A club with several grounds in a round was left out of it only where all of them were.
fn left_out_by_round(rows: &[(ClubId, RoundId, TurnKind)]) -> BTreeMap<ClubId, Vec<bool>> {
    let mut clubs: BTreeMap<ClubId, Vec<bool>> = BTreeMap::new();
    for of_round in rows.chunk_by(|one, next| (one.0, one.1) == (next.0, next.1)) {
        let Some((club, ..)) = of_round.first() else { continue };
        let left_out = of_round.iter().all(|(.., kind)| *kind == TurnKind::LeftOut);
        clubs.entry(*club).or_default().push(left_out);
    }
    clubs
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_club_with_one_of_two_grounds_served_was_not_left_out() {
        let (club, other) = (ClubId::new(), ClubId::new());
        let (late, early) = (RoundId::new(), RoundId::new());
        let rows = [
            (club, late, TurnKind::LeftOut),
            (club, late, TurnKind::Served),
            (club, early, TurnKind::LeftOut),
            (club, early, TurnKind::LeftOut),
            (other, late, TurnKind::LeftOut),
        ];
        let clubs = left_out_by_round(&rows);
        assert_eq!((&clubs[&club], &clubs[&other]), (&vec![false, true], &vec![true]));
    }
}
