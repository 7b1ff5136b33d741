//! The words of this slice.

use crate::words::words;

words! {
    /// What a re-plan changes for a request.
    ChangeKind {
        /// Its place has begun or is over, and stays whatever the plan.
        Begun = "begun",
        /// It keeps its place.
        Kept = "kept",
        /// The same half-days, with another machine.
        OtherMachine = "other_machine",
        /// Another half of the same day.
        HalfDayMoved = "half_day_moved",
        /// Another day.
        DayMoved = "day_moved",
        /// It had a place and has none.
        Lost = "lost",
        /// It had none and gets one.
        Served = "served",
    }
}
