//! The use of a machine in a season, put together from bookings, shares and availabilities.

use std::collections::BTreeMap;

use chrono::NaiveDate;
use logistics::buying::{Purchase, pence_per_ha};
use logistics::half_days::HalfDaySpan;
use serde::Serialize;
use utoipa::ToSchema;

use super::season::{days_within, season};
use super::store::{self, UseRow};
use crate::access::{Act, Member};
use crate::database::Tx;
use crate::error::Result;
use crate::hire_shares::{self, Charged, Charges, Pace, SignedHours, Worked};
use crate::ids::{BookingId, ClubId, MachineId};

/// What a machine was used for in a season, and what that cost.
#[derive(Debug, Serialize, ToSchema)]
pub struct MachineWorth {
    machine_id: MachineId,
    machine_name: String,
    /// The year the season begins in.
    season: i32,
    from_on: NaiveDate,
    until_on: NaiveDate,
    total: MachineUse,
    clubs: Vec<ClubUse>,
    /// Days on which it could be booked.
    days_offered: i64,
    /// Days on which it could be booked and nobody had it.
    days_idle: i64,
    /// What hires of it came to, as entered, the part of the fund with it.
    hire_pence: i64,
    /// What of that the fund of the network carried.
    fund_pence: i64,
    buying: Buying,
}

/// Use, and what it cost.
#[derive(Debug, Default, Serialize, ToSchema)]
pub struct MachineUse {
    bookings: i64,
    half_days: i64,
    work_min: i64,
    /// Of these, minutes signed for at handovers; the rest is reckoned from ground and pace of the machine, or by four
    /// hours a half-day where no pitch is named.
    signed_min: i64,
    area_m2: i64,
    /// Charges of bookings and shares of hires.
    pence: i64,
    /// Null where no ground was named.
    pence_per_ha: Option<i64>,
}

/// A club's use; its money only for those who may see it.
#[derive(Debug, Serialize, ToSchema)]
pub struct ClubUse {
    club_id: ClubId,
    club_name: String,
    bookings: i64,
    half_days: i64,
    work_min: i64,
    /// Of these, minutes signed for at handovers.
    signed_min: i64,
    area_m2: i64,
    pence: Option<i64>,
    pence_per_ha: Option<i64>,
}

/// A machine somebody thinks of buying.
#[derive(Debug, Clone, Copy)]
pub(super) struct WouldBuy {
    pub(super) price_pence: Option<i64>,
    pub(super) years: Option<u32>,
}

/// The numbers for buying one: no advice.
#[derive(Debug, Serialize, ToSchema)]
pub struct Buying {
    /// What is not known, in words; while anything is, nothing is worked out.
    missing: Vec<&'static str>,
    outlook: Option<BuyingOutlook>,
}

/// What buying would mean, if every year were like this season.
#[derive(Debug, Serialize, ToSchema)]
pub struct BuyingOutlook {
    price_pence: i64,
    years: u32,
    /// What suppliers asked, without fuel, wear and towing.
    hire_pence_per_year: i64,
    hours_per_year: f64,
    /// Value left after the years.
    value_left_pence: i64,
    /// Repairs over the years.
    repairs_pence: i64,
    /// Loss of value and repairs, for one year.
    owning_pence_per_year: i64,
    /// Price ÷ (hire − repairs, for one year); null where repairs eat what is saved.
    years_to_pay_back: Option<f64>,
    /// Whether it would be worn out before.
    worn_out_before: bool,
    /// How it is worked out.
    formulas: Vec<&'static str>,
    source: &'static str,
}

impl MachineWorth {
    /// Puts together what a member may see.
    pub(super) async fn of(tx: &mut Tx, member: &Member, id: MachineId, year: i32, buying: WouldBuy) -> Result<Self> {
        let network = member.network_id;
        let season = season(year)?;
        let (machine_name, pace) = store::machine(tx, network, id).await?;
        let uses = store::uses(tx, network, id, season).await?;
        let ids: Vec<BookingId> = uses.iter().map(|row| row.id).collect();
        let areas = store::areas(tx, network, &ids).await?;
        let Charges { charged: money, invoice_pence } = hire_shares::charged(tx, network, id, season).await?;
        let signed = SignedHours::within(tx, network, season).await?;
        let offered: Vec<HalfDaySpan> =
            store::availabilities(tx, network, id, season).await?.into_iter().map(|span| span.0).collect();
        let held: Vec<HalfDaySpan> = uses.iter().map(|row| row.span.0).collect();
        let days_offered = days_within(season, &offered);
        let sheet = Sheet { pace, signed: &signed, uses: &uses, areas: &areas, money: &money };
        let clubs = sheet.clubs();
        let total = sheet.total(&clubs);
        let hire_pence = money.iter().map(|charged| charged.pence).sum();
        Ok(Self {
            machine_id: id,
            machine_name,
            season: year,
            from_on: season.from().date(),
            until_on: season.until().date() - chrono::Days::new(1),
            days_idle: (days_offered - days_within(season, &held)).max(0),
            days_offered,
            fund_pence: money.iter().filter(|charged| charged.club_id.is_none()).map(|charged| charged.pence).sum(),
            buying: Buying::of(buying, total.work_min, invoice_pence),
            clubs: clubs.into_iter().map(|(club, (name, used))| ClubUse::seen_by(member, club, name, used)).collect(),
            hire_pence,
            total,
        })
    }
}

/// What the rows of a season add up to.
struct Sheet<'a> {
    pace: Pace,
    signed: &'a SignedHours,
    uses: &'a [UseRow],
    areas: &'a [(BookingId, i32)],
    money: &'a [Charged],
}

impl Sheet<'_> {
    fn clubs(&self) -> BTreeMap<ClubId, (String, MachineUse)> {
        let mut clubs: BTreeMap<ClubId, (String, MachineUse)> = BTreeMap::new();
        for row in self.uses {
            let areas = self.areas.iter().filter(|(booking, _)| *booking == row.id);
            let area_m2: i64 = areas.map(|(_, area_m2)| i64::from(*area_m2)).sum();
            let half_days = row.span.0.half_days();
            let (name, used) = clubs.entry(row.club_id).or_default();
            name.clone_from(&row.club_name);
            used.bookings += 1;
            used.half_days += half_days;
            used.add(self.signed.worked(Some(row.id), self.pace, area_m2, half_days));
            used.area_m2 += area_m2;
            used.pence += row.charge_pence;
        }
        for (club, (_, used)) in &mut clubs {
            let charged = self.money.iter().filter(|charged| charged.club_id == Some(*club));
            used.pence += charged.map(|charged| charged.pence).sum::<i64>();
            used.pence_per_ha = pence_per_ha(used.pence, used.area_m2);
        }
        clubs
    }

    fn total(&self, clubs: &BTreeMap<ClubId, (String, MachineUse)>) -> MachineUse {
        let sum = |of: fn(&MachineUse) -> i64| clubs.values().map(|(_, used)| of(used)).sum::<i64>();
        let pence = sum(|used| used.pence);
        let area_m2 = sum(|used| used.area_m2);
        MachineUse {
            bookings: sum(|used| used.bookings),
            half_days: sum(|used| used.half_days),
            work_min: sum(|used| used.work_min),
            signed_min: sum(|used| used.signed_min),
            area_m2,
            pence,
            pence_per_ha: pence_per_ha(pence, area_m2),
        }
    }
}

impl MachineUse {
    fn add(&mut self, worked: Worked) {
        self.work_min += worked.work_min;
        self.signed_min += worked.signed_min;
    }
}

impl ClubUse {
    fn seen_by(member: &Member, club_id: ClubId, club_name: String, used: MachineUse) -> Self {
        let seen = member.may(Act::SeeShares, Some(club_id));
        Self {
            club_id,
            club_name,
            bookings: used.bookings,
            half_days: used.half_days,
            work_min: used.work_min,
            signed_min: used.signed_min,
            area_m2: used.area_m2,
            pence: seen.then_some(used.pence),
            pence_per_ha: used.pence_per_ha.filter(|_| seen),
        }
    }
}

impl Buying {
    /// `invoice_pence` is what suppliers asked: fuel and towing are paid for a machine of one's own too.
    fn of(wanted: WouldBuy, work_min: i64, invoice_pence: i64) -> Self {
        let hours_per_year = i32::try_from(work_min).map_or(f64::INFINITY, f64::from) / 60.0;
        let missing = [
            (wanted.price_pence.is_none(), "the price of buying one"),
            (wanted.years.is_none(), "how many years it would be kept"),
            (work_min == 0, "hours of use: nobody booked it in this season"),
            (invoice_pence == 0, "what hiring costs: no shares of a hire were entered in this season"),
        ];
        let missing: Vec<_> = missing.into_iter().filter_map(|(lacks, words)| lacks.then_some(words)).collect();
        let Some((price_pence, years)) = wanted.price_pence.zip(wanted.years).filter(|_| missing.is_empty()) else {
            return Self { missing, outlook: None };
        };
        let purchase = Purchase { price_pence, hire_pence_per_year: invoice_pence, hours_per_year, years };
        let outlook = purchase.outlook().map(|outlook| BuyingOutlook {
            price_pence,
            years,
            hire_pence_per_year: invoice_pence,
            hours_per_year,
            value_left_pence: outlook.value_left_pence,
            repairs_pence: outlook.repairs_pence,
            owning_pence_per_year: outlook.owning_pence_per_year,
            years_to_pay_back: outlook.years_to_pay_back,
            worn_out_before: outlook.worn_out_before,
            formulas: FORMULAS.to_vec(),
            source: SOURCE,
        });
        Self { missing, outlook }
    }
}

/// How the numbers come about, as shown.
const FORMULAS: [&str; 4] = [
    "value left = price × (0.738 − 0.051 × √years)²",
    "repairs = price × 0.28 × (all hours ÷ 1000)^1.4",
    "owning for a year = (price − value left + repairs) ÷ years",
    "years to pay back = price ÷ (hire for a year − repairs for a year)",
];

/// Where the constants come from.
const SOURCE: &str = "ASABE EP496 and D497: remaining value of a plough, repairs of a subsoiler; estimates";
