//! Who is asking: read from the signed token, then let into a network as a member of it or not at all.

use std::future::{Ready, ready};

use actix_web::dev::Payload;
use actix_web::http::header::AUTHORIZATION;
use actix_web::web::Data;
use actix_web::{FromRequest, HttpRequest};
use uuid::Uuid;

use super::roles::Member;
use super::{store, tokens};
use crate::database::{Scope, Tx};
use crate::error::{Code, Error, Refused, Result, not_found, refuse};
use crate::ids::{NetworkId, PersonId};
use crate::service::Service;

/// The cookie that carries the access token; script never sees it.
pub(super) const ACCESS_COOKIE: &str = "turfring_access";
/// The cookie that carries the refresh token; sent to the session address only.
pub(super) const REFRESH_COOKIE: &str = "turfring_refresh";

/// A signed-in person, before entering any network.
#[derive(Debug, Clone, Copy)]
pub struct Caller {
    /// Who.
    pub person_id: PersonId,
    /// In which session.
    pub session: Uuid,
}

impl FromRequest for Caller {
    type Error = Error;
    type Future = Ready<Result<Self, Error>>;

    fn from_request(request: &HttpRequest, _: &mut Payload) -> Self::Future {
        ready(read(request).map_err(Error::from))
    }
}

fn read(request: &HttpRequest) -> Result<Caller, Refused> {
    let nobody = || refuse(Code::NotSignedIn, "Sign in to go on.");
    let service = request.app_data::<Data<Service>>().ok_or_else(nobody)?;
    let bearer = request.headers().get(AUTHORIZATION).and_then(|value| value.to_str().ok());
    let bearer = bearer.and_then(|value| value.strip_prefix("Bearer ")).map(str::to_owned);
    let cookie = || request.cookie(ACCESS_COOKIE).map(|cookie| cookie.value().to_owned());
    let token = bearer.or_else(cookie).ok_or_else(nobody)?;
    let (person_id, session) = tokens::read(&service.config.signing_secret, &token)?;
    Ok(Caller { person_id, session })
}

/// Lets a caller into a network and begins the transaction of the request.
///
/// # Errors
/// `not_signed_in` when the session was ended; `not_found` when the caller is no member of the network.
pub async fn enter(service: &Service, caller: &Caller, network_id: NetworkId) -> Result<(Tx, Member)> {
    let mut tx = service.db.begin(Scope::Member(network_id, caller.person_id)).await?;
    if store::session_ended(&mut tx, caller.session).await? {
        return Err(refuse(Code::NotSignedIn, "This session was ended. Sign in again.").into());
    }
    let roles = store::roles_in(&mut tx, network_id, caller.person_id).await?;
    if roles.is_empty() {
        return Err(not_found().into());
    }
    Ok((tx, Member { network_id, person_id: caller.person_id, roles }))
}
