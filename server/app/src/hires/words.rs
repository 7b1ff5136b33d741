//! The words of rounds, hires and requests.

use crate::words::words;

words! {
    /// The unit in which clubs are placed in a round.
    Grain {
        /// Mornings and afternoons.
        HalfDays = "half_days",
        /// Whole days, for networks that never move a machine at noon.
        Days = "days",
    }
}

words! {
    /// Where a round stands.
    RoundState {
        /// Clubs ask for places.
        Gathering = "gathering",
        /// No more requests; it is to be planned.
        RequestsClosed = "requests_closed",
        /// A plan is offered to the clubs.
        Offered = "offered",
        /// The bookings are made.
        Agreed = "agreed",
        /// The machines are back.
        Finished = "finished",
        /// Given up.
        CalledOff = "called_off",
    }
}

words! {
    /// Who brings a hired machine and takes it back.
    HauledBy {
        /// The supplier delivers and collects.
        Supplier = "supplier",
        /// The clubs fetch it from the depot and take it back.
        Clubs = "clubs",
    }
}

words! {
    /// Whose tractor and operator do the work.
    Tractor {
        /// The club's own.
        Own = "own",
        /// Lent by a neighbour, with operator.
        Neighbour = "neighbour",
    }
}

words! {
    /// Where a request stands.
    RequestState {
        /// It is asked for.
        Asked = "asked",
        /// The club took it back.
        Withdrawn = "withdrawn",
    }
}
