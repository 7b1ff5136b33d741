//! A closure as members see it.

use chrono::{DateTime, NaiveDateTime, Utc};
use diesel_async::AsyncPgConnection;
use serde::Serialize;
use utoipa::ToSchema;

use super::store::{self, ClosureRow, OnClosedDays};
use crate::access::{Act, Member};
use crate::error::Result;
use crate::ids::{BookingId, ClosureId, ClubId, GroundId, RoundId};
use crate::machines::Span;

/// Half-days on which no machine may go onto a ground.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct Closure {
    /// The closure.
    pub closure_id: ClosureId,
    /// Which ground.
    pub ground_id: GroundId,
    /// The ground's name.
    pub ground_name: String,
    /// Whose.
    pub club_id: ClubId,
    /// The club's name.
    pub club_name: String,
    /// The half-days.
    pub span: Span,
    /// Why.
    pub reason: String,
    /// Who closed it.
    pub closed_by_name: String,
    /// When it was closed.
    pub closed_at: DateTime<Utc>,
    /// When it was opened again before its time; null while it counts.
    pub lifted_at: Option<DateTime<Utc>>,
    /// Whether you may open it again.
    pub yours_to_lift: bool,
    /// The bookings of the club that lie on closed days and have not begun, in order of time.
    pub bookings: Vec<BookingOnClosedDays>,
}

/// A booking that lies on days on which its ground is closed.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct BookingOnClosedDays {
    /// The booking.
    pub booking_id: BookingId,
    /// The machine's name.
    pub machine_name: String,
    /// When.
    pub span: Span,
    /// The round that made it; null for one made directly.
    pub round_id: Option<RoundId>,
    /// The round's title.
    pub round_title: Option<String>,
}

/// Stands in for the name of a person who is no longer in the network.
const SOMEBODY: &str = "A former member";

/// One closure. Scope: the network.
///
/// # Errors
/// `not_found`.
pub(super) async fn load(
    tx: &mut AsyncPgConnection,
    member: &Member,
    id: ClosureId,
    wall: NaiveDateTime,
) -> Result<Closure> {
    let row = store::find(tx, member.network_id, id).await?;
    let lying = store::on_closed_days(tx, member.network_id, wall).await?;
    Ok(view(row, &lying, member))
}

/// The closures that stand and have not ended, of one club or of all. Scope: the network.
pub(super) async fn list(
    tx: &mut AsyncPgConnection,
    member: &Member,
    of_club: Option<ClubId>,
    wall: NaiveDateTime,
) -> Result<Vec<Closure>> {
    let rows = store::standing(tx, member.network_id, of_club, wall).await?;
    let lying = store::on_closed_days(tx, member.network_id, wall).await?;
    Ok(rows.into_iter().map(|row| view(row, &lying, member)).collect())
}

fn view(row: ClosureRow, lying: &[OnClosedDays], member: &Member) -> Closure {
    let on_it = lying.iter().filter(|booking| booking.closure_id == row.id);
    let booking = |booking: &OnClosedDays| BookingOnClosedDays {
        booking_id: booking.booking_id,
        machine_name: booking.machine.clone(),
        span: booking.span.0.into(),
        round_id: booking.round_id,
        round_title: booking.round_title.clone(),
    };
    Closure {
        closure_id: row.id,
        ground_id: row.ground_id,
        ground_name: row.ground,
        club_id: row.club_id,
        club_name: row.club,
        span: row.span.0.into(),
        reason: row.reason,
        closed_by_name: row.closed_by.unwrap_or_else(|| SOMEBODY.to_owned()),
        closed_at: row.closed_at,
        yours_to_lift: row.lifted_at.is_none() && member.may(Act::CloseGround, Some(row.club_id)),
        lifted_at: row.lifted_at,
        bookings: on_it.map(booking).collect(),
    }
}
