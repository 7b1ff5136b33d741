//! Queries on accounts and memberships.

use chrono::{DateTime, Utc};
use diesel::dsl::exists;
use diesel::prelude::*;
use diesel_async::{AsyncPgConnection, RunQueryDsl};
use uuid::Uuid;

use super::roles::Role;
use crate::error::{Refused, Result, invalid};
use crate::ids::{ClubId, MembershipId, NetworkId, PersonId};
use crate::schema::{clubs, memberships, networks, people, refresh_tokens};

/// An account as needed to sign in.
#[derive(Queryable, Selectable)]
#[diesel(table_name = people)]
pub(super) struct Person {
    pub(super) id: PersonId,
    pub(super) email: String,
    pub(super) name: String,
    pub(super) password_hash: String,
}

/// An address as accounts keep it: trimmed, lower case.
///
/// # Errors
/// `invalid` for what cannot be a mail address.
pub fn email_parse(text: &str) -> Result<String, Refused> {
    let email = text.trim().to_lowercase();
    match email.parse::<lettre::Address>() {
        Ok(_) if email.len() <= 254 => Ok(email),
        _ => Err(invalid("email", "This does not look like an e-mail address.")),
    }
}

/// The account of an address. Scope: access.
pub(super) async fn person_by_email(tx: &mut AsyncPgConnection, email: &str) -> Result<Option<Person>> {
    let person = people::table.filter(people::email.eq(email)).select(Person::as_select()).first(tx).await;
    Ok(person.optional()?)
}

/// The account of a person. Scope: access or that person.
pub(super) async fn person(tx: &mut AsyncPgConnection, id: PersonId) -> Result<Person> {
    Ok(people::table.filter(people::id.eq(id)).select(Person::as_select()).first(tx).await?)
}

/// Makes an account. Scope: access.
pub(super) async fn make_person(tx: &mut AsyncPgConnection, email: &str, name: &str, hash: &str) -> Result<PersonId> {
    let id = PersonId::new();
    diesel::insert_into(people::table)
        .values((people::id.eq(id), people::email.eq(email), people::name.eq(name), people::password_hash.eq(hash)))
        .execute(tx)
        .await?;
    Ok(id)
}

/// The account of an address, made when there is none. For the demo region and the command line; scope: access.
///
/// # Errors
/// A failing database.
pub async fn find_or_make_person(tx: &mut AsyncPgConnection, email: &str, name: &str, hash: &str) -> Result<PersonId> {
    match person_by_email(tx, email).await? {
        Some(person) => Ok(person.id),
        None => make_person(tx, email, name, hash).await,
    }
}

/// Gives a person a role. Scope: the network.
///
/// # Errors
/// `already_member`.
pub async fn make_member(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    person: PersonId,
    role: Role,
    club: Option<ClubId>,
) -> Result<MembershipId> {
    let id = MembershipId::new();
    diesel::insert_into(memberships::table)
        .values((
            memberships::network_id.eq(network),
            memberships::id.eq(id),
            memberships::person_id.eq(person),
            memberships::role.eq(role.as_str()),
            memberships::club_id.eq(club),
        ))
        .execute(tx)
        .await?;
    Ok(id)
}

/// Keeps a new password. Scope: access.
pub(super) async fn set_password_hash(tx: &mut AsyncPgConnection, person: PersonId, hash: &str) -> Result<()> {
    diesel::update(people::table.filter(people::id.eq(person))).set(people::password_hash.eq(hash)).execute(tx).await?;
    Ok(())
}

/// The roles a person holds in a network.
pub(super) async fn roles_in(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    person: PersonId,
) -> Result<Vec<(Role, Option<ClubId>)>> {
    let rows: Vec<(String, Option<ClubId>)> = memberships::table
        .filter(memberships::network_id.eq(network))
        .filter(memberships::person_id.eq(person))
        .select((memberships::role, memberships::club_id))
        .order(memberships::id)
        .load(tx)
        .await?;
    Ok(rows.into_iter().filter_map(|(role, club)| Some((Role::parse(&role)?, club))).collect())
}

/// Whether a session was ended. Scope: its person, or access.
pub(super) async fn session_ended(tx: &mut AsyncPgConnection, session: Uuid) -> Result<bool> {
    let ended = refresh_tokens::table
        .filter(refresh_tokens::family_id.eq(session))
        .filter(refresh_tokens::ended_at.is_not_null());
    Ok(diesel::select(exists(ended)).get_result(tx).await?)
}

/// Ends sessions: one, or all of a person. Scope: access.
pub(super) async fn end_sessions(
    tx: &mut AsyncPgConnection,
    person: PersonId,
    only: Option<Uuid>,
    now: DateTime<Utc>,
) -> Result<()> {
    let mut ending = diesel::update(refresh_tokens::table)
        .filter(refresh_tokens::person_id.eq(person))
        .filter(refresh_tokens::ended_at.is_null())
        .set(refresh_tokens::ended_at.eq(now))
        .into_boxed();
    if let Some(session) = only {
        ending = ending.filter(refresh_tokens::family_id.eq(session));
    }
    ending.execute(tx).await?;
    Ok(())
}

/// A row of a person's places: network, its name and time zone, role, club and its name.
pub(super) type Place = (NetworkId, String, String, String, Option<ClubId>);

/// Everything a person belongs to. Scope: that person.
pub(super) async fn places_of(tx: &mut AsyncPgConnection, person: PersonId) -> Result<Vec<Place>> {
    Ok(memberships::table
        .inner_join(networks::table.on(networks::id.eq(memberships::network_id)))
        .filter(memberships::person_id.eq(person))
        .select((networks::id, networks::name, networks::time_zone, memberships::role, memberships::club_id))
        .order((networks::name, networks::id, memberships::id))
        .load(tx)
        .await?)
}

/// The names of clubs. Scope: their network.
pub(super) async fn club_names(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    ids: &[ClubId],
) -> Result<Vec<(ClubId, String)>> {
    Ok(clubs::table
        .filter(clubs::network_id.eq(network))
        .filter(clubs::id.eq_any(ids))
        .select((clubs::id, clubs::name))
        .load(tx)
        .await?)
}
