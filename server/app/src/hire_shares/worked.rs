//! How long a machine worked: read from its hour meter where both ends of a booking are signed, else reckoned.

use std::collections::HashMap;
use std::ops::AddAssign;

use chrono::TimeDelta;
use diesel_async::AsyncPgConnection;
use logistics::half_days::HalfDaySpan;

use super::pace::Pace;
use crate::error::Result;
use crate::handovers::hours_used;
use crate::ids::{BookingId, NetworkId};
use crate::time::{instant, zone_of};

/// A machine may be fetched the evening before.
const FETCHED_WITHIN: TimeDelta = TimeDelta::days(1);
/// A handover can be signed late, when a phone had no signal or somebody forgot.
const SIGNED_WITHIN: TimeDelta = TimeDelta::days(90);
/// Minutes in a tenth of an hour.
const MIN_PER_TENTH_HOUR: i64 = 6;

/// Minutes that hour meters ran, by booking.
#[derive(Debug, Default)]
pub struct SignedHours(HashMap<BookingId, i64>);

/// Time of work.
///
/// # Properties
/// `signed_min` is at most `work_min`.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Worked {
    /// Minutes.
    pub work_min: i64,
    /// Of these, minutes that were signed for at handovers; the rest is reckoned.
    pub signed_min: i64,
}

impl SignedHours {
    /// Of bookings within a span.
    ///
    /// # Errors
    /// A failing database.
    pub async fn within(tx: &mut AsyncPgConnection, network: NetworkId, span: HalfDaySpan) -> Result<Self> {
        let zone = zone_of(tx, network).await?;
        let (from, until) = (instant(zone, span.from()), instant(zone, span.until()));
        let used = hours_used(tx, network, from - FETCHED_WITHIN, until + SIGNED_WITHIN).await?;
        let minutes = |tenth_hours| i64::from(tenth_hours) * MIN_PER_TENTH_HOUR;
        Ok(Self(used.into_iter().map(|used| (used.booking_id, minutes(used.tenth_hours))).collect()))
    }

    /// How long a machine worked in a booking; of a place that is only planned, as reckoned.
    #[must_use]
    pub fn worked(&self, booking: Option<BookingId>, pace: Pace, area_m2: i64, half_days: i64) -> Worked {
        match booking.and_then(|id| self.0.get(&id)) {
            Some(&signed_min) => Worked { work_min: signed_min, signed_min },
            None => Worked { work_min: pace.work_min(area_m2, half_days), signed_min: 0 },
        }
    }
}

impl AddAssign for Worked {
    fn add_assign(&mut self, other: Self) {
        self.work_min += other.work_min;
        self.signed_min += other.signed_min;
    }
}
