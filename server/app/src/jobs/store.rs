//! Queries on the queue.

use anyhow::Context;
use chrono::{DateTime, TimeDelta, Utc};
use diesel::prelude::*;
use diesel_async::{AsyncPgConnection, RunQueryDsl};

use super::{Job, MAKE_PLAN};
use crate::error::Result;
use crate::ids::{JobId, NetworkId};
use crate::schema::jobs;

/// A claimed job.
#[derive(Queryable, Selectable)]
#[diesel(table_name = jobs)]
pub(super) struct Claimed {
    pub(super) id: JobId,
    pub(super) network_id: Option<NetworkId>,
    pub(super) kind: String,
    pub(super) payload: serde_json::Value,
    pub(super) attempts: i32,
    pub(super) locked_until: Option<DateTime<Utc>>,
}

/// How long a worker may keep a job before another may take it over.
const CLAIM_LASTS: TimeDelta = TimeDelta::minutes(2);

pub(super) async fn insert(
    tx: &mut AsyncPgConnection,
    network: Option<NetworkId>,
    job: &Job,
    run_at: DateTime<Utc>,
) -> Result<()> {
    diesel::insert_into(jobs::table)
        .values((
            jobs::id.eq(JobId::new()),
            jobs::network_id.eq(network),
            jobs::kind.eq(job.kind()),
            jobs::subject.eq(job.subject()),
            jobs::payload.eq(serde_json::to_value(job).context("a job is plain data")?),
            jobs::run_at.eq(run_at),
        ))
        .on_conflict((jobs::kind, jobs::subject))
        .do_update()
        .set((
            jobs::run_at.eq(run_at),
            jobs::state.eq("waiting"),
            jobs::attempts.eq(0),
            jobs::locked_until.eq(None::<DateTime<Utc>>),
            jobs::finished_at.eq(None::<DateTime<Utc>>),
        ))
        .execute(tx)
        .await?;
    Ok(())
}

/// Drops waiting jobs whose cause went away.
///
/// # Errors
/// A failing database.
pub async fn drop_subject(tx: &mut AsyncPgConnection, job: &Job, now: DateTime<Utc>) -> Result<()> {
    diesel::update(jobs::table)
        .filter(jobs::kind.eq(job.kind()))
        .filter(jobs::subject.eq(job.subject()))
        .filter(jobs::state.eq("waiting"))
        .set((jobs::state.eq("dropped"), jobs::finished_at.eq(now)))
        .execute(tx)
        .await?;
    Ok(())
}

/// How many jobs wait that could run now. Scope: queue.
///
/// # Errors
/// A failing database.
pub async fn waiting_count(tx: &mut AsyncPgConnection, now: DateTime<Utc>) -> Result<i64> {
    let due = jobs::table.filter(jobs::state.eq("waiting")).filter(jobs::run_at.le(now));
    Ok(due.count().get_result(tx).await?)
}

/// Which jobs a worker takes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Kinds {
    /// Plans of rounds, which may take a minute each.
    Planning,
    /// Everything else, which is quick.
    AllElse,
}

/// Takes the job of some kinds that has been due longest, if any is free. Scope: queue.
pub(super) async fn claim(tx: &mut AsyncPgConnection, kinds: Kinds, now: DateTime<Utc>) -> Result<Option<Claimed>> {
    let is_wanted = jobs::kind.eq(MAKE_PLAN).eq(kinds == Kinds::Planning);
    let next: Option<JobId> = jobs::table
        .filter(is_wanted)
        .filter(jobs::state.eq("waiting"))
        .filter(jobs::run_at.le(now))
        .filter(jobs::locked_until.is_null().or(jobs::locked_until.le(now)))
        .order((jobs::run_at, jobs::id))
        .select(jobs::id)
        .for_update()
        .skip_locked()
        .first(tx)
        .await
        .optional()?;
    let Some(id) = next else { return Ok(None) };
    let claimed = diesel::update(jobs::table.find(id))
        .set((jobs::locked_until.eq(now + CLAIM_LASTS), jobs::attempts.eq(jobs::attempts + 1)))
        .returning(Claimed::as_returning())
        .get_result(tx)
        .await?;
    Ok(Some(claimed))
}

/// Which claim of which job: one that was queued again meanwhile, or taken over, is no longer this worker's to end.
pub(super) type Claim = (JobId, Option<DateTime<Utc>>);

/// Ends a job. Scope: queue, or its network in the job's own transaction.
pub(super) async fn finish(tx: &mut AsyncPgConnection, (id, locked_until): Claim, now: DateTime<Utc>) -> Result<()> {
    diesel::update(jobs::table.find(id))
        .filter(jobs::state.eq("waiting"))
        .filter(jobs::locked_until.eq(locked_until))
        .set((jobs::state.eq("done"), jobs::finished_at.eq(now), jobs::last_error.eq(None::<String>)))
        .execute(tx)
        .await?;
    Ok(())
}

/// Tries again later, or parks. Scope: queue.
pub(super) async fn put_back(
    tx: &mut AsyncPgConnection,
    (id, locked_until): Claim,
    error: &str,
    again_at: Option<DateTime<Utc>>,
    now: DateTime<Utc>,
) -> Result<()> {
    let update = diesel::update(jobs::table.find(id))
        .filter(jobs::state.eq("waiting"))
        .filter(jobs::locked_until.eq(locked_until));
    match again_at {
        Some(at) => {
            let unlocked = jobs::locked_until.eq(None::<DateTime<Utc>>);
            update.set((jobs::run_at.eq(at), unlocked, jobs::last_error.eq(error))).execute(tx).await?
        }
        None => {
            let parked = jobs::state.eq("parked");
            update.set((parked, jobs::finished_at.eq(now), jobs::last_error.eq(error))).execute(tx).await?
        }
    };
    Ok(())
}
