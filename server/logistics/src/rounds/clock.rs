//! The hours of slots: when each begins and ends, and what work it holds.
//!
//! Minutes of local wall-clock time since the midnight before the first day. A clock change never falls into
//! working hours, so wall-clock arithmetic is right where instants would be an hour out. Knows no dates.

use super::problem::{Grain, Hectometres};

/// Minutes of a day.
const DAY_MIN: i64 = 24 * 60;
/// Hauling at 40 km/h takes 3 minutes for 20 hectometres.
const HAUL_MIN: i64 = 3;
const HAUL_HM: i64 = 20;

/// When slots are.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Clock {
    grain: Grain,
}

impl Clock {
    /// The hours of a grain.
    #[must_use]
    pub const fn new(grain: Grain) -> Self {
        Self { grain }
    }

    /// Slots of a day.
    #[must_use]
    pub const fn slots_of_a_day(self) -> usize {
        match self.grain {
            Grain::HalfDays => 2,
            Grain::Days => 1,
        }
    }

    /// Working minutes of a slot.
    #[must_use]
    pub const fn work_min(self) -> i64 {
        match self.grain {
            Grain::HalfDays => 270,
            Grain::Days => 540,
        }
    }

    /// The day of a slot, counted from 0.
    #[must_use]
    pub const fn day(self, slot: usize) -> usize {
        slot / self.slots_of_a_day()
    }

    /// When work begins.
    #[must_use]
    pub fn begins_min(self, slot: usize) -> i64 {
        self.midnight_min(slot) + if self.is_afternoon(slot) { 13 * 60 + 30 } else { 8 * 60 }
    }

    /// When work ends.
    #[must_use]
    pub fn ends_min(self, slot: usize) -> i64 {
        self.midnight_min(slot)
            + match self.grain {
                Grain::HalfDays if !self.is_afternoon(slot) => 12 * 60 + 30,
                Grain::HalfDays | Grain::Days => 18 * 60,
            }
    }

    fn midnight_min(self, slot: usize) -> i64 {
        i64::try_from(self.day(slot)).unwrap_or(i64::MAX / DAY_MIN / 2).saturating_mul(DAY_MIN)
    }

    fn is_afternoon(self, slot: usize) -> bool {
        self.grain == Grain::HalfDays && !slot.is_multiple_of(2)
    }
}

/// Minutes on the road, rounded up.
pub(super) const fn haul_min(road_hm: Hectometres) -> i64 {
    (HAUL_MIN * road_hm + HAUL_HM - 1).div_euclid(HAUL_HM)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_day_of_two_slots_breaks_at_noon_and_has_the_work_of_a_day_of_one() {
        let (halves, days) = (Clock::new(Grain::HalfDays), Clock::new(Grain::Days));
        assert_eq!((halves.begins_min(4), halves.ends_min(4)), (2 * 1440 + 480, 2 * 1440 + 750));
        assert_eq!((halves.begins_min(5), halves.ends_min(5)), (2 * 1440 + 810, 2 * 1440 + 1080));
        assert_eq!((days.begins_min(2), days.ends_min(2)), (2 * 1440 + 480, 2 * 1440 + 1080));
        assert_eq!(2 * halves.work_min(), days.work_min());
    }

    #[test]
    fn a_begun_minute_on_the_road_counts() {
        assert_eq!([0, 1, 20, 21, 400].map(haul_min), [0, 1, 3, 4, 60]);
    }
}
