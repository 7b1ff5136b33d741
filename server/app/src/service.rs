//! What every request has at hand: configuration, database, and the place for files.

use actix_web::HttpRequest;

use crate::attachments::{self, Objects};
use crate::config::Config;
use crate::database::Database;

/// The running service. Cheap to clone.
#[derive(Clone)]
pub struct Service {
    /// How it was set up.
    pub config: std::sync::Arc<Config>,
    /// Where everything is kept.
    pub db: Database,
    /// Where files lie.
    pub objects: Objects,
}

impl Service {
    /// Prepares the service; nothing is contacted yet.
    ///
    /// # Errors
    /// A database URL that cannot be read, or no place for files.
    pub fn new(config: Config) -> anyhow::Result<Self> {
        let db = Database::new(&config.database_url, config.connections)?;
        let objects = attachments::open(&config.files)?;
        Ok(Self { config: std::sync::Arc::new(config), db, objects })
    }

    /// Where a request came from: the peer, or behind a trusted proxy what the proxy says.
    #[must_use]
    pub fn address_of(&self, request: &HttpRequest) -> String {
        let info = request.connection_info();
        let address = if self.config.behind_proxy { info.realip_remote_addr() } else { info.peer_addr() };
        address.unwrap_or("unknown").to_owned()
    }
}
