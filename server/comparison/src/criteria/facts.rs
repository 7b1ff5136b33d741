//! The facts of each criterion, one constant each.
//!
//! Promises figures with their labels. Bounds, usual spreads and the numbers of readings are
//! common practice without a source unless a standard is named beside them.

use super::{CriterionFacts, NO_SOURCE};

/// A share of the surface.
const PERCENT: &str = "%";

/// Source: [EN12231](crate::sources) for method and number of readings.
pub(super) const GROUND_COVER: CriterionFacts = CriterionFacts {
    key: "ground_cover",
    name: "Ground cover",
    unit: PERCENT,
    method: "EN 12231",
    how: "Lay down a one-metre square of string crossed into a hundred small squares, and count \
          those that are mostly living grass.",
    possible: 0.0..=100.0,
    plausible: 20.0..=100.0,
    optional: false,
    typical_sd: 12.0,
    recommended_readings: 25,
    recommended_by: "EN 12231",
};

/// Source: [PRACTICE](crate::sources).
pub(super) const LIVE_WEEDS: CriterionFacts = CriterionFacts {
    key: "live_weeds",
    name: "Live weeds",
    unit: PERCENT,
    method: NO_SOURCE,
    how: "In the same string square, count the small squares in which a living weed grows.",
    possible: 0.0..=100.0,
    plausible: 0.0..=60.0,
    optional: false,
    typical_sd: 8.0,
    recommended_readings: 10,
    recommended_by: NO_SOURCE,
};

/// Source: [PRACTICE](crate::sources).
pub(super) const BARE_GROUND: CriterionFacts = CriterionFacts {
    key: "bare_ground",
    name: "Bare ground",
    unit: PERCENT,
    method: NO_SOURCE,
    how: "In the same string square, count the small squares that are mostly bare soil.",
    possible: 0.0..=100.0,
    plausible: 0.0..=80.0,
    optional: false,
    typical_sd: 12.0,
    recommended_readings: 10,
    recommended_by: NO_SOURCE,
};

/// Source: [EN12233](crate::sources) for method and number of readings.
pub(super) const SWARD_HEIGHT: CriterionFacts = CriterionFacts {
    key: "sward_height",
    name: "Sward height",
    unit: "mm",
    method: "EN 12233",
    how: "Let a light card with a slot slide down a ruler onto the grass, and read the ruler \
          where the card comes to rest.",
    possible: 0.0..=500.0,
    plausible: 15.0..=120.0,
    optional: false,
    typical_sd: 8.0,
    recommended_readings: 25,
    recommended_by: "EN 12233",
};

/// Source: [EN13036](crate::sources) for the method.
pub(super) const EVENNESS: CriterionFacts = CriterionFacts {
    key: "evenness",
    name: "Evenness",
    unit: "mm",
    method: "EN 13036-7",
    how: "Lay a three-metre straightedge on the ground, and push a marked wedge into the deepest \
          gap beneath it.",
    possible: 0.0..=300.0,
    plausible: 0.0..=60.0,
    optional: false,
    typical_sd: 6.0,
    recommended_readings: 10,
    recommended_by: NO_SOURCE,
};

/// Source: [PRACTICE](crate::sources).
pub(super) const ROOT_DEPTH: CriterionFacts = CriterionFacts {
    key: "root_depth",
    name: "Root depth",
    unit: "mm",
    method: NO_SOURCE,
    how: "Lift a wedge of turf with a spade, measure from the surface to where most of the roots \
          end, and put the wedge back.",
    possible: 0.0..=1_000.0,
    plausible: 10.0..=300.0,
    optional: false,
    typical_sd: 25.0,
    recommended_readings: 5,
    recommended_by: NO_SOURCE,
};

/// Source: [PRACTICE](crate::sources).
pub(super) const STICK_PENETRATION: CriterionFacts = CriterionFacts {
    key: "stick_penetration",
    name: "Stick penetration",
    unit: "cm",
    method: NO_SOURCE,
    how: "Push the same blunt stick, as thick as a finger, straight down with one hand until it \
          stops, and measure how deep it went.",
    possible: 0.0..=100.0,
    plausible: 1.0..=60.0,
    optional: false,
    typical_sd: 4.0,
    recommended_readings: 10,
    recommended_by: NO_SOURCE,
};

/// Source: [EN14954](crate::sources) for the method, by a number from memory;
/// [TWOMEY](crate::sources) for what community fields show.
pub(super) const HARDNESS: CriterionFacts = CriterionFacts {
    key: "hardness",
    name: "Hardness",
    unit: "g",
    method: "EN 14954 (number from memory)",
    how: "Drop a borrowed 2.25 kg impact hammer from its mark, always the same number of drops on \
          a spot, and write down the last.",
    possible: 0.0..=1_000.0,
    plausible: 20.0..=320.0,
    optional: true,
    typical_sd: 15.0,
    recommended_readings: 10,
    recommended_by: NO_SOURCE,
};

/// Source: [EN12616](crate::sources) for the method.
pub(super) const INFILTRATION: CriterionFacts = CriterionFacts {
    key: "infiltration",
    name: "Infiltration",
    unit: "mm/h",
    method: "EN 12616 method C",
    how: "Press two rings of tin, one inside the other, into wetted turf, fill both with water, \
          and time how fast the level in the inner ring falls.",
    possible: 0.0..=2_000.0,
    plausible: 0.0..=300.0,
    optional: true,
    typical_sd: 20.0,
    recommended_readings: 3,
    recommended_by: NO_SOURCE,
};
