//! Entering what each club owes for a hire, from the supplier's invoice.

use chrono::{DateTime, Utc};
use logistics::hire_costs::Funded;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::facts::Facts;
use super::letters::Letters;
use super::reckoning::Reckoned;
use super::store::{self, ShareRow, StatementRow};
use super::view::HireCosts;
use super::words::ShareRule;
use crate::access::{Act, Member};
use crate::database::Tx;
use crate::error::{Code, Refused, Result, invalid, refuse};
use crate::figures::pounds;
use crate::hires::RoundState;
use crate::ids::{HireId, HireStatementId};
use crate::text::note_parse;

/// The supplier's invoice for a hire, and how it is shared.
#[derive(Debug, Clone, Serialize, Deserialize, ToSchema)]
pub struct EnterHireShares {
    /// What the supplier asks, deposit left out.
    pub invoice_pence: i64,
    /// How it is shared.
    pub rule: ShareRule,
    /// Whether the fund of the network carries what clubs cannot be asked for.
    pub fund_carries: bool,
    /// The statement that this one takes the place of; none for the first.
    pub counters: Option<HireStatementId>,
    /// Free text.
    pub note: String,
}

/// Enters what each club owes for a hire, for good: fuel and towing as reckoned, the rest as invoiced. Tells the clubs;
/// letters point to pages under `public_url`.
///
/// # Errors
/// `not_your_role`; `invalid`; `round_not_agreed` before places are agreed; `hire_too_empty` where the fund must carry
/// something and nobody said so; `share_above_alone` where the rule asks more of a club than hiring alone;
/// `statement_stands` where another statement was entered before; `statement_settled` where that is paid.
pub async fn enter_shares(
    tx: &mut Tx,
    member: &Member,
    public_url: &str,
    id: HireId,
    said: &EnterHireShares,
    now: DateTime<Utc>,
) -> Result<HireCosts> {
    member.require(Act::EnterHireShares, None)?;
    let note = note_parse("note", &said.note)?;
    let mut facts = Facts::of_bookings(tx, member.network_id, id, true).await?;
    if facts.standing.as_ref().map(|row| row.id) != said.counters {
        return Err(refuse(Code::StatementStands, "Another statement stands; look at it before you replace it.").into());
    }
    if facts.settled_at.is_some() {
        return Err(refuse(Code::StatementSettled, "It is settled as it was entered.").into());
    }
    require_agreed(tx, member, &facts).await?;
    let (expected_invoice_pence, fuel_pence, haul_pence) = facts.reckoned.invoice_fuel_haul();
    let Funded { shares, fund_pence } = split(&facts, said, facts.total_with(said.invoice_pence)?)?;
    let statement = StatementRow {
        id: HireStatementId::new(),
        counters: said.counters,
        rule: said.rule,
        invoice_pence: said.invoice_pence,
        expected_invoice_pence,
        fuel_pence,
        haul_pence,
        fund_pence,
        note,
        entered_at: now,
    };
    store::insert(tx, member, id, &statement, &rows(&facts.reckoned, shares)).await?;
    facts.standing = Some(statement);
    if let Some(letters) = Letters::of(tx, member.network_id, &facts, public_url).await? {
        letters.post_entered(tx, now).await?;
    }
    HireCosts::seen_by(tx, member, &facts).await
}

async fn require_agreed(tx: &mut Tx, member: &Member, facts: &Facts) -> Result<()> {
    match store::round_state(tx, member.network_id, facts.hire.round_id).await? {
        RoundState::Agreed | RoundState::Finished => {}
        RoundState::Gathering | RoundState::RequestsClosed | RoundState::Offered | RoundState::CalledOff => {
            return Err(refuse(Code::RoundNotAgreed, "Shares are entered when the places are agreed.").into());
        }
    }
    if facts.reckoned.members.is_empty() {
        return Err(refuse(Code::RoundNotAgreed, "No club has a place in this hire.").into());
    }
    Ok(())
}

/// The shares by the rule said, or as alone with the rest from the fund.
fn split(facts: &Facts, said: &EnterHireShares, total_pence: i64) -> Result<Funded> {
    let reckoned = &facts.reckoned;
    let shortfall_pence = reckoned.standing(total_pence).shortfall_pence();
    if shortfall_pence > 0 {
        if said.fund_carries {
            return reckoned.funded(total_pence);
        }
        let detail = format!(
            "It costs {} more than all clubs would pay alone. Let the fund carry that, or drop the hire.",
            pounds(shortfall_pence)
        );
        return Err(refuse(Code::HireTooEmpty, detail).field("fund_carries").into());
    }
    let Some(shares) = reckoned.shares(said.rule, total_pence)? else {
        return Err(invalid("rule", "This rule has no answer for these clubs; choose another.").into());
    };
    if shares.iter().any(|share| *share < 0) {
        // Shapley's value pays a club whose coming makes all together cheaper than without it.
        return Err(invalid("rule", "By this rule a club would be paid for coming; choose another.").into());
    }
    no_more_than_alone(facts, &shares)?;
    Ok(Funded { shares, fund_pence: 0 })
}

fn no_more_than_alone(facts: &Facts, shares: &[i64]) -> Result<(), Refused> {
    let above = |(member, share): (&super::reckoning::Member, &i64)| {
        let more = share - member.alone.total_pence;
        (more > 0).then(|| format!("{} {}", facts.name(member.club_id), pounds(more)))
    };
    let above: Vec<String> = facts.reckoned.members.iter().zip(shares).filter_map(above).collect();
    if above.is_empty() {
        return Ok(());
    }
    let detail = format!("By this rule a club would pay more than alone: {}.", above.join(", "));
    Err(refuse(Code::ShareAboveAlone, detail).field("rule"))
}

fn rows(reckoned: &Reckoned, shares: Vec<i64>) -> Vec<ShareRow> {
    let row = |(member, share_pence): (&super::reckoning::Member, i64)| ShareRow {
        club_id: member.club_id,
        half_days: i32::try_from(member.half_days).unwrap_or(i32::MAX),
        work_min: member.worked.work_min,
        signed_min: member.worked.signed_min,
        area_m2: member.area_m2,
        alone_pence: member.alone.total_pence,
        share_pence,
        helper_pence: member.helper_pence,
    };
    reckoned.members.iter().zip(shares).map(row).collect()
}
