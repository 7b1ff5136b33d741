//! Buying a machine instead of hiring it: the numbers, not the advice.
//!
//! Promises estimates by published formulas for one kind of machine: those that work the soil. Knows nothing of
//! loans, grants, storage, insurance or who would look after it; says nothing where there is nothing to save.
//!
//! # Source
//! [ASABE](crate::sources)

/// Constants of the value left of a tillage implement: `(C1 − C2 √years)²` of its price.
const VALUE_C1: f64 = 0.738;
const VALUE_C2: f64 = 0.051;

/// Constants of repairs of a subsoiler so far: `RF1 (hours ÷ 1000)^RF2` of its price.
const REPAIR_RF1: f64 = 0.28;
const REPAIR_RF2: f64 = 1.4;

/// Hours after which the repair formula no longer holds: the machine is worn out.
pub const LIFE_HOURS: f64 = 2_000.0;

/// A machine that might be bought.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Purchase {
    /// What it costs, pence.
    pub price_pence: i64,
    /// What hiring costs in a year, pence.
    pub hire_pence_per_year: i64,
    /// How long it would work in a year.
    pub hours_per_year: f64,
    /// Years it would be kept.
    pub years: u32,
}

/// What buying would mean.
///
/// # Units
/// Pence.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Outlook {
    /// Value left after the years.
    pub value_left_pence: i64,
    /// Repairs over the years together.
    pub repairs_pence: i64,
    /// What it loses in value and needs in repairs, for one year.
    pub owning_pence_per_year: i64,
    /// Years until the hire saved, less repairs, has paid the price; `None` where repairs eat all that is saved.
    pub years_to_pay_back: Option<f64>,
    /// Whether it would be worn out before the years are over.
    pub worn_out_before: bool,
}

/// Share of its price that a tillage implement still fetches after some years.
///
/// # Properties
/// From 0.54 for a new one downwards, never below 0.
///
/// # Example
/// ```
/// // The printed table says 33 % after ten years.
/// assert!((logistics::buying::value_left(10) - 0.33).abs() < 0.006);
/// ```
#[must_use]
pub fn value_left(years: u32) -> f64 {
    (VALUE_C1 - VALUE_C2 * f64::from(years).sqrt()).max(0.0).powi(2)
}

/// Share of its price that repairs of a subsoiler come to after so many hours altogether.
#[must_use]
pub fn repairs_so_far(hours: f64) -> f64 {
    REPAIR_RF1 * (hours.max(0.0) / 1_000.0).powf(REPAIR_RF2)
}

impl Purchase {
    /// Works out what buying would mean; `None` without price, years or hours.
    #[must_use]
    pub fn outlook(&self) -> Option<Outlook> {
        if self.price_pence <= 0 || self.years == 0 || self.hours_per_year <= 0.0 || self.hire_pence_per_year < 0 {
            return None;
        }
        let hours = self.hours_per_year * f64::from(self.years);
        let price = pence(self.price_pence);
        let (left, repairs) = (price * value_left(self.years), price * repairs_so_far(hours));
        let saved_per_year = pence(self.hire_pence_per_year) - repairs / f64::from(self.years);
        Some(Outlook {
            value_left_pence: whole(left),
            repairs_pence: whole(repairs),
            owning_pence_per_year: whole((price - left + repairs) / f64::from(self.years)),
            years_to_pay_back: (saved_per_year > 0.0).then(|| price / saved_per_year),
            worn_out_before: hours > LIFE_HOURS,
        })
    }
}

/// Pence for a hectare, to the nearest penny; `None` where no ground was worked.
///
/// # Example
/// ```
/// use logistics::buying::pence_per_ha;
/// assert_eq!(pence_per_ha(21_700, 14_000), Some(15_500));
/// assert_eq!(pence_per_ha(21_700, 0), None);
/// ```
#[must_use]
pub fn pence_per_ha(pence: i64, area_m2: i64) -> Option<i64> {
    let (pence, area) = (i128::from(pence), i128::from(area_m2));
    if pence < 0 || area <= 0 {
        return None;
    }
    i64::try_from((2 * pence * 10_000 + area) / (2 * area)).ok()
}

#[expect(clippy::as_conversions, reason = "i64 has no From to f64; exact below 90 million million pounds")]
fn pence(pence: i64) -> f64 {
    pence as f64
}

#[expect(clippy::as_conversions, reason = "rounded first; beyond i64 it stays at the end, as estimates may")]
fn whole(pence: f64) -> i64 {
    pence.round() as i64
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn value_left_is_that_of_the_printed_table() {
        // b032: extension table of remaining values, plough, after 10, 12 and 15 years.
        for (years, percent) in [(10, 33.0), (12, 32.0), (15, 29.0)] {
            assert!((100.0 * value_left(years) - percent).abs() <= 0.6, "{years}");
        }
    }

    #[test]
    fn repairs_of_a_life_are_those_of_the_printed_constants() {
        // b047: subsoiler, 2000 hours.
        assert!((repairs_so_far(LIFE_HOURS) - 0.739).abs() < 0.002);
    }

    #[test]
    fn buying_pays_back_what_hire_saves_less_repairs() {
        let purchase =
            Purchase { price_pence: 1_000_000, hire_pence_per_year: 120_000, hours_per_year: 100.0, years: 10 };
        let outlook = purchase.outlook().unwrap();
        // 1000 hours: repairs are 28 % of the price, 28,000p a year; 1,000,000 ÷ (120,000 − 28,000).
        assert_eq!(outlook.repairs_pence, 280_000);
        assert!((outlook.years_to_pay_back.unwrap() - 10.869_565).abs() < 1e-6);
        assert_eq!(outlook.owning_pence_per_year, (1_000_000 - outlook.value_left_pence + 280_000) / 10);
        assert!(!outlook.worn_out_before);
    }

    #[test]
    fn nothing_is_said_where_nothing_is_known_or_saved() {
        let purchase = Purchase { price_pence: 0, hire_pence_per_year: 1, hours_per_year: 1.0, years: 1 };
        assert_eq!(purchase.outlook(), None);
        assert_eq!(Purchase { price_pence: 1, hours_per_year: 0.0, ..purchase }.outlook(), None);
        let poor = Purchase { price_pence: 1_000_000, hire_pence_per_year: 0, hours_per_year: 10.0, years: 5 };
        assert_eq!(poor.outlook().unwrap().years_to_pay_back, None);
    }
}
