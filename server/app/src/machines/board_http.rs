//! The board: machines down, days across, whose booking it is and what is free.

use actix_web::get;
use actix_web::web::{Data, Json, Path, Query};
use chrono::{Days, NaiveDate, NaiveDateTime, NaiveTime, Utc};
use logistics::free_spans::free_spans;
use logistics::half_days::HalfDaySpan;
use serde::{Deserialize, Serialize};
use utoipa::{IntoParams, ToSchema};

use super::span::{Span, date_parse, half_day_of, within};
use super::store::{self, Decided, Offered, Standing};
use super::words::{HoldState, MachineKind};
use crate::access::{Caller, Member, enter};
use crate::error::{Refused, Result, invalid};
use crate::handovers;
use crate::ids::{BookingId, ClubId, MachineId, NetworkId, RoundId};
use crate::service::Service;
use crate::time::{local, zone_of};

/// Which days to show.
#[derive(Debug, Deserialize, IntoParams)]
#[into_params(parameter_in = Query)]
pub struct BoardQuery {
    /// The first date; today without.
    from: Option<NaiveDate>,
    /// How many days; 14 without.
    #[param(minimum = 1, maximum = 62)]
    days: Option<u16>,
}

/// The machines of the network over some days.
#[derive(Debug, Serialize, ToSchema)]
pub struct Board {
    /// The first date.
    pub from_on: NaiveDate,
    /// How many days.
    pub days: u16,
    /// The machines that are offered, by name.
    pub machines: Vec<BoardMachine>,
}

/// A machine over some days.
#[derive(Debug, Serialize, ToSchema)]
pub struct BoardMachine {
    /// The machine.
    pub machine_id: MachineId,
    /// Its name.
    pub name: String,
    /// What work it does.
    pub kind: MachineKind,
    /// When it can be booked at all, within these days.
    pub availabilities: Vec<Span>,
    /// What can be booked still: available, not past, and clear of bookings with their handover before and after. Nothing
    /// while it is out of service.
    pub free: Vec<Span>,
    /// Whether a fault takes it out of service.
    pub out_of_service: bool,
    /// Who holds it.
    pub bookings: Vec<BoardBooking>,
    /// What is had by asking for a place in an open round; not free.
    pub rounds: Vec<BoardRound>,
}

/// Time of a hired machine that an open round decides about.
#[derive(Debug, Serialize, ToSchema)]
pub struct BoardRound {
    /// The round.
    pub round_id: RoundId,
    /// Its title.
    pub title: String,
    /// The half-days, within those shown.
    pub span: Span,
}

/// A booking on the board.
#[derive(Debug, Serialize, ToSchema)]
pub struct BoardBooking {
    /// The booking.
    pub booking_id: BookingId,
    /// Whose.
    pub club_id: ClubId,
    /// The club's name.
    pub club_name: String,
    /// The half-days booked.
    pub span: Span,
    /// The end of the handover after it.
    #[schema(value_type = String, example = "2027-05-05T12:00:00")]
    pub held_until: NaiveDateTime,
    /// Whether it stands or waits for the coordinator.
    pub state: HoldState,
    /// Whether the machine went out of service and the coordinator has to decide what becomes of it.
    pub needs_decision: bool,
    /// Whether it is a club of yours.
    pub yours: bool,
}

const USUAL_DAYS: u16 = 14;
const MOST_DAYS: u16 = 62;

/// The longest handover a machine can need: a booking so long after the board's last day can still be felt on it.
const LONGEST_GAP_HALF_DAYS: u32 = 14;

/// Show the board of machines
#[utoipa::path(tag = "machines", params(BoardQuery), responses((status = 200, body = Board)))]
#[get("/networks/{network_id}/board")]
pub async fn show_board(
    service: Data<Service>,
    caller: Caller,
    network: Path<NetworkId>,
    query: Query<BoardQuery>,
) -> Result<Json<Board>> {
    let (mut tx, member) = enter(&service, &caller, *network).await?;
    let now = local(zone_of(&mut tx, *network).await?, Utc::now());
    let (from_on, days) = (query.from.unwrap_or(now.date()), query.days.unwrap_or(USUAL_DAYS));
    let window = window(from_on, days)?;
    let felt = window.with_gap(LONGEST_GAP_HALF_DAYS).unwrap_or(window);
    let offered = store::offered(&mut tx, *network).await?;
    let available = store::available_in(&mut tx, *network, &window).await?;
    let standing = store::standing_in(&mut tx, *network, &felt).await?;
    let care = Care {
        out_of_service: handovers::out_of_service(&mut tx, *network).await?,
        undecided: handovers::undecided(&mut tx, *network, now).await?,
    };
    let decided = store::decided_by_rounds(&mut tx, *network, None, window.from()).await?;
    let machine = |machine: Offered| {
        let spans = available.iter().filter(|(of, _)| *of == machine.id);
        let spans = spans.filter_map(|(_, span)| within(&span.0, window.from(), window.until())).collect();
        let held: Vec<_> = standing.iter().filter(|(booking, _)| booking.machine_id == machine.id).collect();
        let decided: Vec<_> = decided.iter().filter(|decided| decided.machine_id == machine.id).collect();
        row(machine, spans, (&held, &decided), &window, now, &member, &care)
    };
    Ok(Json(Board { from_on, days, machines: offered.into_iter().map(machine).collect() }))
}

fn window(from_on: NaiveDate, days: u16) -> Result<HalfDaySpan, Refused> {
    if !(1..=MOST_DAYS).contains(&days) {
        return Err(invalid("days", format!("The board shows 1 to {MOST_DAYS} days.")));
    }
    let until = date_parse("from", from_on)? + Days::new(days.into());
    Span { from: from_on.and_time(NaiveTime::MIN), until: until.and_time(NaiveTime::MIN) }.parse()
}

/// What is wrong with machines, and with whose bookings therefore.
struct Care {
    out_of_service: Vec<MachineId>,
    undecided: Vec<BookingId>,
}

fn row(
    machine: Offered,
    available: Vec<HalfDaySpan>,
    (held, decided): (&[&(Standing, String)], &[&Decided]),
    window: &HalfDaySpan,
    now: NaiveDateTime,
    member: &Member,
    care: &Care,
) -> BoardMachine {
    let held_or_before = held.iter().filter_map(|(booking, _)| blocked(booking, machine.gap_half_days));
    let blocked: Vec<_> = held_or_before.chain(decided.iter().map(|decided| decided.span.0)).collect();
    let free = free_spans(&available, &blocked);
    let out_of_service = care.out_of_service.contains(&machine.id);
    let free =
        free.iter().filter(|_| !out_of_service).filter_map(|span| within(span, half_day_of(now), window.until()));
    let bookings =
        held.iter().filter(|(booking, _)| booking.held.0.overlaps(window)).map(|(booking, club_name)| BoardBooking {
            booking_id: booking.id,
            club_id: booking.club_id,
            club_name: club_name.clone(),
            span: booking.span.0.into(),
            held_until: booking.held.0.until(),
            state: booking.state,
            needs_decision: care.undecided.contains(&booking.id),
            yours: member.belongs_to(booking.club_id),
        });
    BoardMachine {
        machine_id: machine.id,
        name: machine.name,
        kind: machine.kind,
        availabilities: available.iter().map(|span| Span::from(*span)).collect(),
        out_of_service,
        free: free.map(Span::from).collect(),
        bookings: bookings.collect(),
        rounds: decided.iter().filter_map(|decided| of_round(decided, window)).collect(),
    }
}

fn of_round(decided: &Decided, window: &HalfDaySpan) -> Option<BoardRound> {
    let span = within(&decided.span.0, window.from(), window.until())?.into();
    Some(BoardRound { round_id: decided.round_id, title: decided.round_title.clone(), span })
}

/// The half-days that no other booking can have: what is held, and before it the handover of a booking that would
/// come earlier.
fn blocked(booking: &Standing, gap_half_days: i32) -> Option<HalfDaySpan> {
    let gap = chrono::TimeDelta::hours(12) * gap_half_days;
    HalfDaySpan::parse(booking.span.0.from() - gap, booking.held.0.until()).ok()
}
