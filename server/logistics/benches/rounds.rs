//! The engines of the round planner against each other and against looking at every plan, in one run.
//!
//! Prints criterion's times, and then ratios of the quickest runs: those hold on any machine.
#![expect(clippy::indexing_slicing, reason = "dense tables of rounds made here")]

use std::cell::RefCell;
use std::collections::BTreeMap;
use std::hint::black_box;
use std::ops::ControlFlow;
use std::time::{Duration, Instant};

use criterion::Criterion;
use logistics::rounds::{
    Block, Crew, CrewChoice, Grain, Level, Machine, Order, Outcome, Problem, Progress, Request, Rules, fleet,
    is_a_cost, plan,
};

/// Numbers drawn from a seed: Knuth, *The Art of Computer Programming* 2, the constants of MMIX.
struct Dice(u64);

impl Dice {
    fn below(&mut self, sides: usize) -> usize {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        usize::try_from(self.0 >> 33).unwrap_or(0) % sides
    }

    fn number(&mut self, sides: usize) -> i64 {
        i64::try_from(self.below(sides)).unwrap_or(0)
    }

    fn flags(&mut self, count: usize, percent: usize) -> Vec<bool> {
        (0..count).map(|_| self.below(100) < percent).collect()
    }
}

/// A round in half-days of so many requests, machines and days, each club with a crew of its own.
fn round(requests: usize, machines: usize, days: usize) -> Problem {
    let mut dice = Dice(7);
    let slots = 2 * days;
    let spots: Vec<(i64, i64)> = (0..=requests).map(|_| (dice.number(500), dice.number(500))).collect();
    let road = |one: &(i64, i64)| spots.iter().map(|two| (one.0 - two.0).abs() + (one.1 - two.1).abs()).collect();
    let machine = |available| Machine { available, start_place: requests, end_place: requests, hauled_by_clubs: true };
    let request = |place: usize, dice: &mut Dice| Request {
        place,
        work_min: 150 + dice.number(400),
        allowed: dice.flags(slots, 70),
        machines: (0..machines).collect(),
        crews: vec![CrewChoice { crew: place, helper_hm: 0 }],
        weight: 10 + dice.number(50),
        guaranteed: dice.below(10) == 0,
        points: (0..days).map(|_| [0, 0, 1, 2, 3, 5][dice.below(6)]).collect(),
    };
    Problem {
        grain: Grain::HalfDays,
        days,
        road_hm: spots.iter().map(road).collect(),
        handover_min: 40,
        machines: (0..machines).map(|_| machine(dice.flags(slots, 95))).collect(),
        crews: (0..requests).map(|_| Crew { count: 1, available: dice.flags(slots, 95) }).collect(),
        requests: (0..requests).map(|place| request(place, &mut dice)).collect(),
        pins: Vec::new(),
        bans: Vec::new(),
        standing: None,
    }
}

fn to_the_end(_: &Progress<'_>) -> ControlFlow<()> {
    ControlFlow::Continue(())
}

fn front_door(problem: &Problem, order: Order) -> Option<Outcome> {
    plan(problem, order, &mut to_the_end).ok()
}

fn by_fleet(problem: &Problem, order: Order) -> Option<Outcome> {
    Some(fleet::plan(&Rules::new(problem).ok()?, order, &mut to_the_end))
}

/// The best levels of all plans there are, by looking at each; more is better.
fn by_looking_at_all(problem: &Problem, order: Order) -> Option<Vec<i64>> {
    fn extend(rules: &Rules<'_>, order: Order, request: usize, plan: &mut Vec<Block>, best: &mut Option<Vec<i64>>) {
        if rules.check(plan).is_err() {
            return;
        }
        if request == rules.problem().requests.len() {
            let value = |(level, value): (Level, i64)| if is_a_cost(level) { -value } else { value };
            *best = best.take().max(Some(rules.score(order, plan).into_iter().map(value).collect()));
            return;
        }
        extend(rules, order, request + 1, plan, best);
        for machine in 0..rules.problem().machines.len() {
            for start in rules.starts(request, machine) {
                for (crew, _) in rules.crews(request, start) {
                    plan.push(Block { machine, start, request, crew });
                    extend(rules, order, request + 1, plan, best);
                    plan.pop();
                }
            }
        }
    }
    let mut best = None;
    extend(&Rules::new(problem).ok()?, order, 0, &mut Vec::new(), &mut best);
    best
}

/// The quickest run of each benchmark so far.
#[derive(Default)]
struct Quickest(RefCell<BTreeMap<&'static str, Duration>>);

impl Quickest {
    fn bench<T>(&self, criterion: &mut Criterion, name: &'static str, mut run: impl FnMut() -> T) {
        criterion.bench_function(name, |bencher| {
            bencher.iter_custom(|times| {
                let began = Instant::now();
                (0..times).for_each(|_| drop(black_box(run())));
                let taken = began.elapsed();
                let each = taken / u32::try_from(times).unwrap_or(u32::MAX);
                let mut known = self.0.borrow_mut();
                let best = known.entry(name).or_insert(each);
                *best = each.min(*best);
                taken
            });
        });
    }

    fn print_ratio(&self, slow: &str, quick: &str) {
        if let (Some(slow_time), Some(quick_time)) = (self.0.borrow().get(slow), self.0.borrow().get(quick)) {
            let ratio = slow_time.as_secs_f64() / quick_time.as_secs_f64();
            println!("{quick} is {ratio:.1} times as fast as {slow}");
        }
    }
}

fn main() {
    let mut criterion =
        Criterion::default().sample_size(10).measurement_time(Duration::from_secs(3)).configure_from_args();
    let quickest = Quickest::default();
    let (small, alone, two) = (round(5, 1, 4), round(14, 1, 9), round(12, 2, 7));
    let (wishes, haulage) = (Order::WishesFirst, Order::HaulageFirst);
    quickest.bench(&mut criterion, "small, every plan", || by_looking_at_all(&small, wishes));
    quickest.bench(&mut criterion, "small, labels", || front_door(&small, wishes));
    quickest.bench(&mut criterion, "small, fleet", || by_fleet(&small, wishes));
    quickest.bench(&mut criterion, "one machine, labels, wishes first", || front_door(&alone, wishes));
    quickest.bench(&mut criterion, "one machine, labels, haulage first", || front_door(&alone, haulage));
    quickest.bench(&mut criterion, "one machine, fleet, wishes first", || by_fleet(&alone, wishes));
    quickest.bench(&mut criterion, "two machines, fleet, wishes first", || front_door(&two, wishes));
    quickest.bench(&mut criterion, "two machines, fleet, haulage first", || front_door(&two, haulage));
    quickest.print_ratio("small, every plan", "small, labels");
    quickest.print_ratio("small, every plan", "small, fleet");
    quickest.print_ratio("small, fleet", "small, labels");
    quickest.print_ratio("one machine, fleet, wishes first", "one machine, labels, wishes first");
    quickest.print_ratio("one machine, labels, haulage first", "one machine, labels, wishes first");
    quickest.print_ratio("two machines, fleet, haulage first", "two machines, fleet, wishes first");
    criterion.final_summary();
}
