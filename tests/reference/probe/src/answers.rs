//! One arm for each function that the reference checks may call.
//!
//! Promises to hand arguments through unchanged, as an array in the order of the signature. Does
//! not know what is right.

use agronomy::{area, field_work, tines};
use chrono::{NaiveDate, NaiveTime, TimeDelta};
use comparison::criteria::Criterion;
use comparison::percentile::{percentile_rank, quantile_type7, quantile_type8};
use comparison::scheme::{Scheme, SchemeCriterion};
use comparison::score::{WalkScore, score_walk};
use logistics::buying;
use logistics::distance::{BoundingBox, DistanceError, Position, bounding_box, geodesic_km};
use logistics::half_days::HalfDaySpan;
use logistics::hire_costs::{self, CostError, Game, HireTerms, Stint, Tariff};
use logistics::price_breaks::{OrderShares, PriceBreak, PriceError, PriceList, Share};
use logistics::price_breaks::{share_order, stand_alone};
use logistics::shares::largest_remainder;
use serde::Serialize;
use serde::de::DeserializeOwned;
use serde_json::{Value, json};

/// What comes of a call: a value, or words.
pub type Answer = Result<Value, String>;

/// A place as latitude and longitude in degrees.
type Place = (f64, f64);

/// A price list as unit and pack in kg, and pairs of quantity in kg and price in pence.
type Prices = (i64, i64, Vec<(i64, i64)>);

/// A scheme as key, weight and scale of each criterion.
type SchemeParts = Vec<(String, f64, Vec<(f64, f64)>)>;

/// Calls the named function.
///
/// # Errors
/// In words: an unknown name, arguments that do not fit, or the crate's own refusal.
pub fn answer(name: &str, args: &Value) -> Answer {
    of_agronomy(name, args)
        .or_else(|| of_logistics(name, args))
        .or_else(|| of_comparison(name, args))
        .unwrap_or_else(|| Err(format!("no function is called {name:?}")))
}

fn of_agronomy(name: &str, args: &Value) -> Option<Answer> {
    Some(match name {
        "effective_field_capacity_ha_per_h" => call(args, |(speed, width, efficiency)| {
            field_work::effective_field_capacity_ha_per_h(speed, width, efficiency)
        }),
        "hours_for_area" => call(args, |(area, rate)| field_work::hours_for_area(area, rate)),
        "holes_per_m2" => call(args, |(across, forward)| tines::holes_per_m2(across, forward)),
        "surface_affected_percent" => {
            call(args, |(diameter, across, forward)| tines::surface_affected_percent(diameter, across, forward))
        }
        "rectangle_m2" => call(args, |(length, width)| area::rectangle_m2(length, width)),
        "rugby_field_limits_m" => Ok(rugby_field_limits_m()),
        _ => return None,
    })
}

fn of_logistics(name: &str, args: &Value) -> Option<Answer> {
    Some(match name {
        "largest_remainder" => call(args, |(total, weights): (i64, Vec<u64>)| largest_remainder(total, &weights)),
        "price_at" => {
            call(args, |(prices, total): (Prices, i64)| Ok::<_, PriceError>(price_list(prices)?.price_at(total)))
        }
        "share_order" => call(args, |(prices, rate, lines): (Prices, i64, Vec<i64>)| {
            share_order(&price_list(prices)?, rate, &lines).map(order_json)
        }),
        "stand_alone" => call(args, |(prices, own, rate): (Prices, i64, i64)| {
            stand_alone(&price_list(prices)?, own, rate).map(share_json)
        }),
        "equal_discount" => call(args, |(total, alone): (i64, Vec<i64>)| hire_costs::equal_discount(total, &alone)),
        "hire_alone" => call(args, |(hire, haul, stints, roads): HireParts| {
            hire_pence(&hire_terms(hire, haul), hire, stints, &roads)
        }),
        "hire_haul_pence" => call(args, |(hire, haul, stints, roads): HireParts| {
            let terms = HireTerms { tariff: Tariff::default(), ..hire_terms(hire, haul) };
            hire_pence(&terms, hire, stints, &roads)
        }),
        "shapley" => call(args, |(clubs, costs)| Game::parse(clubs, costs).map(|game| game.shapley())),
        "worst_excess" => call(args, |(clubs, costs, shares): (usize, Vec<i64>, Vec<i64>)| {
            Game::parse(clubs, costs).map(|game| game.worst_excess(&shares).map(|excess| (excess.clubs, excess.pence)))
        }),
        "value_left" => call(args, |(years,)| Ok::<_, CostError>(buying::value_left(years))),
        "repairs_so_far" => call(args, |(hours,)| Ok::<_, CostError>(buying::repairs_so_far(hours))),
        "geodesic_km" => call(args, |(a, b)| Ok::<_, DistanceError>(geodesic_km(position(a)?, position(b)?))),
        "bounding_box" => call(args, |(centre, within)| bounding_box(position(centre)?, within).map(box_json)),
        _ => return None,
    })
}

fn of_comparison(name: &str, args: &Value) -> Option<Answer> {
    Some(match name {
        "percentile_rank" => call(args, |(own, others): (f64, Vec<f64>)| percentile_rank(own, &others)),
        "quantile_type7" => call(args, |(sorted, share): (Vec<f64>, f64)| quantile_type7(&sorted, share)),
        "quantile_type8" => call(args, |(sorted, share): (Vec<f64>, f64)| quantile_type8(&sorted, share)),
        "score_walk" => call(args, |(scheme, readings)| score(scheme, readings)),
        _ => return None,
    })
}

fn call<A, R, E>(args: &Value, function: impl FnOnce(A) -> Result<R, E>) -> Answer
where
    A: DeserializeOwned,
    R: Serialize,
    E: ToString,
{
    let args = A::deserialize(args).map_err(|error| error.to_string())?;
    let result = function(args).map_err(|error| error.to_string())?;
    serde_json::to_value(result).map_err(|error| error.to_string())
}

fn rugby_field_limits_m() -> Value {
    json!({
        "length": [area::FIELD_LENGTH_M.start(), area::FIELD_LENGTH_M.end()],
        "width": [area::FIELD_WIDTH_M.start(), area::FIELD_WIDTH_M.end()],
        "in_goal": [area::IN_GOAL_DEPTH_M.start(), area::IN_GOAL_DEPTH_M.end()],
        "perimeter": area::PERIMETER_M,
    })
}

/// A hire's charge for all its time, and for a day; and whether clubs haul it from the first place.
type Hire = (i64, i64, bool);

/// A club, and its first half-day and the one after its last, counted from any Monday.
type StintParts = (usize, i64, i64);

/// A hire, pence for a km of towing, its stints, and the roads in 0.1 km.
type HireParts = (Hire, i64, Vec<StintParts>, Vec<Vec<i64>>);

fn hire_terms((hire, day, clubs_haul): Hire, haul_pence_per_km: i64) -> HireTerms {
    let tariff = Tariff { per_week_pence: Some(hire), per_day_pence: Some(day), ..Tariff::default() };
    HireTerms { tariff, haul_pence_per_km, depot: clubs_haul.then_some(0), ..HireTerms::default() }
}

fn stint((_, _, clubs_haul): Hire, (club, from, until): StintParts) -> Result<Stint, String> {
    let at = |half_day| NaiveDate::default().and_time(NaiveTime::MIN) + TimeDelta::hours(12 * half_day);
    let span = HalfDaySpan::parse(at(from), at(until)).map_err(|error| error.to_string())?;
    let place = club + usize::from(clubs_haul);
    Ok(Stint { club, place, span, area_m2: 0, work_min: 0, helper_hm: 0 })
}

fn hire_pence(terms: &HireTerms, hire: Hire, stints: Vec<StintParts>, roads: &[Vec<i64>]) -> Result<i64, String> {
    let stints: Vec<Stint> = stints.into_iter().map(|parts| stint(hire, parts)).collect::<Result<_, _>>()?;
    hire_costs::alone(terms, &stints, roads).map(|bill| bill.total_pence).map_err(|error| error.to_string())
}

fn position((lat_deg, lon_deg): Place) -> Result<Position, DistanceError> {
    Position::parse(lat_deg, lon_deg)
}

fn box_json(found: BoundingBox) -> Value {
    json!([found.south_deg, found.north_deg, found.west_deg, found.east_deg])
}

fn price_list((unit_kg, pack_kg, prices): Prices) -> Result<PriceList, PriceError> {
    let each = |(from_kg, price_pence)| PriceBreak { from_kg, price_pence };
    PriceList::parse(unit_kg, pack_kg, prices.into_iter().map(each).collect())
}

fn share_json(share: Share) -> Value {
    json!([share.goods_pence, share.vat_pence])
}

fn order_json(order: OrderShares) -> Value {
    json!({
        "price_pence": order.price_pence,
        "goods_pence": order.goods_pence,
        "vat_pence": order.vat_pence,
        "shares": order.shares.into_iter().map(share_json).collect::<Vec<_>>(),
    })
}

fn score(scheme: SchemeParts, readings: Vec<(String, Vec<f64>)>) -> Answer {
    let named = |key: &str| Criterion::parse(key).map_err(|error| error.to_string());
    let scheme = scheme
        .into_iter()
        .map(|(key, weight, points)| Ok(SchemeCriterion { criterion: named(&key)?, weight, points }))
        .collect::<Result<_, String>>()?;
    let scheme = Scheme::parse(scheme).map_err(|error| error.to_string())?;
    let readings: Vec<_> =
        readings.into_iter().map(|(key, values)| Ok((named(&key)?, values))).collect::<Result<_, String>>()?;
    let walk = score_walk(&scheme, &readings).map_err(|error| error.to_string())?;
    Ok(walk_json(walk))
}

fn walk_json(walk: WalkScore) -> Value {
    let criteria: Vec<Value> = walk
        .criteria
        .iter()
        .map(|each| {
            json!({
                "key": each.criterion.key(),
                "mean": each.mean,
                "sd": each.sd,
                "mean_se": each.mean_se,
                "score": each.score,
                "score_se": each.score_se,
                "weight": each.weight,
            })
        })
        .collect();
    json!({ "score": walk.score, "score_se": walk.score_se, "criteria": criteria })
}
