//! Hands letters to an SMTP server, or to a folder in the demo.

use anyhow::Context;
use lettre::message::header::ContentType;
use lettre::{AsyncFileTransport, AsyncSmtpTransport, AsyncTransport, Message, Tokio1Executor};

use super::Letter;
use crate::config::{Config, MailTo};

/// Sends one letter.
///
/// # Errors
/// An address that cannot be read, a server that cannot be reached or refuses.
pub async fn send(config: &Config, letter: &Letter) -> anyhow::Result<()> {
    let message = Message::builder()
        .from(config.mail_from.parse().context("TURFRING_MAIL_FROM is no mail address")?)
        .to(letter.to.parse().context("no mail address")?)
        .subject(&letter.subject)
        .header(ContentType::TEXT_PLAIN)
        .body(letter.text.clone())?;
    match &config.mail_to {
        MailTo::Smtp(url) => {
            let server = AsyncSmtpTransport::<Tokio1Executor>::from_url(url.expose())?
                .timeout(Some(std::time::Duration::from_secs(20)))
                .build();
            server.send(message).await?;
        }
        MailTo::Folder(folder) => {
            tokio::fs::create_dir_all(folder).await?;
            AsyncFileTransport::<Tokio1Executor>::new(folder).send(message).await?;
        }
    }
    Ok(())
}
