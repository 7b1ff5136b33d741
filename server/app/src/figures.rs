//! Figures as people read them, in sentences and letters.

/// A whole number that is not negative, with its thousands apart: "1,234".
#[must_use]
pub fn grouped(number: i64) -> String {
    let (thousands, rest) = (number / 1_000, number % 1_000);
    if thousands == 0 { rest.to_string() } else { format!("{},{rest:03}", grouped(thousands)) }
}

/// Money that is not negative, from whole pence: "£1,412.50".
#[must_use]
pub fn pounds(pence: i64) -> String {
    format!("£{}.{:02}", grouped(pence / 100), pence % 100)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn thousands_stand_apart_and_pence_are_two() {
        assert_eq!([0, 999, 1_000, 1_000_001].map(grouped), ["0", "999", "1,000", "1,000,001"]);
        let read = [0, 5, 99_999, 141_250, 123_456_789].map(pounds);
        assert_eq!(read, ["£0.00", "£0.05", "£999.99", "£1,412.50", "£1,234,567.89"]);
    }
}
