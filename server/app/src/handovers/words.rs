//! The words of handovers, faults and services.

use logistics::servicing::Standing;

use crate::words::words;

words! {
    /// Which way a machine passes.
    Direction {
        /// The club takes it over.
        Out = "out",
        /// The club gives it back.
        In = "in",
    }
}

words! {
    /// How bad a fault is.
    Severity {
        /// Work can go on.
        Usable = "usable",
        /// Nobody uses the machine until the fault is cleared.
        OutOfService = "out_of_service",
    }
}

words! {
    /// What became of a booking whose machine went out of service.
    Decision {
        /// It stays: the machine will be mended by then.
        Keep = "keep",
        /// It moved to another time.
        Move = "move",
        /// It was cancelled.
        Cancel = "cancel",
        /// Another machine was booked in its place.
        OtherMachine = "other_machine",
        /// The fault was cleared first. Nobody chooses this.
        FaultCleared = "fault_cleared",
    }
}

words! {
    /// How a service stands.
    ServiceStanding {
        /// There is time.
        Fine = "fine",
        /// Within two weeks of its date, or the last tenth of its hours.
        Due = "due",
        /// Past its date or its hours.
        Overdue = "overdue",
    }
}

impl From<Standing> for ServiceStanding {
    fn from(standing: Standing) -> Self {
        match standing {
            Standing::Fine => Self::Fine,
            Standing::Due => Self::Due,
            Standing::Overdue => Self::Overdue,
        }
    }
}
