//! The exchange itself: both machines held in a fixed order, both bookings moved, the overlap judged once both are.

use chrono::{DateTime, Utc};
use diesel_async::AsyncConnection;

use super::super::booking::{Booking, BookingState};
use super::super::changes::place;
use super::super::store::{self as bookings, Place};
use super::store;
use crate::database::Tx;
use crate::error::{Error, Result};
use crate::ids::{BookingId, NetworkId};
use crate::machines::Terms;

/// The machines of two bookings, held until the transaction ends.
pub(super) struct Held {
    given: Terms,
    /// None where both bookings are of one machine.
    wanted: Option<Terms>,
}

impl Held {
    /// The machine of the booking that is given.
    fn given(&self) -> &Terms {
        &self.given
    }

    /// The machine of the booking that is wanted.
    fn wanted(&self) -> &Terms {
        self.wanted.as_ref().unwrap_or(&self.given)
    }

    /// Each machine once.
    pub(super) fn iter(&self) -> impl Iterator<Item = &Terms> {
        std::iter::once(&self.given).chain(&self.wanted)
    }
}

/// Holds the machines of two bookings, in the order of their ids whichever way round the swap is, so that two swaps at
/// once never wait for each other.
pub(super) async fn hold_both(tx: &mut Tx, network: NetworkId, given: BookingId, wanted: BookingId) -> Result<Held> {
    let given = bookings::machine_of(tx, network, given).await?;
    let wanted = bookings::machine_of(tx, network, wanted).await?;
    if given == wanted {
        return Ok(Held { given: Terms::hold(tx, network, given).await?, wanted: None });
    }
    let first = Terms::hold(tx, network, given.min(wanted)).await?;
    let second = Terms::hold(tx, network, given.max(wanted)).await?;
    let (given, wanted) = if given < wanted { (first, second) } else { (second, first) };
    Ok(Held { given, wanted: Some(wanted) })
}

/// Where each booking would stand after the swap: the given one first. A booking the coordinator agreed to stays agreed
/// to, since the machine is out at the same times as before.
pub(super) async fn places(
    tx: &mut Tx,
    network: NetworkId,
    held: &Held,
    given: &Booking,
    wanted: &Booking,
) -> Result<(Place, Place)> {
    let (there, here) = (wanted.span.parse()?, given.span.parse()?);
    Ok((
        place(tx, network, held.wanted(), given.club_id, &there, BookingState::Agreed).await?,
        place(tx, network, held.given(), wanted.club_id, &here, BookingState::Agreed).await?,
    ))
}

/// Lets two bookings change places.
///
/// # Errors
/// What keeps either club from the other's place; `machine_taken` where a handover that has grown leaves no room.
pub(super) async fn exchange(
    tx: &mut Tx,
    network: NetworkId,
    held: &Held,
    given: &Booking,
    wanted: &Booking,
    now: DateTime<Utc>,
) -> Result<()> {
    let (to_wanted, to_given) = places(tx, network, held, given, wanted).await?;
    let (given_id, wanted_id) = (given.booking_id, wanted.booking_id);
    let (wanted_machine, given_machine) = (held.wanted().machine_id, held.given().machine_id);
    let changed = (**tx).transaction::<_, Error, _>(async |tx| {
        store::judge_overlaps_later(tx).await?;
        store::take_place(tx, network, given_id, wanted_machine, &to_wanted, now).await?;
        store::take_place(tx, network, wanted_id, given_machine, &to_given, now).await?;
        store::judge_overlaps_now(tx).await
    });
    changed.await
}
