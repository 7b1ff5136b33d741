//! Attachments: manuals and photos. The bytes lie in a folder; a row says what they are.
//!
//! Promises: what a row names is there; what no row needs is removed in the end, whatever was interrupted when; a picture
//! is made anew, so that it tells nothing but what is to be seen; nothing is sent to another network, nor what belongs to
//! a club to another club. Does not know what a file is for: a slice that refers to one has a foreign key to the row.
//!
//! The order of steps is what keeps that: first a job is queued that looks again two days later, then the object is
//! written, then the row. The job removes a row that nothing refers to, which the database decides by its foreign keys,
//! and then the object of any row that is not there.

mod http;
mod keeping;
mod objects;
mod picture;
mod store;

use utoipa_actix_web::service_config::ServiceConfig;

pub use keeping::{NewFile, forget_soon, keep, look_again};
pub use objects::{Objects, open};
pub use store::{Attachment, MediaType, find_all};

/// The largest file taken, in bytes; `attachments_size` says the same.
pub const LARGEST_FILE: usize = 15 * 1024 * 1024;

/// The routes of this slice.
pub fn routes(config: &mut ServiceConfig) {
    config.service(http::upload_attachment).service(http::read_attachment);
}
