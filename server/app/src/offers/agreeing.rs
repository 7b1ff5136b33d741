//! The round is agreed: bookings, turns and mails in one transaction.

use std::collections::BTreeSet;

use chrono::{DateTime, Utc};

use super::letters::Letters;
use super::offering::must_be_offered;
use super::post::Post;
use super::store::{self, OfferRow};
use super::view::{RoundOffers, load};
use super::words::OfferState;
use crate::access::{Act, Member};
use crate::bookings::{self, RoundChange, RoundPlace};
use crate::database::Tx;
use crate::error::{Code, Result, refuse};
use crate::hires::{self, HeldRound, PlaceFacts, RoundState};
use crate::ids::{MachineId, NetworkId, RoundId};
use crate::rounds;
use crate::turns;

/// Agrees a round before its date: what is accepted is booked, what is not answered is taken back.
///
/// # Errors
/// `not_found`, `not_your_role`; `round_not_offered`; `nothing_accepted`; `places_taken` with each place that cannot be
/// had and why, and then nothing is booked.
pub async fn agree_round(
    tx: &mut Tx,
    member: &Member,
    round: RoundId,
    public_url: &str,
    now: DateTime<Utc>,
) -> Result<RoundOffers> {
    member.require(Act::RunRound, None)?;
    let network = member.network_id;
    let held = hires::hold_round(tx, network, round).await?;
    must_be_offered(&held)?;
    agree(tx, network, &held, public_url, now).await?;
    load(tx, member, round).await
}

/// Books what is accepted in a held round, enters the turns, and tells everybody who asked for a place.
pub(super) async fn agree(
    tx: &mut Tx,
    network: NetworkId,
    held: &HeldRound,
    public_url: &str,
    now: DateTime<Utc>,
) -> Result<()> {
    let round = held.round_id;
    let accepted = store::offers(tx, network, round, &[OfferState::Accepted]).await?;
    if accepted.is_empty() {
        return Err(refuse(Code::NothingAccepted, "Wait for an answer, or take the offers back.").into());
    }
    let asked = hires::round_facts(tx, network, round).await?.requests;
    // First the state: while a round is offered its machines cannot be booked at all.
    hires::step_round(tx, network, round, RoundState::Agreed).await?;
    let hired = hires::hired_machines(tx, network, round).await?;
    let changes: Vec<RoundChange> = accepted.iter().map(|offer| booking_of(offer, &asked, &hired)).collect();
    let booked = bookings::change_for_round(tx, network, &changes, public_url, now).await?;
    for (request, booking) in booked {
        store::book(tx, network, request, booking).await?;
    }
    for offer in store::offers(tx, network, round, &[OfferState::Offered]).await? {
        store::set_state(tx, network, offer.id, OfferState::Withdrawn).await?;
    }
    rounds::end_refills(tx, network, round).await?;
    let offers = store::offers(tx, network, round, OfferState::ALL).await?;
    let latest = |place: &PlaceFacts| offers.iter().rfind(|offer| offer.request_id == place.request_id);
    let ended: Vec<_> = asked.iter().map(|place| (place, latest(place))).collect();
    enter_turns(tx, network, held, &ended, now).await?;
    tell(tx, network, held, &ended, public_url, now).await
}

fn booking_of(offer: &OfferRow, asked: &[PlaceFacts], hired: &[MachineId]) -> RoundChange {
    let pitches = asked.iter().find(|place| place.request_id == offer.request_id).map(|place| place.pitches.clone());
    RoundChange::Book(RoundPlace {
        round_id: offer.round_id,
        request_id: offer.request_id,
        club_id: offer.club_id,
        machine_id: offer.machine_id,
        hired: hired.contains(&offer.machine_id),
        span: offer.span.0,
        pitch_ids: pitches.unwrap_or_default(),
        booked_by: offer.answered_by.unwrap_or(offer.round_opened_by),
    })
}

/// A request, and the last offer made for it.
type Ended<'a> = (&'a PlaceFacts, Option<&'a OfferRow>);

/// A request that declined or did not answer neither gave way nor was served: it has no turn.
async fn enter_turns(
    tx: &mut Tx,
    network: NetworkId,
    held: &HeldRound,
    ended: &[Ended<'_>],
    now: DateTime<Utc>,
) -> Result<()> {
    let outcome = |place: &PlaceFacts, offer: Option<&OfferRow>| match offer {
        Some(offer) if offer.state == OfferState::Booked => Some(served(ended, place, offer.wish_rank)),
        Some(offer) if matches!(offer.state, OfferState::Declined | OfferState::Lapsed) => None,
        Some(_) | None => Some(turns::Outcome::LeftOut),
    };
    let outcomes =
        ended.iter().filter_map(|(place, offer)| Some((place.request_id, place.club_id, outcome(place, *offer)?)));
    let outcomes: Vec<_> = outcomes.collect();
    turns::enter(tx, network, (held.round_id, held.span.from.date()), &outcomes, now).await
}

/// How a request was served among those of its round.
fn served(ended: &[Ended<'_>], place: &PlaceFacts, wish_rank: Option<i32>) -> turns::Outcome {
    let wish = wish_rank.and_then(|rank| usize::try_from(rank).ok());
    let first = place.wishes.first();
    let firsts = ended.iter().filter(|(other, _)| first.is_some() && other.wishes.first() == first);
    // A club with several grounds wishes once.
    let firsts: BTreeSet<_> = firsts.map(|(other, _)| other.club_id).collect();
    turns::Outcome::Served { wish, firsts: firsts.len(), wished: place.wishes.len() }
}

async fn tell(
    tx: &mut Tx,
    network: NetworkId,
    held: &HeldRound,
    ended: &[Ended<'_>],
    public_url: &str,
    now: DateTime<Utc>,
) -> Result<()> {
    let post = Post { network, now };
    let letters = Letters::about(tx, network, held, public_url).await?;
    for (place, offer) in ended {
        match offer.map(|offer| (offer.state, offer)) {
            Some((OfferState::Booked, offer)) => {
                post.to_leads_and_treasurers(tx, offer.club_id, |to| letters.agreed(to, offer)).await?;
                if offer.is_lent() {
                    post.to_leads(tx, offer.crew_club_id, |to| letters.lend(to, offer)).await?;
                }
            }
            Some((OfferState::Declined | OfferState::Lapsed, _)) => {}
            // Only a round that is agreed before its date takes a place back that nobody answered.
            Some((_, offer)) => post.to_leads(tx, place.club_id, |to| letters.not_waited(to, offer)).await?,
            None => post.to_leads(tx, place.club_id, |to| letters.left_out(to, place)).await?,
        }
    }
    let booked = ended.iter().filter(|(_, offer)| offer.is_some_and(|offer| offer.state == OfferState::Booked)).count();
    post.to_coordinators(tx, |to| letters.all_booked(to, booked)).await
}
