//! How long a job takes, what it costs and when it could be done. Knows no database.

use agronomy::field_work::{effective_field_capacity_ha_per_h, half_days_for, hours_for_area};
use agronomy::tines::holes_per_m2;
use anyhow::Context;
use chrono::NaiveDateTime;
use logistics::charges::{self, ChargeUnit};
use serde::Serialize;
use utoipa::ToSchema;

use super::facts::MachineFacts;
use super::span::Span;
use super::terms::Terms;
use super::timetable::Timetable;
use crate::error::Result;
use crate::ids::PitchId;

/// How long a machine takes for pitches of a club, and when it could come.
#[derive(Debug, Serialize, ToSchema)]
pub struct Reckoning {
    /// Area covered in an hour of the whole job.
    pub capacity_ha_per_h: f64,
    /// How that comes about, with its numbers.
    #[schema(example = "2.0 km/h × 1.6 m × 0.75 ÷ 10 = 0.24 ha/h")]
    pub capacity_formula: String,
    /// The pitches, each with its hours.
    pub pitches: Vec<PitchHours>,
    /// Hours in all.
    pub hours: f64,
    /// Half-days to book for them.
    pub half_days: u32,
    /// The longest booking of the machine; where `half_days` is more, the proposals are this long.
    pub longest_half_days: i32,
    /// Tine holes; null where the spacing is not known.
    pub holes_per_m2: Option<f64>,
    /// The first times when the machine is free for long enough; at most five.
    pub proposals: Vec<Proposal>,
    /// Where the formula is from.
    pub source: &'static str,
}

/// A pitch and how long it takes.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct PitchHours {
    /// The pitch.
    pub pitch_id: PitchId,
    /// Its name.
    pub name: String,
    /// Turf worked.
    pub area_m2: i32,
    /// Hours for one pass.
    pub hours: f64,
}

/// A time when the machine is free, and what it costs then.
#[derive(Debug, Serialize, ToSchema)]
pub struct Proposal {
    /// The half-days.
    pub span: Span,
    /// What they cost.
    pub charge_pence: i64,
    /// How that comes about.
    pub charge_parts: Vec<ChargePart>,
}

/// What a span costs.
#[derive(Debug, Serialize, ToSchema)]
pub struct Charge {
    /// The sum of the parts.
    pub charge_pence: i64,
    /// Days, half-days, the use.
    pub parts: Vec<ChargePart>,
}

/// One line of a charge: `pence = count × unit_pence`.
#[derive(Debug, Serialize, ToSchema)]
pub struct ChargePart {
    /// What is counted.
    pub what: ChargeWhat,
    /// How many.
    pub count: u32,
    /// What one costs.
    pub unit_pence: i64,
    /// What they cost.
    pub pence: i64,
}

/// What a charge counts.
#[derive(Debug, Clone, Copy, Serialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum ChargeWhat {
    /// Half-days.
    HalfDay,
    /// Whole days.
    Day,
    /// The use itself.
    Use,
}

impl From<charges::Charge> for Charge {
    fn from(charge: charges::Charge) -> Self {
        let part = |part: charges::ChargePart| ChargePart {
            what: match part.what {
                ChargeUnit::HalfDay => ChargeWhat::HalfDay,
                ChargeUnit::Day => ChargeWhat::Day,
                ChargeUnit::Use => ChargeWhat::Use,
            },
            count: part.count,
            unit_pence: part.unit_pence,
            pence: part.pence,
        };
        Self { charge_pence: charge.total_pence, parts: charge.parts.into_iter().map(part).collect() }
    }
}

/// The standard the capacity is reckoned by.
const SOURCE: &str = "ASABE EP496";

/// Reckons a job on pitches, given as id, name and area in m², and looks for times from a local time on.
pub(super) fn reckon(
    terms: &Terms,
    timetable: &Timetable,
    pitches: Vec<(PitchId, String, i32)>,
    from: NaiveDateTime,
) -> Result<Reckoning> {
    let FieldWork { capacity_ha_per_h, capacity_formula, pitches, source } = field_work(terms, pitches)?;
    let hours = pitches.iter().map(|pitch| pitch.hours).sum();
    let half_days = half_days_for(hours);
    Ok(Reckoning {
        capacity_ha_per_h,
        capacity_formula,
        pitches,
        hours,
        half_days,
        longest_half_days: terms.facts.longest_half_days,
        holes_per_m2: holes(&terms.facts),
        proposals: propose(terms, timetable, half_days, from)?,
        source,
    })
}

/// How long a machine works on pitches, and how that comes about.
#[derive(Debug)]
pub struct FieldWork {
    /// Area covered in an hour of the whole job.
    pub capacity_ha_per_h: f64,
    /// How that comes about, with its numbers.
    pub capacity_formula: String,
    /// The pitches, each with its hours.
    pub pitches: Vec<PitchHours>,
    /// Where the formula is from.
    pub source: &'static str,
}

/// Reckons the work on pitches, given as id, name and area in m².
///
/// # Errors
/// More turf than a machine gets through.
pub fn field_work(terms: &Terms, pitches: Vec<(PitchId, String, i32)>) -> Result<FieldWork> {
    let facts = &terms.facts;
    let capacity_ha_per_h = effective_field_capacity_ha_per_h(facts.speed_km_h, facts.width_m, facts.field_efficiency)
        .context("the table admits possible machines only")?;
    let pitches = pitches
        .into_iter()
        .map(|(pitch_id, name, area_m2)| {
            let hours = hours_for_area(f64::from(area_m2), capacity_ha_per_h)?;
            Ok(PitchHours { pitch_id, name, area_m2, hours })
        })
        .collect::<anyhow::Result<Vec<_>>>()?;
    let capacity_formula = formula(facts, capacity_ha_per_h);
    Ok(FieldWork { capacity_ha_per_h, capacity_formula, pitches, source: SOURCE })
}

fn propose(terms: &Terms, timetable: &Timetable, half_days: u32, from: NaiveDateTime) -> Result<Vec<Proposal>> {
    let length = i32::try_from(half_days).unwrap_or(i32::MAX);
    let length = length.max(terms.facts.shortest_half_days).min(terms.facts.longest_half_days);
    let spans = timetable.first(from, u32::try_from(length).unwrap_or_default());
    let proposal = |span| {
        let charge = Charge::from(terms.charge(&span)?);
        Ok(Proposal { span: span.into(), charge_pence: charge.charge_pence, charge_parts: charge.parts })
    };
    spans.into_iter().map(proposal).collect()
}

fn holes(facts: &MachineFacts) -> Option<f64> {
    let (across_mm, forward_mm) = facts.tine_spacing_across_mm.zip(facts.tine_spacing_forward_mm)?;
    holes_per_m2(f64::from(across_mm), f64::from(forward_mm)).ok()
}

/// "2.0 km/h × 1.6 m × 0.75 ÷ 10 = 0.24 ha/h": numbers as entered, the result to four places.
fn formula(facts: &MachineFacts, capacity_ha_per_h: f64) -> String {
    let rounded = (capacity_ha_per_h * 10_000.0).round() / 10_000.0;
    format!(
        "{:?} km/h × {:?} m × {:?} ÷ 10 = {rounded:?} ha/h",
        facts.speed_km_h, facts.width_m, facts.field_efficiency
    )
}
