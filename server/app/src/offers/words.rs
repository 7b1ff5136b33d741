//! The words of offers.

use crate::words::words;

words! {
    /// Where an offered place stands.
    OfferState {
        /// The club has not answered.
        Offered = "offered",
        /// The club takes it.
        Accepted = "accepted",
        /// The club does not want it; it is offered on.
        Declined = "declined",
        /// Nobody answered in time; it is offered on.
        Lapsed = "lapsed",
        /// It has become a booking.
        Booked = "booked",
        /// The coordinator took it back.
        Withdrawn = "withdrawn",
    }
}
