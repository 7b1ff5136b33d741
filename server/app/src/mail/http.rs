//! The coordinator's page of mail sent.

use actix_web::get;
use actix_web::web::{Data, Json, Path, Query};
use chrono::{DateTime, Utc};
use diesel::prelude::*;
use diesel_async::RunQueryDsl;
use serde::Serialize;
use utoipa::ToSchema;

use super::Letter;
use crate::access::{Act, Caller, enter};
use crate::config::MailTo;
use crate::error::Result;
use crate::ids::{JobId, NetworkId};
use crate::schema::jobs;
use crate::service::Service;
use crate::wire::{Page, PageQuery};

/// A mail of the network and what became of it.
#[derive(Serialize, ToSchema)]
pub struct Mail {
    mail_id: JobId,
    to: String,
    subject: String,
    state: MailState,
    queued_at: DateTime<Utc>,
    sent_at: Option<DateTime<Utc>>,
    attempts: i32,
    /// Why the last try failed; null if none did.
    last_error: Option<String>,
    /// The text, only where mail lands as files (the demo): mails carry secret links.
    text: Option<String>,
}

/// What became of a mail.
#[derive(Serialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum MailState {
    /// It will be tried, or tried again.
    Waiting,
    /// The mail server took it.
    Sent,
    /// Given up after the last try.
    Parked,
}

#[derive(Queryable, Selectable)]
#[diesel(table_name = jobs)]
struct Row {
    id: JobId,
    payload: serde_json::Value,
    state: String,
    attempts: i32,
    last_error: Option<String>,
    created_at: DateTime<Utc>,
    finished_at: Option<DateTime<Utc>>,
}

/// List mail sent
#[utoipa::path(tag = "network", params(PageQuery), responses((status = 200, body = Page<Mail>)))]
#[get("/networks/{network_id}/mails")]
pub async fn list_mails(
    service: Data<Service>,
    caller: Caller,
    network: Path<NetworkId>,
    page: Query<PageQuery>,
) -> Result<Json<Page<Mail>>> {
    let (mut tx, member) = enter(&service, &caller, *network).await?;
    member.require(Act::SeeMail, None)?;
    let mut query = jobs::table
        .filter(jobs::network_id.eq(*network))
        .filter(jobs::kind.eq("send_mail"))
        .select(Row::as_select())
        .order(jobs::id.desc())
        .limit(page.rows())
        .into_boxed();
    if let Some(after) = page.after::<JobId>()? {
        query = query.filter(jobs::id.lt(after));
    }
    let rows: Vec<Row> = query.load(&mut *tx).await?;
    let readable = matches!(service.config.mail_to, MailTo::Folder(_));
    Ok(Json(Page::cut(rows, &page, |row| row.id, |row| view(row, readable))))
}

fn view(row: Row, readable: bool) -> Mail {
    let letter = serde_json::from_value(row.payload).unwrap_or(Letter {
        to: String::new(),
        subject: String::new(),
        text: String::new(),
    });
    let state = match row.state.as_str() {
        "done" => MailState::Sent,
        "waiting" => MailState::Waiting,
        _ => MailState::Parked,
    };
    Mail {
        mail_id: row.id,
        to: letter.to,
        subject: letter.subject,
        sent_at: row.finished_at.filter(|_| matches!(state, MailState::Sent)),
        state,
        queued_at: row.created_at,
        attempts: row.attempts,
        last_error: row.last_error,
        text: readable.then_some(letter.text),
    }
}
