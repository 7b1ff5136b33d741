//! Standing bookings: the preview, saving, ending, and that what the preview shows is what saving does.

use chrono::{Datelike, Days, NaiveDate};
use serde_json::{Value, json};

use crate::harness::{Club, Net, with_app};
use crate::shed::{add_aerator, booked, monday, open, span};

/// A machine that can be booked for half a year from that Monday on.
async fn machine(net: &Net, different: Value) -> String {
    let id = add_aerator(net, different).await;
    open(net, &id, span(28, 2 * 182)).await;
    id
}

fn wish(machine: &str, club: &Club, rule: &str, first: Value) -> Value {
    json!({"machine_id": machine, "club_id": club.id, "first": first, "rule": rule, "except_on": [], "pitch_ids": [], "note": ""})
}

fn date_of(span: &Value) -> NaiveDate {
    span["from"].as_str().unwrap()[..10].parse().unwrap()
}

#[test]
fn every_second_thursday_is_shown_with_its_clashes_and_saved_without_those_left_out() {
    with_app(async |app| {
        let net = app.network("North").await;
        let [ours, theirs] = [app.club(&net, "Tansyford RFC").await, app.club(&net, "Marl End RFC").await];
        let pitch = app.pitch(&net, &ours, "Main").await;
        let machine = machine(&net, json!({})).await;
        // The second of the Thursdays is taken: half-day 6 is Thursday's morning, 28 half-days are two weeks.
        booked(&net, &machine, &theirs, span(34, 36)).await;
        let (path, preview) =
            (format!("{}/standing-bookings", net.path), format!("{}/standing-bookings/preview", net.path));
        let mut body = wish(&machine, &ours, "FREQ=WEEKLY;INTERVAL=2;COUNT=4;BYDAY=TH", span(6, 7));
        body["pitch_ids"] = json!([pitch]);
        body["note"] = json!("Thursdays");
        let shown = ours.lead.post(&preview, body.clone()).await.expect(200);
        let spans: Vec<_> = shown["occurrences"].as_array().unwrap().iter().map(|one| one["span"].clone()).collect();
        assert_eq!(spans, [span(6, 7), span(34, 35), span(62, 63), span(90, 91)]);
        assert!(spans.iter().all(|span| date_of(span).weekday() == chrono::Weekday::Thu));
        assert_eq!((&shown["clashes"], &shown["charge_pence"]), (&json!(1), &json!(3 * 8500)));
        let clash = &shown["occurrences"][1]["clash"];
        assert_eq!((&clash["code"], &clash["free"][0]), (&json!("machine_taken"), &span(33, 34)));
        let kept = net.coordinator.get(&format!("{}/bookings", net.path)).await.expect(200);
        assert_eq!(kept["items"].as_array().unwrap().len(), 1, "a preview keeps nothing");
        let refused = ours.lead.post(&path, body.clone()).await.expect_problem(409, "standing_clashes");
        assert_eq!(refused["occurrences"], shown["occurrences"], "what is refused is what was shown");
        body["except_on"] = json!([date_of(&span(34, 35))]);
        app.run_jobs().await;
        let made = ours.lead.post(&path, body).await.expect(201);
        let bookings = made["bookings"].as_array().unwrap();
        assert_eq!(bookings.len(), 3);
        assert!(bookings.iter().all(|one| one["note"] == "Thursdays" && one["pitches"][0]["name"] == "Main"));
        assert_eq!(app.run_jobs().await, 1, "one mail for all of it");
        let mail = app.mails().pop().unwrap();
        assert_eq!(mail.matches("\r\n- Thu ").count(), 3, "{mail}");
        let listed = ours.lead.get(&format!("{path}?club_id={}", ours.id)).await.expect(200);
        assert_eq!(listed["items"][0]["standing_id"], made["standing_id"]);
    });
}

#[test]
fn one_is_cancelled_by_itself_and_the_rest_from_a_date() {
    with_app(async |app| {
        let net = app.network("North").await;
        let [ours, theirs] = [app.club(&net, "Tansyford RFC").await, app.club(&net, "Marl End RFC").await];
        let machine = machine(&net, json!({})).await;
        let body = wish(&machine, &ours, "FREQ=WEEKLY;COUNT=5", span(0, 2));
        let made = ours.lead.post(&format!("{}/standing-bookings", net.path), body).await.expect(201);
        let path = format!("{}/standing-bookings/{}", net.path, made["standing_id"].as_str().unwrap());
        let one = format!("{}/bookings/{}", net.path, made["bookings"][1]["booking_id"].as_str().unwrap());
        ours.lead.post(&format!("{one}/cancellation"), json!({})).await.expect(200);
        // Who waits for one of the rest is offered it.
        let waiting = json!({"machine_id": machine, "club_id": theirs.id, "span": span(42, 44)});
        theirs.lead.post(&format!("{}/waiting", net.path), waiting).await.expect(201);
        let from = json!({"from_on": monday() + Days::new(15)});
        let ended = ours.lead.post(&format!("{path}/ending"), from.clone()).await.expect(200);
        let states = |standing: &Value| -> Vec<String> {
            let bookings = standing["bookings"].as_array().unwrap();
            bookings.iter().map(|one| one["state"].as_str().unwrap().to_owned()).collect()
        };
        assert_eq!(states(&ended), ["agreed", "cancelled", "agreed", "cancelled", "cancelled"]);
        assert_eq!(ended["ended_from"], from["from_on"]);
        let line = net.coordinator.get(&format!("{}/waiting", net.path)).await.expect(200);
        assert_eq!(line["items"][0]["state"], "offered");
        assert_eq!(states(&ours.lead.post(&format!("{path}/ending"), from).await.expect(200)), states(&ended));
        app.run_jobs().await;
    });
}

#[test]
fn each_bad_rule_and_each_stranger_is_refused() {
    with_app(async |app| {
        let (net, south) = (app.network("North").await, app.network("South").await);
        let [ours, theirs] = [app.club(&net, "Tansyford RFC").await, app.club(&net, "Marl End RFC").await];
        let machine = machine(&net, json!({"shortest_half_days": 2})).await;
        let path = format!("{}/standing-bookings", net.path);
        let weekly = "FREQ=WEEKLY;COUNT=2";
        for (rule, first, code) in [
            ("every Thursday", span(0, 2), "invalid"),
            ("FREQ=WEEKLY", span(0, 2), "invalid"),
            ("FREQ=DAILY;COUNT=61", span(0, 2), "invalid"),
            ("FREQ=HOURLY;COUNT=2", span(0, 2), "invalid"),
            (weekly, span(0, 15), "invalid"),
            (weekly, span(0, 1), "too_short"),
            (weekly, span(0, 7), "too_long"),
            (weekly, json!({"from": "2020-05-04T00:00:00", "until": "2020-05-05T00:00:00"}), "in_the_past"),
        ] {
            for at in [path.clone(), format!("{path}/preview")] {
                ours.lead.post(&at, wish(&machine, &ours, rule, first.clone())).await.expect_problem(422, code);
            }
        }
        let made = ours.lead.post(&path, wish(&machine, &ours, weekly, span(0, 2))).await.expect(201);
        let one = format!("{path}/{}", made["standing_id"].as_str().unwrap());
        for (who, status, code) in [
            (&ours.treasurer, 403, "not_your_role"),
            (&theirs.lead, 403, "not_your_role"),
            (&south.coordinator, 404, "not_found"),
            (&app.stranger(), 401, "not_signed_in"),
        ] {
            let body = wish(&machine, &ours, weekly, span(2, 4));
            who.post(&path, body.clone()).await.expect_problem(status, code);
            who.post(&format!("{path}/preview"), body).await.expect_problem(status, code);
            let from = json!({"from_on": monday()});
            who.post(&format!("{one}/ending"), from).await.expect_problem(status, code);
        }
        let elsewhere = one.replace(&net.path, &south.path);
        south.coordinator.get(&elsewhere).await.expect_problem(404, "not_found");
        net.coordinator.get(&one).await.expect(200);
        app.run_jobs().await;
    });
}

#[test]
fn a_half_day_outside_what_is_offered_is_a_clash_too_and_half_days_keep_through_clock_changes() {
    with_app(async |app| {
        let net = app.network("North").await;
        let ours = app.club(&net, "Tansyford RFC").await;
        let machine = machine(&net, json!({})).await;
        let path = format!("{}/standing-bookings/preview", net.path);
        // 30 weeks hold at least one clock change of Europe/London, and reach beyond the 26 offered.
        let shown = ours.lead.post(&path, wish(&machine, &ours, "FREQ=WEEKLY;COUNT=30", span(1, 2))).await.expect(200);
        let all = shown["occurrences"].as_array().unwrap();
        assert!(all.iter().all(|one| one["span"]["from"].as_str().unwrap().ends_with("T12:00:00")));
        assert_eq!(shown["clashes"], 4);
        assert_eq!(all[29]["clash"]["code"], "outside_availability");
    });
}
