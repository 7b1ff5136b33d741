//! Slows guessing down: counts tries per address and per network address in the database, so that any number of
//! processes count together.

use chrono::{DateTime, TimeDelta, Utc};
use diesel::prelude::*;
use diesel_async::{AsyncPgConnection, RunQueryDsl};

use super::tokens;
use crate::error::{Code, Result, refuse};
use crate::schema::sign_in_attempts;

const WINDOW: TimeDelta = TimeDelta::minutes(15);
/// Wrong tries for one e-mail address within the window (NIST SP 800-63B allows up to 100; we stay well below).
const TRIES_PER_EMAIL: i64 = 10;
/// Tries from one network address within the window; a clubhouse shares one.
const TRIES_PER_ADDRESS: i64 = 100;

/// What is counted: an e-mail address, known or not, and where the request came from.
pub(super) struct Tries {
    email: Vec<u8>,
    address: Vec<u8>,
}

impl Tries {
    /// Of this address from that place; `purpose` keeps sign-ins and resets apart.
    pub(super) fn of(purpose: &str, email: &str, address: &str) -> Self {
        Self {
            email: tokens::hash(&format!("{purpose} {email}")),
            address: tokens::hash(&format!("{purpose} from {address}")),
        }
    }

    /// Refuses when there were too many. Scope: access.
    pub(super) async fn check(&self, tx: &mut AsyncPgConnection, now: DateTime<Utc>) -> Result<()> {
        for (subject, allowed) in [(&self.email, TRIES_PER_EMAIL), (&self.address, TRIES_PER_ADDRESS)] {
            let tries: i64 = sign_in_attempts::table
                .filter(sign_in_attempts::subject_hash.eq(subject))
                .filter(sign_in_attempts::attempted_at.gt(now - WINDOW))
                .count()
                .get_result(tx)
                .await?;
            if tries >= allowed {
                return Err(refuse(
                    Code::SlowDown,
                    "Too many tries. Wait a quarter of an hour, or reset the password.",
                )
                .into());
            }
        }
        Ok(())
    }

    /// Counts one more, and forgets what is too old to count. Scope: access.
    pub(super) async fn count(&self, tx: &mut AsyncPgConnection, now: DateTime<Utc>) -> Result<()> {
        diesel::delete(sign_in_attempts::table)
            .filter(sign_in_attempts::subject_hash.eq_any([&self.email, &self.address]))
            .filter(sign_in_attempts::attempted_at.le(now - WINDOW))
            .execute(tx)
            .await?;
        let rows = [&self.email, &self.address]
            .map(|subject| (sign_in_attempts::subject_hash.eq(subject), sign_in_attempts::attempted_at.eq(now)));
        diesel::insert_into(sign_in_attempts::table).values(rows.to_vec()).execute(tx).await?;
        Ok(())
    }
}
