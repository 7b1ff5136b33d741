//! The words that describe products.

use crate::words::words;

words! {
    /// What kind of thing a product is.
    ProductKind {
        /// Sand and other topdressing.
        Sand = "sand",
        /// Grass seed.
        Seed = "seed",
        /// Feed.
        Feed = "feed",
        /// Something else.
        Other = "other",
    }

    /// What a price is for.
    SoldBy {
        /// A tonne, 1,000 kg.
        Tonne = "tonne",
        /// A bag.
        Bag = "bag",
    }
}
