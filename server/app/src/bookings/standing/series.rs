//! Standing bookings as they are shown, made and ended.

use chrono::{DateTime, NaiveDate, NaiveTime, Utc};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::super::booking::{Booking, BookingState, gather};
use super::super::store::{self as bookings, Wanted};
use super::super::waiting::offer_places;
use super::laying::{Laid, Occurrence, StandingWish, lay};
use super::letters::{self, News};
use super::store::{self, Named};
use crate::access::{Act, Member, Role, addresses};
use crate::database::Tx;
use crate::error::{Code, Result, refuse};
use crate::ids::{ClubId, MachineId, StandingId};
use crate::machines::{Span, Terms, half_day_of};
use crate::mail;
use crate::time::{local, zone_of};

/// A standing booking.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct Standing {
    /// The standing booking.
    pub standing_id: StandingId,
    /// Of which machine.
    pub machine_id: MachineId,
    /// Its name.
    pub machine_name: String,
    /// Of which club.
    pub club_id: ClubId,
    /// Its name.
    pub club_name: String,
    /// Where the rule begins to count.
    pub first: Span,
    /// The rule (RFC 5545, section 3.3.10).
    pub rule: String,
    /// Dates that were left out.
    pub except_on: Vec<NaiveDate>,
    /// From this date on it was given up.
    pub ended_from: Option<NaiveDate>,
    /// Its bookings in order of time, in any state.
    pub bookings: Vec<Booking>,
    /// Whether it is a club of yours.
    pub yours: bool,
}

/// What a rule would give.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct StandingPreview {
    /// In order of time.
    pub occurrences: Vec<Occurrence>,
    /// How many cannot be had.
    pub clashes: usize,
    /// What the others cost together.
    pub charge_pence: i64,
}

/// From when on to give a standing booking up.
#[derive(Debug, Clone, Copy, Deserialize, ToSchema)]
pub struct EndStanding {
    /// The first date that is given up.
    pub from_on: NaiveDate,
}

/// Shows what a rule would give, by laying it down; the caller must not let it last.
///
/// # Errors
/// As [`make_standing`], but for clashes.
pub async fn preview_standing(
    tx: &mut Tx,
    member: &Member,
    wish: &StandingWish,
    now: DateTime<Utc>,
) -> Result<StandingPreview> {
    let laid = lay(tx, member, wish, now).await?;
    let clashes = laid.clashes();
    let charge_pence = laid.occurrences.iter().map(|occurrence| occurrence.charge_pence).sum();
    Ok(StandingPreview { occurrences: laid.occurrences, clashes, charge_pence })
}

/// Makes a standing booking with every occurrence that is not left out, or nothing.
///
/// # Errors
/// `standing_clashes`, with all occurrences as in the preview; `invalid` on `rule`; those of booking.
pub async fn make_standing(
    tx: &mut Tx,
    member: &Member,
    wish: &StandingWish,
    public_url: &str,
    now: DateTime<Utc>,
) -> Result<Standing> {
    let Laid { id, occurrences } = lay(tx, member, wish, now).await?;
    if occurrences.iter().any(|occurrence| occurrence.clash.is_some()) {
        let refused = refuse(Code::StandingClashes, "Leave those out by name, or choose other days.");
        return Err(refused.with("occurrences", occurrences).into());
    }
    let standing = load(tx, member, id).await?;
    tell(tx, member, &standing, News::Made, public_url, now).await?;
    Ok(standing)
}

/// Gives up what of a standing booking lies on or after a date and has not begun. What was given up already stays so.
///
/// # Errors
/// `not_found`, `not_your_role`.
pub async fn end_standing(
    tx: &mut Tx,
    member: &Member,
    id: StandingId,
    from_on: NaiveDate,
    public_url: &str,
    now: DateTime<Utc>,
) -> Result<Standing> {
    let network = member.network_id;
    let club = store::find(tx, network, id).await?.row.club_id;
    member.require(Act::Book, Some(club))?;
    let wall = local(zone_of(tx, network).await?, now);
    let from = from_on.and_time(NaiveTime::MIN).max(half_day_of(wall));
    // Swaps may have spread it over machines: held in the order of their ids, like everywhere.
    let mut held = Vec::new();
    for machine in store::machines_of(tx, network, id, from).await? {
        held.push(Terms::hold(tx, network, machine).await?);
    }
    let given_up = store::coming(tx, network, id, from).await?;
    for booking in &given_up {
        bookings::release(tx, network, *booking, BookingState::Cancelled, None, now).await?;
    }
    store::end(tx, network, id, from_on).await?;
    let standing = load(tx, member, id).await?;
    if !given_up.is_empty() {
        tell(tx, member, &standing, News::Ended(&given_up), public_url, now).await?;
    }
    for terms in &held {
        offer_places(tx, network, terms, public_url, now).await?;
    }
    Ok(standing)
}

async fn tell(
    tx: &mut Tx,
    member: &Member,
    standing: &Standing,
    news: News<'_>,
    public_url: &str,
    now: DateTime<Utc>,
) -> Result<()> {
    let network = member.network_id;
    for to in addresses(tx, network, Some(standing.club_id), &[Role::GroundsLead]).await? {
        mail::post(tx, Some(network), letters::letter(&to, standing, news, public_url), now).await?;
    }
    let asked = standing.bookings.iter().any(|booking| booking.state == BookingState::Asked);
    if matches!(news, News::Made) && asked {
        for to in addresses(tx, network, None, &[Role::Coordinator]).await? {
            mail::post(tx, Some(network), letters::letter(&to, standing, News::ToAnswer, public_url), now).await?;
        }
    }
    Ok(())
}

/// One standing booking, as the member may see it. Scope: the network.
pub(super) async fn load(tx: &mut Tx, member: &Member, id: StandingId) -> Result<Standing> {
    let named = store::find(tx, member.network_id, id).await?;
    let wanted = Wanted { standing: Some(id), ..Wanted::default() };
    let rows = bookings::list(tx, member.network_id, wanted, None).await?;
    let bookings = gather(tx, member, rows).await?;
    Ok(view(named, bookings, member))
}

/// The standing bookings of a club or of all, without their bookings. Scope: the network.
pub(super) async fn list(tx: &mut Tx, member: &Member, club: Option<ClubId>) -> Result<Vec<Standing>> {
    let rows = store::list(tx, member.network_id, club).await?;
    Ok(rows.into_iter().map(|named| view(named, Vec::new(), member)).collect())
}

fn view(named: Named, bookings: Vec<Booking>, member: &Member) -> Standing {
    let Named { row, machine, club } = named;
    Standing {
        standing_id: row.id,
        machine_id: row.machine_id,
        machine_name: machine,
        club_id: row.club_id,
        club_name: club,
        first: row.first_span.0.into(),
        rule: row.rule,
        except_on: row.except_on.into_iter().flatten().collect(),
        ended_from: row.ended_from,
        bookings,
        yours: member.belongs_to(row.club_id),
    }
}
