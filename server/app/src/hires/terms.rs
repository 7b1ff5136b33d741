//! What a coordinator says of a hire and of the round it opens. Which sums are possible the constraints decide.

use chrono::{DateTime, NaiveDate, TimeDelta, Utc};
use diesel::prelude::*;
use logistics::half_days::HalfDaySpan;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::words::{Grain, HauledBy};
use crate::error::{Refused, invalid};
use crate::ids::{MachineId, SupplierId};
use crate::machines::Span;
use crate::schema::{hires, rounds};
use crate::text::{name_parse, note_parse};

/// The longest round the planner takes, days.
pub(super) const LONGEST_DAYS: i64 = 60;

/// A hire, as agreed with the supplier.
#[derive(Debug, Clone, Serialize, Deserialize, ToSchema)]
pub struct CreateHire {
    /// What is hired: a machine of the network.
    pub machine_id: MachineId,
    /// The half-days it is hired for.
    pub span: Span,
    /// The rest of what is agreed.
    #[serde(flatten)]
    pub charges: HireCharges,
}

/// A hire as it stands after a change: another machine is another hire.
#[derive(Debug, Clone, Serialize, Deserialize, ToSchema)]
pub struct ChangeHire {
    /// The half-days it is hired for.
    pub span: Span,
    /// The rest of what is agreed.
    #[serde(flatten)]
    pub charges: HireCharges,
}

/// From whom a machine is hired, and what it costs.
#[derive(Debug, Clone, Serialize, Deserialize, ToSchema, Queryable, Selectable, Insertable, AsChangeset)]
#[diesel(table_name = hires, treat_none_as_null = true)]
pub struct HireCharges {
    /// From whom.
    pub supplier_id: SupplierId,
    /// For seven days; null for no such charge.
    pub per_week_pence: Option<i64>,
    /// For a day; null for no such charge.
    pub per_day_pence: Option<i64>,
    /// For a lone half-day; null for no such charge.
    pub per_half_day_pence: Option<i64>,
    /// For a hectare worked; null for no such charge.
    pub per_ha_pence: Option<i64>,
    /// For bringing it.
    pub delivery_pence: i64,
    /// For fetching it.
    pub collection_pence: i64,
    /// Given back at the end; no part of the cost.
    pub deposit_pence: i64,
    /// Fuel for an hour of work.
    pub fuel_pence_per_hour: i64,
    /// Towing it for a kilometre.
    pub haul_pence_per_km: i64,
    /// Who brings it and takes it back.
    pub hauled_by: HauledBy,
    /// Where the supplier keeps it; needed where the clubs haul.
    pub depot_latitude_deg: Option<f64>,
    /// Where the supplier keeps it; needed where the clubs haul.
    pub depot_longitude_deg: Option<f64>,
    /// Free text.
    pub note: String,
}

/// A round and the first hire in it.
#[derive(Debug, Clone, Serialize, Deserialize, ToSchema)]
pub struct OpenRound {
    /// What clubs are told.
    #[serde(flatten)]
    pub terms: RoundTerms,
    /// The unit in which clubs are placed.
    pub grain: Grain,
    /// The hire.
    pub hire: CreateHire,
}

/// What clubs are told of a round, and how it is planned.
#[derive(Debug, Clone, Serialize, Deserialize, ToSchema, Queryable, Selectable, Insertable, AsChangeset)]
#[diesel(table_name = rounds)]
pub struct RoundTerms {
    /// As members see it.
    pub title: String,
    /// Requests can be changed until then; then they close by themselves.
    pub requests_close_at: DateTime<Utc>,
    /// Policy: one preference point is worth so many hectometres of road.
    pub hm_per_point: i32,
    /// A club left out so many times running is served first; 0 for never.
    pub guarantee_after: i32,
    /// Free text for the clubs.
    pub note: String,
}

/// A hire that holds together.
pub(super) struct Checked {
    pub(super) machine_id: MachineId,
    pub(super) span: HalfDaySpan,
    pub(super) days: Days,
    pub(super) charges: HireCharges,
}

impl CreateHire {
    /// Checks what no constraint can say in words, and trims.
    pub(super) fn checked(&self) -> Result<Checked, Refused> {
        let span = self.span.parse().map_err(|refused| refused.field("span"))?;
        let days = Days::of(&span)?;
        Ok(Checked { machine_id: self.machine_id, span, days, charges: self.charges.checked()? })
    }
}

impl HireCharges {
    /// Whether both name the same depot; one that is written anew to the last digit is.
    pub(super) fn same_depot(&self, other: &Self) -> bool {
        (self.depot_latitude_deg, self.depot_longitude_deg) == (other.depot_latitude_deg, other.depot_longitude_deg)
    }

    /// Checks what no constraint can say in words, and trims.
    pub(super) fn checked(&self) -> Result<Self, Refused> {
        match (self.hauled_by, self.depot_latitude_deg, self.depot_longitude_deg) {
            (HauledBy::Clubs, None, _) | (HauledBy::Clubs, _, None) => {
                Err(invalid("depot_latitude_deg", "Say where the clubs fetch it from."))
            }
            (HauledBy::Supplier, Some(_), None) | (HauledBy::Supplier, None, Some(_)) => {
                Err(invalid("depot_latitude_deg", "Give both latitude and longitude, or neither."))
            }
            _ => Ok(Self { note: note_parse("note", &self.note)?, ..self.clone() }),
        }
    }
}

impl RoundTerms {
    /// Checks the deadline against now and the first day, and trims.
    pub(super) fn checked(&self, first_half_day: DateTime<Utc>, now: DateTime<Utc>) -> Result<Self, Refused> {
        if self.requests_close_at <= now {
            return Err(invalid("requests_close_at", "The deadline for requests must lie ahead."));
        }
        if self.requests_close_at > first_half_day {
            return Err(invalid("requests_close_at", "Requests must close before the machine comes."));
        }
        let title = name_parse("title", &self.title)?;
        Ok(Self { title, note: note_parse("note", &self.note)?, ..self.clone() })
    }
}

/// The days a hire touches, both within it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Days {
    pub(super) from_on: NaiveDate,
    pub(super) until_on: NaiveDate,
}

impl Days {
    /// Those of a hire.
    pub(super) fn of(span: &HalfDaySpan) -> Result<Self, Refused> {
        let days = Self { from_on: span.from().date(), until_on: (span.until() - TimeDelta::hours(12)).date() };
        days.short_enough()?;
        Ok(days)
    }

    /// The days of both.
    pub(super) fn with(self, other: Self) -> Result<Self, Refused> {
        let both = Self { from_on: self.from_on.min(other.from_on), until_on: self.until_on.max(other.until_on) };
        both.short_enough()?;
        Ok(both)
    }

    fn short_enough(self) -> Result<(), Refused> {
        match (self.until_on - self.from_on).num_days() < LONGEST_DAYS {
            true => Ok(()),
            false => Err(invalid("span", "A round is at most 60 days from its first day to its last.")),
        }
    }
}
