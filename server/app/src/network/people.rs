//! The people of a network and their places in it.

use std::collections::HashMap;

use diesel::prelude::*;
use diesel_async::{AsyncPgConnection, RunQueryDsl};
use serde::Serialize;
use utoipa::ToSchema;

use crate::access::{Act, Member, Role};
use crate::database::Tx;
use crate::error::{Code, Result, not_found, refuse};
use crate::ids::{ClubId, MembershipId, NetworkId, PersonId};
use crate::schema::{clubs, memberships, people};
use crate::wire::PageQuery;

/// A person of the network, with the places the asker may see.
#[derive(Debug, Serialize, ToSchema)]
pub struct PersonInNetwork {
    /// Who.
    pub person_id: PersonId,
    /// As others see it.
    pub name: String,
    /// Where they are reached.
    pub email: String,
    /// What they are there.
    pub roles: Vec<HeldRole>,
}

/// A role a person holds, in the network or a club.
#[derive(Debug, Serialize, ToSchema)]
pub struct HeldRole {
    /// The place itself; ending it takes the role away.
    pub membership_id: MembershipId,
    /// Which role.
    pub role: Role,
    /// The club; null for a coordinator.
    pub club_id: Option<ClubId>,
    /// Its name.
    pub club_name: Option<String>,
}

/// A person by name, without places.
pub(super) type Named = (PersonId, String, String);

/// People by name, of some clubs or (none given) of the whole network. Scope: the network.
pub(super) async fn list(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    of_clubs: Option<&[ClubId]>,
    page: &PageQuery,
) -> Result<Vec<Named>> {
    let mut places =
        memberships::table.filter(memberships::network_id.eq(network)).select(memberships::person_id).into_boxed();
    if let Some(clubs) = of_clubs {
        places = places.filter(memberships::club_id.eq_any(clubs.to_vec()));
    }
    let mut query = people::table
        .filter(people::id.eq_any(places))
        .select((people::id, people::name, people::email))
        .order((people::name, people::id))
        .limit(page.rows())
        .into_boxed();
    if let Some((name, id)) = page.after::<(String, PersonId)>()? {
        query = query.filter(people::name.gt(name.clone()).or(people::name.eq(name).and(people::id.gt(id))));
    }
    Ok(query.load(tx).await?)
}

/// Whose place, the place, role, club and its name.
type PlaceRow = (PersonId, MembershipId, String, Option<ClubId>, Option<String>);

/// The places of some people, in some clubs or (none given) in the whole network. Scope: the network.
pub(super) async fn places(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    of_clubs: Option<&[ClubId]>,
    of_people: &[PersonId],
) -> Result<HashMap<PersonId, Vec<HeldRole>>> {
    let mut query = memberships::table
        .left_join(
            clubs::table
                .on(clubs::network_id.eq(memberships::network_id).and(clubs::id.nullable().eq(memberships::club_id))),
        )
        .filter(memberships::network_id.eq(network))
        .filter(memberships::person_id.eq_any(of_people))
        .select((
            memberships::person_id,
            memberships::id,
            memberships::role,
            memberships::club_id,
            clubs::name.nullable(),
        ))
        .order(memberships::id)
        .into_boxed();
    if let Some(clubs) = of_clubs {
        query = query.filter(memberships::club_id.eq_any(clubs.to_vec()));
    }
    let rows: Vec<PlaceRow> = query.load(tx).await?;
    let mut places: HashMap<PersonId, Vec<HeldRole>> = HashMap::new();
    for (person, membership_id, role, club_id, club_name) in rows {
        let Some(role) = Role::parse(&role) else { continue };
        places.entry(person).or_default().push(HeldRole { membership_id, role, club_id, club_name });
    }
    Ok(places)
}

/// Takes a role away.
///
/// # Errors
/// `not_found`, `not_your_role`, `last_coordinator`.
pub async fn end_membership(tx: &mut Tx, member: &Member, id: MembershipId) -> Result<()> {
    let network = member.network_id;
    let club: Option<ClubId> =
        memberships::table.find((network, id)).select(memberships::club_id).first(&mut **tx).await?;
    match club {
        Some(club) => member.require(Act::ManagePeople, Some(club))?,
        None => {
            member.require(Act::ManageCoordinators, None)?;
            keep_one_coordinator(tx, network, id).await?;
        }
    }
    diesel::delete(memberships::table.find((network, id))).execute(&mut **tx).await?;
    Ok(())
}

/// Refuses to end the last coordinator's place. Locks all of them first, so that two who leave at once wait for each
/// other and the second sees that the first has gone.
async fn keep_one_coordinator(tx: &mut AsyncPgConnection, network: NetworkId, leaving: MembershipId) -> Result<()> {
    let coordinators: Vec<MembershipId> = memberships::table
        .filter(memberships::network_id.eq(network))
        .filter(memberships::role.eq(Role::Coordinator.as_str()))
        .select(memberships::id)
        .order(memberships::id)
        .for_update()
        .load(tx)
        .await?;
    if !coordinators.contains(&leaving) {
        return Err(not_found().into());
    }
    if coordinators.len() == 1 {
        let detail = "Invite another coordinator first; a network without one could not be run.";
        return Err(refuse(Code::LastCoordinator, detail).into());
    }
    Ok(())
}
