//! Tokens: short-lived signed ones (JWT, RFC 7519, HS256) that say who is speaking, and random ones whose hash we keep.

use base64::Engine;
use base64::engine::general_purpose::URL_SAFE_NO_PAD;
use chrono::{DateTime, TimeDelta, Utc};
use jsonwebtoken::{Algorithm, DecodingKey, EncodingKey, Header, Validation};
use rand::Rng;
use serde::{Deserialize, Serialize};
use sha2::{Digest, Sha256};
use uuid::Uuid;

use crate::config::Secret;
use crate::error::{Code, Refused, Result, refuse};
use crate::ids::PersonId;

/// How long an access token speaks for its person.
pub const ACCESS_LASTS: TimeDelta = TimeDelta::minutes(15);
/// How long a session lasts without a visit.
pub const REFRESH_LASTS: TimeDelta = TimeDelta::days(60);
/// How long an invitation can be accepted.
pub const INVITATION_LASTS: TimeDelta = TimeDelta::days(14);
/// How long a password reset link works.
pub const RESET_LASTS: TimeDelta = TimeDelta::hours(2);

#[derive(Debug, Serialize, Deserialize)]
struct Claims {
    iss: String,
    sub: Uuid,
    /// The session (refresh token family), so that ending it ends this token too.
    sid: Uuid,
    iat: i64,
    exp: i64,
}

const ISSUER: &str = "turfring";

/// Signs an access token.
///
/// # Errors
/// A signing failure of the library.
pub fn sign(secret: &Secret, person: PersonId, session: Uuid, now: DateTime<Utc>) -> Result<String> {
    let claims = Claims {
        iss: ISSUER.to_owned(),
        sub: person.0,
        sid: session,
        iat: now.timestamp(),
        exp: (now + ACCESS_LASTS).timestamp(),
    };
    let key = EncodingKey::from_secret(secret.expose().as_bytes());
    Ok(jsonwebtoken::encode(&Header::new(Algorithm::HS256), &claims, &key).map_err(anyhow::Error::from)?)
}

/// Who an access token speaks for, and in which session.
///
/// # Errors
/// `not_signed_in` for any token that is not ours or has expired.
pub fn read(secret: &Secret, token: &str) -> Result<(PersonId, Uuid), Refused> {
    let mut rules = Validation::new(Algorithm::HS256);
    rules.set_issuer(&[ISSUER]);
    rules.leeway = 0;
    let key = DecodingKey::from_secret(secret.expose().as_bytes());
    match jsonwebtoken::decode::<Claims>(token, &key, &rules) {
        Ok(token) => Ok((PersonId(token.claims.sub), token.claims.sid)),
        Err(_) => Err(refuse(Code::NotSignedIn, "Sign in to go on.")),
    }
}

/// A random token of 256 bits, for links and sessions.
#[must_use]
pub fn random() -> String {
    let mut bytes = [0_u8; 32];
    rand::rng().fill_bytes(&mut bytes);
    URL_SAFE_NO_PAD.encode(bytes)
}

/// What is kept of a token or of something that must not be stored readable.
#[must_use]
pub fn hash(token: &str) -> Vec<u8> {
    Sha256::digest(token.as_bytes()).to_vec()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_token_speaks_for_its_person_until_it_expires_and_only_under_its_secret() {
        let secret = Secret::new("a secret of more than thirty-two characters");
        let (person, session) = (PersonId::new(), Uuid::now_v7());
        let token = sign(&secret, person, session, Utc::now()).unwrap();
        assert_eq!(read(&secret, &token).unwrap(), (person, session));
        assert!(read(&Secret::new("another secret of thirty-two characters"), &token).is_err());
        let old = sign(&secret, person, session, Utc::now() - ACCESS_LASTS - TimeDelta::seconds(1)).unwrap();
        assert_eq!(read(&secret, &old).unwrap_err().code, Code::NotSignedIn);
    }

    #[test]
    fn a_token_without_signature_is_refused() {
        let body = URL_SAFE_NO_PAD
            .encode(format!(r#"{{"iss":"turfring","sub":"{0}","sid":"{0}","iat":0,"exp":99999999999}}"#, Uuid::nil()));
        let unsigned = format!("{}.{body}.", URL_SAFE_NO_PAD.encode(r#"{"alg":"none","typ":"JWT"}"#));
        assert!(read(&Secret::new("a secret of more than thirty-two characters"), &unsigned).is_err());
    }
}
