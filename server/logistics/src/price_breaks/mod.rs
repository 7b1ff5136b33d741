//! Price lists whose price falls at quantities, and how far an order is from the next fall.
//!
//! Promises whole pence: a list that would price a pack at a fraction of a penny is refused at
//! the door. One price holds for the whole order, the one of its total quantity. Does not know
//! products, suppliers, carriage or lorries.
//!
//! # Source
//! [HOUSE](crate::sources)

mod order_shares;
mod vat;

pub use order_shares::{OrderShares, Share, share_order, stand_alone};
pub use vat::{vat_pence_alone, vat_pence_of_invoice};

use crate::shares::ShareError;
use thiserror::Error;

/// Why a price list or a sum with it was refused.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Error)]
pub enum PriceError {
    /// The unit or the pack has no positive mass.
    #[error("the priced unit and the pack must have a positive mass in kg")]
    MassNotPositive,
    /// There is no price at all.
    #[error("a price list needs at least one price")]
    NoBreaks,
    /// The first price begins above the smallest order there is.
    #[error("the first price must hold from 0 kg or from one pack")]
    FirstBreakTooHigh,
    /// The quantities do not rise.
    #[error("the quantities at which the price falls must rise")]
    QuantitiesNotRising,
    /// A price is nothing or less.
    #[error("a price must be positive")]
    PriceNotPositive,
    /// A price rises with the quantity.
    #[error("the price must not rise with the quantity")]
    PriceRises,
    /// A pack does not cost whole pence.
    #[error("the price of one pack must come to whole pence")]
    PackNotWholePence,
    /// The quantity is negative.
    #[error("a quantity must not be negative")]
    QuantityNegative,
    /// The quantity is not whole packs.
    #[error("a quantity must be whole packs")]
    NotWholePacks,
    /// A club's own quantity is more than the total it belongs to.
    #[error("a club's quantity cannot exceed the total")]
    OwnAboveTotal,
    /// The sum of money is negative.
    #[error("a price before VAT must not be negative")]
    GoodsNegative,
    /// The VAT rate is not from nothing to the whole price.
    #[error("the VAT rate must be from 0 to 10000 basis points")]
    VatRateOutOfRange,
    /// The sum does not fit.
    #[error("the sum is too large to be counted in pence")]
    TooLarge,
    /// The VAT cannot be split.
    #[error(transparent)]
    Share(#[from] ShareError),
}

/// A quantity from which a price holds.
///
/// # Units
/// Kilograms; pence for one unit of the list.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct PriceBreak {
    /// The least total that has this price.
    pub from_kg: i64,
    /// The price of one unit.
    pub price_pence: i64,
}

/// The next fall of the price.
///
/// # Units
/// Kilograms; pence for one unit of the list.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct NextBreak {
    /// The total from which the lower price holds.
    pub from_kg: i64,
    /// What the order still lacks, in whole packs.
    pub missing_kg: i64,
    /// The lower price of one unit.
    pub price_pence: i64,
}

/// A supplier's prices for one product.
///
/// # Properties
/// Quantities rise, prices never do, every price is positive, every pack costs whole pence.
///
/// # Example
/// ```
/// use logistics::price_breaks::{PriceBreak, PriceList};
/// // Sand by the tonne, ordered by the tonne: £31.50, and £27.00 from 20 t.
/// let sand = PriceList::parse(1_000, 1_000, vec![
///     PriceBreak { from_kg: 0, price_pence: 3_150 },
///     PriceBreak { from_kg: 20_000, price_pence: 2_700 },
/// ])?;
/// assert_eq!(sand.goods_pence(8_000, 17_000)?, 8 * 3_150);
/// assert_eq!(sand.next_break(17_000).map(|next| next.missing_kg), Some(3_000));
/// # Ok::<(), logistics::price_breaks::PriceError>(())
/// ```
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PriceList {
    unit_kg: i64,
    pack_kg: i64,
    first_price_pence: i64,
    falls: Vec<PriceBreak>,
}

impl PriceList {
    /// Makes a price list of the mass that a price is for, the mass of a pack, and the prices.
    ///
    /// # Errors
    /// Masses that are not positive; no price; a first price that holds neither from 0 nor from
    /// one pack; quantities that do not rise; prices that are not positive, that rise, or that
    /// make a pack cost a fraction of a penny.
    pub fn parse(unit_kg: i64, pack_kg: i64, breaks: Vec<PriceBreak>) -> Result<Self, PriceError> {
        if unit_kg <= 0 || pack_kg <= 0 {
            return Err(PriceError::MassNotPositive);
        }
        let (first, falls) = breaks.split_first().ok_or(PriceError::NoBreaks)?;
        if first.from_kg != 0 && first.from_kg != pack_kg {
            return Err(PriceError::FirstBreakTooHigh);
        }
        for (lower, higher) in breaks.iter().zip(falls) {
            if higher.from_kg <= lower.from_kg {
                return Err(PriceError::QuantitiesNotRising);
            }
            if higher.price_pence > lower.price_pence {
                return Err(PriceError::PriceRises);
            }
        }
        for each in &breaks {
            check_price(each.price_pence, unit_kg, pack_kg)?;
        }
        Ok(Self {
            unit_kg,
            pack_kg,
            first_price_pence: first.price_pence,
            falls: falls.to_vec(),
        })
    }

    /// The price of one unit when the whole order is this large.
    ///
    /// # Properties
    /// Never rises with the quantity.
    #[must_use]
    pub fn price_at(&self, total_kg: i64) -> i64 {
        self.falls
            .iter()
            .take_while(|fall| fall.from_kg <= total_kg)
            .last()
            .map_or(self.first_price_pence, |fall| fall.price_pence)
    }

    /// What a club's quantity costs before VAT when the whole order is this large.
    ///
    /// # Units
    /// Kilograms in, pence out.
    ///
    /// # Errors
    /// A negative quantity, one that is not whole packs, more for the club than for all, or a
    /// price beyond `i64`.
    ///
    /// # Properties
    /// Never rises with the total: a larger order is never dearer for a club. The prices of all
    /// clubs sum to the price of the total.
    pub fn goods_pence(&self, own_kg: i64, total_kg: i64) -> Result<i64, PriceError> {
        self.check_quantities(own_kg, total_kg)?;
        self.pence_of(own_kg, self.price_at(total_kg))
    }

    /// The next quantity at which the price falls, if there is one.
    ///
    /// # Properties
    /// Adding `missing_kg` to the total reaches the lower price; one pack less does not.
    #[must_use]
    pub fn next_break(&self, total_kg: i64) -> Option<NextBreak> {
        let price_pence = self.price_at(total_kg);
        let fall = self
            .falls
            .iter()
            .find(|fall| fall.from_kg > total_kg && fall.price_pence < price_pence)?;
        let missing_kg = fall.from_kg.checked_sub(total_kg)?;
        let short_of_a_pack_kg = missing_kg.checked_neg()?.rem_euclid(self.pack_kg);
        Some(NextBreak {
            from_kg: fall.from_kg,
            missing_kg: missing_kg.checked_add(short_of_a_pack_kg)?,
            price_pence: fall.price_pence,
        })
    }

    /// What the next fall of the price would save on a quantity as it stands, before VAT.
    ///
    /// Give a club's quantity for its saving, or the total twice for the saving of all.
    ///
    /// # Units
    /// Kilograms in, pence out; `None` if the price falls no further.
    ///
    /// # Errors
    /// As for [`goods_pence`](Self::goods_pence).
    pub fn saving_at_next_break_pence(
        &self,
        own_kg: i64,
        total_kg: i64,
    ) -> Result<Option<i64>, PriceError> {
        let now_pence = self.goods_pence(own_kg, total_kg)?;
        let Some(next) = self.next_break(total_kg) else {
            return Ok(None);
        };
        let then_pence = self.pence_of(own_kg, next.price_pence)?;
        Ok(Some(now_pence - then_pence))
    }

    fn check_quantities(&self, own_kg: i64, total_kg: i64) -> Result<(), PriceError> {
        if own_kg < 0 || total_kg < 0 {
            return Err(PriceError::QuantityNegative);
        }
        if own_kg > total_kg {
            return Err(PriceError::OwnAboveTotal);
        }
        if own_kg % self.pack_kg != 0 || total_kg % self.pack_kg != 0 {
            return Err(PriceError::NotWholePacks);
        }
        Ok(())
    }

    /// Exact, because whole packs cost whole pence.
    fn pence_of(&self, mass_kg: i64, price_pence: i64) -> Result<i64, PriceError> {
        let pence = i128::from(mass_kg) * i128::from(price_pence) / i128::from(self.unit_kg);
        i64::try_from(pence).map_err(|_| PriceError::TooLarge)
    }
}

fn check_price(price_pence: i64, unit_kg: i64, pack_kg: i64) -> Result<(), PriceError> {
    if price_pence <= 0 {
        return Err(PriceError::PriceNotPositive);
    }
    if i128::from(price_pence) * i128::from(pack_kg) % i128::from(unit_kg) != 0 {
        return Err(PriceError::PackNotWholePence);
    }
    Ok(())
}
