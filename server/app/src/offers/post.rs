//! The post of a round: its letters to a club or to the coordinators.

use chrono::{DateTime, Utc};
use diesel_async::AsyncPgConnection;

use crate::access::{Role, addresses};
use crate::error::Result;
use crate::ids::{ClubId, NetworkId};
use crate::mail::{self, Letter};

/// Letters of a network that are sent at an instant. Scope of all: the network.
#[derive(Clone, Copy)]
pub(super) struct Post {
    pub(super) network: NetworkId,
    pub(super) now: DateTime<Utc>,
}

impl Post {
    /// Writes to the grounds leads of a club.
    pub(super) async fn to_leads(
        self,
        tx: &mut AsyncPgConnection,
        club: ClubId,
        letter: impl Fn(&str) -> Letter,
    ) -> Result<()> {
        self.to(tx, Some(club), &[Role::GroundsLead], letter).await
    }

    /// Writes to the grounds leads and treasurers of a club.
    pub(super) async fn to_leads_and_treasurers(
        self,
        tx: &mut AsyncPgConnection,
        club: ClubId,
        letter: impl Fn(&str) -> Letter,
    ) -> Result<()> {
        self.to(tx, Some(club), &[Role::GroundsLead, Role::Treasurer], letter).await
    }

    /// Writes to the coordinators.
    pub(super) async fn to_coordinators(
        self,
        tx: &mut AsyncPgConnection,
        letter: impl Fn(&str) -> Letter,
    ) -> Result<()> {
        self.to(tx, None, &[Role::Coordinator], letter).await
    }

    async fn to(
        self,
        tx: &mut AsyncPgConnection,
        club: Option<ClubId>,
        roles: &[Role],
        letter: impl Fn(&str) -> Letter,
    ) -> Result<()> {
        for address in addresses(tx, self.network, club, roles).await? {
            mail::post(tx, Some(self.network), letter(&address), self.now).await?;
        }
        Ok(())
    }
}
