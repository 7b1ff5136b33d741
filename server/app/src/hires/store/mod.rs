//! Queries on rounds, their hires and machines. Scope of all: the network.
//!
//! Here is what is read and written of rounds; `requests` has those of clubs' requests, `crews`,
//! `roads` and `depot_roads` those of what a round travels by.

pub(super) mod crews;
pub(super) mod depot_roads;
pub(super) mod requests;
pub(super) mod roads;

use chrono::{NaiveDate, NaiveTime, TimeDelta};
use diesel::dsl::count_star;
use diesel::prelude::*;
use diesel_async::{AsyncPgConnection, RunQueryDsl};
use logistics::half_days::HalfDaySpan;

use super::terms::{Checked, Days, HireCharges, RoundTerms};
use super::words::{Grain, RequestState, RoundState};
use crate::access::Member;
use crate::error::Result;
use crate::ids::{AvailabilityId, ClubId, GroundId, HireId, MachineId, NetworkId, RoundId};
use crate::machines::{MachineKind, Span, StoredSpan};
use crate::schema::{hires, machines, round_machines, round_requests, rounds, suppliers};
use crate::wire::PageQuery;

/// A round as kept.
#[derive(Queryable, Selectable)]
#[diesel(table_name = rounds)]
pub(in crate::hires) struct RoundRow {
    pub(in crate::hires) id: RoundId,
    #[diesel(embed)]
    pub(in crate::hires) terms: RoundTerms,
    pub(in crate::hires) grain: Grain,
    pub(in crate::hires) from_on: NaiveDate,
    pub(in crate::hires) until_on: NaiveDate,
    pub(in crate::hires) state: RoundState,
    pub(in crate::hires) called_off_reason: Option<String>,
    pub(in crate::hires) version: i32,
}

impl RoundRow {
    /// From the first morning to the end of the last day.
    pub(in crate::hires) fn whole_days(&self) -> Span {
        let midnight = |day: NaiveDate| day.and_time(NaiveTime::MIN);
        Span { from: midnight(self.from_on), until: midnight(self.until_on) + TimeDelta::days(1) }
    }
}

/// A machine of a round, with what a request is held against.
#[derive(Queryable)]
pub(in crate::hires) struct MachineRow {
    pub(in crate::hires) round_id: RoundId,
    pub(in crate::hires) machine_id: MachineId,
    pub(in crate::hires) hire_id: Option<HireId>,
    pub(in crate::hires) kept_ground_id: Option<GroundId>,
    pub(in crate::hires) name: String,
    pub(in crate::hires) kind: MachineKind,
    pub(in crate::hires) max_depth_mm: Option<i32>,
    pub(in crate::hires) tractor_kw: Option<f64>,
    pub(in crate::hires) width_m: f64,
    pub(in crate::hires) speed_km_h: f64,
    pub(in crate::hires) field_efficiency: f64,
    /// The hire it comes by; an owned machine is there for the whole round.
    pub(in crate::hires) hired: Option<StoredSpan>,
}

/// A hire as kept, with the supplier's name.
#[derive(Queryable)]
pub(in crate::hires) struct HireRow {
    pub(in crate::hires) id: HireId,
    pub(in crate::hires) round_id: RoundId,
    pub(in crate::hires) machine_id: MachineId,
    pub(in crate::hires) span: StoredSpan,
    pub(in crate::hires) charges: HireCharges,
    pub(in crate::hires) supplier_name: String,
}

/// One round.
pub(in crate::hires) async fn find(tx: &mut AsyncPgConnection, network: NetworkId, id: RoundId) -> Result<RoundRow> {
    Ok(rounds::table.find((network, id)).select(RoundRow::as_select()).first(tx).await?)
}

/// One round, locked until the transaction ends: its requests and state stand still.
pub(in crate::hires) async fn lock(tx: &mut AsyncPgConnection, network: NetworkId, id: RoundId) -> Result<RoundRow> {
    Ok(rounds::table.find((network, id)).select(RoundRow::as_select()).for_update().first(tx).await?)
}

/// Rounds, those that begin last first.
pub(in crate::hires) async fn list(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    page: &PageQuery,
) -> Result<Vec<RoundRow>> {
    let mut query = rounds::table
        .filter(rounds::network_id.eq(network))
        .select(RoundRow::as_select())
        .order((rounds::from_on.desc(), rounds::id))
        .limit(page.rows())
        .into_boxed();
    if let Some((day, id)) = page.after::<(NaiveDate, RoundId)>()? {
        query = query.filter(rounds::from_on.lt(day).or(rounds::from_on.eq(day).and(rounds::id.gt(id))));
    }
    Ok(query.load(tx).await?)
}

/// The machines of some rounds, by name.
pub(in crate::hires) async fn machines_of(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    ids: &[RoundId],
) -> Result<Vec<MachineRow>> {
    let of_machine =
        machines::network_id.eq(round_machines::network_id).and(machines::id.eq(round_machines::machine_id));
    let of_hire =
        hires::network_id.eq(round_machines::network_id).and(hires::id.nullable().eq(round_machines::hire_id));
    Ok(round_machines::table
        .inner_join(machines::table.on(of_machine))
        .left_join(hires::table.on(of_hire))
        .filter(round_machines::network_id.eq(network))
        .filter(round_machines::round_id.eq_any(ids))
        .select((
            round_machines::round_id,
            machines::id,
            round_machines::hire_id,
            round_machines::kept_ground_id,
            machines::name,
            machines::kind,
            machines::max_depth_mm,
            machines::tractor_kw,
            machines::width_m,
            machines::speed_km_h,
            machines::field_efficiency,
            hires::span.nullable(),
        ))
        .order(machines::name)
        .load(tx)
        .await?)
}

/// The hires of some rounds, as they were entered.
pub(in crate::hires) async fn hires_of(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    ids: &[RoundId],
) -> Result<Vec<HireRow>> {
    let of_supplier = suppliers::network_id.eq(hires::network_id).and(suppliers::id.eq(hires::supplier_id));
    Ok(hires::table
        .inner_join(suppliers::table.on(of_supplier))
        .filter(hires::network_id.eq(network))
        .filter(hires::round_id.eq_any(ids))
        .select((hires::id, hires::round_id, hires::machine_id, hires::span, HireCharges::as_select(), suppliers::name))
        .order(hires::id)
        .load(tx)
        .await?)
}

/// How many places each club asks for in some rounds.
pub(in crate::hires) async fn request_counts(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    ids: &[RoundId],
) -> Result<Vec<(RoundId, ClubId, i64)>> {
    Ok(round_requests::table
        .filter(round_requests::network_id.eq(network))
        .filter(round_requests::round_id.eq_any(ids))
        .filter(round_requests::state.eq(RequestState::Asked))
        .group_by((round_requests::round_id, round_requests::club_id))
        .select((round_requests::round_id, round_requests::club_id, count_star()))
        .load(tx)
        .await?)
}

/// Keeps a new round.
pub(in crate::hires) async fn insert(
    tx: &mut AsyncPgConnection,
    member: &Member,
    id: RoundId,
    (terms, grain, days): (&RoundTerms, Grain, Days),
) -> Result<()> {
    diesel::insert_into(rounds::table)
        .values((
            rounds::network_id.eq(member.network_id),
            rounds::id.eq(id),
            terms,
            rounds::grain.eq(grain),
            rounds::from_on.eq(days.from_on),
            rounds::until_on.eq(days.until_on),
            rounds::opened_by.eq(member.person_id),
        ))
        .execute(tx)
        .await?;
    Ok(())
}

/// Gives a round other terms.
pub(in crate::hires) async fn update_terms(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    id: RoundId,
    terms: &RoundTerms,
) -> Result<()> {
    diesel::update(rounds::table.find((network, id)))
        .set((terms, rounds::version.eq(rounds::version + 1)))
        .execute(tx)
        .await?;
    Ok(())
}

/// Moves a round to another state; a reason goes with calling it off.
pub(in crate::hires) async fn set_state(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    id: RoundId,
    state: RoundState,
    reason: Option<&str>,
) -> Result<()> {
    diesel::update(rounds::table.find((network, id)))
        .set((rounds::state.eq(state), rounds::called_off_reason.eq(reason), rounds::version.eq(rounds::version + 1)))
        .execute(tx)
        .await?;
    Ok(())
}

/// Keeps a hire, and its machine in the round.
pub(in crate::hires) async fn insert_hire(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    round: RoundId,
    hire: &Checked,
    availability: AvailabilityId,
) -> Result<HireId> {
    let id = HireId::new();
    diesel::insert_into(hires::table)
        .values((
            hires::network_id.eq(network),
            hires::id.eq(id),
            hires::round_id.eq(round),
            hires::machine_id.eq(hire.machine_id),
            hires::availability_id.eq(availability),
            hires::span.eq(StoredSpan(hire.span)),
            &hire.charges,
        ))
        .execute(tx)
        .await?;
    insert_machine(tx, network, round, hire.machine_id, (Some(id), None)).await?;
    Ok(id)
}

/// Gives a hire other charges.
pub(in crate::hires) async fn update_hire(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    id: HireId,
    charges: &HireCharges,
) -> Result<()> {
    diesel::update(hires::table.find((network, id))).set(charges).execute(tx).await?;
    Ok(())
}

/// Gives a hire other dates, with the time its machine is there because of it.
pub(in crate::hires) async fn move_hire(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    id: HireId,
    (span, available): (HalfDaySpan, AvailabilityId),
) -> Result<()> {
    diesel::update(hires::table.find((network, id)))
        .set((hires::span.eq(StoredSpan(span)), hires::availability_id.eq(available)))
        .execute(tx)
        .await?;
    Ok(())
}

/// Counts a change of a round.
pub(in crate::hires) async fn count_change(tx: &mut AsyncPgConnection, network: NetworkId, id: RoundId) -> Result<()> {
    diesel::update(rounds::table.find((network, id))).set(rounds::version.eq(rounds::version + 1)).execute(tx).await?;
    Ok(())
}

/// Puts a machine into a round: by its hire, or from the ground where it is kept.
pub(in crate::hires) async fn insert_machine(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    round: RoundId,
    machine: MachineId,
    (hire, kept_at): (Option<HireId>, Option<GroundId>),
) -> Result<()> {
    diesel::insert_into(round_machines::table)
        .values((
            round_machines::network_id.eq(network),
            round_machines::round_id.eq(round),
            round_machines::machine_id.eq(machine),
            round_machines::hire_id.eq(hire),
            round_machines::kept_ground_id.eq(kept_at),
        ))
        .execute(tx)
        .await?;
    Ok(())
}

/// Lets a round reach over these days.
pub(in crate::hires) async fn set_days(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    id: RoundId,
    days: Days,
) -> Result<()> {
    diesel::update(rounds::table.find((network, id)))
        .set((
            rounds::from_on.eq(days.from_on),
            rounds::until_on.eq(days.until_on),
            rounds::version.eq(rounds::version + 1),
        ))
        .execute(tx)
        .await?;
    Ok(())
}

/// Lets go of the time that a hire gave its machine, and names it.
pub(in crate::hires) async fn release_hire(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    id: HireId,
) -> Result<Option<AvailabilityId>> {
    let hire = hires::table.find((network, id));
    let given = hire.select(hires::availability_id).first(tx).await?;
    diesel::update(hire).set(hires::availability_id.eq(None::<AvailabilityId>)).execute(tx).await?;
    Ok(given)
}

/// Lets go of the times that the hires of a round gave their machines, and names them.
pub(in crate::hires) async fn release_hires(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    round: RoundId,
) -> Result<Vec<(MachineId, AvailabilityId)>> {
    let of_round = hires::table.filter(hires::network_id.eq(network)).filter(hires::round_id.eq(round));
    let given = of_round
        .filter(hires::availability_id.is_not_null())
        .select((hires::machine_id, hires::availability_id.assume_not_null()))
        .order(hires::machine_id)
        .load(tx)
        .await?;
    diesel::update(of_round).set(hires::availability_id.eq(None::<AvailabilityId>)).execute(tx).await?;
    Ok(given)
}
