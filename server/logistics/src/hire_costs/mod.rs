//! What a hire costs the network, what each club would pay alone, and how the bill is split.
//!
//! Promises whole pence: a bill is the sum of its parts, a split sums to the bill. Where hiring together costs no
//! more than everyone hiring alone, the shipped rule charges no club more than alone, to the penny. Knows nothing of
//! suppliers' invoices, of VAT, or of who has paid; the deposit is given back and stands beside the bill, not in it.
//!
//! # Source
//! [HOUSE](crate::sources)

mod bill;
mod coalitions;
mod splits;
mod tariff;
#[cfg(test)]
mod tests;

pub use bill::{Bill, BillPart, HireTerms, Item, Stint, alone, bill, helper_pence};
pub use coalitions::{Excess, Game, GameError, LARGEST_GAME};
pub use splits::{Funded, Standing, by_hours, equal_discount, with_fund};
pub use tariff::Tariff;

use thiserror::Error;

/// Why a hire could not be reckoned.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Error)]
pub enum CostError {
    /// A charge, an area, a time or a road is below nothing.
    #[error("a charge, an area, a time or a road must not be negative")]
    Negative,
    /// A place has no row or column in the table of roads.
    #[error("a place is missing in the table of roads")]
    NoRoad,
    /// The sum does not fit a whole number of pence.
    #[error("the bill is too large to be counted in pence")]
    TooLarge,
}

/// `count × price ÷ per`, to the nearest whole pence; half a penny counts as a whole one.
fn pence_of(count: i64, price_pence: i64, per: i64) -> Result<i64, CostError> {
    if count < 0 || price_pence < 0 {
        return Err(CostError::Negative);
    }
    let per = i128::from(per);
    let exact = i128::from(count) * i128::from(price_pence);
    i64::try_from((2 * exact + per) / (2 * per)).map_err(|_| CostError::TooLarge)
}
