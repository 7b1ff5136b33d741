//! The costs of a hire as a member may see them: all of it for the coordinator, the own club's part for its money people.

use std::collections::HashMap;

use chrono::{DateTime, Utc};
use logistics::hire_costs::{Bill, Item};
use serde::Serialize;
use utoipa::ToSchema;

use super::facts::Facts;
use super::store::{self, StatementRow};
use super::words::ShareRule;
use crate::access::{Act, Member};
use crate::database::Tx;
use crate::error::Result;
use crate::ids::{ClubId, HireId, HireStatementId, MachineId, PlanId, RoundId};
use crate::machines::Span;

/// What a hire costs and who pays what of it, by the bookings that are agreed or by a plan.
#[derive(Debug, Serialize, ToSchema)]
pub struct HireCosts {
    hire_id: HireId,
    round_id: RoundId,
    /// The plan it is reckoned by; null for what is booked.
    plan_id: Option<PlanId>,
    machine_id: MachineId,
    machine_name: String,
    span: Span,
    /// The bill as the charges of the hire make it.
    bill: HireBill,
    /// What is shared: the bill, or what it is with the invoice that is asked about.
    total_pence: i64,
    /// What of the bill the supplier asks.
    expected_invoice_pence: i64,
    /// Given back when the machine is; no part of the bill.
    deposit_pence: i64,
    /// What all clubs together would pay, each hiring alone for its days.
    alone_pence: i64,
    /// Whether some sharing charges nobody more than alone.
    worth_it: bool,
    /// By how much the total passes what all would pay alone; the fund would carry it, or the hire is dropped.
    shortfall_pence: i64,
    /// How many clubs have it.
    clubs: usize,
    /// The clubs whose money you may see.
    parts: Vec<HirePart>,
    /// The three rules side by side; for the coordinator.
    rules: Vec<RuleEffect>,
    /// What was entered and stands.
    entered: Option<HireStatement>,
}

/// A bill with its lines.
#[derive(Debug, Serialize, ToSchema)]
pub struct HireBill {
    total_pence: i64,
    lines: Vec<HireBillLine>,
    /// Road of the machine, 0.1 km.
    haul_hm: i64,
}

/// A line of a bill: its words hold count and price.
#[derive(Debug, Serialize, ToSchema)]
pub struct HireBillLine {
    words: String,
    pence: i64,
}

/// A club's part in a hire.
#[derive(Debug, Serialize, ToSchema)]
pub struct HirePart {
    club_id: ClubId,
    club_name: String,
    half_days: i64,
    work_min: i64,
    /// Of these, minutes signed for at handovers; the rest is reckoned.
    signed_min: i64,
    area_m2: i64,
    /// Hiring by itself for the same days.
    alone: HireBill,
    /// Trips of a neighbour with a lent tractor; on top, alone as much as together.
    helper_pence: i64,
    /// By equal discount, or as alone where the hire is too empty; helper trips left out.
    share_pence: i64,
}

/// What a rule would mean.
#[derive(Debug, Serialize, ToSchema)]
pub struct RuleEffect {
    rule: ShareRule,
    /// Whether it has an answer: Shapley's value is worked out for 1 to 12 clubs.
    answers: bool,
    /// Each club's share, and what is above alone in it.
    shares: Vec<RuleShare>,
    /// The group that would gain most by hiring without the others, where one would.
    unhappy_clubs: Vec<String>,
    /// How much that group would gain.
    unhappy_pence: i64,
}

/// A club's share by a rule.
#[derive(Debug, Serialize, ToSchema)]
pub struct RuleShare {
    club_id: ClubId,
    club_name: String,
    share_pence: i64,
    /// How much more than alone.
    above_alone_pence: i64,
}

/// A statement that stands.
#[derive(Debug, Serialize, ToSchema)]
pub struct HireStatement {
    statement_id: HireStatementId,
    /// The earlier one it takes the place of.
    counters: Option<HireStatementId>,
    rule: ShareRule,
    invoice_pence: i64,
    expected_invoice_pence: i64,
    fuel_pence: i64,
    haul_pence: i64,
    /// All of it.
    total_pence: i64,
    /// What all its clubs would have paid together, each hiring alone.
    alone_pence: i64,
    /// What the fund of the network carries.
    fund_pence: i64,
    note: String,
    entered_at: DateTime<Utc>,
    /// When it was paid as shared; null while it is owed.
    settled_at: Option<DateTime<Utc>>,
    /// Of the clubs whose money you may see.
    shares: Vec<EnteredHireShare>,
}

/// A share that stands.
#[derive(Debug, Serialize, ToSchema)]
pub struct EnteredHireShare {
    club_id: ClubId,
    club_name: String,
    half_days: i32,
    work_min: i64,
    /// Of these, minutes signed for at handovers; the rest is reckoned.
    signed_min: i64,
    area_m2: i64,
    alone_pence: i64,
    share_pence: i64,
    helper_pence: i64,
    /// Share and helper trips.
    owes_pence: i64,
}

impl HireCosts {
    /// As a member may see them.
    pub(super) async fn seen_by(tx: &mut Tx, member: &Member, facts: &Facts) -> Result<Self> {
        let reckoned = &facts.reckoned;
        let standing = reckoned.standing(facts.total_pence);
        let entered = match &facts.standing {
            Some(row) => Some(entered(tx, member, facts, row).await?),
            None => None,
        };
        Ok(Self {
            hire_id: facts.hire.id,
            round_id: facts.hire.round_id,
            plan_id: facts.plan_id,
            machine_id: facts.hire.machine_id,
            machine_name: facts.machine_name.clone(),
            span: facts.hire.span.0.into(),
            bill: HireBill::from(&reckoned.bill),
            total_pence: facts.total_pence,
            expected_invoice_pence: reckoned.invoice_fuel_haul().0,
            deposit_pence: facts.hire.deposit_pence,
            alone_pence: standing.alone_pence,
            worth_it: standing.is_worth_it(),
            shortfall_pence: standing.shortfall_pence(),
            clubs: reckoned.members.len(),
            parts: parts(member, facts)?,
            rules: if member.may(Act::EnterHireShares, None) { rules(facts)? } else { Vec::new() },
            entered,
        })
    }
}

fn parts(member: &Member, facts: &Facts) -> Result<Vec<HirePart>> {
    let reckoned = &facts.reckoned;
    let shares = reckoned.funded(facts.total_pence)?.shares;
    let seen = reckoned.members.iter().zip(shares).filter(|(part, _)| member.may(Act::SeeShares, Some(part.club_id)));
    Ok(seen
        .map(|(part, share_pence)| HirePart {
            club_id: part.club_id,
            club_name: facts.name(part.club_id),
            half_days: part.half_days,
            work_min: part.worked.work_min,
            signed_min: part.worked.signed_min,
            area_m2: part.area_m2,
            alone: HireBill::from(&part.alone),
            helper_pence: part.helper_pence,
            share_pence,
        })
        .collect())
}

fn rules(facts: &Facts) -> Result<Vec<RuleEffect>> {
    let reckoned = &facts.reckoned;
    let total_pence = facts.total_pence;
    let game = reckoned.game(total_pence)?;
    let mut effects = Vec::new();
    for &rule in ShareRule::ALL {
        let shares = reckoned.shares(rule, total_pence)?;
        let unhappy = game.as_ref().zip(shares.as_ref()).and_then(|(game, shares)| game.worst_excess(shares));
        let named = |club: &usize| reckoned.members.get(*club).map(|member| facts.name(member.club_id));
        let rows = reckoned.members.iter().zip(shares.iter().flatten());
        effects.push(RuleEffect {
            rule,
            answers: shares.is_some(),
            shares: rows
                .map(|(member, &share_pence)| RuleShare {
                    club_id: member.club_id,
                    club_name: facts.name(member.club_id),
                    share_pence,
                    above_alone_pence: (share_pence - member.alone.total_pence).max(0),
                })
                .collect(),
            unhappy_pence: unhappy.as_ref().map_or(0, |excess| excess.pence),
            unhappy_clubs: unhappy.iter().flat_map(|excess| &excess.clubs).filter_map(named).collect(),
        });
    }
    Ok(effects)
}

async fn entered(tx: &mut Tx, member: &Member, facts: &Facts, row: &StatementRow) -> Result<HireStatement> {
    let rows = store::shares_of(tx, member.network_id, row.id).await?;
    let clubs: Vec<ClubId> = rows.iter().map(|share| share.club_id).collect();
    let names: HashMap<_, _> = store::names(tx, member.network_id, &clubs).await?.into_iter().collect();
    let alone_pence = rows.iter().map(|share| share.alone_pence).sum();
    let seen = rows.into_iter().filter(|share| member.may(Act::SeeShares, Some(share.club_id)));
    let shares = seen.map(|share| EnteredHireShare {
        club_name: names.get(&share.club_id).cloned().unwrap_or_else(|| facts.name(share.club_id)),
        club_id: share.club_id,
        half_days: share.half_days,
        work_min: share.work_min,
        signed_min: share.signed_min,
        area_m2: share.area_m2,
        alone_pence: share.alone_pence,
        share_pence: share.share_pence,
        helper_pence: share.helper_pence,
        owes_pence: share.owes_pence(),
    });
    Ok(HireStatement {
        statement_id: row.id,
        counters: row.counters,
        rule: row.rule,
        invoice_pence: row.invoice_pence,
        expected_invoice_pence: row.expected_invoice_pence,
        fuel_pence: row.fuel_pence,
        haul_pence: row.haul_pence,
        total_pence: row.total_pence(),
        alone_pence,
        fund_pence: row.fund_pence,
        note: row.note.clone(),
        entered_at: row.entered_at,
        settled_at: facts.settled_at,
        shares: shares.collect(),
    })
}

impl From<&Bill> for HireBill {
    fn from(bill: &Bill) -> Self {
        let line = |part: &logistics::hire_costs::BillPart| HireBillLine { words: words(part.item), pence: part.pence };
        Self { total_pence: bill.total_pence, lines: bill.parts.iter().map(line).collect(), haul_hm: bill.haul_hm }
    }
}

/// "2 days at £217.00", "3.4 km of towing at £0.55".
fn words(item: Item) -> String {
    use crate::figures::pounds;
    let times = |count: i64, one: &str, many: &str, each| {
        format!("{count} {} at {}", if count == 1 { one } else { many }, pounds(each))
    };
    match item {
        Item::Week(count, each) => times(count, "week", "weeks", each),
        Item::Day(count, each) => times(count, "day", "days", each),
        Item::HalfDay(count, each) => times(count, "half-day", "half-days", each),
        Item::Ground(area_m2, per_ha) => {
            format!("{}.{:02} ha at {} a hectare", area_m2 / 10_000, area_m2 % 10_000 / 100, pounds(per_ha))
        }
        Item::Delivery(_) => "delivery".to_owned(),
        Item::Collection(_) => "collection".to_owned(),
        Item::Fuel(work_min, per_hour) => {
            format!(
                "{} h {:02} min of work, fuel and wear at {} an hour",
                work_min / 60,
                work_min % 60,
                pounds(per_hour)
            )
        }
        Item::Haul(haul_hm, per_km) => {
            format!("{}.{} km of towing at {} a km", haul_hm / 10, haul_hm % 10, pounds(per_km))
        }
    }
}
