//! All that is known of the costs of a hire: by what is booked, or by what a plan would give.

use std::collections::HashMap;

use chrono::{DateTime, Utc};
use diesel_async::AsyncPgConnection;

use super::reckoning::{Reckoned, reckon};
use super::stays::Journey;
use super::store::{self, HireRow, StatementRow};
use super::worked::SignedHours;
use crate::error::{Refused, Result, invalid};
use crate::ids::{ClubId, HireId, NetworkId, PlanId};

/// More than any machine for turf costs to hire.
const LARGEST_INVOICE_PENCE: i64 = 100_000_000;

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
    /// What is shared: the bill as the charges make it, or with the invoice that is asked about.
    pub(super) total_pence: i64,
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
        let signed = SignedHours::within(tx, network, hire.span.0).await?;
        let journey = Journey::of(tx, network, (pace, &signed), rows).await?;
        let facts = Self::reckon(tx, network, (hire, machine_name), &journey).await?;
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
            let journey = Journey::of(tx, network, (pace, &SignedHours::default()), rows).await?;
            let facts = Self::reckon(tx, network, (hire, machine_name), &journey).await?;
            all.push(Self { plan_id: Some(plan), ..facts });
        }
        Ok(all)
    }

    async fn reckon(
        tx: &mut AsyncPgConnection,
        network: NetworkId,
        (hire, machine_name): (HireRow, String),
        journey: &Journey,
    ) -> Result<Self> {
        let reckoned = reckon(&hire, journey)?;
        let clubs: Vec<ClubId> = reckoned.members.iter().map(|member| member.club_id).collect();
        let names = store::names(tx, network, &clubs).await?.into_iter().collect();
        let total_pence = reckoned.bill.total_pence;
        Ok(Self { hire, plan_id: None, machine_name, reckoned, names, standing: None, settled_at: None, total_pence })
    }

    /// The same, shared by an invoice where one is given.
    pub(super) fn with_invoice(self, invoice_pence: Option<i64>) -> Result<Self, Refused> {
        let Some(invoice_pence) = invoice_pence else { return Ok(self) };
        let total_pence = self.total_with(invoice_pence)?;
        Ok(Self { total_pence, ..self })
    }

    /// What is shared where the supplier asks so much: the invoice, fuel and towing.
    pub(super) fn total_with(&self, invoice_pence: i64) -> Result<i64, Refused> {
        if !(0..=LARGEST_INVOICE_PENCE).contains(&invoice_pence) {
            return Err(invalid("invoice_pence", "An invoice is between nothing and £1,000,000."));
        }
        let (_, fuel_pence, haul_pence) = self.reckoned.invoice_fuel_haul();
        Ok(invoice_pence + fuel_pence + haul_pence)
    }

    /// A club's name.
    pub(super) fn name(&self, club: ClubId) -> String {
        self.names.get(&club).cloned().unwrap_or_default()
    }
}
