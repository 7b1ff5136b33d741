//! What the work of a request would come to on each machine of a round, before it is asked for.

use std::collections::BTreeSet;

use chrono::NaiveDateTime;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::requests::is_there;
use super::store::{self as rounds, MachineRow, RoundRow};
use super::words::Grain;
use super::workload::{Work, most_running, slot_min, work_on};
use crate::access::{Act, Member};
use crate::database::Tx;
use crate::error::{Result, invalid};
use crate::ids::{ClubId, MachineId, PitchId, RoundId};
use crate::machines::{self, FieldWork, PitchHours, Terms};

/// What a club thinks of asking.
#[derive(Debug, Clone, Deserialize, Serialize, ToSchema)]
pub struct PreviewRequest {
    /// Which club.
    pub club_id: ClubId,
    /// Which pitches of it.
    pub pitch_ids: Vec<PitchId>,
    /// Minutes to couple, set and clean, on top of the work.
    pub set_up_min: i32,
    /// The half-days allowed so far, each by its beginning; none is not yet a fault.
    #[schema(value_type = Vec<String>, example = json!(["2027-05-04T00:00:00", "2027-05-04T12:00:00"]))]
    pub half_days: Vec<NaiveDateTime>,
}

/// What the work comes to.
#[derive(Debug, Serialize, ToSchema)]
pub struct RequestPreview {
    /// On each machine of the round, the quickest first.
    pub work: Vec<PreviewedWork>,
    /// Why it fits into the half-days allowed on no machine, in a sentence; null where it fits or none is chosen yet.
    pub hindrance: Option<String>,
}

/// What the work comes to on a machine, and how that was reckoned.
#[derive(Debug, Serialize, ToSchema)]
pub struct PreviewedWork {
    /// The machine.
    pub machine_id: MachineId,
    /// Its name.
    pub machine_name: String,
    /// How its field capacity comes about, with its numbers.
    #[schema(example = "2.0 km/h × 1.6 m × 0.75 ÷ 10 = 0.24 ha/h")]
    pub capacity_formula: String,
    /// The pitches, each with its hours.
    pub pitches: Vec<PitchHours>,
    /// Minutes in all, setting up included.
    pub work_min: i64,
    /// Working minutes of a half-day or day, by the round's grain.
    pub slot_min: i64,
    /// Half-days on end that it takes.
    pub half_days: i64,
    /// Where the formula is from.
    pub source: &'static str,
}

/// Reckons what a request would come to. Writes nothing.
///
/// # Errors
/// `not_found`, `not_your_role`; `invalid` for pitches of another club or an impossible set-up.
pub(super) async fn preview(
    tx: &mut Tx,
    member: &Member,
    id: RoundId,
    said: &PreviewRequest,
) -> Result<RequestPreview> {
    member.require(Act::AskForPlace, Some(said.club_id))?;
    if !(0..=240).contains(&said.set_up_min) {
        return Err(invalid("set_up_min", "Setting up takes 0 to 240 minutes.").into());
    }
    let network = member.network_id;
    let round = rounds::find(tx, network, id).await?;
    let ids: Vec<PitchId> = said.pitch_ids.iter().copied().collect::<BTreeSet<_>>().into_iter().collect();
    let pitches = machines::pitches_of(tx, network, said.club_id, &ids).await?;
    if pitches.len() != ids.len() {
        return Err(invalid("pitch_ids", "Choose pitches of the club itself.").into());
    }
    let area_m2 = pitches.iter().map(|(.., area_m2)| i64::from(*area_m2)).sum();
    let machines = rounds::machines_of(tx, network, &[id]).await?;
    let mut work = Vec::new();
    let mut longest: Vec<(i64, i64)> = Vec::new();
    for machine in &machines {
        let terms = Terms::read(tx, network, machine.machine_id).await?;
        let reckoned = work_on(machine, round.grain, area_m2, said.set_up_min)?;
        longest.push((reckoned.slots, longest_run(&round, machine, &said.half_days)));
        work.push(previewed(&round, machine, reckoned, machines::field_work(&terms, pitches.clone())?));
    }
    work.sort_by_key(|work| work.work_min);
    let hindrance = (!said.half_days.is_empty() && !ids.is_empty()).then(|| hindrance(round.grain, &longest)).flatten();
    Ok(RequestPreview { work, hindrance })
}

fn previewed(round: &RoundRow, machine: &MachineRow, work: Work, field: FieldWork) -> PreviewedWork {
    PreviewedWork {
        machine_id: machine.machine_id,
        machine_name: machine.name.clone(),
        capacity_formula: field.capacity_formula,
        pitches: field.pitches,
        work_min: work.work_min,
        slot_min: slot_min(round.grain),
        half_days: match round.grain {
            Grain::HalfDays => work.slots,
            Grain::Days => 2 * work.slots,
        },
        source: field.source,
    }
}

/// The longest run of slots allowed while the machine is there.
fn longest_run(round: &RoundRow, machine: &MachineRow, half_days: &[NaiveDateTime]) -> i64 {
    let there: BTreeSet<NaiveDateTime> = half_days.iter().copied().filter(|at| is_there(machine, *at)).collect();
    most_running(round.grain, &there.into_iter().collect::<Vec<_>>())
}

/// Of slots needed and slots had for each machine: what is missing, where it is missing for all.
fn hindrance(grain: Grain, needed_and_had: &[(i64, i64)]) -> Option<String> {
    if needed_and_had.iter().any(|(needed, had)| had >= needed) {
        return None;
    }
    let (needed, had) = needed_and_had.iter().min_by_key(|(needed, had)| needed - had)?;
    let what = match (grain, *needed) {
        (Grain::HalfDays, 1) => "half-day while the machine is there",
        (Grain::HalfDays, _) => "half-days on end while the machine is there",
        (Grain::Days, 1) => "whole day while the machine is there",
        (Grain::Days, _) => "whole days on end while the machine is there",
    };
    Some(format!("The work needs {needed} {what}; the longest stretch ticked is {had}."))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_what_fits_no_machine_is_hindered() {
        assert_eq!(hindrance(Grain::HalfDays, &[(3, 2), (2, 2)]), None);
        assert_eq!(
            hindrance(Grain::HalfDays, &[(5, 2), (3, 2)]).unwrap(),
            "The work needs 3 half-days on end while the machine is there; the longest stretch ticked is 2."
        );
        assert_eq!(
            hindrance(Grain::Days, &[(1, 0)]).unwrap(),
            "The work needs 1 whole day while the machine is there; the longest stretch ticked is 0."
        );
        assert_eq!(hindrance(Grain::Days, &[]), None);
    }
}
