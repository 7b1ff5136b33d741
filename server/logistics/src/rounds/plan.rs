//! The front door: takes a problem apart into rounds that have nothing to do with each other, and gives each to the
//! engine that fits: one machine to the labels, several to the fleet.
//!
//! # Source
//! The objective is a sum over blocks at every level, and adding the same to both sides keeps the order of lists of
//! numbers: best parts make a best whole.

use std::collections::BTreeSet;

use super::faults::{ProblemError, check_order};
use super::fleet;
use super::one_machine;
use super::problem::{Block, Level, Order, Outcome, Problem, Progress, Reached, Watch};
use super::rules::{Choice, Rules, is_a_cost};

/// The best round for a problem, as far as the watch lets it be proven.
///
/// # Properties
/// The same problem gives the same round: where all is proven, the one that the tie rule of the module names. Its
/// levels, compared in order, are then never worse than with fewer machines, slots or crews.
///
/// # Errors
/// When the problem or the order contradicts itself or is larger than a plan can hold.
pub fn plan(problem: &Problem, order: Order, watch: &mut Watch<'_>) -> Result<Outcome, ProblemError> {
    check_order(order)?;
    let rules = Rules::new(problem)?;
    let families = families(&rules);
    let mut sum = Sum::new(&rules, order, families.len());
    for machines in families {
        let mut tell = |progress: &Progress<'_>| watch(&Progress { best: &sum.with(progress.best).whole() });
        let part = match machines.as_slice() {
            [machine] => one_machine::plan(&rules, *machine, order, &mut tell),
            several => fleet::plan(&Rules::new(&only(problem, several))?, order, &mut tell),
        };
        sum = sum.with(&part);
    }
    Ok(sum.whole())
}

/// Machines that must be planned together: they could serve the same request or use a crew in the same slot.
fn families(rules: &Rules<'_>) -> Vec<Vec<usize>> {
    let mut families: Vec<(BTreeSet<Shared>, Vec<usize>)> = Vec::new();
    for machine in 0..rules.problem().machines.len() {
        let mut joined = (shared(rules, machine), vec![machine]);
        let (near, apart): (Vec<_>, Vec<_>) =
            families.into_iter().partition(|(shared, _)| !shared.is_disjoint(&joined.0));
        families = apart;
        for (shared, machines) in near {
            joined.0.extend(shared);
            joined.1.extend(machines);
        }
        families.push(joined);
    }
    let mut families: Vec<Vec<usize>> = families.into_iter().map(|(_, machines)| machines).collect();
    families.iter_mut().for_each(|machines| machines.sort_unstable());
    families.sort_unstable();
    families
}

/// What two machines may both want.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Shared {
    Request(usize),
    Crew { crew: usize, slot: usize },
}

fn shared(rules: &Rules<'_>, machine: usize) -> BTreeSet<Shared> {
    let wants = |choice: Choice| {
        let crew = choice.block.crew;
        let slots = (choice.block.start..choice.end).map(move |slot| Shared::Crew { crew, slot });
        slots.chain([Shared::Request(choice.block.request)])
    };
    rules.choices(machine).into_iter().flat_map(wants).collect()
}

/// The problem with these machines only.
fn only(problem: &Problem, machines: &[usize]) -> Problem {
    let mut own = problem.clone();
    own.requests.iter_mut().for_each(|wish| wish.machines.retain(|machine| machines.contains(machine)));
    let Some(standing) = &mut own.standing else { return own };
    let now = standing.now_slot;
    let is_elsewhere = |block: &mut Block| block.start < now && !machines.contains(&block.machine);
    for begun in standing.confirmed.extract_if(.., is_elsewhere) {
        if let Some(wish) = own.requests.get_mut(begun.request) {
            wish.machines.clear();
        }
    }
    own
}

/// Rounds of some families put together.
#[derive(Debug, Clone)]
struct Sum {
    blocks: Vec<Block>,
    levels: Vec<Reached>,
    /// Bounds that hold whatever the other levels are.
    heavens: Vec<i64>,
    families: usize,
    /// Families not in the sum.
    left: usize,
}

impl Sum {
    fn new(rules: &Rules<'_>, order: Order, left: usize) -> Self {
        let levels = rules.levels(order);
        let heavens = levels.iter().map(|level| heaven(rules, *level, order)).collect();
        let levels = levels.into_iter().map(|level| Reached { level, value: 0, bound: 0 }).collect();
        Self { blocks: Vec::new(), levels, heavens, families: left, left }
    }

    fn with(&self, part: &Outcome) -> Self {
        let mut sum = self.clone();
        sum.left = self.left.saturating_sub(1);
        sum.blocks.extend(&part.blocks);
        sum.blocks.sort_unstable();
        for (ours, theirs) in sum.levels.iter_mut().zip(&part.levels) {
            ours.value += theirs.value;
            ours.bound += theirs.bound;
        }
        sum
    }

    /// The sum as an outcome. Bounds of parts add up to the first open level; beyond, one part might do worse so that
    /// another does better.
    fn whole(&self) -> Outcome {
        let mut levels = self.levels.clone();
        let proven = levels.iter().take_while(|reached| reached.value == reached.bound).count();
        let exact = if self.left > 0 {
            0
        } else if self.families == 1 {
            levels.len()
        } else {
            proven + 1
        };
        levels.iter_mut().zip(&self.heavens).skip(exact).for_each(|(reached, heaven)| reached.bound = *heaven);
        Outcome { blocks: self.blocks.clone(), levels }
    }
}

/// No round passes this at a level.
fn heaven(rules: &Rules<'_>, level: Level, order: Order) -> i64 {
    if is_a_cost(level) {
        return 0;
    }
    let mut most = vec![0; rules.problem().requests.len()];
    for choice in (0..rules.problem().machines.len()).flat_map(|machine| rules.choices(machine)) {
        let gain = rules.gain(level, order, &choice.block, choice.helper_hm);
        if let Some(most) = most.get_mut(choice.block.request) {
            *most = gain.max(*most);
        }
    }
    most.iter().sum()
}
