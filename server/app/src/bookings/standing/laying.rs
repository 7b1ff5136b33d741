//! Laying down the occurrences of a rule, one by one, as far as they can be had.

use chrono::{DateTime, NaiveDate, Utc};
use diesel_async::AsyncConnection;
use logistics::half_days::HalfDaySpan;
use logistics::recurrence::{MOST_OCCURRENCES, RecurrenceError, occurrences};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::super::changes::{past, place, state_of_new};
use super::super::store::{self as bookings, NewBooking};
use super::store::{self, NewStanding};
use crate::access::{Act, Member};
use crate::database::Tx;
use crate::error::{Code, Error, Refused, Result, invalid};
use crate::ids::{BookingId, ClubId, MachineId, PitchId, StandingId};
use crate::machines::{Span, StoredSpan, Terms, Timetable, half_day_of};
use crate::text::note_parse;
use crate::time::{local, zone_of};

/// A standing booking to make.
#[derive(Debug, Clone, Serialize, Deserialize, ToSchema)]
pub struct StandingWish {
    /// Of which machine.
    pub machine_id: MachineId,
    /// For which club.
    pub club_id: ClubId,
    /// Where the rule begins to count; each occurrence is as long and at the same half of the day.
    pub first: Span,
    /// The value of a recurrence rule (RFC 5545, section 3.3.10) that counts days, weeks, months or years and ends:
    /// at most 60 occurrences.
    #[schema(example = "FREQ=WEEKLY;INTERVAL=2;UNTIL=20270331")]
    pub rule: String,
    /// Dates the rule gives and that are left out.
    #[serde(default)]
    pub except_on: Vec<NaiveDate>,
    /// For which of the club's pitches.
    #[serde(default)]
    pub pitch_ids: Vec<PitchId>,
    /// Free text for the club and the coordinator.
    #[serde(default)]
    pub note: String,
}

/// One occurrence of a rule.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct Occurrence {
    /// When.
    pub span: Span,
    /// What it costs; nothing where it cannot be had.
    pub charge_pence: i64,
    /// Why it cannot be had; null where it can.
    pub clash: Option<Clash>,
}

/// Why an occurrence cannot be had.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct Clash {
    /// The reason.
    pub code: Code,
    /// In plain words.
    pub detail: String,
    /// The nearest times of that length that are free instead, with the other occurrences in place.
    pub free: Vec<Span>,
}

/// A standing booking as laid down in the transaction.
pub(super) struct Laid {
    pub(super) id: StandingId,
    pub(super) occurrences: Vec<Occurrence>,
}

impl Laid {
    /// How many occurrences cannot be had.
    pub(super) fn clashes(&self) -> usize {
        self.occurrences.iter().filter(|occurrence| occurrence.clash.is_some()).count()
    }
}

/// Writes the standing booking and those of its occurrences that can be had. The caller decides whether it lasts.
///
/// # Errors
/// What refuses the whole of it: role, rule, length, a machine not open to the club, a beginning in the past.
pub(super) async fn lay(tx: &mut Tx, member: &Member, wish: &StandingWish, now: DateTime<Utc>) -> Result<Laid> {
    member.require(Act::Book, Some(wish.club_id))?;
    let first = wish.first.parse()?;
    let note = note_parse("note", &wish.note)?;
    let spans = occurrences(&wish.rule, &first, &wish.except_on).map_err(rule_refused)?;
    let wall = local(zone_of(tx, member.network_id).await?, now);
    if spans.iter().any(|span| span.from() < half_day_of(wall)) {
        return Err(past().into());
    }
    let terms = Terms::hold(tx, member.network_id, wish.machine_id).await?;
    terms.admit(wish.club_id)?;
    terms.fit(&first)?;
    let new = NewStanding {
        id: StandingId::new(),
        machine_id: wish.machine_id,
        club_id: wish.club_id,
        first_span: StoredSpan(first),
        rule: wish.rule.clone(),
        except_on: wish.except_on.clone(),
        note,
        made_by: member.person_id,
    };
    store::insert(tx, member.network_id, &new, now).await?;
    let mut laid = Laid { id: new.id, occurrences: Vec::with_capacity(spans.len()) };
    for span in &spans {
        laid.occurrences.push(lay_one(tx, member, &terms, &new, &wish.pitch_ids, span, now).await?);
    }
    if laid.clashes() > 0 {
        let timetable = Timetable::read(tx, member.network_id, &terms, wall, None).await?;
        for (occurrence, span) in laid.occurrences.iter_mut().zip(&spans) {
            if let Some(clash) = &mut occurrence.clash {
                clash.free = timetable.nearest(span).into_iter().map(Span::from).collect();
            }
        }
    }
    Ok(laid)
}

/// Books one occurrence, or says why not.
async fn lay_one(
    tx: &mut Tx,
    member: &Member,
    terms: &Terms,
    standing: &NewStanding,
    pitches: &[PitchId],
    span: &HalfDaySpan,
    now: DateTime<Utc>,
) -> Result<Occurrence> {
    let network = member.network_id;
    let clash = |refused: Refused| Occurrence {
        span: (*span).into(),
        charge_pence: 0,
        clash: Some(Clash { code: refused.code, detail: refused.detail, free: Vec::new() }),
    };
    let place = match place(tx, network, terms, standing.club_id, span, state_of_new(member, terms)).await {
        Err(Error::Refused(refused)) => return Ok(clash(*refused)),
        other => other?,
    };
    let charge_pence = place.charge_pence;
    let new = NewBooking {
        id: BookingId::new(),
        machine_id: standing.machine_id,
        club_id: standing.club_id,
        place,
        pitch_ids: pitches.to_vec(),
        note: standing.note.clone(),
        booked_by: member.person_id,
        standing_id: Some(standing.id),
    };
    // In a savepoint: the others are still to be tried.
    let written = (**tx).transaction::<_, Error, _>(async |tx| bookings::insert(tx, network, &new, now).await);
    match written.await {
        Ok(()) => Ok(Occurrence { span: (*span).into(), charge_pence, clash: None }),
        Err(Error::Refused(refused)) if matches!(refused.code, Code::MachineTaken | Code::AskForPlace) => {
            Ok(clash(*refused))
        }
        Err(error) => Err(error),
    }
}

fn rule_refused(error: RecurrenceError) -> Refused {
    match error {
        RecurrenceError::Unreadable => invalid("rule", "This is no recurrence rule."),
        RecurrenceError::FinerThanDays => invalid("rule", "It repeats by days, weeks, months or years."),
        RecurrenceError::Endless => invalid("rule", "Say until when, or how often."),
        RecurrenceError::TooMany => invalid("rule", format!("At most {MOST_OCCURRENCES} times; end it earlier.")),
        RecurrenceError::Never => invalid("rule", "No date is left: look at the days, the end and what is left out."),
        RecurrenceError::Overlapping => invalid("rule", "One would begin before the one before it ends."),
    }
}
