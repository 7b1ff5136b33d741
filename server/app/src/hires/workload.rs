//! How long a request keeps a machine, and whether its half-days hold that. Knows no database.

use agronomy::field_work::{effective_field_capacity_ha_per_h, hours_for_area};
use chrono::{NaiveDateTime, TimeDelta, Timelike};
use logistics::rounds::Clock;

use super::store::MachineRow;
use super::words::Grain;
use crate::error::{Refused, invalid};

/// A request's work on one machine.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Work {
    /// Hours of work on the turf.
    pub(super) hours: f64,
    /// Minutes in all, setting up included.
    pub(super) work_min: i64,
    /// Half-days or days, by the round's grain.
    pub(super) slots: i64,
}

impl From<Grain> for logistics::rounds::Grain {
    fn from(grain: Grain) -> Self {
        match grain {
            Grain::HalfDays => Self::HalfDays,
            Grain::Days => Self::Days,
        }
    }
}

/// The work of a machine on so much turf: field capacity after ASABE EP496, and the setting up.
///
/// # Errors
/// `invalid` for an area no machine gets through.
pub(super) fn work_on(machine: &MachineRow, grain: Grain, area_m2: i64, set_up_min: i32) -> Result<Work, Refused> {
    let area_m2: f64 = i32::try_from(area_m2).map_or(f64::INFINITY, f64::from);
    let hours = effective_field_capacity_ha_per_h(machine.speed_km_h, machine.width_m, machine.field_efficiency)
        .and_then(|capacity| hours_for_area(area_m2, capacity))
        .map_err(|_| invalid("pitch_ids", "That is more turf than a machine gets through."))?;
    let work_min = whole_minutes(hours) + i64::from(set_up_min);
    let slot_min = slot_min(grain);
    Ok(Work { hours, work_min, slots: work_min.div_euclid(slot_min) + i64::from(work_min.rem_euclid(slot_min) > 0) })
}

/// Working minutes of a half-day or day.
pub(super) fn slot_min(grain: Grain) -> i64 {
    Clock::new(grain.into()).work_min()
}

/// Minutes, a started one counted; at least one.
#[expect(clippy::as_conversions, reason = "a job of more hours than fit into minutes is capped by the conversion")]
fn whole_minutes(hours: f64) -> i64 {
    ((hours * 60.0).ceil() as i64).clamp(1, i64::from(u32::MAX))
}

/// The longest run of slots among half-days in order; by days, of days with both halves.
pub(super) fn most_running(grain: Grain, half_days: &[NaiveDateTime]) -> i64 {
    let step = match grain {
        Grain::HalfDays => TimeDelta::hours(12),
        Grain::Days => TimeDelta::hours(24),
    };
    let whole = |at: &&NaiveDateTime| match grain {
        Grain::HalfDays => true,
        Grain::Days => at.hour() == 0 && half_days.contains(&(**at + TimeDelta::hours(12))),
    };
    let mut most = 0;
    let mut run = 0;
    let mut before: Option<NaiveDateTime> = None;
    for &at in half_days.iter().filter(whole) {
        run = if before.is_some_and(|before| at - before == step) { run + 1 } else { 1 };
        most = most.max(run);
        before = Some(at);
    }
    most
}

#[cfg(test)]
mod tests {
    use super::*;
    use chrono::NaiveDate;

    fn at(day: u32, hour: u32) -> NaiveDateTime {
        NaiveDate::from_ymd_opt(2027, 5, day).unwrap().and_hms_opt(hour, 0, 0).unwrap()
    }

    #[test]
    fn a_run_is_broken_by_a_missing_half() {
        let half_days = [at(3, 12), at(4, 0), at(4, 12), at(6, 0), at(6, 12), at(7, 0), at(7, 12)];
        assert_eq!(most_running(Grain::HalfDays, &half_days), 4);
        assert_eq!(most_running(Grain::Days, &half_days), 2);
        assert_eq!(most_running(Grain::Days, &[at(3, 12), at(4, 0)]), 0);
        assert_eq!(most_running(Grain::HalfDays, &[]), 0);
    }
}
