//! The bill of a hire: for the whole network, for one club alone, or for any few of them.

use super::tariff::Tariff;
use super::{CostError, pence_of};
use crate::half_days::HalfDaySpan;

/// Square metres in a hectare.
const M2_PER_HA: i64 = 10_000;
/// Minutes in an hour.
const MIN_PER_HOUR: i64 = 60;
/// Hectometres in a kilometre.
const HM_PER_KM: i64 = 10;

/// What a hire is charged by.
///
/// # Units
/// Pence.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct HireTerms {
    /// The supplier's charges for time or ground worked, of which the cheapest counts.
    pub tariff: Tariff,
    /// Brought by the supplier.
    pub delivery_pence: i64,
    /// Fetched by the supplier.
    pub collection_pence: i64,
    /// Lent to the supplier until the machine is back; no part of the cost.
    pub deposit_pence: i64,
    /// Fuel and wear, for an hour of work.
    pub fuel_pence_per_hour: i64,
    /// Towing, for a kilometre.
    pub haul_pence_per_km: i64,
    /// The place it is fetched from and taken back to, where clubs haul; `None` where the supplier does.
    pub depot: Option<usize>,
}

/// A club's time with the machine.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Stint {
    /// Index of the club, among clubs sorted by id.
    pub club: usize,
    /// Place of the work.
    pub place: usize,
    /// The half-days.
    pub span: HalfDaySpan,
    /// Ground worked, m².
    pub area_m2: i64,
    /// Minutes of work.
    pub work_min: i64,
    /// Road that a lent tractor drives over and back, 0.1 km.
    pub helper_hm: i64,
}

/// What is counted on a bill: how many, and the pence of one.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Item {
    /// Weeks, pence of one.
    Week(i64, i64),
    /// Days, pence of one.
    Day(i64, i64),
    /// Half-days, pence of one.
    HalfDay(i64, i64),
    /// Square metres, pence of a hectare.
    Ground(i64, i64),
    /// Bringing, once.
    Delivery(i64),
    /// Fetching, once.
    Collection(i64),
    /// Minutes, pence of an hour.
    Fuel(i64, i64),
    /// Hectometres, pence of a kilometre.
    Haul(i64, i64),
}

/// One line of a bill.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct BillPart {
    /// What is counted.
    pub item: Item,
    /// What it comes to.
    pub pence: i64,
}

/// A bill.
///
/// # Properties
/// `total_pence` is the sum of the parts, none of which is nothing.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Bill {
    /// What it comes to.
    pub total_pence: i64,
    /// The lines: time or ground, delivery, collection, fuel, haulage.
    pub parts: Vec<BillPart>,
    /// Road of the machine, 0.1 km.
    pub haul_hm: i64,
}

impl Bill {
    fn add(&mut self, item: Item) -> Result<(), CostError> {
        let pence = item.pence()?;
        if pence > 0 {
            self.parts.push(BillPart { item, pence });
            self.total_pence = self.total_pence.checked_add(pence).ok_or(CostError::TooLarge)?;
        }
        Ok(())
    }
}

impl Item {
    fn pence(self) -> Result<i64, CostError> {
        match self {
            Self::Week(count, each) | Self::Day(count, each) | Self::HalfDay(count, each) => pence_of(count, each, 1),
            Self::Ground(area_m2, per_ha) => pence_of(area_m2, per_ha, M2_PER_HA),
            Self::Delivery(pence) | Self::Collection(pence) => pence_of(1, pence, 1),
            Self::Fuel(work_min, per_hour) => pence_of(work_min, per_hour, MIN_PER_HOUR),
            Self::Haul(haul_hm, per_km) => pence_of(haul_hm, per_km, HM_PER_KM),
        }
    }
}

/// Reckons what a hire comes to: charged for the time of `held`, worked in these stints.
///
/// Time is charged the cheapest way, or the ground worked where that costs less (on a tie, time). Then delivery and
/// collection once, fuel and wear for all work together, and the machine's journey from stint to stint in the order
/// they are given, from and to the depot where clubs haul. Parts of a penny are rounded once in each line, half a
/// penny up. Helper trips are no part of it: see [`helper_pence`].
///
/// # Units
/// Roads in 0.1 km by place and place; pence out.
///
/// # Errors
/// A negative number, a place without road, or a sum beyond `i64`.
///
/// # Example
/// ```
/// use logistics::hire_costs::{HireTerms, Stint, Tariff, bill};
/// use chrono::NaiveDate;
/// use logistics::half_days::HalfDaySpan;
/// let may = |day| NaiveDate::from_ymd_opt(2027, 5, day).unwrap().and_hms_opt(0, 0, 0).unwrap();
/// let tuesday = HalfDaySpan::parse(may(4), may(5)).unwrap();
/// let tariff = Tariff { per_week_pence: Some(62_000), per_day_pence: Some(21_700), ..Tariff::default() };
/// let terms = HireTerms { tariff, haul_pence_per_km: 55, depot: Some(0), ..HireTerms::default() };
/// let stint = Stint { club: 0, place: 1, span: tuesday, area_m2: 7_000, work_min: 240, helper_hm: 0 };
/// // One day, and 2 × 13 km of road at 55p.
/// let alone = bill(&terms, &[tuesday], &[stint], &[vec![0, 130], vec![130, 0]])?;
/// assert_eq!(alone.total_pence, 21_700 + 1_430);
/// # Ok::<(), logistics::hire_costs::CostError>(())
/// ```
pub fn bill(
    terms: &HireTerms,
    held: &[HalfDaySpan],
    stints: &[Stint],
    road_hm: &[Vec<i64>],
) -> Result<Bill, CostError> {
    let mut bill = Bill { haul_hm: journey_hm(terms.depot, stints, road_hm)?, ..Bill::default() };
    for item in hire_charge(&terms.tariff, held, stints)? {
        bill.add(item)?;
    }
    bill.add(Item::Delivery(terms.delivery_pence))?;
    bill.add(Item::Collection(terms.collection_pence))?;
    bill.add(Item::Fuel(sum(stints, |stint| stint.work_min)?, terms.fuel_pence_per_hour))?;
    bill.add(Item::Haul(bill.haul_hm, terms.haul_pence_per_km))?;
    Ok(bill)
}

/// What the clubs of these stints would pay if they hired by themselves, for just the days they have.
///
/// # Errors
/// As for [`bill`].
pub fn alone(terms: &HireTerms, stints: &[Stint], road_hm: &[Vec<i64>]) -> Result<Bill, CostError> {
    if stints.is_empty() {
        return Ok(Bill::default());
    }
    let held: Vec<HalfDaySpan> = stints.iter().map(|stint| stint.span).collect();
    bill(terms, &held, stints, road_hm)
}

/// What a neighbour's trips with a lent tractor come to: charged to the club helped, alone as much as together.
///
/// # Errors
/// A negative road, or a sum beyond `i64`.
pub fn helper_pence(terms: &HireTerms, stints: &[Stint]) -> Result<i64, CostError> {
    Item::Haul(sum(stints, |stint| stint.helper_hm)?, terms.haul_pence_per_km).pence()
}

/// The supplier's charge for time, or for ground where that is cheaper.
fn hire_charge(tariff: &Tariff, held: &[HalfDaySpan], stints: &[Stint]) -> Result<Vec<Item>, CostError> {
    let time = tariff.time(held)?;
    let ground = match tariff.per_ha_pence {
        Some(per_ha) => Some(Item::Ground(sum(stints, |stint| stint.area_m2)?, per_ha)),
        None => None,
    };
    let (Some(time), Some(ground)) = (time, ground) else {
        return Ok(time.into_iter().flatten().chain(ground).collect());
    };
    let by_time =
        time.iter().try_fold(0i64, |so_far, item| so_far.checked_add(item.pence()?).ok_or(CostError::TooLarge))?;
    Ok(if by_time <= ground.pence()? { time.to_vec() } else { vec![ground] })
}

/// The machine's road from stint to stint, and from and to the depot where clubs haul.
fn journey_hm(depot: Option<usize>, stints: &[Stint], road_hm: &[Vec<i64>]) -> Result<i64, CostError> {
    if stints.is_empty() {
        return Ok(0);
    }
    let stops: Vec<usize> = depot.into_iter().chain(stints.iter().map(|stint| stint.place)).chain(depot).collect();
    stops.iter().zip(stops.iter().skip(1)).try_fold(0i64, |so_far, (&from, &to)| {
        let leg = match from == to {
            true => 0,
            false => *road_hm.get(from).and_then(|row| row.get(to)).ok_or(CostError::NoRoad)?,
        };
        so_far.checked_add(leg).ok_or(CostError::TooLarge)
    })
}

fn sum(stints: &[Stint], of: fn(&Stint) -> i64) -> Result<i64, CostError> {
    stints.iter().try_fold(0i64, |so_far, stint| so_far.checked_add(of(stint)).ok_or(CostError::TooLarge))
}
