//! Against every plan there is, on thousands of tiny rounds.

use std::ops::ControlFlow;

use proptest::prelude::*;

use super::problem::{Block, Level, Order, Outcome, Problem, Standing, Watch};
use super::rules::Rules;
use super::test_plans::{Dice, best_of_all, blocks, for_each_plan, tiny, worth};

fn signed(outcome: &Outcome) -> (Vec<Level>, Vec<i64>, Vec<i64>) {
    let sign = |level: Level| if matches!(level, Level::Haul | Level::Disruption) { -1 } else { 1 };
    let levels = &outcome.levels;
    (
        levels.iter().map(|reached| reached.level).collect(),
        levels.iter().map(|reached| sign(reached.level) * reached.value).collect(),
        levels.iter().map(|reached| sign(reached.level) * reached.bound).collect(),
    )
}

fn plan(problem: &Problem, order: Order, watch: &mut Watch<'_>) -> Outcome {
    super::plan(problem, order, watch).unwrap()
}

/// The engine of several machines, whatever the number.
fn fleet(problem: &Problem, order: Order) -> Outcome {
    super::fleet::plan(&Rules::new(problem).unwrap(), order, &mut |_| ControlFlow::Continue(()))
}

fn order_of(seed: u64) -> Order {
    match seed % 3 {
        0 => Order::WishesFirst,
        1 => Order::HaulageFirst,
        _ => Order::Between { hm_per_point: 40 },
    }
}

/// The problem again, some days on: what was planned stands, and a club has closed its ground.
fn wet(problem: &Problem, seed: u64) -> Problem {
    let mut dice = Dice(seed ^ 0x5eed);
    let confirmed = plan(problem, Order::WishesFirst, &mut |_| ControlFlow::Continue(())).blocks;
    let now_slot = dice.below(3);
    let mut later = Problem { standing: Some(Standing { confirmed, now_slot }), pins: Vec::new(), ..problem.clone() };
    let closed = dice.below(later.requests.len());
    let begun = |request: usize| {
        let standing = later.standing.as_ref().unwrap();
        standing.confirmed.iter().any(|old| old.request == request && old.start < now_slot)
    };
    if !begun(closed) {
        later.requests[closed].allowed.iter_mut().for_each(|allowed| *allowed &= dice.chance(50));
    }
    later
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 4_000, ..ProptestConfig::default() })]

    #[test]
    fn a_plan_is_the_best_of_all_plans_and_says_so(seed in any::<u64>(), replans in any::<bool>()) {
        let order = order_of(seed >> 5);
        let first = tiny(seed);
        let problem = if replans { wet(&first, seed) } else { first };
        let outcome = plan(&problem, order, &mut |_| ControlFlow::Continue(()));
        let (levels, values, bounds) = signed(&outcome);
        prop_assert_eq!(worth(&problem, &levels, order, &outcome.blocks), Some(values.clone()));
        let all = blocks(&problem);
        prop_assert!(outcome.blocks.iter().all(|block| all.contains(block)));
        prop_assert_eq!(&values, &best_of_all(&problem, &levels, order));
        prop_assert_eq!(values, bounds);
        prop_assert_eq!(outcome.levels, fleet(&problem, order).levels);
    }

    #[test]
    fn the_checker_agrees_on_any_list_of_blocks(seed in any::<u64>(), drawn in any::<u64>()) {
        let (problem, order) = (tiny(seed), order_of(seed));
        let (rules, all) = (Rules::new(&problem).unwrap(), blocks(&problem));
        let mut dice = Dice(drawn);
        let mut plan: Vec<Block> = Vec::new();
        for _ in 0..dice.below(4) {
            let block = all.get(dice.below(all.len().max(1))).copied();
            plan.extend(block.filter(|block| plan.iter().all(|other| other.request != block.request)));
        }
        let levels = rules.levels(order);
        let sign = |level: Level| if matches!(level, Level::Haul | Level::Disruption) { -1 } else { 1 };
        let ours = rules.check(&plan).ok().map(|()| {
            rules.score(order, &plan).into_iter().map(|(level, value)| sign(level) * value).collect::<Vec<_>>()
        });
        prop_assert_eq!(ours, worth(&problem, &levels, order, &plan));
    }

    #[test]
    fn of_equal_plans_the_first_by_machine_start_request_and_crew_is_taken(seed in any::<u64>()) {
        let (problem, order) = (tiny(seed), order_of(seed >> 7));
        let outcome = plan(&problem, order, &mut |_| ControlFlow::Continue(()));
        let (levels, values, _) = signed(&outcome);
        let listed = |plan: &[Block]| -> Vec<Vec<Block>> {
            let mut lists = vec![Vec::new(); problem.machines.len()];
            plan.iter().for_each(|block| lists[block.machine].push(*block));
            lists.iter_mut().for_each(|list| list.sort_unstable());
            lists
        };
        let mut first = None;
        for_each_plan(&problem, &mut |plan| {
            if worth(&problem, &levels, order, plan).as_ref() == Some(&values) {
                first = Some(first.take().map_or(listed(plan), |first: Vec<_>| first.min(listed(plan))));
            }
        });
        prop_assert_eq!(Some(listed(&outcome.blocks)), first.clone());
        prop_assert_eq!(Some(listed(&fleet(&problem, order).blocks)), first);
    }

    #[test]
    fn the_order_in_which_requests_are_listed_changes_no_level(seed in any::<u64>()) {
        let (problem, order) = (tiny(seed), order_of(seed));
        let mut turned = problem.clone();
        turned.requests.reverse();
        let last = problem.requests.len() - 1;
        turned.pins.iter_mut().for_each(|pin| pin.request = last - pin.request);
        turned.bans.iter_mut().for_each(|ban| ban.request = last - ban.request);
        let levels = |problem: &Problem| plan(problem, order, &mut |_| ControlFlow::Continue(())).levels;
        prop_assert_eq!(levels(&problem), levels(&turned));
    }

    #[test]
    fn stopped_at_any_time_bounds_hold_for_plans_that_tie_before(seed in any::<u64>(), after in 0_usize..20) {
        let order = order_of(seed);
        let problem = tiny(seed);
        let mut asked = 0;
        let outcome = plan(&problem, order, &mut |_| {
            asked += 1;
            if asked > after { ControlFlow::Break(()) } else { ControlFlow::Continue(()) }
        });
        let (levels, values, bounds) = signed(&outcome);
        prop_assert_eq!(worth(&problem, &levels, order, &outcome.blocks), Some(values.clone()));
        for settled in 0..levels.len() {
            prop_assert!(values[settled] <= bounds[settled]);
            let best = best_of_all(&problem, &levels[..=settled], order);
            if best[..settled] == values[..settled] {
                prop_assert!(best[settled] <= bounds[settled]);
            }
        }
    }

    #[test]
    fn the_same_problem_gives_the_same_plan(seed in any::<u64>()) {
        let problem = tiny(seed);
        let once = plan(&problem, order_of(seed), &mut |_| ControlFlow::Continue(()));
        let again = plan(&problem, order_of(seed), &mut |_| ControlFlow::Continue(()));
        prop_assert_eq!(once, again);
    }
}
