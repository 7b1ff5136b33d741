//! Money of hires that waits for somebody, and what hires were charged: the front door for the page of needs and for
//! whoever reckons the worth of a machine.

use chrono::NaiveDateTime;
use diesel_async::AsyncPgConnection;
use logistics::half_days::HalfDaySpan;

use super::store::owed as store;
use crate::error::Result;
use crate::ids::{ClubId, MachineId, NetworkId, RoundId};

/// What a club owes for the hire of a machine.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct OpenShare {
    /// Who owes.
    pub club_name: String,
    /// For which machine.
    pub machine_name: String,
    /// The round whose page tells why.
    pub round_id: RoundId,
    /// Share and helper trips.
    pub owes_pence: i64,
}

/// A hire that is over and whose money waits for the coordinator.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct OpenHire {
    /// Which machine was hired.
    pub machine_name: String,
    /// In which round.
    pub round_id: RoundId,
    /// Its title.
    pub round_title: String,
    /// What was entered and is to be settled; none while nothing is entered.
    pub total_pence: Option<i64>,
}

/// What hires of a machine came to.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Charges {
    /// Who was charged what: invoice, fuel, wear and towing.
    pub charged: Vec<Charged>,
    /// What suppliers asked; fuel, wear and towing are not in it.
    pub invoice_pence: i64,
}

/// What somebody was charged for hires of a machine.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Charged {
    /// Who; none for the fund of the network.
    pub club_id: Option<ClubId>,
    /// Share and helper trips.
    pub pence: i64,
}

/// What some clubs owe for hires and have not settled, oldest first. Scope: the network.
///
/// # Errors
/// A failing database.
pub async fn open_shares(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    of_clubs: &[ClubId],
) -> Result<Vec<OpenShare>> {
    let rows = store::open_shares(tx, network, of_clubs).await?;
    let open = |row: store::OpenShareRow| OpenShare {
        club_name: row.club_name,
        machine_name: row.machine_name,
        round_id: row.round_id,
        owes_pence: row.owes_pence,
    };
    Ok(rows.into_iter().map(open).collect())
}

/// Hires that some club had, that are over at this local time, and whose shares are not entered or not settled; the
/// longest over first. Scope: the network.
///
/// # Errors
/// A failing database.
pub async fn open_hires(tx: &mut AsyncPgConnection, network: NetworkId, wall: NaiveDateTime) -> Result<Vec<OpenHire>> {
    let rows = store::open_hires(tx, network, wall).await?;
    let open = |row: store::OpenHireRow| OpenHire {
        machine_name: row.machine_name,
        round_id: row.round_id,
        round_title: row.round_title,
        total_pence: row.total_pence,
    };
    Ok(rows.into_iter().map(open).collect())
}

/// What was charged for hires of a machine that begin within a span, by statements that stand, settled or not. Scope:
/// the network.
///
/// # Errors
/// A failing database.
pub async fn charged(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    machine: MachineId,
    span: HalfDaySpan,
) -> Result<Charges> {
    let (rows, invoice_pence) = store::charged(tx, network, machine, span).await?;
    let charged = rows.into_iter().map(|(club_id, pence)| Charged { club_id, pence }).collect();
    Ok(Charges { charged, invoice_pence })
}
