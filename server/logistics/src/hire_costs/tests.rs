//! Bills and splits: by hand, by chance, and by exhaustive search.

use chrono::{NaiveDate, TimeDelta};
use proptest::prelude::*;

use super::*;
use crate::half_days::HalfDaySpan;

fn span(from_half_day: i64, half_days: i64) -> HalfDaySpan {
    let start = NaiveDate::from_ymd_opt(2027, 5, 3).unwrap().and_hms_opt(0, 0, 0).unwrap();
    let from = start + TimeDelta::hours(12 * from_half_day);
    HalfDaySpan::parse(from, from + TimeDelta::hours(12 * half_days)).unwrap()
}

fn stint(club: usize, from_half_day: i64, half_days: i64) -> Stint {
    Stint { club, place: club + 1, span: span(from_half_day, half_days), area_m2: 7_000, work_min: 200, helper_hm: 0 }
}

/// Depot and clubs on a line, 10 km from one to the next.
fn line(places: usize) -> Vec<Vec<i64>> {
    (0..places).map(|a| (0..places).map(|b| i64::try_from(a.abs_diff(b)).unwrap() * 100).collect()).collect()
}

fn tariff(week: Option<i64>, day: Option<i64>, half_day: Option<i64>) -> Tariff {
    Tariff { per_week_pence: week, per_day_pence: day, per_half_day_pence: half_day, per_ha_pence: None }
}

fn time_pence(tariff: &Tariff, spans: &[HalfDaySpan]) -> i64 {
    let terms = HireTerms { tariff: *tariff, ..HireTerms::default() };
    bill(&terms, spans, &[], &[]).unwrap().total_pence
}

#[test]
fn a_bill_tells_its_lines_in_their_order() {
    let terms = HireTerms {
        tariff: tariff(Some(62_000), Some(21_700), None),
        delivery_pence: 4_500,
        collection_pence: 4_500,
        deposit_pence: 50_000,
        fuel_pence_per_hour: 900,
        haul_pence_per_km: 55,
        depot: None,
    };
    let stints = [stint(0, 0, 1), stint(1, 2, 2), stint(2, 5, 1)];
    let bill = bill(&terms, &[span(0, 14)], &stints, &line(4)).unwrap();
    let parts: Vec<_> = bill.parts.iter().map(|part| (part.item, part.pence)).collect();
    // 600 minutes at £9 an hour; 20 km between the clubs at 55p.
    let expected = [
        (Item::Week(1, 62_000), 62_000),
        (Item::Delivery(4_500), 4_500),
        (Item::Collection(4_500), 4_500),
        (Item::Fuel(600, 900), 9_000),
        (Item::Haul(200, 55), 1_100),
    ];
    assert_eq!(parts, expected);
    assert_eq!(bill.total_pence, 81_100, "the deposit is given back and no part of it");
}

#[test]
fn alone_a_club_fetches_the_machine_and_takes_it_back() {
    let tariff = tariff(Some(62_000), Some(21_700), None);
    let terms = HireTerms { tariff, haul_pence_per_km: 55, depot: Some(0), ..HireTerms::default() };
    let alone = alone(&terms, &[stint(1, 2, 2)], &line(3)).unwrap();
    // A day, and 2 × 20 km.
    assert_eq!((alone.total_pence, alone.haul_hm), (21_700 + 2_200, 400));
    let helped = Stint { helper_hm: 305, ..stint(1, 2, 2) };
    assert_eq!(helper_pence(&terms, &[helped]), Ok(1_678), "half a penny counts as a whole one");
}

#[test]
fn ground_is_charged_where_that_is_cheaper_than_time() {
    let both = Tariff { per_ha_pence: Some(10_000), ..tariff(None, Some(7_001), None) };
    let terms = HireTerms { tariff: both, ..HireTerms::default() };
    // 0.7 ha at £100 against a day.
    assert_eq!(alone(&terms, &[stint(0, 0, 2)], &line(2)).unwrap().total_pence, 7_000);
    let tie = HireTerms { tariff: Tariff { per_day_pence: Some(7_000), ..both }, ..terms };
    let by_time = alone(&tie, &[stint(0, 0, 2)], &line(2)).unwrap();
    assert_eq!(by_time.parts.first().map(|part| part.item), Some(Item::Day(1, 7_000)));
}

#[test]
fn a_lone_half_day_costs_a_day_where_no_half_day_is_offered() {
    assert_eq!(time_pence(&tariff(None, Some(100), None), &[span(1, 2)]), 200);
    assert_eq!(time_pence(&tariff(None, Some(100), Some(60)), &[span(1, 2)]), 120);
    assert_eq!(time_pence(&tariff(None, Some(100), Some(60)), &[span(1, 3)]), 160);
}

#[test]
fn what_cannot_be_reckoned_is_refused() {
    let terms = HireTerms { tariff: tariff(None, Some(1), None), depot: Some(0), ..HireTerms::default() };
    let far = Stint { place: 9, ..stint(0, 0, 1) };
    assert_eq!(alone(&terms, &[far], &line(2)), Err(CostError::NoRoad));
    let negative = HireTerms { delivery_pence: -1, ..terms };
    assert_eq!(alone(&negative, &[stint(0, 0, 1)], &line(2)), Err(CostError::Negative));
    let dear = HireTerms { delivery_pence: i64::MAX, collection_pence: 1, ..terms };
    assert_eq!(alone(&dear, &[stint(0, 0, 1)], &line(2)), Err(CostError::TooLarge));
}

#[test]
fn an_empty_hire_is_not_worth_it_and_the_fund_carries_the_rest() {
    let standing = Standing::of(62_000, &[21_700, 21_700]);
    assert!(!standing.is_worth_it());
    assert_eq!(standing.shortfall_pence(), 18_600);
    let funded = with_fund(62_000, &[21_700, 21_700]).unwrap();
    assert_eq!(funded, Funded { shares: vec![21_700, 21_700], fund_pence: 18_600 });
    assert_eq!(with_fund(500, &[]).unwrap().fund_pence, 500);
}

#[test]
fn shapley_is_that_of_the_airport_game_and_in_the_core() {
    // g006 and g011: Littlechild and Owen 1973; each group pays for the longest runway in it.
    let costs = [8, 11, 13, 18];
    let game = Game::reckon(4, |group| {
        Ok::<_, GameError>(group.iter().filter_map(|club| costs.get(*club)).max().copied().unwrap_or(0))
    });
    let game = game.unwrap();
    assert_eq!(game.shapley(), [2, 3, 4, 9]);
    assert_eq!(game.worst_excess(&game.shapley()), None);
    assert_eq!(game.worst_excess(&[9, 3, 4, 2]), Some(Excess { clubs: vec![0, 1, 2], pence: 3 }));
}

#[test]
fn a_game_without_players_or_with_too_many_is_refused() {
    assert_eq!(Game::parse(0, vec![0]), Err(GameError::Size));
    assert_eq!(Game::reckon(13, |_| Ok::<_, GameError>(0)), Err(GameError::Size));
    assert_eq!(Game::parse(1, vec![0]), Err(GameError::CostsMissing));
    assert_eq!(Game::parse(1, vec![1, 1]), Err(GameError::CostAbsurd));
}

#[test]
fn twelve_clubs_are_no_more_than_a_game_can_have() {
    let game = Game::reckon(12, |group| Ok::<_, GameError>(i64::try_from(group.len()).unwrap() * 1_000_003)).unwrap();
    assert_eq!(game.shapley(), vec![1_000_003; 12]);
}

/// Every way to cover the days one by one, tried out.
fn cheapest_by_search(tariff: &Tariff, days: &[(i64, i64)]) -> Option<i64> {
    let Some(&(first, halves)) = days.first() else { return Some(0) };
    let after = |covered: usize| cheapest_by_search(tariff, &days[covered..]);
    let covered = days.iter().filter(|(day, _)| *day < first + 7).count();
    let week = tariff.per_week_pence.and_then(|pence| Some(pence + after(covered)?));
    let day = tariff.per_day_pence.and_then(|pence| Some(pence + after(1)?));
    let half = tariff.per_half_day_pence.and_then(|pence| Some(pence * halves + after(1)?));
    [week, day, half].into_iter().flatten().min()
}

prop_compose! {
    fn any_terms()(
        week in proptest::option::of(0i64..90_000), day in 0i64..30_000, half in proptest::option::of(0i64..20_000),
        per_ha in proptest::option::of(0i64..40_000), carriage in 0i64..9_000, fuel in 0i64..2_000,
        haul in 0i64..99, clubs_haul in any::<bool>(),
    ) -> HireTerms {
        HireTerms {
            tariff: Tariff { per_ha_pence: per_ha, ..tariff(week, Some(day), half) },
            delivery_pence: carriage,
            collection_pence: carriage,
            deposit_pence: 9_999,
            fuel_pence_per_hour: fuel,
            haul_pence_per_km: haul,
            depot: clubs_haul.then_some(0),
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(2_000))]

    #[test]
    fn time_is_charged_the_cheapest_way(
        week in proptest::option::of(0i64..90_000), day in proptest::option::of(0i64..30_000),
        half in proptest::option::of(0i64..20_000), days in proptest::collection::btree_map(0i64..20, 1i64..3, 1..9),
    ) {
        let tariff = tariff(week, day, half);
        let spans: Vec<_> = days.iter().map(|(day, halves)| span(day * 2, *halves)).collect();
        let days: Vec<_> = days.into_iter().collect();
        let expected = cheapest_by_search(&tariff, &days).unwrap_or(0);
        prop_assert_eq!(time_pence(&tariff, &spans), expected);
    }

    #[test]
    fn a_bill_is_the_sum_of_its_parts_and_less_work_costs_no_more(
        terms in any_terms(), lengths in proptest::collection::vec(1i64..4, 1..8),
    ) {
        let mut next = 0;
        let stints: Vec<Stint> = lengths.iter().enumerate().map(|(club, &length)| {
            let stint = stint(club, next, length);
            next += length;
            stint
        }).collect();
        let roads = line(stints.len() + 1);
        let whole = bill(&terms, &[span(0, next)], &stints, &roads).unwrap();
        prop_assert_eq!(whole.parts.iter().map(|part| part.pence).sum::<i64>(), whole.total_pence);
        let fewer = alone(&terms, &stints[..stints.len() - 1], &roads).unwrap();
        prop_assert!(fewer.total_pence <= whole.total_pence);
    }

    #[test]
    fn equal_discount_sums_and_charges_nobody_more_than_alone(
        alone in proptest::collection::vec(0i64..200_000, 1..25), discount in 0i64..=1_000,
    ) {
        let sum: i64 = alone.iter().sum();
        let total = sum - sum * discount / 1_000;
        let shares = equal_discount(total, &alone).unwrap();
        prop_assert_eq!(shares.iter().sum::<i64>(), total);
        for (share, alone) in shares.iter().zip(&alone) {
            prop_assert!(share <= alone, "{share} is more than {alone}");
        }
    }

    #[test]
    fn with_a_fund_any_bill_is_paid_and_nobody_pays_more_than_alone(
        alone in proptest::collection::vec(0i64..200_000, 0..25), total in 0i64..4_000_000,
    ) {
        let Funded { shares, fund_pence } = with_fund(total, &alone).unwrap();
        prop_assert_eq!(shares.iter().sum::<i64>() + fund_pence, total);
        prop_assert!(shares.iter().zip(&alone).all(|(share, alone)| share <= alone));
        prop_assert_eq!(fund_pence > 0, !Standing::of(total, &alone).is_worth_it());
    }

    #[test]
    fn hours_sum_to_the_total(work in proptest::collection::vec(1i64..5_000, 1..25), total in 0i64..4_000_000) {
        prop_assert_eq!(by_hours(total, &work).unwrap().iter().sum::<i64>(), total);
    }

    #[test]
    fn shapley_sums_to_the_cost_of_all_and_treats_equals_alike(
        costs in proptest::collection::vec(0i64..100_000, 1..6), joint in 0i64..100_000,
    ) {
        // Whoever comes pays a fee of their own, and the fee all have in common once.
        let game = Game::reckon(costs.len(), |group| {
            let own: i64 = group.iter().map(|club| costs[*club]).sum();
            Ok::<_, GameError>(if group.is_empty() { 0 } else { own + joint })
        }).unwrap();
        let shares = game.shapley();
        prop_assert_eq!(shares.iter().sum::<i64>(), costs.iter().sum::<i64>() + joint);
        let even = joint / i64::try_from(costs.len()).unwrap();
        for (share, own) in shares.iter().zip(&costs) {
            prop_assert!((own + even..=own + even + 1).contains(share));
        }
    }
}
