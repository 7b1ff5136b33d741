//! Proposals to swap: made, answered, withdrawn, shown.

use chrono::{DateTime, NaiveDateTime, Utc};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::super::booking::{Booking, BookingState, gather, load};
use super::super::store as bookings;
use super::super::waiting::offer_places;
use super::exchange::{exchange, hold_both, places};
use super::letters::{self, News};
use super::store::{self, NewSwap, Row};
use crate::access::{Act, Member, Role, addresses};
use crate::database::Tx;
use crate::error::{Code, Refused, Result, refuse};
use crate::ids::{BookingId, SwapId};
use crate::mail;
use crate::text::note_parse;
use crate::time::{local, zone_of};
use crate::words::words;

words! {
    /// Where a proposal to swap stands.
    SwapState {
        /// It waits for the other club.
        Proposed = "proposed",
        /// The bookings have changed places.
        Accepted = "accepted",
        /// The other club did not want it.
        Declined = "declined",
        /// The club that proposed it no longer wants it.
        Withdrawn = "withdrawn",
        /// A booking changed or began before it was answered.
        Lapsed = "lapsed",
    }
}

/// A swap to propose.
#[derive(Debug, Clone, Serialize, Deserialize, ToSchema)]
pub struct ProposeSwap {
    /// A booking of the own club.
    pub give_booking_id: BookingId,
    /// A booking of another club.
    pub want_booking_id: BookingId,
    /// A word to the other club.
    #[serde(default)]
    pub note: String,
}

/// The answer to a proposal.
#[derive(Debug, Clone, Copy, Deserialize, ToSchema)]
pub struct AnswerSwap {
    /// Whether the other club wants it too.
    pub accepted: bool,
}

/// A proposal that two bookings change places.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct Swap {
    /// The proposal.
    pub swap_id: SwapId,
    /// Where it stands.
    pub state: SwapState,
    /// The booking of the club that proposes, as it is now.
    pub given: Booking,
    /// The booking of the club that answers, as it is now.
    pub wanted: Booking,
    /// What the proposer says with it.
    pub note: String,
    /// When it was proposed.
    pub proposed_at: DateTime<Utc>,
    /// Whether it is for you to accept or decline.
    pub yours_to_answer: bool,
    /// Whether it is for you to withdraw.
    pub yours_to_withdraw: bool,
}

/// Proposes that two bookings change places.
///
/// # Errors
/// `not_found`, `not_your_role`; `booking_ended` where one does not stand or has begun; what keeps either club from the
/// other's place; `swap_proposed`.
pub async fn propose_swap(
    tx: &mut Tx,
    member: &Member,
    wish: ProposeSwap,
    public_url: &str,
    now: DateTime<Utc>,
) -> Result<Swap> {
    let network = member.network_id;
    let note = note_parse("note", &wish.note)?;
    let wall = local(zone_of(tx, network).await?, now);
    let given = load(tx, member, wish.give_booking_id).await?;
    member.require(Act::Swap, Some(given.club_id))?;
    let held = hold_both(tx, network, wish.give_booking_id, wish.want_booking_id).await?;
    let given = load(tx, member, wish.give_booking_id).await?;
    let wanted = load(tx, member, wish.want_booking_id).await?;
    for booking in [&given, &wanted] {
        must_be_to_come(booking, wall)?;
    }
    // By every rule but the overlap, which only shows when it is done.
    places(tx, network, &held, &given, &wanted).await?;
    store::lapse_overtaken(tx, network, given.booking_id, now).await?;
    let new = NewSwap {
        id: SwapId::new(),
        given_club_id: given.club_id,
        given_booking_id: given.booking_id,
        given_version: given.version,
        wanted_club_id: wanted.club_id,
        wanted_booking_id: wanted.booking_id,
        wanted_version: wanted.version,
        note,
        proposed_by: member.person_id,
    };
    store::insert(tx, network, &new, now).await?;
    let swap = find(tx, member, new.id, wall).await?;
    tell(tx, member, &swap, News::Proposed, public_url, now).await?;
    Ok(swap)
}

/// Accepts a proposal, so that the bookings change places, or declines it. The same answer again changes nothing.
///
/// # Errors
/// `not_found`, `not_your_role`; `swap_lapsed` for one that no longer stands; what keeps either club from the other's
/// place.
pub async fn answer_swap(
    tx: &mut Tx,
    member: &Member,
    id: SwapId,
    answer: AnswerSwap,
    public_url: &str,
    now: DateTime<Utc>,
) -> Result<Swap> {
    let network = member.network_id;
    let wall = local(zone_of(tx, network).await?, now);
    let row = store::find(tx, network, id).await?;
    member.require(Act::Swap, Some(row.wanted_club_id))?;
    let held = hold_both(tx, network, row.given_booking_id, row.wanted_booking_id).await?;
    store::lock(tx, network, id).await?;
    let swap = find(tx, member, id, wall).await?;
    match (swap.state, answer.accepted) {
        (SwapState::Accepted, true) | (SwapState::Declined, false) => return Ok(swap),
        (SwapState::Proposed, _) => {}
        (state, _) => return Err(over(state).into()),
    }
    if answer.accepted {
        exchange(tx, network, &held, &swap.given, &swap.wanted, now).await?;
    }
    let state = if answer.accepted { SwapState::Accepted } else { SwapState::Declined };
    store::end(tx, network, id, state, now).await?;
    let swap = find(tx, member, id, wall).await?;
    let news = if answer.accepted { News::Accepted } else { News::Declined };
    tell(tx, member, &swap, news, public_url, now).await?;
    if answer.accepted {
        for terms in held.iter() {
            offer_places(tx, network, terms, public_url, now).await?;
        }
    }
    Ok(swap)
}

/// Takes a proposal back before it is answered. One that was taken back already stays so.
///
/// # Errors
/// `not_found`, `not_your_role`; `swap_lapsed` for one that was answered.
pub async fn withdraw_swap(tx: &mut Tx, member: &Member, id: SwapId, now: DateTime<Utc>) -> Result<Swap> {
    let network = member.network_id;
    let wall = local(zone_of(tx, network).await?, now);
    let row = store::lock(tx, network, id).await?;
    member.require(Act::Swap, Some(row.given_club_id))?;
    match row.state {
        SwapState::Proposed => store::end(tx, network, id, SwapState::Withdrawn, now).await?,
        SwapState::Withdrawn => {}
        state => return Err(over(state).into()),
    }
    find(tx, member, id, wall).await
}

fn over(state: SwapState) -> Refused {
    refuse(
        Code::SwapLapsed,
        match state {
            SwapState::Accepted => "It was accepted.",
            SwapState::Declined => "It was declined.",
            SwapState::Withdrawn => "The other club withdrew it.",
            SwapState::Proposed | SwapState::Lapsed => {
                "One of the bookings has changed or begun since. Propose it anew."
            }
        },
    )
}

fn must_be_to_come(booking: &Booking, wall: NaiveDateTime) -> Result<(), Refused> {
    booking.must_stand(wall)?;
    match booking.state {
        BookingState::Agreed if booking.span.from > wall => Ok(()),
        BookingState::Agreed => Err(refuse(Code::BookingEnded, "It has begun.")),
        _ => Err(refuse(Code::BookingEnded, "It waits for the coordinator; swap it once it stands.")),
    }
}

/// One proposal, as the member may see it.
async fn find(tx: &mut Tx, member: &Member, id: SwapId, wall: NaiveDateTime) -> Result<Swap> {
    let row = store::find(tx, member.network_id, id).await?;
    let mut swaps = views(tx, member, vec![row], wall).await?;
    Ok(swaps.pop().ok_or(diesel::result::Error::NotFound)?)
}

/// The proposals that wait for an answer and concern a booking, or all: for those of the two clubs and coordinators.
/// Scope: the network.
pub(super) async fn list(
    tx: &mut Tx,
    member: &Member,
    booking: Option<BookingId>,
    now: DateTime<Utc>,
) -> Result<Vec<Swap>> {
    let wall = local(zone_of(tx, member.network_id).await?, now);
    let mut rows = store::proposed(tx, member.network_id, booking).await?;
    let sees_all = member.may(Act::AnswerBooking, None);
    rows.retain(|row| sees_all || member.belongs_to(row.given_club_id) || member.belongs_to(row.wanted_club_id));
    let mut swaps = views(tx, member, rows, wall).await?;
    swaps.retain(|swap| swap.state == SwapState::Proposed);
    Ok(swaps)
}

async fn views(tx: &mut Tx, member: &Member, rows: Vec<Row>, wall: NaiveDateTime) -> Result<Vec<Swap>> {
    let ids: Vec<BookingId> = rows.iter().flat_map(|row| [row.given_booking_id, row.wanted_booking_id]).collect();
    let named = bookings::find_all(tx, member.network_id, &ids).await?;
    let shown = gather(tx, member, named).await?;
    let of = |id: BookingId| shown.iter().find(|booking| booking.booking_id == id).cloned();
    let swap = |row: Row| Some(view(&row, of(row.given_booking_id)?, of(row.wanted_booking_id)?, member, wall));
    Ok(rows.into_iter().filter_map(swap).collect())
}

fn view(row: &Row, given: Booking, wanted: Booking, member: &Member, wall: NaiveDateTime) -> Swap {
    let still = (given.version, wanted.version) == (row.given_version, row.wanted_version)
        && [&given, &wanted].into_iter().all(|booking| must_be_to_come(booking, wall).is_ok());
    let state = if row.state == SwapState::Proposed && !still { SwapState::Lapsed } else { row.state };
    let open = state == SwapState::Proposed;
    Swap {
        swap_id: row.id,
        state,
        yours_to_answer: open && member.may(Act::Swap, Some(row.wanted_club_id)),
        yours_to_withdraw: open && member.may(Act::Swap, Some(row.given_club_id)),
        given,
        wanted,
        note: row.note.clone(),
        proposed_at: row.created_at,
    }
}

async fn tell(
    tx: &mut Tx,
    member: &Member,
    swap: &Swap,
    news: News,
    public_url: &str,
    now: DateTime<Utc>,
) -> Result<()> {
    let network = member.network_id;
    let (given, wanted) = (&swap.given, &swap.wanted);
    let told = match news {
        News::Proposed => vec![wanted],
        News::Declined => vec![given],
        News::Accepted => vec![given, wanted],
    };
    for own in told {
        let other = if own.booking_id == given.booking_id { wanted } else { given };
        for to in addresses(tx, network, Some(own.club_id), &[Role::GroundsLead]).await? {
            mail::post(tx, Some(network), letters::letter(&to, own, other, &swap.note, news, public_url), now).await?;
        }
    }
    Ok(())
}
