//! The rules by which a hire can be shared.

use crate::words::words;

words! {
    /// How the total of a hire is shared among the clubs.
    ShareRule {
        /// In proportion to what each would pay alone: all save the same per cent.
        EqualDiscount = "equal_discount",
        /// In proportion to the minutes worked.
        ByHours = "by_hours",
        /// What each adds to the clubs before it, averaged over every order; at most 12 clubs.
        Shapley = "shapley",
    }
}
