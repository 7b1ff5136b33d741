//! What every slice needs to speak HTTP the same way: pages, versions (ETags), requests that happen once.

mod once;
mod paging;
mod versions;

pub use once::{Claim, OnceKey, Ticket};
pub use paging::{Page, PageQuery};
pub use versions::{IfMatch, tagged};
