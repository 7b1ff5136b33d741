//! Offering a place that came free, and what becomes of the offer.

use chrono::{DateTime, Utc};
use chrono_tz::Tz;
use diesel_async::{AsyncConnection, AsyncPgConnection};
use logistics::waiting::offered_until;

use super::super::booking::{Booking, BookingState, load};
use super::super::changes::{hold, place, state_of_new, tell};
use super::super::letters::News;
use super::super::store::{self as bookings, NewBooking};
use super::letters;
use super::line::WaitingState;
use super::store::{self, Waiting};
use crate::access::{Act, Member, Role, addresses};
use crate::database::{Scope, Tx};
use crate::error::{Code, Error, Refused, Result, refuse};
use crate::ids::{BookingId, MachineId, NetworkId};
use crate::jobs::{self, Job};
use crate::machines::{Terms, half_day_of};
use crate::mail;
use crate::service::Service;
use crate::time::{instant, local, zone_of};

/// Offers what is free of a machine to those in line, in the order in which they joined; whoever joined for a time
/// that cannot be had as a whole is passed over and keeps the place. To be called in the transaction that sets
/// something free, so that nobody can come between. Scope: the network.
///
/// # Errors
/// A failing database.
pub async fn offer_places(
    tx: &mut Tx,
    network: NetworkId,
    terms: &Terms,
    public_url: &str,
    now: DateTime<Utc>,
) -> Result<()> {
    let zone = zone_of(tx, network).await?;
    let line = store::waiting_for(tx, network, terms.machine_id, half_day_of(local(zone, now))).await?;
    for waiting in line {
        if let Some(booking) = try_offer(tx, network, terms, &waiting, now).await? {
            let until = offered_until(now, instant(zone, waiting.span.0.from()));
            store::offer(tx, network, waiting.id, booking, until).await?;
            jobs::enqueue(tx, Some(network), &Job::LapseOffer { lapse_offer: booking }, until).await?;
            tell_offered(tx, network, zone, (booking, until), public_url, now).await?;
        }
    }
    Ok(())
}

/// As [`offer_places`], for whoever does not hold the machine yet.
///
/// # Errors
/// `not_found`; a failing database.
pub async fn offer_places_of(
    tx: &mut Tx,
    network: NetworkId,
    machine: MachineId,
    public_url: &str,
    now: DateTime<Utc>,
) -> Result<()> {
    let terms = Terms::hold(tx, network, machine).await?;
    offer_places(tx, network, &terms, public_url, now).await
}

/// Holds the wished span for a club, if it can be had now.
async fn try_offer(
    tx: &mut Tx,
    network: NetworkId,
    terms: &Terms,
    waiting: &Waiting,
    now: DateTime<Utc>,
) -> Result<Option<BookingId>> {
    let place = match place(tx, network, terms, waiting.club_id, &waiting.span.0, BookingState::Offered).await {
        Err(Error::Refused(_)) => return Ok(None),
        other => other?,
    };
    let new = NewBooking {
        id: BookingId::new(),
        machine_id: terms.machine_id,
        club_id: waiting.club_id,
        place,
        pitch_ids: store::pitches_of(tx, network, waiting.id).await?,
        note: waiting.note.clone(),
        booked_by: waiting.joined_by,
        standing_id: None,
    };
    // In a savepoint: that it does not fit is for the constraint to say, and no reason to give up the rest.
    let held = (**tx).transaction::<_, Error, _>(async |tx| bookings::insert(tx, network, &new, now).await);
    match held.await {
        Ok(()) => Ok(Some(new.id)),
        Err(Error::Refused(_)) => Ok(None),
        Err(error) => Err(error),
    }
}

async fn tell_offered(
    tx: &mut Tx,
    network: NetworkId,
    zone: Tz,
    (id, until): (BookingId, DateTime<Utc>),
    public_url: &str,
    now: DateTime<Utc>,
) -> Result<()> {
    let booking = bookings::find(tx, network, id).await?;
    for to in addresses(tx, network, Some(booking.row.club_id), &[Role::GroundsLead]).await? {
        mail::post(tx, Some(network), letters::offered(&to, &booking, until, zone, public_url), now).await?;
    }
    Ok(())
}

/// Takes back what is offered of a machine that went out of service: nobody could take it, and an offer that runs out
/// meanwhile would cost the club its place in line. Each keeps it, and is offered the time again when it can be had. The
/// caller holds the machine. Scope: the network.
///
/// # Errors
/// A failing database.
pub async fn take_offers_back(
    tx: &mut Tx,
    network: NetworkId,
    machine: MachineId,
    public_url: &str,
    now: DateTime<Utc>,
) -> Result<()> {
    for (waiting, id) in store::offered_of(tx, network, machine).await? {
        store::back_in_line(tx, network, waiting).await?;
        bookings::release(tx, network, id, BookingState::Lapsed, None, now).await?;
        jobs::drop_subject(tx, &Job::LapseOffer { lapse_offer: id }, now).await?;
        let booking = bookings::find(tx, network, id).await?;
        for to in addresses(tx, network, Some(booking.row.club_id), &[Role::GroundsLead]).await? {
            mail::post(tx, Some(network), letters::taken_back(&to, &booking, public_url), now).await?;
        }
    }
    Ok(())
}

/// Takes an offer: it becomes a booking. One that was taken already stays as it is.
///
/// # Errors
/// `not_found`, `not_your_role`; `offer_lapsed` from its time on, whether or not the next in line has it by then;
/// `booking_ended` for one that was left.
pub async fn accept(
    tx: &mut Tx,
    member: &Member,
    id: BookingId,
    public_url: &str,
    now: DateTime<Utc>,
) -> Result<Booking> {
    let (before, terms, wall) = hold(tx, member, id, now).await?;
    member.require(Act::Book, Some(before.club_id))?;
    match before.state {
        BookingState::Offered if before.offered_until.is_some_and(|until| now < until) => {}
        BookingState::Offered | BookingState::Lapsed => return Err(lapsed().into()),
        _ => return before.must_stand(wall).map(|()| before).map_err(Error::from),
    }
    let network = member.network_id;
    bookings::set_state(tx, network, id, state_of_new(member, &terms), now).await?;
    store::end_by_offer(tx, network, id, WaitingState::Taken).await?;
    jobs::drop_subject(tx, &Job::LapseOffer { lapse_offer: id }, now).await?;
    let booking = load(tx, member, id).await?;
    tell(tx, member, &booking, News::Made, public_url, now).await?;
    Ok(booking)
}

fn lapsed() -> Refused {
    refuse(
        Code::OfferLapsed,
        "It is held for you no longer. The waiting list of the machine shows where you stand; join it again if need be.",
    )
}

/// Notes that a club left the list by giving its offer up.
pub(in crate::bookings) async fn leave_by_offer(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    id: BookingId,
    now: DateTime<Utc>,
) -> Result<()> {
    store::end_by_offer(tx, network, id, WaitingState::Left).await?;
    jobs::drop_subject(tx, &Job::LapseOffer { lapse_offer: id }, now).await
}

/// Ends an offer at its time, tells the club, and offers the place to the next in line, all in one transaction. An
/// offer that was taken or left is not touched.
///
/// # Errors
/// A failing database.
pub async fn lapse(service: &Service, network: NetworkId, id: BookingId, now: DateTime<Utc>) -> Result<()> {
    let mut tx = service.db.begin(Scope::Network(network)).await?;
    let machine = bookings::machine_of(&mut tx, network, id).await?;
    let terms = Terms::hold(&mut tx, network, machine).await?;
    if !store::is_over(&mut tx, network, id, now).await? {
        return Ok(());
    }
    bookings::release(&mut tx, network, id, BookingState::Lapsed, None, now).await?;
    store::end_by_offer(&mut tx, network, id, WaitingState::Lapsed).await?;
    let public_url = &service.config.public_url;
    let booking = bookings::find(&mut tx, network, id).await?;
    for to in addresses(&mut tx, network, Some(booking.row.club_id), &[Role::GroundsLead]).await? {
        mail::post(&mut tx, Some(network), letters::lapsed(&to, &booking, public_url), now).await?;
    }
    offer_places(&mut tx, network, &terms, public_url, now).await?;
    tx.commit().await
}
