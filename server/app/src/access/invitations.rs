//! Invitations: queries, and making one.

use chrono::{DateTime, Utc};
use diesel::prelude::*;
use diesel_async::{AsyncPgConnection, RunQueryDsl};

use super::roles::Role;
use super::tokens::{self, INVITATION_LASTS};
use super::{letters, store};
use crate::error::{Code, Refused, Result, refuse};
use crate::ids::{ClubId, InvitationId, NetworkId, PersonId};
use crate::mail;
use crate::schema::{clubs, invitations, networks};
use crate::wire::PageQuery;

/// A membership to offer.
pub struct Offer {
    /// Where to send it, as [`super::email_parse`] gives it.
    pub email: String,
    /// How the inviter calls the person.
    pub name: String,
    /// The role offered.
    pub role: Role,
    /// The club; none for a coordinator.
    pub club_id: Option<ClubId>,
    /// Who invites; none from the command line.
    pub invited_by: Option<PersonId>,
}

/// An invitation as kept, with its club's name.
#[derive(Queryable, Selectable)]
#[diesel(table_name = invitations)]
pub(super) struct Invitation {
    pub(super) id: InvitationId,
    pub(super) email: String,
    pub(super) name: String,
    pub(super) role: String,
    pub(super) club_id: Option<ClubId>,
    pub(super) expires_at: DateTime<Utc>,
    pub(super) accepted_at: Option<DateTime<Utc>>,
    pub(super) withdrawn_at: Option<DateTime<Utc>>,
}

/// Keeps an offer and queues its mail. Returns the invitation and the link. Scope: the network.
///
/// # Errors
/// `invalid` for a club of another network.
pub async fn invite(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    public_url: &str,
    offer: Offer,
    now: DateTime<Utc>,
) -> Result<(InvitationId, String)> {
    let id = InvitationId::new();
    let secret = tokens::random();
    diesel::insert_into(invitations::table)
        .values((
            invitations::network_id.eq(network),
            invitations::id.eq(id),
            invitations::email.eq(&offer.email),
            invitations::name.eq(&offer.name),
            invitations::role.eq(offer.role.as_str()),
            invitations::club_id.eq(offer.club_id),
            invitations::token_hash.eq(tokens::hash(&secret)),
            invitations::invited_by.eq(offer.invited_by),
            invitations::expires_at.eq(now + INVITATION_LASTS),
        ))
        .execute(tx)
        .await?;
    // The network stands in the link, so that the invitation can be read within that network alone.
    let link = format!("{public_url}/invitation/{}.{secret}", network.0.simple());
    let network_name = network_name(tx, network).await?;
    let club = match offer.club_id {
        Some(club) => store::club_names(tx, network, &[club]).await?.pop().map(|(_, name)| name),
        None => None,
    };
    let letter = letters::invitation(&offer.email, &offer.name, &network_name, offer.role, club.as_deref(), &link);
    mail::post(tx, Some(network), letter, now).await?;
    Ok((id, link))
}

/// Takes a token from a link apart.
pub(super) fn token_parse(token: &str) -> Result<(NetworkId, Vec<u8>), Refused> {
    let parts = token.split_once('.').and_then(|(network, secret)| Some((network.parse().ok()?, secret)));
    let (network, secret) = parts.ok_or_else(spent)?;
    Ok((NetworkId(network), tokens::hash(secret)))
}

/// The refusal of a link that does not work.
pub(super) fn spent() -> Refused {
    refuse(Code::LinkSpent, "The invitation was used, taken back or has expired. Ask for a new one.")
}

/// The name of a network. Scope: that network.
pub(super) async fn network_name(tx: &mut AsyncPgConnection, network: NetworkId) -> Result<String> {
    Ok(networks::table.filter(networks::id.eq(network)).select(networks::name).first(tx).await?)
}

/// The open invitation of a token, locked until the transaction ends. Scope: its network.
pub(super) async fn open(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    token_hash: &[u8],
    now: DateTime<Utc>,
) -> Result<Invitation> {
    let row = invitations::table
        .filter(invitations::network_id.eq(network))
        .filter(invitations::token_hash.eq(token_hash))
        .filter(invitations::accepted_at.is_null())
        .filter(invitations::withdrawn_at.is_null())
        .filter(invitations::expires_at.gt(now))
        .select(Invitation::as_select())
        .for_update()
        .first(tx)
        .await
        .optional()?;
    Ok(row.ok_or_else(spent)?)
}

/// Marks an invitation as used. Scope: its network.
pub(super) async fn mark_accepted(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    id: InvitationId,
    now: DateTime<Utc>,
) -> Result<()> {
    diesel::update(invitations::table.find((network, id))).set(invitations::accepted_at.eq(now)).execute(tx).await?;
    Ok(())
}

/// One invitation. Scope: its network.
pub(super) async fn find(tx: &mut AsyncPgConnection, network: NetworkId, id: InvitationId) -> Result<Invitation> {
    Ok(invitations::table.find((network, id)).select(Invitation::as_select()).for_update().first(tx).await?)
}

/// Takes an invitation back. Scope: its network.
pub(super) async fn withdraw(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    id: InvitationId,
    now: DateTime<Utc>,
) -> Result<()> {
    diesel::update(invitations::table.find((network, id))).set(invitations::withdrawn_at.eq(now)).execute(tx).await?;
    Ok(())
}

/// Invitations, newest first, of some clubs or of all. Scope: the network.
pub(super) async fn list(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    of_clubs: Option<&[ClubId]>,
    page: &PageQuery,
) -> Result<Vec<(Invitation, Option<String>)>> {
    let mut query = invitations::table
        .left_join(
            clubs::table
                .on(clubs::network_id.eq(invitations::network_id).and(clubs::id.nullable().eq(invitations::club_id))),
        )
        .filter(invitations::network_id.eq(network))
        .select((Invitation::as_select(), clubs::name.nullable()))
        .order(invitations::id.desc())
        .limit(page.rows())
        .into_boxed();
    if let Some(of_clubs) = of_clubs {
        query = query.filter(invitations::club_id.eq_any(of_clubs.to_vec()));
    }
    if let Some(after) = page.after::<InvitationId>()? {
        query = query.filter(invitations::id.lt(after));
    }
    Ok(query.load(tx).await?)
}
