//! Checks around every request.

use actix_web::body::MessageBody;
use actix_web::dev::{ServiceRequest, ServiceResponse};
use actix_web::http::header::{self, HeaderName, HeaderValue};
use actix_web::middleware::Next;
use actix_web::web::Data;

use crate::error::{Code, Error as Failure, refuse};
use crate::service::Service;

/// Refuses writes from other sites. Cookies travel with any request a browser makes, so a write must come from a page
/// of ours: its `Origin` is our public address or the host it was sent to. API clients with a bearer token send none.
pub(super) async fn check_origin(
    request: ServiceRequest,
    next: Next<impl MessageBody>,
) -> Result<ServiceResponse<impl MessageBody>, actix_web::Error> {
    let foreign = !request.method().is_safe() && !from_ours(&request);
    if foreign {
        return Err(
            Failure::from(refuse(Code::ForeignOrigin, "Open the page at its own address and try again.")).into()
        );
    }
    next.call(request).await
}

fn from_ours(request: &ServiceRequest) -> bool {
    let headers = request.headers();
    let Some(origin) = headers.get(header::ORIGIN).and_then(|value| value.to_str().ok()) else {
        // Browsers always send it on a write; without it and without cookies nothing can be ridden on.
        return headers.contains_key(header::AUTHORIZATION) || !headers.contains_key(header::COOKIE);
    };
    let public = request.app_data::<Data<Service>>().map(|service| service.config.public_url.clone());
    let host = headers.get(header::HOST).and_then(|value| value.to_str().ok());
    let origin_host = origin.split_once("://").map(|(_, host)| host);
    public.as_deref() == Some(origin) || (host.is_some() && origin_host == host)
}

/// What a page of ours may do in a browser: load its own parts and nothing else. The built page narrows scripts further,
/// to its own by hash; this header must let the one that starts it through.
const CONTENT_POLICY: &str = "default-src 'self'; img-src 'self' data: blob:; style-src 'self' 'unsafe-inline'; \
     script-src 'self' 'unsafe-inline'; object-src 'none'; base-uri 'self'; form-action 'self'; frame-ancestors 'none'";

/// Adds the headers every answer carries.
pub(super) async fn add_headers(
    request: ServiceRequest,
    next: Next<impl MessageBody>,
) -> Result<ServiceResponse<impl MessageBody>, actix_web::Error> {
    let of_api = request.path().starts_with("/api/");
    let mut response = next.call(request).await?;
    let headers = response.headers_mut();
    for (name, value) in [
        ("x-content-type-options", "nosniff"),
        ("referrer-policy", "same-origin"),
        ("content-security-policy", CONTENT_POLICY),
    ] {
        headers.insert(HeaderName::from_static(name), HeaderValue::from_static(value));
    }
    if of_api && !headers.contains_key(header::CACHE_CONTROL) {
        headers.insert(header::CACHE_CONTROL, HeaderValue::from_static("no-store"));
    }
    Ok(response)
}
