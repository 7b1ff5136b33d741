//! Calendars behind secret addresses: one for a club, one for a machine, replaced when the address has leaked.

use chrono::{DateTime, Utc};
use diesel::prelude::*;
use diesel::upsert::excluded;
use diesel_async::{AsyncPgConnection, RunQueryDsl};

use super::calendar::{self, REACHES_BACK, SHOWS_CANCELLED};
use super::store::{self, Wanted};
use crate::access::tokens;
use crate::error::{Result, not_found};
use crate::ids::{ClubId, FeedId, MachineId, NetworkId};
use crate::schema::{calendar_feeds, clubs, machines};
use crate::time::{local, zone_of};

/// Whose bookings a calendar shows.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum FeedOf {
    /// Those of a club.
    Club(ClubId),
    /// Those of a machine.
    Machine(MachineId),
}

impl FeedOf {
    fn of(club: Option<ClubId>, machine: Option<MachineId>) -> Option<Self> {
        club.map(Self::Club).or(machine.map(Self::Machine))
    }

    fn ids(self) -> (Option<ClubId>, Option<MachineId>) {
        match self {
            Self::Club(club) => (Some(club), None),
            Self::Machine(machine) => (None, Some(machine)),
        }
    }
}

/// The club that may see and replace the address: the club itself, or the owner of the machine; none where the
/// network owns it. Scope: the network.
///
/// # Errors
/// `not_found`.
pub(super) async fn keeper(tx: &mut AsyncPgConnection, network: NetworkId, of: FeedOf) -> Result<Option<ClubId>> {
    Ok(match of {
        FeedOf::Club(club) => Some(clubs::table.find((network, club)).select(clubs::id).first(tx).await?),
        FeedOf::Machine(id) => machines::table.find((network, id)).select(machines::owner_club_id).first(tx).await?,
    })
}

/// The secret of an address, if one was made. Scope: the network.
pub(super) async fn secret(tx: &mut AsyncPgConnection, network: NetworkId, of: FeedOf) -> Result<Option<String>> {
    let (club, machine) = of.ids();
    Ok(calendar_feeds::table
        .filter(calendar_feeds::network_id.eq(network))
        .filter(calendar_feeds::club_id.is_not_distinct_from(club))
        .filter(calendar_feeds::machine_id.is_not_distinct_from(machine))
        .select(calendar_feeds::secret)
        .first(tx)
        .await
        .optional()?)
}

/// Makes an address, in place of the one before. Returns its secret. Scope: the network.
///
/// # Errors
/// A failing database.
pub async fn make_feed(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    of: FeedOf,
    now: DateTime<Utc>,
) -> Result<String> {
    let (club, machine) = of.ids();
    let secret = tokens::random();
    let row = diesel::insert_into(calendar_feeds::table).values((
        calendar_feeds::network_id.eq(network),
        calendar_feeds::id.eq(FeedId::new()),
        calendar_feeds::club_id.eq(club),
        calendar_feeds::machine_id.eq(machine),
        calendar_feeds::secret.eq(&secret),
        calendar_feeds::created_at.eq(now),
    ));
    let anew = (
        calendar_feeds::secret.eq(excluded(calendar_feeds::secret)),
        calendar_feeds::created_at.eq(excluded(calendar_feeds::created_at)),
    );
    match of {
        FeedOf::Club(_) => {
            let same = (calendar_feeds::network_id, calendar_feeds::club_id);
            row.on_conflict(same).do_update().set(anew).execute(tx).await?
        }
        FeedOf::Machine(_) => {
            let same = (calendar_feeds::network_id, calendar_feeds::machine_id);
            row.on_conflict(same).do_update().set(anew).execute(tx).await?
        }
    };
    Ok(secret)
}

/// The calendar behind a secret, as text. Scope: its network.
///
/// # Errors
/// `not_found` for a secret that opens nothing, or no longer.
pub async fn read_feed(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    secret: &str,
    public_url: &str,
    now: DateTime<Utc>,
) -> Result<String> {
    let (club, machine) = calendar_feeds::table
        .filter(calendar_feeds::network_id.eq(network))
        .filter(calendar_feeds::secret.eq(secret))
        .select((calendar_feeds::club_id, calendar_feeds::machine_id))
        .first(tx)
        .await?;
    let name: String = match FeedOf::of(club, machine).ok_or_else(not_found)? {
        FeedOf::Club(id) => clubs::table.find((network, id)).select(clubs::name).first(tx).await?,
        FeedOf::Machine(id) => machines::table.find((network, id)).select(machines::name).first(tx).await?,
    };
    let zone = zone_of(tx, network).await?;
    let after = Some(local(zone, now - REACHES_BACK));
    let wanted = Wanted { club, machine, after, standing: None, let_go_since: Some(now - SHOWS_CANCELLED) };
    let bookings = store::list(tx, network, wanted, None).await?;
    Ok(calendar::write(&name, &bookings, zone, public_url))
}
