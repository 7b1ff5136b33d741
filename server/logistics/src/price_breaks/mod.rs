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
        Ok(Self { unit_kg, pack_kg, first_price_pence: first.price_pence, falls: falls.to_vec() })
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
        let fall = self.falls.iter().find(|fall| fall.from_kg > total_kg && fall.price_pence < price_pence)?;
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
    pub fn saving_at_next_break_pence(&self, own_kg: i64, total_kg: i64) -> Result<Option<i64>, PriceError> {
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

#[cfg(test)]
mod tests {
    use super::*;

    fn breaks(prices: &[(i64, i64)]) -> Vec<PriceBreak> {
        let each = |(from_kg, price_pence): &(i64, i64)| PriceBreak { from_kg: *from_kg, price_pence: *price_pence };
        prices.iter().map(each).collect()
    }

    fn sand() -> PriceList {
        let prices = [(0, 3_150), (20_000, 2_700), (28_000, 2_400)];
        PriceList::parse(1_000, 1_000, breaks(&prices)).unwrap()
    }

    #[test]
    fn the_price_holds_from_its_quantity_on() {
        for (total_kg, price_pence) in
            [(0, 3_150), (19_999, 3_150), (20_000, 2_700), (27_999, 2_700), (28_000, 2_400), (i64::MAX, 2_400)]
        {
            assert_eq!(sand().price_at(total_kg), price_pence, "{total_kg} kg");
        }
    }

    #[test]
    fn a_club_sees_what_the_next_break_lacks_and_saves() {
        let next = sand().next_break(17_000);
        assert_eq!(next, Some(NextBreak { from_kg: 20_000, missing_kg: 3_000, price_pence: 2_700 }));
        assert_eq!(sand().saving_at_next_break_pence(8_000, 17_000), Ok(Some(8 * 450)));
        assert_eq!(sand().saving_at_next_break_pence(17_000, 17_000), Ok(Some(17 * 450)));
        assert_eq!(sand().next_break(28_000), None);
        assert_eq!(sand().saving_at_next_break_pence(8_000, 28_000), Ok(None));
    }

    #[test]
    fn what_is_missing_is_whole_packs_even_where_the_break_is_not() {
        // Bags of 20 kg with a lower price from 250 kg: 12 bags are short, 13 are over.
        let seed = PriceList::parse(20, 20, breaks(&[(20, 9_000), (250, 8_000)])).unwrap();
        assert_eq!(seed.next_break(240).map(|next| next.missing_kg), Some(20));
        assert_eq!(seed.next_break(220).map(|next| next.missing_kg), Some(40));
        assert_eq!(seed.price_at(260), 8_000);
    }

    #[test]
    fn a_break_at_the_same_price_is_not_a_fall() {
        let list = PriceList::parse(1, 1, breaks(&[(0, 9), (10, 9), (20, 8)])).unwrap();
        assert_eq!(list.next_break(5).map(|next| next.from_kg), Some(20));
    }

    #[test]
    fn a_price_by_the_tonne_makes_whole_pence_of_a_bag() {
        // £450 a tonne in bags of 20 kg: £9 a bag.
        let feed = PriceList::parse(1_000, 20, breaks(&[(0, 45_000)])).unwrap();
        assert_eq!(feed.goods_pence(60, 60), Ok(2_700));
        let odd = PriceList::parse(1_000, 20, breaks(&[(0, 45_010)]));
        assert_eq!(odd, Err(PriceError::PackNotWholePence));
    }

    #[test]
    fn a_list_that_makes_no_sense_is_refused_by_name() {
        use PriceError::*;
        let list = |unit_kg, pack_kg, prices: &[(i64, i64)]| PriceList::parse(unit_kg, pack_kg, breaks(prices));
        assert_eq!(list(0, 1, &[(0, 1)]), Err(MassNotPositive));
        assert_eq!(list(1, -1, &[(0, 1)]), Err(MassNotPositive));
        assert_eq!(list(1, 1, &[]), Err(NoBreaks));
        assert_eq!(list(1, 1, &[(2, 1)]), Err(FirstBreakTooHigh));
        assert_eq!(list(1, 5, &[(-1, 1)]), Err(FirstBreakTooHigh));
        assert_eq!(list(1, 1, &[(0, 3), (5, 2), (5, 1)]), Err(QuantitiesNotRising));
        assert_eq!(list(1, 1, &[(0, 3), (5, 4)]), Err(PriceRises));
        assert_eq!(list(1, 1, &[(0, 0)]), Err(PriceNotPositive));
        assert_eq!(list(1, 1, &[(0, 3), (5, 0)]), Err(PriceNotPositive));
    }

    #[test]
    fn quantities_that_cannot_be_ordered_are_refused_by_name() {
        let list = sand();
        assert_eq!(list.goods_pence(-1_000, 0), Err(PriceError::QuantityNegative));
        assert_eq!(list.goods_pence(2_000, 1_000), Err(PriceError::OwnAboveTotal));
        assert_eq!(list.goods_pence(1_500, 2_000), Err(PriceError::NotWholePacks));
        let dear = PriceList::parse(1, 1, breaks(&[(0, i64::MAX)])).unwrap();
        assert_eq!(dear.goods_pence(2, 2), Err(PriceError::TooLarge));
    }
}
