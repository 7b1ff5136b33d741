//! The words that describe machines and how they are held.

use crate::words::words;

words! {
    /// What kind of work a machine does.
    MachineKind {
        /// Drives long tines deep into the ground.
        DeepTineAerator = "deep_tine_aerator",
        /// Makes shallow holes.
        Spiker = "spiker",
        /// Cuts slits.
        Slitter = "slitter",
        /// Spreads sand.
        Topdresser = "topdresser",
        /// Sows.
        Seeder = "seeder",
        /// Brushes dressing in, or worm casts away.
        Brush = "brush",
        /// Mows.
        Mower = "mower",
        /// Anything else.
        Other = "other",
    }
}

words! {
    /// How a machine is coupled.
    Linkage {
        /// It runs by itself.
        None = "none",
        /// Three-point linkage, category 1 (ISO 730).
        Category1 = "category_1",
        /// Three-point linkage, category 2 (ISO 730).
        Category2 = "category_2",
        /// Towed at the drawbar.
        Drawbar = "drawbar",
        /// Somebody walks behind it.
        Pedestrian = "pedestrian",
    }
}

words! {
    /// For which clubs a machine can be booked.
    WhoMayBook {
        /// Every club of the network.
        EveryClub = "every_club",
        /// The club that owns it.
        OwnerOnly = "owner_only",
        /// The clubs named, and the club that owns it.
        NamedClubs = "named_clubs",
    }
}

words! {
    /// How a booking holds a machine.
    HoldState {
        /// It is offered to the first on the waiting list; nobody else can have the time meanwhile.
        Offered = "offered",
        /// It waits for the coordinator; nobody else can have the time meanwhile.
        Asked = "asked",
        /// It stands.
        Agreed = "agreed",
    }
}
