//! The sources that the rest of this crate names, once.
//!
//! | key | source |
//! |---|---|
//! | EP496 | ASABE EP496, *Agricultural Machinery Management*; its equations were read in extension copies |
//! | LAW1 | World Rugby, *Laws of the Game*, Law 1 (the ground) |
//! | GEOMETRY | plane geometry, no outside figure |
//! | PRACTICE | common practice, no source: never a proof, and labelled wherever a user sees it |
