//! The words of plans, pins and turns.

use logistics::rounds::{Level, Order};

use crate::words::words;

words! {
    /// What comes first where wishes and haulage pull apart. Whom to serve is settled before, always.
    PlanOrder {
        /// Wishes, then least road.
        WishesFirst = "wishes_first",
        /// Both together, by what the network says a wish point is worth in road.
        Between = "between",
        /// Least road, then wishes.
        HaulageFirst = "haulage_first",
    }
}

words! {
    /// What a plan is for.
    PlanPurpose {
        /// To be offered.
        Proposal = "proposal",
        /// To give away again the places that clubs declined.
        Refill = "refill",
        /// To put right what is confirmed.
        Replan = "replan",
    }
}

words! {
    /// Where a plan stands.
    PlanState {
        /// It waits for a worker.
        Queued = "queued",
        /// A worker searches.
        Working = "working",
        /// It is there.
        Ready = "ready",
        /// It could not be made.
        Failed = "failed",
        /// It is the one to offer.
        Chosen = "chosen",
        /// Another one took its place.
        Superseded = "superseded",
    }
}

words! {
    /// What a coordinator wants of a request's place.
    PinKind {
        /// It is to be there.
        Pin = "pin",
        /// It is not to be there.
        Ban = "ban",
    }
}

words! {
    /// A level of what plans are compared by.
    LevelName {
        /// Pins kept; more is better.
        Pinned = "pinned",
        /// Guaranteed requests served; more is better.
        Guaranteed = "guaranteed",
        /// Weight served; more is better.
        Weight = "weight",
        /// Weight of confirmed places kept; more is better.
        KeptWeight = "kept_weight",
        /// Disruption of confirmed places; less is better.
        Disruption = "disruption",
        /// Weight served beyond the confirmed places; more is better.
        NewWeight = "new_weight",
        /// Preference points; more is better.
        Points = "points",
        /// Points at their worth in road, less the road; more is better. Hectometres.
        PointsLessHaul = "points_less_haul",
        /// Road of machines and lent tractors; less is better. Hectometres.
        Haul = "haul",
    }
}

impl PlanOrder {
    /// As the planner knows it; a wish point is worth so much road.
    #[must_use]
    pub fn with_worth(self, hm_per_point: i32) -> Order {
        match self {
            Self::WishesFirst => Order::WishesFirst,
            Self::Between => Order::Between { hm_per_point: i64::from(hm_per_point) },
            Self::HaulageFirst => Order::HaulageFirst,
        }
    }
}

impl From<Level> for LevelName {
    fn from(level: Level) -> Self {
        match level {
            Level::Pinned => Self::Pinned,
            Level::Guaranteed => Self::Guaranteed,
            Level::Weight => Self::Weight,
            Level::KeptWeight => Self::KeptWeight,
            Level::Disruption => Self::Disruption,
            Level::NewWeight => Self::NewWeight,
            Level::Points => Self::Points,
            Level::PointsLessHaul => Self::PointsLessHaul,
            Level::Haul => Self::Haul,
        }
    }
}

impl From<LevelName> for Level {
    fn from(name: LevelName) -> Self {
        match name {
            LevelName::Pinned => Self::Pinned,
            LevelName::Guaranteed => Self::Guaranteed,
            LevelName::Weight => Self::Weight,
            LevelName::KeptWeight => Self::KeptWeight,
            LevelName::Disruption => Self::Disruption,
            LevelName::NewWeight => Self::NewWeight,
            LevelName::Points => Self::Points,
            LevelName::PointsLessHaul => Self::PointsLessHaul,
            LevelName::Haul => Self::Haul,
        }
    }
}
