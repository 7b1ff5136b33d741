//! What every slice needs to speak HTTP the same way: pages, versions (ETags), requests that happen once.

mod once;
mod paging;
mod versions;

use utoipa::openapi::Required;
use utoipa::openapi::path::{Parameter, ParameterBuilder, ParameterIn};
use utoipa::openapi::schema::{ObjectBuilder, Type};

pub use once::{Claim, OnceKey, Ticket};
pub use paging::{Page, PageQuery};
pub use versions::{IfMatch, tagged};

/// How a header that a request must carry stands in the OpenAPI document.
fn header_parameter(name: &str, words: &str) -> Parameter {
    ParameterBuilder::new()
        .name(name)
        .parameter_in(ParameterIn::Header)
        .required(Required::True)
        .description(Some(words))
        .schema(Some(ObjectBuilder::new().schema_type(Type::String).build()))
        .build()
}
