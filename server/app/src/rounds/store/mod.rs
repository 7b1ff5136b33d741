//! Queries of planning: `facts` is what a round is planned from, `plans` what comes of it.

pub(in crate::rounds) mod facts;
pub(in crate::rounds) mod plans;
