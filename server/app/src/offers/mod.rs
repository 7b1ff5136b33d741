//! Offers: a planned round is put to its clubs, they answer, and what is accepted is booked.
//!
//! Promises: a plan that is out of date is not offered; a club answers until the date, once one way and for good; the
//! bookings of all who accepted are made in one transaction or none is, and then everybody is told which place could
//! not be had and why; nobody who accepted is moved without a new offer. A place that is declined, or not answered in
//! time, is offered to the next best where the round says so. Whoever changes anything here holds the round first, so
//! that answers, the date and two coordinators come one after another. Does not know how a plan is made.

mod agreeing;
mod answering;
mod http;
mod letters;
mod offering;
mod post;
mod refilling;
mod reminding;
mod replacing;
mod settling;
mod store;
mod view;
mod words;

use utoipa_actix_web::service_config::ServiceConfig;

pub use agreeing::agree_round;
pub use answering::{AnswerOffer, answer_offer};
pub use offering::{OfferPlan, TakeBack, offer_plan, take_back_offers};
pub use refilling::offer_refill;
pub use reminding::remind_clubs;
pub use replacing::{PlaceGiven, replace_booked};
pub use settling::settle_round;
pub use view::{OfferedPlace, PlanToOffer, RoundOffers};
pub use words::OfferState;

/// The routes of this slice.
pub fn routes(config: &mut ServiceConfig) {
    config
        .service(http::list_round_offers)
        .service(http::offer_plan)
        .service(http::remind_round_offers)
        .service(http::take_back_round_offers)
        .service(http::show_offered_place)
        .service(http::answer_offered_place)
        .service(http::agree_round);
}
