//! Requests that must not happen twice. The key, the effect and the answer are written in one transaction, so a
//! request repeated after a lost answer changes nothing and gets the first answer again.
//!
//! After the draft "The Idempotency-Key HTTP Header Field" (IETF httpapi working group).

use std::future::{Ready, ready};

use actix_web::dev::Payload;
use actix_web::http::StatusCode;
use actix_web::{FromRequest, HttpRequest, HttpResponse};
use diesel::prelude::*;
use diesel_async::RunQueryDsl;
use serde::Serialize;
use sha2::{Digest, Sha256};
use utoipa::IntoParams;
use utoipa::openapi::path::{Parameter, ParameterIn};

use crate::access::Member;
use crate::database::Tx;
use crate::error::{Code, Error, Result, refuse};
use crate::schema::idempotency_keys;
use crate::wire::header_parameter;

/// The `Idempotency-Key` of a request, with what it was sent to.
#[derive(Debug)]
pub struct OnceKey {
    key: String,
    target: String,
}

impl IntoParams for OnceKey {
    fn into_params(_: impl Fn() -> Option<ParameterIn>) -> Vec<Parameter> {
        let words = "Minted by the sender, 1 to 200 characters: a repeated request with the same key changes nothing.";
        vec![header_parameter("Idempotency-Key", words)]
    }
}

impl FromRequest for OnceKey {
    type Error = Error;
    type Future = Ready<Result<Self, Error>>;

    fn from_request(request: &HttpRequest, _: &mut Payload) -> Self::Future {
        let header = request.headers().get("Idempotency-Key").and_then(|value| value.to_str().ok());
        ready(match header {
            Some(key) if (1..=200).contains(&key.chars().count()) => {
                Ok(Self { key: key.to_owned(), target: format!("{} {}", request.method(), request.path()) })
            }
            _ => Err(refuse(Code::IdempotencyKeyMissing, "Send an Idempotency-Key of 1 to 200 characters.").into()),
        })
    }
}

/// Whether the request is new.
pub enum Claim {
    /// It was answered before, with this.
    Answered(HttpResponse),
    /// It is new: do it, and answer through the ticket.
    New(Ticket),
}

impl OnceKey {
    /// Claims the key for this request. A second request with the same key waits here until the first has ended.
    ///
    /// # Errors
    /// `idempotency_key_reused` when the key came with another request before.
    pub async fn claim(self, tx: &mut Tx, member: &Member, body: &impl Serialize) -> Result<Claim> {
        let mut hash = Sha256::new();
        hash.update(&self.target);
        hash.update(serde_json::to_vec(body).map_err(anyhow::Error::from)?);
        let request_hash = hash.finalize().to_vec();
        let inserted = diesel::insert_into(idempotency_keys::table)
            .values((
                idempotency_keys::network_id.eq(member.network_id),
                idempotency_keys::person_id.eq(member.person_id),
                idempotency_keys::key.eq(&self.key),
                idempotency_keys::request_hash.eq(&request_hash),
            ))
            .on_conflict_do_nothing()
            .execute(&mut **tx)
            .await?;
        if inserted == 1 {
            return Ok(Claim::New(Ticket { key: self.key }));
        }
        let (before, status, body): (Vec<u8>, Option<i16>, Option<serde_json::Value>) = idempotency_keys::table
            .filter(idempotency_keys::network_id.eq(member.network_id))
            .filter(idempotency_keys::person_id.eq(member.person_id))
            .filter(idempotency_keys::key.eq(&self.key))
            .select((idempotency_keys::request_hash, idempotency_keys::status, idempotency_keys::body))
            .first(&mut **tx)
            .await?;
        if before != request_hash {
            return Err(refuse(Code::IdempotencyKeyReused, "Use a new key for a new request.").into());
        }
        let status = status.and_then(|status| u16::try_from(status).ok()).unwrap_or(200);
        let status = StatusCode::from_u16(status).unwrap_or(StatusCode::OK);
        Ok(Claim::Answered(HttpResponse::build(status).json(body)))
    }
}

/// The right to answer a new request.
#[must_use]
pub struct Ticket {
    key: String,
}

impl Ticket {
    /// Answers 201 and keeps the answer for repetitions. Commit afterwards.
    ///
    /// # Errors
    /// A failing database.
    pub async fn created(self, tx: &mut Tx, member: &Member, body: &impl Serialize) -> Result<HttpResponse> {
        let kept = serde_json::to_value(body).map_err(anyhow::Error::from)?;
        diesel::update(idempotency_keys::table)
            .filter(idempotency_keys::network_id.eq(member.network_id))
            .filter(idempotency_keys::person_id.eq(member.person_id))
            .filter(idempotency_keys::key.eq(&self.key))
            .set((idempotency_keys::status.eq(201_i16), idempotency_keys::body.eq(kept)))
            .execute(&mut **tx)
            .await?;
        Ok(HttpResponse::Created().json(body))
    }
}
