//! Value added tax in whole pence.
//!
//! Promises the two roundings that make a shared order no dearer than ordering alone. Does not
//! know which rate a product carries.

use super::PriceError;

/// The whole price, in basis points.
const WHOLE_BASIS_POINTS: i64 = 10_000;

/// VAT of an invoice: rounded down to the penny, as a supplier may.
///
/// # Units
/// Pence; the rate in basis points, so 2000 for 20 %.
///
/// # Errors
/// A negative price, or a rate outside 0 to 10000.
///
/// # Example
/// ```
/// use logistics::price_breaks::vat_pence_of_invoice;
/// assert_eq!(vat_pence_of_invoice(10_004, 2_000)?, 2_000);
/// # Ok::<(), logistics::price_breaks::PriceError>(())
/// ```
///
/// # Source
/// [VAT](crate::sources)
pub fn vat_pence_of_invoice(goods_pence: i64, vat_basis_points: i64) -> Result<i64, PriceError> {
    let scaled = scaled_vat(goods_pence, vat_basis_points)?;
    in_pence(scaled / i128::from(WHOLE_BASIS_POINTS))
}

/// VAT that a club counts on when it states its price alone: rounded up to the penny.
///
/// # Units
/// As for [`vat_pence_of_invoice`].
///
/// # Errors
/// As for [`vat_pence_of_invoice`].
///
/// # Properties
/// At most one penny above the VAT of an invoice for the same price.
///
/// # Example
/// ```
/// use logistics::price_breaks::vat_pence_alone;
/// assert_eq!(vat_pence_alone(10_004, 2_000)?, 2_001);
/// # Ok::<(), logistics::price_breaks::PriceError>(())
/// ```
///
/// # Source
/// [HOUSE](crate::sources): it is a promise not to be exceeded, so it is rounded against us.
pub fn vat_pence_alone(goods_pence: i64, vat_basis_points: i64) -> Result<i64, PriceError> {
    let scaled = scaled_vat(goods_pence, vat_basis_points)?;
    let whole = i128::from(WHOLE_BASIS_POINTS);
    in_pence(scaled / whole + i128::from(scaled % whole > 0))
}

/// VAT in ten-thousandths of a penny.
fn scaled_vat(goods_pence: i64, vat_basis_points: i64) -> Result<i128, PriceError> {
    if goods_pence < 0 {
        return Err(PriceError::GoodsNegative);
    }
    if !(0..=WHOLE_BASIS_POINTS).contains(&vat_basis_points) {
        return Err(PriceError::VatRateOutOfRange);
    }
    Ok(i128::from(goods_pence) * i128::from(vat_basis_points))
}

fn in_pence(vat: i128) -> Result<i64, PriceError> {
    i64::try_from(vat).map_err(|_| PriceError::TooLarge)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn seed_without_vat_and_sand_with_a_fifth() {
        // c085: no VAT on grass seed, amenity mixtures included.
        assert_eq!(vat_pence_of_invoice(123_456, 0), Ok(0));
        assert_eq!(vat_pence_alone(123_456, 0), Ok(0));
        assert_eq!(vat_pence_of_invoice(123_456, 2_000), Ok(24_691));
        assert_eq!(vat_pence_alone(123_456, 2_000), Ok(24_692));
        assert_eq!(vat_pence_alone(10_000, 2_000), Ok(2_000));
    }

    #[test]
    fn impossible_rates_and_prices_are_refused() {
        for each in [vat_pence_of_invoice, vat_pence_alone] {
            assert_eq!(each(-1, 2_000), Err(PriceError::GoodsNegative));
            assert_eq!(each(1, -1), Err(PriceError::VatRateOutOfRange));
            assert_eq!(each(1, 10_001), Err(PriceError::VatRateOutOfRange));
            assert_eq!(each(i64::MAX, 10_000), Ok(i64::MAX));
        }
    }

    proptest! {
        #[test]
        fn the_two_roundings_enclose_the_exact_tax(
            goods_pence in 0i64..=i64::MAX,
            rate in 0i64..=10_000,
        ) {
            let exact = i128::from(goods_pence) * i128::from(rate);
            let down = vat_pence_of_invoice(goods_pence, rate).unwrap();
            let up = vat_pence_alone(goods_pence, rate).unwrap();
            prop_assert!(i128::from(down) * 10_000 <= exact && exact <= i128::from(up) * 10_000);
            prop_assert!((0..=1).contains(&(up - down)));
        }
    }
}
