//! What people enter of a machine. Which numbers are possible the constraints of the table decide.

use diesel::prelude::*;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::words::{Linkage, MachineKind, WhoMayBook};
use crate::error::Result;
use crate::ids::ClubId;
use crate::schema::machines;
use crate::text::{name_parse, note_parse};

/// A machine as entered: its measures, its charges and the rules for booking it.
#[derive(Debug, Clone, Serialize, Deserialize, ToSchema, Queryable, Selectable, Insertable, AsChangeset)]
#[diesel(table_name = machines, treat_none_as_null = true)]
pub struct MachineFacts {
    /// Generic name, unique in the network.
    pub name: String,
    /// What work it does.
    pub kind: MachineKind,
    /// The owning club; null when the network owns it.
    pub owner_club_id: Option<ClubId>,
    /// Working width.
    pub width_m: f64,
    /// Working speed.
    pub speed_km_h: f64,
    /// Share of the time spent working, above 0 and at most 1 (ASABE EP496).
    pub field_efficiency: f64,
    /// Deepest setting; null if it does not enter the ground.
    pub max_depth_mm: Option<i32>,
    /// Between tines across the direction of travel; null without tines.
    pub tine_spacing_across_mm: Option<i32>,
    /// Between holes along the direction of travel; null without tines.
    pub tine_spacing_forward_mm: Option<i32>,
    /// Power the tractor must have; null for none.
    pub tractor_kw: Option<f64>,
    /// How it is coupled.
    pub linkage: Linkage,
    /// Mass on the road.
    pub transport_kg: i32,
    /// For a lone half-day; null for no such charge.
    pub charge_per_half_day_pence: Option<i64>,
    /// For a whole day; null for no such charge.
    pub charge_per_day_pence: Option<i64>,
    /// Once a booking; null for no such charge.
    pub charge_per_use_pence: Option<i64>,
    /// Least length of a booking.
    pub shortest_half_days: i32,
    /// Greatest length of a booking.
    pub longest_half_days: i32,
    /// Kept free after each booking for the handover.
    pub gap_half_days: i32,
    /// For which clubs it can be booked.
    pub who_may_book: WhoMayBook,
    /// Whether a booking is asked for first, and stands when the coordinator agrees.
    pub coordinator_agrees: bool,
    /// Free text.
    pub note: String,
    /// No longer offered.
    pub retired: bool,
}

impl MachineFacts {
    /// The same with its texts trimmed.
    ///
    /// # Errors
    /// `invalid` for a name or note that will not do.
    pub(super) fn trimmed(self) -> Result<Self> {
        let name = name_parse("name", &self.name)?;
        let note = note_parse("note", &self.note)?;
        Ok(Self { name, note, ..self })
    }
}

/// A machine to add, or an added one as it shall be from now on.
#[derive(Debug, Clone, Serialize, Deserialize, ToSchema)]
pub struct MachineEntry {
    /// The machine.
    #[serde(flatten)]
    pub facts: MachineFacts,
    /// The clubs that may book it where only named clubs may.
    #[serde(default)]
    pub named_club_ids: Vec<ClubId>,
}
