//! The cheapest way to be charged for some days: by the week, the day or the half-day.

use std::collections::BTreeMap;

use chrono::{NaiveDate, TimeDelta};

use super::{CostError, Item};
use crate::half_days::HalfDaySpan;

/// Days that a week's charge covers, counted from any day.
const WEEK: TimeDelta = TimeDelta::days(7);

/// What a supplier charges for time or for ground worked; what is `None` is not offered.
///
/// # Units
/// Pence.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Tariff {
    /// For seven days running, beginning on any day.
    pub per_week_pence: Option<i64>,
    /// For a day; where no half-day is offered, for a lone half-day too.
    pub per_day_pence: Option<i64>,
    /// For a half-day.
    pub per_half_day_pence: Option<i64>,
    /// For a hectare worked, instead of for time.
    pub per_ha_pence: Option<i64>,
}

/// What is charged from one day on: the cheapest way to the end.
#[derive(Clone, Copy, Default)]
struct Onward {
    pence: i64,
    weeks: i64,
    days: i64,
    half_days: i64,
}

impl Tariff {
    /// The cheapest charge for the time of these spans, as lines of a bill; `None` where time is not charged.
    ///
    /// Works back from the last day: from each day on, either a week is taken and the days it covers are done, or
    /// the day is charged by itself, in one piece or in halves. Every mixture is one of these chains, so the least
    /// is found. On equal cost a week comes before days, a day before halves.
    ///
    /// # Complexity
    /// Linear in the days.
    pub(super) fn time(&self, spans: &[HalfDaySpan]) -> Result<Option<[Item; 3]>, CostError> {
        let days: Vec<(NaiveDate, i64)> = days_of(spans).into_iter().collect();
        // One more than the days: from the end on, nothing is charged.
        let mut onward: Vec<Option<Onward>> = vec![Some(Onward::default())];
        for (place, &(date, halves)) in days.iter().enumerate().rev() {
            let covered = days.iter().skip(place).take_while(|&&(day, _)| day < date + WEEK).count();
            // `onward` stands back to front: its last entry is the day after this one.
            let after = |covered: usize| onward.len().checked_sub(covered).and_then(|at| *onward.get(at)?);
            let best = self.cheapest(after(covered), after(1), halves)?;
            onward.push(best);
        }
        let Some(whole) = onward.last().copied().flatten() else { return Ok(None) };
        let line = |count, price: Option<i64>| (count, price.unwrap_or(0));
        let (weeks, days) = (line(whole.weeks, self.per_week_pence), line(whole.days, self.per_day_pence));
        let halves = line(whole.half_days, self.per_half_day_pence);
        Ok(Some([Item::Week(weeks.0, weeks.1), Item::Day(days.0, days.1), Item::HalfDay(halves.0, halves.1)]))
    }

    /// The cheapest of a week, a day and halves, each with what comes after.
    fn cheapest(
        &self,
        after_week: Option<Onward>,
        after_day: Option<Onward>,
        halves: i64,
    ) -> Result<Option<Onward>, CostError> {
        let mut best: Option<Onward> = None;
        let ways = [
            (after_week, self.per_week_pence, Onward { weeks: 1, ..Onward::default() }, 1),
            (after_day, self.per_day_pence, Onward { days: 1, ..Onward::default() }, 1),
            (after_day, self.per_half_day_pence, Onward { half_days: halves, ..Onward::default() }, halves),
        ];
        for (after, price, counts, times) in ways {
            let (Some(after), Some(price)) = (after, price) else { continue };
            if price < 0 {
                return Err(CostError::Negative);
            }
            let pence = price.checked_mul(times).and_then(|pence| pence.checked_add(after.pence));
            let pence = pence.ok_or(CostError::TooLarge)?;
            if best.is_none_or(|best| pence < best.pence) {
                best = Some(Onward {
                    pence,
                    weeks: after.weeks + counts.weeks,
                    days: after.days + counts.days,
                    half_days: after.half_days + counts.half_days,
                });
            }
        }
        Ok(best)
    }
}

/// The dates that the spans touch, each with how many of its halves they hold.
fn days_of(spans: &[HalfDaySpan]) -> BTreeMap<NaiveDate, i64> {
    let mut days: BTreeMap<NaiveDate, (bool, bool)> = BTreeMap::new();
    for part in spans.iter().flat_map(HalfDaySpan::days) {
        let (morning, afternoon) = days.entry(part.date).or_default();
        *morning |= part.morning;
        *afternoon |= part.afternoon;
    }
    days.into_iter().map(|(date, (morning, afternoon))| (date, i64::from(morning) + i64::from(afternoon))).collect()
}
