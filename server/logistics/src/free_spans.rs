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
    // Mornings and noons take turns, so twice as many starts hold enough of either.
    let reach = at_most.saturating_mul(2);
    let mut starts: Vec<i64> = fitting_starts(available, held, length, gap_half_days)
        .into_iter()
        .flat_map(|range| (range.start.max(earliest)..range.end).take(reach))
        .collect();
    let second_choice = |start: i64| half_days >= MORNING_START_FROM_HALF_DAYS && !is_morning(start);
    starts.sort_unstable_by_key(|start| (second_choice(*start), *start));
    starts.dedup();
    offers(starts, length, at_most)
}

/// Where a span of this length can begin: numbered half-days, one range or more an availability.
fn fitting_starts(available: &[HalfDaySpan], held: &[HalfDaySpan], length: i64, gap_half_days: u32) -> Vec<Range<i64>> {
    let gap = i64::from(gap_half_days);
    // A start clashes with a held span unless offer and gap end by its beginning, or it and its
    // gap end by the start.
    let clashes = in_order(held.iter().map(|span| span.start() - length - gap + 1..span.end() + gap));
    available.iter().flat_map(|span| without(span.start()..span.end() - length + 1, &clashes)).collect()
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
    ranges.sort_unstable_by_key(|range| range.start);
    ranges
}

/// The part of a non-empty range that can hold its `reach` numbers nearest to a middle.
fn around(range: &Range<i64>, middle: i64, reach: i64) -> Range<i64> {
    let nearest = middle.clamp(range.start, range.end - 1);
    range.start.max(nearest.saturating_sub(reach))..range.end.min(nearest.saturating_add(reach))
}

fn offers(starts: Vec<i64>, length: i64, at_most: usize) -> Vec<HalfDaySpan> {
    starts.into_iter().take(at_most).filter_map(|start| HalfDaySpan::of_half_days(start, start + length).ok()).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::test_spans::{instant, span};
    use proptest::prelude::*;

    #[test]
    fn a_held_span_leaves_the_time_before_and_after_it() {
        let available = span("2027-05-03 00", "2027-05-10 00");
        let held = span("2027-05-05 12", "2027-05-07 00");
        assert_eq!(
            free_spans(&[available], &[held]),
            [span("2027-05-03 00", "2027-05-05 12"), span("2027-05-07 00", "2027-05-10 00")]
        );
    }

    #[test]
    fn an_availability_that_is_wholly_held_leaves_nothing() {
        let available = span("2027-05-03 00", "2027-05-05 00");
        assert_eq!(free_spans(&[available], &[available]), []);
        assert_eq!(free_spans(&[], &[available]), []);
    }

    #[test]
    fn the_wanted_span_comes_first_when_it_fits() {
        let available = span("2027-05-03 00", "2027-05-10 00");
        let wanted = span("2027-05-05 00", "2027-05-06 00");
        assert_eq!(
            nearest_free(&[available], &[], &wanted, 1, 3),
            [wanted, span("2027-05-04 12", "2027-05-05 12"), span("2027-05-05 12", "2027-05-06 12")]
        );
    }

    #[test]
    fn an_offer_keeps_the_gap_before_and_after_a_held_span() {
        let available = span("2027-05-03 00", "2027-05-10 00");
        let held = span("2027-05-05 00", "2027-05-06 00");
        // One half-day to move: the offer ends by noon on the 4th or begins from noon on the 6th.
        assert_eq!(
            nearest_free(&[available], &[held], &held, 1, 2),
            [span("2027-05-03 12", "2027-05-04 12"), span("2027-05-06 12", "2027-05-07 12")]
        );
    }

    #[test]
    fn the_gap_may_reach_beyond_the_availability_but_the_offer_may_not() {
        let available = span("2027-05-03 00", "2027-05-04 00");
        let fits = span("2027-05-03 00", "2027-05-04 00");
        assert_eq!(nearest_free(&[available], &[], &fits, 4, 5), [fits]);
        let too_long = span("2027-05-03 00", "2027-05-04 12");
        assert_eq!(nearest_free(&[available], &[], &too_long, 0, 5), []);
    }

    #[test]
    fn a_booking_does_not_run_across_two_availabilities() {
        let weeks = [span("2027-05-03 00", "2027-05-04 00"), span("2027-05-04 00", "2027-05-05 00")];
        let wanted = span("2027-05-03 12", "2027-05-04 12");
        assert_eq!(nearest_free(&weeks, &[], &wanted, 0, 5), weeks);
    }

    #[test]
    fn whole_days_are_proposed_from_the_morning_and_noons_fill_up() {
        let available = span("2027-05-03 12", "2027-05-06 00");
        let from = instant("2027-05-01 09:30:00");
        assert_eq!(
            first_free(&[available], &[], from, 2, 0, 3),
            [
                span("2027-05-04 00", "2027-05-05 00"),
                span("2027-05-05 00", "2027-05-06 00"),
                span("2027-05-03 12", "2027-05-04 12"),
            ]
        );
    }

    #[test]
    fn half_days_are_proposed_in_plain_order_of_time() {
        let available = span("2027-05-03 00", "2027-05-06 00");
        // The morning has begun, so the first proposal is the afternoon.
        let from = instant("2027-05-03 00:00:01");
        assert_eq!(
            first_free(&[available], &[], from, 1, 0, 2),
            [span("2027-05-03 12", "2027-05-04 00"), span("2027-05-04 00", "2027-05-04 12")]
        );
    }

    #[test]
    fn nothing_is_proposed_for_no_time_or_no_places() {
        let available = span("2027-05-03 00", "2027-05-06 00");
        let from = instant("2027-05-03 00:00:00");
        assert_eq!(first_free(&[available], &[], from, 0, 0, 9), []);
        assert_eq!(first_free(&[available], &[], from, 1, 0, 0), []);
        assert_eq!(first_free(&[available], &[], from, u32::MAX, 0, 9), []);
        assert_eq!(first_free(&[available], &[], from, 1, u32::MAX, 9).len(), 6);
    }

    /// The first half-day of the weeks in which the random tests play.
    const START: i64 = 1_479_900;

    prop_compose! {
        fn any_span(within: i64, longest: i64)(
            start in 0..within,
            length in 1..=longest,
        ) -> HalfDaySpan {
            HalfDaySpan::of_half_days(START + start, START + start + length).unwrap()
        }
    }

    prop_compose! {
        fn any_calendar()(
            available in proptest::collection::vec(any_span(60, 30), 0..4),
            held in proptest::collection::vec(any_span(60, 6), 0..8),
        ) -> (Vec<HalfDaySpan>, Vec<HalfDaySpan>) {
            (available, held)
        }
    }

    /// The rule word for word, tried for every start there could be.
    fn every_fit(available: &[HalfDaySpan], held: &[HalfDaySpan], length: i64, gap: u32) -> Vec<HalfDaySpan> {
        (START - 10..START + 120)
            .map(|start| HalfDaySpan::of_half_days(start, start + length).unwrap())
            .filter(|offer| available.iter().any(|whole| whole.contains(offer)))
            .filter(|offer| {
                let with_gap = offer.with_gap(gap).unwrap();
                !held.iter().any(|other| with_gap.overlaps(&other.with_gap(gap).unwrap()))
            })
            .collect()
    }

    proptest! {
        #[test]
        fn free_spans_hold_exactly_what_is_available_and_not_held(
            (available, held) in any_calendar(),
        ) {
            let free = free_spans(&available, &held);
            prop_assert!(free.is_sorted());
            for part in &free {
                prop_assert!(available.iter().any(|whole| whole.contains(part)));
            }
            for number in START..START + 100 {
                let holds = |spans: &[HalfDaySpan]| {
                    spans.iter().any(|span| (span.start()..span.end()).contains(&number))
                };
                prop_assert_eq!(holds(&free), holds(&available) && !holds(&held));
            }
        }

        #[test]
        fn the_order_of_spans_does_not_matter((available, held) in any_calendar()) {
            let backwards = |spans: &[HalfDaySpan]| -> Vec<_> {
                spans.iter().rev().copied().collect()
            };
            prop_assert_eq!(
                free_spans(&available, &held),
                free_spans(&backwards(&available), &backwards(&held))
            );
        }

        #[test]
        fn the_nearest_offers_are_the_nearest_of_all_that_fit(
            (available, held) in any_calendar(),
            wanted in any_span(90, 5),
            gap in 0u32..4,
            at_most in 0usize..8,
        ) {
            let mut all = every_fit(&available, &held, wanted.half_days(), gap);
            all.sort_by_key(|offer| (offer.start().abs_diff(wanted.start()), offer.start()));
            all.truncate(at_most);
            prop_assert_eq!(nearest_free(&available, &held, &wanted, gap, at_most), all);
        }

        #[test]
        fn the_first_proposals_are_the_first_of_all_that_fit(
            (available, held) in any_calendar(),
            earliest in 0i64..60,
            length in 1u32..6,
            gap in 0u32..4,
            at_most in 0usize..8,
        ) {
            let earliest = START + earliest;
            let not_before = HalfDaySpan::of_half_days(earliest, earliest + 1).unwrap().from();
            let mut all = every_fit(&available, &held, i64::from(length), gap);
            all.retain(|offer| offer.from() >= not_before);
            all.sort_by_key(|offer| (length > 1 && !is_morning(offer.start()), offer.start()));
            all.truncate(at_most);
            let proposed = first_free(&available, &held, not_before, length, gap, at_most);
            prop_assert_eq!(proposed, all);
        }
    }
}
