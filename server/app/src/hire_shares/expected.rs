//! What a plan would cost each club, before anyone is asked to confirm it: the front door for proposals and offers.

use diesel_async::AsyncPgConnection;

use super::facts::Facts;
use crate::error::Result;
use crate::figures::pounds;
use crate::ids::{ClubId, HireId, MachineId, NetworkId, PlanId};

/// What a plan would mean for one hire of its round.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ExpectedHire {
    /// Which hire.
    pub hire_id: HireId,
    /// What is hired.
    pub machine_id: MachineId,
    /// Its name.
    pub machine_name: String,
    /// What the hire comes to, helper trips left out.
    pub total_pence: i64,
    /// What its clubs would pay together, each hiring alone for its days.
    pub alone_pence: i64,
    /// The clubs that have a place, by id.
    pub shares: Vec<ExpectedShare>,
}

/// What a club is expected to pay for a hire.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct ExpectedShare {
    /// Whose.
    pub club_id: ClubId,
    /// Its part by equal discount, never more than alone; helper trips included.
    pub share_pence: i64,
    /// What it would pay hiring alone for its days; helper trips included.
    pub alone_pence: i64,
}

impl ExpectedHire {
    /// What no club can be asked for: the hire is so empty that alone all would pay less by this much.
    #[must_use]
    pub fn shortfall_pence(&self) -> i64 {
        (self.total_pence - self.alone_pence).max(0)
    }

    /// Says that the hire does not pay, where it does not.
    #[must_use]
    pub fn warning(&self) -> Option<String> {
        let lacks = pounds(self.shortfall_pence());
        match (self.shortfall_pence(), self.shares.len()) {
            (0, _) => None,
            (_, 0) => Some(format!("{} goes to nobody: its {lacks} would be left to the fund.", self.machine_name)),
            _ => Some(format!(
                "Hiring {} does not pay: alone the clubs would pay {lacks} less. Drop it, or let the fund carry that.",
                self.machine_name
            )),
        }
    }
}

/// What each hire of a plan's round would cost, given the places of the plan; by hire. Nothing is written.
///
/// # Errors
/// `not_found`; `invalid` where the charges of a hire cannot be reckoned.
pub async fn expected_of_plan(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    plan: PlanId,
) -> Result<Vec<ExpectedHire>> {
    let facts = Facts::of_plan(tx, network, plan).await?;
    facts.iter().map(expected).collect()
}

fn expected(facts: &Facts) -> Result<ExpectedHire> {
    let reckoned = &facts.reckoned;
    let total_pence = reckoned.bill.total_pence;
    let shares = reckoned.funded(total_pence)?.shares;
    let share = |(member, share): (&super::reckoning::Member, i64)| ExpectedShare {
        club_id: member.club_id,
        share_pence: share + member.helper_pence,
        alone_pence: member.alone.total_pence + member.helper_pence,
    };
    Ok(ExpectedHire {
        hire_id: facts.hire.id,
        machine_id: facts.hire.machine_id,
        machine_name: facts.machine_name.clone(),
        total_pence,
        alone_pence: reckoned.standing(total_pence).alone_pence,
        shares: reckoned.members.iter().zip(shares).map(share).collect(),
    })
}
