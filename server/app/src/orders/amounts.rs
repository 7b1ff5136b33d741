//! Quantities and rates as people say them, for letters.

use super::store::WholeOrder;
use crate::figures::grouped;
use crate::suppliers::SoldBy;

/// How quantities of a product are said: in tonnes, or in bags of a mass.
#[derive(Clone, Copy)]
pub(super) struct Measure {
    sold_by: SoldBy,
    unit_kg: i64,
}

impl Measure {
    /// How an order is measured.
    pub(super) fn of(whole: &WholeOrder) -> Self {
        Self { sold_by: whole.product.sold_by, unit_kg: whole.order.unit_kg }
    }

    /// "28.5 t"; "9 bags".
    pub(super) fn amount(self, kg: i64) -> String {
        match self.sold_by {
            SoldBy::Tonne => format!("{} t", decimal(kg, 1_000)),
            SoldBy::Bag if kg % self.unit_kg != 0 => format!("{} kg", grouped(kg)),
            SoldBy::Bag if kg == self.unit_kg => "1 bag".to_owned(),
            SoldBy::Bag => format!("{} bags", grouped(kg / self.unit_kg)),
        }
    }

    /// What a price is for: "tonne"; "bag of 20 kg".
    pub(super) fn unit(self) -> String {
        match self.sold_by {
            SoldBy::Tonne => "tonne".to_owned(),
            SoldBy::Bag => format!("bag of {} kg", self.unit_kg),
        }
    }
}

/// "20 %"; "17.5 %".
pub(super) fn per_cent(basis_points: i32) -> String {
    format!("{} %", decimal(i64::from(basis_points), 100))
}

/// "1 club"; "12 clubs".
pub(super) fn clubs(count: usize) -> String {
    if count == 1 { "1 club".to_owned() } else { format!("{count} clubs") }
}

/// A count of parts as a decimal without idle zeros: 28500 thousandths are "28.5".
fn decimal(count: i64, parts: i64) -> String {
    let digits = parts.ilog10().try_into().unwrap_or_default();
    let fraction = format!("{:0digits$}", count % parts);
    match fraction.trim_end_matches('0') {
        "" => grouped(count / parts),
        fraction => format!("{}.{fraction}", grouped(count / parts)),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_read_as_people_write_them() {
        let sand = Measure { sold_by: SoldBy::Tonne, unit_kg: 1_000 };
        let said = [0, 1_000, 28_500, 28_050, 1_234_000].map(|kg| sand.amount(kg));
        assert_eq!(said, ["0 t", "1 t", "28.5 t", "28.05 t", "1,234 t"]);
        let seed = Measure { sold_by: SoldBy::Bag, unit_kg: 20 };
        assert_eq!([20, 180, 190, 30_000].map(|kg| seed.amount(kg)), ["1 bag", "9 bags", "190 kg", "1,500 bags"]);
        assert_eq!((sand.unit().as_str(), seed.unit().as_str()), ("tonne", "bag of 20 kg"));
        assert_eq!([0, 2_000, 1_750, 5].map(per_cent), ["0 %", "20 %", "17.5 %", "0.05 %"]);
        assert_eq!([1, 2].map(clubs), ["1 club", "2 clubs"]);
    }
}
