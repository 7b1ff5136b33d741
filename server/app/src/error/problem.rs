//! The wire form of an error: RFC 9457 `application/problem+json`.

use actix_web::http::{StatusCode, header};
use actix_web::{HttpRequest, HttpResponse, ResponseError};
use serde::Serialize;
use serde_json::{Map, Value};
use utoipa::ToSchema;

use super::{Code, Error, Refused, refuse};

/// A problem as answered (RFC 9457). Further members, such as `free`, may follow.
#[derive(Debug, Serialize, ToSchema)]
pub struct Problem {
    /// A URI reference that names the kind of problem.
    #[serde(rename = "type")]
    #[schema(example = "/problems/machine_taken")]
    pub kind: String,
    /// The same for every occurrence of the code.
    pub title: String,
    /// HTTP status.
    pub status: u16,
    /// Plain words about this occurrence.
    pub detail: String,
    /// The stable reason.
    pub code: Code,
    /// The fields concerned.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub errors: Vec<ProblemField>,
    /// Finds this answer in the server's log.
    pub request_id: String,
    /// Members by code: `free` (spans, with machine_taken), `faults` (lines, with import_faults).
    #[serde(flatten)]
    #[schema(ignore)]
    pub extensions: Map<String, Value>,
}

/// One field of a form and what is wrong with it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct ProblemField {
    /// Its name in the request body, dotted where nested.
    pub field: String,
    /// Plain words.
    pub detail: String,
}

impl ResponseError for Error {
    fn status_code(&self) -> StatusCode {
        match self {
            Self::Refused(refused) => refused.code.status(),
            Self::Internal(_) => StatusCode::INTERNAL_SERVER_ERROR,
        }
    }

    fn error_response(&self) -> HttpResponse {
        let request_id = uuid::Uuid::now_v7().to_string();
        let refused = match self {
            Self::Refused(refused) => (**refused).clone(),
            Self::Internal(cause) => {
                tracing::error!(%request_id, "{cause:?}");
                refuse(Code::Internal, "It has been written down. Please try again in a moment.")
            }
        };
        respond(refused, request_id)
    }
}

fn respond(refused: Refused, request_id: String) -> HttpResponse {
    let mut response = HttpResponse::build(refused.code.status());
    if refused.code == Code::SlowDown {
        response.insert_header((header::RETRY_AFTER, "60"));
    }
    let code = serde_json::to_value(refused.code).unwrap_or_default();
    let problem = Problem {
        kind: format!("/problems/{}", code.as_str().unwrap_or_default()),
        title: refused.code.title().to_owned(),
        status: refused.code.status().as_u16(),
        detail: refused.detail,
        code: refused.code,
        errors: refused.fields,
        request_id,
        extensions: refused.extensions,
    };
    response.content_type("application/problem+json").body(serde_json::to_string(&problem).unwrap_or_default())
}

/// For actix extractors: a body, path or query that does not parse.
pub(crate) fn unreadable(error: impl std::fmt::Display, _: &HttpRequest) -> actix_web::Error {
    Error::from(refuse(Code::Unreadable, error.to_string())).into()
}
