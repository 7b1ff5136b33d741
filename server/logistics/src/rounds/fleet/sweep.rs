//! In which order the stops of a machine are looked at, and which can come after which.
//!
//! Knows nothing of prices.

use super::field::Stop;

/// The order in which stops are looked at, and what each can come from.
///
/// A stop can come from all stops pooled before its turn, and from those named in `direct`.
#[derive(Debug, Clone, Default)]
pub(super) struct Sweep {
    /// Stops in the order they are looked at, each with the stops to be pooled just before.
    pub turns: Vec<(usize, Vec<usize>)>,
    /// Stops too near in time to be pooled, which it can yet come from; by stop.
    pub direct: Vec<Vec<usize>>,
}

impl Sweep {
    pub fn forward(stops: &[Stop], follows: &impl Fn(&Stop, &Stop) -> bool) -> Self {
        let ready = ready(stops, follows);
        let mut order: Vec<usize> = (0..stops.len()).collect();
        order.sort_by_key(|&stop| stops[stop].start);
        let mut entering: Vec<usize> = (0..stops.len()).collect();
        entering.sort_by_key(|&stop| ready[stop]);
        let direct = |next: &Stop| {
            let near = |one: &usize| stops[*one].end <= next.start && next.start < ready[*one];
            (0..stops.len()).filter(near).filter(|&one| follows(&stops[one], next)).collect()
        };
        let direct = stops.iter().map(direct).collect();
        let mut entering = entering.into_iter().peekable();
        let mut turns = Vec::new();
        for stop in order {
            let mut pooled = Vec::new();
            while let Some(one) = entering.next_if(|&one| ready[one] <= stops[stop].start) {
                pooled.push(one);
            }
            turns.push((stop, pooled));
        }
        Self { turns, direct }
    }

    /// The same looked at from the end: a stop comes from those that can follow it.
    pub fn backward(stops: &[Stop], follows: &impl Fn(&Stop, &Stop) -> bool) -> Self {
        let turn = |stop: &Stop| {
            let (start, end) = (usize::MAX / 2 - stop.end, usize::MAX / 2 - stop.start);
            Stop { start, end, ..stop.clone() }
        };
        let turned: Vec<Stop> = stops.iter().map(turn).collect();
        Self::forward(&turned, &|one: &Stop, next: &Stop| follows(&turn(next), &turn(one)))
    }
}

/// The slot from which on every other request can follow, by stop.
pub(super) fn ready(stops: &[Stop], follows: &impl Fn(&Stop, &Stop) -> bool) -> Vec<usize> {
    let of = |one: &Stop| {
        let later = stops.iter().filter(|next| next.start >= one.end && next.request != one.request);
        let blocked = later.filter(|next| !follows(one, next)).map(|next| next.start + 1).max();
        blocked.unwrap_or(one.end)
    };
    stops.iter().map(of).collect()
}
