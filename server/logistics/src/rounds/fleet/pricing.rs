//! The best journey of one machine at given prices: labels over its stops, remembering some of the requests served.
//!
//! Everything is an integer. A journey may serve a request twice if the memory along the way lets go of it, so the
//! answer is an upper bound of what an honest journey brings, and with full memory it is exact.
//!
//! # Source
//! Baldacci, Mingozzi, Roberti, *New route relaxation and pricing strategies for the vehicle routing problem*,
//! Operations Research 59 (2011): ng-routes. O(stops × requests × labels of a stop).

use super::field::{Field, Lane, Stop};
use super::sweep::Sweep;

/// What no journey can be worth: the mark of a stop that is not to be used.
pub(super) const CLOSED: i64 = i64::MIN / 4;

/// Requests remembered, one bit each; requests beyond the last bit are never remembered.
pub(super) type Memory = u128;

/// The bit of a request.
pub(super) fn bit(request: usize) -> Memory {
    u32::try_from(request).ok().and_then(|request| 1_u128.checked_shl(request)).unwrap_or(0)
}

/// A way to be at a stop.
#[derive(Debug, Clone, Copy)]
pub(super) struct Label {
    pub value: i64,
    pub seen: Memory,
    /// Stop and label before; itself when there is none.
    from: (u32, u32),
}

/// Prices of a machine's journeys.
#[derive(Debug, Clone, Copy)]
pub(super) struct Prices<'a> {
    /// What each stop brings; [`CLOSED`] when it is not to be used.
    pub worth: &'a [i64],
    /// What a hectometre costs.
    pub road: i64,
    /// What is remembered at each request of the requests before.
    pub memory: &'a [Memory],
    /// Journeys worth no more than this are of no interest.
    pub least: i64,
    /// Keep only the best label anywhere: quick, honest journeys, but no bound.
    pub rough: bool,
}

/// Requests that can still come after a slot, and those that can have come before it, by slot.
#[derive(Debug)]
struct Reach {
    after: Vec<Memory>,
    before: Vec<Memory>,
}

impl Reach {
    fn new(lane: &Lane, worth: &[i64]) -> Self {
        let slots = lane.stops.iter().map(|stop| stop.end).max().unwrap_or(0) + 1;
        let (mut after, mut before) = (vec![0; slots + 1], vec![0; slots + 1]);
        for (stop, _) in lane.stops.iter().zip(worth).filter(|(_, worth)| **worth > CLOSED) {
            after[stop.start] |= bit(stop.request);
            before[stop.end] |= bit(stop.request);
        }
        for slot in (0..slots).rev() {
            after[slot] |= after[slot + 1];
        }
        for slot in 1..=slots {
            before[slot] |= before[slot - 1];
        }
        Self { after, before }
    }
}

/// Labels of every stop of a lane.
#[derive(Debug)]
pub(super) struct Labels {
    at: Vec<Vec<Label>>,
}

/// Labels of journeys up to each stop, and from each stop on, as far as together they can be of interest.
pub(super) fn forward(field: &Field, lane: &Lane, prices: Prices<'_>) -> Labels {
    let reach = Reach::new(lane, prices.worth);
    let bare = backward_run(field, lane, prices, &reach, None);
    forward_run(field, lane, prices, &reach, Some(&bare.tops()))
}

/// The most a journey is worth; at least `least`.
pub(super) fn most(field: &Field, lane: &Lane, prices: Prices<'_>) -> i64 {
    let labels = forward(field, lane, prices);
    labels.best(lane, prices.road, 1).first().map_or(prices.least, |&(value, _)| value.max(prices.least))
}

/// Labels from both sides.
pub(super) fn both(field: &Field, lane: &Lane, prices: Prices<'_>) -> (Labels, Labels) {
    let reach = Reach::new(lane, prices.worth);
    let bare = backward_run(field, lane, prices, &reach, None);
    let ahead = forward_run(field, lane, prices, &reach, Some(&bare.tops()));
    let back = backward_run(field, lane, prices, &reach, Some(&ahead.tops()));
    (ahead, back)
}

fn forward_run(field: &Field, lane: &Lane, prices: Prices<'_>, reach: &Reach, rest: Option<&[i64]>) -> Labels {
    let open = |stop: &Stop| reach.after[stop.end];
    run(lane, &lane.forward, prices, &lane.begin_hm, rest, &open, &|from, to| field.road_hm(from, to))
}

fn backward_run(field: &Field, lane: &Lane, prices: Prices<'_>, reach: &Reach, rest: Option<&[i64]>) -> Labels {
    let open = |stop: &Stop| reach.before[stop.start];
    run(lane, &lane.backward, prices, &lane.finish_hm, rest, &open, &|from, to| field.road_hm(to, from))
}

/// Without `rest`, the most the rest of a journey can be worth by stop, only the last request is remembered.
fn run(
    lane: &Lane,
    sweep: &Sweep,
    prices: Prices<'_>,
    outer_hm: &[i64],
    rest: Option<&[i64]>,
    open: &impl Fn(&Stop) -> Memory,
    road: &impl Fn(usize, usize) -> i64,
) -> Labels {
    let requests = outer_hm.len();
    let mut at: Vec<Vec<Label>> = vec![Vec::new(); lane.stops.len()];
    let mut pool: Vec<Vec<Label>> = vec![Vec::new(); requests];
    let mut active: Vec<usize> = Vec::new();
    for (stop, entering) in &sweep.turns {
        for &one in entering {
            // Where road costs nothing it does not matter where a machine waits.
            let request = if prices.road == 0 { 0 } else { lane.stops[one].request };
            if pool[request].is_empty() && !at[one].is_empty() {
                active.push(request);
            }
            for (index, label) in at[one].iter().enumerate() {
                let label = Label { from: (small(one), small(index)), ..*label };
                if prices.rough { top(&mut pool[request], label) } else { keep(&mut pool[request], label) }
            }
        }
        let worth = prices.worth[*stop];
        if worth <= CLOSED {
            continue;
        }
        let request = lane.stops[*stop].request;
        let own = bit(request);
        let memory = if rest.is_some() { prices.memory[request] } else { 0 };
        let open = open(&lane.stops[*stop]);
        let need = rest.map_or(i64::MIN, |rest| prices.least - rest[*stop] + worth);
        let mut kept: Vec<Label> = Vec::new();
        let mut come = |value: i64, seen: Memory, from: (u32, u32)| {
            if seen & own == 0 && value > need {
                let label = Label { value, seen: (seen & memory | own) & open, from };
                if prices.rough { top(&mut kept, label) } else { keep(&mut kept, label) }
            }
        };
        come(worth - prices.road * outer_hm[request], 0, (small(*stop), u32::MAX));
        for &before in &active {
            if before != request || prices.road == 0 {
                let brings = worth - prices.road * road(before, request);
                pool[before].iter().for_each(|label| come(label.value + brings, label.seen, label.from));
            }
        }
        for &one in &sweep.direct[*stop] {
            let before = lane.stops[one].request;
            if before != request {
                let brings = worth - prices.road * road(before, request);
                let labels = at[one].iter().enumerate();
                labels.for_each(|(index, label)| come(label.value + brings, label.seen, (small(one), small(index))));
            }
        }
        at[*stop] = kept;
    }
    Labels { at }
}

/// Adds a label unless one that is worth as much remembers no more; drops those it outdoes.
fn keep(labels: &mut Vec<Label>, new: Label) {
    let mut index = 0;
    while let Some(old) = labels.get(index) {
        if old.value >= new.value && old.seen & !new.seen == 0 {
            return;
        }
        if new.value >= old.value && new.seen & !old.seen == 0 {
            labels.swap_remove(index);
        } else {
            index += 1;
        }
    }
    labels.push(new);
}

/// Keeps the better of a label and the only one there.
fn top(labels: &mut Vec<Label>, new: Label) {
    match labels.first_mut() {
        Some(old) if old.value >= new.value => {}
        Some(old) => *old = new,
        None => labels.push(new),
    }
}

fn small(index: usize) -> u32 {
    u32::try_from(index).unwrap_or(u32::MAX)
}

impl Labels {
    /// The most a label of each stop is worth.
    fn tops(&self) -> Vec<i64> {
        self.at.iter().map(|labels| labels.iter().map(|label| label.value).max().unwrap_or(CLOSED)).collect()
    }

    /// The best whole journeys by last stop, best first: value and stops in order of time.
    pub fn best(&self, lane: &Lane, road: i64, most: usize) -> Vec<(i64, Vec<usize>)> {
        let mut ends: Vec<(i64, usize, usize)> = Vec::new();
        for (stop, labels) in self.at.iter().enumerate() {
            let finish = road * lane.finish_hm[lane.stops[stop].request];
            let best = labels.iter().enumerate().map(|(index, label)| (label.value - finish, stop, index));
            ends.extend(best.max_by_key(|&(value, ..)| value));
        }
        ends.sort_unstable_by_key(|&(value, stop, _)| (std::cmp::Reverse(value), stop));
        let mut last_seen = vec![0_u8; lane.begin_hm.len()];
        ends.retain(|&(_, stop, _)| {
            let times = &mut last_seen[lane.stops[stop].request];
            *times += 1;
            *times <= 1
        });
        ends.truncate(most);
        ends.into_iter().map(|(value, stop, index)| (value, self.journey(stop, index))).collect()
    }

    fn journey(&self, stop: usize, index: usize) -> Vec<usize> {
        let (mut stop, mut index) = (stop, index);
        let mut stops = vec![stop];
        while let Some(&Label { from, .. }) = self.at[stop].get(index) {
            if from.1 == u32::MAX {
                break;
            }
            (stop, index) = (from.0 as usize, from.1 as usize);
            stops.push(stop);
        }
        stops.reverse();
        stops
    }

    /// The most a journey through each stop can be worth, given the labels from the other side.
    pub fn through(&self, back: &Self, lane: &Lane, worth: &[i64]) -> Vec<i64> {
        let join = |(stop, ahead): (usize, &Vec<Label>)| {
            let own = bit(lane.stops[stop].request);
            let pairs = ahead.iter().flat_map(|one| back.at[stop].iter().map(move |two| (one, two)));
            let honest = pairs.filter(|(one, two)| one.seen & two.seen & !own == 0);
            honest.map(|(one, two)| one.value + two.value - worth[stop]).max().unwrap_or(CLOSED)
        };
        self.at.iter().enumerate().map(join).collect()
    }
}
