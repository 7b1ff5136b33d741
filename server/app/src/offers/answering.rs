//! A club's answer to a place it is offered.

use chrono::{DateTime, Utc};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::letters::Letters;
use super::offering::must_be_offered;
use super::post::Post;
use super::refilling;
use super::settling::schedule;
use super::store::{self, OfferRow};
use super::view::{OfferedPlace, load_one};
use super::words::OfferState;
use crate::access::{Act, Member, Role};
use crate::database::Tx;
use crate::error::{Code, Refused, Result, refuse};
use crate::hires::{self, HeldRound};
use crate::ids::OfferId;
use crate::text::note_parse;

/// An answer to an offered place.
#[derive(Debug, Clone, Serialize, Deserialize, ToSchema)]
pub struct AnswerOffer {
    /// Whether the club takes it.
    pub accepted: bool,
    /// Why not; the coordinator reads it.
    #[serde(default)]
    pub reason: String,
}

/// Answers an offered place. The same answer given again changes nothing; a club that accepted may still decline until
/// the bookings are made. When no answer is outstanding, the queue makes the bookings.
///
/// # Errors
/// `not_found`, `not_your_role`; `offer_lapsed` from its time on; `offer_answered` where the place was given on,
/// booked, or taken back; `round_not_offered` where the round is agreed or called off.
pub async fn answer_offer(
    tx: &mut Tx,
    member: &Member,
    id: OfferId,
    said: &AnswerOffer,
    public_url: &str,
    now: DateTime<Utc>,
) -> Result<OfferedPlace> {
    let network = member.network_id;
    let before = store::find(tx, network, id).await?;
    member.require(Act::AnswerOffer, Some(before.club_id))?;
    let reason = note_parse("reason", &said.reason)?;
    let held = hires::hold_round(tx, network, before.round_id).await?;
    let offer = store::find(tx, network, id).await?;
    if is_new(&offer, said.accepted, now)? {
        must_be_offered(&held)?;
        let state = if said.accepted { OfferState::Accepted } else { OfferState::Declined };
        store::answer(tx, member, id, (state, &reason), now).await?;
        if !said.accepted {
            refilling::ask(tx, network, offer.round_id, member.person_id, now).await?;
        }
        if store::offers(tx, network, offer.round_id, &[OfferState::Offered]).await?.is_empty() {
            schedule(tx, network, offer.round_id, now).await?;
        }
        tell(tx, member, &held, (&offer, said.accepted, &reason), public_url, now).await?;
    }
    load_one(tx, member, id).await
}

/// Whether an answer changes where the offer stands; refuses one that comes too late or says otherwise.
fn is_new(offer: &OfferRow, accepted: bool, now: DateTime<Utc>) -> Result<bool, Refused> {
    let detail = match (offer.state, accepted) {
        (OfferState::Accepted | OfferState::Booked, true) | (OfferState::Declined, false) => return Ok(false),
        (OfferState::Offered, _) if now < offer.answer_by => return Ok(true),
        (OfferState::Accepted, false) => return Ok(true),
        (OfferState::Offered | OfferState::Lapsed, _) => {
            let detail = "Its date has passed, and the place may go to others. Speak to your coordinator.";
            return Err(refuse(Code::OfferLapsed, detail));
        }
        (OfferState::Declined, true) => "It was declined, and the place may go to others. Speak to your coordinator.",
        (OfferState::Booked, false) => "It is booked. Cancel the booking if you cannot use it.",
        (OfferState::Withdrawn, _) => "The coordinator took it back.",
    };
    Err(refuse(Code::OfferAnswered, detail))
}

/// Tells the coordinators of a place that came free, and the club of an answer that was given for it.
async fn tell(
    tx: &mut Tx,
    member: &Member,
    held: &HeldRound,
    (offer, accepted, reason): (&OfferRow, bool, &str),
    public_url: &str,
    now: DateTime<Utc>,
) -> Result<()> {
    let of_club = member.roles.contains(&(Role::GroundsLead, Some(offer.club_id)));
    if accepted && of_club {
        return Ok(());
    }
    let post = Post { network: member.network_id, now };
    let letters = Letters::about(tx, member.network_id, held, public_url).await?;
    if of_club {
        post.to_coordinators(tx, |to| letters.declined(to, offer, reason)).await
    } else {
        post.to_leads(tx, offer.club_id, |to| letters.answered_for(to, offer, accepted)).await
    }
}
