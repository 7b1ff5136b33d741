//! All that is known of the costs of a hire: by what is booked, or by what a plan would give.

use std::collections::HashMap;

use chrono::{DateTime, Utc};
use diesel_async::AsyncPgConnection;

use super::pace::Pace;
use super::reckoning::{Reckoned, reckon};
use super::stays::Journey;
use super::store::{self, HireRow, StatementRow};
use crate::error::Result;
use crate::ids::{ClubId, HireId, NetworkId, PlanId};

/// A hire, reckoned.
pub(super) struct Facts {
    pub(super) hire: HireRow,
    /// The plan it is reckoned by; none for what is booked.
    pub(super) plan_id: Option<PlanId>,
    pub(super) machine_name: String,
    pub(super) reckoned: Reckoned,
    names: HashMap<ClubId, String>,
    /// What was entered and stands.
    pub(super) standing: Option<StatementRow>,
    /// When that was settled.
    pub(super) settled_at: Option<DateTime<Utc>>,
}

impl Facts {
    /// By the bookings that are agreed; the hire is locked where something is to be entered.
    pub(super) async fn of_bookings(
        tx: &mut AsyncPgConnection,
        network: NetworkId,
        id: HireId,
        lock: bool,
    ) -> Result<Self> {
        let hire = store::hire(tx, network, id, lock).await?;
        let (machine_name, pace) = store::machine(tx, network, hire.machine_id).await?;
        let rows = store::stays::booked(tx, network, &hire).await?;
        let standing = store::standing(tx, network, id).await?;
        let facts = Self::reckon(tx, network, (hire, machine_name), (pace, rows)).await?;
        let settled_at = match &standing {
            Some(row) => store::settled_at(tx, network, row.id).await?,
            None => None,
        };
        Ok(Self { standing, settled_at, ..facts })
    }

    /// By the places of a plan, for each hire of its round, in the order they were entered.
    pub(super) async fn of_plan(tx: &mut AsyncPgConnection, network: NetworkId, plan: PlanId) -> Result<Vec<Self>> {
        let mut all = Vec::new();
        for hire in store::hires_of_plan(tx, network, plan).await? {
            let (machine_name, pace) = store::machine(tx, network, hire.machine_id).await?;
            let rows = store::stays::planned(tx, network, plan, hire.machine_id).await?;
            let facts = Self::reckon(tx, network, (hire, machine_name), (pace, rows)).await?;
            all.push(Self { plan_id: Some(plan), ..facts });
        }
        Ok(all)
    }

    async fn reckon(
        tx: &mut AsyncPgConnection,
        network: NetworkId,
        (hire, machine_name): (HireRow, String),
        (pace, rows): (Pace, Vec<store::stays::StayRow>),
    ) -> Result<Self> {
        let journey = Journey::of(tx, network, &pace, rows).await?;
        let reckoned = reckon(&hire, &journey)?;
        let clubs: Vec<ClubId> = reckoned.members.iter().map(|member| member.club_id).collect();
        let names = store::names(tx, network, &clubs).await?.into_iter().collect();
        Ok(Self { hire, plan_id: None, machine_name, reckoned, names, standing: None, settled_at: None })
    }

    /// A club's name.
    pub(super) fn name(&self, club: ClubId) -> String {
        self.names.get(&club).cloned().unwrap_or_default()
    }
}
