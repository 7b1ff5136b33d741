//! The database: a pool of connections that can only act as the application's role, and transactions that speak for
//! someone. Row-level security then shows each transaction its own network and nothing else.

use std::ops::{Deref, DerefMut};

use anyhow::Context;
use diesel::sql_types::{Nullable, Text};
use diesel_async::pooled_connection::deadpool::{Object, Pool};
use diesel_async::pooled_connection::{AsyncDieselConnectionManager, ManagerConfig, RecyclingMethod};
use diesel_async::{
    AnsiTransactionManager, AsyncConnection, AsyncMigrationHarness, AsyncPgConnection, RunQueryDsl,
    SimpleAsyncConnection, TransactionManager,
};
use diesel_migrations::{EmbeddedMigrations, MigrationHarness, embed_migrations};
use futures_util::FutureExt;

use crate::config::Secret;
use crate::error::Result;
use crate::ids::{NetworkId, PersonId};

const MIGRATIONS: EmbeddedMigrations = embed_migrations!("../../migrations");

/// For whom a transaction speaks: what row-level security lets it see.
#[derive(Debug, Clone, Copy)]
pub enum Scope {
    /// A member of a network (or someone asking to be let in: nothing shows until a membership does).
    Member(NetworkId, PersonId),
    /// A network, by a job or a stranger with a secret link.
    Network(NetworkId),
    /// A person's own memberships and account.
    Person(PersonId),
    /// Sign-in, sessions, resets: accounts and tokens, no network.
    Access,
    /// The queue: jobs of all networks, and nothing else of them.
    Queue,
}

/// The pool. Cheap to clone.
#[derive(Clone)]
pub struct Database {
    pool: Pool<AsyncPgConnection>,
}

impl Database {
    /// Prepares a pool; connections are made when first needed.
    ///
    /// # Errors
    /// A URL that cannot be read.
    pub fn new(url: &Secret, connections: usize) -> anyhow::Result<Self> {
        let mut config = ManagerConfig::default();
        config.recycling_method = RecyclingMethod::Fast;
        config.custom_setup = Box::new(|url| {
            let url = url.to_owned();
            async move {
                let mut connection = AsyncPgConnection::establish(&url).await?;
                // From here on the connection is bound by row-level security, whoever logged in.
                connection
                    .batch_execute(
                        "SET ROLE turfring_app; SET TIME ZONE 'UTC'; SET idle_in_transaction_session_timeout = '60s'",
                    )
                    .await
                    .map_err(diesel::ConnectionError::CouldntSetupConfiguration)?;
                Ok(connection)
            }
            .boxed()
        });
        let manager = AsyncDieselConnectionManager::new_with_config(url.expose(), config);
        Ok(Self { pool: Pool::builder(manager).max_size(connections).build()? })
    }

    /// Begins a transaction that speaks for `scope`.
    ///
    /// # Errors
    /// No connection to be had.
    pub async fn begin(&self, scope: Scope) -> Result<Tx> {
        let mut connection = self.pool.get().await.context("no database connection")?;
        AnsiTransactionManager::begin_transaction(&mut *connection).await?;
        let mut tx = Tx { connection: Some(connection) };
        tx.speak_for(scope).await?;
        Ok(tx)
    }
}

/// A transaction. It counts only when [`Tx::commit`] is called; dropped, everything is undone.
#[must_use]
pub struct Tx {
    connection: Option<Object<AsyncPgConnection>>,
}

impl Tx {
    /// Makes all of it last.
    ///
    /// # Errors
    /// A deferred constraint that is broken, or a lost connection.
    pub async fn commit(mut self) -> Result<()> {
        if let Some(mut connection) = self.connection.take() {
            AnsiTransactionManager::commit_transaction(&mut *connection).await?;
        }
        Ok(())
    }

    /// Changes for whom the rest of this transaction speaks.
    ///
    /// # Errors
    /// A lost connection.
    pub async fn speak_for(&mut self, scope: Scope) -> Result<()> {
        let (network, person, above) = match scope {
            Scope::Member(network, person) => (Some(network), Some(person), None),
            Scope::Network(network) => (Some(network), None, None),
            Scope::Person(person) => (None, Some(person), None),
            Scope::Access => (None, None, Some("access")),
            Scope::Queue => (None, None, Some("queue")),
        };
        diesel::sql_query(
            "SELECT set_config('turfring.network_id', coalesce($1, ''), true), \
             set_config('turfring.person_id', coalesce($2, ''), true), \
             set_config('turfring.scope', coalesce($3, ''), true)",
        )
        .bind::<Nullable<Text>, _>(network.map(|id| id.to_string()))
        .bind::<Nullable<Text>, _>(person.map(|id| id.to_string()))
        .bind::<Nullable<Text>, _>(above)
        .execute(&mut **self)
        .await?;
        Ok(())
    }
}

impl Deref for Tx {
    type Target = AsyncPgConnection;

    #[expect(clippy::expect_used, reason = "the connection is there until commit or drop take the whole value")]
    fn deref(&self) -> &Self::Target {
        self.connection.as_ref().expect("a transaction holds its connection")
    }
}

impl DerefMut for Tx {
    #[expect(clippy::expect_used, reason = "the connection is there until commit or drop take the whole value")]
    fn deref_mut(&mut self) -> &mut Self::Target {
        self.connection.as_mut().expect("a transaction holds its connection")
    }
}

impl Drop for Tx {
    fn drop(&mut self) {
        let Some(mut connection) = self.connection.take() else { return };
        // Give the connection back clean. Outside a runtime it is closed instead, which undoes as well.
        if let Ok(runtime) = tokio::runtime::Handle::try_current() {
            runtime.spawn(async move {
                let undone = AnsiTransactionManager::rollback_transaction(&mut *connection).await;
                if let Err(error) = undone {
                    tracing::warn!("a transaction could not be undone, its connection is closed: {error}");
                }
            });
        }
    }
}

/// Connects as the role of the URL itself, above row-level security only if that role is. For migrations and founding.
///
/// # Errors
/// No such server, database or role.
pub async fn connect_as_owner(url: &Secret) -> anyhow::Result<AsyncPgConnection> {
    AsyncPgConnection::establish(url.expose()).await.context("cannot reach the database")
}

/// Brings the schema up to date.
///
/// # Errors
/// A migration that fails; it is undone.
pub async fn migrate(url: &Secret) -> anyhow::Result<()> {
    let mut harness = AsyncMigrationHarness::new(connect_as_owner(url).await?);
    harness.run_pending_migrations(MIGRATIONS).map_err(|cause| anyhow::anyhow!("migration failed: {cause}"))?;
    Ok(())
}

/// Takes every migration back, newest first.
///
/// # Errors
/// A migration that fails.
pub async fn migrate_down(url: &Secret) -> anyhow::Result<()> {
    let mut harness = AsyncMigrationHarness::new(connect_as_owner(url).await?);
    harness.revert_all_migrations(MIGRATIONS).map_err(|cause| anyhow::anyhow!("taking back failed: {cause}"))?;
    Ok(())
}
