//! What is measured on a walk over a pitch.
//!
//! Promises for each criterion its unit, its method, a way to measure it with simple tools, and
//! what a pitch can possibly show. Does not know what is good: that is the
//! [scheme](crate::scheme)'s.

mod facts;

use std::ops::RangeInclusive;
use thiserror::Error;

/// The label of a figure that the trade uses and nobody published.
pub const NO_SOURCE: &str = "common practice, no source";

/// Why a criterion was refused.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Error)]
pub enum CriterionError {
    /// The key names no criterion.
    #[error("no such criterion")]
    UnknownKey,
}

/// What is measured.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Criterion {
    /// Share of the surface under living grass.
    GroundCover,
    /// Share of the surface under living weeds.
    LiveWeeds,
    /// Share of the surface that is bare soil.
    BareGround,
    /// Height of the grass.
    SwardHeight,
    /// The deepest gap under a straightedge.
    Evenness,
    /// How deep the mass of the roots goes.
    RootDepth,
    /// How deep a stick goes in by hand.
    StickPenetration,
    /// How hard a falling hammer is stopped.
    Hardness,
    /// How fast standing water sinks in.
    Infiltration,
}

/// What is known of a criterion, whatever the pitch.
#[derive(Debug, Clone, PartialEq)]
pub struct CriterionFacts {
    /// The word for it in storage and on the wire.
    pub key: &'static str,
    /// Its name for people.
    pub name: &'static str,
    /// The unit of a reading.
    pub unit: &'static str,
    /// The published method by number, or [`NO_SOURCE`].
    pub method: &'static str,
    /// How to take a reading with simple tools.
    pub how: &'static str,
    /// Outside these bounds a reading is a slip of the pen and is refused.
    pub possible: RangeInclusive<f64>,
    /// Outside these bounds a reading deserves a second look. [`NO_SOURCE`].
    pub plausible: RangeInclusive<f64>,
    /// Whether a walk is complete without it, since it needs a tool few clubs have.
    pub optional: bool,
    /// How far readings on one pitch usually spread, as a standard deviation; stands in where a
    /// single reading shows no spread. [`NO_SOURCE`].
    pub typical_sd: f64,
    /// How many readings a walk should take.
    pub recommended_readings: u32,
    /// Where that number comes from.
    pub recommended_by: &'static str,
}

impl Criterion {
    /// Every criterion, in the order in which a walk takes them.
    pub const ALL: [Self; 9] = [
        Self::GroundCover,
        Self::LiveWeeds,
        Self::BareGround,
        Self::SwardHeight,
        Self::Evenness,
        Self::RootDepth,
        Self::StickPenetration,
        Self::Hardness,
        Self::Infiltration,
    ];

    /// What is known of it.
    #[must_use]
    pub fn facts(self) -> &'static CriterionFacts {
        match self {
            Self::GroundCover => &facts::GROUND_COVER,
            Self::LiveWeeds => &facts::LIVE_WEEDS,
            Self::BareGround => &facts::BARE_GROUND,
            Self::SwardHeight => &facts::SWARD_HEIGHT,
            Self::Evenness => &facts::EVENNESS,
            Self::RootDepth => &facts::ROOT_DEPTH,
            Self::StickPenetration => &facts::STICK_PENETRATION,
            Self::Hardness => &facts::HARDNESS,
            Self::Infiltration => &facts::INFILTRATION,
        }
    }

    /// The word for it in storage and on the wire.
    #[must_use]
    pub fn key(self) -> &'static str {
        self.facts().key
    }

    /// Reads the word that [`key`](Self::key) writes.
    ///
    /// # Errors
    /// Any other word.
    ///
    /// # Example
    /// ```
    /// use comparison::criteria::Criterion;
    /// assert_eq!(Criterion::parse("sward_height")?, Criterion::SwardHeight);
    /// # Ok::<(), comparison::criteria::CriterionError>(())
    /// ```
    pub fn parse(key: &str) -> Result<Self, CriterionError> {
        Self::ALL.into_iter().find(|criterion| criterion.key() == key).ok_or(CriterionError::UnknownKey)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::HashSet;

    #[test]
    fn every_criterion_reads_back_from_its_own_key() {
        for criterion in Criterion::ALL {
            assert_eq!(Criterion::parse(criterion.key()), Ok(criterion));
        }
        assert_eq!(Criterion::parse("colour"), Err(CriterionError::UnknownKey));
        let keys: HashSet<_> = Criterion::ALL.iter().map(|each| each.key()).collect();
        assert_eq!(keys.len(), Criterion::ALL.len());
    }

    #[test]
    fn what_is_plausible_is_possible_and_spread_is_positive() {
        for criterion in Criterion::ALL {
            let facts = criterion.facts();
            assert!(facts.possible.contains(facts.plausible.start()), "{}", facts.key);
            assert!(facts.possible.contains(facts.plausible.end()), "{}", facts.key);
            assert!(facts.plausible.start() < facts.plausible.end(), "{}", facts.key);
            assert!(facts.typical_sd > 0.0 && facts.recommended_readings > 0);
        }
    }

    #[test]
    fn only_what_needs_a_rare_tool_is_optional() {
        let optional: Vec<_> = Criterion::ALL.into_iter().filter(|criterion| criterion.facts().optional).collect();
        assert_eq!(optional, [Criterion::Hardness, Criterion::Infiltration]);
    }

    #[test]
    fn the_number_of_readings_is_the_published_one_where_there_is_one() {
        // d010: EN 12231, 25 visual or frame readings. d013: EN 12233, 25 positions.
        assert_eq!(Criterion::GroundCover.facts().recommended_readings, 25);
        assert_eq!(Criterion::SwardHeight.facts().recommended_readings, 25);
    }

    #[test]
    fn the_hammer_readings_of_community_fields_are_possible() {
        // d027: readings from 25 to 301 g.
        let possible = &Criterion::Hardness.facts().possible;
        assert!(possible.contains(&25.0) && possible.contains(&301.0));
    }

    #[test]
    fn every_instruction_is_one_sentence() {
        for criterion in Criterion::ALL {
            let how = criterion.facts().how;
            assert!(how.ends_with('.') && !how.trim_end_matches('.').contains(". "), "{how}");
        }
    }
}
