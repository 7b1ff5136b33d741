//! How fast a machine works, and how long it is at it.

use agronomy::field_work::{HOURS_PER_HALF_DAY, effective_field_capacity_ha_per_h, hours_for_area};
use diesel::prelude::*;

use crate::schema::machines;

/// What the pace of a machine comes from (ASABE EP496).
#[derive(Debug, Clone, Copy, Queryable, Selectable)]
#[diesel(table_name = machines)]
pub struct Pace {
    width_m: f64,
    speed_km_h: f64,
    field_efficiency: f64,
}

impl Pace {
    /// Minutes of work, a started one counted: by area and pace, or by the half-days where no ground is named.
    #[must_use]
    #[expect(clippy::as_conversions, reason = "rounded up; areas and half-days are bounded by their tables")]
    pub fn work_min(&self, area_m2: i64, half_days: i64) -> i64 {
        let area_m2 = i32::try_from(area_m2).map_or(f64::INFINITY, f64::from);
        let by_area = effective_field_capacity_ha_per_h(self.speed_km_h, self.width_m, self.field_efficiency)
            .and_then(|capacity| hours_for_area(area_m2, capacity));
        let hours = by_area.ok().filter(|_| area_m2 > 0.0).unwrap_or(HOURS_PER_HALF_DAY * half_days as f64);
        (hours * 60.0).ceil() as i64
    }
}
