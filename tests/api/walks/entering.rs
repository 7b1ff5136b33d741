//! Entering a walk: scored once, refused with reasons, never changed.

use chrono::{DateTime, Days, NaiveDate, Utc};
use diesel::sql_query;
use diesel_async::RunQueryDsl;
use futures_util::future::join_all;
use serde_json::{Value, json};
use turfring::access::{Member, Role};
use turfring::database::Scope;
use turfring::walks::{CreateReadings, CreateWalk, CriterionKey, record};
use uuid::Uuid;

use super::{club_with_pitch, cover_walk, days_ago, full_walk, score_cover_alone, walks};
use crate::harness::with_app;

#[test]
fn a_walk_is_scored_and_says_where_the_score_comes_from() {
    with_app(async |app| {
        let (net, club, pitch) = club_with_pitch(&app).await;
        let walk = club.volunteer.post(&walks(&net), full_walk(&pitch)).await.expect(201);
        insta::assert_json_snapshot!(walk, {
            ".walk_id" => "[id]", ".pitch_id" => "[id]", ".club_id" => "[id]", ".walked_on" => "[date]",
            ".**.score_se" => insta::rounded_redaction(4), ".**.score" => insta::rounded_redaction(4),
            ".**.weight" => insta::rounded_redaction(4), ".**.sd" => insta::rounded_redaction(4),
        }, @r#"
        {
          "walk_id": "[id]",
          "pitch_id": "[id]",
          "pitch_name": "Main",
          "club_id": "[id]",
          "club_name": "Ashby",
          "walked_on": "[date]",
          "walked_by_name": "volunteer",
          "scheme_version": 1,
          "score": 76.8632,
          "score_se": 7.4024,
          "criteria": [
            {
              "criterion": "ground_cover",
              "name": "Ground cover",
              "unit": "%",
              "n": 3,
              "mean": 80.0,
              "sd": 10.0,
              "score": 70.0,
              "score_se": 11.547,
              "weight": 0.2778,
              "values": [
                70.0,
                80.0,
                90.0
              ]
            },
            {
              "criterion": "live_weeds",
              "name": "Live weeds",
              "unit": "%",
              "n": 2,
              "mean": 5.0,
              "sd": 1.4142,
              "score": 100.0,
              "score_se": 2.0,
              "weight": 0.0556,
              "values": [
                4.0,
                6.0
              ]
            },
            {
              "criterion": "bare_ground",
              "name": "Bare ground",
              "unit": "%",
              "n": 1,
              "mean": 12.5,
              "sd": 12.0,
              "score": 67.6923,
              "score_se": 36.9231,
              "weight": 0.1667,
              "values": [
                12.5
              ]
            },
            {
              "criterion": "sward_height",
              "name": "Sward height",
              "unit": "mm",
              "n": 2,
              "mean": 43.0,
              "sd": 4.2426,
              "score": 89.2308,
              "score_se": 4.6154,
              "weight": 0.1111,
              "values": [
                40.0,
                46.0
              ]
            },
            {
              "criterion": "evenness",
              "name": "Evenness",
              "unit": "mm",
              "n": 2,
              "mean": 15.0,
              "sd": 7.0711,
              "score": 70.0,
              "score_se": 14.5,
              "weight": 0.1667,
              "values": [
                10.0,
                20.0
              ]
            },
            {
              "criterion": "root_depth",
              "name": "Root depth",
              "unit": "mm",
              "n": 2,
              "mean": 110.0,
              "sd": 14.1421,
              "score": 84.0,
              "score_se": 4.0,
              "weight": 0.1667,
              "values": [
                100.0,
                120.0
              ]
            },
            {
              "criterion": "stick_penetration",
              "name": "Stick penetration",
              "unit": "cm",
              "n": 2,
              "mean": 10.0,
              "sd": 1.4142,
              "score": 90.0,
              "score_se": 5.0,
              "weight": 0.0556,
              "values": [
                9.0,
                11.0
              ]
            }
          ],
          "missing": [
            "hardness",
            "infiltration"
          ],
          "unscored": [],
          "note": "Wet in the goal mouth."
        }
        "#);
    });
}

#[test]
fn the_score_and_its_error_are_those_worked_out_by_hand() {
    with_app(async |app| {
        let (net, club, pitch) = club_with_pitch(&app).await;
        score_cover_alone(&net).await;
        let mut body = cover_walk(&pitch, 0.0);
        body["readings"][0]["values"] = json!([78.0, 82.0]);
        let walk = club.lead.post(&walks(&net), body).await.expect(201);
        // Mean 80; spread √8 over √2 readings is 2; one point of score for each per cent.
        assert_eq!((walk["score"].as_f64(), walk["scheme_version"].as_i64()), (Some(80.0), Some(2)));
        assert!((walk["score_se"].as_f64().unwrap() - 2.0).abs() < 1e-12, "{walk}");
        assert_eq!(walk["criteria"][0]["values"], json!([78.0, 82.0]));
    });
}

#[test]
fn what_the_scheme_does_not_score_is_kept_beside_the_score() {
    with_app(async |app| {
        let (net, club, pitch) = club_with_pitch(&app).await;
        score_cover_alone(&net).await;
        let walk = club.lead.post(&walks(&net), full_walk(&pitch)).await.expect(201);
        assert_eq!(walk["criteria"].as_array().unwrap().len(), 1);
        assert_eq!(walk["unscored"].as_array().unwrap().len(), 6);
        assert_eq!(walk["unscored"][0]["values"], json!([4.0, 6.0]));
        let again = club.lead.get(&format!("{}/{}", walks(&net), walk["walk_id"].as_str().unwrap())).await.expect(200);
        assert_eq!(again, walk);
    });
}

#[test]
fn a_perfect_pitch_scores_a_hundred() {
    with_app(async |app| {
        let (net, club, pitch) = club_with_pitch(&app).await;
        let mut body = full_walk(&pitch);
        let best = [98.0, 1.0, 1.0, 60.0, 2.0, 180.0, 15.0];
        for (list, value) in body["readings"].as_array_mut().unwrap().iter_mut().zip(best) {
            list["values"] = json!([value, value]);
        }
        let walk = club.lead.post(&walks(&net), body).await.expect(201);
        assert_eq!((walk["score"].as_f64(), walk["score_se"].as_f64()), (Some(100.0), Some(0.0)));
    });
}

#[test]
fn readings_no_pitch_can_have_are_refused_each_on_its_field() {
    with_app(async |app| {
        let (net, club, pitch) = club_with_pitch(&app).await;
        let mut body = full_walk(&pitch);
        body["readings"][0]["values"] = json!([80.0, 120.0]);
        body["readings"][3]["values"] = json!([-1.0]);
        let problem = club.lead.post(&walks(&net), body).await.expect_problem(422, "reading_impossible");
        insta::assert_json_snapshot!(problem["errors"], @r#"
        [
          {
            "field": "readings.0.values",
            "detail": "Ground cover: 120 cannot be; it is from 0 to 100 %."
          },
          {
            "field": "readings.3.values",
            "detail": "Sward height: -1 cannot be; it is from 0 to 500 mm."
          }
        ]
        "#);
    });
}

#[test]
fn readings_that_are_no_list_of_a_criterion_are_refused() {
    with_app(async |app| {
        let (net, club, pitch) = club_with_pitch(&app).await;
        let path = walks(&net);
        let cover = |values: Value| json!({"criterion": "ground_cover", "values": values});
        let refused = async |readings: Value, status: u16, code: &str| {
            let mut body = full_walk(&pitch);
            body["readings"] = readings;
            club.lead.post(&path, body).await.expect_problem(status, code)
        };
        let twice = refused(json!([cover(json!([80.0])), cover(json!([70.0]))]), 422, "invalid").await;
        assert_eq!(twice["errors"][0]["field"], "readings.1.criterion");
        let many = refused(json!([cover(json!(vec![80.0; 201]))]), 422, "invalid").await;
        assert_eq!(many["errors"][0]["field"], "readings.0.values");
        refused(json!([cover(json!([null]))]), 400, "unreadable").await;
        refused(json!([{"criterion": "colour", "values": [1.0]}]), 400, "unreadable").await;
    });
}

#[test]
fn two_hundred_readings_of_everything_are_taken() {
    with_app(async |app| {
        let (net, club, pitch) = club_with_pitch(&app).await;
        let mut body = full_walk(&pitch);
        let lists = body["readings"].as_array_mut().unwrap();
        lists.extend(["hardness", "infiltration"].map(|criterion| json!({"criterion": criterion})));
        for list in lists {
            list["values"] = json!(vec![50.0; 200]);
        }
        let walk = club.lead.post(&walks(&net), body).await.expect(201);
        assert_eq!(walk["criteria"][8]["n"], 200);
        assert_eq!(walk["missing"], json!([]));
    });
}

#[test]
fn a_walk_without_what_the_scheme_needs_is_told_what_is_missing() {
    with_app(async |app| {
        let (net, club, pitch) = club_with_pitch(&app).await;
        let mut body = full_walk(&pitch);
        body["readings"][5]["values"] = json!([]);
        body["readings"].as_array_mut().unwrap().remove(1);
        let problem = club.lead.post(&walks(&net), body.clone()).await.expect_problem(422, "criteria_missing");
        assert_eq!(problem["missing"], json!(["live_weeds", "root_depth"]));
        assert_eq!(problem["detail"], "Take at least one reading of: live weeds, root depth.");
        body["readings"] = json!([]);
        let problem = club.lead.post(&walks(&net), body).await.expect_problem(422, "criteria_missing");
        assert_eq!(problem["missing"].as_array().unwrap().len(), 9);
    });
}

#[test]
fn a_walk_lies_neither_ahead_nor_before_2000() {
    with_app(async |app| {
        let (net, club, pitch) = club_with_pitch(&app).await;
        let mut body = full_walk(&pitch);
        body["walked_on"] = json!(Utc::now().date_naive() + Days::new(2));
        let problem = club.lead.post(&walks(&net), body.clone()).await.expect_problem(422, "date_in_future");
        assert_eq!(problem["errors"][0]["field"], "walked_on");
        body["walked_on"] = json!("1999-12-31");
        let problem = club.lead.post(&walks(&net), body.clone()).await.expect_problem(422, "invalid");
        assert_eq!(problem["errors"][0]["field"], "walked_on");
        for day in [json!("2000-01-01"), json!(days_ago(0))] {
            body["walked_on"] = day;
            club.lead.post(&walks(&net), body.clone()).await.expect(201);
        }
    });
}

#[test]
fn today_is_the_day_of_the_networks_own_clocks() {
    with_app(async |app| {
        let (net, club, pitch) = club_with_pitch(&app).await;
        // London's summer time: half past midnight on 1 July.
        let now: DateTime<Utc> = "2026-06-30T23:30:00Z".parse().unwrap();
        let roles = vec![(Role::GroundsLead, Some(club.id))];
        let member = Member { network_id: net.id, person_id: club.lead.person_id, roles };
        for (day, taken) in [(1, true), (2, false)] {
            let mut tx = app.service.db.begin(Scope::Network(net.id)).await.unwrap();
            let body: CreateWalk = serde_json::from_value(full_walk(&pitch)).unwrap();
            let wish = CreateWalk { walked_on: NaiveDate::from_ymd_opt(2026, 7, day).unwrap(), ..body };
            assert_eq!(record(&mut tx, &member, wish, now).await.is_ok(), taken, "on {day} July");
        }
    });
}

#[test]
fn a_reading_that_is_no_number_is_refused_inside_as_well() {
    with_app(async |app| {
        let (net, club, pitch) = club_with_pitch(&app).await;
        let roles = vec![(Role::GroundsLead, Some(club.id))];
        let member = Member { network_id: net.id, person_id: club.lead.person_id, roles };
        for value in [f64::NAN, f64::INFINITY] {
            let mut wish: CreateWalk = serde_json::from_value(full_walk(&pitch)).unwrap();
            let criterion = CriterionKey::try_from("hardness".to_owned()).unwrap();
            wish.readings.push(CreateReadings { criterion, values: vec![value] });
            let mut tx = app.service.db.begin(Scope::Network(net.id)).await.unwrap();
            let error = record(&mut tx, &member, wish, Utc::now()).await.unwrap_err();
            assert!(error.to_string().starts_with("ReadingImpossible"), "{error}");
        }
    });
}

#[test]
fn a_walk_sent_twice_is_entered_once() {
    with_app(async |app| {
        let (net, club, pitch) = club_with_pitch(&app).await;
        let path = walks(&net);
        let key = [("Idempotency-Key", "one")];
        let body = full_walk(&pitch);
        let first = club.lead.send("POST", &path, Some(body.clone()), &key).await.expect(201);
        let again = club.lead.send("POST", &path, Some(body.clone()), &key).await.expect(201);
        assert_eq!(first, again);
        club.lead.send("POST", &path, Some(body), &[]).await.expect_problem(400, "idempotency_key_missing");
        // The phone's own id does the same when the key was lost.
        let mut minted = full_walk(&pitch);
        minted["walk_id"] = json!(Uuid::now_v7());
        let first = club.lead.post(&path, minted.clone()).await.expect(201);
        assert_eq!(first["walk_id"], minted["walk_id"]);
        minted["readings"].as_array_mut().unwrap().reverse();
        minted["note"] = json!("  Wet in the goal mouth. ");
        assert_eq!(club.lead.post(&path, minted).await.expect(201), first);
        assert_eq!(club.lead.get(&path).await.expect(200)["items"].as_array().unwrap().len(), 2);
    });
}

#[test]
fn a_walk_sent_eight_times_at_once_is_entered_once() {
    with_app(async |app| {
        let (net, club, pitch) = club_with_pitch(&app).await;
        let path = walks(&net);
        let mut body = full_walk(&pitch);
        body["walk_id"] = json!(Uuid::now_v7());
        let replies = join_all((0..8).map(|_| club.lead.post(&path, body.clone()))).await;
        let walks: Vec<_> = replies.into_iter().map(|reply| reply.expect(201)).collect();
        assert!(walks.iter().all(|walk| *walk == walks[0]));
        assert_eq!(club.lead.get(&path).await.expect(200)["items"].as_array().unwrap().len(), 1);
    });
}

#[test]
fn a_walk_sent_again_stands_even_when_the_scheme_has_changed() {
    with_app(async |app| {
        let (net, club, pitch) = club_with_pitch(&app).await;
        let mut body = full_walk(&pitch);
        body["walk_id"] = json!(Uuid::now_v7());
        let first = club.lead.post(&walks(&net), body.clone()).await.expect(201);
        score_cover_alone(&net).await;
        assert_eq!(club.lead.post(&walks(&net), body).await.expect(201), first);
    });
}

#[test]
fn an_id_that_is_taken_never_takes_other_content() {
    with_app(async |app| {
        let (net, club, pitch) = club_with_pitch(&app).await;
        let second_pitch = app.pitch(&net, &club, "Second").await;
        let mut body = full_walk(&pitch);
        body["walk_id"] = json!(Uuid::now_v7());
        let first = club.lead.post(&walks(&net), body.clone()).await.expect(201);
        for (part, other) in [
            ("/readings/0/values/0", json!(71.0)),
            ("/walked_on", json!(days_ago(4))),
            ("/note", json!("Dry.")),
            ("/pitch_id", json!(second_pitch)),
        ] {
            let mut changed = body.clone();
            *changed.pointer_mut(part).unwrap() = other;
            club.lead.post(&walks(&net), changed).await.expect_problem(409, "never_edited");
        }
        let path = format!("{}/{}", walks(&net), first["walk_id"].as_str().unwrap());
        assert_eq!(club.lead.get(&path).await.expect(200), first);
        body["walk_id"] = json!(Uuid::new_v4());
        let problem = club.lead.post(&walks(&net), body).await.expect_problem(422, "invalid");
        assert_eq!(problem["errors"][0]["field"], "walk_id");
    });
}

#[test]
fn what_is_entered_cannot_be_changed_by_sql_either() {
    with_app(async |app| {
        let (net, club, pitch) = club_with_pitch(&app).await;
        club.lead.post(&walks(&net), full_walk(&pitch)).await.expect(201);
        for (statement, constraint) in [
            ("UPDATE walks SET score = 100", "walks_immutable"),
            ("DELETE FROM walks", "walks_immutable"),
            ("UPDATE readings SET value = 99", "readings_immutable"),
            ("DELETE FROM readings", "readings_immutable"),
            ("UPDATE schemes SET version = 9", "schemes_immutable"),
            ("DELETE FROM scheme_criteria", "scheme_criteria_immutable"),
        ] {
            let mut tx = app.service.db.begin(Scope::Network(net.id)).await.unwrap();
            let Err(diesel::result::Error::DatabaseError(_, info)) = sql_query(statement).execute(&mut *tx).await
            else {
                panic!("{statement} went through");
            };
            assert_eq!(info.constraint_name(), Some(constraint), "{statement}");
        }
        let mut tx = app.service.db.begin(Scope::Network(net.id)).await.unwrap();
        assert!(sql_query("TRUNCATE readings").execute(&mut *tx).await.is_err());
    });
}

#[test]
fn whoever_may_not_walk_the_pitch_is_refused() {
    with_app(async |app| {
        let (net, club, pitch) = club_with_pitch(&app).await;
        let other = app.club(&net, "Barrow").await;
        let south = app.network("South").await;
        let path = walks(&net);
        for user in [&club.lead, &club.volunteer, &net.coordinator] {
            user.post(&path, full_walk(&pitch)).await.expect(201);
        }
        for user in [&club.treasurer, &other.lead, &other.volunteer] {
            user.post(&path, full_walk(&pitch)).await.expect_problem(403, "not_your_role");
        }
        south.coordinator.post(&path, full_walk(&pitch)).await.expect_problem(404, "not_found");
        south.coordinator.post(&walks(&south), full_walk(&pitch)).await.expect_problem(404, "not_found");
        club.lead.post(&path, full_walk(&Uuid::now_v7().to_string())).await.expect_problem(404, "not_found");
        app.stranger().post(&path, full_walk(&pitch)).await.expect_problem(401, "not_signed_in");
    });
}
