//! Handovers: a machine passes from club to club, signed; what is wrong with it; how it is looked after; who may
//! operate it.
//!
//! Promises: what was signed or told is never changed, only countered or cleared; an hour meter never runs back without a
//! reason; a handover sent again from a phone is signed once; while a fault takes a machine out of service nobody books it,
//! and every booking behind it keeps its place until the coordinator has decided. Does not know what anything costs.

mod care_http;
mod decisions;
mod faults;
mod hours;
mod http;
mod letters;
mod meter;
mod papers;
mod services;
mod signing;
mod store;
mod store_faults;
mod store_papers;
mod store_services;
mod view;
mod words;

use utoipa_actix_web::service_config::ServiceConfig;

pub use decisions::{DecideBooking, decide};
pub use faults::{ClearFault, CreateFault, clear_fault, tell_of_fault};
pub use hours::{HoursUsed, hours_used};
pub use papers::{
    CreateManual, CreateTraining, Manual, Training, TrainingRule, add_manual, note_training, remove_manual,
    set_training_rule, withdraw_training,
};
pub use services::{
    CreateService, CreateServiceDone, ServiceView, add_service, check_services, end_service, enter_service_done,
};
pub use signing::{CreateHandover, sign};
pub use store_faults::{out_of_service, undecided};
pub use view::{BookingHandovers, Fault, Handover, MachineCare};
pub use words::{Decision, Direction, ServiceStanding, Severity};

/// The routes of this slice.
pub fn routes(config: &mut ServiceConfig) {
    config
        .service(http::show_booking_handovers)
        .service(http::sign_handover)
        .service(http::tell_of_fault)
        .service(http::clear_fault)
        .service(http::decide_booking)
        .service(care_http::show_machine_care)
        .service(care_http::add_service)
        .service(care_http::end_service)
        .service(care_http::enter_service_done)
        .service(care_http::add_manual)
        .service(care_http::remove_manual)
        .service(care_http::set_training_rule)
        .service(care_http::note_training)
        .service(care_http::withdraw_training);
}
