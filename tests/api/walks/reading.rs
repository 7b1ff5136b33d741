//! Reading walks and criteria: who sees which, in what order.

use diesel::sql_query;
use diesel_async::RunQueryDsl;
use serde_json::json;
use turfring::database;
use uuid::Uuid;

use super::{club_with_pitch, days_ago, full_walk, walks};
use crate::harness::with_app;

#[test]
fn every_criterion_says_how_it_is_measured() {
    with_app(async |app| {
        let (net, club, _) = club_with_pitch(&app).await;
        let south = app.network("South").await;
        let path = format!("{}/criteria", net.path);
        let criteria = club.treasurer.get(&path).await.expect(200);
        assert_eq!(criteria["items"].as_array().unwrap().len(), 9);
        insta::assert_json_snapshot!(criteria["items"][0], @r#"
        {
          "criterion": "ground_cover",
          "name": "Ground cover",
          "unit": "%",
          "method": "EN 12231",
          "how": "Lay down a one-metre square of string crossed into a hundred small squares, and count those that are mostly living grass.",
          "optional": false,
          "lowest": 0.0,
          "highest": 100.0,
          "plausible_low": 20.0,
          "plausible_high": 100.0,
          "recommended_readings": 25,
          "recommended_by": "EN 12231",
          "first_scale_basis": "bands recalled from memory, not confirmed"
        }
        "#);
        south.coordinator.get(&path).await.expect_problem(404, "not_found");
        app.stranger().get(&path).await.expect_problem(401, "not_signed_in");
    });
}

#[test]
fn walks_are_listed_newest_first_page_by_page() {
    with_app(async |app| {
        let (net, club, pitch) = club_with_pitch(&app).await;
        for days in [30, 5, 90, 5] {
            let mut body = full_walk(&pitch);
            body["walked_on"] = json!(days_ago(days));
            club.lead.post(&walks(&net), body).await.expect(201);
        }
        let path = format!("{}?pitch_id={pitch}&limit=3", walks(&net));
        let first = club.lead.get(&path).await.expect(200);
        let second = format!("{path}&cursor={}", first["next_cursor"].as_str().unwrap());
        let second = club.lead.get(&second).await.expect(200);
        assert_eq!(second["next_cursor"], json!(null));
        let walks: Vec<_> = [&first, &second].iter().flat_map(|page| page["items"].as_array().unwrap()).collect();
        let days: Vec<_> = walks.iter().map(|walk| walk["walked_on"].clone()).collect();
        assert_eq!(json!(days), json!([days_ago(5), days_ago(5), days_ago(30), days_ago(90)]));
        // Of one day the one entered later is the newer.
        assert!(walks[0]["walk_id"].as_str() > walks[1]["walk_id"].as_str());
        assert_eq!(walks[0]["criteria"][0]["values"], json!([70.0, 80.0, 90.0]));
        club.lead.get(&format!("{}?cursor=nonsense", super::walks(&net))).await.expect_problem(400, "unreadable");
    });
}

#[test]
fn a_clubs_people_see_its_walks_and_the_coordinator_sees_all() {
    with_app(async |app| {
        let (net, club, pitch) = club_with_pitch(&app).await;
        let other = app.club(&net, "Barrow").await;
        let other_pitch = app.pitch(&net, &other, "Main").await;
        let walk = club.lead.post(&walks(&net), full_walk(&pitch)).await.expect(201);
        other.lead.post(&walks(&net), full_walk(&other_pitch)).await.expect(201);
        let one = format!("{}/{}", walks(&net), walk["walk_id"].as_str().unwrap());
        let of_pitch = format!("{}?pitch_id={pitch}", walks(&net));
        for user in [&club.lead, &club.treasurer, &club.volunteer, &net.coordinator] {
            assert_eq!(user.get(&one).await.expect(200), walk);
            assert_eq!(user.get(&of_pitch).await.expect(200)["items"], json!([walk]));
        }
        for user in [&other.lead, &other.treasurer, &other.volunteer] {
            user.get(&one).await.expect_problem(403, "not_your_role");
            user.get(&of_pitch).await.expect_problem(403, "not_your_role");
            let seen = user.get(&walks(&net)).await.expect(200);
            assert_eq!(seen["items"].as_array().unwrap().len(), 1);
            assert_eq!(seen["items"][0]["club_name"], "Barrow");
        }
        let all = net.coordinator.get(&walks(&net)).await.expect(200);
        assert_eq!(all["items"].as_array().unwrap().len(), 2);
    });
}

#[test]
fn absent_walks_and_those_of_another_network_are_not_there() {
    with_app(async |app| {
        let (net, club, pitch) = club_with_pitch(&app).await;
        let south = app.network("South").await;
        let walk = club.lead.post(&walks(&net), full_walk(&pitch)).await.expect(201);
        let id = walk["walk_id"].as_str().unwrap();
        south.coordinator.get(&format!("{}/{id}", walks(&net))).await.expect_problem(404, "not_found");
        south.coordinator.get(&format!("{}/{id}", walks(&south))).await.expect_problem(404, "not_found");
        let of_pitch = format!("{}?pitch_id={pitch}", walks(&south));
        south.coordinator.get(&of_pitch).await.expect_problem(404, "not_found");
        assert_eq!(south.coordinator.get(&walks(&south)).await.expect(200)["items"], json!([]));
        let absent = Uuid::now_v7();
        club.lead.get(&format!("{}/{absent}", walks(&net))).await.expect_problem(404, "not_found");
        club.lead.get(&format!("{}?pitch_id={absent}", walks(&net))).await.expect_problem(404, "not_found");
        app.stranger().get(&format!("{}/{id}", walks(&net))).await.expect_problem(401, "not_signed_in");
        app.stranger().get(&walks(&net)).await.expect_problem(401, "not_signed_in");
    });
}

#[test]
fn a_walk_outlives_its_walkers_membership() {
    with_app(async |app| {
        let (net, club, pitch) = club_with_pitch(&app).await;
        let walk = club.volunteer.post(&walks(&net), full_walk(&pitch)).await.expect(201);
        assert_eq!(walk["walked_by_name"], "volunteer");
        let mut owner = database::connect_as_owner(&app.owner_url).await.unwrap();
        let leave = format!("DELETE FROM memberships WHERE person_id = '{}'", club.volunteer.person_id);
        sql_query(leave).execute(&mut owner).await.unwrap();
        let path = format!("{}/{}", walks(&net), walk["walk_id"].as_str().unwrap());
        assert_eq!(club.lead.get(&path).await.expect(200)["walked_by_name"], "somebody who has left");
    });
}
