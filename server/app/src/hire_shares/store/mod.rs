//! Queries on the costs of hires. Scope of all: the network.
//!
//! Here is what is read of a hire and written of its statements; `stays` has who has the machine when, `owed` what
//! statements mean for clubs and for whoever keeps the money.

pub(super) mod owed;
pub(super) mod stays;

use chrono::{DateTime, Utc};
use diesel::dsl::{auto_type, exists, not};
use diesel::prelude::*;
use diesel_async::{AsyncPgConnection, RunQueryDsl};

use super::pace::Pace;
use super::words::ShareRule;
use crate::access::Member;
use crate::error::Result;
use crate::hires::{HauledBy, RoundState};
use crate::ids::{ClubId, HireId, HireStatementId, MachineId, NetworkId, PlanId, RoundId};
use crate::machines::StoredSpan;
use crate::schema::{clubs, hire_settlements, hire_shares, hire_statements, hires, machines, round_plans, rounds};

/// A hire with its charges.
#[derive(Queryable, Selectable)]
#[diesel(table_name = hires)]
pub(in crate::hire_shares) struct HireRow {
    pub(in crate::hire_shares) id: HireId,
    pub(in crate::hire_shares) round_id: RoundId,
    pub(in crate::hire_shares) machine_id: MachineId,
    pub(in crate::hire_shares) span: StoredSpan,
    pub(in crate::hire_shares) per_week_pence: Option<i64>,
    pub(in crate::hire_shares) per_day_pence: Option<i64>,
    pub(in crate::hire_shares) per_half_day_pence: Option<i64>,
    pub(in crate::hire_shares) per_ha_pence: Option<i64>,
    pub(in crate::hire_shares) delivery_pence: i64,
    pub(in crate::hire_shares) collection_pence: i64,
    pub(in crate::hire_shares) deposit_pence: i64,
    pub(in crate::hire_shares) fuel_pence_per_hour: i64,
    pub(in crate::hire_shares) haul_pence_per_km: i64,
    pub(in crate::hire_shares) hauled_by: HauledBy,
    pub(in crate::hire_shares) depot_latitude_deg: Option<f64>,
    pub(in crate::hire_shares) depot_longitude_deg: Option<f64>,
}

/// A statement as entered.
#[derive(Debug, Clone, Queryable, Selectable)]
#[diesel(table_name = hire_statements)]
pub(in crate::hire_shares) struct StatementRow {
    pub(in crate::hire_shares) id: HireStatementId,
    pub(in crate::hire_shares) counters: Option<HireStatementId>,
    pub(in crate::hire_shares) rule: ShareRule,
    pub(in crate::hire_shares) invoice_pence: i64,
    pub(in crate::hire_shares) expected_invoice_pence: i64,
    pub(in crate::hire_shares) fuel_pence: i64,
    pub(in crate::hire_shares) haul_pence: i64,
    pub(in crate::hire_shares) fund_pence: i64,
    pub(in crate::hire_shares) note: String,
    pub(in crate::hire_shares) entered_at: DateTime<Utc>,
}

/// A club's share as entered, or to be entered.
#[derive(Debug, Clone, Copy, Queryable, Selectable)]
#[diesel(table_name = hire_shares)]
pub(in crate::hire_shares) struct ShareRow {
    pub(in crate::hire_shares) club_id: ClubId,
    pub(in crate::hire_shares) half_days: i32,
    pub(in crate::hire_shares) work_min: i64,
    pub(in crate::hire_shares) signed_min: i64,
    pub(in crate::hire_shares) area_m2: i64,
    pub(in crate::hire_shares) alone_pence: i64,
    pub(in crate::hire_shares) share_pence: i64,
    pub(in crate::hire_shares) helper_pence: i64,
}

diesel::alias!(hire_statements as later: Later);

/// Whether another statement counters this one.
#[auto_type]
pub(in crate::hire_shares) fn countered(network: NetworkId) -> _ {
    let of_network = later.field(hire_statements::network_id).eq(network);
    let counters = later.field(hire_statements::counters).eq(hire_statements::id.nullable());
    exists(later.filter(of_network.and(counters)))
}

impl StatementRow {
    /// All of it, as the generated column has it.
    pub(in crate::hire_shares) fn total_pence(&self) -> i64 {
        self.invoice_pence + self.fuel_pence + self.haul_pence
    }
}

impl ShareRow {
    /// What the club is to pay: its share, and the trips of a neighbour's tractor.
    pub(in crate::hire_shares) fn owes_pence(&self) -> i64 {
        self.share_pence + self.helper_pence
    }
}

/// A hire; locked until the transaction ends where something is to be entered for it.
pub(in crate::hire_shares) async fn hire(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    id: HireId,
    lock: bool,
) -> Result<HireRow> {
    let query = hires::table.find((network, id)).select(HireRow::as_select());
    Ok(if lock { query.for_update().first(tx).await? } else { query.first(tx).await? })
}

/// The hires of a plan's round, as they were entered.
pub(in crate::hire_shares) async fn hires_of_plan(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    plan: PlanId,
) -> Result<Vec<HireRow>> {
    let round: RoundId = round_plans::table.find((network, plan)).select(round_plans::round_id).first(tx).await?;
    Ok(hires::table
        .filter(hires::network_id.eq(network))
        .filter(hires::round_id.eq(round))
        .select(HireRow::as_select())
        .order(hires::id)
        .load(tx)
        .await?)
}

/// The state of a hire's round.
pub(in crate::hire_shares) async fn round_state(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    id: RoundId,
) -> Result<RoundState> {
    Ok(rounds::table.find((network, id)).select(rounds::state).first(tx).await?)
}

/// A hire's machine: its name and its pace.
pub(in crate::hire_shares) async fn machine(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    id: MachineId,
) -> Result<(String, Pace)> {
    Ok(machines::table.find((network, id)).select((machines::name, Pace::as_select())).first(tx).await?)
}

/// The names of clubs.
pub(in crate::hire_shares) async fn names(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    ids: &[ClubId],
) -> Result<Vec<(ClubId, String)>> {
    let named = clubs::table.filter(clubs::network_id.eq(network)).filter(clubs::id.eq_any(ids));
    Ok(named.select((clubs::id, clubs::name)).load(tx).await?)
}

/// The statement of a hire that stands: no other counters it.
pub(in crate::hire_shares) async fn standing(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    hire: HireId,
) -> Result<Option<StatementRow>> {
    Ok(hire_statements::table
        .filter(hire_statements::network_id.eq(network))
        .filter(hire_statements::hire_id.eq(hire))
        .filter(not(countered(network)))
        .select(StatementRow::as_select())
        .first(tx)
        .await
        .optional()?)
}

/// When a statement was settled, if it is.
pub(in crate::hire_shares) async fn settled_at(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    statement: HireStatementId,
) -> Result<Option<DateTime<Utc>>> {
    let found = hire_settlements::table.find((network, statement)).select(hire_settlements::settled_at);
    Ok(found.first(tx).await.optional()?)
}

/// Marks a statement as paid.
pub(in crate::hire_shares) async fn settle(
    tx: &mut AsyncPgConnection,
    member: &Member,
    statement: HireStatementId,
    now: DateTime<Utc>,
) -> Result<()> {
    diesel::insert_into(hire_settlements::table)
        .values((
            hire_settlements::network_id.eq(member.network_id),
            hire_settlements::statement_id.eq(statement),
            hire_settlements::settled_by.eq(member.person_id),
            hire_settlements::settled_at.eq(now),
        ))
        .execute(tx)
        .await?;
    Ok(())
}

/// The shares of a statement, by club.
pub(in crate::hire_shares) async fn shares_of(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    statement: HireStatementId,
) -> Result<Vec<ShareRow>> {
    Ok(hire_shares::table
        .filter(hire_shares::network_id.eq(network))
        .filter(hire_shares::statement_id.eq(statement))
        .select(ShareRow::as_select())
        .order(hire_shares::club_id)
        .load(tx)
        .await?)
}

/// Keeps a statement with its shares; at commit the database compares their sums.
pub(in crate::hire_shares) async fn insert(
    tx: &mut AsyncPgConnection,
    member: &Member,
    hire: HireId,
    statement: &StatementRow,
    shares: &[ShareRow],
) -> Result<()> {
    diesel::insert_into(hire_statements::table)
        .values((
            hire_statements::network_id.eq(member.network_id),
            hire_statements::id.eq(statement.id),
            hire_statements::hire_id.eq(hire),
            hire_statements::counters.eq(statement.counters),
            hire_statements::rule.eq(statement.rule),
            hire_statements::invoice_pence.eq(statement.invoice_pence),
            hire_statements::expected_invoice_pence.eq(statement.expected_invoice_pence),
            hire_statements::fuel_pence.eq(statement.fuel_pence),
            hire_statements::haul_pence.eq(statement.haul_pence),
            hire_statements::fund_pence.eq(statement.fund_pence),
            hire_statements::note.eq(&statement.note),
            hire_statements::entered_by.eq(member.person_id),
            hire_statements::entered_at.eq(statement.entered_at),
        ))
        .execute(tx)
        .await?;
    let row = |share: &ShareRow| {
        (
            hire_shares::network_id.eq(member.network_id),
            hire_shares::statement_id.eq(statement.id),
            hire_shares::club_id.eq(share.club_id),
            hire_shares::half_days.eq(share.half_days),
            hire_shares::work_min.eq(share.work_min),
            hire_shares::signed_min.eq(share.signed_min),
            hire_shares::area_m2.eq(share.area_m2),
            hire_shares::alone_pence.eq(share.alone_pence),
            hire_shares::share_pence.eq(share.share_pence),
            hire_shares::helper_pence.eq(share.helper_pence),
        )
    };
    let rows: Vec<_> = shares.iter().map(row).collect();
    diesel::insert_into(hire_shares::table).values(rows).execute(tx).await?;
    Ok(())
}
