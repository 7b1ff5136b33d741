//! Rounds that were agreed before the network kept its rounds here, so that their turns can be entered.

use chrono::{DateTime, NaiveDate, TimeDelta, Utc};

use super::requests::RequestFacts;
use super::rounds::put_hire;
use super::store;
use super::store::requests::{self, Written};
use super::terms::{CreateHire, Days, RoundTerms};
use super::words::{Grain, RoundState, Tractor};
use crate::access::{Act, Member};
use crate::database::Tx;
use crate::error::{Result, invalid};
use crate::ids::{ClubId, GroundId, HireId, PitchId, RequestId, RoundId};
use crate::text::name_parse;

/// A round as it is remembered.
#[derive(Debug, Clone)]
pub struct PastRound {
    /// As members called it.
    pub title: String,
    /// Its first day.
    pub from_on: NaiveDate,
    /// Its last day.
    pub until_on: NaiveDate,
    /// Who asked: club, ground and pitches.
    pub asked: Vec<(ClubId, GroundId, Vec<PitchId>)>,
    /// What was hired for it, where that is remembered.
    pub hires: Vec<CreateHire>,
}

/// What a past round was kept as: its requests and hires in the order they were given.
#[derive(Debug, Clone)]
pub struct KeptRound {
    /// The round.
    pub round_id: RoundId,
    /// The requests.
    pub requests: Vec<RequestId>,
    /// The hires.
    pub hires: Vec<HireId>,
}

/// Keeps a round that is over, with what was asked for and hired. Nobody is told, nothing is booked.
///
/// # Errors
/// `not_your_role`; `invalid` for days that are not over, a ground or pitch that is not the club's.
pub async fn record_past_round(
    tx: &mut Tx,
    member: &Member,
    past: &PastRound,
    now: DateTime<Utc>,
) -> Result<KeptRound> {
    member.require(Act::RunRound, None)?;
    if past.until_on >= now.date_naive() {
        return Err(invalid("until_on", "A round that is not over is opened and planned here.").into());
    }
    let id = RoundId::new();
    let terms = RoundTerms {
        title: name_parse("title", &past.title)?,
        // Requests are taken only before a deadline: it lies ahead until they are written.
        requests_close_at: now + TimeDelta::hours(1),
        hm_per_point: 50,
        guarantee_after: 0,
        note: String::new(),
    };
    let days = Days { from_on: past.from_on, until_on: past.until_on };
    store::insert(tx, member, id, (&terms, Grain::HalfDays, days)).await?;
    let mut requests = Vec::new();
    for (club, ground, pitches) in &past.asked {
        let request = RequestId::new();
        requests::insert(tx, member, id, request, &remembered(*club, *ground, pitches)).await?;
        requests.push(request);
    }
    let mut hires = Vec::new();
    for hire in &past.hires {
        hires.push(put_hire(tx, member, id, &hire.checked()?).await?);
    }
    let closed = RoundTerms { requests_close_at: past.from_on.and_time(chrono::NaiveTime::MIN).and_utc(), ..terms };
    store::update_terms(tx, member.network_id, id, &closed).await?;
    store::set_state(tx, member.network_id, id, RoundState::Finished, None).await?;
    Ok(KeptRound { round_id: id, requests, hires })
}

/// What is no longer known of a request is the usual.
fn remembered(club_id: ClubId, ground_id: GroundId, pitches: &[PitchId]) -> Written {
    let facts = RequestFacts {
        ground_id,
        need: 3,
        depth_mm: None,
        set_up_min: 0,
        tractor: Tractor::Own,
        tractor_kw: Some(30.0),
        helper_club_id: None,
        note: String::new(),
    };
    Written { club_id, facts, pitch_ids: pitches.to_vec(), half_days: Vec::new(), wishes: Vec::new() }
}
