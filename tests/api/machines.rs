//! Machines, when they can be booked, how long a job takes, and the board.

use chrono::{Days, NaiveDateTime, Utc};
use serde_json::{Value, json};

use crate::harness::{Net, with_app};
use crate::shed::{add_aerator, aerator, booked, half_day, monday, open, span};

fn machines(net: &Net) -> String {
    format!("{}/machines", net.path)
}

#[test]
fn a_coordinator_adds_a_machine_and_every_member_sees_it() {
    with_app(async |app| {
        let net = app.network("North").await;
        let club = app.club(&net, "Tansyford RFC").await;
        let made =
            net.coordinator.post(&machines(&net), aerator(json!({"note": " Bring the pins. "}))).await.expect(201);
        for user in [&net.coordinator, &club.lead, &club.treasurer, &club.volunteer] {
            let path = format!("{}/{}", machines(&net), made["machine_id"].as_str().unwrap());
            let reply = user.get(&path).await;
            assert_eq!(reply.etag.as_deref(), Some("\"v1\""));
            assert_eq!(reply.expect(200), made);
            assert_eq!(user.get(&machines(&net)).await.expect(200)["items"], json!([made]));
        }
        insta::assert_json_snapshot!(made, {".machine_id" => "[machine]"}, @r#"
        {
          "machine_id": "[machine]",
          "name": "Deep-tine aerator",
          "kind": "deep_tine_aerator",
          "owner_club_id": null,
          "width_m": 1.6,
          "speed_km_h": 2.0,
          "field_efficiency": 0.75,
          "max_depth_mm": 300,
          "tine_spacing_across_mm": 65,
          "tine_spacing_forward_mm": 65,
          "tractor_kw": 30.0,
          "linkage": "category_1",
          "transport_kg": 750,
          "charge_per_half_day_pence": 6000,
          "charge_per_day_pence": 10000,
          "charge_per_use_pence": 2500,
          "shortest_half_days": 1,
          "longest_half_days": 6,
          "gap_half_days": 0,
          "who_may_book": "every_club",
          "coordinator_agrees": false,
          "note": "Bring the pins.",
          "retired": false,
          "owner_club_name": null,
          "named_club_ids": [],
          "availabilities": [],
          "version": 1
        }
        "#);
    });
}

#[test]
fn a_club_keeps_its_own_machines_and_only_the_coordinator_those_of_others() {
    with_app(async |app| {
        let net = app.network("North").await;
        let (ours, theirs) = (app.club(&net, "Tansyford RFC").await, app.club(&net, "Marl End RFC").await);
        let own = aerator(json!({"owner_club_id": ours.id}));
        for user in [&ours.treasurer, &ours.volunteer, &theirs.lead] {
            user.post(&machines(&net), own.clone()).await.expect_problem(403, "not_your_role");
        }
        ours.lead.post(&machines(&net), aerator(json!({}))).await.expect_problem(403, "not_your_role");
        let made = ours.lead.post(&machines(&net), own.clone()).await.expect(201);
        assert_eq!(made["owner_club_name"], "Tansyford RFC");
        let path = format!("{}/{}", machines(&net), made["machine_id"].as_str().unwrap());
        let given_away = aerator(json!({"owner_club_id": theirs.id}));
        for user in [&ours.treasurer, &ours.volunteer, &theirs.lead] {
            user.put(&path, 1, own.clone()).await.expect_problem(403, "not_your_role");
            let add = format!("{path}/availabilities");
            user.post(&add, span(0, 2)).await.expect_problem(403, "not_your_role");
        }
        ours.lead.put(&path, 1, given_away.clone()).await.expect_problem(403, "not_your_role");
        let moved = net.coordinator.put(&path, 1, given_away).await.expect(200);
        assert_eq!(moved["owner_club_name"], "Marl End RFC");
        ours.lead.put(&path, 2, own).await.expect_problem(403, "not_your_role");
    });
}

#[test]
fn strangers_and_other_networks_find_no_machine() {
    with_app(async |app| {
        let (north, south) = (app.network("North").await, app.network("South").await);
        let club = app.club(&south, "Sedge RFC").await;
        let id = add_aerator(&north, json!({})).await;
        let availability = open(&north, &id, span(40, 42)).await;
        let (one, all) = (format!("{}/{id}", machines(&north)), machines(&north));
        let elsewhere = format!("{}/{id}", machines(&south));
        for (who, status, code) in [(&app.stranger(), 401, "not_signed_in"), (&south.coordinator, 404, "not_found")] {
            for path in [&all, &one, &format!("{}/board", north.path), &format!("{one}/charge?{CHARGED}")] {
                who.get(path).await.expect_problem(status, code);
            }
            who.get(&format!("{one}/reckoning?club_id={}&pitch_ids={}", club.id, club.id))
                .await
                .expect_problem(status, code);
            who.post(&all, aerator(json!({}))).await.expect_problem(status, code);
            who.put(&one, 1, aerator(json!({}))).await.expect_problem(status, code);
            who.post(&format!("{one}/availabilities"), span(30, 32)).await.expect_problem(status, code);
            who.delete(&format!("{one}/availabilities/{availability}")).await.expect_problem(status, code);
        }
        // Nor does a machine of the north exist in the south.
        south.coordinator.get(&elsewhere).await.expect_problem(404, "not_found");
        south.coordinator.put(&elsewhere, 1, aerator(json!({}))).await.expect_problem(404, "not_found");
        south
            .coordinator
            .post(&format!("{elsewhere}/availabilities"), span(30, 32))
            .await
            .expect_problem(404, "not_found");
        let foreign_owner = aerator(json!({"name": "Spiker", "owner_club_id": club.id}));
        let refused = north.coordinator.post(&all, foreign_owner).await.expect_problem(422, "invalid");
        assert_eq!(refused["errors"][0]["field"], "owner_club_id");
    });
}

const CHARGED: &str = "from=2027-05-04T12:00:00&until=2027-05-06T00:00:00";

#[test]
fn each_impossible_number_is_refused_by_its_field() {
    with_app(async |app| {
        let net = app.network("North").await;
        for (field, different) in [
            ("name", json!({"name": "  "})),
            ("note", json!({"note": "x".repeat(2001)})),
            ("width_m", json!({"width_m": 0})),
            ("speed_km_h", json!({"speed_km_h": 41})),
            ("field_efficiency", json!({"field_efficiency": 1.1})),
            ("max_depth_mm", json!({"max_depth_mm": 0})),
            ("tine_spacing_across_mm", json!({"tine_spacing_across_mm": 0})),
            ("tine_spacing_forward_mm", json!({"tine_spacing_forward_mm": null})),
            ("tractor_kw", json!({"tractor_kw": -1})),
            ("transport_kg", json!({"transport_kg": 0})),
            ("charge_per_day_pence", json!({"charge_per_day_pence": -1})),
            ("longest_half_days", json!({"shortest_half_days": 3, "longest_half_days": 2})),
            ("gap_half_days", json!({"gap_half_days": 15})),
            ("who_may_book", json!({"who_may_book": "owner_only"})),
            ("named_club_ids", json!({"named_club_ids": [net.id]})),
        ] {
            let refused =
                net.coordinator.post(&machines(&net), aerator(different)).await.expect_problem(422, "invalid");
            assert_eq!(refused["errors"][0]["field"], field);
        }
        for unreadable in [json!({"kind": "submarine"}), json!({"linkage": 3}), json!({"width_m": "wide"})] {
            net.coordinator.post(&machines(&net), aerator(unreadable)).await.expect_problem(400, "unreadable");
        }
    });
}

#[test]
fn two_machines_cannot_share_a_name_and_sending_twice_adds_one() {
    with_app(async |app| {
        let net = app.network("North").await;
        let key = [("Idempotency-Key", "one")];
        let body = aerator(json!({}));
        let first = net.coordinator.send("POST", &machines(&net), Some(body.clone()), &key).await.expect(201);
        let again = net.coordinator.send("POST", &machines(&net), Some(body.clone()), &key).await.expect(201);
        assert_eq!(first, again);
        net.coordinator.post(&machines(&net), body.clone()).await.expect_problem(409, "name_taken");
        let keyless = net.coordinator.send("POST", &machines(&net), Some(body), &[]).await;
        keyless.expect_problem(400, "idempotency_key_missing");
    });
}

#[test]
fn a_change_must_know_the_change_before_it() {
    with_app(async |app| {
        let net = app.network("North").await;
        let (named, other) = (app.club(&net, "Tansyford RFC").await, app.club(&net, "Marl End RFC").await);
        let path = format!("{}/{}", machines(&net), add_aerator(&net, json!({})).await);
        let wanted = aerator(json!({"who_may_book": "named_clubs", "named_club_ids": [named.id, named.id]}));
        let changed = net.coordinator.put(&path, 1, wanted).await;
        assert_eq!(changed.etag.as_deref(), Some("\"v2\""));
        assert_eq!(changed.expect(200)["named_club_ids"], json!([named.id]));
        let late = aerator(json!({"named_club_ids": [other.id]}));
        net.coordinator.put(&path, 1, late.clone()).await.expect_problem(412, "changed_meanwhile");
        net.coordinator.put_plain(&path, late).await.expect_problem(428, "if_match_missing");
        assert_eq!(net.coordinator.get(&path).await.expect(200)["named_club_ids"], json!([named.id]));
    });
}

#[test]
fn machines_come_by_name_page_by_page() {
    with_app(async |app| {
        let net = app.network("North").await;
        for name in ["Spiker", "Brush", "Mower", "Aerator", "Seeder"] {
            net.coordinator.post(&machines(&net), aerator(json!({"name": name}))).await.expect(201);
        }
        let (mut names, mut cursor) = (Vec::new(), String::new());
        for _ in 0..3 {
            let page = net.coordinator.get(&format!("{}?limit=2{cursor}", machines(&net))).await.expect(200);
            names
                .extend(page["items"].as_array().unwrap().iter().map(|item| item["name"].as_str().unwrap().to_owned()));
            cursor = page["next_cursor"].as_str().map(|next| format!("&cursor={next}")).unwrap_or_default();
        }
        assert_eq!(names, ["Aerator", "Brush", "Mower", "Seeder", "Spiker"]);
        assert_eq!(cursor, "", "the last page says that it is the last");
        let nonsense = net.coordinator.get(&format!("{}?cursor=nonsense", machines(&net))).await;
        nonsense.expect_problem(400, "unreadable");
    });
}

#[test]
fn availabilities_are_whole_half_days_that_do_not_overlap() {
    with_app(async |app| {
        let net = app.network("North").await;
        let id = add_aerator(&net, json!({})).await;
        let path = format!("{}/{id}/availabilities", machines(&net));
        net.coordinator.post(&path, span(27, 29)).await.expect_problem(409, "availability_overlaps");
        let crooked = json!({"from": half_day(40), "until": half_day(42).replace("T00", "T06")});
        net.coordinator.post(&path, crooked).await.expect_problem(422, "not_half_days");
        net.coordinator.post(&path, span(42, 40)).await.expect_problem(422, "invalid");
        let far = json!({"from": "1027-05-04T00:00:00", "until": "1027-05-05T00:00:00"});
        net.coordinator.post(&path, far).await.expect_problem(422, "invalid");
        net.coordinator.post(&path, json!({"from": "soon"})).await.expect_problem(400, "unreadable");
        let touching = open(&net, &id, span(28, 30)).await;
        let machine = net.coordinator.get(&format!("{}/{id}", machines(&net))).await.expect(200);
        assert_eq!(machine["availabilities"][1]["availability_id"], touching.as_str());
        assert_eq!(machine["availabilities"][1]["from"], half_day(28));
        net.coordinator.delete(&format!("{path}/{touching}")).await.expect(204);
        net.coordinator.delete(&format!("{path}/{touching}")).await.expect_problem(404, "not_found");
    });
}

#[test]
fn an_availability_stays_while_a_booking_lies_in_it() {
    with_app(async |app| {
        let net = app.network("North").await;
        let club = app.club(&net, "Tansyford RFC").await;
        let id = add_aerator(&net, json!({})).await;
        let other = open(&net, &id, span(40, 44)).await;
        let booking = booked(&net, &id, &club, span(40, 41)).await;
        let path = format!("{}/{id}/availabilities/{other}", machines(&net));
        net.coordinator.delete(&path).await.expect_problem(409, "availability_in_use");
        club.lead.post(&format!("{booking}/cancellation"), json!({})).await.expect(200);
        net.coordinator.delete(&path).await.expect(204);
        app.run_jobs().await;
    });
}

#[test]
fn a_reckoning_shows_hours_half_days_holes_and_when_it_could_be() {
    with_app(async |app| {
        let net = app.network("North").await;
        let club = app.club(&net, "Tansyford RFC").await;
        let (main, second) = (app.pitch(&net, &club, "Main").await, app.pitch(&net, &club, "Second").await);
        let id = add_aerator(&net, json!({})).await;
        let query = format!("club_id={}&pitch_ids={main},{second},{main}&from={}", club.id, monday());
        let reckoning = club.volunteer.get(&format!("{}/{id}/reckoning?{query}", machines(&net))).await.expect(200);
        assert_eq!(reckoning["proposals"].as_array().unwrap().len(), 5);
        let first = &reckoning["proposals"][0];
        assert_eq!(first["span"], span(0, 2));
        insta::assert_json_snapshot!(reckoning, {
            ".pitches[].pitch_id" => "[pitch]", ".proposals" => "[proposals]",
            ".hours" => insta::rounded_redaction(3), ".pitches[].hours" => insta::rounded_redaction(3),
            ".capacity_ha_per_h" => insta::rounded_redaction(6), ".holes_per_m2" => insta::rounded_redaction(2),
        }, @r#"
        {
          "capacity_ha_per_h": 0.24,
          "capacity_formula": "2.0 km/h × 1.6 m × 0.75 ÷ 10 = 0.24 ha/h",
          "pitches": [
            {
              "pitch_id": "[pitch]",
              "name": "Main",
              "area_m2": 7700,
              "hours": 3.208
            },
            {
              "pitch_id": "[pitch]",
              "name": "Second",
              "area_m2": 7700,
              "hours": 3.208
            }
          ],
          "hours": 6.417,
          "half_days": 2,
          "longest_half_days": 6,
          "holes_per_m2": 236.69,
          "proposals": "[proposals]",
          "source": "ASABE EP496"
        }
        "#);
        assert_eq!(first["charge_pence"], 10_000 + 2_500);
    });
}

#[test]
fn a_job_longer_than_the_longest_booking_is_proposed_as_that() {
    with_app(async |app| {
        let net = app.network("North").await;
        let club = app.club(&net, "Tansyford RFC").await;
        let pitch = app.pitch(&net, &club, "Main").await;
        let slow = json!({"speed_km_h": 0.5, "longest_half_days": 3, "tine_spacing_across_mm": null, "tine_spacing_forward_mm": null});
        let id = add_aerator(&net, slow).await;
        let query = format!("club_id={}&pitch_ids={pitch}&from={}", club.id, monday());
        let reckoning = club.lead.get(&format!("{}/{id}/reckoning?{query}", machines(&net))).await.expect(200);
        assert_eq!((&reckoning["half_days"], &reckoning["longest_half_days"]), (&json!(4), &json!(3)));
        assert_eq!(reckoning["proposals"][0]["span"], span(0, 3));
        assert_eq!(reckoning["holes_per_m2"], Value::Null);
    });
}

#[test]
fn proposals_keep_clear_of_bookings_with_their_handover_and_of_the_past() {
    with_app(async |app| {
        let net = app.network("North").await;
        let club = app.club(&net, "Tansyford RFC").await;
        let pitch = app.pitch(&net, &club, "Main").await;
        let id = add_aerator(&net, json!({"gap_half_days": 1, "speed_km_h": 3.0})).await;
        let today = Utc::now().date_naive();
        let around_now = json!({"from": format!("{}T00:00:00", today - Days::new(3)), "until": format!("{}T00:00:00", today + Days::new(2))});
        open(&net, &id, around_now).await;
        booked(&net, &id, &club, span(3, 5)).await;
        let ask = async |from: String| {
            let query = format!("club_id={}&pitch_ids={pitch}{from}", club.id);
            let path = format!("{}/{id}/reckoning?{query}", machines(&net));
            let reckoning = club.lead.get(&path).await.expect(200);
            let spans = reckoning["proposals"].as_array().unwrap().iter().map(|proposal| proposal["span"].clone());
            spans.collect::<Vec<_>>()
        };
        // 3 and 4 are held, 5 is their handover, and a booking of 2 would need 3 for its own.
        assert_eq!(ask(format!("&from={}", monday())).await, [0, 1, 6, 7, 8].map(|half| span(half, half + 1)));
        // The clock of Europe/London is never behind UTC.
        let now = Utc::now().naive_utc();
        for proposed in ask("&from=2020-01-01".to_owned()).await {
            let from: NaiveDateTime = proposed["from"].as_str().unwrap().parse().unwrap();
            assert!(from >= now, "{from} is past");
        }
        app.run_jobs().await;
    });
}

#[test]
fn a_reckoning_takes_pitches_of_the_club_and_machines_open_to_it() {
    with_app(async |app| {
        let net = app.network("North").await;
        let (ours, theirs) = (app.club(&net, "Tansyford RFC").await, app.club(&net, "Marl End RFC").await);
        let pitch = app.pitch(&net, &ours, "Main").await;
        let id = add_aerator(&net, json!({"who_may_book": "named_clubs", "named_club_ids": [ours.id]})).await;
        let ask = async |query: String| ours.lead.get(&format!("{}/{id}/reckoning?{query}", machines(&net))).await;
        ask(format!("club_id={}&pitch_ids={pitch}", ours.id)).await.expect(200);
        ask(format!("club_id={}&pitch_ids={pitch}", theirs.id)).await.expect_problem(403, "machine_not_open_to_club");
        ask(format!("club_id={}&pitch_ids={}", ours.id, theirs.id)).await.expect_problem(422, "invalid");
        ask(format!("club_id={}&pitch_ids=", ours.id)).await.expect_problem(422, "invalid");
        ask(format!("club_id={}&pitch_ids=main", ours.id)).await.expect_problem(400, "unreadable");
        ask(format!("club_id={}&pitch_ids={pitch}&from=9999-01-01", ours.id)).await.expect_problem(422, "invalid");
        ask("club_id=ours".to_owned()).await.expect_problem(400, "unreadable");
    });
}

#[test]
fn a_charge_is_shown_before_anybody_presses() {
    with_app(async |app| {
        let net = app.network("North").await;
        let id = add_aerator(&net, json!({})).await;
        let charge = net.coordinator.get(&format!("{}/{id}/charge?{CHARGED}", machines(&net))).await.expect(200);
        insta::assert_json_snapshot!(charge, @r#"
        {
          "charge_pence": 18500,
          "parts": [
            {
              "what": "day",
              "count": 1,
              "unit_pence": 10000,
              "pence": 10000
            },
            {
              "what": "half_day",
              "count": 1,
              "unit_pence": 6000,
              "pence": 6000
            },
            {
              "what": "use",
              "count": 1,
              "unit_pence": 2500,
              "pence": 2500
            }
          ]
        }
        "#);
        let crooked = "from=2027-05-04T12:00:00&until=2027-05-06T07:00:00";
        let refused = net.coordinator.get(&format!("{}/{id}/charge?{crooked}", machines(&net))).await;
        refused.expect_problem(422, "not_half_days");
    });
}

#[test]
fn the_board_shows_whose_booking_it_is_and_what_is_free() {
    with_app(async |app| {
        let net = app.network("North").await;
        let (ours, theirs) = (app.club(&net, "Tansyford RFC").await, app.club(&net, "Marl End RFC").await);
        let id = add_aerator(&net, json!({"gap_half_days": 1})).await;
        let spiker = add_aerator(&net, json!({"name": "Spiker", "kind": "spiker", "coordinator_agrees": true})).await;
        booked(&net, &id, &ours, span(4, 6)).await;
        booked(&net, &spiker, &theirs, span(0, 2)).await;
        let retired = add_aerator(&net, json!({"name": "Old brush"})).await;
        let old = aerator(json!({"name": "Old brush", "retired": true}));
        net.coordinator.put(&format!("{}/{retired}", machines(&net)), 1, old).await.expect(200);
        let path = format!("{}/board?from={}&days=5", net.path, monday());
        let board = ours.volunteer.get(&path).await.expect(200);
        assert_eq!((&board["from_on"], &board["days"]), (&json!(monday()), &json!(5)));
        let names: Vec<_> = board["machines"].as_array().unwrap().iter().map(|machine| &machine["name"]).collect();
        assert_eq!(names, ["Deep-tine aerator", "Spiker"]);
        let [aerator, spiker] = [&board["machines"][0], &board["machines"][1]];
        assert_eq!(aerator["availabilities"], json!([span(0, 10)]));
        // 3 is the handover of a booking that would come before, 6 that of the booking itself.
        assert_eq!(aerator["free"], json!([span(0, 3), span(7, 10)]));
        let booking = &aerator["bookings"][0];
        assert_eq!((&booking["span"], &booking["held_until"]), (&span(4, 6), &json!(half_day(7))));
        assert_eq!((&booking["club_name"], &booking["yours"]), (&json!("Tansyford RFC"), &json!(true)));
        assert_eq!(booking["state"], "agreed");
        let booking = &spiker["bookings"][0];
        assert_eq!((&booking["state"], &booking["yours"]), (&json!("asked"), &json!(false)));
        assert_eq!(spiker["free"], json!([span(2, 10)]));
        app.run_jobs().await;
    });
}

#[test]
fn a_booking_beyond_the_boards_edge_is_felt_on_it() {
    with_app(async |app| {
        let net = app.network("North").await;
        let club = app.club(&net, "Tansyford RFC").await;
        let id = add_aerator(&net, json!({"gap_half_days": 2})).await;
        booked(&net, &id, &club, span(4, 6)).await;
        let path = format!("{}/board?from={}&days=2", net.path, monday());
        let board = club.lead.get(&path).await.expect(200);
        assert_eq!(board["machines"][0]["free"], json!([span(0, 2)]));
        assert_eq!(board["machines"][0]["bookings"], json!([]));
        app.run_jobs().await;
    });
}

#[test]
fn a_board_is_of_1_to_62_days_of_our_century() {
    with_app(async |app| {
        let net = app.network("North").await;
        for query in ["days=0", "days=63", "from=9999-12-31", "from=-9999-01-01"] {
            net.coordinator.get(&format!("{}/board?{query}", net.path)).await.expect_problem(422, "invalid");
        }
        for query in ["days=many", "days=-1", "from=soon"] {
            net.coordinator.get(&format!("{}/board?{query}", net.path)).await.expect_problem(400, "unreadable");
        }
        let board = net.coordinator.get(&format!("{}/board", net.path)).await.expect(200);
        assert_eq!((&board["days"], &board["machines"]), (&json!(14), &json!([])));
    });
}
