//! The sources that the rest of this crate names, once.
//!
//! | key | source |
//! |---|---|
//! | EN12231 | EN 12231:2003, ground cover of natural turf; its catalogue description |
//! | EN12233 | EN 12233, sward height of natural turf; its catalogue description |
//! | EN12616 | EN 12616, infiltration; method C is for natural turf |
//! | EN13036 | EN 13036-7, evenness by straightedge and wedge |
//! | EN14954 | EN 14954, hardness of natural turf: the number is from memory |
//! | TWOMEY | Twomey and others, ground hardness in community football, 2012: readings from 25 to 301 g with the 2.25 kg hammer; above 120 g unacceptably hard |
//! | ISEA | an international football programme's band for natural turf, 70 to 85 g: ISEA conference abstract, Loughborough 2024 |
//! | HEIGHTS | groundsmanship articles and monthly diaries: club rugby is cut at 37 to 75 mm, and kept at 50 to 75 mm in season |
//! | MEMORY | order-of-magnitude bands of quality for winter pitches, recalled and never confirmed |
//! | HF1996 | Hyndman and Fan, *Sample quantiles in statistical packages*, The American Statistician 50 (1996): nine definitions; they recommend the eighth |
//! | DELTA | the delta method: the spread of a function of a mean is the spread of the mean times the slope |
//! | PRACTICE | common practice, no source: never a proof, and labelled wherever a user sees it |
