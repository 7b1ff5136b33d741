//! Entering a walk: what was sent becomes a visit that makes sense, is scored, and stands.

use chrono::{DateTime, NaiveDate, Utc};
use comparison::criteria::Criterion;
use comparison::scheme::Scheme;
use comparison::score::{ScoreError, WalkScore, score_walk};
use serde_json::json;
use uuid::Version;

use super::http::{CreateReadings, CreateWalk};
use super::{schemes, store};
use crate::access::{Act, Member};
use crate::database::Tx;
use crate::error::{Code, Refused, Result, invalid, refuse};
use crate::ids::{PitchId, WalkId};
use crate::text::note_parse;
use crate::time::{today, zone_of};

/// The most readings of one criterion in a walk.
const MOST_READINGS: usize = 200;

/// The first year a walk may lie in: older paper is not worth comparing, and a slip of the pen is likelier.
const FIRST_YEAR: i32 = 2000;

/// A walk that makes sense, before it is scored. Two are equal when the same was sent.
#[derive(PartialEq)]
pub(super) struct Visit {
    pub(super) id: WalkId,
    pub(super) pitch: PitchId,
    pub(super) walked_on: NaiveDate,
    pub(super) readings: Readings,
    pub(super) note: String,
}

/// Readings that a pitch can have: no criterion twice, none without readings, in the order in which a walk takes them.
#[derive(PartialEq)]
pub(super) struct Readings(Vec<(Criterion, Vec<f64>)>);

/// Enters a walk and scores it with the current scheme. The same walk sent again is entered once.
///
/// # Errors
/// `not_found` for the pitch; `not_your_role`; `date_in_future`, `reading_impossible`, `criteria_missing` or `invalid`
/// for what was sent; `never_edited` when its id belongs to a walk with other content.
pub async fn record(tx: &mut Tx, member: &Member, wish: CreateWalk, now: DateTime<Utc>) -> Result<WalkId> {
    let network = member.network_id;
    let club = store::club_of_pitch(tx, network, wish.pitch_id).await?;
    member.require(Act::Walk, Some(club))?;
    let visit = Visit::parse(wish, today(zone_of(tx, network).await?, now))?;
    if let Some(first) = store::entered(tx, network, visit.id).await? {
        return Ok(visit.again(&first)?);
    }
    let current = schemes::current(tx, network).await?;
    let score = score(&current.scheme, &visit.readings)?;
    if store::insert(tx, member, club, &visit, &current, &score).await? {
        return Ok(visit.id);
    }
    // Sent twice at once; the insert has waited for the other to end.
    match store::entered(tx, network, visit.id).await? {
        Some(first) => Ok(visit.again(&first)?),
        None => Err(anyhow::anyhow!("a walk is in the way of {} but not there", visit.id).into()),
    }
}

impl Visit {
    fn parse(wish: CreateWalk, today: NaiveDate) -> Result<Self, Refused> {
        let id = wish.walk_id.unwrap_or_else(WalkId::new);
        if id.0.get_version() != Some(Version::SortRand) {
            return Err(invalid("walk_id", "The id of a walk is a UUID of version 7."));
        }
        if wish.walked_on > today {
            return Err(refuse(Code::DateInFuture, "A walk cannot lie ahead.").field("walked_on"));
        }
        if NaiveDate::from_yo_opt(FIRST_YEAR, 1).is_some_and(|first| wish.walked_on < first) {
            return Err(invalid("walked_on", "A walk cannot be older than the year 2000."));
        }
        let readings = Readings::parse(wish.readings)?;
        let note = note_parse("note", &wish.note)?;
        Ok(Self { id, pitch: wish.pitch_id, walked_on: wish.walked_on, readings, note })
    }

    /// The walk that is there already, if this is the same.
    fn again(&self, first: &Self) -> Result<WalkId, Refused> {
        if self == first {
            return Ok(first.id);
        }
        Err(refuse(Code::NeverEdited, "This walk is entered and stands; enter a new one.").field("walk_id"))
    }
}

impl Readings {
    fn parse(lists: Vec<CreateReadings>) -> Result<Self, Refused> {
        let mut impossible = refuse(Code::ReadingImpossible, "Look again at the readings marked.");
        let mut kept: Vec<(Criterion, Vec<f64>)> = Vec::new();
        for (place, list) in lists.into_iter().enumerate() {
            let criterion = list.criterion.0;
            let field = |part: &str| format!("readings.{place}.{part}");
            if list.values.len() > MOST_READINGS {
                return Err(invalid(&field("values"), "A walk takes at most 200 readings of a criterion."));
            }
            if kept.iter().any(|(other, _)| *other == criterion) {
                return Err(twice(criterion).field(&field("criterion")));
            }
            // A range contains neither NaN nor infinity.
            let possible = &criterion.facts().possible;
            if let Some(reading) = list.values.iter().copied().find(|value| !possible.contains(value)) {
                let refused = cannot_be(criterion, reading).field(&field("values"));
                impossible.fields.extend(refused.fields);
            }
            if !list.values.is_empty() {
                kept.push((criterion, list.values));
            }
        }
        if !impossible.fields.is_empty() {
            return Err(impossible);
        }
        Ok(Self::stored(kept))
    }

    /// Readings that were parsed before.
    pub(super) fn stored(mut lists: Vec<(Criterion, Vec<f64>)>) -> Self {
        lists.sort_by_key(|(criterion, _)| *criterion);
        Self(lists)
    }

    /// Each criterion measured, with its readings.
    pub(super) fn lists(&self) -> &[(Criterion, Vec<f64>)] {
        &self.0
    }

    /// The readings of a criterion; none where it was not measured.
    pub(super) fn of(&self, criterion: Criterion) -> &[f64] {
        self.0.iter().find(|(each, _)| *each == criterion).map_or(&[], |(_, values)| values)
    }
}

/// Scores readings, or says what is missing.
fn score(scheme: &Scheme, readings: &Readings) -> Result<WalkScore, Refused> {
    let score = score_walk(scheme, readings.lists()).map_err(|error| match error {
        ScoreError::CriterionTwice { criterion } => twice(criterion),
        ScoreError::ImpossibleReading { criterion, reading } => cannot_be(criterion, reading),
        ScoreError::NothingMeasured => {
            missing(&scheme.criteria().iter().map(|each| each.criterion).collect::<Vec<_>>())
        }
    })?;
    if score.missing.is_empty() { Ok(score) } else { Err(missing(&score.missing)) }
}

fn twice(criterion: Criterion) -> Refused {
    refuse(Code::Invalid, format!("{} is there twice.", criterion.facts().name))
}

fn cannot_be(criterion: Criterion, reading: f64) -> Refused {
    let facts = criterion.facts();
    let (lowest, highest) = (facts.possible.start(), facts.possible.end());
    let detail = format!("{}: {reading} cannot be; it is from {lowest} to {highest} {}.", facts.name, facts.unit);
    refuse(Code::ReadingImpossible, detail)
}

fn missing(criteria: &[Criterion]) -> Refused {
    let names: Vec<_> = criteria.iter().map(|each| each.facts().name.to_lowercase()).collect();
    let keys: Vec<_> = criteria.iter().map(|each| each.key()).collect();
    let detail = format!("Take at least one reading of: {}.", names.join(", "));
    refuse(Code::CriteriaMissing, detail).field("readings").with("missing", json!(keys))
}
