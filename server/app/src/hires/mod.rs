//! Hires and the rounds they open: which machines travel when, and which clubs ask for a place.
//!
//! Promises: a hired machine is had by asking for a place, and while its round is open it cannot be booked past the
//! others (trigger `hired_time_gate`); requests change only until the deadline (trigger `round_requests_gate`), which
//! closes them by itself, once; what cannot be served at all is refused with the reason when it is asked. Does not plan:
//! who gets which day is no matter of this slice.

mod crews;
mod depot_roads;
mod facts;
mod http;
mod letters;
mod past;
mod preview;
mod request_view;
mod requests;
mod requests_http;
mod roads;
mod rounds;
mod steps;
mod store;
mod telling;
mod terms;
mod travel_http;
mod view;
mod words;
mod workload;

use utoipa_actix_web::service_config::ServiceConfig;

pub use crews::{ClubCrews, SayCrews, say_crews};
pub use depot_roads::{DepotRoad, correct_depot_road, corrected_depot_roads};
pub use facts::{PlaceFacts, RoundFacts, RoundMachineFacts, round_facts};
pub use past::{KeptRound, PastRound, record_past_round};
pub use preview::{PreviewRequest, PreviewedWork, RequestPreview};
pub use request_view::PlaceRequest;
pub use requests::{CreateRequest, RequestFacts, ask, change, withdraw};
pub use roads::{CorrectRoad, Road, RoadEnd, correct_road, forget_road};
pub use rounds::{add_hire, add_own_machine, alter_hire, alter_round, call_off, close_requests, open_round};
pub use steps::{HeldRound, hired_machines, hold_round, offers_on, set_offers_on, step_round, title_and_state};
pub use telling::{invite_to_round, remind_round};
pub use terms::{ChangeHire, CreateHire, HireCharges, OpenRound, RoundTerms};
pub use view::Round;
pub use words::{Grain, HauledBy, RequestState, RoundState, Tractor};

/// The routes of this slice.
pub fn routes(config: &mut ServiceConfig) {
    config
        .service(http::list_rounds)
        .service(http::open_round)
        .service(http::show_round)
        .service(http::change_round)
        .service(http::add_hire)
        .service(http::change_hire)
        .service(http::add_round_machine)
        .service(http::call_off_round)
        .service(requests_http::list_requests)
        .service(requests_http::ask_for_place)
        .service(requests_http::preview_request)
        .service(requests_http::show_request)
        .service(requests_http::change_request)
        .service(requests_http::withdraw_request)
        .service(travel_http::list_crews)
        .service(travel_http::say_crews)
        .service(travel_http::list_roads)
        .service(travel_http::correct_road)
        .service(travel_http::forget_road)
        .service(travel_http::list_depot_roads)
        .service(travel_http::correct_depot_road)
        .service(travel_http::forget_depot_road);
}
