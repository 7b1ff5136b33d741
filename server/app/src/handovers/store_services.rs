//! Queries on services. Scope of all: the network.

use chrono::{DateTime, NaiveDate, Utc};
use diesel::prelude::*;
use diesel_async::{AsyncPgConnection, RunQueryDsl};
use uuid::Uuid;

use super::words::ServiceStanding;
use crate::access::Member;
use crate::error::Result;
use crate::ids::{MachineId, NetworkId, ServicePlanId};
use crate::schema::{service_notices, service_plans, services_done};

/// A plan as kept.
#[derive(Queryable, Selectable, Insertable)]
#[diesel(table_name = service_plans)]
pub(super) struct PlanRow {
    pub(super) id: ServicePlanId,
    pub(super) machine_id: MachineId,
    pub(super) what: String,
    pub(super) every_hours: Option<i32>,
    pub(super) every_months: Option<i32>,
    pub(super) first_on: NaiveDate,
    pub(super) first_tenth_hours: i32,
}

pub(super) async fn insert(tx: &mut AsyncPgConnection, network: NetworkId, plan: &PlanRow) -> Result<()> {
    diesel::insert_into(service_plans::table).values((service_plans::network_id.eq(network), plan)).execute(tx).await?;
    Ok(())
}

/// The plans of a machine that have not ended, by what is done.
pub(super) async fn list(tx: &mut AsyncPgConnection, network: NetworkId, machine: MachineId) -> Result<Vec<PlanRow>> {
    Ok(service_plans::table
        .filter(service_plans::network_id.eq(network))
        .filter(service_plans::machine_id.eq(machine))
        .filter(service_plans::ended_at.is_null())
        .select(PlanRow::as_select())
        .order((service_plans::what, service_plans::id))
        .load(tx)
        .await?)
}

pub(super) async fn machine_of(tx: &mut AsyncPgConnection, network: NetworkId, id: ServicePlanId) -> Result<MachineId> {
    let open = service_plans::table.find((network, id)).filter(service_plans::ended_at.is_null());
    Ok(open.select(service_plans::machine_id).first(tx).await?)
}

pub(super) async fn end(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    machine: MachineId,
    id: ServicePlanId,
    now: DateTime<Utc>,
) -> Result<()> {
    let ended = diesel::update(service_plans::table.find((network, id)))
        .filter(service_plans::machine_id.eq(machine))
        .filter(service_plans::ended_at.is_null())
        .set(service_plans::ended_at.eq(now))
        .execute(tx)
        .await?;
    if ended == 1 { Ok(()) } else { Err(diesel::result::Error::NotFound.into()) }
}

pub(super) async fn insert_done(
    tx: &mut AsyncPgConnection,
    member: &Member,
    plan: ServicePlanId,
    done_on: NaiveDate,
    meter_tenth_hours: Option<i32>,
    note: &str,
    now: DateTime<Utc>,
) -> Result<()> {
    diesel::insert_into(services_done::table)
        .values((
            services_done::network_id.eq(member.network_id),
            services_done::id.eq(Uuid::now_v7()),
            services_done::plan_id.eq(plan),
            services_done::done_on.eq(done_on),
            services_done::meter_tenth_hours.eq(meter_tenth_hours),
            services_done::note.eq(note),
            services_done::entered_by.eq(member.person_id),
            services_done::entered_at.eq(now),
        ))
        .execute(tx)
        .await?;
    Ok(())
}

/// The last time each service of a machine was done: plan, date, reading.
pub(super) async fn last_done(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    machine: MachineId,
) -> Result<Vec<(ServicePlanId, NaiveDate, Option<i32>)>> {
    let plan =
        service_plans::network_id.eq(services_done::network_id).and(service_plans::id.eq(services_done::plan_id));
    Ok(services_done::table
        .inner_join(service_plans::table.on(plan))
        .filter(services_done::network_id.eq(network))
        .filter(service_plans::machine_id.eq(machine))
        .distinct_on(services_done::plan_id)
        .order((services_done::plan_id, services_done::done_on.desc(), services_done::id.desc()))
        .select((services_done::plan_id, services_done::done_on, services_done::meter_tenth_hours))
        .load(tx)
        .await?)
}

/// Notes that somebody is told of a service. Says whether nobody was before.
pub(super) async fn note_told(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    plan: ServicePlanId,
    after_on: NaiveDate,
    standing: ServiceStanding,
    now: DateTime<Utc>,
) -> Result<bool> {
    let noted = diesel::insert_into(service_notices::table)
        .values((
            service_notices::network_id.eq(network),
            service_notices::plan_id.eq(plan),
            service_notices::after_on.eq(after_on),
            service_notices::standing.eq(standing),
            service_notices::told_at.eq(now),
        ))
        .on_conflict_do_nothing()
        .execute(tx)
        .await?;
    Ok(noted == 1)
}
