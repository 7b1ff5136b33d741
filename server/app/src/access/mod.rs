//! Access: accounts, sign-in, sessions, invitations, and who may do what.
//!
//! Promises: nobody learns whether an address has an account; a session ends everywhere at once; a refresh token
//! that is used twice ends its session; every request enters a network only as a member of it. Knows nothing of
//! machines, orders or walks.

mod caller;
mod http;
mod invitations;
mod invitations_http;
mod letters;
mod passwords;
mod recipients;
mod resets_http;
mod roles;
mod sessions;
mod store;
mod throttle;
pub mod tokens;

use utoipa_actix_web::service_config::ServiceConfig;

pub use caller::{Caller, enter};
pub use http::{Me, SignedIn};
pub use invitations::{Offer, invite};
pub use passwords::Password;
pub use recipients::{Recipient, addresses, recipients};
pub use roles::{Act, Member, Reach, Role, reach};
pub use store::{email_parse, find_or_make_person, make_member};

/// The routes of this slice.
pub fn routes(config: &mut ServiceConfig) {
    config
        .service(http::sign_in)
        .service(http::refresh_session)
        .service(http::sign_out)
        .service(http::sign_out_everywhere)
        .service(http::show_me)
        .service(http::change_password)
        .service(resets_http::ask_password_reset)
        .service(resets_http::set_password)
        .service(invitations_http::show_invitation)
        .service(invitations_http::accept_invitation)
        .service(invitations_http::list_invitations)
        .service(invitations_http::create_invitation)
        .service(invitations_http::withdraw_invitation);
}
