//! Queries on what clubs owe for hires, and on hires whose money waits for somebody. Scope of all: the network.

use chrono::{DateTime, NaiveDateTime, Utc};
use diesel::dsl::{auto_type, exists, lower, not, upper};
use diesel::prelude::*;
use diesel_async::{AsyncPgConnection, RunQueryDsl};
use logistics::half_days::HalfDaySpan;

use super::countered;
use crate::error::Result;
use crate::hires::RoundState;
use crate::ids::{ClubId, HireId, HireStatementId, MachineId, NetworkId, RoundId};
use crate::machines::HoldState;
use crate::schema::{bookings, clubs, hire_settlements, hire_shares, hire_statements, hires, machines, rounds};
use crate::wire::PageQuery;

/// What a club owes for a hire.
#[derive(Queryable)]
pub(in crate::hire_shares) struct OwedRow {
    pub(in crate::hire_shares) statement_id: HireStatementId,
    pub(in crate::hire_shares) hire_id: HireId,
    pub(in crate::hire_shares) round_id: RoundId,
    pub(in crate::hire_shares) round_title: String,
    pub(in crate::hire_shares) machine_name: String,
    pub(in crate::hire_shares) club_id: ClubId,
    pub(in crate::hire_shares) share_pence: i64,
    pub(in crate::hire_shares) helper_pence: i64,
    pub(in crate::hire_shares) alone_pence: i64,
    pub(in crate::hire_shares) entered_at: DateTime<Utc>,
    pub(in crate::hire_shares) settled_at: Option<DateTime<Utc>>,
}

/// Shares of statements that stand, the last entered first, of some clubs or of all.
pub(in crate::hire_shares) async fn owed(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    of_clubs: Option<&[ClubId]>,
    page: &PageQuery,
) -> Result<Vec<OwedRow>> {
    let of_statement =
        hire_statements::network_id.eq(hire_shares::network_id).and(hire_statements::id.eq(hire_shares::statement_id));
    let of_hire = hires::network_id.eq(hire_statements::network_id).and(hires::id.eq(hire_statements::hire_id));
    let of_machine = machines::network_id.eq(hires::network_id).and(machines::id.eq(hires::machine_id));
    let of_settlement = hire_settlements::network_id
        .eq(hire_shares::network_id)
        .and(hire_settlements::statement_id.eq(hire_shares::statement_id));
    let of_round = rounds::network_id.eq(hires::network_id).and(rounds::id.eq(hires::round_id));
    let mut query = hire_shares::table
        .inner_join(hire_statements::table.on(of_statement))
        .left_join(hire_settlements::table.on(of_settlement))
        .inner_join(hires::table.on(of_hire))
        .inner_join(rounds::table.on(of_round))
        .inner_join(machines::table.on(of_machine))
        .filter(hire_shares::network_id.eq(network))
        .filter(not(countered(network)))
        .select((
            hire_statements::id,
            hires::id,
            hires::round_id,
            rounds::title,
            machines::name,
            hire_shares::club_id,
            hire_shares::share_pence,
            hire_shares::helper_pence,
            hire_shares::alone_pence,
            hire_statements::entered_at,
            hire_settlements::settled_at.nullable(),
        ))
        .order((hire_statements::id.desc(), hire_shares::club_id))
        .limit(page.rows())
        .into_boxed();
    if let Some(of_clubs) = of_clubs {
        query = query.filter(hire_shares::club_id.eq_any(of_clubs.to_vec()));
    }
    if let Some((statement, club)) = page.after::<(HireStatementId, ClubId)>()? {
        let earlier = hire_statements::id.lt(statement);
        query = query.filter(earlier.or(hire_statements::id.eq(statement).and(hire_shares::club_id.gt(club))));
    }
    Ok(query.load(tx).await?)
}

/// Whether a statement is settled.
#[auto_type]
fn settled() -> _ {
    let of_network = hire_settlements::network_id.eq(hire_statements::network_id);
    exists(hire_settlements::table.filter(of_network.and(hire_settlements::statement_id.eq(hire_statements::id))))
}

/// A club, and what it owes for the hire of a machine.
#[derive(Queryable)]
pub(in crate::hire_shares) struct OpenShareRow {
    pub(in crate::hire_shares) club_name: String,
    pub(in crate::hire_shares) machine_name: String,
    pub(in crate::hire_shares) round_id: RoundId,
    pub(in crate::hire_shares) owes_pence: i64,
}

/// What some clubs owe by statements that stand and are not settled, oldest first.
pub(in crate::hire_shares) async fn open_shares(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    of_clubs: &[ClubId],
) -> Result<Vec<OpenShareRow>> {
    let of_statement =
        hire_statements::network_id.eq(hire_shares::network_id).and(hire_statements::id.eq(hire_shares::statement_id));
    let of_hire = hires::network_id.eq(hire_statements::network_id).and(hires::id.eq(hire_statements::hire_id));
    let of_machine = machines::network_id.eq(hires::network_id).and(machines::id.eq(hires::machine_id));
    let of_club = clubs::network_id.eq(hire_shares::network_id).and(clubs::id.eq(hire_shares::club_id));
    Ok(hire_shares::table
        .inner_join(hire_statements::table.on(of_statement))
        .inner_join(hires::table.on(of_hire))
        .inner_join(machines::table.on(of_machine))
        .inner_join(clubs::table.on(of_club))
        .filter(hire_shares::network_id.eq(network))
        .filter(hire_shares::club_id.eq_any(of_clubs))
        .filter(not(countered(network)))
        .filter(not(settled()))
        .select((clubs::name, machines::name, hires::round_id, hire_shares::share_pence + hire_shares::helper_pence))
        .order((hire_statements::id, clubs::name))
        .load(tx)
        .await?)
}

/// A hire whose money waits: its machine, its round, and what was entered and is not settled.
#[derive(Queryable)]
pub(in crate::hire_shares) struct OpenHireRow {
    pub(in crate::hire_shares) machine_name: String,
    pub(in crate::hire_shares) round_id: RoundId,
    pub(in crate::hire_shares) round_title: String,
    pub(in crate::hire_shares) total_pence: Option<i64>,
}

/// Hires that are over, had by somebody, and not entered or not settled; the longest over first.
pub(in crate::hire_shares) async fn open_hires(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    wall: NaiveDateTime,
) -> Result<Vec<OpenHireRow>> {
    let of_round = rounds::network_id.eq(hires::network_id).and(rounds::id.eq(hires::round_id));
    let of_machine = machines::network_id.eq(hires::network_id).and(machines::id.eq(hires::machine_id));
    let standing = hire_statements::network_id
        .eq(hires::network_id)
        .and(hire_statements::hire_id.eq(hires::id))
        .and(not(countered(network)));
    let had = bookings::table
        .filter(bookings::network_id.eq(hires::network_id))
        .filter(bookings::round_id.eq(hires::round_id.nullable()))
        .filter(bookings::machine_id.eq(hires::machine_id))
        .filter(bookings::state.eq(HoldState::Agreed));
    Ok(hires::table
        .inner_join(rounds::table.on(of_round))
        .inner_join(machines::table.on(of_machine))
        .left_join(hire_statements::table.on(standing))
        .filter(hires::network_id.eq(network))
        .filter(rounds::state.eq_any([RoundState::Agreed, RoundState::Finished]))
        .filter(upper(hires::span).le(wall))
        .filter(exists(had))
        .filter(hire_statements::id.is_null().or(not(settled())))
        .select((machines::name, rounds::id, rounds::title, hire_statements::total_pence.nullable()))
        .order((upper(hires::span), hires::id))
        .load(tx)
        .await?)
}

/// What statements that stand charge for hires of a machine that begin within a span: by club, and, without a club, what
/// the fund of the network carries; with it, what suppliers asked.
pub(in crate::hire_shares) async fn charged(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    machine: MachineId,
    span: HalfDaySpan,
) -> Result<(Vec<(Option<ClubId>, i64)>, i64)> {
    let of_hire = hires::network_id.eq(hire_statements::network_id).and(hires::id.eq(hire_statements::hire_id));
    let statements: Vec<(HireStatementId, i64, i64)> = hire_statements::table
        .inner_join(hires::table.on(of_hire))
        .filter(hire_statements::network_id.eq(network))
        .filter(hires::machine_id.eq(machine))
        .filter(lower(hires::span).ge(span.from()))
        .filter(lower(hires::span).lt(span.until()))
        .filter(not(countered(network)))
        .select((hire_statements::id, hire_statements::fund_pence, hire_statements::invoice_pence))
        .load(tx)
        .await?;
    let ids: Vec<HireStatementId> = statements.iter().map(|(id, ..)| *id).collect();
    let invoices = statements.iter().map(|(.., invoice_pence)| invoice_pence).sum();
    let shares: Vec<(ClubId, i64)> = hire_shares::table
        .filter(hire_shares::network_id.eq(network))
        .filter(hire_shares::statement_id.eq_any(&ids))
        .select((hire_shares::club_id, hire_shares::share_pence + hire_shares::helper_pence))
        .load(tx)
        .await?;
    let by_fund = statements.into_iter().map(|(_, fund_pence, _)| (None, fund_pence));
    Ok((shares.into_iter().map(|(club, pence)| (Some(club), pence)).chain(by_fund).collect(), invoices))
}
