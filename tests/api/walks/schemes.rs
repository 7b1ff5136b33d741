//! The scoring scheme: versions, lost updates, refusals.

use futures_util::future::join_all;
use serde_json::{Value, json};

use super::{club_with_pitch, cover_scheme, full_walk, score_cover_alone, walks};
use crate::harness::with_app;

#[test]
fn a_network_starts_with_a_scheme_that_says_it_is_an_opinion() {
    with_app(async |app| {
        let (net, club, _) = club_with_pitch(&app).await;
        let reply = club.volunteer.get(&format!("{}/schemes/current", net.path)).await;
        assert_eq!(reply.etag.as_deref(), Some("\"v1\""));
        let scheme = reply.expect(200);
        assert!(scheme["note"].as_str().unwrap().contains("our own opinion"));
        assert_eq!(scheme["criteria"].as_array().unwrap().len(), 9);
        insta::assert_json_snapshot!(scheme["criteria"][2], @r#"
        {
          "criterion": "bare_ground",
          "name": "Bare ground",
          "unit": "%",
          "weight": 15.0,
          "points": [
            {
              "measured": 2.0,
              "score": 100.0
            },
            {
              "measured": 15.0,
              "score": 60.0
            },
            {
              "measured": 40.0,
              "score": 0.0
            }
          ]
        }
        "#);
    });
}

#[test]
fn a_change_makes_a_version_and_walks_keep_theirs() {
    with_app(async |app| {
        let (net, club, pitch) = club_with_pitch(&app).await;
        let before = club.lead.post(&walks(&net), full_walk(&pitch)).await.expect(201);
        let path = format!("{}/schemes/current", net.path);
        let reply = net.coordinator.put(&path, 1, cover_scheme()).await;
        assert_eq!(reply.etag.as_deref(), Some("\"v2\""));
        let changed = reply.expect(200);
        assert_eq!((changed["version"].as_i64(), changed["note"].as_str()), (Some(2), Some("Cover is all.")));
        assert_eq!(club.lead.get(&path).await.expect(200), changed);
        let old = format!("{}/{}", walks(&net), before["walk_id"].as_str().unwrap());
        assert_eq!(club.lead.get(&old).await.expect(200), before);
        let after = club.lead.post(&walks(&net), full_walk(&pitch)).await.expect(201);
        assert_eq!((before["scheme_version"].as_i64(), after["scheme_version"].as_i64()), (Some(1), Some(2)));
        assert_ne!(before["score"], after["score"]);
    });
}

#[test]
fn versions_are_listed_newest_first() {
    with_app(async |app| {
        let (net, club, _) = club_with_pitch(&app).await;
        score_cover_alone(&net).await;
        let path = format!("{}/schemes?limit=1", net.path);
        let first = club.treasurer.get(&path).await.expect(200);
        insta::assert_json_snapshot!(first["items"], {"[].created_at" => "[instant]"}, @r#"
        [
          {
            "version": 2,
            "note": "Cover is all.",
            "created_at": "[instant]",
            "created_by_name": "coordinator"
          }
        ]
        "#);
        let second = format!("{path}&cursor={}", first["next_cursor"].as_str().unwrap());
        let second = club.treasurer.get(&second).await.expect(200);
        assert_eq!((second["items"][0]["version"].as_i64(), second["next_cursor"].as_str()), (Some(1), None));
        assert_eq!(second["items"][0]["created_by_name"], json!(null));
    });
}

#[test]
fn a_change_over_an_unseen_change_is_refused() {
    with_app(async |app| {
        let net = app.network("North").await;
        let path = format!("{}/schemes/current", net.path);
        score_cover_alone(&net).await;
        net.coordinator.put(&path, 1, cover_scheme()).await.expect_problem(412, "changed_meanwhile");
        net.coordinator.put(&path, 3, cover_scheme()).await.expect_problem(412, "changed_meanwhile");
        net.coordinator.put_plain(&path, cover_scheme()).await.expect_problem(428, "if_match_missing");
        assert_eq!(net.coordinator.get(&path).await.expect(200)["version"], 2);
    });
}

#[test]
fn of_eight_changes_at_once_one_is_kept() {
    with_app(async |app| {
        let net = app.network("North").await;
        let path = format!("{}/schemes/current", net.path);
        let replies = join_all((0..8).map(|_| net.coordinator.put(&path, 1, cover_scheme()))).await;
        let (kept, refused): (Vec<_>, Vec<_>) = replies.into_iter().partition(|reply| reply.status == 200);
        assert_eq!((kept.len(), refused.len()), (1, 7));
        for reply in refused {
            reply.expect_problem(412, "changed_meanwhile");
        }
        assert_eq!(net.coordinator.get(&path).await.expect(200)["version"], 2);
    });
}

#[test]
fn a_scheme_that_makes_no_sense_is_refused_on_its_field() {
    with_app(async |app| {
        let net = app.network("North").await;
        let path = format!("{}/schemes/current", net.path);
        let point = |measured: f64, score: f64| json!({"measured": measured, "score": score});
        let weeds = json!({"criterion": "live_weeds", "weight": 1.0, "points": [point(0.0, 100.0), point(50.0, 0.0)]});
        let with = |change: &dyn Fn(&mut Value)| {
            let mut body = cover_scheme();
            body["criteria"].as_array_mut().unwrap().insert(0, weeds.clone());
            change(&mut body["criteria"][1]);
            body
        };
        let many: Vec<_> = (0..51).map(|place| point(f64::from(place), 0.0)).collect();
        for (body, field) in [
            (json!({"note": "", "criteria": []}), "criteria"),
            (json!({"note": "long ".repeat(500), "criteria": [weeds]}), "note"),
            (with(&|each| *each = weeds.clone()), "criteria.1.criterion"),
            (with(&|each| each["weight"] = json!(0.0)), "criteria.1.weight"),
            (with(&|each| each["weight"] = json!(1000.5)), "criteria"),
            (with(&|each| each["points"] = json!([point(0.0, 0.0)])), "criteria.1.points"),
            (with(&|each| each["points"] = json!([point(5.0, 0.0), point(5.0, 9.0)])), "criteria.1.points"),
            (with(&|each| each["points"] = json!([point(5.0, 0.0), point(6.0, 100.5)])), "criteria.1.points"),
            (with(&|each| each["points"] = json!(many)), "criteria.1.points"),
        ] {
            let problem = net.coordinator.put(&path, 1, body).await.expect_problem(422, "invalid");
            assert_eq!(problem["errors"][0]["field"], field, "{problem}");
        }
        let unknown = with(&|each| each["criterion"] = json!("colour"));
        net.coordinator.put(&path, 1, unknown).await.expect_problem(400, "unreadable");
        assert_eq!(net.coordinator.get(&path).await.expect(200)["version"], 1);
    });
}

#[test]
fn only_the_coordinator_changes_the_scheme_and_members_read_it() {
    with_app(async |app| {
        let (net, club, _) = club_with_pitch(&app).await;
        let south = app.network("South").await;
        let path = format!("{}/schemes/current", net.path);
        let list = format!("{}/schemes", net.path);
        for user in [&club.lead, &club.treasurer, &club.volunteer] {
            user.put(&path, 1, cover_scheme()).await.expect_problem(403, "not_your_role");
            user.get(&path).await.expect(200);
            user.get(&list).await.expect(200);
        }
        south.coordinator.put(&path, 1, cover_scheme()).await.expect_problem(404, "not_found");
        south.coordinator.get(&path).await.expect_problem(404, "not_found");
        south.coordinator.get(&list).await.expect_problem(404, "not_found");
        app.stranger().put(&path, 1, cover_scheme()).await.expect_problem(401, "not_signed_in");
        app.stranger().get(&path).await.expect_problem(401, "not_signed_in");
        app.stranger().get(&list).await.expect_problem(401, "not_signed_in");
        // A change in one network leaves the other's scheme alone.
        score_cover_alone(&net).await;
        let theirs = south.coordinator.get(&format!("{}/schemes/current", south.path)).await.expect(200);
        assert_eq!(theirs["version"], 1);
    });
}
