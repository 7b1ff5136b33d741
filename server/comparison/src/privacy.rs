//! When a comparison may be shown.
//!
//! Promises that no comparison is drawn from so few others that one of them could be told. Does
//! not know who they are; the caller leaves the asking club's own pitches out of the count.

/// The fewest pitches of other clubs that a comparison may rest on.
///
/// # Source
/// [PRACTICE](crate::sources)
pub const FEWEST_OTHERS: usize = 5;

/// Whether a comparison may be shown with this many others in it.
///
/// # Example
/// ```
/// use comparison::privacy::enough_others;
/// assert!(enough_others(5) && !enough_others(4));
/// ```
#[must_use]
pub fn enough_others(others: usize) -> bool {
    others >= FEWEST_OTHERS
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_comparison_with_too_few_others_is_withheld() {
        assert!(!enough_others(0));
        assert!(!enough_others(FEWEST_OTHERS - 1));
        assert!(enough_others(FEWEST_OTHERS));
    }
}
