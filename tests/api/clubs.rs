//! Clubs, grounds, pitches.

use chrono::{Days, Utc};
use serde_json::{Value, json};

use crate::harness::with_app;

fn ground(name: &str) -> Value {
    json!({
        "name": name, "latitude_deg": 53.2042, "longitude_deg": -0.8713, "soil": "clay_loam", "drainage": "slit",
        "lorry_access": "rigid", "hard_standing": true, "tractor_kw": 34.0,
    })
}

fn pitch(name: &str) -> Value {
    json!({"name": name, "sport": "rugby_union", "length_m": 122.0, "width_m": 72.5})
}

fn text<'a>(body: &'a Value, field: &str) -> &'a str {
    body[field].as_str().unwrap()
}

fn names(page: &Value) -> Vec<&str> {
    page["items"].as_array().unwrap().iter().map(|item| text(item, "name")).collect()
}

#[test]
fn a_club_with_a_ground_and_a_pitch_is_entered_and_found_again() {
    with_app(async |app| {
        let net = app.network("North").await;
        let club = app.club(&net, "Mallow").await;
        let path = format!("{}/clubs/{}/grounds", net.path, club.id);
        let ground = club.lead.post(&path, ground("Mill Lane")).await.expect(201);
        let path = format!("{}/grounds/{}/pitches", net.path, text(&ground, "ground_id"));
        let pitch = club.lead.post(&path, pitch("First")).await.expect(201);
        insta::assert_json_snapshot!(ground, {".ground_id" => "[id]", ".club_id" => "[id]"}, @r#"
        {
          "ground_id": "[id]",
          "club_id": "[id]",
          "club_name": "Mallow",
          "name": "Mill Lane",
          "latitude_deg": 53.2042,
          "longitude_deg": -0.8713,
          "soil": "clay_loam",
          "drainage": "slit",
          "lorry_access": "rigid",
          "hard_standing": true,
          "tractor_kw": 34.0,
          "version": 1
        }
        "#);
        insta::assert_json_snapshot!(pitch, {".pitch_id" => "[id]", ".ground_id" => "[id]", ".club_id" => "[id]"}, @r#"
        {
          "pitch_id": "[id]",
          "ground_id": "[id]",
          "ground_name": "Mill Lane",
          "club_id": "[id]",
          "club_name": "Mallow",
          "name": "First",
          "sport": "rugby_union",
          "length_m": 122.0,
          "width_m": 72.5,
          "area_m2": 8845,
          "soil": "clay_loam",
          "drainage": "slit",
          "version": 1,
          "latest_score": null
        }
        "#);
        let listed = club.volunteer.get(&format!("{}/clubs", net.path)).await.expect(200);
        insta::assert_json_snapshot!(listed, {".items[].club_id" => "[id]"}, @r#"
        {
          "items": [
            {
              "club_id": "[id]",
              "name": "Mallow",
              "sharing": "named",
              "ground_count": 1,
              "pitch_count": 1,
              "version": 1
            }
          ],
          "next_cursor": null
        }
        "#);
        for (list, one) in [("grounds", ground), ("pitches", pitch)] {
            let all = club.volunteer.get(&format!("{}/{list}", net.path)).await.expect(200);
            assert_eq!(all["items"], json!([one]));
            let own = club.volunteer.get(&format!("{}/{list}?club_id={}", net.path, club.id)).await.expect(200);
            assert_eq!(own, all);
        }
    });
}

#[test]
fn lists_are_alphabetical_and_continue_where_they_stopped() {
    with_app(async |app| {
        let net = app.network("North").await;
        for name in ["Cress", "Aster", "Broom"] {
            let club = app.club(&net, name).await;
            app.pitch(&net, &club, "First").await;
            app.pitch(&net, &club, "Annexe").await;
        }
        let first = net.coordinator.get(&format!("{}/clubs?limit=2", net.path)).await.expect(200);
        assert_eq!(names(&first), ["Aster", "Broom"]);
        let next = format!("{}/clubs?limit=2&cursor={}", net.path, text(&first, "next_cursor"));
        let second = net.coordinator.get(&next).await.expect(200);
        assert_eq!((names(&second), &second["next_cursor"]), (vec!["Cress"], &Value::Null));
        for list in ["grounds", "pitches"] {
            let mut seen = Vec::new();
            let mut cursor = String::new();
            loop {
                let page = net.coordinator.get(&format!("{}/{list}?limit=1{cursor}", net.path)).await.expect(200);
                seen.push(format!("{} {}", text(&page["items"][0], "club_name"), names(&page)[0]));
                let Some(next) = page["next_cursor"].as_str() else { break };
                cursor = format!("&cursor={next}");
            }
            let sorted = {
                let mut copy = seen.clone();
                copy.sort();
                copy
            };
            assert_eq!((seen.len(), &seen), (6, &sorted));
        }
        net.coordinator.get(&format!("{}/clubs?cursor=nonsense", net.path)).await.expect_problem(400, "unreadable");
    });
}

#[test]
fn only_the_version_seen_can_be_changed() {
    with_app(async |app| {
        let net = app.network("North").await;
        let club = app.club(&net, "Mallow").await;
        let pitch_id = app.pitch(&net, &club, "First").await;
        let ground_id = {
            let reply = club.lead.get(&format!("{}/pitches/{pitch_id}", net.path)).await;
            assert_eq!(reply.etag.as_deref(), Some("\"v1\""));
            text(&reply.expect(200), "ground_id").to_owned()
        };
        for (path, body) in [
            (format!("{}/clubs/{}", net.path, club.id), json!({"name": "New name", "sharing": "counted"})),
            (format!("{}/grounds/{ground_id}", net.path), ground("New name")),
            (format!("{}/pitches/{pitch_id}", net.path), pitch("New name")),
        ] {
            club.lead.put_plain(&path, body.clone()).await.expect_problem(428, "if_match_missing");
            let changed = club.lead.put(&path, 1, body.clone()).await;
            assert_eq!(changed.etag.as_deref(), Some("\"v2\""));
            assert_eq!(changed.expect(200)["name"], "New name");
            net.coordinator.put(&path, 1, body.clone()).await.expect_problem(412, "changed_meanwhile");
            assert_eq!(net.coordinator.put(&path, 2, body.clone()).await.expect(200)["version"], 3);
            assert_eq!(club.volunteer.get(&path).await.etag.as_deref(), Some("\"v3\""));
        }
    });
}

#[test]
fn two_who_save_at_once_do_not_overwrite_each_other() {
    with_app(async |app| {
        let net = app.network("North").await;
        let club = app.club(&net, "Mallow").await;
        let path = format!("{}/clubs/{}", net.path, club.id);
        let saves = (0..6).map(|n| {
            let body = json!({"name": format!("Mallow {n}"), "sharing": "named"});
            let (lead, path) = (&club.lead, &path);
            async move { lead.put(path, 1, body).await.status }
        });
        let mut statuses = futures_util::future::join_all(saves).await;
        statuses.sort_unstable();
        assert_eq!(statuses, [200, 412, 412, 412, 412, 412]);
    });
}

#[test]
fn a_tractor_that_was_sold_is_gone_and_an_area_may_be_stated() {
    with_app(async |app| {
        let net = app.network("North").await;
        let club = app.club(&net, "Mallow").await;
        let made =
            club.lead.post(&format!("{}/clubs/{}/grounds", net.path, club.id), ground("Mill Lane")).await.expect(201);
        let path = format!("{}/grounds/{}", net.path, text(&made, "ground_id"));
        let mut sold = ground("Mill Lane");
        sold["tractor_kw"] = Value::Null;
        assert_eq!(club.lead.put(&path, 1, sold).await.expect(200)["tractor_kw"], Value::Null);
        let mut odd = pitch("Odd corner");
        odd["area_m2"] = json!(8000);
        let made = club.lead.post(&format!("{path}/pitches"), odd).await.expect(201);
        assert_eq!(made["area_m2"], 8000);
    });
}

#[test]
fn who_may_change_what_follows_the_role() {
    with_app(async |app| {
        let net = app.network("North").await;
        let (own, other) = (app.club(&net, "Mallow").await, app.club(&net, "Nettle").await);
        let pitch_id = app.pitch(&net, &own, "First").await;
        let ground_id =
            text(&own.lead.get(&format!("{}/pitches/{pitch_id}", net.path)).await.expect(200), "ground_id").to_owned();
        let clubs = format!("{}/clubs", net.path);
        own.lead.post(&clubs, json!({"name": "Third", "sharing": "named"})).await.expect_problem(403, "not_your_role");
        for user in [&own.treasurer, &own.volunteer, &other.lead] {
            let club = format!("{clubs}/{}", own.id);
            let body = json!({"name": "Renamed", "sharing": "named"});
            user.put(&club, 1, body).await.expect_problem(403, "not_your_role");
            user.post(&format!("{club}/grounds"), ground("New")).await.expect_problem(403, "not_your_role");
            let path = format!("{}/grounds/{ground_id}", net.path);
            user.put(&path, 1, ground("New")).await.expect_problem(403, "not_your_role");
            user.post(&format!("{path}/pitches"), pitch("New")).await.expect_problem(403, "not_your_role");
            let path = format!("{}/pitches/{pitch_id}", net.path);
            user.put(&path, 1, pitch("New")).await.expect_problem(403, "not_your_role");
        }
    });
}

#[test]
fn names_are_unique_where_people_tell_things_apart_by_them() {
    with_app(async |app| {
        let net = app.network("North").await;
        let (own, other) = (app.club(&net, "Mallow").await, app.club(&net, "Nettle").await);
        let club = json!({"name": " Mallow ", "sharing": "named"});
        net.coordinator.post(&format!("{}/clubs", net.path), club).await.expect_problem(409, "name_taken");
        let grounds = |club| format!("{}/clubs/{club}/grounds", net.path);
        let made = own.lead.post(&grounds(own.id), ground("Mill Lane")).await.expect(201);
        own.lead.post(&grounds(own.id), ground("Mill Lane")).await.expect_problem(409, "name_taken");
        other.lead.post(&grounds(other.id), ground("Mill Lane")).await.expect(201);
        let pitches = format!("{}/grounds/{}/pitches", net.path, text(&made, "ground_id"));
        own.lead.post(&pitches, pitch("First")).await.expect(201);
        own.lead.post(&pitches, pitch("First")).await.expect_problem(409, "name_taken");
    });
}

#[test]
fn what_cannot_be_is_refused_with_the_field() {
    with_app(async |app| {
        let net = app.network("North").await;
        let club = app.club(&net, "Mallow").await;
        let grounds = format!("{}/clubs/{}/grounds", net.path, club.id);
        let made = club.lead.post(&grounds, ground("Mill Lane")).await.expect(201);
        let pitches = format!("{}/grounds/{}/pitches", net.path, text(&made, "ground_id"));
        let with = |mut body: Value, field: &str, value: Value| {
            body[field] = value;
            body
        };
        for (field, value) in [
            ("name", json!("  ")),
            ("latitude_deg", json!(91)),
            ("longitude_deg", json!(-181)),
            ("tractor_kw", json!(0)),
        ] {
            let refused = club.lead.post(&grounds, with(ground("New"), field, value)).await;
            assert_eq!(refused.expect_problem(422, "invalid")["errors"][0]["field"], field);
        }
        for (field, value) in [
            ("name", json!("x".repeat(121))),
            ("length_m", json!(9.9)),
            ("width_m", json!(301)),
            ("area_m2", json!(99)),
        ] {
            let refused = club.lead.post(&pitches, with(pitch("New"), field, value)).await;
            assert_eq!(refused.expect_problem(422, "invalid")["errors"][0]["field"], field);
        }
        for (path, body) in
            [(&grounds, with(ground("New"), "soil", json!("mud"))), (&pitches, with(pitch("New"), "sport", json!(7)))]
        {
            club.lead.post(path, body).await.expect_problem(400, "unreadable");
        }
    });
}

#[test]
fn a_club_sent_twice_is_added_once() {
    with_app(async |app| {
        let net = app.network("North").await;
        let path = format!("{}/clubs", net.path);
        let body = json!({"name": "Mallow", "sharing": "named"});
        let key = [("Idempotency-Key", "one")];
        let sends = (0..4).map(|_| net.coordinator.send("POST", &path, Some(body.clone()), &key));
        let bodies: Vec<_> =
            futures_util::future::join_all(sends).await.into_iter().map(|reply| reply.expect(201)).collect();
        assert!(bodies.iter().all(|body| body == &bodies[0]));
        assert_eq!(net.coordinator.get(&path).await.expect(200)["items"].as_array().unwrap().len(), 1);
        net.coordinator.send("POST", &path, Some(body), &[]).await.expect_problem(400, "idempotency_key_missing");
    });
}

#[test]
fn strangers_and_absent_places_get_nothing() {
    with_app(async |app| {
        let net = app.network("North").await;
        let absent = uuid::Uuid::now_v7();
        for list in ["clubs", "grounds", "pitches"] {
            let path = format!("{}/{list}", net.path);
            app.stranger().get(&path).await.expect_problem(401, "not_signed_in");
            app.stranger().get(&format!("{path}/{absent}")).await.expect_problem(401, "not_signed_in");
            net.coordinator.get(&format!("{path}/{absent}")).await.expect_problem(404, "not_found");
        }
        let path = format!("{}/clubs/{absent}/grounds", net.path);
        net.coordinator.post(&path, ground("New")).await.expect_problem(404, "not_found");
        let path = format!("{}/grounds/{absent}/pitches", net.path);
        net.coordinator.post(&path, pitch("New")).await.expect_problem(404, "not_found");
    });
}

#[test]
fn a_pitch_shows_its_newest_score_to_who_may_see_the_walks() {
    with_app(async |app| {
        let net = app.network("North").await;
        let (own, other) = (app.club(&net, "Mallow").await, app.club(&net, "Nettle").await);
        let id = app.pitch(&net, &own, "First").await;
        let mut newest = Value::Null;
        // The newest walk is the one walked last, not the one entered last.
        for (days_ago, cover) in [(270, 60.0), (50, 90.0), (200, 70.0)] {
            let walked_on = Utc::now().date_naive() - Days::new(days_ago);
            let values = |criterion: &str, value: f64| json!({"criterion": criterion, "values": [value, value + 2.0]});
            let walk = json!({"walk_id": null, "pitch_id": id, "walked_on": walked_on, "note": "", "readings": [
                values("ground_cover", cover), values("live_weeds", 4.0), values("bare_ground", 5.0),
                values("sward_height", 40.0), values("evenness", 12.0), values("root_depth", 100.0),
                values("stick_penetration", 9.0),
            ]});
            let walk = own.lead.post(&format!("{}/walks", net.path), walk).await.expect(201);
            if cover > 80.0 {
                newest = walk;
            }
        }
        let path = format!("{}/pitches/{id}", net.path);
        for user in [&own.lead, &own.treasurer, &own.volunteer, &net.coordinator] {
            let shown = user.get(&path).await.expect(200)["latest_score"].clone();
            for field in ["walk_id", "score", "score_se", "walked_on"] {
                assert_eq!(shown[field], newest[field], "{field}");
            }
            let listed = user.get(&format!("{}/pitches", net.path)).await.expect(200);
            assert_eq!(listed["items"][0]["latest_score"], shown);
        }
        assert_eq!(other.lead.get(&path).await.expect(200)["latest_score"], Value::Null);
        let listed = other.lead.get(&format!("{}/pitches", net.path)).await.expect(200);
        assert_eq!(listed["items"][0]["latest_score"], Value::Null);
    });
}
