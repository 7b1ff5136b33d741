//! Services that come again and again, by hours run or by date: planned, done, and told of when due.

use chrono::{DateTime, Days, NaiveDate, NaiveTime, Utc};
use chrono_tz::Tz;
use logistics::servicing::{Interval, Reckoned, Since, reckon};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::faults::keepers;
use super::letters;
use super::meter::{hours, meter_parse};
use super::store;
use super::store_services::{self as plans, PlanRow};
use super::words::ServiceStanding;
use crate::access::{Act, Member};
use crate::database::{Scope, Tx};
use crate::error::{Code, Result, refuse};
use crate::ids::{MachineId, NetworkId, ServicePlanId};
use crate::jobs::{self, Job};
use crate::machines::{Terms, date_parse};
use crate::mail;
use crate::service::Service;
use crate::text::{name_parse, note_parse};
use crate::time::{day_words, instant, today, zone_of};

/// The hour at which the owner is told of what falls due that day, local.
const TOLD_AT_HOUR: u32 = 7;

/// A service to be done again and again.
#[derive(Debug, Clone, Serialize, Deserialize, ToSchema)]
pub struct CreateService {
    /// Such as: grease the shaft.
    pub what: String,
    /// Hours run between two.
    #[serde(default)]
    #[schema(minimum = 1, maximum = 10_000)]
    pub every_hours: Option<i32>,
    /// Months between two.
    #[serde(default)]
    #[schema(minimum = 1, maximum = 120)]
    pub every_months: Option<i32>,
    /// When it was done last, or counts from.
    pub first_on: NaiveDate,
    /// The hour meter then, in hours.
    #[serde(default)]
    pub first_meter_h: Option<f64>,
}

/// A service that was done.
#[derive(Debug, Clone, Serialize, Deserialize, ToSchema)]
pub struct CreateServiceDone {
    /// On which date.
    pub done_on: NaiveDate,
    /// The hour meter then, in hours; without, the last reading of a handover up to that date counts.
    #[serde(default)]
    pub meter_h: Option<f64>,
    /// Free text.
    #[serde(default)]
    pub note: String,
}

/// A service and how it stands.
#[derive(Debug, Serialize, ToSchema)]
pub struct ServiceView {
    /// The plan.
    pub service_plan_id: ServicePlanId,
    /// What is done.
    pub what: String,
    /// Hours run between two; null: hours do not count.
    pub every_hours: Option<i32>,
    /// Months between two; null: dates do not count.
    pub every_months: Option<i32>,
    /// How it stands.
    pub standing: ServiceStanding,
    /// Why, in words.
    pub reason: String,
    /// The last time it was done; null while it never was.
    pub last_done_on: Option<NaiveDate>,
}

/// Adds a service to a machine.
///
/// # Errors
/// `not_found`, `not_your_role`, `invalid`.
pub async fn add_service(
    tx: &mut Tx,
    member: &Member,
    machine: MachineId,
    wish: CreateService,
    now: DateTime<Utc>,
) -> Result<ServiceView> {
    let terms = Terms::hold(tx, member.network_id, machine).await?;
    member.require(Act::EditMachine, terms.facts.owner_club_id)?;
    let first = wish.first_meter_h.map(|meter_h| meter_parse("first_meter_h", meter_h)).transpose()?;
    let plan = PlanRow {
        id: ServicePlanId::new(),
        machine_id: machine,
        what: name_parse("what", &wish.what)?,
        every_hours: wish.every_hours,
        every_months: wish.every_months,
        first_on: date_parse("first_on", wish.first_on)?,
        first_tenth_hours: first.unwrap_or(0),
    };
    plans::insert(tx, member.network_id, &plan).await?;
    check_at(tx, member.network_id, machine, now).await?;
    one(tx, member.network_id, plan.id, machine, now).await
}

/// Enters that a service was done.
///
/// # Errors
/// `not_found`, `not_your_role`, `date_in_future`, `invalid`.
pub async fn enter_service_done(
    tx: &mut Tx,
    member: &Member,
    id: ServicePlanId,
    wish: CreateServiceDone,
    now: DateTime<Utc>,
) -> Result<ServiceView> {
    let network = member.network_id;
    let machine = plans::machine_of(tx, network, id).await?;
    let terms = Terms::hold(tx, network, machine).await?;
    member.require(Act::EditMachine, terms.facts.owner_club_id)?;
    let done_on = date_parse("done_on", wish.done_on)?;
    let zone = zone_of(tx, network).await?;
    if done_on > today(zone, now) {
        return Err(refuse(Code::DateInFuture, "Enter it when it is done.").field("done_on").into());
    }
    let meter = match wish.meter_h {
        Some(meter_h) => Some(meter_parse("meter_h", meter_h)?),
        None => store::last_meter(tx, network, machine, Some(end_of(zone, done_on)), None).await?,
    };
    plans::insert_done(tx, member, id, done_on, meter, &note_parse("note", &wish.note)?, now).await?;
    check_at(tx, network, machine, now).await?;
    one(tx, network, id, machine, now).await
}

/// The instant at which a date is over.
fn end_of(zone: Tz, day: NaiveDate) -> DateTime<Utc> {
    instant(zone, (day + Days::new(1)).and_time(NaiveTime::MIN))
}

/// Ends a service; what was done stays.
///
/// # Errors
/// `not_found`, `not_your_role`.
pub async fn end_service(
    tx: &mut Tx,
    member: &Member,
    machine: MachineId,
    id: ServicePlanId,
    now: DateTime<Utc>,
) -> Result<()> {
    let terms = Terms::hold(tx, member.network_id, machine).await?;
    member.require(Act::EditMachine, terms.facts.owner_club_id)?;
    plans::end(tx, member.network_id, machine, id, now).await
}

async fn check_at(tx: &mut Tx, network: NetworkId, machine: MachineId, at: DateTime<Utc>) -> Result<()> {
    jobs::enqueue(tx, Some(network), &Job::CheckServices { check_services: machine }, at).await
}

async fn one(
    tx: &mut Tx,
    network: NetworkId,
    id: ServicePlanId,
    machine: MachineId,
    now: DateTime<Utc>,
) -> Result<ServiceView> {
    let mut services = services_of(tx, network, machine, now).await?;
    services.retain(|service| service.service_plan_id == id);
    Ok(services.pop().ok_or(diesel::result::Error::NotFound)?)
}

/// A plan, what it counts from, and how it stands.
struct Due {
    plan: PlanRow,
    since: Since,
    last_done_on: Option<NaiveDate>,
    reckoned: Reckoned,
}

async fn reckon_all(tx: &mut Tx, network: NetworkId, machine: MachineId, today: NaiveDate) -> Result<Vec<Due>> {
    let meter = store::last_meter(tx, network, machine, None, None).await?;
    let done = plans::last_done(tx, network, machine).await?;
    let due = |plan: PlanRow| {
        let last = done.iter().find(|(of, ..)| *of == plan.id);
        let (on, tenth_hours) = last.map_or((plan.first_on, None), |(_, on, meter)| (*on, *meter));
        let since = Since { on, tenth_hours: tenth_hours.unwrap_or(plan.first_tenth_hours) };
        // The table admits nothing that does not fit.
        let count = |count: Option<i32>| count.and_then(|count| u16::try_from(count).ok());
        let interval = Interval { every_hours: count(plan.every_hours), every_months: count(plan.every_months) };
        // A meter read at the service itself may be newer than that of the last handover.
        let reckoned = reckon(interval, since, meter.map(|meter| meter.max(since.tenth_hours)), today);
        Due { plan, since, last_done_on: last.map(|(_, on, _)| *on), reckoned }
    };
    Ok(plans::list(tx, network, machine).await?.into_iter().map(due).collect())
}

/// The services of a machine, the most pressing first. Scope: the network.
pub(super) async fn services_of(
    tx: &mut Tx,
    network: NetworkId,
    machine: MachineId,
    now: DateTime<Utc>,
) -> Result<Vec<ServiceView>> {
    let today = today(zone_of(tx, network).await?, now);
    let mut due = reckon_all(tx, network, machine, today).await?;
    due.sort_by_key(|due| std::cmp::Reverse(due.reckoned.standing));
    let view = |due: Due| ServiceView {
        reason: reason(&due, today),
        service_plan_id: due.plan.id,
        what: due.plan.what,
        every_hours: due.plan.every_hours,
        every_months: due.plan.every_months,
        standing: due.reckoned.standing.into(),
        last_done_on: due.last_done_on,
    };
    Ok(due.into_iter().map(view).collect())
}

/// Why a service stands as it does.
fn reason(due: &Due, today: NaiveDate) -> String {
    let by_hours = due.reckoned.tenth_hours_left.map(|left| {
        let words = hours(i32::try_from(left.abs()).unwrap_or(i32::MAX));
        if left < 0 { format!("{words:.1} hours past its hours.") } else { format!("{words:.1} hours left.") }
    });
    let by_date = due.reckoned.due_on.map(|on| {
        let year = on.format("%Y");
        if on < today {
            format!("Was due on {} {year}.", day_words(on))
        } else {
            format!("Due by {} {year}.", day_words(on))
        }
    });
    let parts: Vec<String> = [by_hours, by_date].into_iter().flatten().collect();
    if parts.is_empty() { "The hour meter has not been read yet.".to_owned() } else { parts.join(" ") }
}

/// Tells those who look after a machine of what has fallen due, once each, and looks again on the next date.
///
/// # Errors
/// A failing database.
pub async fn check_services(
    service: &Service,
    network: NetworkId,
    machine: MachineId,
    now: DateTime<Utc>,
) -> Result<()> {
    let mut tx = service.db.begin(Scope::Network(network)).await?;
    let terms = Terms::hold(&mut tx, network, machine).await?;
    let zone = zone_of(&mut tx, network).await?;
    let today = today(zone, now);
    let mut next: Option<NaiveDate> = None;
    for due in reckon_all(&mut tx, network, machine, today).await? {
        let standing = ServiceStanding::from(due.reckoned.standing);
        next = [next, next_date(&due.reckoned, today)].into_iter().flatten().min();
        if standing == ServiceStanding::Fine
            || !plans::note_told(&mut tx, network, due.plan.id, due.since.on, standing, now).await?
        {
            continue;
        }
        for to in keepers(&mut tx, network, terms.facts.owner_club_id).await? {
            let (named, reason) = ((terms.facts.name.as_str(), machine), reason(&due, today));
            let letter = letters::service(&to, named, &due.plan.what, standing, &reason, &service.config.public_url);
            mail::post(&mut tx, Some(network), letter, now).await?;
        }
    }
    if let Some(at) = next.and_then(|day| day.and_hms_opt(TOLD_AT_HOUR, 0, 0)) {
        check_at(&mut tx, network, machine, instant(zone, at)).await?;
    }
    tx.commit().await
}

/// The next date on which a service changes how it stands.
fn next_date(reckoned: &Reckoned, today: NaiveDate) -> Option<NaiveDate> {
    let due_on = reckoned.due_on?;
    let steps = [due_on - logistics::servicing::DAYS_BEFORE, due_on + Days::new(1)];
    steps.into_iter().find(|step| *step > today)
}
