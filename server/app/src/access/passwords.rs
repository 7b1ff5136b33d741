//! Passwords: Argon2id (RFC 9106) with the library's default cost, on a thread that may block.

use anyhow::Context;
use argon2::Argon2;
use argon2::password_hash::{PasswordHasher, PasswordVerifier, phc::PasswordHash};

use crate::error::{Code, Refused, Result, refuse};

/// NIST SP 800-63B asks for at least 8; we ask a little more of people who hold their club's money.
const SHORTEST_PASSWORD: usize = 12;
const LONGEST_PASSWORD: usize = 200;

/// A password that is long enough.
pub struct Password(String);

impl Password {
    /// Checks the length, in characters.
    ///
    /// # Errors
    /// `password_too_short`.
    pub fn parse(text: &str) -> Result<Self, Refused> {
        if (SHORTEST_PASSWORD..=LONGEST_PASSWORD).contains(&text.chars().count()) {
            return Ok(Self(text.to_owned()));
        }
        Err(refuse(Code::PasswordTooShort, "Use 12 to 200 characters; three or four words are easy to remember.")
            .field("password"))
    }

    /// The PHC string to keep.
    ///
    /// # Errors
    /// No randomness to be had.
    pub async fn hash(self) -> Result<String> {
        off_thread(move || {
            let hash = Argon2::default().hash_password(self.0.as_bytes());
            Ok(hash.map_err(|error| anyhow::anyhow!("hashing failed: {error}"))?.to_string())
        })
        .await
    }
}

/// Whether the password is the one kept. Without a kept hash it takes as long and is false, so that the time does
/// not tell whether an account exists.
///
/// # Errors
/// A kept hash that cannot be read.
pub async fn verify(kept: Option<String>, attempt: String) -> Result<bool> {
    off_thread(move || {
        let Some(kept) = kept else {
            let _ = Argon2::default().hash_password(attempt.as_bytes());
            return Ok(false);
        };
        let kept = PasswordHash::new(&kept).map_err(|error| anyhow::anyhow!("kept hash unreadable: {error}"))?;
        Ok(Argon2::default().verify_password(attempt.as_bytes(), &kept).is_ok())
    })
    .await
}

async fn off_thread<T: Send + 'static>(work: impl FnOnce() -> anyhow::Result<T> + Send + 'static) -> Result<T> {
    Ok(tokio::task::spawn_blocking(work).await.context("hashing was interrupted")??)
}
