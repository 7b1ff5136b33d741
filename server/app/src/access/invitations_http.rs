//! Inviting people, and accepting.

use actix_web::web::{Data, Json, Path, Query};
use actix_web::{HttpRequest, HttpResponse, delete, get, post};
use chrono::{DateTime, Utc};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::caller::{Caller, enter};
use super::http::{SignedIn, answer};
use super::invitations::{self, Offer, invite};
use super::passwords::{self, Password};
use super::roles::{Act, Role};
use super::throttle::Tries;
use super::{email_parse, sessions, store};
use crate::database::Scope;
use crate::error::{Code, Result, invalid, refuse};
use crate::ids::{ClubId, InvitationId, NetworkId};
use crate::service::Service;
use crate::wire::{Claim, OnceKey, Page, PageQuery};

/// Whom to invite as what.
#[derive(Serialize, Deserialize, ToSchema)]
pub struct CreateInvitation {
    email: String,
    name: String,
    role: Role,
    /// The club; null for a coordinator.
    club_id: Option<ClubId>,
}

/// An invitation as the inviter sees it.
#[derive(Serialize, ToSchema)]
pub struct Invitation {
    invitation_id: InvitationId,
    email: String,
    name: String,
    role: Role,
    club_id: Option<ClubId>,
    club_name: Option<String>,
    expires_at: DateTime<Utc>,
    state: InvitationState,
}

/// What became of an invitation.
#[derive(Serialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum InvitationState {
    /// It can be accepted.
    Waiting,
    /// It was.
    Accepted,
    /// It was taken back.
    Withdrawn,
    /// Nobody accepted in time.
    Expired,
}

/// An invitation as the invited person sees it.
#[derive(Serialize, ToSchema)]
pub struct InvitationOffer {
    network_name: String,
    club_name: Option<String>,
    role: Role,
    email: String,
    name: String,
    /// Whether to sign in with the password the address already has, or to choose one.
    has_account: bool,
}

/// Acceptance: name and password; for an address with an account, that account's password.
#[derive(Deserialize, ToSchema)]
pub struct AcceptInvitation {
    name: String,
    password: String,
}

fn view((row, club_name): (invitations::Invitation, Option<String>), now: DateTime<Utc>) -> Option<Invitation> {
    let state = match (row.accepted_at, row.withdrawn_at) {
        (Some(_), _) => InvitationState::Accepted,
        (_, Some(_)) => InvitationState::Withdrawn,
        _ if row.expires_at <= now => InvitationState::Expired,
        _ => InvitationState::Waiting,
    };
    Some(Invitation {
        invitation_id: row.id,
        email: row.email,
        name: row.name,
        role: Role::parse(&row.role)?,
        club_id: row.club_id,
        club_name,
        expires_at: row.expires_at,
        state,
    })
}

/// Read an invitation
#[utoipa::path(tag = "access", responses((status = 200, body = InvitationOffer)))]
#[get("/invitations/{token}")]
pub async fn show_invitation(service: Data<Service>, token: Path<String>) -> Result<Json<InvitationOffer>> {
    let (network, hash) = invitations::token_parse(&token)?;
    let mut tx = service.db.begin(Scope::Network(network)).await?;
    let row = invitations::open(&mut tx, network, &hash, Utc::now()).await?;
    let network_name = invitations::network_name(&mut tx, network).await?;
    let club_name = match row.club_id {
        Some(club) => store::club_names(&mut tx, network, &[club]).await?.pop().map(|(_, name)| name),
        None => None,
    };
    tx.speak_for(Scope::Access).await?;
    let has_account = store::person_by_email(&mut tx, &row.email).await?.is_some();
    let role = Role::parse(&row.role).ok_or_else(invitations::spent)?;
    Ok(Json(InvitationOffer { network_name, club_name, role, email: row.email, name: row.name, has_account }))
}

/// Accept an invitation
///
/// Makes the account if the address has none, gives the role and signs in.
#[utoipa::path(tag = "access", responses((status = 200, body = SignedIn)))]
#[post("/invitations/{token}/acceptance")]
pub async fn accept_invitation(
    service: Data<Service>,
    request: HttpRequest,
    token: Path<String>,
    body: Json<AcceptInvitation>,
) -> Result<HttpResponse> {
    let now = Utc::now();
    let (network, hash) = invitations::token_parse(&token)?;
    let mut tx = service.db.begin(Scope::Network(network)).await?;
    let offer = invitations::open(&mut tx, network, &hash, now).await?;
    let role = Role::parse(&offer.role).ok_or_else(invitations::spent)?;
    tx.speak_for(Scope::Access).await?;
    let person_id = match store::person_by_email(&mut tx, &offer.email).await? {
        Some(person) => {
            let tries = Tries::of("sign-in", &person.email, &service.address_of(&request));
            tries.check(&mut tx, now).await?;
            if !passwords::verify(Some(person.password_hash), body.password.clone()).await? {
                tries.count(&mut tx, now).await?;
                tx.commit().await?;
                let detail = "This address already has an account; use its password.";
                return Err(refuse(Code::WrongCredentials, detail).field("password").into());
            }
            person.id
        }
        None => {
            let name = crate::text::name_parse("name", &body.name)?;
            let hash = Password::parse(&body.password)?.hash().await?;
            store::make_person(&mut tx, &offer.email, &name, &hash).await?
        }
    };
    tx.speak_for(Scope::Network(network)).await?;
    store::make_member(&mut tx, network, person_id, role, offer.club_id).await?;
    invitations::mark_accepted(&mut tx, network, offer.id, now).await?;
    tx.speak_for(Scope::Access).await?;
    let tokens = sessions::begin(&mut tx, &service.config.signing_secret, person_id, now).await?;
    answer(&service, tx, tokens, false).await
}

/// List invitations
#[utoipa::path(tag = "people", params(PageQuery), responses((status = 200, body = Page<Invitation>)))]
#[get("/networks/{network_id}/invitations")]
pub async fn list_invitations(
    service: Data<Service>,
    caller: Caller,
    network: Path<NetworkId>,
    page: Query<PageQuery>,
) -> Result<Json<Page<Invitation>>> {
    let (mut tx, member) = enter(&service, &caller, *network).await?;
    let clubs = member.clubs_for(Act::ManagePeople);
    let rows = invitations::list(&mut tx, *network, clubs.as_deref(), &page).await?;
    let now = Utc::now();
    let page = Page::cut(rows, &page, |(row, _)| row.id, |row| view(row, now));
    Ok(Json(Page { items: page.items.into_iter().flatten().collect(), next_cursor: page.next_cursor }))
}

/// Invite someone by mail
#[utoipa::path(tag = "people", params(OnceKey), responses((status = 201, body = Invitation)))]
#[post("/networks/{network_id}/invitations")]
pub async fn create_invitation(
    service: Data<Service>,
    caller: Caller,
    network: Path<NetworkId>,
    key: OnceKey,
    body: Json<CreateInvitation>,
) -> Result<HttpResponse> {
    let now = Utc::now();
    let (mut tx, member) = enter(&service, &caller, *network).await?;
    let email = email_parse(&body.email)?;
    let name = crate::text::name_parse("name", &body.name)?;
    match (body.role, body.club_id) {
        (Role::Coordinator, None) => member.require(Act::ManageCoordinators, None)?,
        (Role::Coordinator, Some(_)) => return Err(invalid("club_id", "A coordinator belongs to no club.").into()),
        (_, None) => return Err(invalid("club_id", "Choose the club.").into()),
        (_, club) => member.require(Act::ManagePeople, club)?,
    }
    let ticket = match key.claim(&mut tx, &member, &*body).await? {
        Claim::Answered(response) => return Ok(response),
        Claim::New(ticket) => ticket,
    };
    let offer = Offer { email, name, role: body.role, club_id: body.club_id, invited_by: Some(member.person_id) };
    let (id, _) = invite(&mut tx, *network, &service.config.public_url, offer, now).await?;
    let row = invitations::find(&mut tx, *network, id).await?;
    let club_name = match row.club_id {
        Some(club) => store::club_names(&mut tx, *network, &[club]).await?.pop().map(|(_, name)| name),
        None => None,
    };
    let response = ticket.created(&mut tx, &member, &view((row, club_name), now)).await?;
    tx.commit().await?;
    Ok(response)
}

/// Take an invitation back
#[utoipa::path(tag = "people", responses((status = 204)))]
#[delete("/networks/{network_id}/invitations/{invitation_id}")]
pub async fn withdraw_invitation(
    service: Data<Service>,
    caller: Caller,
    path: Path<(NetworkId, InvitationId)>,
) -> Result<HttpResponse> {
    let (network, id) = path.into_inner();
    let (mut tx, member) = enter(&service, &caller, network).await?;
    let row = invitations::find(&mut tx, network, id).await?;
    match row.club_id {
        Some(club) => member.require(Act::ManagePeople, Some(club))?,
        None => member.require(Act::ManageCoordinators, None)?,
    }
    if row.accepted_at.is_some() {
        return Err(refuse(Code::LinkSpent, "It was already accepted; end the membership instead.").into());
    }
    invitations::withdraw(&mut tx, network, id, Utc::now()).await?;
    tx.commit().await?;
    Ok(HttpResponse::NoContent().finish())
}
