//! Journeys against every way there is, those included whose stops or moves take no time.

use proptest::collection::vec;
use proptest::prelude::*;

use super::{Effort, Journey, Stop, travel};

const ERRANDS: usize = 5;
const LEVELS: usize = 3;

prop_compose! {
    fn table(most: i64)(cells in vec(vec(0..=most, ERRANDS), ERRANDS)) -> Vec<Vec<i64>> {
        cells
    }
}

prop_compose! {
    fn journeys()(
        mut minutes in table(4),
        road in table(9),
        takes in vec(prop_oneof![Just(0), 0_i64..3], ERRANDS),
        begins in vec((0_i64..12, 0..ERRANDS, vec(-1_i64..4, LEVELS)), 1..14),
        ends in vec(vec(0_i64..9, ERRANDS), 2),
        counts_road in vec(any::<bool>(), LEVELS),
    ) -> Journey {
        for (from, to) in (0..ERRANDS).flat_map(|from| (0..from).map(move |to| (from, to))) {
            let least = i64::from(takes[from] == 0 || takes[to] == 0);
            minutes[from][to] = minutes[from][to].max(least);
        }
        let stop = |(begins, errand, gains)| Stop { errand, begins, done: begins + takes[errand], gains };
        let mut stops: Vec<Stop> = begins.into_iter().map(stop).collect();
        stops.sort_by_key(|stop| (stop.begins, stop.errand));
        stops.dedup_by_key(|stop| (stop.begins, stop.errand));
        let [first_road, last_road] = [ends[0].clone(), ends[1].clone()];
        Journey { stops, errands: ERRANDS, minutes, road, first_road, last_road, counts_road }
    }
}

/// What a way is worth, by level.
fn worth(journey: &Journey, way: &[usize]) -> Vec<i64> {
    let errands: Vec<usize> = way.iter().map(|&stop| journey.stops[stop].errand).collect();
    let moves: i64 = errands.windows(2).map(|pair| journey.road[pair[0]][pair[1]]).sum();
    let ends = errands.first().map_or(0, |&errand| journey.first_road[errand])
        + errands.last().map_or(0, |&errand| journey.last_road[errand]);
    let gains = |level: usize| way.iter().map(|&stop| journey.stops[stop].gains[level]).sum::<i64>();
    (0..LEVELS).map(|level| gains(level) - if journey.counts_road[level] { moves + ends } else { 0 }).collect()
}

/// Every way that goes on from one.
fn for_each_way(journey: &Journey, way: &mut Vec<usize>, rate: &mut impl FnMut(&[usize])) {
    rate(way);
    let last = way.last().map(|&stop| &journey.stops[stop]);
    for (next, stop) in journey.stops.iter().enumerate() {
        let is_new = way.iter().all(|&other| journey.stops[other].errand != stop.errand);
        if is_new && last.is_none_or(|last| stop.begins >= last.done + journey.minutes[last.errand][stop.errand]) {
            way.push(next);
            for_each_way(journey, way, rate);
            way.pop();
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 4_000, ..ProptestConfig::default() })]

    #[test]
    fn a_journey_is_the_first_of_the_best_and_proven(journey in journeys(), width in 1_usize..4) {
        let mut best = (worth(&journey, &[]), Vec::new());
        for_each_way(&journey, &mut Vec::new(), &mut |way| {
            let value = worth(&journey, way);
            if value > best.0 || (value == best.0 && *way < *best.1) {
                best = (value, way.to_vec());
            }
        });
        let travelled = travel(&journey, Effort { width, ..Effort::default() }, &mut |_| true);
        prop_assert_eq!(&travelled.bounds, &best.0);
        prop_assert_eq!((travelled.reached, travelled.way), best);
    }
}
