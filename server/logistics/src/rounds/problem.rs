//! What a round planner is asked: slots, places, machines, requests, crews, and what is already settled.
//!
//! All numbers are integers. Slots count from 0 at the first slot of the first day. Indices into the lists of a
//! [`Problem`] are plain `usize`. Knows nothing of ids, names, dates or where the facts came from.

/// Length of road in hectometres (0.1 km), the unit of every haul here.
pub type Hectometres = i64;

/// The unit in which machines are placed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Grain {
    /// Two slots a day: 08:00–12:30 and 13:30–18:00, 270 working minutes each.
    HalfDays,
    /// One slot a day: 08:00–18:00, 540 working minutes (an hour of breaks inside).
    Days,
}

/// A machine to be sent round.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Machine {
    /// Slots in which it may stand with a club, by slot: inside the hire, not away, not booked by anyone else.
    pub available: Vec<bool>,
    /// Place it starts from.
    pub start_place: usize,
    /// Place it ends at.
    pub end_place: usize,
    /// Clubs fetch it from the start and return it to the end, so those legs count as haul; else the supplier
    /// brings and collects it and they do not.
    pub hauled_by_clubs: bool,
}

/// The tractor and operator a request could use.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct CrewChoice {
    /// Index of the crew.
    pub crew: usize,
    /// Road the crew drives over and back, once for the block; 0 for the club's own.
    pub helper_hm: Hectometres,
}

/// Tractors with operators of one club.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Crew {
    /// How many can work at once.
    pub count: usize,
    /// Slots in which they can come, by slot.
    pub available: Vec<bool>,
}

/// A club's wish for a place in the round.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Request {
    /// Place of the work.
    pub place: usize,
    /// Working minutes needed; at least 1.
    pub work_min: i64,
    /// Slots in which the work may happen, by slot.
    pub allowed: Vec<bool>,
    /// Machines that suit: depth reached, tractor strong enough.
    pub machines: Vec<usize>,
    /// Crews that could do it.
    pub crews: Vec<CrewChoice>,
    /// What serving it is worth (need and turns); at least 0.
    pub weight: i64,
    /// Whether it must come before all others, having gone without.
    pub guaranteed: bool,
    /// Preference points by the day the block begins; 0 where a day was not asked for.
    pub points: Vec<i64>,
}

/// A request given its place: machine, first slot, crew.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Block {
    /// Index of the machine.
    pub machine: usize,
    /// First slot.
    pub start: usize,
    /// Index of the request.
    pub request: usize,
    /// Index of the crew.
    pub crew: usize,
}

/// Where a coordinator wants a request to be. A pin is kept before anything else is looked at.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Pin {
    /// Index of the request.
    pub request: usize,
    /// The machine it must have, if named.
    pub machine: Option<usize>,
    /// The slot it must begin in, if named; a pin with neither only says that the request must be served.
    pub start: Option<usize>,
}

/// Where a coordinator does not want a request to be.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Ban {
    /// Index of the request.
    pub request: usize,
    /// The machine it must not have; `None` is any.
    pub machine: Option<usize>,
    /// The slot it must not begin in; `None` is any. A ban with neither leaves the request out.
    pub start: Option<usize>,
}

/// A plan that stands and must now give way as little as possible.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Standing {
    /// The confirmed blocks.
    pub confirmed: Vec<Block>,
    /// First slot that has not begun: blocks before it stay as they are, and nothing new starts before it.
    pub now_slot: usize,
}

/// Everything a round is planned from.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Problem {
    /// The unit of placing.
    pub grain: Grain,
    /// Days of the plan.
    pub days: usize,
    /// Road between places, by place and place; symmetric is not required.
    pub road_hm: Vec<Vec<Hectometres>>,
    /// Minutes to hand a machine over between two clubs.
    pub handover_min: i64,
    /// The machines.
    pub machines: Vec<Machine>,
    /// The crews.
    pub crews: Vec<Crew>,
    /// The requests.
    pub requests: Vec<Request>,
    /// Pins of the coordinator.
    pub pins: Vec<Pin>,
    /// Bans of the coordinator.
    pub bans: Vec<Ban>,
    /// The plan that stands, when this is a re-plan.
    pub standing: Option<Standing>,
}

/// What comes first where wishes and haulage pull apart. Whom to serve is settled before, always.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Order {
    /// Preference points, then least haulage.
    WishesFirst,
    /// Least haulage, then preference points.
    HaulageFirst,
    /// Points and haulage together: one point is worth so many hectometres; then more points.
    Between {
        /// Worth of one point; at least 1.
        hm_per_point: Hectometres,
    },
}

/// One level of the objective, in the words of the page.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Level {
    /// Pins kept, a count; more is better.
    Pinned,
    /// Guaranteed requests served, a count; more is better.
    Guaranteed,
    /// Weight served; more is better.
    Weight,
    /// Weight of confirmed blocks kept; more is better. Re-plans only.
    KeptWeight,
    /// Disruption of confirmed blocks kept: 1 another machine or crew, 2 the other half of the day, 4 another
    /// day; less is better. Re-plans only.
    Disruption,
    /// Weight served beyond the confirmed blocks; more is better. Re-plans only.
    NewWeight,
    /// Preference points; more is better.
    Points,
    /// Points × worth − haul; more is better. Only between the two ends.
    PointsLessHaul,
    /// Road in hectometres: machine legs and helpers' trips; less is better.
    Haul,
}

/// How a level ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Reached {
    /// The level.
    pub level: Level,
    /// Its value in the plan.
    pub value: i64,
    /// No plan that is as good on the levels before can pass this. Equal to `value` when proven best possible.
    pub bound: i64,
}

/// A planned round and how good it is.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Outcome {
    /// The blocks, by machine, start, request.
    pub blocks: Vec<Block>,
    /// The levels in the order they were settled. After the first one that is open, bounds hold for the plans
    /// that tie on the values reached before.
    pub levels: Vec<Reached>,
}

impl Outcome {
    /// Whether every level is proven best possible.
    #[must_use]
    pub fn is_proven(&self) -> bool {
        self.levels.iter().all(|reached| reached.value == reached.bound)
    }
}

/// News of a long plan, told from time to time.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Progress<'a> {
    /// The best plan so far.
    pub best: &'a Outcome,
}

/// How the caller watches a long plan: told of progress every few milliseconds, answers whether to go on.
///
/// The planner itself reads no clock; a time limit is a watch that answers [`std::ops::ControlFlow::Break`].
pub type Watch<'a> = dyn FnMut(&Progress<'_>) -> std::ops::ControlFlow<()> + 'a;
