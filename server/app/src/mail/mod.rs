//! Mail: letters are queued in the transaction that causes them, sent by a worker, tried again until sent or parked,
//! and never lost silently. Knows nothing of why a letter is written.

mod http;
mod post_office;

use chrono::{DateTime, Utc};
use diesel_async::AsyncPgConnection;
use serde::{Deserialize, Serialize};
use utoipa_actix_web::service_config::ServiceConfig;

pub use post_office::send;

use crate::error::Result;
use crate::ids::NetworkId;
use crate::jobs::{self, Job};

/// The routes of this slice.
pub fn routes(config: &mut ServiceConfig) {
    config.service(http::list_mails);
}

/// A mail before it is sent: plain text, as people on phones read it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Letter {
    /// One address.
    pub to: String,
    /// One line.
    pub subject: String,
    /// The text.
    pub text: String,
}

/// Queues a letter. It leaves when the transaction is committed, or not at all.
///
/// # Errors
/// A failing database.
pub async fn post(
    tx: &mut AsyncPgConnection,
    network: Option<NetworkId>,
    letter: Letter,
    now: DateTime<Utc>,
) -> Result<()> {
    jobs::enqueue(tx, network, &Job::SendMail(letter), now).await
}
