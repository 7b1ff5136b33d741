//! Who pays what of a pooled order.
//!
//! Promises shares that sum to the supplier's invoice, and that no club pays more than it would
//! have paid alone. Does not know carriage, discounts or what is paid already.

use super::{PriceError, PriceList, vat_pence_alone, vat_pence_of_invoice};
use crate::shares::largest_remainder;

/// One club's part of a price.
///
/// # Units
/// Pence.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Share {
    /// The goods before VAT.
    pub goods_pence: i64,
    /// The VAT on them.
    pub vat_pence: i64,
}

/// The invoice of a pooled order and every club's share of it.
///
/// # Properties
/// The shares stand in the order of the lines and sum to the invoice, goods and VAT each.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct OrderShares {
    /// The price of one unit that the total reached.
    pub price_pence: i64,
    /// The goods on the invoice, before VAT.
    pub goods_pence: i64,
    /// The VAT on the invoice.
    pub vat_pence: i64,
    /// What each line owes.
    pub shares: Vec<Share>,
}

/// What a club would pay if it ordered its quantity alone: its stated ceiling.
///
/// # Units
/// Kilograms and basis points in, pence out.
///
/// # Errors
/// As for [`PriceList::goods_pence`] and [`vat_pence_alone`].
pub fn stand_alone(list: &PriceList, own_kg: i64, vat_basis_points: i64) -> Result<Share, PriceError> {
    let goods_pence = list.goods_pence(own_kg, own_kg)?;
    Ok(Share { goods_pence, vat_pence: vat_pence_alone(goods_pence, vat_basis_points)? })
}

/// Splits a pooled order: goods at the price of the total, VAT by kilograms.
///
/// The odd pennies of VAT go to the largest remainders, on ties to the earlier line; sort the
/// lines by club id.
///
/// # Units
/// Kilograms and basis points in, pence out.
///
/// # Errors
/// A line that is negative or not whole packs, a total beyond `i64`, or a rate out of range.
///
/// # Properties
/// *The shares sum exactly.* Every line has the same price and whole packs cost whole pence, so
/// the goods sum without rounding; the VAT is split by largest remainders, which sum.
///
/// *No club pays more than its [`stand_alone`] price.* Its goods: the total is at least its own
/// quantity and prices do not rise with quantity. Its VAT: the invoice's VAT is at most
/// rate × goods, so the club's exact quota by kilograms is at most rate × its own goods q; largest
/// remainders give at most the quota rounded up, so at most q·rate rounded up; and alone it pays
/// the VAT on at least q, rounded up.
///
/// # Example
/// ```
/// use logistics::price_breaks::{PriceBreak, PriceList, share_order};
/// let seed = PriceList::parse(20, 20, vec![PriceBreak { from_kg: 0, price_pence: 8_999 }])?;
/// let order = share_order(&seed, 2_000, &[20, 40])?;
/// assert_eq!((order.goods_pence, order.vat_pence), (26_997, 5_399));
/// assert_eq!(order.shares.iter().map(|share| share.vat_pence).collect::<Vec<_>>(), [1_800, 3_599]);
/// # Ok::<(), logistics::price_breaks::PriceError>(())
/// ```
///
/// # Source
/// [VAT](crate::sources), [HARE](crate::sources)
pub fn share_order(list: &PriceList, vat_basis_points: i64, lines_kg: &[i64]) -> Result<OrderShares, PriceError> {
    let weights: Vec<u64> = lines_kg
        .iter()
        .map(|own_kg| u64::try_from(*own_kg).map_err(|_| PriceError::QuantityNegative))
        .collect::<Result<_, _>>()?;
    let total_kg =
        lines_kg.iter().try_fold(0i64, |sum, own_kg| sum.checked_add(*own_kg)).ok_or(PriceError::TooLarge)?;
    let goods_pence = list.goods_pence(total_kg, total_kg)?;
    let vat_pence = vat_pence_of_invoice(goods_pence, vat_basis_points)?;
    let vat_shares = largest_remainder(vat_pence, &weights)?;
    let shares = lines_kg
        .iter()
        .zip(vat_shares)
        .map(|(own_kg, vat_pence)| {
            let goods_pence = list.goods_pence(*own_kg, total_kg)?;
            Ok(Share { goods_pence, vat_pence })
        })
        .collect::<Result<_, PriceError>>()?;
    Ok(OrderShares { price_pence: list.price_at(total_kg), goods_pence, vat_pence, shares })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::price_breaks::PriceBreak;
    use proptest::prelude::*;

    fn sand() -> PriceList {
        let prices = [(0, 3_155), (20_000, 2_705), (28_000, 2_405)];
        let breaks = prices.into_iter().map(|(from_kg, price_pence)| PriceBreak { from_kg, price_pence }).collect();
        PriceList::parse(1_000, 1_000, breaks).unwrap()
    }

    #[test]
    fn three_clubs_share_a_full_load_of_sand() {
        let order = share_order(&sand(), 2_000, &[8_000, 9_000, 11_000]).unwrap();
        // 28 t at £24.05, and 20 % of £673.40 to the penny.
        assert_eq!((order.price_pence, order.goods_pence, order.vat_pence), (2_405, 67_340, 13_468));
        let goods: Vec<_> = order.shares.iter().map(|share| share.goods_pence).collect();
        assert_eq!(goods, [19_240, 21_645, 26_455]);
        let vat: Vec<_> = order.shares.iter().map(|share| share.vat_pence).collect();
        assert_eq!(vat, [3_848, 4_329, 5_291]);
    }

    #[test]
    fn the_odd_penny_of_vat_goes_to_the_earlier_line() {
        let bags = PriceList::parse(25, 25, vec![PriceBreak { from_kg: 25, price_pence: 1_999 }]).unwrap();
        let order = share_order(&bags, 2_000, &[25, 25]).unwrap();
        // 20 % of £39.98 is 799.6 p: 799 on the invoice, 400 and 399 for the clubs.
        assert_eq!(order.vat_pence, 799);
        let vat: Vec<_> = order.shares.iter().map(|share| share.vat_pence).collect();
        assert_eq!(vat, [400, 399]);
        assert_eq!(stand_alone(&bags, 25, 2_000).unwrap().vat_pence, 400);
    }

    #[test]
    fn a_club_that_wants_nothing_owes_nothing() {
        let order = share_order(&sand(), 2_000, &[0, 20_000]).unwrap();
        let nothing = Share { goods_pence: 0, vat_pence: 0 };
        assert_eq!(order.shares.first(), Some(&nothing));
    }

    #[test]
    fn an_order_without_lines_is_worth_nothing() {
        let order = share_order(&sand(), 2_000, &[]).unwrap();
        assert_eq!((order.goods_pence, order.vat_pence, order.shares.len()), (0, 0, 0));
    }

    #[test]
    fn lines_that_cannot_be_are_refused() {
        let of = |lines: &[i64]| share_order(&sand(), 2_000, lines);
        assert_eq!(of(&[1_000, -1_000]), Err(PriceError::QuantityNegative));
        assert_eq!(of(&[500, 500]), Err(PriceError::NotWholePacks));
        assert_eq!(of(&[i64::MAX, i64::MAX]), Err(PriceError::TooLarge));
        assert_eq!(share_order(&sand(), 10_001, &[1_000]), Err(PriceError::VatRateOutOfRange));
    }

    prop_compose! {
        /// A list whose pack is a whole number of units, so that any price gives whole pence.
        fn any_list()(
            unit_kg in prop_oneof![Just(1i64), Just(20), Just(25), Just(1_000)],
            units_per_pack in 1i64..4,
            steps in proptest::collection::vec((1i64..30, 0i64..400), 0..5),
            last_price in 1i64..9_000,
        ) -> PriceList {
            let pack_kg = unit_kg * units_per_pack;
            let mut price_pence = last_price + steps.iter().map(|step| step.1).sum::<i64>();
            let mut from_kg = 0;
            let mut breaks = vec![PriceBreak { from_kg, price_pence }];
            for (packs, fall) in steps {
                from_kg += packs * pack_kg + packs % 2;
                price_pence -= fall;
                breaks.push(PriceBreak { from_kg, price_pence });
            }
            PriceList::parse(unit_kg, pack_kg, breaks).unwrap()
        }
    }

    proptest! {
        #[test]
        fn shares_sum_to_the_invoice_and_nobody_pays_more_than_alone(
            list in any_list(),
            packs in proptest::collection::vec(0i64..60, 0..25),
            rate in prop_oneof![Just(0i64), Just(500), Just(2_000), 0i64..=10_000],
        ) {
            let lines: Vec<i64> = packs.iter().map(|packs| packs * list.pack_kg).collect();
            let order = share_order(&list, rate, &lines).unwrap();
            let sum_of = |part: fn(&Share) -> i64| order.shares.iter().map(part).sum::<i64>();
            prop_assert_eq!(sum_of(|share| share.goods_pence), order.goods_pence);
            prop_assert_eq!(sum_of(|share| share.vat_pence), order.vat_pence);
            for (own_kg, share) in lines.iter().zip(&order.shares) {
                let alone = stand_alone(&list, *own_kg, rate).unwrap();
                prop_assert!(share.goods_pence <= alone.goods_pence);
                prop_assert!(share.vat_pence <= alone.vat_pence);
            }
        }

        #[test]
        fn the_next_break_is_reached_by_what_is_missing_and_by_no_pack_less(
            list in any_list(),
            packs in 0i64..120,
        ) {
            let total_kg = packs * list.pack_kg;
            let price_pence = list.price_at(total_kg);
            let Some(next) = list.next_break(total_kg) else {
                prop_assert_eq!(price_pence, list.price_at(i64::MAX));
                return Ok(());
            };
            prop_assert!(next.missing_kg > 0 && next.missing_kg % list.pack_kg == 0);
            prop_assert!(next.price_pence < price_pence);
            prop_assert!(list.price_at(total_kg + next.missing_kg) <= next.price_pence);
            prop_assert_eq!(list.price_at(total_kg + next.missing_kg - list.pack_kg), price_pence);
            let saving = list.saving_at_next_break_pence(total_kg, total_kg).unwrap().unwrap();
            prop_assert!(saving >= 0 && (saving > 0) == (total_kg > 0));
        }
    }
}
