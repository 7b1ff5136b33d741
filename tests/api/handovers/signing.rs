//! A machine is taken over and given back.

use chrono::{TimeDelta, Utc};
use serde_json::{Value, json};
use turfring::database::Scope;
use turfring::handovers::hours_used;
use uuid::Uuid;

use super::{Field, count, subjects};
use crate::attachments::{PNG, sent};
use crate::direct::db_booking;
use crate::harness::with_app;

#[test]
fn a_machine_is_taken_over_and_given_back() {
    with_app(async |app| {
        let field = Field::of(&app).await;
        let photo = sent(&field.net, &field.club.volunteer, "bent.png", PNG).await;
        let out = field.sign(&field.club.volunteer, json!({})).await.expect(201);
        insta::assert_json_snapshot!(out, {
            ".handover_id" => "[id]", ".booking_id" => "[id]", ".club_id" => "[id]", ".signed_at" => "[time]",
            ".received_at" => "[time]",
        }, @r#"
        {
          "handover_id": "[id]",
          "booking_id": "[id]",
          "club_id": "[id]",
          "direction": "out",
          "counters": null,
          "meter_h": 120.5,
          "meter_reason": "",
          "tines_sound": true,
          "guards_sound": true,
          "washed_down": true,
          "note": "",
          "signed_name": "Jo Marsh",
          "signed_by_name": "volunteer",
          "signed_at": "[time]",
          "received_at": "[time]",
          "faults": []
        }
        "#);
        let told = field.club.volunteer.get(&format!("{}/needs", field.net.path)).await.expect(200)["items"].take();
        let told: Vec<_> = told.as_array().unwrap().iter().map(|need| (&need["kind"], &need["href"])).collect();
        let href = json!(format!("/bookings/{}/handover", field.booking));
        assert_eq!(told, [(&json!("machine_to_give_back"), &href)]);
        let faults = json!([{"severity": "usable", "what": "A tine is bent.", "photo_ids": [photo, photo]}]);
        let back = json!({"direction": "in", "meter_h": 124.0, "tines_sound": false, "faults": faults});
        let back = field.sign(&field.club.lead, back).await.expect(201);
        assert_eq!(back["faults"][0]["photo_ids"], json!([photo]));
        let sheet = field.sheet(&field.club.lead).await;
        assert_eq!(sheet["handovers"].as_array().unwrap().len(), 2);
        assert_eq!((&sheet["last_meter_h"], &sheet["out_of_service"]), (&json!(124.0), &json!(false)));
        assert_eq!(sheet["open_faults"][0]["what"], "A tine is bent.");
        let told = field.club.volunteer.get(&format!("{}/needs", field.net.path)).await.expect(200);
        assert_eq!(told["items"], json!([]), "given back");
        let mut tx = app.service.db.begin(Scope::Network(field.net.id)).await.unwrap();
        let (from, until) = (Utc::now() - TimeDelta::hours(1), Utc::now() + TimeDelta::hours(1));
        let used = hours_used(&mut tx, field.net.id, from, until).await.unwrap();
        assert_eq!(
            used.iter().map(|used| (used.booking_id.0, used.tenth_hours)).collect::<Vec<_>>(),
            [(field.booking, 35)]
        );
        assert!(hours_used(&mut tx, field.net.id, until, until).await.unwrap().is_empty());
        let subjects = subjects(&app, &field.net).await;
        assert_eq!(count(&subjects, &field.net.coordinator, "Fault: Spiker"), 1);
    });
}

#[test]
fn a_handover_sent_again_is_signed_once_and_a_second_one_is_refused() {
    with_app(async |app| {
        let field = Field::of(&app).await;
        let id = Uuid::now_v7();
        let same = json!({"handover_id": id});
        let first = field.sign(&field.club.lead, same.clone()).await.expect(201);
        let second = field.sign(&field.club.lead, same.clone()).await.expect(201);
        assert_eq!(first, second, "sent again with another key after the answer was lost");
        field.sign(&field.club.volunteer, same).await.expect_problem(409, "never_edited");
        field.sign(&field.club.lead, json!({})).await.expect_problem(409, "handover_signed");
        let (lead, volunteer) = (&field.club.lead, &field.club.volunteer);
        let back = json!({"direction": "in"});
        let (one, two) = tokio::join!(field.sign(lead, back.clone()), field.sign(volunteer, back.clone()));
        let mut statuses = [one.status, two.status];
        statuses.sort_unstable();
        assert_eq!(statuses, [201, 409]);
    });
}

#[test]
fn a_wrong_handover_is_countered_and_never_changed() {
    with_app(async |app| {
        let field = Field::of(&app).await;
        let first = field.sign(&field.club.lead, json!({"meter_h": 1205.0})).await.expect(201);
        let counter = json!({"meter_h": 120.5, "counters": first["handover_id"]});
        let stranger = json!({"meter_h": 120.5, "counters": Uuid::now_v7()});
        field.sign(&field.club.lead, stranger).await.expect_problem(409, "handover_signed");
        let worse = json!({"meter_h": 120.5, "counters": first["handover_id"], "guards_sound": false});
        field.sign(&field.club.lead, worse).await.expect_problem(422, "invalid");
        field.sign(&field.club.lead, counter.clone()).await.expect(201);
        field.sign(&field.club.lead, counter).await.expect_problem(409, "handover_signed");
        let sheet = field.sheet(&field.club.lead).await;
        assert_eq!(sheet["handovers"].as_array().unwrap().len(), 2, "both are shown");
        assert_eq!(sheet["last_meter_h"], 120.5, "the wrong reading no longer counts");
        assert_eq!(field.care(&field.club.lead).await["handovers"].as_array().unwrap().len(), 1);
        let sql = format!("UPDATE handovers SET note = 'x' WHERE network_id = '{}'", field.net.id);
        let mut owner = turfring::database::connect_as_owner(&app.owner_url).await.unwrap();
        let refused = diesel_async::SimpleAsyncConnection::batch_execute(&mut owner, &sql).await.unwrap_err();
        assert!(refused.to_string().contains("never edited"), "{refused}");
    });
}

#[test]
fn an_hour_meter_runs_back_only_with_a_reason() {
    with_app(async |app| {
        let field = Field::of(&app).await;
        field.sign(&field.club.lead, json!({})).await.expect(201);
        let back = |more: Value| {
            let mut back = json!({"direction": "in"});
            back.as_object_mut().unwrap().extend(more.as_object().unwrap().clone());
            back
        };
        let lower = field.sign(&field.club.lead, back(json!({"meter_h": 120.4}))).await;
        assert_eq!(lower.expect_problem(422, "meter_runs_back")["before_h"], 120.5);
        for (wrong, code) in [
            (json!({"meter_h": null}), "invalid"),
            (json!({"meter_h": -1.0}), "invalid"),
            (json!({"meter_h": 1e9}), "invalid"),
            (json!({"guards_sound": false}), "invalid"),
            (json!({"tines_sound": false}), "invalid"),
            (json!({"signed_name": " "}), "invalid"),
            (json!({"signed_at": Utc::now() + TimeDelta::hours(1)}), "date_in_future"),
            (json!({"signed_at": Utc::now() - TimeDelta::days(40)}), "invalid"),
            (json!({"faults": [{"severity": "usable", "what": " "}]}), "invalid"),
            (json!({"faults": [{"severity": "usable", "what": "x", "photo_ids": [Uuid::now_v7()]}]}), "invalid"),
            (json!({"handover_id": Uuid::new_v4()}), "invalid"),
        ] {
            field.sign(&field.club.lead, back(wrong)).await.expect_problem(422, code);
        }
        let replaced = back(json!({"meter_h": 3.0, "meter_reason": "The meter was replaced."}));
        field.sign(&field.club.lead, replaced).await.expect(201);
        assert_eq!(field.care(&field.club.lead).await["last_meter_h"], 3.0);
    });
}

#[test]
fn only_the_club_of_the_booking_signs_and_only_what_stands() {
    with_app(async |app| {
        let mut field = Field::of(&app).await;
        let other = app.club(&field.net, "Marl End RFC").await;
        let elsewhere = app.network("South").await;
        for who in [&other.lead, &field.club.treasurer] {
            field.sign(who, json!({})).await.expect_problem(403, "not_your_role");
        }
        field.sign(&elsewhere.coordinator, json!({})).await.expect_problem(404, "not_found");
        field.sign(&app.stranger(), json!({})).await.expect_problem(401, "not_signed_in");
        assert_eq!(field.sheet(&other.lead).await["may_sign"], false);
        for (days, state) in [(3, "asked"), (5, "cancelled"), (7, "refused")] {
            field.booking = db_booking(&app, &field.net, field.machine, &field.club, state, days).await;
            field.sign(&field.club.lead, json!({})).await.expect_problem(409, "booking_ended");
        }
    });
}
