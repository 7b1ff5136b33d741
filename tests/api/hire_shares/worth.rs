//! Use and worth of a machine that was hired.

use serde_json::{Value, json};

use super::{Hire, days};
use crate::harness::with_app;

#[test]
fn use_and_worth_tell_hours_hectares_and_what_is_missing_for_buying() {
    with_app(async |app| {
        let hire = Hire::of(&app, &days(4)).await;
        let season = season();
        let path = format!("{}/machines/{}/worth?season={season}", hire.net.path, hire.machine);
        let before = hire.net.coordinator.get(&path).await.expect(200);
        assert_eq!((&before["total"]["work_min"], &before["total"]["area_m2"]), (&json!(772), &json!(30_800)));
        assert_eq!((&before["days_offered"], &before["days_idle"]), (&json!(7), &json!(3)));
        assert_eq!(before["buying"]["missing"].as_array().unwrap().len(), 3);
        assert_eq!(before["buying"]["outlook"], Value::Null);
        hire.enter(json!({})).await.expect(201);
        let bought = format!("{path}&price_pence=1000000&years=10");
        let worth = hire.net.coordinator.get(&bought).await.expect(200);
        // £1,127.90 for 3.08 ha.
        assert_eq!((&worth["hire_pence"], &worth["total"]["pence_per_ha"]), (&json!(112_790), &json!(36_620)));
        let outlook = &worth["buying"]["outlook"];
        // What the supplier asked: fuel and towing are paid for a machine of one’s own too.
        assert_eq!(outlook["hire_pence_per_year"], 107_000);
        assert!(
            (outlook["years_to_pay_back"].as_f64().unwrap() - 10_000.0 / (1_070.0 - 15.864)).abs() < 1e-3,
            "{outlook}"
        );
        let own = hire.clubs[0].treasurer.get(&path).await.expect(200);
        let money: Vec<_> = own["clubs"].as_array().unwrap().iter().filter(|club| !club["pence"].is_null()).collect();
        assert_eq!(money.len(), 1, "a treasurer sees the money of one club");
        for (wrong, field) in [("price_pence=0", "price_pence"), ("years=0", "years"), ("season=1900", "season")] {
            let at = format!("{}/machines/{}/worth?{wrong}", hire.net.path, hire.machine);
            let refused = hire.net.coordinator.get(&at).await.expect_problem(422, "invalid");
            assert_eq!(refused["errors"][0]["field"], field);
        }
        app.run_jobs().await;
    });
}

#[test]
fn hours_of_the_meter_count_for_use_and_worth() {
    with_app(async |app| {
        let hire = Hire::of(&app, &days(2)).await;
        hire.db_sign(&app, 0, "out", 10.0).await;
        hire.db_sign(&app, 0, "in", 12.5).await;
        let path = format!("{}/machines/{}/worth?season={}", hire.net.path, hire.machine, season());
        let worth = hire.net.coordinator.get(&path).await.expect(200);
        assert_eq!((&worth["total"]["work_min"], &worth["total"]["signed_min"]), (&json!(150 + 193), &json!(150)));
        assert_eq!((&worth["clubs"][0]["signed_min"], &worth["clubs"][1]["signed_min"]), (&json!(150), &json!(0)));
        app.run_jobs().await;
    });
}

/// The season in which the hire lies: from July to June.
fn season() -> i32 {
    use chrono::Datelike;
    let monday = crate::shed::monday();
    if monday.month() < 7 { monday.year() - 1 } else { monday.year() }
}
