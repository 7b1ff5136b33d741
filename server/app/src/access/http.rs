//! Sign-in, sessions and the caller's own account.

use actix_web::cookie::{Cookie, SameSite, time::Duration};
use actix_web::web::{Data, Json};
use actix_web::{HttpRequest, HttpResponse, delete, get, post, put};
use chrono::Utc;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::caller::{ACCESS_COOKIE, Caller, REFRESH_COOKIE};
use super::passwords::{self, Password};
use super::roles::Role;
use super::sessions::{self, Refreshed, Tokens};
use super::store;
use super::throttle::Tries;
use super::tokens::{ACCESS_LASTS, REFRESH_LASTS};
use crate::database::{Scope, Tx};
use crate::error::{Code, Result, refuse};
use crate::ids::{ClubId, NetworkId, PersonId};
use crate::service::Service;

/// Address and password.
#[derive(Deserialize, ToSchema)]
pub struct SignIn {
    /// The sign-in name.
    email: String,
    /// The password.
    password: String,
    /// For API clients: answer with tokens in the body and set no cookies.
    #[serde(default)]
    as_bearer: bool,
}

/// For API clients: the refresh token handed out last.
#[derive(Default, Deserialize, ToSchema)]
pub struct RefreshSession {
    /// Browsers leave it out; theirs is in a cookie.
    refresh_token: Option<String>,
}

/// Who is signed in, and for API clients the tokens.
#[derive(Serialize, ToSchema)]
pub struct SignedIn {
    /// The person.
    pub me: Me,
    /// Only when asked for `as_bearer`.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub tokens: Option<BearerTokens>,
}

/// Tokens for API clients: send the access token as `Authorization: Bearer …`.
#[derive(Serialize, ToSchema)]
pub struct BearerTokens {
    access_token: String,
    refresh_token: String,
    expires_in_s: i64,
}

/// The signed-in person and everything they belong to.
#[derive(Serialize, ToSchema)]
pub struct Me {
    /// The person.
    pub person_id: PersonId,
    /// As others see it.
    pub name: String,
    /// Sign-in name.
    pub email: String,
    /// The networks, by name.
    pub networks: Vec<MyNetwork>,
}

/// A network the person belongs to.
#[derive(Serialize, ToSchema)]
pub struct MyNetwork {
    /// The network.
    pub network_id: NetworkId,
    /// Its name.
    pub name: String,
    /// Its IANA time zone.
    pub time_zone: String,
    /// The roles held there.
    pub roles: Vec<MyRole>,
}

/// A role held.
#[derive(Serialize, ToSchema)]
pub struct MyRole {
    /// The role.
    pub role: Role,
    /// The club; null for a coordinator.
    pub club_id: Option<ClubId>,
    /// Its name.
    pub club_name: Option<String>,
}

/// A change of one's own password.
#[derive(Deserialize, ToSchema)]
pub struct ChangePassword {
    current_password: String,
    new_password: String,
}

/// Sign in
#[utoipa::path(tag = "access", responses((status = 200, body = SignedIn)))]
#[post("/session")]
pub async fn sign_in(service: Data<Service>, request: HttpRequest, body: Json<SignIn>) -> Result<HttpResponse> {
    let body = body.into_inner();
    let now = Utc::now();
    let email = body.email.trim().to_lowercase();
    let tries = Tries::of("sign-in", &email, &service.address_of(&request));
    let mut tx = service.db.begin(Scope::Access).await?;
    tries.check(&mut tx, now).await?;
    let person = store::person_by_email(&mut tx, &email).await?;
    let kept = person.as_ref().map(|person| person.password_hash.clone());
    let right = passwords::verify(kept, body.password).await?;
    let (Some(person), true) = (person, right) else {
        tries.count(&mut tx, now).await?;
        tx.commit().await?;
        return Err(refuse(Code::WrongCredentials, "Check both, or ask for a link to set a new password.").into());
    };
    let tokens = sessions::begin(&mut tx, &service.config.signing_secret, person.id, now).await?;
    answer(&service, tx, tokens, body.as_bearer).await
}

/// Exchange the refresh token for a new one
///
/// Each refresh token works once (a few seconds' grace for two tabs aside). One that comes again was copied: the whole
/// session ends.
#[utoipa::path(tag = "access", request_body = Option<RefreshSession>, responses((status = 200, body = SignedIn)))]
#[post("/session/refresh")]
pub async fn refresh_session(
    service: Data<Service>,
    request: HttpRequest,
    body: Option<Json<RefreshSession>>,
) -> Result<HttpResponse> {
    let in_body = body.and_then(|body| body.into_inner().refresh_token);
    let as_bearer = in_body.is_some();
    let in_cookie = || request.cookie(REFRESH_COOKIE).map(|cookie| cookie.value().to_owned());
    let token = in_body.or_else(in_cookie).ok_or_else(sessions::ended)?;
    let mut tx = service.db.begin(Scope::Access).await?;
    match sessions::refresh(&mut tx, &service.config.signing_secret, &token, Utc::now()).await? {
        Refreshed::Next(tokens) => answer(&service, tx, tokens, as_bearer).await,
        Refreshed::Reused => {
            tx.commit().await?;
            Err(sessions::ended().into())
        }
    }
}

/// Sign out here
#[utoipa::path(tag = "access", responses((status = 204)))]
#[delete("/session")]
pub async fn sign_out(service: Data<Service>, caller: Caller) -> Result<HttpResponse> {
    let mut tx = service.db.begin(Scope::Access).await?;
    store::end_sessions(&mut tx, caller.person_id, Some(caller.session), Utc::now()).await?;
    tx.commit().await?;
    Ok(without_cookies(&service))
}

/// Sign out everywhere
#[utoipa::path(tag = "access", responses((status = 204)))]
#[delete("/sessions")]
pub async fn sign_out_everywhere(service: Data<Service>, caller: Caller) -> Result<HttpResponse> {
    let mut tx = service.db.begin(Scope::Access).await?;
    store::end_sessions(&mut tx, caller.person_id, None, Utc::now()).await?;
    tx.commit().await?;
    Ok(without_cookies(&service))
}

/// Who am I
#[utoipa::path(tag = "access", responses((status = 200, body = Me)))]
#[get("/me")]
pub async fn show_me(service: Data<Service>, caller: Caller) -> Result<Json<Me>> {
    let mut tx = service.db.begin(Scope::Person(caller.person_id)).await?;
    if store::session_ended(&mut tx, caller.session).await? {
        return Err(refuse(Code::NotSignedIn, "This session was ended. Sign in again.").into());
    }
    Ok(Json(load_me(&mut tx, caller.person_id).await?))
}

/// Change my password
///
/// Every session but this one ends.
#[utoipa::path(tag = "access", responses((status = 204)))]
#[put("/me/password")]
pub async fn change_password(
    service: Data<Service>,
    request: HttpRequest,
    caller: Caller,
    body: Json<ChangePassword>,
) -> Result<HttpResponse> {
    let body = body.into_inner();
    let now = Utc::now();
    let new_password = Password::parse(&body.new_password)
        .map_err(|refused| refuse(refused.code, refused.detail).field("new_password"))?;
    let mut tx = service.db.begin(Scope::Access).await?;
    let person = store::person(&mut tx, caller.person_id).await?;
    let tries = Tries::of("sign-in", &person.email, &service.address_of(&request));
    tries.check(&mut tx, now).await?;
    if !passwords::verify(Some(person.password_hash), body.current_password).await? {
        tries.count(&mut tx, now).await?;
        tx.commit().await?;
        return Err(refuse(Code::WrongCredentials, "The current password is not right.")
            .field("current_password")
            .into());
    }
    let hash = new_password.hash().await?;
    store::set_password_hash(&mut tx, person.id, &hash).await?;
    store::end_sessions(&mut tx, person.id, None, now).await?;
    let tokens = sessions::begin(&mut tx, &service.config.signing_secret, person.id, now).await?;
    tx.commit().await?;
    let mut response = HttpResponse::NoContent();
    for cookie in cookies(&service, &tokens) {
        response.cookie(cookie);
    }
    Ok(response.finish())
}

/// Ends a request that signed someone in: commits, then answers with the person and tokens or cookies.
pub(super) async fn answer(service: &Service, mut tx: Tx, tokens: Tokens, as_bearer: bool) -> Result<HttpResponse> {
    tx.speak_for(Scope::Person(tokens.person_id)).await?;
    let me = load_me(&mut tx, tokens.person_id).await?;
    tx.commit().await?;
    let mut response = HttpResponse::Ok();
    if as_bearer {
        let tokens = BearerTokens {
            access_token: tokens.access,
            refresh_token: tokens.refresh,
            expires_in_s: Tokens::EXPIRES_IN_S,
        };
        return Ok(response.json(SignedIn { me, tokens: Some(tokens) }));
    }
    for cookie in cookies(service, &tokens) {
        response.cookie(cookie);
    }
    Ok(response.json(SignedIn { me, tokens: None }))
}

async fn load_me(tx: &mut Tx, person_id: PersonId) -> Result<Me> {
    let person = store::person(tx, person_id).await?;
    let mut networks: Vec<MyNetwork> = Vec::new();
    for (network_id, name, time_zone, role, club_id) in store::places_of(tx, person_id).await? {
        let Some(role) = Role::parse(&role) else { continue };
        let mine = MyRole { role, club_id, club_name: None };
        match networks.last_mut() {
            Some(last) if last.network_id == network_id => last.roles.push(mine),
            _ => networks.push(MyNetwork { network_id, name, time_zone, roles: vec![mine] }),
        }
    }
    for network in &mut networks {
        // Club names show only to a transaction that speaks for their network.
        tx.speak_for(Scope::Member(network.network_id, person_id)).await?;
        let ids: Vec<ClubId> = network.roles.iter().filter_map(|role| role.club_id).collect();
        let names = store::club_names(tx, network.network_id, &ids).await?;
        for role in &mut network.roles {
            role.club_name = names.iter().find(|(id, _)| Some(*id) == role.club_id).map(|(_, name)| name.clone());
        }
    }
    Ok(Me { person_id, name: person.name, email: person.email, networks })
}

fn cookies(service: &Service, tokens: &Tokens) -> [Cookie<'static>; 2] {
    let cookie = |name, value: &str, path, seconds| {
        Cookie::build(name, value.to_owned())
            .path(path)
            .http_only(true)
            .same_site(SameSite::Lax)
            .secure(service.config.public_url.starts_with("https://"))
            .max_age(Duration::seconds(seconds))
            .finish()
    };
    [
        cookie(ACCESS_COOKIE, &tokens.access, "/api", ACCESS_LASTS.num_seconds()),
        cookie(REFRESH_COOKIE, &tokens.refresh, "/api/v1/session", REFRESH_LASTS.num_seconds()),
    ]
}

fn without_cookies(service: &Service) -> HttpResponse {
    let nothing = Tokens { person_id: PersonId::new(), access: String::new(), refresh: String::new() };
    let mut response = HttpResponse::NoContent();
    for mut cookie in cookies(service, &nothing) {
        cookie.make_removal();
        response.cookie(cookie);
    }
    response.finish()
}
