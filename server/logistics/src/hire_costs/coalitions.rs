//! Every group of clubs by itself: Shapley's value, and whether some group would rather hire without the others.

use thiserror::Error;

use crate::shares::whole_parts;

/// Most clubs for which all groups are reckoned: 2¹² of them.
pub const LARGEST_GAME: usize = 12;

/// Why no value was found.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Error)]
pub enum GameError {
    /// Nobody takes part, or more clubs than [`LARGEST_GAME`].
    #[error("Shapley's value is worked out for 1 to 12 clubs")]
    Size,
    /// The list of costs has not one entry for each group.
    #[error("each group of clubs needs one cost")]
    CostsMissing,
    /// A cost is negative, or nobody costs something.
    #[error("a cost must not be negative, and nobody costs nothing")]
    CostAbsurd,
}

/// What each group of clubs would pay by itself.
///
/// # Shape
/// A group is a number whose bit `i` is set if club `i` belongs to it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Game {
    clubs: usize,
    costs: Vec<i64>,
}

/// A group that pays more than it would by itself.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Excess {
    /// Indices of the clubs.
    pub clubs: Vec<usize>,
    /// How much more.
    pub pence: i64,
}

impl Game {
    /// Takes the cost of every group, in the order of their numbers, beginning with nobody.
    ///
    /// # Errors
    /// No or too many clubs, not `2^clubs` costs, a negative cost.
    pub fn parse(clubs: usize, costs: Vec<i64>) -> Result<Self, GameError> {
        if !(1..=LARGEST_GAME).contains(&clubs) {
            return Err(GameError::Size);
        }
        if costs.len() != 1 << clubs {
            return Err(GameError::CostsMissing);
        }
        if costs.first() != Some(&0) || costs.iter().any(|cost| *cost < 0) {
            return Err(GameError::CostAbsurd);
        }
        Ok(Self { clubs, costs })
    }

    /// Asks for the cost of every group of clubs.
    ///
    /// # Errors
    /// As for [`parse`](Self::parse), and whatever the cost answers.
    pub fn reckon<E: From<GameError>>(
        clubs: usize,
        mut cost: impl FnMut(&[usize]) -> Result<i64, E>,
    ) -> Result<Self, E> {
        if !(1..=LARGEST_GAME).contains(&clubs) {
            return Err(GameError::Size.into());
        }
        let costs = (0..1 << clubs).map(|group| cost(&members(group, clubs))).collect::<Result<_, E>>()?;
        Ok(Self::parse(clubs, costs)?)
    }

    /// What each club pays by Shapley's value: what it adds to those before it, averaged over every order in which
    /// the clubs could come.
    ///
    /// # Properties
    /// The shares sum to the cost of all. The averages are exact: a club that joins a group of `s` does so in
    /// `s! (n-1-s)!` of the `n!` orders, and for 12 clubs these sums stay far below `i128`. They become whole pence
    /// by largest remainder, on ties for the earlier club. Not always at most what a club would pay alone.
    ///
    /// # Complexity
    /// `n 2ⁿ` steps.
    ///
    /// # Source
    /// [SHAPLEY](crate::sources)
    #[must_use]
    pub fn shapley(&self) -> Vec<i64> {
        let joined: Vec<i128> = (0..self.clubs).map(|club| self.joins(club)).collect();
        whole_parts(&joined, factorial(self.clubs))
    }

    /// The sum over all orders of what a club adds.
    fn joins(&self, club: usize) -> i128 {
        let without = (0usize..).zip(&self.costs).filter(|(group, _)| group & (1 << club) == 0);
        without
            .map(|(group, cost)| {
                let size = size_of(group);
                let with = self.costs.get(group | (1 << club)).copied().unwrap_or(*cost);
                factorial(size) * factorial(self.clubs - 1 - size) * (i128::from(with) - i128::from(*cost))
            })
            .sum()
    }

    /// The group that would gain most by hiring without the others, if any would gain; the one of fewest clubs
    /// among equals. Without one, the shares lie in the core.
    ///
    /// # Source
    /// [SHAPLEY](crate::sources)
    #[must_use]
    pub fn worst_excess(&self, shares: &[i64]) -> Option<Excess> {
        let everyone = self.costs.len() - 1;
        let groups = (0usize..).zip(&self.costs).filter(|&(group, _)| group != 0 && group != everyone);
        let excess = |(group, cost): (usize, &i64)| {
            let clubs = members(group, self.clubs);
            let paid: i64 = clubs.iter().filter_map(|club| shares.get(*club)).sum();
            Excess { clubs, pence: paid - cost }
        };
        groups
            .map(excess)
            .filter(|excess| excess.pence > 0)
            .max_by_key(|excess| (excess.pence, std::cmp::Reverse(excess.clubs.len())))
    }
}

fn members(group: usize, clubs: usize) -> Vec<usize> {
    (0..clubs).filter(|club| group & (1 << club) != 0).collect()
}

fn size_of(group: usize) -> usize {
    (0..LARGEST_GAME).filter(|club| group & (1 << club) != 0).count()
}

fn factorial(of: usize) -> i128 {
    (1i128..).take(of).product()
}
