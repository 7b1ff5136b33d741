//! Suppliers and what they sell.
//!
//! Promises: a price is for one tonne or one bag of a stated mass, and a VAT rate is entered, never assumed. An order
//! keeps the mass and rate it was opened with; changing a product changes none of it. A supplier has no account.

mod http;
mod product;
mod store;
mod supplier;
mod words;

use utoipa_actix_web::service_config::ServiceConfig;

pub use product::{CreateProduct, Product, add_product, alter_product};
pub use supplier::{CreateSupplier, Supplier, add_supplier, alter_supplier};
pub use words::{ProductKind, SoldBy};

/// The routes of this slice.
pub fn routes(config: &mut ServiceConfig) {
    config
        .service(http::list_suppliers)
        .service(http::create_supplier)
        .service(http::show_supplier)
        .service(http::change_supplier)
        .service(http::list_products)
        .service(http::create_product)
        .service(http::show_product)
        .service(http::change_product);
}
