//! Tiny rounds with every plan there is, for the tests: the rules are written out here a second time.
#![expect(clippy::as_conversions, reason = "small numbers of small problems")]

use super::problem::{Ban, Block, Crew, CrewChoice, Grain, Level, Machine, Order, Pin, Problem, Request};

/// Draws numbers from a seed.
pub(super) struct Dice(pub u64);

impl Dice {
    pub fn below(&mut self, sides: usize) -> usize {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 33) as usize % sides
    }

    pub fn chance(&mut self, percent: usize) -> bool {
        self.below(100) < percent
    }
}

/// A tiny round: one to three machines, clubs whose moves at midday may not fit, helpers that come once at a time.
pub(super) fn tiny(seed: u64) -> Problem {
    let mut dice = Dice(seed);
    let grain = if dice.chance(70) { Grain::HalfDays } else { Grain::Days };
    let days = if grain == Grain::HalfDays { 2 + dice.below(2) } else { 3 + dice.below(2) };
    let slots = if grain == Grain::HalfDays { 2 * days } else { days };
    let places = 4;
    let spots: Vec<(i64, i64)> = (0..places).map(|_| (dice.below(400) as i64, dice.below(400) as i64)).collect();
    let road = |a: &(i64, i64), b: &(i64, i64)| (a.0 - b.0).abs() + (a.1 - b.1).abs();
    let mut flags = |percent: usize| -> Vec<bool> { (0..slots).map(|_| dice.chance(percent)).collect() };
    let available: Vec<Vec<bool>> = (0..3).map(|_| flags(85)).collect();
    let crew_slots: Vec<Vec<bool>> = (0..places).map(|_| flags(75)).collect();
    let allowed: Vec<Vec<bool>> = (0..5).map(|_| flags(80)).collect();
    let machines: Vec<Machine> = available
        .into_iter()
        .take(1 + dice.below(3))
        .map(|available| Machine {
            available,
            start_place: dice.below(4),
            end_place: dice.below(4),
            hauled_by_clubs: dice.chance(70),
        })
        .collect();
    let request = |allowed: Vec<bool>, dice: &mut Dice| {
        let place = dice.below(4);
        let helper = dice.below(4);
        let own = CrewChoice { crew: place, helper_hm: 0 };
        let help = CrewChoice { crew: helper, helper_hm: 2 * road(&spots[place], &spots[helper]) };
        let mut suits: Vec<usize> = (0..machines.len()).filter(|_| dice.chance(75)).collect();
        suits.dedup();
        Request {
            place,
            work_min: 60 + dice.below(500) as i64,
            allowed,
            machines: suits,
            crews: if helper == place { vec![own] } else { vec![own, help] },
            weight: dice.below(6) as i64,
            guaranteed: dice.chance(25),
            points: (0..days).map(|_| dice.below(4) as i64).collect(),
        }
    };
    let count = 3 + dice.below(2);
    let requests: Vec<Request> = allowed.into_iter().take(count).map(|allowed| request(allowed, &mut dice)).collect();
    Problem {
        grain,
        days,
        road_hm: spots.iter().map(|a| spots.iter().map(|b| road(a, b)).collect()).collect(),
        handover_min: 20,
        crews: crew_slots
            .into_iter()
            .map(|available| Crew { count: usize::from(dice.chance(90)), available })
            .collect(),
        pins: (0..dice.below(2))
            .map(|_| Pin {
                request: dice.below(count),
                machine: dice.chance(50).then(|| dice.below(machines.len())),
                start: dice.chance(50).then(|| dice.below(slots)),
            })
            .collect(),
        bans: (0..dice.below(2))
            .map(|_| Ban {
                request: dice.below(count),
                machine: dice.chance(50).then(|| dice.below(machines.len())),
                start: dice.chance(70).then(|| dice.below(slots)),
            })
            .collect(),
        machines,
        requests,
        standing: None,
    }
}

fn clock(problem: &Problem, slot: usize) -> (i64, i64) {
    match (problem.grain, slot % 2) {
        (Grain::Days, _) => (slot as i64 * 1440 + 480, slot as i64 * 1440 + 1080),
        (Grain::HalfDays, 0) => (slot as i64 / 2 * 1440 + 480, slot as i64 / 2 * 1440 + 750),
        (Grain::HalfDays, _) => (slot as i64 / 2 * 1440 + 810, slot as i64 / 2 * 1440 + 1080),
    }
}

fn day(problem: &Problem, slot: usize) -> usize {
    if problem.grain == Grain::Days { slot } else { slot / 2 }
}

fn length(problem: &Problem, request: usize) -> (usize, i64) {
    let work = if problem.grain == Grain::Days { 540 } else { 270 };
    let slots = (problem.requests[request].work_min + work - 1) / work;
    (slots as usize, slots * work - problem.requests[request].work_min)
}

/// Every block there can be.
pub(super) fn blocks(problem: &Problem) -> Vec<Block> {
    let mut blocks = Vec::new();
    let slots = problem.machines[0].available.len();
    for (request, wish) in problem.requests.iter().enumerate() {
        let span = length(problem, request).0;
        for &machine in &wish.machines {
            for start in 0..(slots + 1).saturating_sub(span) {
                for choice in &wish.crews {
                    let crew = &problem.crews[choice.crew];
                    let fits = (start..start + span).all(|slot| {
                        wish.allowed[slot] && problem.machines[machine].available[slot] && crew.available[slot]
                    });
                    let banned = problem.bans.iter().any(|ban| {
                        ban.request == request
                            && ban.machine.is_none_or(|other| other == machine)
                            && ban.start.is_none_or(|other| other == start)
                    });
                    let block = Block { machine, start, request, crew: choice.crew };
                    let allowed = match &problem.standing {
                        None => true,
                        Some(standing) => match standing.confirmed.iter().find(|old| old.request == request) {
                            Some(old) if old.start < standing.now_slot => *old == block,
                            _ => start >= standing.now_slot,
                        },
                    };
                    if fits && crew.count > 0 && !banned && allowed {
                        blocks.push(block);
                    }
                }
            }
        }
    }
    blocks
}

fn follows(problem: &Problem, one: &Block, next: &Block) -> bool {
    let (span, slack) = length(problem, one.request);
    let (from, to) = (problem.requests[one.request].place, problem.requests[next.request].place);
    let minutes = if from == to { 0 } else { (3 * problem.road_hm[from][to] + 19) / 20 + problem.handover_min };
    next.start >= one.start + span
        && clock(problem, next.start).0 - (clock(problem, one.start + span - 1).1 - slack) >= minutes
}

/// The plan's worth by level, more being better; `None` if it breaks a rule.
pub(super) fn worth(problem: &Problem, levels: &[Level], order: Order, plan: &[Block]) -> Option<Vec<i64>> {
    let mut haul = 0;
    for (machine, facts) in problem.machines.iter().enumerate() {
        let mut route: Vec<&Block> = plan.iter().filter(|block| block.machine == machine).collect();
        route.sort_by_key(|block| block.start);
        if route.windows(2).any(|pair| !follows(problem, pair[0], pair[1])) {
            return None;
        }
        let places: Vec<usize> = route.iter().map(|block| problem.requests[block.request].place).collect();
        haul += places.windows(2).map(|pair| problem.road_hm[pair[0]][pair[1]]).sum::<i64>();
        if let (Some(&first), Some(&last), true) = (places.first(), places.last(), facts.hauled_by_clubs) {
            haul += problem.road_hm[facts.start_place][first] + problem.road_hm[last][facts.end_place];
        }
    }
    for (crew, facts) in problem.crews.iter().enumerate() {
        for slot in 0..facts.available.len() {
            let is_on = |block: &&Block| {
                block.crew == crew && (block.start..block.start + length(problem, block.request).0).contains(&slot)
            };
            if plan.iter().filter(is_on).count() > facts.count {
                return None;
            }
        }
    }
    let helper = |block: &Block| {
        let own = problem.requests[block.request].crews.iter().find(|choice| choice.crew == block.crew);
        own.map_or(0, |choice| choice.helper_hm)
    };
    haul += plan.iter().map(helper).sum::<i64>();
    let old =
        |block: &Block| problem.standing.as_ref()?.confirmed.iter().find(|old| old.request == block.request).copied();
    let disruption = |block: &Block| match old(block) {
        None => 0,
        Some(old) if old.start == block.start => i64::from((old.machine, old.crew) != (block.machine, block.crew)),
        Some(old) if day(problem, old.start) == day(problem, block.start) => 2,
        Some(_) => 4,
    };
    let wish = |block: &Block| &problem.requests[block.request];
    let points: i64 = plan.iter().map(|block| wish(block).points[day(problem, block.start)]).sum();
    let value = |level: &Level| match level {
        Level::Pinned => {
            let kept = |pin: &&Pin| {
                plan.iter().any(|block| {
                    block.request == pin.request
                        && pin.machine.is_none_or(|machine| machine == block.machine)
                        && pin.start.is_none_or(|start| start == block.start)
                })
            };
            problem.pins.iter().filter(kept).count() as i64
        }
        Level::Guaranteed => plan.iter().filter(|block| wish(block).guaranteed).count() as i64,
        Level::Weight => plan.iter().map(|block| wish(block).weight).sum(),
        Level::KeptWeight => plan.iter().filter(|block| old(block).is_some()).map(|block| wish(block).weight).sum(),
        Level::NewWeight => plan.iter().filter(|block| old(block).is_none()).map(|block| wish(block).weight).sum(),
        Level::Disruption => -plan.iter().map(disruption).sum::<i64>(),
        Level::Points => points,
        Level::Haul => -haul,
        Level::PointsLessHaul => match order {
            Order::Between { hm_per_point } => points * hm_per_point - haul,
            _ => 0,
        },
    };
    Some(levels.iter().map(value).collect())
}

/// Every list of blocks that serves nobody twice and keeps what has begun.
pub(super) fn for_each_plan(problem: &Problem, rate: &mut impl FnMut(&[Block])) {
    fn extend(
        problem: &Problem,
        all: &[Block],
        request: usize,
        plan: &mut Vec<Block>,
        rate: &mut impl FnMut(&[Block]),
    ) {
        if request == problem.requests.len() {
            return rate(plan);
        }
        let is_begun = problem.standing.as_ref().is_some_and(|standing| {
            standing.confirmed.iter().any(|old| old.request == request && old.start < standing.now_slot)
        });
        if !is_begun {
            extend(problem, all, request + 1, plan, rate);
        }
        for block in all.iter().filter(|block| block.request == request) {
            plan.push(*block);
            extend(problem, all, request + 1, plan, rate);
            plan.pop();
        }
    }
    extend(problem, &blocks(problem), 0, &mut Vec::new(), rate);
}

/// The best of all plans, by looking at each.
pub(super) fn best_of_all(problem: &Problem, levels: &[Level], order: Order) -> Vec<i64> {
    let mut best: Option<Vec<i64>> = None;
    for_each_plan(problem, &mut |plan| {
        if let Some(value) = worth(problem, levels, order, plan) {
            best = best.take().max(Some(value));
        }
    });
    best.unwrap()
}
