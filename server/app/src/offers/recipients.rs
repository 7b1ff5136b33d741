//! Whom the mails of this slice go to.

use chrono::{DateTime, Utc};
use diesel::prelude::*;
use diesel_async::{AsyncPgConnection, RunQueryDsl};

use crate::access::Role;
use crate::error::Result;
use crate::ids::{ClubId, NetworkId};
use crate::mail::{self, Letter};
use crate::schema::{memberships, people};

/// Everybody a round writes to: read once, however many clubs there are.
pub(super) struct People {
    network: NetworkId,
    /// Address, role, club.
    rows: Vec<(String, String, Option<ClubId>)>,
}

impl People {
    /// Reads them. Scope: the network.
    pub(super) async fn of(tx: &mut AsyncPgConnection, network: NetworkId) -> Result<Self> {
        let rows = memberships::table
            .inner_join(people::table)
            .filter(memberships::network_id.eq(network))
            .select((people::email, memberships::role, memberships::club_id))
            .order(people::email)
            .load(tx)
            .await?;
        Ok(Self { network, rows })
    }

    /// Writes to the grounds leads of a club.
    pub(super) async fn post(
        &self,
        tx: &mut AsyncPgConnection,
        club: ClubId,
        letter: impl Fn(&str) -> Letter,
        now: DateTime<Utc>,
    ) -> Result<()> {
        self.post_to(tx, self.holding(&[Role::GroundsLead], Some(club)), letter, now).await
    }

    /// Writes to the grounds leads and treasurers of a club.
    pub(super) async fn post_with_treasurers(
        &self,
        tx: &mut AsyncPgConnection,
        club: ClubId,
        letter: impl Fn(&str) -> Letter,
        now: DateTime<Utc>,
    ) -> Result<()> {
        self.post_to(tx, self.holding(&[Role::GroundsLead, Role::Treasurer], Some(club)), letter, now).await
    }

    /// Writes to the coordinators.
    pub(super) async fn post_coordinators(
        &self,
        tx: &mut AsyncPgConnection,
        letter: impl Fn(&str) -> Letter,
        now: DateTime<Utc>,
    ) -> Result<()> {
        self.post_to(tx, self.holding(&[Role::Coordinator], None), letter, now).await
    }

    /// The addresses of those who hold one of these roles, each once.
    fn holding(&self, roles: &[Role], club: Option<ClubId>) -> Vec<&str> {
        let holds = |role: &str| roles.iter().any(|each| each.as_str() == role);
        let rows = self.rows.iter().filter(|(_, role, held_in)| holds(role) && *held_in == club);
        let mut addresses: Vec<&str> = rows.map(|(email, ..)| email.as_str()).collect();
        addresses.dedup();
        addresses
    }

    async fn post_to(
        &self,
        tx: &mut AsyncPgConnection,
        to: Vec<&str>,
        letter: impl Fn(&str) -> Letter,
        now: DateTime<Utc>,
    ) -> Result<()> {
        for to in to {
            mail::post(tx, Some(self.network), letter(to), now).await?;
        }
        Ok(())
    }
}
