//! The rules by which a bill is split, and whether hiring together is worth it.

use crate::shares::{ShareError, largest_remainder};

/// A bill beside what everyone would pay alone.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Standing {
    /// The bill.
    pub total_pence: i64,
    /// What all clubs together would pay, each hiring alone.
    pub alone_pence: i64,
}

impl Standing {
    /// Compares a bill with what each club would pay alone.
    #[must_use]
    pub fn of(total_pence: i64, alone: &[i64]) -> Self {
        Self { total_pence, alone_pence: alone.iter().fold(0, |sum, pence| sum.saturating_add(*pence)) }
    }

    /// Whether some split charges nobody more than alone.
    #[must_use]
    pub fn is_worth_it(self) -> bool {
        self.total_pence <= self.alone_pence
    }

    /// By how much the bill passes what everyone would pay alone; 0 where it does not.
    #[must_use]
    pub fn shortfall_pence(self) -> i64 {
        self.total_pence.saturating_sub(self.alone_pence).max(0)
    }
}

/// A split in which the network's fund carries what no club can be asked for.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Funded {
    /// What each club pays.
    pub shares: Vec<i64>,
    /// What the fund pays.
    pub fund_pence: i64,
}

/// Equal discount: each pays `total × alone ÷ sum of alone`, so all save the same per cent.
///
/// The odd pennies go to the largest remainders, on ties to the earlier club; sort the clubs by id.
///
/// # Units
/// Pence.
///
/// # Errors
/// Something negative; a total above nothing where alone nobody would pay anything.
///
/// # Properties
/// The shares sum to the total. *Where the total is at most the sum of `alone`, no share passes its `alone`*: the
/// exact share is `alone × total ÷ sum ≤ alone`, and as `alone` is whole, the exact share rounded up is no more than
/// `alone` either.
///
/// # Example
/// ```
/// use logistics::hire_costs::equal_discount;
/// assert_eq!(equal_discount(1_000, &[900, 600])?, [600, 400]);
/// # Ok::<(), logistics::shares::ShareError>(())
/// ```
///
/// # Source
/// [HARE](crate::sources)
pub fn equal_discount(total_pence: i64, alone: &[i64]) -> Result<Vec<i64>, ShareError> {
    largest_remainder(total_pence, &weights(alone)?)
}

/// In proportion to the minutes worked. It is blind to distance, so that a club may pay more than alone.
///
/// # Errors
/// Something negative; a total above nothing where nobody worked.
///
/// # Properties
/// The shares sum to the total.
pub fn by_hours(total_pence: i64, work_min: &[i64]) -> Result<Vec<i64>, ShareError> {
    largest_remainder(total_pence, &weights(work_min)?)
}

/// Equal discount where it is worth it; else each club pays as alone and the fund pays the rest.
///
/// # Errors
/// Something negative.
///
/// # Properties
/// Shares and fund sum to the total; no share passes its `alone`.
pub fn with_fund(total_pence: i64, alone: &[i64]) -> Result<Funded, ShareError> {
    let standing = Standing::of(total_pence, alone);
    if standing.is_worth_it() {
        return Ok(Funded { shares: equal_discount(total_pence, alone)?, fund_pence: 0 });
    }
    weights(alone)?;
    Ok(Funded { shares: alone.to_vec(), fund_pence: standing.shortfall_pence() })
}

fn weights(amounts: &[i64]) -> Result<Vec<u64>, ShareError> {
    amounts.iter().map(|amount| u64::try_from(*amount).map_err(|_| ShareError::NegativeTotal)).collect()
}
