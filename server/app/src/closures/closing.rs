//! Closing a ground, and opening it again.

use chrono::{DateTime, NaiveDateTime, Utc};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::letters::{self, News};
use super::store::{self, NewClosure};
use super::view::{Closure, load};
use crate::access::{Act, Member, Role, addresses};
use crate::database::Tx;
use crate::error::{Code, Result, invalid, refuse};
use crate::ids::{ClosureId, GroundId};
use crate::machines::{Span, StoredSpan, half_day_of};
use crate::mail;
use crate::text::note_parse;
use crate::time::{local, zone_of};

/// A ground is closed.
#[derive(Debug, Clone, Serialize, Deserialize, ToSchema)]
pub struct CloseGround {
    /// The half-days.
    pub span: Span,
    /// Why, for everybody to read.
    pub reason: String,
}

/// Closes a ground. The club and the coordinators are told, with the bookings that lie on closed days.
///
/// # Errors
/// `not_found`, `not_your_role`; `not_half_days`, `invalid`, `in_the_past`; `ground_closed` where it is closed then
/// already.
pub async fn close_ground(
    tx: &mut Tx,
    member: &Member,
    ground: GroundId,
    said: &CloseGround,
    public_url: &str,
    now: DateTime<Utc>,
) -> Result<Closure> {
    let network = member.network_id;
    let club = store::club_of(tx, network, ground).await?;
    member.require(Act::CloseGround, Some(club))?;
    let span = said.span.parse().map_err(|refused| refused.within("span"))?;
    let reason = note_parse("reason", &said.reason)?;
    if reason.is_empty() {
        return Err(invalid("reason", "The clubs are told the reason: write one.").into());
    }
    let wall = local(zone_of(tx, network).await?, now);
    must_lie_ahead(span.until(), wall)?;
    let new = NewClosure { id: ClosureId::new(), club_id: club, ground_id: ground, span: StoredSpan(span), reason };
    store::insert(tx, member, &new, now).await?;
    let closure = load(tx, member, new.id, wall).await?;
    tell(tx, member, &closure, News::Closed, public_url, now).await?;
    Ok(closure)
}

/// Opens a ground again before its time. One that is open again already stays as it is.
///
/// # Errors
/// `not_found`, `not_your_role`; `in_the_past` for a closure that has ended.
pub async fn lift_closure(
    tx: &mut Tx,
    member: &Member,
    id: ClosureId,
    public_url: &str,
    now: DateTime<Utc>,
) -> Result<Closure> {
    let network = member.network_id;
    let wall = local(zone_of(tx, network).await?, now);
    let before = load(tx, member, id, wall).await?;
    member.require(Act::CloseGround, Some(before.club_id))?;
    if before.lifted_at.is_some() {
        return Ok(before);
    }
    must_lie_ahead(before.span.until, wall)?;
    if store::lift(tx, member, id, now).await? {
        tell(tx, member, &before, News::OpenAgain, public_url, now).await?;
    }
    load(tx, member, id, wall).await
}

/// Refuses what ended before the half-day that is running.
fn must_lie_ahead(until: NaiveDateTime, wall: NaiveDateTime) -> Result<()> {
    match until <= half_day_of(wall) {
        true => Err(refuse(Code::InThePast, "It would have ended by now.").field("span.until").into()),
        false => Ok(()),
    }
}

/// Tells the grounds leads of the club and the coordinators, each address once.
async fn tell(
    tx: &mut Tx,
    member: &Member,
    closure: &Closure,
    news: News,
    public_url: &str,
    now: DateTime<Utc>,
) -> Result<()> {
    let network = member.network_id;
    let mut to = addresses(tx, network, None, &[Role::Coordinator]).await?;
    to.extend(addresses(tx, network, Some(closure.club_id), &[Role::GroundsLead]).await?);
    to.sort();
    to.dedup();
    for address in to {
        mail::post(tx, Some(network), letters::about(&address, closure, news, public_url), now).await?;
    }
    Ok(())
}
