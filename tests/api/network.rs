//! The network: its size, its people, ending a membership.

use futures_util::future::join_all;
use serde_json::Value;
use turfring::access::Role;

use crate::harness::{Club, Net, User, with_app};

fn emails(page: &Value) -> Vec<&str> {
    page["items"].as_array().unwrap().iter().map(|person| person["email"].as_str().unwrap()).collect()
}

async fn place(net: &Net, email: &str) -> String {
    let people = net.coordinator.get(&format!("{}/people?limit=200", net.path)).await.expect(200);
    let person = people["items"].as_array().unwrap().iter().find(|person| person["email"] == email).unwrap();
    format!("{}/memberships/{}", net.path, person["roles"][0]["membership_id"].as_str().unwrap())
}

fn everyone(club: &Club) -> [&User; 3] {
    [&club.lead, &club.treasurer, &club.volunteer]
}

#[test]
fn the_network_says_how_large_it_is() {
    with_app(async |app| {
        let net = app.network("North").await;
        let club = app.club(&net, "Mallow").await;
        app.pitch(&net, &club, "First").await;
        // A second role makes nobody a second person.
        app.db_member(net.id, &club.lead.email, Role::Treasurer, Some(club.id)).await;
        let shown = club.volunteer.get(&net.path).await.expect(200);
        insta::assert_json_snapshot!(shown, {".network_id" => "[id]"}, @r#"
        {
          "network_id": "[id]",
          "name": "North",
          "time_zone": "Europe/London",
          "club_count": 1,
          "pitch_count": 1,
          "machine_count": 0,
          "people_count": 4
        }
        "#);
        app.stranger().get(&net.path).await.expect_problem(401, "not_signed_in");
        let south = app.network("South").await;
        south.coordinator.get(&net.path).await.expect_problem(404, "not_found");
    });
}

#[test]
fn a_coordinator_sees_everybody_and_a_club_its_own_people() {
    with_app(async |app| {
        let net = app.network("North").await;
        let (own, other) = (app.club(&net, "Mallow").await, app.club(&net, "Nettle").await);
        // The same person helps at the other club, which is no business of this one.
        app.db_member(net.id, &own.volunteer.email, Role::Volunteer, Some(other.id)).await;
        let path = format!("{}/people", net.path);
        let all = net.coordinator.get(&path).await.expect(200);
        assert_eq!(emails(&all).len(), 7);
        for user in [&own.lead, &own.treasurer] {
            let seen = user.get(&path).await.expect(200);
            assert_eq!(emails(&seen), ["lead@mallow.test", "treasurer@mallow.test", "volunteer@mallow.test"]);
            assert_eq!(seen["items"][2]["roles"].as_array().unwrap().len(), 1);
        }
        own.volunteer.get(&path).await.expect_problem(403, "not_your_role");
        app.stranger().get(&path).await.expect_problem(401, "not_signed_in");
        let redacted = own.lead.get(&format!("{path}?limit=1")).await.expect(200);
        insta::assert_json_snapshot!(redacted["items"], {
            "[].person_id" => "[id]", "[].roles[].membership_id" => "[id]", "[].roles[].club_id" => "[id]",
        }, @r#"
        [
          {
            "person_id": "[id]",
            "name": "lead",
            "email": "lead@mallow.test",
            "roles": [
              {
                "membership_id": "[id]",
                "role": "grounds_lead",
                "club_id": "[id]",
                "club_name": "Mallow"
              }
            ]
          }
        ]
        "#);
    });
}

#[test]
fn people_of_one_name_are_each_listed_once() {
    with_app(async |app| {
        let net = app.network("North").await;
        for n in 0..5 {
            app.db_member(net.id, &format!("same@{n}.test"), Role::Coordinator, None).await;
        }
        let mut seen = Vec::new();
        let mut cursor = String::new();
        loop {
            let page = net.coordinator.get(&format!("{}/people?limit=2{cursor}", net.path)).await.expect(200);
            seen.extend(emails(&page).into_iter().map(str::to_owned));
            let Some(next) = page["next_cursor"].as_str() else { break };
            cursor = format!("&cursor={next}");
        }
        seen.sort();
        seen.dedup();
        assert_eq!(seen.len(), 6);
    });
}

#[test]
fn a_membership_ended_takes_the_role_away_at_once() {
    with_app(async |app| {
        let net = app.network("North").await;
        let club = app.club(&net, "Mallow").await;
        let path = place(&net, &club.volunteer.email).await;
        club.volunteer.get(&net.path).await.expect(200);
        club.lead.delete(&path).await.expect(204);
        club.volunteer.get(&net.path).await.expect_problem(404, "not_found");
        club.lead.delete(&path).await.expect_problem(404, "not_found");
    });
}

#[test]
fn who_may_end_a_membership_follows_the_role() {
    with_app(async |app| {
        let net = app.network("North").await;
        let (own, other) = (app.club(&net, "Mallow").await, app.club(&net, "Nettle").await);
        let coordinator = place(&net, &net.coordinator.email).await;
        let lead = place(&net, &own.lead.email).await;
        for user in everyone(&own) {
            user.delete(&coordinator).await.expect_problem(403, "not_your_role");
        }
        for user in [&own.treasurer, &own.volunteer, &other.lead] {
            user.delete(&lead).await.expect_problem(403, "not_your_role");
        }
        app.stranger().delete(&lead).await.expect_problem(401, "not_signed_in");
        let south = app.network("South").await;
        south.coordinator.delete(&lead).await.expect_problem(404, "not_found");
        let through_south = lead.replace(&net.path, &south.path);
        south.coordinator.delete(&through_south).await.expect_problem(404, "not_found");
        net.coordinator.delete(&lead).await.expect(204);
    });
}

#[test]
fn the_last_coordinator_stays_however_many_leave_at_once() {
    with_app(async |app| {
        let net = app.network("North").await;
        net.coordinator
            .delete(&place(&net, &net.coordinator.email).await)
            .await
            .expect_problem(409, "last_coordinator");
        let mut leaving = Vec::new();
        for n in 0..4 {
            let email = format!("another{n}@north.test");
            let user = app.db_member(net.id, &email, Role::Coordinator, None).await;
            leaving.push((user, place(&net, &email).await));
        }
        leaving.push((net.coordinator.clone(), place(&net, &net.coordinator.email).await));
        let mut statuses: Vec<u16> =
            join_all(leaving.iter().map(|(user, path)| async move { user.delete(path).await.status })).await;
        statuses.sort_unstable();
        assert_eq!(statuses, [204, 204, 204, 204, 409]);
    });
}
