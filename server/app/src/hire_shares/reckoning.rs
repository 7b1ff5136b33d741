//! From who has the machine when to what each club pays.

use std::collections::{BTreeSet, HashMap};

use anyhow::Context;
use logistics::hire_costs::{
    self, Bill, CostError, Funded, Game, GameError, HireTerms, Item, LARGEST_GAME, Standing, Stint, Tariff,
};

use super::stays::{Journey, Place, Stay};
use super::store::HireRow;
use super::words::ShareRule;
use super::worked::Worked;
use crate::error::{Refused, Result, invalid};
use crate::hires::HauledBy;
use crate::ids::ClubId;

/// A club's part in a hire.
pub(super) struct Member {
    pub(super) club_id: ClubId,
    pub(super) half_days: i64,
    pub(super) worked: Worked,
    pub(super) area_m2: i64,
    pub(super) alone: Bill,
    pub(super) helper_pence: i64,
}

/// A hire reckoned: its bill, and each club's part, by club id.
pub(super) struct Reckoned {
    pub(super) bill: Bill,
    pub(super) members: Vec<Member>,
    terms: HireTerms,
    stints: Vec<Stint>,
    road_hm: Vec<Vec<i64>>,
}

/// Reckons a hire's bill and each club's part.
pub(super) fn reckon(hire: &HireRow, journey: &Journey) -> Result<Reckoned> {
    let clubs: BTreeSet<ClubId> = journey.stays.iter().map(|stay| stay.club_id).collect();
    let depot = depot_of(hire)?;
    let stints = stints(journey, &clubs, usize::from(depot.is_some()));
    let places: Vec<Place> = depot.into_iter().chain(journey.stays.iter().map(|stay| stay.place)).collect();
    let road = |from: &Place| places.iter().map(|to| journey.roads.between_hm(from, to)).collect();
    let road_hm: Vec<Vec<i64>> = places.iter().map(road).collect();
    let terms = terms_of(hire, depot.is_some());
    let bill = hire_costs::bill(&terms, &[hire.span.0], &stints, &road_hm).map_err(absurd)?;
    let mut members = Vec::new();
    for (club, &club_id) in clubs.iter().enumerate() {
        let own: Vec<Stint> = stints.iter().filter(|stint| stint.club == club).copied().collect();
        let mut worked = Worked::default();
        journey.stays.iter().filter(|stay| stay.club_id == club_id).for_each(|stay| worked += stay.worked);
        members.push(Member {
            club_id,
            half_days: own.iter().map(|stint| stint.span.half_days()).sum(),
            worked,
            area_m2: own.iter().map(|stint| stint.area_m2).sum(),
            alone: hire_costs::alone(&terms, &own, &road_hm).map_err(absurd)?,
            helper_pence: hire_costs::helper_pence(&terms, &own).map_err(absurd)?,
        });
    }
    Ok(Reckoned { bill, members, terms, stints, road_hm })
}

/// The stays with clubs and places as numbers: clubs by id, places in the order of the stays after the depot.
fn stints(journey: &Journey, clubs: &BTreeSet<ClubId>, first_place: usize) -> Vec<Stint> {
    let index: HashMap<ClubId, usize> = clubs.iter().copied().zip(0..).collect();
    let stint = |(place, stay): (usize, &Stay)| Stint {
        club: index.get(&stay.club_id).copied().unwrap_or_default(),
        place,
        span: stay.span,
        area_m2: stay.area_m2,
        work_min: stay.worked.work_min,
        helper_hm: stay.helper_hm,
    };
    (first_place..).zip(&journey.stays).map(stint).collect()
}

/// Why a group's cost is not to be had.
enum NoGame {
    Size,
    Absurd(CostError),
}

impl From<GameError> for NoGame {
    fn from(_: GameError) -> Self {
        Self::Size
    }
}

impl Reckoned {
    /// What each would pay alone, by club.
    pub(super) fn alone(&self) -> Vec<i64> {
        self.members.iter().map(|member| member.alone.total_pence).collect()
    }

    /// What of the bill the supplier asks, and what it is in fuel and in towing.
    pub(super) fn invoice_fuel_haul(&self) -> (i64, i64, i64) {
        let sum = |wanted: fn(&Item) -> bool| -> i64 {
            self.bill.parts.iter().filter(|part| wanted(&part.item)).map(|part| part.pence).sum()
        };
        let (fuel, haul) = (sum(|item| matches!(item, Item::Fuel(..))), sum(|item| matches!(item, Item::Haul(..))));
        (self.bill.total_pence - fuel - haul, fuel, haul)
    }

    /// Beside what everyone would pay alone.
    pub(super) fn standing(&self, total_pence: i64) -> Standing {
        Standing::of(total_pence, &self.alone())
    }

    /// By equal discount; where the hire is too empty, each as alone and the rest from the fund.
    pub(super) fn funded(&self, total_pence: i64) -> Result<Funded> {
        Ok(hire_costs::with_fund(total_pence, &self.alone()).context("what clubs pay alone is not negative")?)
    }

    /// The shares by a rule; `None` where the rule has no answer: nobody to share, or too many for Shapley's value.
    pub(super) fn shares(&self, rule: ShareRule, total_pence: i64) -> Result<Option<Vec<i64>>> {
        let minutes: Vec<i64> = self.members.iter().map(|member| member.worked.work_min).collect();
        Ok(match rule {
            ShareRule::EqualDiscount => hire_costs::equal_discount(total_pence, &self.alone()).ok(),
            ShareRule::ByHours => hire_costs::by_hours(total_pence, &minutes).ok(),
            ShareRule::Shapley => self.game(total_pence)?.map(|game| game.shapley()),
        })
    }

    /// What every group of clubs would pay by itself, for its own days and journey; all together pay the total.
    pub(super) fn game(&self, total_pence: i64) -> Result<Option<Game>> {
        let clubs = self.members.len();
        if clubs > LARGEST_GAME {
            return Ok(None);
        }
        let game = Game::reckon(clubs, |group| {
            if group.len() == clubs {
                return Ok(total_pence);
            }
            let own: Vec<Stint> = self.stints.iter().filter(|stint| group.contains(&stint.club)).copied().collect();
            hire_costs::alone(&self.terms, &own, &self.road_hm).map(|bill| bill.total_pence).map_err(NoGame::Absurd)
        });
        match game {
            Ok(game) => Ok(Some(game)),
            Err(NoGame::Size) => Ok(None),
            Err(NoGame::Absurd(error)) => Err(absurd(error).into()),
        }
    }
}

fn terms_of(hire: &HireRow, from_depot: bool) -> HireTerms {
    HireTerms {
        tariff: Tariff {
            per_week_pence: hire.per_week_pence,
            per_day_pence: hire.per_day_pence,
            per_half_day_pence: hire.per_half_day_pence,
            per_ha_pence: hire.per_ha_pence,
        },
        delivery_pence: hire.delivery_pence,
        collection_pence: hire.collection_pence,
        deposit_pence: hire.deposit_pence,
        fuel_pence_per_hour: hire.fuel_pence_per_hour,
        haul_pence_per_km: hire.haul_pence_per_km,
        depot: from_depot.then_some(0),
    }
}

/// Where clubs fetch the machine from; nowhere where the supplier brings it.
fn depot_of(hire: &HireRow) -> Result<Option<Place>> {
    let depot = hire.depot_latitude_deg.zip(hire.depot_longitude_deg).filter(|_| hire.hauled_by == HauledBy::Clubs);
    depot.map(|(latitude_deg, longitude_deg)| Place::depot(hire.id, latitude_deg, longitude_deg)).transpose()
}

fn absurd(error: CostError) -> Refused {
    invalid("hire_id", format!("The hire cannot be reckoned: {error}."))
}
