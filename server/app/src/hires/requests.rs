//! A club asks for a place in a round, changes its request, takes it back.
//!
//! What cannot work at all is refused here in words, field by field; whether the round still takes requests the trigger
//! `round_requests_gate` decides.

use std::collections::BTreeSet;

use chrono::{NaiveDate, NaiveDateTime, NaiveTime};
use diesel::prelude::*;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::crews::tractor_is_there;
use super::request_view::{PlaceRequest, load};
use super::store::requests::{self as store, Written};
use super::store::{self as rounds, MachineRow, RoundRow};
use super::words::{RequestState, Tractor};
use super::workload::{most_running, work_on};
use crate::access::{Act, Member};
use crate::database::Tx;
use crate::error::{Code, Refused, Result, invalid, refuse};
use crate::ids::{ClubId, GroundId, PitchId, RequestId, RoundId};
use crate::schema::round_requests;
use crate::text::note_parse;
use crate::time::day_words;
use crate::wire::IfMatch;

/// As many days as a club can wish for.
const MOST_WISHES: usize = 4;

/// A club's wish for a place in a round.
#[derive(Debug, Clone, Serialize, Deserialize, ToSchema)]
pub struct CreateRequest {
    /// Whose wish.
    pub club_id: ClubId,
    /// Which pitches; all on one ground.
    pub pitch_ids: Vec<PitchId>,
    /// The half-days on which the work could happen, each by its beginning.
    #[schema(value_type = Vec<String>, example = json!(["2027-05-04T00:00:00", "2027-05-04T12:00:00"]))]
    pub half_days: Vec<NaiveDateTime>,
    /// The days liked best for the machine to come, in order; at most four.
    pub wishes: Vec<NaiveDate>,
    /// The rest.
    #[serde(flatten)]
    pub facts: RequestFacts,
}

/// What a club says of the work.
#[derive(Debug, Clone, Serialize, Deserialize, ToSchema, Queryable, Selectable, Insertable, AsChangeset)]
#[diesel(table_name = round_requests, treat_none_as_null = true)]
pub struct RequestFacts {
    /// Where the work is.
    pub ground_id: GroundId,
    /// 1 (would be nice) to 5 (cannot play without).
    pub need: i32,
    /// Depth the club wants worked, mm; null for whatever the machine does.
    pub depth_mm: Option<i32>,
    /// Minutes to couple, set and clean, on top of the work.
    pub set_up_min: i32,
    /// Whose tractor and operator.
    pub tractor: Tractor,
    /// Power of the own tractor; null when it is lent.
    pub tractor_kw: Option<f64>,
    /// The neighbour who lends; null for the own.
    pub helper_club_id: Option<ClubId>,
    /// Free text for the club and the coordinator.
    pub note: String,
}

/// Asks for a place.
///
/// # Errors
/// `not_found`, `not_your_role`; `round_not_gathering`; `already_asked` for the ground; `request_too_long` when the work
/// fits into no run of the half-days allowed; `tractor_too_weak`; `invalid` on the field that will not do.
pub async fn ask(tx: &mut Tx, member: &Member, round: RoundId, said: &CreateRequest) -> Result<PlaceRequest> {
    member.require(Act::AskForPlace, Some(said.club_id))?;
    let written = check(tx, member, round, said).await?;
    let id = RequestId::new();
    store::insert(tx, member, round, id, &written).await?;
    tractor_is_there(tx, member.network_id, (round, said.club_id), &written.facts).await?;
    load(tx, member, id).await
}

/// Changes a request.
///
/// # Errors
/// As [`ask`]; `changed_meanwhile`; `request_withdrawn`.
pub async fn change(
    tx: &mut Tx,
    member: &Member,
    id: RequestId,
    seen: IfMatch,
    said: &CreateRequest,
) -> Result<PlaceRequest> {
    let standing = store::lock(tx, member.network_id, id).await?;
    member.require(Act::AskForPlace, Some(standing.club_id))?;
    if standing.state == RequestState::Withdrawn {
        return Err(refuse(Code::RequestWithdrawn, "It was taken back; ask again.").into());
    }
    if standing.version != seen.0 {
        return Err(seen.stale().into());
    }
    if standing.club_id != said.club_id {
        return Err(invalid("club_id", "A request stays with its club.").into());
    }
    let written = check(tx, member, standing.round_id, said).await?;
    store::update(tx, member, id, &written).await?;
    tractor_is_there(tx, member.network_id, (standing.round_id, said.club_id), &written.facts).await?;
    load(tx, member, id).await
}

/// Takes a request back; one that is taken back already is left as it is.
///
/// # Errors
/// `not_found`, `not_your_role`, `round_not_gathering`.
pub async fn withdraw(tx: &mut Tx, member: &Member, id: RequestId) -> Result<PlaceRequest> {
    let standing = store::lock(tx, member.network_id, id).await?;
    member.require(Act::AskForPlace, Some(standing.club_id))?;
    if standing.state == RequestState::Asked {
        store::withdraw(tx, member, id).await?;
    }
    load(tx, member, id).await
}

/// Holds a request against its round and its club.
async fn check(tx: &mut Tx, member: &Member, id: RoundId, said: &CreateRequest) -> Result<Written> {
    let network = member.network_id;
    let round = rounds::find(tx, network, id).await?;
    let facts = RequestFacts { note: note_parse("note", &said.facts.note)?, ..said.facts.clone() };
    check_numbers(&facts)?;
    check_tractor(said.club_id, &facts)?;
    let half_days = half_days_within(&round, &said.half_days)?;
    let wishes = wishes_within(&half_days, &said.wishes)?;
    let pitch_ids: BTreeSet<PitchId> = said.pitch_ids.iter().copied().collect();
    let pitches = store::pitches_on(tx, network, (said.club_id, facts.ground_id), &pitch_ids).await?;
    if pitch_ids.is_empty() || pitches.len() != pitch_ids.len() {
        return Err(invalid("pitch_ids", "Choose pitches of the club that lie on that ground.").into());
    }
    let machines = rounds::machines_of(tx, network, &[id]).await?;
    let area_m2 = pitches.iter().map(|(.., area_m2)| i64::from(*area_m2)).sum();
    fits_some(&round, &machines, &facts, area_m2, &half_days)?;
    Ok(Written { club_id: said.club_id, facts, pitch_ids: pitch_ids.into_iter().collect(), half_days, wishes })
}

fn check_numbers(facts: &RequestFacts) -> Result<(), Refused> {
    if !(1..=5).contains(&facts.need) {
        return Err(invalid("need", "Need is 1 (would be nice) to 5 (cannot play without)."));
    }
    if !(0..=240).contains(&facts.set_up_min) {
        return Err(invalid("set_up_min", "Setting up takes 0 to 240 minutes."));
    }
    Ok(())
}

fn check_tractor(club: ClubId, facts: &RequestFacts) -> Result<(), Refused> {
    match (facts.tractor, facts.tractor_kw, facts.helper_club_id) {
        (Tractor::Own, Some(kw), None) if kw > 0.0 && kw < 1000.0 => Ok(()),
        (Tractor::Own, ..) => Err(invalid("tractor_kw", "Say how strong your tractor is, in kW.")),
        (Tractor::Neighbour, None, Some(helper)) if helper != club => Ok(()),
        (Tractor::Neighbour, ..) => Err(invalid("helper_club_id", "Say which other club lends you its tractor.")),
    }
}

/// The half-days allowed, in order, each once.
fn half_days_within(round: &RoundRow, said: &[NaiveDateTime]) -> Result<Vec<NaiveDateTime>, Refused> {
    if said.is_empty() {
        return Err(invalid("half_days", "Choose at least one half-day on which it could happen."));
    }
    let half_days: BTreeSet<NaiveDateTime> = said.iter().copied().collect();
    for at in &half_days {
        if ![NaiveTime::MIN, noon()].contains(&at.time()) {
            return Err(refuse(Code::NotHalfDays, "Times begin at 00:00 or 12:00.").field("half_days"));
        }
        if at.date() < round.from_on || at.date() > round.until_on {
            return Err(invalid("half_days", "The half-days must lie within the round."));
        }
    }
    Ok(half_days.into_iter().collect())
}

fn noon() -> NaiveTime {
    NaiveTime::MIN + chrono::TimeDelta::hours(12)
}

/// The wishes, each a day that is allowed and named once.
fn wishes_within(half_days: &[NaiveDateTime], said: &[NaiveDate]) -> Result<Vec<NaiveDate>, Refused> {
    if said.len() > MOST_WISHES {
        return Err(invalid("wishes", "Name at most four days."));
    }
    if said.iter().collect::<BTreeSet<_>>().len() != said.len() {
        return Err(invalid("wishes", "Name each day once."));
    }
    match said.iter().find(|day| !half_days.iter().any(|at| at.date() == **day)) {
        Some(day) => Err(invalid("wishes", format!("{} is not among the days you allow.", day_words(*day)))),
        None => Ok(said.to_vec()),
    }
}

/// Refuses what no machine of the round can do, by the first reason that holds for all of them.
fn fits_some(
    round: &RoundRow,
    machines: &[MachineRow],
    facts: &RequestFacts,
    area_m2: i64,
    half_days: &[NaiveDateTime],
) -> Result<(), Refused> {
    let deep: Vec<_> = machines.iter().filter(|machine| reaches(machine, facts)).collect();
    if deep.is_empty() {
        return Err(invalid("depth_mm", "No machine of this round works that deep."));
    }
    let least_kw = deep.iter().filter_map(|machine| machine.tractor_kw).fold(f64::INFINITY, f64::min);
    let pulled: Vec<_> = deep.into_iter().filter(|machine| is_pulled(machine, facts)).collect();
    if pulled.is_empty() {
        let words = format!("The machine needs {least_kw:?} kW or more. Ask a neighbour to lend a tractor.");
        return Err(refuse(Code::TractorTooWeak, words).field("tractor_kw"));
    }
    let fits = |machine: &&MachineRow| {
        let work = work_on(machine, round.grain, area_m2, facts.set_up_min)?;
        let there: Vec<NaiveDateTime> = half_days.iter().filter(|at| is_there(machine, **at)).copied().collect();
        Ok(most_running(round.grain, &there) >= work.slots)
    };
    match pulled.iter().map(fits).collect::<Result<Vec<bool>, Refused>>()?.contains(&true) {
        true => Ok(()),
        false => Err(refuse(
            Code::RequestTooLong,
            "The work fits into no run of half-days that you allow and the machine is there. Allow more, or split it by pitch.",
        )
        .field("half_days")),
    }
}

/// Whether a machine works as deep as is wanted.
pub(super) fn reaches(machine: &MachineRow, facts: &RequestFacts) -> bool {
    facts.depth_mm.is_none_or(|wanted| machine.max_depth_mm.is_some_and(|most| wanted <= most))
}

/// Whether the club's tractor pulls a machine. A lent tractor is the neighbour's to judge.
pub(super) fn is_pulled(machine: &MachineRow, facts: &RequestFacts) -> bool {
    match (machine.tractor_kw, facts.tractor_kw) {
        (Some(needed), Some(own)) => own >= needed,
        _ => true,
    }
}

/// An owned machine is there for the whole round.
pub(super) fn is_there(machine: &MachineRow, at: NaiveDateTime) -> bool {
    machine.hired.is_none_or(|hired| hired.0.from() <= at && at < hired.0.until())
}
