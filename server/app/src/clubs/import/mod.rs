//! Bringing in clubs, grounds and pitches from a spreadsheet: CSV, one row a pitch.
//!
//! Promises: all of it or nothing, every bad line named with its reason, and a dry run that cannot disagree with the
//! real run, because it is the real run in a transaction that is not committed. What is here already is never
//! changed: rows may add pitches to clubs and grounds they describe as they are, and nothing else.

mod plan;
mod sheet;
mod store;

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use crate::access::{Act, Member};
use crate::database::Tx;
use crate::error::Result;

/// A spreadsheet of places.
#[derive(Debug, Serialize, Deserialize, ToSchema)]
pub struct CreateImport {
    /// Comma-separated values (RFC 4180) with a header line of these columns in any order: `club`, `sharing`,
    /// `ground`, `latitude_deg`, `longitude_deg`, `soil`, `drainage`, `lorry_access`, `hard_standing`, `tractor_kw`,
    /// `pitch`, `sport`, `length_m`, `width_m`.
    pub csv: String,
    /// Only say what would happen.
    pub dry_run: bool,
}

/// What an import adds, or why it adds nothing.
#[derive(Debug, Serialize, ToSchema)]
#[must_use = "an import with faults adds nothing"]
pub struct ImportReport {
    /// Whether this only says what would happen.
    pub dry_run: bool,
    /// How many clubs are added.
    pub clubs: usize,
    /// How many grounds are added.
    pub grounds: usize,
    /// How many pitches are added.
    pub pitches: usize,
    /// What is wrong, by line; while anything is, nothing is added.
    pub faults: Vec<ImportFault>,
}

/// Something wrong with a line.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct ImportFault {
    /// The line of the file; the header is line 1.
    pub line: u64,
    /// The column, where one is to blame.
    pub column: Option<String>,
    /// Plain words.
    pub reason: String,
}

impl ImportFault {
    fn of_line(line: u64, reason: impl Into<String>) -> Self {
        Self { line, column: None, reason: reason.into() }
    }

    fn of_column(line: u64, column: &str, reason: impl Into<String>) -> Self {
        Self { line, column: Some(column.to_owned()), reason: reason.into() }
    }
}

/// Adds the places of a spreadsheet, or nothing if it has faults. The caller commits.
///
/// # Errors
/// `not_your_role`; `name_taken` when somebody else adds the same place at the same moment.
pub async fn import_places(tx: &mut Tx, member: &Member, said: &CreateImport) -> Result<ImportReport> {
    member.require(Act::AddClub, None)?;
    let (rows, mut faults) = sheet::read(&said.csv);
    let known = store::known_places(tx, member.network_id).await?;
    let (plan, contradictions) = plan::draw(rows, known);
    faults.extend(contradictions);
    faults.sort_by_key(|fault| fault.line);
    if !faults.is_empty() {
        return Ok(ImportReport { dry_run: said.dry_run, clubs: 0, grounds: 0, pitches: 0, faults });
    }
    store::add(tx, member.network_id, &plan).await?;
    Ok(ImportReport {
        dry_run: said.dry_run,
        clubs: plan.clubs.len(),
        grounds: plan.grounds.len(),
        pitches: plan.pitches.len(),
        faults,
    })
}
