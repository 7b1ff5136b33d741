//! A round of one machine as a journey for the label engine, and back.
//!
//! With one machine no two blocks run at once, so of several crews the best that can come is taken: crews never
//! compete. What has begun must be in the plan: serving it is a level above all others, reached by every answer.

use std::collections::BTreeMap;
use std::ops::ControlFlow;

use super::labels::{Effort, Journey, Stop, Travelled, travel};
use super::problem::{Level, Order, Outcome, Progress, Reached, Watch};
use super::rules::{Choice, Rules, counts_road, is_a_cost};

/// Plans the round of one machine; other machines stay idle.
pub(super) fn plan(rules: &Rules<'_>, machine: usize, order: Order, watch: &mut Watch<'_>) -> Outcome {
    let levels = rules.levels(order);
    let choices = best_crews(rules, machine, order, &levels);
    let journey = journey(rules, machine, order, &levels, &choices);
    let outcome = |travelled: &Travelled| outcome(&levels, &choices, travelled);
    let mut go_on = |best: &Travelled| watch(&Progress { best: &outcome(best) }) == ControlFlow::Continue(());
    outcome(&travel(&journey, Effort::default(), &mut go_on))
}

/// The choices of a machine, by start and request, each with the crew that serves the levels best.
fn best_crews(rules: &Rules<'_>, machine: usize, order: Order, levels: &[Level]) -> Vec<Choice> {
    let mut best: BTreeMap<(usize, usize), (Vec<i64>, Choice)> = BTreeMap::new();
    for choice in rules.choices(machine) {
        let gains = gains(rules, order, levels, &choice);
        let known = best.entry((choice.block.start, choice.block.request)).or_insert_with(|| (gains.clone(), choice));
        if gains > known.0 {
            *known = (gains, choice);
        }
    }
    best.into_values().map(|(_, choice)| choice).collect()
}

fn gains(rules: &Rules<'_>, order: Order, levels: &[Level], choice: &Choice) -> Vec<i64> {
    let begun = i64::from(rules.begun(choice.block.request).is_some());
    let gain = |level: &Level| rules.gain(*level, order, &choice.block, choice.helper_hm);
    std::iter::once(begun).chain(levels.iter().map(gain)).collect()
}

fn journey(rules: &Rules<'_>, machine: usize, order: Order, levels: &[Level], choices: &[Choice]) -> Journey {
    let requests = 0..rules.problem().requests.len();
    let stop = |choice: &Choice| Stop {
        errand: choice.block.request,
        begins: rules.begins_min(choice.block.start),
        done: rules.done_min(choice.block.request, choice.block.start),
        gains: gains(rules, order, levels, choice),
    };
    let table = |of: &dyn Fn(usize, usize) -> i64| {
        requests.clone().map(|from| requests.clone().map(|to| of(from, to)).collect()).collect()
    };
    Journey {
        stops: choices.iter().map(stop).collect(),
        errands: requests.len(),
        minutes: table(&|from, to| rules.move_min(from, to)),
        road: table(&|from, to| rules.road_hm(from, to)),
        first_road: requests.clone().map(|request| rules.legs_hm(machine, request).0).collect(),
        last_road: requests.clone().map(|request| rules.legs_hm(machine, request).1).collect(),
        counts_road: std::iter::once(false).chain(levels.iter().map(|level| counts_road(*level))).collect(),
    }
}

fn outcome(levels: &[Level], choices: &[Choice], travelled: &Travelled) -> Outcome {
    let values = travelled.reached.iter().zip(&travelled.bounds).skip(1);
    let reached = |(level, (value, bound)): (&Level, (&i64, &i64))| {
        let sign = if is_a_cost(*level) { -1 } else { 1 };
        Reached { level: *level, value: sign * value, bound: sign * bound }
    };
    let mut blocks: Vec<_> =
        travelled.way.iter().filter_map(|stop| choices.get(*stop)).map(|choice| choice.block).collect();
    blocks.sort_unstable();
    Outcome { blocks, levels: levels.iter().zip(values).map(reached).collect() }
}
