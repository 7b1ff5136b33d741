//! The invented region, whatever day somebody tries it on.

use std::path::Path;

use chrono::{Datelike, TimeZone, Utc};
use turfring::demo;

use crate::harness::with_app;

#[test]
fn the_demo_loads_at_any_time_of_the_year() {
    // The first and last days before the year of its dates changes, May itself, and high summer.
    for (month, day) in [(1, 1), (3, 31), (4, 1), (5, 5), (5, 11), (8, 15)] {
        with_app(async |app| {
            let now = Utc.with_ymd_and_hms(Utc::now().year() + 1, month, day, 9, 0, 0).unwrap();
            let seed = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../demo-seed");
            demo::load(&app.service, &seed, now).await.unwrap_or_else(|error| panic!("{now}: {error:#}"));
        });
    }
}
