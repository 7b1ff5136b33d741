//! The terms of a machine: who may book it, for how long, at what charge.

use diesel_async::AsyncPgConnection;
use logistics::charges::{Charge, ChargeRules, charge};
use logistics::half_days::HalfDaySpan;

use super::facts::MachineFacts;
use super::store;
use super::words::WhoMayBook;
use crate::error::{Code, Refused, Result, refuse};
use crate::ids::{AvailabilityId, ClubId, MachineId, NetworkId};

/// The terms of a machine, as they stand.
pub struct Terms {
    /// The machine.
    pub machine_id: MachineId,
    /// What it is and how it may be booked.
    pub facts: MachineFacts,
    named: Vec<ClubId>,
}

impl Terms {
    /// The terms as they are now. Scope: the network.
    ///
    /// # Errors
    /// `not_found`.
    pub async fn read(tx: &mut AsyncPgConnection, network: NetworkId, id: MachineId) -> Result<Self> {
        let facts = store::find(tx, network, id).await?.0.facts;
        Self::with_named(tx, network, id, facts).await
    }

    /// The terms, kept from changing until the transaction ends.
    ///
    /// The row is locked against other bookings too: changes to the bookings of one machine come one after another.
    /// Without that, two at once would each wait for the other in the exclusion constraint, and PostgreSQL would end
    /// one of them as a deadlock instead of telling it what is taken.
    ///
    /// # Errors
    /// `not_found`.
    pub async fn hold(tx: &mut AsyncPgConnection, network: NetworkId, id: MachineId) -> Result<Self> {
        let facts = store::lock(tx, network, id).await?;
        Self::with_named(tx, network, id, facts).await
    }

    async fn with_named(
        tx: &mut AsyncPgConnection,
        network: NetworkId,
        machine_id: MachineId,
        facts: MachineFacts,
    ) -> Result<Self> {
        let named = store::named_of(tx, network, &[machine_id]).await?;
        Ok(Self { machine_id, facts, named: named.into_iter().map(|(_, club)| club).collect() })
    }

    /// Refuses a club that may not book the machine, whoever presses.
    ///
    /// # Errors
    /// `machine_not_open_to_club`.
    pub fn admit(&self, club: ClubId) -> Result<(), Refused> {
        let owns = self.facts.owner_club_id == Some(club);
        let open = match self.facts.who_may_book {
            WhoMayBook::EveryClub => true,
            WhoMayBook::OwnerOnly => owns,
            WhoMayBook::NamedClubs => owns || self.named.contains(&club),
        };
        match (self.facts.retired, open) {
            (true, _) => Err(refuse(Code::MachineNotOpenToClub, "It is retired and no longer offered.")),
            (false, false) => Err(refuse(Code::MachineNotOpenToClub, "Ask its owner or your coordinator to open it.")),
            (false, true) => Ok(()),
        }
    }

    /// Refuses a span that is shorter or longer than a booking of the machine may be.
    ///
    /// # Errors
    /// `too_short`, `too_long`.
    pub fn fit(&self, span: &HalfDaySpan) -> Result<(), Refused> {
        let (shortest, longest) = (self.facts.shortest_half_days, self.facts.longest_half_days);
        if span.half_days() < i64::from(shortest) {
            return Err(refuse(Code::TooShort, format!("This machine is booked for {} or more.", halves(shortest))));
        }
        if span.half_days() > i64::from(longest) {
            return Err(refuse(Code::TooLong, format!("This machine is booked for {} at most.", halves(longest))));
        }
        Ok(())
    }

    /// What a span costs.
    ///
    /// # Errors
    /// Only for charges that the table does not admit.
    pub fn charge(&self, span: &HalfDaySpan) -> Result<Charge> {
        let rules = ChargeRules {
            per_half_day_pence: self.facts.charge_per_half_day_pence,
            per_day_pence: self.facts.charge_per_day_pence,
            per_use_pence: self.facts.charge_per_use_pence,
        };
        Ok(charge(&rules, span).map_err(anyhow::Error::from)?)
    }

    /// The availability that holds the whole of a span. Scope: the network.
    ///
    /// # Errors
    /// `outside_availability`.
    pub async fn availability_of(
        &self,
        tx: &mut AsyncPgConnection,
        network: NetworkId,
        span: &HalfDaySpan,
    ) -> Result<(AvailabilityId, HalfDaySpan)> {
        let found = store::availability_around(tx, network, self.machine_id, span).await?;
        let outside = || refuse(Code::OutsideAvailability, "The machine is not available for the whole of that time.");
        Ok(found.ok_or_else(outside)?)
    }
}

fn halves(count: i32) -> String {
    if count == 1 { "1 half-day".to_owned() } else { format!("{count} half-days") }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::machines::words::{Linkage, MachineKind};
    use chrono::NaiveDate;

    const OWNER: ClubId = ClubId(uuid::Uuid::from_u128(1));
    const NAMED: ClubId = ClubId(uuid::Uuid::from_u128(2));
    const OTHER: ClubId = ClubId(uuid::Uuid::from_u128(3));

    fn terms(who_may_book: WhoMayBook) -> Terms {
        let facts = MachineFacts {
            name: "Spiker".to_owned(),
            kind: MachineKind::Spiker,
            owner_club_id: Some(OWNER),
            width_m: 1.8,
            speed_km_h: 6.0,
            field_efficiency: 0.8,
            max_depth_mm: Some(100),
            tine_spacing_across_mm: None,
            tine_spacing_forward_mm: None,
            tractor_kw: None,
            linkage: Linkage::Category1,
            transport_kg: 300,
            charge_per_half_day_pence: None,
            charge_per_day_pence: None,
            charge_per_use_pence: None,
            shortest_half_days: 2,
            longest_half_days: 4,
            gap_half_days: 0,
            who_may_book,
            coordinator_agrees: false,
            note: String::new(),
            retired: false,
        };
        Terms { machine_id: MachineId(uuid::Uuid::nil()), facts, named: vec![NAMED] }
    }

    #[test]
    fn a_machine_is_open_to_its_clubs_and_never_closed_to_its_owner() {
        for (who, open) in [
            (WhoMayBook::EveryClub, [true, true, true]),
            (WhoMayBook::OwnerOnly, [true, false, false]),
            (WhoMayBook::NamedClubs, [true, true, false]),
        ] {
            let mut terms = terms(who);
            assert_eq!([OWNER, NAMED, OTHER].map(|club| terms.admit(club).is_ok()), open, "{who:?}");
            terms.facts.retired = true;
            assert_eq!([OWNER, NAMED, OTHER].map(|club| terms.admit(club).is_ok()), [false; 3], "{who:?}, retired");
        }
    }

    #[test]
    fn a_span_keeps_to_the_shortest_and_the_longest() {
        let terms = terms(WhoMayBook::EveryClub);
        let monday = NaiveDate::from_ymd_opt(2027, 5, 3).unwrap().and_hms_opt(0, 0, 0).unwrap();
        let code = |half_days: i64| {
            let until = monday + chrono::TimeDelta::hours(12 * half_days);
            terms.fit(&HalfDaySpan::parse(monday, until).unwrap()).err().map(|refused| refused.code)
        };
        assert_eq!(
            (1..=5).map(code).collect::<Vec<_>>(),
            [Some(Code::TooShort), None, None, None, Some(Code::TooLong)]
        );
    }
}
