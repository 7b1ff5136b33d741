//! When a machine is free, and what free time to offer instead of what somebody wanted.
//!
//! Promises offers that fit: within one availability, and clear of every held span with the
//! moving gap on either side. Does not know who holds what, turns, distances or the clock, and
//! holds nothing: two clubs can be offered the same days, and the database decides.
//!
//! # Source
//! [HOUSE](crate::sources): all of it is counting half-days.

use crate::half_days::{HalfDaySpan, half_day_number, is_morning, is_on_half_day};
use chrono::NaiveDateTime;
use std::cmp::Reverse;
use std::ops::Range;

/// From this length on a booking is best begun in the morning: it then needs the fewest dates.
const MORNING_START_FROM_HALF_DAYS: u32 = 2;

/// The parts of the availabilities that nobody holds, in order.
///
/// # Properties
/// No part overlaps a held span; every half-day that is available and not held is in a part; a
/// part lies in one availability, so availabilities that only touch give two parts. The order of
/// the inputs does not matter.
///
/// # Example
/// ```
/// use chrono::NaiveDate;
/// use logistics::{free_spans::free_spans, half_days::HalfDaySpan};
/// let may = |day, hour| NaiveDate::from_ymd_opt(2027, 5, day).unwrap().and_hms_opt(hour, 0, 0).unwrap();
/// let available = HalfDaySpan::parse(may(3, 0), may(8, 0))?;
/// let held = HalfDaySpan::parse(may(4, 0), may(5, 12))?;
/// assert_eq!(
///     free_spans(&[available], &[held]),
///     [HalfDaySpan::parse(may(3, 0), may(4, 0))?, HalfDaySpan::parse(may(5, 12), may(8, 0))?],
/// );
/// # Ok::<(), logistics::half_days::SpanError>(())
/// ```
#[must_use]
pub fn free_spans(available: &[HalfDaySpan], held: &[HalfDaySpan]) -> Vec<HalfDaySpan> {
    let cuts = in_order(held.iter().map(|span| span.start()..span.end()));
    let mut free: Vec<HalfDaySpan> = available
        .iter()
        .flat_map(|span| without(span.start()..span.end(), &cuts))
        .filter_map(|part| HalfDaySpan::of_half_days(part.start, part.end).ok())
        .collect();
    free.sort_unstable();
    free.dedup();
    free
}

/// The free spans as long as the wanted one that begin nearest to it.
///
/// `held` are the spans of the other bookings, without their gaps: this adds the gap behind each
/// of them and behind the offer. The gap of an offer may reach beyond the availability, since the
/// machine may move when it may not work.
///
/// # Properties
/// At most `at_most` offers, all different, each as long as `wanted`, the nearest beginning first
/// and the earlier one on ties. If `wanted` itself fits it is the first. Offers may overlap one
/// another.
#[must_use]
pub fn nearest_free(
    available: &[HalfDaySpan],
    held: &[HalfDaySpan],
    wanted: &HalfDaySpan,
    gap_half_days: u32,
    at_most: usize,
) -> Vec<HalfDaySpan> {
    let reach = i64::try_from(at_most).unwrap_or(i64::MAX);
    let length = wanted.half_days();
    let mut starts: Vec<i64> = fitting_starts(available, held, length, gap_half_days)
        .into_iter()
        .flat_map(|range| around(&range, wanted.start(), reach))
        .collect();
    starts.sort_unstable_by_key(|start| (start.abs_diff(wanted.start()), *start));
    starts.dedup();
    offers(starts, length, at_most)
}

/// The first free spans of a length that begin no earlier than a given local time.
///
/// A span of two half-days or more is offered from a morning wherever that is possible: mornings
/// come first, and starts at noon only fill the places that mornings leave. A single half-day is
/// offered in plain order of time. Gaps are as in [`nearest_free`].
///
/// # Properties
/// At most `at_most` offers, all different, each of `half_days`; none for a length of zero.
/// Within the mornings, and within the noons, in order of time. Offers may overlap one another.
#[must_use]
pub fn first_free(
    available: &[HalfDaySpan],
    held: &[HalfDaySpan],
    not_before: NaiveDateTime,
    half_days: u32,
    gap_half_days: u32,
    at_most: usize,
) -> Vec<HalfDaySpan> {
    if half_days == 0 {
        return Vec::new();
    }
    let length = i64::from(half_days);
    let earliest = half_day_number(not_before) + i64::from(!is_on_half_day(not_before));
    let ranges: Vec<Range<i64>> = fitting_starts(available, held, length, gap_half_days)
        .into_iter()
        .map(|range| range.start.max(earliest)..range.end)
        .collect();
    let first_of = |wanted: &dyn Fn(i64) -> bool| {
        let mut starts: Vec<i64> = ranges
            .iter()
            .flat_map(|range| range.clone().filter(|start| wanted(*start)).take(at_most))
            .collect();
        starts.sort_unstable();
        starts.dedup();
        starts
    };
    if half_days < MORNING_START_FROM_HALF_DAYS {
        return offers(first_of(&|_| true), length, at_most);
    }
    let mut starts = first_of(&is_morning);
    starts.extend(first_of(&|start| !is_morning(start)));
    offers(starts, length, at_most)
}

/// Where a span of this length can begin: numbered half-days, one range or more an availability.
fn fitting_starts(
    available: &[HalfDaySpan],
    held: &[HalfDaySpan],
    length: i64,
    gap_half_days: u32,
) -> Vec<Range<i64>> {
    let gap = i64::from(gap_half_days);
    // A start clashes with a held span unless offer and gap end by its beginning, or it and its
    // gap end by the start.
    let clashes = in_order(
        held.iter()
            .map(|span| span.start() - length - gap + 1..span.end() + gap),
    );
    available
        .iter()
        .flat_map(|span| without(span.start()..span.end() - length + 1, &clashes))
        .collect()
}

/// What is left of a range without the cuts, which come in order of their beginning.
fn without(whole: Range<i64>, cuts: &[Range<i64>]) -> Vec<Range<i64>> {
    let mut left = Vec::new();
    let mut start = whole.start;
    for cut in cuts {
        left.push(start..cut.start.min(whole.end));
        start = start.max(cut.end);
    }
    left.push(start..whole.end);
    left.retain(|part| !part.is_empty());
    left
}

fn in_order(ranges: impl Iterator<Item = Range<i64>>) -> Vec<Range<i64>> {
    let mut ranges: Vec<_> = ranges.collect();
    ranges.sort_unstable_by_key(|range| (range.start, Reverse(range.end)));
    ranges
}

/// The part of a non-empty range that can hold its `reach` numbers nearest to a middle.
fn around(range: &Range<i64>, middle: i64, reach: i64) -> Range<i64> {
    let nearest = middle.clamp(range.start, range.end - 1);
    range.start.max(nearest.saturating_sub(reach))..range.end.min(nearest.saturating_add(reach))
}

fn offers(starts: Vec<i64>, length: i64, at_most: usize) -> Vec<HalfDaySpan> {
    starts
        .into_iter()
        .take(at_most)
        .filter_map(|start| HalfDaySpan::of_half_days(start, start + length).ok())
        .collect()
}
