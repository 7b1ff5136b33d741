//! A forgotten password: ask for a link, then set a new one with it.

use actix_web::web::{Data, Json, Path};
use actix_web::{HttpRequest, HttpResponse, post, put};
use chrono::{DateTime, Utc};
use diesel::prelude::*;
use diesel_async::RunQueryDsl;
use serde::Deserialize;
use utoipa::ToSchema;

use super::passwords::Password;
use super::throttle::Tries;
use super::tokens::{self, RESET_LASTS};
use super::{letters, store};
use crate::database::Scope;
use crate::error::{Code, Result, refuse};
use crate::ids::PersonId;
use crate::mail;
use crate::schema::password_resets;
use crate::service::Service;

/// The address to send a link to.
#[derive(Deserialize, ToSchema)]
pub struct AskPasswordReset {
    email: String,
}

/// The new password.
#[derive(Deserialize, ToSchema)]
pub struct SetPassword {
    password: String,
}

/// Ask for a link to set a new password
///
/// The answer is the same whether or not the address has an account.
#[utoipa::path(tag = "access", responses((status = 202)))]
#[post("/password-resets")]
pub async fn ask_password_reset(
    service: Data<Service>,
    request: HttpRequest,
    body: Json<AskPasswordReset>,
) -> Result<HttpResponse> {
    let now = Utc::now();
    let email = body.into_inner().email.trim().to_lowercase();
    let tries = Tries::of("reset", &email, &service.address_of(&request));
    let mut tx = service.db.begin(Scope::Access).await?;
    tries.check(&mut tx, now).await?;
    tries.count(&mut tx, now).await?;
    if let Some(person) = store::person_by_email(&mut tx, &email).await? {
        let token = tokens::random();
        diesel::insert_into(password_resets::table)
            .values((
                password_resets::token_hash.eq(tokens::hash(&token)),
                password_resets::person_id.eq(person.id),
                password_resets::expires_at.eq(now + RESET_LASTS),
            ))
            .execute(&mut *tx)
            .await?;
        let link = format!("{}/reset/{token}", service.config.public_url);
        mail::post(&mut tx, None, letters::reset(&person.email, &link), now).await?;
    }
    tx.commit().await?;
    Ok(HttpResponse::Accepted().json(serde_json::json!({})))
}

/// Set a new password with a mailed link
///
/// Every session of the person ends.
#[utoipa::path(tag = "access", responses((status = 204)))]
#[put("/password-resets/{token}")]
pub async fn set_password(
    service: Data<Service>,
    token: Path<String>,
    body: Json<SetPassword>,
) -> Result<HttpResponse> {
    let now = Utc::now();
    let hash = Password::parse(&body.password)?.hash().await?;
    let mut tx = service.db.begin(Scope::Access).await?;
    let spent = || refuse(Code::LinkSpent, "Ask for a new link; each works once, for two hours.");
    let person: PersonId = diesel::update(password_resets::table)
        .filter(password_resets::token_hash.eq(tokens::hash(&token)))
        .filter(password_resets::used_at.is_null())
        .filter(password_resets::expires_at.gt(now))
        .set(password_resets::used_at.eq(Some::<DateTime<Utc>>(now)))
        .returning(password_resets::person_id)
        .get_result(&mut *tx)
        .await
        .optional()?
        .ok_or_else(spent)?;
    store::set_password_hash(&mut tx, person, &hash).await?;
    store::end_sessions(&mut tx, person, None, now).await?;
    tx.commit().await?;
    Ok(HttpResponse::NoContent().finish())
}
