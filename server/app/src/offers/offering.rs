//! Putting a plan to its clubs, and taking it back.

use std::collections::BTreeSet;

use chrono::{DateTime, NaiveDateTime, Utc};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::letters::Letters;
use super::post::Post;
use super::settling::schedule;
use super::store::{self, NewOffer};
use super::view::{RoundOffers, load};
use super::words::OfferState;
use crate::access::{Act, Member};
use crate::database::Tx;
use crate::error::{Code, Error, Refused, Result, invalid, refuse};
use crate::hire_shares::{self, ExpectedHire};
use crate::hires::{self, HeldRound, PlaceFacts, RoundState};
use crate::ids::{ClubId, MachineId, NetworkId, OfferId, PlanId, RoundId};
use crate::machines::{StoredSpan, Terms};
use crate::rounds::{self, PlacedRequest};
use crate::text::note_parse;
use crate::time::{instant, zone_of};

/// A plan to put to its clubs.
#[derive(Debug, Clone, Serialize, Deserialize, ToSchema)]
pub struct OfferPlan {
    /// The plan of the round that is chosen: sent along, so that nobody offers one that he has not seen.
    pub plan_id: PlanId,
    /// Until when the clubs can answer.
    pub answer_by: DateTime<Utc>,
    /// Whether a place that is declined, or not answered in time, is offered to the next best.
    pub offers_on: bool,
}

/// Why offers are taken back.
#[derive(Debug, Clone, Serialize, Deserialize, ToSchema)]
pub struct TakeBack {
    /// Told to the clubs.
    pub reason: String,
}

/// Puts the chosen plan to its clubs: each is mailed its days. What an earlier plan left unanswered or declined counts
/// no more.
///
/// # Errors
/// `not_found`, `not_your_role`; `round_step_not_allowed` unless its requests have closed and nothing is offered;
/// `plan_not_ready` for a plan that is not the chosen one, or serves nobody; `plan_stale` when what it was made from has
/// changed; `invalid` for a date that will not do.
pub async fn offer_plan(
    tx: &mut Tx,
    member: &Member,
    round: RoundId,
    said: &OfferPlan,
    public_url: &str,
    now: DateTime<Utc>,
) -> Result<RoundOffers> {
    member.require(Act::RunRound, None)?;
    let network = member.network_id;
    let held = hires::hold_round(tx, network, round).await?;
    can_be_offered(&held)?;
    if rounds::chosen_plan(tx, network, round).await? != Some(said.plan_id) {
        return Err(refuse(Code::PlanNotReady, "It is not the plan that is chosen. Look again which one is.").into());
    }
    let blocks = rounds::places_of_plan(tx, network, said.plan_id).await?;
    refuse_retired(tx, network, &blocks).await?;
    rounds::require_fresh(tx, network, said.plan_id, now).await?;
    let Some(first) = blocks.iter().map(|block| block.span.from()).min() else {
        return Err(refuse(Code::PlanNotReady, "It serves no club, so there is nothing to offer.").into());
    };
    check_date(tx, network, first, said.answer_by, now).await?;
    store::withdraw_all(tx, network, round).await?;
    rounds::end_refills(tx, network, round).await?;
    hires::set_offers_on(tx, network, round, said.offers_on).await?;
    let new = places(tx, &held, network, (said.plan_id, &blocks), (said.answer_by, now)).await?;
    offer(tx, network, &held, &new, public_url, now).await?;
    schedule(tx, network, round, said.answer_by).await?;
    hires::step_round(tx, network, round, RoundState::Offered).await?;
    load(tx, member, round).await
}

/// Takes every place back that is not booked: the round can be planned again.
///
/// # Errors
/// `not_found`, `not_your_role`; `round_not_offered`; `invalid` without a reason.
pub async fn take_back_offers(
    tx: &mut Tx,
    member: &Member,
    round: RoundId,
    said: &TakeBack,
    public_url: &str,
    now: DateTime<Utc>,
) -> Result<RoundOffers> {
    member.require(Act::RunRound, None)?;
    let network = member.network_id;
    let reason = note_parse("reason", &said.reason)?;
    if reason.is_empty() {
        return Err(invalid("reason", "The clubs are told the reason: write one.").into());
    }
    let held = hires::hold_round(tx, network, round).await?;
    must_be_offered(&held)?;
    let post = Post { network, now };
    let letters = Letters::about(tx, network, &held, public_url).await?;
    for offer in store::offers(tx, network, round, &[OfferState::Offered, OfferState::Accepted]).await? {
        store::set_state(tx, network, offer.id, OfferState::Withdrawn).await?;
        post.to_leads(tx, offer.club_id, |to| letters.taken_back(to, &offer, &reason)).await?;
    }
    hires::step_round(tx, network, round, RoundState::RequestsClosed).await?;
    load(tx, member, round).await
}

/// Refuses what needs a round that is being offered.
pub(super) fn must_be_offered(held: &HeldRound) -> Result<(), Refused> {
    let detail = match held.state {
        RoundState::Offered => return Ok(()),
        RoundState::Agreed | RoundState::Finished => "It is agreed already: the bookings are made.",
        RoundState::CalledOff => "It was called off.",
        RoundState::Gathering | RoundState::RequestsClosed => {
            "It has not been offered to the clubs, or was taken back."
        }
    };
    Err(refuse(Code::RoundNotOffered, detail))
}

fn can_be_offered(held: &HeldRound) -> Result<(), Refused> {
    let detail = match held.state {
        RoundState::RequestsClosed => return Ok(()),
        RoundState::Gathering => "Its requests have not closed yet.",
        RoundState::Offered => "A plan is offered already. Take it back first to offer another.",
        RoundState::Agreed | RoundState::Finished => "It is agreed already: the bookings are made.",
        RoundState::CalledOff => "It was called off.",
    };
    Err(refuse(Code::RoundStepNotAllowed, detail))
}

async fn refuse_retired(tx: &mut Tx, network: NetworkId, blocks: &[PlacedRequest]) -> Result<()> {
    let machines: BTreeSet<MachineId> = blocks.iter().map(|block| block.machine_id).collect();
    for machine in machines {
        let facts = Terms::read(tx, network, machine).await?.facts;
        if facts.retired {
            let detail = format!("{} is retired. Have it planned again.", facts.name);
            return Err(refuse(Code::PlanStale, detail).into());
        }
    }
    Ok(())
}

async fn check_date(
    tx: &mut Tx,
    network: NetworkId,
    first: NaiveDateTime,
    answer_by: DateTime<Utc>,
    now: DateTime<Utc>,
) -> Result<()> {
    if answer_by <= now {
        return Err(invalid("answer_by", "The clubs need time to answer: choose a time ahead.").into());
    }
    if answer_by > instant(zone_of(tx, network).await?, first) {
        return Err(invalid("answer_by", "The answers must be in before the first place begins.").into());
    }
    Ok(())
}

/// The places of a plan as offers to the clubs that asked, all to be answered by one time.
pub(super) async fn places(
    tx: &mut Tx,
    held: &HeldRound,
    network: NetworkId,
    (plan, blocks): (PlanId, &[PlacedRequest]),
    (answer_by, now): (DateTime<Utc>, DateTime<Utc>),
) -> Result<Vec<NewOffer>> {
    let asked = hires::round_facts(tx, network, held.round_id).await?.requests;
    let expected = expected_of(tx, network, plan).await?;
    let of_block = |block: &PlacedRequest| asked.iter().find(|place| place.request_id == block.request_id);
    let new = |block: &PlacedRequest, place: &PlaceFacts| NewOffer {
        id: OfferId::new(),
        round_id: held.round_id,
        plan_id: plan,
        request_id: block.request_id,
        club_id: place.club_id,
        machine_id: block.machine_id,
        span: StoredSpan(block.span),
        crew_club_id: block.crew_club_id,
        wish_rank: block.wish_rank,
        expected_pence: share_of(&expected, block.machine_id, place.club_id),
        answer_by,
        offered_at: now,
    };
    Ok(blocks.iter().filter_map(|block| Some(new(block, of_block(block)?))).collect())
}

/// What each hire of a plan would cost its clubs; nothing where its charges cannot be reckoned, which stops no offer.
/// What the places of a plan are expected to cost; nothing where that cannot be reckoned.
pub(super) async fn expected_of(tx: &mut Tx, network: NetworkId, plan: PlanId) -> Result<Vec<ExpectedHire>> {
    match hire_shares::expected_of_plan(tx, network, plan).await {
        Err(Error::Refused(_)) => Ok(Vec::new()),
        other => other,
    }
}

/// A club's part of the hire of a machine.
pub(super) fn share_of(expected: &[ExpectedHire], machine: MachineId, club: ClubId) -> Option<i64> {
    let hire = expected.iter().find(|hire| hire.machine_id == machine)?;
    hire.shares.iter().find(|share| share.club_id == club).map(|share| share.share_pence)
}

/// Offers places of a held round and mails their clubs.
pub(super) async fn offer(
    tx: &mut Tx,
    network: NetworkId,
    held: &HeldRound,
    new: &[NewOffer],
    public_url: &str,
    now: DateTime<Utc>,
) -> Result<()> {
    store::insert(tx, network, new).await?;
    let post = Post { network, now };
    let letters = Letters::about(tx, network, held, public_url).await?;
    let ids: Vec<OfferId> = new.iter().map(|offer| offer.id).collect();
    for offer in store::find_all(tx, network, &ids).await? {
        post.to_leads(tx, offer.club_id, |to| letters.offered(to, &offer)).await?;
    }
    Ok(())
}
