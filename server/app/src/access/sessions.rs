//! Sessions: a family of refresh tokens, each used once. A token used again later was copied: its whole family ends.

use chrono::{DateTime, TimeDelta, Utc};
use diesel::prelude::*;
use diesel_async::{AsyncPgConnection, RunQueryDsl};
use uuid::Uuid;

use super::store;
use super::tokens::{self, ACCESS_LASTS, REFRESH_LASTS};
use crate::config::Secret;
use crate::error::{Code, Refused, Result, refuse};
use crate::ids::PersonId;
use crate::schema::refresh_tokens;

/// Two tabs that wake at once send the same token: a second use this soon is not taken for theft. From then on a second use
/// ends the session.
const TABS_WAKE_WITHIN: TimeDelta = TimeDelta::seconds(10);

/// What a sign-in or refresh hands out.
pub(super) struct Tokens {
    pub(super) person_id: PersonId,
    pub(super) access: String,
    pub(super) refresh: String,
}

impl Tokens {
    /// Seconds the access token lasts.
    pub(super) const EXPIRES_IN_S: i64 = ACCESS_LASTS.num_seconds();
}

/// Begins a session. Scope: access.
pub(super) async fn begin(
    tx: &mut AsyncPgConnection,
    secret: &Secret,
    person: PersonId,
    now: DateTime<Utc>,
) -> Result<Tokens> {
    issue(tx, secret, person, Uuid::now_v7(), now).await
}

async fn issue(
    tx: &mut AsyncPgConnection,
    secret: &Secret,
    person: PersonId,
    family: Uuid,
    now: DateTime<Utc>,
) -> Result<Tokens> {
    let refresh = tokens::random();
    diesel::insert_into(refresh_tokens::table)
        .values((
            refresh_tokens::token_hash.eq(tokens::hash(&refresh)),
            refresh_tokens::family_id.eq(family),
            refresh_tokens::person_id.eq(person),
            refresh_tokens::issued_at.eq(now),
            refresh_tokens::expires_at.eq(now + REFRESH_LASTS),
        ))
        .execute(tx)
        .await?;
    Ok(Tokens { person_id: person, access: tokens::sign(secret, person, family, now)?, refresh })
}

/// What became of a refresh token.
pub(super) enum Refreshed {
    /// The next of its family.
    Next(Tokens),
    /// Used before: the family has been ended. Commit, then refuse.
    Reused,
}

/// Exchanges a refresh token for the next one. Scope: access.
pub(super) async fn refresh(
    tx: &mut AsyncPgConnection,
    secret: &Secret,
    token: &str,
    now: DateTime<Utc>,
) -> Result<Refreshed> {
    type Row = (Uuid, PersonId, DateTime<Utc>, Option<DateTime<Utc>>, Option<DateTime<Utc>>);
    let hash = tokens::hash(token);
    let row: Option<Row> = refresh_tokens::table
        .filter(refresh_tokens::token_hash.eq(&hash))
        .select((
            refresh_tokens::family_id,
            refresh_tokens::person_id,
            refresh_tokens::expires_at,
            refresh_tokens::used_at,
            refresh_tokens::ended_at,
        ))
        .for_update()
        .first(tx)
        .await
        .optional()?;
    let Some((family, person, expires_at, used_at, ended_at)) = row else { return Err(ended().into()) };
    if ended_at.is_some() || expires_at <= now {
        return Err(ended().into());
    }
    if used_at.is_some_and(|used_at| used_at + TABS_WAKE_WITHIN <= now) {
        store::end_sessions(tx, person, Some(family), now).await?;
        return Ok(Refreshed::Reused);
    }
    diesel::update(refresh_tokens::table.filter(refresh_tokens::token_hash.eq(&hash)))
        .set(refresh_tokens::used_at.eq(used_at.unwrap_or(now)))
        .execute(tx)
        .await?;
    Ok(Refreshed::Next(issue(tx, secret, person, family, now).await?))
}

/// The refusal of a session that is over.
pub(super) fn ended() -> Refused {
    refuse(Code::SessionEnded, "Sign in again to go on.")
}
