//! What a machine costs for a span: by the half-day, by the day, by the use.
//!
//! Promises whole pence and a total that is the sum of its parts. Does not know VAT, who pays,
//! deposits, fuel or hours on the meter.
//!
//! # Source
//! [HOUSE](crate::sources)

use crate::half_days::{DayPart, HalfDaySpan};
use thiserror::Error;

/// Half-days in a whole day, as a count on a bill.
const HALF_DAYS_IN_A_DAY: u32 = 2;

/// The charges agreed for a machine; what is `None` is not charged.
///
/// # Units
/// Pence.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct ChargeRules {
    /// For a half-day held.
    pub per_half_day_pence: Option<i64>,
    /// For a date held morning and afternoon.
    pub per_day_pence: Option<i64>,
    /// Once for each booking, however long.
    pub per_use_pence: Option<i64>,
}

/// What is counted on a bill.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ChargeUnit {
    /// Half-days.
    HalfDay,
    /// Whole days, or lone half-days where there is only a day charge.
    Day,
    /// The use itself.
    Use,
}

/// One line of a bill.
///
/// # Properties
/// `pence = count × unit_pence`, and `count` is at least 1.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct ChargePart {
    /// What is counted.
    pub what: ChargeUnit,
    /// How many of them.
    pub count: u32,
    /// The price of one.
    pub unit_pence: i64,
    /// The price of all.
    pub pence: i64,
}

/// A bill.
///
/// # Properties
/// `total_pence` is the sum of the parts; a unit is on at most one line.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Charge {
    /// What the booking costs.
    pub total_pence: i64,
    /// How it comes about: days, then half-days, then the use.
    pub parts: Vec<ChargePart>,
}

/// Why a charge was refused.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Error)]
pub enum ChargeError {
    /// A rule charges less than nothing.
    #[error("a charge must not be negative")]
    NegativeCharge,
    /// The sum does not fit a whole number of pence.
    #[error("the charge is too large to be counted in pence")]
    TooLarge,
}

/// Works out what a span costs.
///
/// The use is charged once. A whole date costs the day charge, or two half-days if that is
/// cheaper or there is no day charge; at equal cost it is a day. A lone half-day costs the
/// half-day charge, or the day charge if that is all there is.
///
/// # Units
/// Pence.
///
/// # Errors
/// A negative charge in the rules, or a sum beyond `i64`.
///
/// # Properties
/// A whole date never costs more than its two halves. No rule, no charge.
///
/// # Example
/// ```
/// use chrono::NaiveDate;
/// use logistics::{charges::{ChargeRules, charge}, half_days::HalfDaySpan};
/// let may = |day, hour| NaiveDate::from_ymd_opt(2027, 5, day).unwrap().and_hms_opt(hour, 0, 0).unwrap();
/// let span = HalfDaySpan::parse(may(4, 12), may(6, 0)).unwrap();
/// let rules = ChargeRules {
///     per_half_day_pence: Some(6_000),
///     per_day_pence: Some(10_000),
///     per_use_pence: Some(2_500),
/// };
/// // Tuesday afternoon, all Wednesday, and the use.
/// assert_eq!(charge(&rules, &span)?.total_pence, 6_000 + 10_000 + 2_500);
/// # Ok::<(), logistics::charges::ChargeError>(())
/// ```
pub fn charge(rules: &ChargeRules, span: &HalfDaySpan) -> Result<Charge, ChargeError> {
    refuse_negative(rules)?;
    let counted = count(rules, &span.days());
    let lines = [
        (ChargeUnit::Day, counted.days, rules.per_day_pence),
        (ChargeUnit::HalfDay, counted.half_days, rules.per_half_day_pence),
        (ChargeUnit::Use, 1, rules.per_use_pence),
    ];
    let mut bill = Charge { total_pence: 0, parts: Vec::new() };
    for (what, count, unit_pence) in lines {
        let Some(unit_pence) = unit_pence.filter(|_| count > 0) else {
            continue;
        };
        let pence = i64::from(count).checked_mul(unit_pence).ok_or(ChargeError::TooLarge)?;
        bill.total_pence = bill.total_pence.checked_add(pence).ok_or(ChargeError::TooLarge)?;
        bill.parts.push(ChargePart { what, count, unit_pence, pence });
    }
    Ok(bill)
}

/// How many days and half-days go on the bill.
struct Counted {
    days: u32,
    half_days: u32,
}

fn count(rules: &ChargeRules, dates: &[DayPart]) -> Counted {
    let mut counted = Counted { days: 0, half_days: 0 };
    let whole_as_day = day_is_no_dearer(rules);
    let lone_as_day = rules.per_half_day_pence.is_none();
    for date in dates {
        let whole = date.morning && date.afternoon;
        if if whole { whole_as_day } else { lone_as_day } {
            counted.days += 1;
        } else if whole {
            counted.half_days += HALF_DAYS_IN_A_DAY;
        } else {
            counted.half_days += 1;
        }
    }
    counted
}

/// Whether a whole date goes on the bill as a day.
fn day_is_no_dearer(rules: &ChargeRules) -> bool {
    match (rules.per_day_pence, rules.per_half_day_pence) {
        (Some(day), Some(half)) => day <= half.saturating_mul(i64::from(HALF_DAYS_IN_A_DAY)),
        (day, None) => day.is_some(),
        (None, Some(_)) => false,
    }
}

fn refuse_negative(rules: &ChargeRules) -> Result<(), ChargeError> {
    let all = [rules.per_half_day_pence, rules.per_day_pence, rules.per_use_pence];
    if all.into_iter().flatten().any(|pence| pence < 0) {
        return Err(ChargeError::NegativeCharge);
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::test_spans::span;
    use proptest::prelude::*;

    fn rules(half_day: Option<i64>, day: Option<i64>, per_use: Option<i64>) -> ChargeRules {
        ChargeRules { per_half_day_pence: half_day, per_day_pence: day, per_use_pence: per_use }
    }

    fn lines(bill: &Charge) -> Vec<(ChargeUnit, u32, i64)> {
        let line = |part: &ChargePart| (part.what, part.count, part.pence);
        bill.parts.iter().map(line).collect()
    }

    #[test]
    fn an_afternoon_and_two_days_are_billed_as_such() {
        let span = span("2027-05-04 12", "2027-05-07 00");
        let bill = charge(&rules(Some(6_000), Some(10_000), Some(2_500)), &span).unwrap();
        assert_eq!(
            lines(&bill),
            [(ChargeUnit::Day, 2, 20_000), (ChargeUnit::HalfDay, 1, 6_000), (ChargeUnit::Use, 1, 2_500)]
        );
        assert_eq!(bill.total_pence, 28_500);
    }

    #[test]
    fn a_whole_day_is_two_halves_where_that_is_cheaper() {
        let span = span("2027-05-04 00", "2027-05-05 00");
        let bill = charge(&rules(Some(4_000), Some(10_000), None), &span).unwrap();
        assert_eq!(lines(&bill), [(ChargeUnit::HalfDay, 2, 8_000)]);
        let even = charge(&rules(Some(5_000), Some(10_000), None), &span).unwrap();
        assert_eq!(lines(&even), [(ChargeUnit::Day, 1, 10_000)]);
    }

    #[test]
    fn a_lone_half_day_costs_a_day_where_there_is_no_half_day_charge() {
        let span = span("2027-05-04 12", "2027-05-06 00");
        let bill = charge(&rules(None, Some(10_000), None), &span).unwrap();
        assert_eq!(lines(&bill), [(ChargeUnit::Day, 2, 20_000)]);
    }

    #[test]
    fn a_day_is_two_halves_where_there_is_no_day_charge() {
        let span = span("2027-05-04 12", "2027-05-06 00");
        let bill = charge(&rules(Some(6_000), None, None), &span).unwrap();
        assert_eq!(lines(&bill), [(ChargeUnit::HalfDay, 3, 18_000)]);
    }

    #[test]
    fn a_machine_without_charges_is_free_and_has_no_lines() {
        let span = span("2027-05-04 12", "2027-05-06 00");
        let bill = charge(&ChargeRules::default(), &span).unwrap();
        assert_eq!((bill.total_pence, bill.parts.len()), (0, 0));
    }

    #[test]
    fn a_negative_charge_and_a_sum_beyond_counting_are_refused() {
        let span = span("2027-05-04 00", "2027-05-06 00");
        for bad in [rules(Some(-1), None, None), rules(None, Some(-1), None), rules(None, None, Some(-1))] {
            assert_eq!(charge(&bad, &span), Err(ChargeError::NegativeCharge));
        }
        let line = rules(None, Some(i64::MAX), None);
        assert_eq!(charge(&line, &span), Err(ChargeError::TooLarge));
        let sum = rules(None, Some(i64::MAX / 2), Some(2));
        assert_eq!(charge(&sum, &span), Err(ChargeError::TooLarge));
    }

    proptest! {
        #[test]
        fn the_total_is_the_sum_of_its_lines_and_a_day_is_never_dearer_than_its_halves(
            half_day in proptest::option::of(0i64..100_000),
            day in proptest::option::of(0i64..100_000),
            per_use in proptest::option::of(0i64..100_000),
            start in 1_479_900i64..1_480_000,
            length in 1i64..40,
        ) {
            let span = HalfDaySpan::of_half_days(start, start + length).unwrap();
            let bill = charge(&rules(half_day, day, per_use), &span).unwrap();
            let sum: i64 = bill.parts.iter().map(|part| part.pence).sum();
            prop_assert_eq!(bill.total_pence, sum);
            for part in &bill.parts {
                prop_assert_eq!(i64::from(part.count) * part.unit_pence, part.pence);
                prop_assert!(part.count > 0);
            }
            if let Some(half_day) = half_day {
                let halves = span.half_days() * half_day + per_use.unwrap_or(0);
                prop_assert!(bill.total_pence <= halves);
            }
        }
    }
}
