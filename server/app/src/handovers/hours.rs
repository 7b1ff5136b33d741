//! Hours run, from the readings at both ends of a booking: the front door for whoever reckons what a machine is used for.

use std::collections::BTreeMap;

use chrono::{DateTime, Utc};
use diesel_async::AsyncPgConnection;

use super::store;
use super::words::Direction;
use crate::error::Result;
use crate::ids::{BookingId, ClubId, MachineId, NetworkId};

/// What a club ran a machine in one booking.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct HoursUsed {
    /// The booking.
    pub booking_id: BookingId,
    /// The machine.
    pub machine_id: MachineId,
    /// The club.
    pub club_id: ClubId,
    /// Tenths of an hour run.
    pub tenth_hours: i32,
}

/// The club, and the readings at taking over and giving back.
type Ends = (ClubId, [Option<i32>; 2]);

/// Hours run in the bookings that were given back within a time, half-open. A booking whose meter was not read at both
/// ends, or ran back because it was replaced, is left out: what it ran is not known. Scope: the network.
///
/// # Errors
/// A failing database.
pub async fn hours_used(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    from: DateTime<Utc>,
    until: DateTime<Utc>,
) -> Result<Vec<HoursUsed>> {
    let mut bookings: BTreeMap<(MachineId, BookingId), Ends> = BTreeMap::new();
    for (booking, machine, club, direction, meter) in store::readings(tx, network, from, until).await? {
        let (_, [out, back]) = bookings.entry((machine, booking)).or_insert((club, [None, None]));
        match direction {
            Direction::Out => *out = meter,
            Direction::In => *back = meter,
        }
    }
    let used = bookings.into_iter().filter_map(|((machine_id, booking_id), (club_id, [out, back]))| {
        let tenth_hours = back? - out?;
        (tenth_hours >= 0).then_some(HoursUsed { booking_id, machine_id, club_id, tenth_hours })
    });
    Ok(used.collect())
}
