//! What a hire costs each club: expected before anyone confirms, entered when the supplier's invoice is there.
//!
//! Promises: shares and what the fund carries sum to the hire to the penny; no club is charged more than it would pay
//! hiring alone for its days (`hire_shares_not_above_alone`); where the hire is too empty for that, the shortfall is
//! told before anything is entered; what is entered is countered or settled, never changed; hours are those of the hour
//! meter where both handovers are signed. How a bill is reckoned and split `logistics::hire_costs` knows. Does not know which club has paid, nor how a round is planned.

mod entering;
mod expected;
mod facts;
mod http;
mod letters;
mod owing;
mod pace;
mod reckoning;
mod settling;
mod stays;
mod store;
mod view;
mod words;
mod worked;

use utoipa_actix_web::service_config::ServiceConfig;

pub use entering::{EnterHireShares, enter_shares};
pub use expected::{ExpectedHire, ExpectedShare, expected_of_plan};
pub use owing::{Charged, Charges, OpenHire, OpenShare, charged, open_hires, open_shares};
pub use pace::Pace;
pub use settling::{SettleHire, settle};
pub use view::HireCosts;
pub use words::ShareRule;
pub use worked::{SignedHours, Worked};

/// The routes of this slice.
pub fn routes(config: &mut ServiceConfig) {
    config
        .service(http::show_hire_costs)
        .service(http::show_plan_costs)
        .service(http::enter_hire_shares)
        .service(http::settle_hire)
        .service(http::list_hire_shares);
}
