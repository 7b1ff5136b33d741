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
pub fn stand_alone(
    list: &PriceList,
    own_kg: i64,
    vat_basis_points: i64,
) -> Result<Share, PriceError> {
    let goods_pence = list.goods_pence(own_kg, own_kg)?;
    Ok(Share {
        goods_pence,
        vat_pence: vat_pence_alone(goods_pence, vat_basis_points)?,
    })
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
pub fn share_order(
    list: &PriceList,
    vat_basis_points: i64,
    lines_kg: &[i64],
) -> Result<OrderShares, PriceError> {
    let weights: Vec<u64> = lines_kg
        .iter()
        .map(|own_kg| u64::try_from(*own_kg).map_err(|_| PriceError::QuantityNegative))
        .collect::<Result<_, _>>()?;
    let total_kg = lines_kg
        .iter()
        .try_fold(0i64, |sum, own_kg| sum.checked_add(*own_kg))
        .ok_or(PriceError::TooLarge)?;
    let goods_pence = list.goods_pence(total_kg, total_kg)?;
    let vat_pence = vat_pence_of_invoice(goods_pence, vat_basis_points)?;
    let vat_shares = largest_remainder(vat_pence, &weights)?;
    let shares = lines_kg
        .iter()
        .zip(vat_shares)
        .map(|(own_kg, vat_pence)| {
            let goods_pence = list.goods_pence(*own_kg, total_kg)?;
            Ok(Share {
                goods_pence,
                vat_pence,
            })
        })
        .collect::<Result<_, PriceError>>()?;
    Ok(OrderShares {
        price_pence: list.price_at(total_kg),
        goods_pence,
        vat_pence,
        shares,
    })
}
