//! Clubs, their grounds and pitches: who takes part, and on what turf.
//!
//! Promises: what is kept makes sense (a place on the Earth, a pitch of a size that exists), names are unique where
//! people tell things apart by them, and nobody saves over a change they have not seen. An import adds
//! all of a file or nothing. Knows nothing of machines
//! and orders; of walks only the newest score of a pitch.

mod club;
mod ground;
mod http;
mod import;
mod import_http;
mod pitch;
mod store;
mod words;

use utoipa_actix_web::service_config::ServiceConfig;

pub use club::{Club, CreateClub, add_club, alter_club};
pub use ground::{CreateGround, Ground, add_ground, alter_ground};
pub use import::{CreateImport, ImportFault, ImportReport, import_places};
pub use pitch::{CreatePitch, LatestScore, Pitch, PitchOnGround, add_pitch, alter_pitch};
pub use words::{Drainage, LorryAccess, Sharing, Soil, Sport};

/// The routes of this slice.
pub fn routes(config: &mut ServiceConfig) {
    config
        .service(http::list_clubs)
        .service(http::create_club)
        .service(http::show_club)
        .service(http::change_club)
        .service(http::list_grounds)
        .service(http::create_ground)
        .service(http::show_ground)
        .service(http::change_ground)
        .service(http::list_pitches)
        .service(http::create_pitch)
        .service(http::show_pitch)
        .service(http::change_pitch)
        .service(import_http::create_import);
}
