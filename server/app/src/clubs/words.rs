//! The words that describe clubs, grounds and pitches.

use crate::words::words;

words! {
    /// How a club appears in the comparisons of others.
    Sharing {
        /// With its name.
        Named = "named",
        /// Counted, without a name.
        Counted = "counted",
    }

    /// Topsoil texture.
    Soil {
        /// Clay.
        Clay = "clay",
        /// Clay loam.
        ClayLoam = "clay_loam",
        /// Loam.
        Loam = "loam",
        /// Silt loam.
        SiltLoam = "silt_loam",
        /// Sandy loam.
        SandyLoam = "sandy_loam",
        /// Sand.
        Sand = "sand",
    }

    /// What lies under the pitches.
    Drainage {
        /// Nothing.
        None = "none",
        /// Sand slits.
        Slit = "slit",
        /// Pipes.
        Pipe = "pipe",
        /// Pipes with slits above.
        PipeAndSlit = "pipe_and_slit",
    }

    /// The largest lorry that gets in.
    LorryAccess {
        /// None.
        None = "none",
        /// A rigid lorry.
        Rigid = "rigid",
        /// An articulated lorry.
        Articulated = "articulated",
    }

    /// What is played on a pitch.
    Sport {
        /// Rugby union.
        RugbyUnion = "rugby_union",
        /// Rugby league.
        RugbyLeague = "rugby_league",
        /// Football.
        Football = "football",
        /// The outfield of a cricket ground.
        CricketOutfield = "cricket_outfield",
        /// Hockey.
        Hockey = "hockey",
        /// Something else.
        Other = "other",
    }
}
