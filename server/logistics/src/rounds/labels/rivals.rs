//! Who outdoes whom among labels that end alike.
//!
//! Promises that of the labels of a group none is kept that another outdoes: one that is done no later, has done the
//! same errands of those still open, or all but one of them, and is worth more (or as much, and is preferred). Each
//! label costs one look into a table and one more for each errand it has done. Knows nothing of stops.

use std::cmp::Ordering;
use std::collections::HashMap;
use std::collections::hash_map::Entry;
use std::hash::{BuildHasherDefault, Hasher};

use super::journey::Errands;

/// Where a label came from and what it is worth.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Came {
    pub stop: usize,
    /// The label before.
    pub before: u32,
    /// All levels in one number, the road back aside.
    pub worth: i128,
}

/// The best label of each set of errands done.
#[derive(Debug, Clone, Default)]
pub(super) struct Rivals {
    best: HashMap<Errands, Came, BuildHasherDefault<Mix>>,
    open: Errands,
}

impl Rivals {
    /// Takes in later labels that remember no more than the open errands; drops those that are outdone. Of two `prefer`
    /// names the better as the less.
    pub fn join<T>(
        &mut self,
        labels: &mut Vec<T>,
        open: Errands,
        facts: impl Fn(&T) -> (Errands, Came),
        prefer: impl Fn(&Came, &Came) -> Ordering,
    ) {
        if self.open != open {
            self.open = open;
            for (done, came) in std::mem::take(&mut self.best) {
                self.meet(done & open, came, &prefer);
            }
        }
        for (done, came) in labels.iter().map(&facts) {
            self.meet(done, came, &prefer);
        }
        labels.retain(|label| {
            let (done, came) = facts(label);
            self.best.get(&done) == Some(&came) && !self.outdo(done, &came, &prefer)
        });
    }

    fn meet(&mut self, done: Errands, came: Came, prefer: &impl Fn(&Came, &Came) -> Ordering) {
        match self.best.entry(done) {
            Entry::Vacant(free) => drop(free.insert(came)),
            Entry::Occupied(mut taken) if prefer(&came, taken.get()) == Ordering::Less => drop(taken.insert(came)),
            Entry::Occupied(_) => {}
        }
    }

    /// Whether one that did all but one of the errands is no worse.
    fn outdo(&self, done: Errands, came: &Came, prefer: &impl Fn(&Came, &Came) -> Ordering) -> bool {
        let mut left = done;
        while left != 0 {
            let one = left & left.wrapping_neg();
            left ^= one;
            if self.best.get(&(done ^ one)).is_some_and(|rival| prefer(rival, came) != Ordering::Greater) {
                return true;
            }
        }
        false
    }
}

/// Hashes a set of errands.
///
/// # Source
/// Steele, Vigna, *Computationally easy, spectrally good multipliers for congruential pseudorandom number
/// generators*, Software: Practice and Experience 52 (2022), for the multiplier.
#[derive(Debug, Clone, Copy, Default)]
struct Mix(u64);

const MULTIPLIER: u64 = 0xf135_7aea_2e62_a9c5;

impl Hasher for Mix {
    fn finish(&self) -> u64 {
        // The table takes its place from the low bits and its tag from the high ones.
        self.0 ^ self.0 >> 32
    }

    fn write(&mut self, bytes: &[u8]) {
        for &byte in bytes {
            self.0 = (self.0 ^ u64::from(byte)).wrapping_mul(MULTIPLIER);
        }
    }

    fn write_u64(&mut self, word: u64) {
        self.0 = (self.0.rotate_left(5) ^ word).wrapping_mul(MULTIPLIER);
    }

    fn write_u128(&mut self, words: u128) {
        let [high, low] = [words >> 64, words].map(|half| u64::try_from(half & u128::from(u64::MAX)).unwrap_or(0));
        self.write_u64(high);
        self.write_u64(low);
    }
}
