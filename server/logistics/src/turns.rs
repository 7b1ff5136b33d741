//! Turns: who had which days and who went without, and how that counts when the next round is planned.
//!
//! Promises one pure function from entries to a balance, and from a balance to weight and preference points. The rule
//! is a policy of ours, shown with its reasons; knows nothing of clubs, rounds or where entries are kept.

use chrono::{Datelike, NaiveDate};

/// The month in which a season begins: the last matches of one and the renovation after them count together.
const SEASON_BEGINS: u32 = 7;

/// The season of a day, named by the year it began in: 2026 for 2026/27.
///
/// # Source
/// HOUSE
///
/// # Example
/// ```
/// use chrono::NaiveDate;
/// let day = |month, day| NaiveDate::from_ymd_opt(2027, month, day).unwrap();
/// assert_eq!([day(5, 4), day(6, 30), day(7, 1)].map(logistics::turns::season_of), [2026, 2026, 2027]);
/// ```
#[must_use]
pub fn season_of(day: NaiveDate) -> i32 {
    if day.month() >= SEASON_BEGINS { day.year() } else { day.year() - 1 }
}

/// What happened to a request when its round was agreed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Turn {
    /// It was left out although it could have been served alone.
    LeftOut,
    /// It was served on none of its first two wishes.
    ServedLate,
    /// It had its first wish on a day that at least two clubs wished for first.
    PrimeDay,
    /// It was served, and nobody gave way.
    Served,
}

impl Turn {
    /// What it adds to a club's balance.
    #[must_use]
    pub fn points(self) -> i64 {
        match self {
            Self::LeftOut => 3,
            Self::ServedLate => 1,
            Self::PrimeDay => -2,
            Self::Served => 0,
        }
    }

    /// What became of a request, where it could have been served at all.
    ///
    /// `wish` is the rank of the day it got among its wishes, 1 for the first; `firsts` counts the clubs that wished
    /// for that day first, itself among them. A request that wished for no day is never served late.
    #[must_use]
    pub fn of(outcome: Outcome) -> Self {
        match outcome {
            Outcome::LeftOut => Self::LeftOut,
            Outcome::Served { wish: Some(1), firsts, .. } if firsts >= 2 => Self::PrimeDay,
            Outcome::Served { wish: Some(1 | 2), .. } => Self::Served,
            Outcome::Served { wished: 0, .. } => Self::Served,
            Outcome::Served { .. } => Self::ServedLate,
        }
    }
}

/// How a request came out of a round.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Outcome {
    /// It has no place although at least one place would have suited it.
    LeftOut,
    /// It has a place.
    Served {
        /// The rank of its day among the wishes; `None` for a day that was only allowed.
        wish: Option<usize>,
        /// Clubs that wished for that day first.
        firsts: usize,
        /// How many days it wished for.
        wished: usize,
    },
}

/// An entry of a club's turns.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Entry {
    /// The year the season began in.
    pub season: i32,
    /// What happened.
    pub turn: Turn,
}

/// The least balance; the greatest is its opposite, so that history outweighs one step of need and never two.
const FURTHEST: i64 = 9;
/// What a step of need weighs.
const NEED_WEIGHT: i64 = 10;
/// Points of the first, second … wish before the balance counts.
const WISH_POINTS: [i64; 4] = [5, 3, 2, 1];
/// Beyond this balance, either way, wishes count threefold or once; within it twice.
const SETTLED: i64 = 3;

/// A club's balance of turns in a season.
///
/// # Properties
/// Between −9 and 9; positive for a club that gave way. Each new season halves what was there, toward zero, before its
/// own entries count. Entries of later seasons do not count; the order of entries does not matter.
///
/// # Source
/// HOUSE
///
/// # Example
/// ```
/// use logistics::turns::{Entry, Turn, balance};
/// let left_out = |season| Entry { season, turn: Turn::LeftOut };
/// assert_eq!(balance(&[left_out(2025), left_out(2026)], 2026), 3 / 2 + 3);
/// ```
#[must_use]
pub fn balance(entries: &[Entry], season: i32) -> i64 {
    let counted = || entries.iter().filter(|entry| entry.season <= season);
    let Some(first) = counted().map(|entry| entry.season).min() else { return 0 };
    // What is older than this has faded to nothing: the furthest balance is halved to 0 in four seasons.
    let first = first.max(season.saturating_sub(8));
    (first..=season).fold(0, |kept, year| {
        let of_year = |entry: &&Entry| entry.season == year || (year == first && entry.season < first);
        let fresh: i64 = counted().filter(of_year).map(|entry| entry.turn.points()).sum();
        (kept / 2 + fresh).clamp(-FURTHEST, FURTHEST)
    })
}

/// What serving a request weighs: ten for each step of need, and the balance.
///
/// # Properties
/// At least 1 for a need of 1 to 5.
#[must_use]
pub fn weight(need: i64, balance: i64) -> i64 {
    NEED_WEIGHT * need + balance.clamp(-FURTHEST, FURTHEST)
}

/// Preference points of a wish by its rank, 1 for the first; 0 beyond the fourth.
///
/// Who gave way before has three times the points, who had the wanted days once, everyone else twice.
#[must_use]
pub fn wish_points(rank: usize, balance: i64) -> i64 {
    let factor = match balance {
        b if b > SETTLED => 3,
        b if b < -SETTLED => 1,
        _ => 2,
    };
    let points = rank.checked_sub(1).and_then(|place| WISH_POINTS.get(place));
    points.map_or(0, |points| points * factor)
}

/// Whether a club is to be served before all others: it was left out in each of its last `after` rounds.
///
/// `latest_first` are the club's rounds, each with whether it was left out. Never for `after` 0.
#[must_use]
pub fn is_guaranteed(latest_first: &[bool], after: usize) -> bool {
    after > 0 && latest_first.len() >= after && latest_first.iter().take(after).all(|&left_out| left_out)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn entry(season: i32, turn: Turn) -> Entry {
        Entry { season, turn }
    }

    #[test]
    fn weights_and_points_are_those_of_the_reference_instances() {
        // (base, ledger, weight, points of the wishes) as in x-helper and q12-small of the planning instances
        for (need, balance, expected, points) in [
            (3, 2, 32, vec![10]),
            (3, 4, 34, vec![15]),
            (3, 5, 35, vec![15, 9]),
            (3, -2, 28, vec![10]),
            (3, 8, 38, vec![15, 9, 6]),
            (1, -4, 6, vec![5]),
        ] {
            assert_eq!(weight(need, balance), expected);
            let ours: Vec<i64> = (1..=points.len()).map(|rank| wish_points(rank, balance)).collect();
            assert_eq!(ours, points, "balance {balance}");
        }
        assert_eq!((wish_points(0, 0), wish_points(5, 0)), (0, 0));
    }

    #[test]
    fn a_season_halves_what_was_there_toward_zero() {
        let gave_way = [entry(2024, Turn::LeftOut), entry(2024, Turn::LeftOut), entry(2024, Turn::ServedLate)];
        assert_eq!((2023..=2028).map(|season| balance(&gave_way, season)).collect::<Vec<_>>(), [0, 7, 3, 1, 0, 0]);
        let prime = [entry(2024, Turn::PrimeDay), entry(2024, Turn::PrimeDay)];
        assert_eq!((2024..=2027).map(|season| balance(&prime, season)).collect::<Vec<_>>(), [-4, -2, -1, 0]);
    }

    #[test]
    fn what_became_of_a_request_has_its_turn() {
        let served = |wish, firsts, wished| Turn::of(Outcome::Served { wish, firsts, wished });
        assert_eq!(Turn::of(Outcome::LeftOut), Turn::LeftOut);
        assert_eq!(served(Some(1), 2, 3), Turn::PrimeDay);
        assert_eq!(served(Some(1), 1, 3), Turn::Served);
        assert_eq!(served(Some(2), 3, 3), Turn::Served);
        assert_eq!(served(Some(3), 0, 3), Turn::ServedLate);
        assert_eq!(served(None, 0, 1), Turn::ServedLate);
        assert_eq!(served(None, 0, 0), Turn::Served, "a club that wished for no day cannot be disappointed");
    }

    #[test]
    fn a_club_left_out_often_enough_running_is_guaranteed() {
        assert!(is_guaranteed(&[true, true, false], 2));
        assert!(!is_guaranteed(&[true, false, true], 2));
        assert!(!is_guaranteed(&[true], 2));
        assert!(!is_guaranteed(&[true, true], 0));
    }

    proptest! {
        #[test]
        fn history_outweighs_one_step_of_need_and_never_two(
            entries in prop::collection::vec((2015..2035i32, 0..4usize), 0..60),
            season in 2015..2040i32,
            need in 1..=5i64,
        ) {
            let turns = [Turn::LeftOut, Turn::ServedLate, Turn::PrimeDay, Turn::Served];
            let mut entries: Vec<Entry> = entries.into_iter().map(|(year, turn)| entry(year, turns[turn])).collect();
            let ours = balance(&entries, season);
            prop_assert!((-9..=9).contains(&ours));
            prop_assert!(weight(need, ours) >= 1);
            prop_assert!(weight(need + 2, -9) > weight(need, 9));
            entries.reverse();
            prop_assert_eq!(balance(&entries, season), ours);
        }
    }
}
