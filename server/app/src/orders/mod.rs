//! Pooled orders: one joint purchase, from opening to settling.
//!
//! Promises: lines change only while the order gathers; it closes at its time by itself, once, whoever runs the queue;
//! at closing each club's share is entered and never changed; the shares sum to the invoice to the penny, and no club
//! pays more than it would alone. What a price, a share or a state is, `logistics` knows; whether a line comes in time,
//! the trigger `order_lines_gate` decides. Knows nothing of lorries, drops or payment.

mod amounts;
mod closing;
mod gathering;
mod http;
mod letters;
mod reckoning;
mod shares_http;
mod steps;
mod store;
mod terms;
mod view;
mod words;

use utoipa_actix_web::service_config::ServiceConfig;

pub use closing::{close, remind};
pub use gathering::{alter_order, open_order, set_line, show_order, take_line_back};
pub use steps::{TakeStep, take_step};
pub use terms::CreateOrder;
pub use view::{PooledOrder, PriceBreak};
pub use words::{OrderState, OrderStep};

/// The routes of this slice.
pub fn routes(config: &mut ServiceConfig) {
    config
        .service(http::list_pooled_orders)
        .service(http::open_pooled_order)
        .service(http::show_pooled_order)
        .service(http::change_pooled_order)
        .service(http::set_order_line)
        .service(http::take_order_line_back)
        .service(http::take_order_step)
        .service(shares_http::list_shares);
}
