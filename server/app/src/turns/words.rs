//! The words of turns.

use logistics::turns::Turn;

use crate::words::words;

words! {
    /// What became of a request when its round was agreed.
    TurnKind {
        /// It was left out although it could have been served alone.
        LeftOut = "left_out",
        /// It was served on none of its first two wishes.
        ServedLate = "served_late",
        /// It had its first wish on a day that several clubs wished for first.
        PrimeDay = "prime_day",
        /// It was served, and nobody gave way.
        Served = "served",
    }
}

impl From<Turn> for TurnKind {
    fn from(turn: Turn) -> Self {
        match turn {
            Turn::LeftOut => Self::LeftOut,
            Turn::ServedLate => Self::ServedLate,
            Turn::PrimeDay => Self::PrimeDay,
            Turn::Served => Self::Served,
        }
    }
}

impl From<TurnKind> for Turn {
    fn from(kind: TurnKind) -> Self {
        match kind {
            TurnKind::LeftOut => Self::LeftOut,
            TurnKind::ServedLate => Self::ServedLate,
            TurnKind::PrimeDay => Self::PrimeDay,
            TurnKind::Served => Self::Served,
        }
    }
}
