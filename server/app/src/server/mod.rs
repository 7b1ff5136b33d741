//! The HTTP server: the whole URL tree, the checks around it, and the front end's files.

mod guards;
mod openapi;

use std::path::Path;

use actix_files::{Files, NamedFile};
use actix_web::dev::{Server, ServiceRequest, ServiceResponse, fn_service};
use actix_web::middleware::{Compress, from_fn};
use actix_web::web::{Data, JsonConfig, PathConfig, QueryConfig};
use actix_web::{App, HttpServer, web};
use anyhow::Context;
use utoipa_actix_web::AppExt;
use utoipa_actix_web::scope::scope;
use utoipa_actix_web::service_config::ServiceConfig;

pub use openapi::document;

use crate::error::{not_found, unreadable};
use crate::service::Service;

/// The largest body taken, in bytes: an import of a whole region is well below.
const LARGEST_BODY: usize = 4 * 1024 * 1024;

/// Everything under `/api/v1`, slice by slice.
fn routes(config: &mut ServiceConfig) {
    config
        .configure(openapi::routes)
        .configure(crate::access::routes)
        .configure(crate::network::routes)
        .configure(crate::clubs::routes)
        .configure(crate::closures::routes)
        .configure(crate::suppliers::routes)
        .configure(crate::machines::routes)
        .configure(crate::bookings::routes)
        .configure(crate::hires::routes)
        .configure(crate::turns::routes)
        .configure(crate::rounds::routes)
        .configure(crate::offers::routes)
        .configure(crate::replans::routes)
        .configure(crate::attachments::routes)
        .configure(crate::handovers::routes)
        .configure(crate::orders::routes)
        .configure(crate::hire_shares::routes)
        .configure(crate::worth::routes)
        .configure(crate::walks::routes)
        .configure(crate::mail::routes);
}

/// A server that is bound and ready to be awaited. It leaves signals to the command that runs it.
pub struct Bound {
    /// Await it to serve.
    pub server: Server,
    /// The port it listens on; the one asked for, or a free one for port 0.
    pub port: u16,
}

/// Binds the address of the configuration.
///
/// # Errors
/// The address is taken or cannot be read.
pub fn bind(service: &Service, workers: usize) -> anyhow::Result<Bound> {
    let listen = service.config.listen.clone();
    let service = Data::new(service.clone());
    let server = HttpServer::new(move || {
        let web = service.config.web.clone();
        let (app, _) = App::new()
            .into_utoipa_app()
            .app_data(service.clone())
            .app_data(JsonConfig::default().limit(LARGEST_BODY).content_type_required(false).error_handler(unreadable))
            .app_data(QueryConfig::default().error_handler(unreadable))
            .app_data(PathConfig::default().error_handler(unreadable))
            .service(scope("/api/v1").configure(routes))
            .split_for_parts();
        app.service(crate::bookings::show_calendar)
            .configure(move |config| front_end(config, web.as_deref()))
            .wrap(Compress::default())
            .wrap(from_fn(guards::check_origin))
            .wrap(from_fn(guards::add_headers))
            .wrap(tracing_actix_web::TracingLogger::default())
    })
    .workers(workers)
    .shutdown_timeout(5)
    .disable_signals()
    .bind(&listen)
    .with_context(|| format!("cannot listen on {listen}; is the port taken?"))?;
    let port = server.addrs().first().map_or(0, |address| address.port());
    Ok(Bound { server: server.run(), port })
}

/// The built front end: its files, and for every other path its one page. Unknown API paths are problems.
fn front_end(config: &mut web::ServiceConfig, folder: Option<&Path>) {
    config.service(web::scope("/api/v1").default_service(web::to(nothing_here)));
    let Some(folder) = folder.filter(|folder| folder.join("index.html").exists()) else {
        config.default_service(web::to(nothing_here));
        return;
    };
    let page = folder.join("index.html");
    config.service(Files::new("/", folder).index_file("index.html").prefer_utf8(true).default_handler(fn_service(
        move |request: ServiceRequest| {
            let page = page.clone();
            async move {
                let (request, _) = request.into_parts();
                let response = NamedFile::open(page)?.into_response(&request);
                Ok(ServiceResponse::new(request, response))
            }
        },
    )));
}

async fn nothing_here() -> crate::error::Result<actix_web::HttpResponse> {
    Err(not_found().into())
}
