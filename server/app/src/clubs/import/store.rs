//! Queries of the import. All in the scope of the network.

use diesel::prelude::*;
use diesel_async::{AsyncPgConnection, RunQueryDsl};

use super::super::club::ClubFacts;
use super::super::ground::GroundFacts;
use super::plan::{Known, Places, Plan};
use crate::error::Result;
use crate::ids::{ClubId, GroundId, NetworkId};
use crate::schema::{clubs, grounds, pitches};

/// Every place of the network, by name.
pub(super) async fn known_places(tx: &mut AsyncPgConnection, network: NetworkId) -> Result<Places> {
    let of_clubs: Vec<(ClubId, ClubFacts)> =
        clubs::table.filter(clubs::network_id.eq(network)).select((clubs::id, ClubFacts::as_select())).load(tx).await?;
    let of_grounds: Vec<(GroundId, ClubId, GroundFacts)> = grounds::table
        .filter(grounds::network_id.eq(network))
        .select((grounds::id, grounds::club_id, GroundFacts::as_select()))
        .load(tx)
        .await?;
    let of_pitches: Vec<(GroundId, String)> = pitches::table
        .filter(pitches::network_id.eq(network))
        .select((pitches::ground_id, pitches::name))
        .load(tx)
        .await?;
    let clubs = of_clubs.into_iter().map(|(id, facts)| (facts.name().to_owned(), known(id, facts)));
    let grounds = of_grounds.into_iter().map(|(id, club, facts)| ((club, facts.name().to_owned()), known(id, facts)));
    let pitches = of_pitches.into_iter().map(|pitch| (pitch, None));
    Ok(Places { clubs: clubs.collect(), grounds: grounds.collect(), pitches: pitches.collect() })
}

fn known<I, F>(id: I, facts: F) -> Known<I, F> {
    Known { id, facts, said_in: None }
}

/// Adds what was planned.
pub(super) async fn add(tx: &mut AsyncPgConnection, network: NetworkId, plan: &Plan) -> Result<()> {
    let rows: Vec<_> =
        plan.clubs.iter().map(|(id, facts)| (clubs::network_id.eq(network), clubs::id.eq(id), facts)).collect();
    diesel::insert_into(clubs::table).values(rows).execute(tx).await?;
    let rows: Vec<_> = plan
        .grounds
        .iter()
        .map(|(id, club, facts)| {
            (grounds::network_id.eq(network), grounds::id.eq(id), grounds::club_id.eq(club), facts)
        })
        .collect();
    diesel::insert_into(grounds::table).values(rows).execute(tx).await?;
    let rows: Vec<_> = plan
        .pitches
        .iter()
        .map(|(id, ground, club, facts)| {
            (
                pitches::network_id.eq(network),
                pitches::id.eq(id),
                pitches::ground_id.eq(ground),
                pitches::club_id.eq(club),
                facts,
            )
        })
        .collect();
    diesel::insert_into(pitches::table).values(rows).execute(tx).await?;
    Ok(())
}
