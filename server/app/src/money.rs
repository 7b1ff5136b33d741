//! Money as people read it. Amounts are whole pence everywhere else.

/// "£1,412.50".
#[must_use]
pub fn pounds(pence: i64) -> String {
    let sign = if pence < 0 { "−" } else { "" };
    let whole = (pence.unsigned_abs() / 100).to_string();
    let mut grouped = String::new();
    for (place, digit) in whole.chars().enumerate() {
        if place > 0 && (whole.len() - place).is_multiple_of(3) {
            grouped.push(',');
        }
        grouped.push(digit);
    }
    format!("{sign}£{grouped}.{:02}", pence.unsigned_abs() % 100)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn pounds_are_grouped_and_pence_are_two() {
        let read = [0, 5, 99_999, 141_250, 123_456_789, -100_000].map(pounds);
        assert_eq!(read, ["£0.00", "£0.05", "£999.99", "£1,412.50", "£1,234,567.89", "−£1,000.00"]);
    }
}
