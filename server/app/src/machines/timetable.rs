//! When a machine can be had: its availabilities from now on, and what of them is held.

use chrono::{NaiveDateTime, TimeDelta};
use diesel_async::AsyncPgConnection;
use logistics::free_spans::{first_free, free_spans, nearest_free};
use logistics::half_days::HalfDaySpan;

use super::span::{half_day_of, within};
use super::store::{self, Held};
use super::terms::Terms;
use crate::error::Result;
use crate::ids::{BookingId, NetworkId};

/// How many free spans are offered at most.
const OFFERS: usize = 5;

/// The times of one machine from a half-day on.
pub struct Timetable {
    available: Vec<HalfDaySpan>,
    held: Vec<HalfDaySpan>,
    gap_half_days: u32,
}

impl Timetable {
    /// Reads the times from the half-day on that is running at `now`, in local time. A booking that looks for another
    /// place does not stand in its own way. Scope: the network.
    ///
    /// # Errors
    /// A failing database.
    pub async fn read(
        tx: &mut AsyncPgConnection,
        network: NetworkId,
        terms: &Terms,
        now: NaiveDateTime,
        except: Option<BookingId>,
    ) -> Result<Self> {
        let from = half_day_of(now);
        let available = store::available_after(tx, network, terms.machine_id, from).await?;
        let decided = store::decided_by_rounds(tx, network, Some(terms.machine_id), from).await?;
        let decided: Vec<HalfDaySpan> = decided.into_iter().map(|decided| decided.span.0).collect();
        let available = free_spans(&available, &decided);
        let held = store::held_after(tx, network, terms.machine_id, from, except).await?;
        let gap = terms.facts.gap_half_days;
        Ok(Self {
            available: available.iter().filter_map(|span| within(span, from, NaiveDateTime::MAX)).collect(),
            held: held.iter().filter_map(|held| beyond_gap(held, gap)).collect(),
            gap_half_days: u32::try_from(gap).unwrap_or_default(),
        })
    }

    /// The free spans as long as a wanted one that begin nearest to it.
    #[must_use]
    pub fn nearest(&self, wanted: &HalfDaySpan) -> Vec<HalfDaySpan> {
        nearest_free(&self.available, &self.held, wanted, self.gap_half_days, OFFERS)
    }

    /// The first free spans of a length from a local time on.
    #[must_use]
    pub fn first(&self, from: NaiveDateTime, half_days: u32) -> Vec<HalfDaySpan> {
        first_free(&self.available, &self.held, from, half_days, self.gap_half_days, OFFERS)
    }
}

/// What a booking holds beyond today's gap: its span, longer by what its own gap exceeds the machine's. The search
/// adds the machine's gap behind it. (Behind a booking made with a smaller gap it therefore keeps today's.)
fn beyond_gap(held: &Held, gap_half_days: i32) -> Option<HalfDaySpan> {
    let more = TimeDelta::hours(12) * (held.gap_half_days - gap_half_days).max(0);
    HalfDaySpan::parse(held.span.0.from(), held.span.0.until() + more).ok()
}
