//! Machines: what is shared, when it can be booked, for how long, by whom, at what charge, and what of it is free.
//!
//! Promises: a span is always whole half-days; what is proposed is free, within an availability, clear of the handover
//! of its neighbours and never past; the board takes the same few queries however many machines there are. It reads
//! bookings and the hires of open rounds to know what is held, but does not know how they are made.

mod board_http;
mod facts;
mod http;
mod reckoning;
mod reckoning_http;
mod span;
mod store;
mod terms;
mod timetable;
mod upkeep;
mod words;

use utoipa_actix_web::service_config::ServiceConfig;

pub use board_http::{Board, BoardBooking, BoardMachine, BoardRound};
pub use facts::{MachineEntry, MachineFacts};
pub use reckoning::{Charge, ChargePart, ChargeWhat, FieldWork, PitchHours, Proposal, Reckoning, field_work};
pub use span::{Span, StoredSpan, date_parse, half_day_of};
pub use store::pitches_of;
pub use terms::Terms;
pub use timetable::Timetable;
pub use upkeep::{Availability, Machine, add_availability, add_machine, change_machine, remove_availability};
pub use words::{HoldState, Linkage, MachineKind, WhoMayBook};

/// The routes of this slice.
pub fn routes(config: &mut ServiceConfig) {
    config
        .service(http::list_machines)
        .service(http::create_machine)
        .service(http::show_machine)
        .service(http::change_machine)
        .service(http::add_availability)
        .service(http::remove_availability)
        .service(reckoning_http::reckon_job)
        .service(reckoning_http::show_charge)
        .service(board_http::show_board);
}
