//! A round as members see it.

use chrono::NaiveDate;
use serde::Serialize;
use utoipa::ToSchema;

use super::store::{self, HireRow, MachineRow, RoundRow};
use super::terms::{HireCharges, RoundTerms};
use super::words::{Grain, RoundState};
use crate::access::Member;
use crate::error::Result;
use crate::ids::{ClubId, GroundId, HireId, MachineId, RoundId};
use crate::machines::{MachineKind, Span};
use diesel_async::AsyncPgConnection;

/// A round: machines that travel from club to club, and the hires they come by.
#[derive(Debug, Serialize, ToSchema)]
pub struct Round {
    /// The round.
    pub round_id: RoundId,
    /// What clubs are told.
    #[serde(flatten)]
    pub terms: RoundTerms,
    /// The unit in which clubs are placed.
    pub grain: Grain,
    /// Its first day.
    pub from_on: NaiveDate,
    /// Its last day, itself within the round.
    pub until_on: NaiveDate,
    /// Where it stands.
    pub state: RoundState,
    /// Why it was called off.
    pub called_off_reason: Option<String>,
    /// The machines, by name.
    pub machines: Vec<RoundMachine>,
    /// The hires, in the order they were entered.
    pub hires: Vec<Hire>,
    /// How many places are asked for.
    pub requests: i64,
    /// How many of them by clubs of yours.
    pub your_requests: i64,
    /// Counts changes; the ETag.
    pub version: i32,
}

/// A machine of a round.
#[derive(Debug, Serialize, ToSchema)]
pub struct RoundMachine {
    /// The machine.
    pub machine_id: MachineId,
    /// Its name.
    pub name: String,
    /// What work it does.
    pub kind: MachineKind,
    /// Deepest setting; null if it does not enter the ground.
    pub max_depth_mm: Option<i32>,
    /// Power the tractor must have; null for none.
    pub tractor_kw: Option<f64>,
    /// The hire it comes by; null for an owned machine.
    pub hire_id: Option<HireId>,
    /// Where an owned machine is fetched from and brought back to.
    pub kept_ground_id: Option<GroundId>,
    /// When clubs can have it: the hire, or the round for an owned machine.
    pub span: Span,
}

/// A machine taken from a supplier for given dates.
#[derive(Debug, Serialize, ToSchema)]
pub struct Hire {
    /// The hire.
    pub hire_id: HireId,
    /// What is hired.
    pub machine_id: MachineId,
    /// The supplier's name.
    pub supplier_name: String,
    /// The half-days it is hired for.
    pub span: Span,
    /// From whom, and what it costs.
    #[serde(flatten)]
    pub charges: HireCharges,
}

/// One round. Scope: the network.
pub(super) async fn load(tx: &mut AsyncPgConnection, member: &Member, id: RoundId) -> Result<Round> {
    let row = store::find(tx, member.network_id, id).await?;
    let mut rounds = gather(tx, member, vec![row]).await?;
    Ok(rounds.pop().ok_or(diesel::result::Error::NotFound)?)
}

/// Rounds with all that belongs to them, in three further queries however many there are. Scope: the network.
pub(super) async fn gather(tx: &mut AsyncPgConnection, member: &Member, rows: Vec<RoundRow>) -> Result<Vec<Round>> {
    let ids: Vec<RoundId> = rows.iter().map(|row| row.id).collect();
    let machines = store::machines_of(tx, member.network_id, &ids).await?;
    let hires = store::hires_of(tx, member.network_id, &ids).await?;
    let counts = store::request_counts(tx, member.network_id, &ids).await?;
    Ok(rows.into_iter().map(|row| view(member, row, &machines, &hires, &counts)).collect())
}

fn view(
    member: &Member,
    row: RoundRow,
    machines: &[MachineRow],
    hires: &[HireRow],
    counts: &[(RoundId, ClubId, i64)],
) -> Round {
    let whole = row.whole_days();
    let machine = |each: &MachineRow| RoundMachine {
        machine_id: each.machine_id,
        name: each.name.clone(),
        kind: each.kind,
        max_depth_mm: each.max_depth_mm,
        tractor_kw: each.tractor_kw,
        hire_id: each.hire_id,
        kept_ground_id: each.kept_ground_id,
        span: each.hired.map_or(whole, |hired| hired.0.into()),
    };
    let hire = |each: &HireRow| Hire {
        hire_id: each.id,
        machine_id: each.machine_id,
        supplier_name: each.supplier_name.clone(),
        span: each.span.0.into(),
        charges: each.charges.clone(),
    };
    let asked = || counts.iter().filter(|(round, ..)| *round == row.id);
    Round {
        round_id: row.id,
        grain: row.grain,
        from_on: row.from_on,
        until_on: row.until_on,
        state: row.state,
        machines: machines.iter().filter(|each| each.round_id == row.id).map(machine).collect(),
        hires: hires.iter().filter(|each| each.round_id == row.id).map(hire).collect(),
        requests: asked().map(|(.., count)| count).sum(),
        your_requests: asked().filter(|(_, club, _)| member.belongs_to(*club)).map(|(.., count)| count).sum(),
        version: row.version,
        called_off_reason: row.called_off_reason,
        terms: row.terms,
    }
}
