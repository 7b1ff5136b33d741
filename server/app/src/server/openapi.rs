//! The OpenAPI document, gathered from the routes themselves, and the health check.

use actix_web::web::Json;
use actix_web::{App, HttpResponse, get};
use serde::Serialize;
use utoipa::openapi::path::{Operation, ParameterBuilder, ParameterIn};
use utoipa::openapi::schema::{KnownFormat, ObjectBuilder, SchemaFormat, Type};
use utoipa::openapi::{ComponentsBuilder, ContentBuilder, Info, OpenApi, Ref, RefOr, Required, ResponseBuilder};
use utoipa::{PartialSchema, ToSchema};
use utoipa_actix_web::AppExt;
use utoipa_actix_web::scope::scope;
use utoipa_actix_web::service_config::ServiceConfig;

use crate::error::{Code, Problem, ProblemField};

/// The routes of this file.
pub(super) fn routes(config: &mut ServiceConfig) {
    config.service(show_health).service(show_openapi);
}

/// Whether the process answers.
#[derive(Serialize, ToSchema)]
pub struct Health {
    /// Always `ok`.
    status: &'static str,
}

/// Whether the service answers
#[utoipa::path(tag = "service", responses((status = 200, body = Health)))]
#[get("/health")]
pub async fn show_health() -> Json<Health> {
    Json(Health { status: "ok" })
}

/// This document
#[utoipa::path(tag = "service", responses((status = 200, description = "OpenAPI 3.1")))]
#[get("/openapi.json")]
pub async fn show_openapi() -> HttpResponse {
    HttpResponse::Ok().json(document())
}

/// The document: every route with its types, and the problems any of them may answer.
#[must_use]
pub fn document() -> OpenApi {
    let (_, mut api) =
        App::new().into_utoipa_app().service(scope("/api/v1").configure(super::routes)).split_for_parts();
    api.info = Info::new("Turfring", env!("CARGO_PKG_VERSION"));
    api.info.description = Some(
        "Share machines, pool orders and compare pitches in a network of clubs. Errors are RFC 9457 problems; lists \
         are pages continued by cursor; a POST that must not happen twice takes an Idempotency-Key; what people edit \
         together carries an ETag and takes If-Match."
            .to_owned(),
    );
    let mut components = api.components.take().unwrap_or_else(|| ComponentsBuilder::new().build());
    components.schemas.insert("Problem".into(), Problem::schema());
    components.schemas.insert("ProblemField".into(), ProblemField::schema());
    components.schemas.insert("Code".into(), Code::schema());
    api.components = Some(components);
    for (path, item) in &mut api.paths.paths {
        for operation in [&mut item.get, &mut item.post, &mut item.put, &mut item.delete].into_iter().flatten() {
            add_path_parameters(path, operation);
            add_problem(operation);
        }
    }
    api
}

/// Declares what stands in the path: the generator reads tuples of path parameters, but not a single identifier.
fn add_path_parameters(path: &str, operation: &mut Operation) {
    let names = path.split('{').skip(1).filter_map(|part| part.split('}').next());
    let parameters = operation.parameters.get_or_insert_default();
    for name in names {
        if parameters.iter().any(|known| matches!(known, RefOr::T(known) if known.name == name)) {
            continue;
        }
        let schema = ObjectBuilder::new().schema_type(Type::String);
        let schema = if name.ends_with("_id") {
            schema.format(Some(SchemaFormat::KnownFormat(KnownFormat::Uuid)))
        } else {
            schema
        };
        let parameter = ParameterBuilder::new()
            .name(name)
            .parameter_in(ParameterIn::Path)
            .required(Required::True)
            .schema(Some(schema.build()));
        parameters.push(parameter.build().into());
    }
}

/// Any operation may be refused; the code says why.
fn add_problem(operation: &mut Operation) {
    let content = ContentBuilder::new().schema(Some(Ref::from_schema_name("Problem"))).build();
    let response = ResponseBuilder::new()
        .description("Refused, or failed: a problem whose code says why")
        .content("application/problem+json", content)
        .build();
    operation.responses.responses.insert("default".to_owned(), RefOr::T(response));
}
