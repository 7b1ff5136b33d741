//! ETags on what people edit together: who saves over a change they have not seen is told so (412), not obeyed.

use std::future::{Ready, ready};

use actix_web::dev::Payload;
use actix_web::http::header::{ETAG, IF_MATCH};
use actix_web::{FromRequest, HttpRequest, HttpResponse};
use serde::Serialize;
use utoipa::IntoParams;
use utoipa::openapi::path::{Parameter, ParameterIn};

use crate::error::{Code, Error, Refused, refuse};
use crate::wire::header_parameter;

/// The version the caller has seen, from `If-Match: "v3"`.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct IfMatch(pub i32);

impl IfMatch {
    /// The refusal when the row is no longer at this version.
    #[must_use]
    pub fn stale(self) -> Refused {
        refuse(Code::ChangedMeanwhile, "Load it again to see the change, then make yours. What you typed is kept.")
    }
}

impl IntoParams for IfMatch {
    fn into_params(_: impl Fn() -> Option<ParameterIn>) -> Vec<Parameter> {
        vec![header_parameter("If-Match", "The ETag last seen, such as \"v3\".")]
    }
}

impl FromRequest for IfMatch {
    type Error = Error;
    type Future = Ready<Result<Self, Error>>;

    fn from_request(request: &HttpRequest, _: &mut Payload) -> Self::Future {
        let header = request.headers().get(IF_MATCH).and_then(|value| value.to_str().ok());
        ready(match header {
            None => Err(refuse(Code::IfMatchMissing, "Send the ETag you were given as If-Match.").into()),
            Some(tag) => match tag.trim().trim_matches('"').strip_prefix('v').and_then(|number| number.parse().ok()) {
                Some(version) => Ok(Self(version)),
                None => Err(Self(0).stale().into()),
            },
        })
    }
}

/// A 200 answer that carries its version as an ETag.
#[must_use]
pub fn tagged(version: i32, body: &impl Serialize) -> HttpResponse {
    HttpResponse::Ok().insert_header((ETAG, format!("\"v{version}\""))).json(body)
}
