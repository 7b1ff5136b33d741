//! What needs a person: who is told what.
//!
//! Bookings and orders are put in place directly: what counts here is how far away they are, not how they came about.

use chrono::{Days, Utc};
use serde_json::{Value, json};
use turfring::access::Role;
use turfring::ids::ClubId;
use uuid::Uuid;

use crate::direct::{db_booking, db_close, db_machine, db_order, db_sql};
use crate::harness::{Net, User, with_app};
use crate::shed::{aerator, hired_round, place};

async fn needs(net: &Net, user: &User) -> Vec<Value> {
    let needs = user.get(&format!("{}/needs", net.path)).await.expect(200);
    needs["items"].as_array().unwrap().clone()
}

/// Kind and sentence of each need of one kind.
async fn told(net: &Net, user: &User, kind: &str) -> Vec<String> {
    let needs = needs(net, user).await.into_iter().filter(|need| need["kind"] == kind);
    needs.map(|need| need["sentence"].as_str().unwrap().to_owned()).collect()
}

async fn walk(net: &Net, user: &User, pitch: &str, days_ago: u64) {
    let values = |criterion: &str| json!({"criterion": criterion, "values": [10.0, 11.0]});
    let criteria =
        ["ground_cover", "live_weeds", "bare_ground", "sward_height", "evenness", "root_depth", "stick_penetration"];
    let walk = json!({
        "walk_id": null, "pitch_id": pitch, "walked_on": Utc::now().date_naive() - Days::new(days_ago), "note": "",
        "readings": criteria.map(values),
    });
    user.post(&format!("{}/walks", net.path), walk).await.expect(201);
}

#[test]
fn an_empty_network_is_told_how_to_begin() {
    with_app(async |app| {
        let net = app.network("North").await;
        insta::assert_json_snapshot!(needs(&net, &net.coordinator).await, @r#"
        [
          {
            "kind": "first_steps",
            "sentence": "Add the clubs of your network, one by one or from a spreadsheet.",
            "href": "/network",
            "due_at": null
          },
          {
            "kind": "first_steps",
            "sentence": "Add the machines your clubs share.",
            "href": "/machines/new",
            "due_at": null
          },
          {
            "kind": "first_steps",
            "sentence": "Enter suppliers and products, so that your clubs can order together.",
            "href": "/network/suppliers",
            "due_at": null
          },
          {
            "kind": "first_steps",
            "sentence": "Open the first pooled order.",
            "href": "/orders/new",
            "due_at": null
          }
        ]
        "#);
        let club = app.club(&net, "Mallow").await;
        let steps = told(&net, &net.coordinator, "first_steps").await;
        assert!(steps[0].contains("machines"), "a club is there now: {steps:?}");
        assert_eq!(told(&net, &club.lead, "first_steps").await, ["Enter the grounds and pitches of Mallow."]);
        app.pitch(&net, &club, "First").await;
        assert!(told(&net, &club.lead, "first_steps").await.is_empty());
        assert!(needs(&net, &club.treasurer).await.is_empty());
    });
}

#[test]
fn a_coordinator_is_told_of_bookings_to_answer_and_nobody_else_is() {
    with_app(async |app| {
        let net = app.network("North").await;
        let club = app.club(&net, "Mallow").await;
        let spiker = db_machine(&app, &net, "Spiker").await;
        db_booking(&app, &net, spiker, &club, "asked", 30).await;
        db_booking(&app, &net, spiker, &club, "asked", -3).await;
        db_booking(&app, &net, spiker, &club, "agreed", 40).await;
        let asked = told(&net, &net.coordinator, "booking_to_agree").await;
        assert_eq!(asked.len(), 1, "the past needs no answer: {asked:?}");
        assert!(asked[0].starts_with("Mallow asks for Spiker: ") && asked[0].ends_with(", all day."), "{asked:?}");
        assert!(told(&net, &club.lead, "booking_to_agree").await.is_empty());
    });
}

#[test]
fn a_clubs_people_are_told_of_its_bookings_ten_days_ahead() {
    with_app(async |app| {
        let net = app.network("North").await;
        let (own, other) = (app.club(&net, "Mallow").await, app.club(&net, "Nettle").await);
        let spiker = db_machine(&app, &net, "Spiker").await;
        for (state, days_ahead) in [("agreed", 20), ("agreed", 5), ("agreed", -5), ("cancelled", 7), ("asked", 8)] {
            db_booking(&app, &net, spiker, &own, state, days_ahead).await;
        }
        for user in [&own.lead, &own.treasurer, &own.volunteer] {
            let soon = told(&net, user, "booking_soon").await;
            assert_eq!(soon.len(), 1, "{soon:?}");
            assert!(soon[0].starts_with("Spiker comes to Mallow: "), "{soon:?}");
        }
        let need = needs(&net, &own.volunteer).await.remove(0);
        assert!(need["href"].as_str().unwrap().starts_with("/bookings/") && need["due_at"].is_string());
        for user in [&other.lead, &net.coordinator] {
            assert!(told(&net, user, "booking_soon").await.is_empty());
        }
    });
}

#[test]
fn orders_remind_those_with_a_line_and_invite_those_without() {
    with_app(async |app| {
        let net = app.network("North").await;
        let (own, other) = (app.club(&net, "Mallow").await, app.club(&net, "Nettle").await);
        db_order(&app, &net, "Sand for May", "3 days", Some(&own)).await;
        db_order(&app, &net, "Seed for August", "30 days", Some(&own)).await;
        db_order(&app, &net, "Feed for March", "-1 day", None).await;
        let closing = ["“Sand for May” closes soon: is the quantity of Mallow still right?"];
        for user in [&own.lead, &own.treasurer] {
            assert_eq!(told(&net, user, "order_closing").await, closing);
            assert!(told(&net, user, "order_without_us").await.is_empty());
        }
        let without =
            ["“Sand for May” gathers without Nettle so far.", "“Seed for August” gathers without Nettle so far."];
        assert_eq!(told(&net, &other.lead, "order_without_us").await, without);
        for user in [&own.volunteer, &other.treasurer, &other.volunteer, &net.coordinator] {
            assert!(told(&net, user, "order_closing").await.is_empty());
            assert!(told(&net, user, "order_without_us").await.is_empty());
        }
    });
}

#[test]
fn a_round_is_told_to_leads_whose_club_has_not_asked() {
    with_app(async |app| {
        let net = app.network("North").await;
        let (own, other) = (app.club(&net, "Mallow").await, app.club(&net, "Nettle").await);
        let pitch = app.pitch(&net, &own, "First").await;
        let seen = own.lead.get(&format!("{}/pitches/{pitch}", net.path)).await.expect(200);
        let machine = net.coordinator.post(&format!("{}/machines", net.path), aerator(json!({}))).await.expect(201);
        let yard = json!({"name": "The hire yard", "email": null, "phone": null, "note": ""});
        let yard = net.coordinator.post(&format!("{}/suppliers", net.path), yard).await.expect(201);
        let text = |value: &Value, name: &str| value[name].as_str().unwrap().to_owned();
        let round = hired_round(&text(&machine, "machine_id"), &text(&yard, "supplier_id"));
        let round = net.coordinator.post(&format!("{}/rounds", net.path), round).await.expect(201);
        let asks = format!("{}/rounds/{}/requests", net.path, text(&round, "round_id"));
        let wish = place((&own.id.to_string(), &text(&seen, "ground_id"), &pitch));
        own.lead.post(&asks, wish).await.expect(201);
        let not_asked = ["“Aerator in May” takes requests: Nettle has not asked for a place."];
        assert_eq!(told(&net, &other.lead, "round_without_us").await, not_asked);
        for user in [&own.lead, &other.treasurer, &other.volunteer, &net.coordinator] {
            assert!(told(&net, user, "round_without_us").await.is_empty());
        }
    });
}

#[test]
fn a_treasurer_is_told_what_the_club_owes_until_it_is_settled() {
    with_app(async |app| {
        let net = app.network("North").await;
        let (own, other) = (app.club(&net, "Mallow").await, app.club(&net, "Nettle").await);
        let order = db_order(&app, &net, "Sand for May", "1 hour", Some(&own)).await;
        db_close(&app, &net, order, &own).await;
        assert_eq!(told(&net, &own.treasurer, "share_owed").await, ["Mallow owes £1,412.50 for “Sand for May”."]);
        for user in [&own.lead, &own.volunteer, &other.treasurer, &net.coordinator] {
            assert!(told(&net, user, "share_owed").await.is_empty());
        }
        db_sql(&app, &format!("UPDATE pooled_orders SET state = 'settled' WHERE id = '{order}'")).await;
        assert!(needs(&net, &own.treasurer).await.is_empty());
    });
}

#[test]
fn a_coordinator_is_told_of_closed_orders_until_they_are_placed() {
    with_app(async |app| {
        let net = app.network("North").await;
        let own = app.club(&net, "Mallow").await;
        let order = db_order(&app, &net, "Sand for May", "1 hour", Some(&own)).await;
        assert!(told(&net, &net.coordinator, "order_to_place").await.is_empty());
        db_close(&app, &net, order, &own).await;
        let place = ["“Sand for May” has closed: place it with the supplier."];
        assert_eq!(told(&net, &net.coordinator, "order_to_place").await, place);
        assert!(told(&net, &own.lead, "order_to_place").await.is_empty());
        db_sql(&app, &format!("UPDATE pooled_orders SET state = 'placed' WHERE id = '{order}'")).await;
        assert!(told(&net, &net.coordinator, "order_to_place").await.is_empty());
    });
}

#[test]
fn pitches_not_walked_for_long_are_named_to_those_who_walk() {
    with_app(async |app| {
        let net = app.network("North").await;
        let (own, other) = (app.club(&net, "Mallow").await, app.club(&net, "Nettle").await);
        let [fresh, old, _never] = [
            app.pitch(&net, &own, "Fresh").await,
            app.pitch(&net, &own, "Old").await,
            app.pitch(&net, &own, "New").await,
        ];
        walk(&net, &own.lead, &fresh, 119).await;
        walk(&net, &own.lead, &old, 400).await;
        walk(&net, &own.lead, &old, 130).await;
        for user in [&own.lead, &own.volunteer] {
            let unwalked = told(&net, user, "pitch_unwalked").await;
            assert_eq!(
                unwalked,
                [
                    "New of Mallow has never been walked: walk it to see where it stands.",
                    "Old of Mallow was last walked 130 days ago: walk it to see where it stands.",
                ]
            );
        }
        let need = needs(&net, &own.volunteer).await.remove(1);
        assert_eq!((need["href"].as_str(), &need["due_at"]), (Some(&*format!("/pitches/{old}/walk")), &Value::Null));
        for user in [&own.treasurer, &other.lead, &net.coordinator] {
            assert!(told(&net, user, "pitch_unwalked").await.is_empty());
        }
    });
}

#[test]
fn missing_people_are_asked_for_until_somebody_is_invited() {
    with_app(async |app| {
        let net = app.network("North").await;
        let clubs = format!("{}/clubs", net.path);
        let mut ids = Vec::new();
        for name in ["Mallow", "Nettle"] {
            let made = net.coordinator.post(&clubs, json!({"name": name, "sharing": "named"})).await.expect(201);
            ids.push(made["club_id"].as_str().unwrap().to_owned());
        }
        let missing = async || told(&net, &net.coordinator, "invite_people").await;
        assert_eq!(missing().await, ["2 clubs have no grounds lead yet: invite them."]);
        let invite = async |user: &User, role: &str| {
            let body = json!({"email": "x@mallow.test", "name": "X", "role": role, "club_id": ids[0]});
            user.post(&format!("{}/invitations", net.path), body).await.expect(201)
        };
        invite(&net.coordinator, "grounds_lead").await;
        assert_eq!(missing().await, ["Nettle has no grounds lead yet: invite one."]);
        let lead = app
            .db_member(net.id, "lead@mallow.test", Role::GroundsLead, Some(ids[0].parse().map(ClubId).unwrap()))
            .await;
        let sentence = "Mallow has no treasurer here yet: invite whoever keeps the money.";
        assert_eq!(told(&net, &lead, "invite_people").await, [sentence]);
        let invited = invite(&lead, "treasurer").await;
        assert!(told(&net, &lead, "invite_people").await.is_empty());
        lead.delete(&format!("{}/invitations/{}", net.path, invited["invitation_id"].as_str().unwrap()))
            .await
            .expect(204);
        assert_eq!(told(&net, &lead, "invite_people").await, [sentence]);
        app.run_jobs().await;
    });
}

#[test]
fn mail_that_could_not_be_sent_is_told_to_the_coordinator_for_two_weeks() {
    with_app(async |app| {
        let (net, south) = (app.network("North").await, app.network("South").await);
        let club = app.club(&net, "Mallow").await;
        let park = async |days_ago: u8| {
            let sql = format!(
                "INSERT INTO jobs (id, network_id, kind, payload, state, run_at, finished_at) VALUES ('{}', '{}', \
                 'send_mail', '{{}}', 'parked', now(), now() - interval '{days_ago} days')",
                Uuid::now_v7(),
                net.id
            );
            db_sql(&app, &sql).await;
        };
        park(15).await;
        assert!(told(&net, &net.coordinator, "mail_parked").await.is_empty());
        park(13).await;
        let sentence = "A mail could not be sent: look whether the address is right.";
        assert_eq!(told(&net, &net.coordinator, "mail_parked").await, [sentence]);
        for user in [&club.lead, &club.treasurer, &club.volunteer] {
            assert!(told(&net, user, "mail_parked").await.is_empty());
        }
        assert!(told(&south, &south.coordinator, "mail_parked").await.is_empty());
    });
}

#[test]
fn needs_with_a_time_come_first_in_its_order() {
    with_app(async |app| {
        let net = app.network("North").await;
        let club = app.club(&net, "Mallow").await;
        app.pitch(&net, &club, "First").await;
        let spiker = db_machine(&app, &net, "Spiker").await;
        db_order(&app, &net, "Sand for May", "6 days", None).await;
        db_booking(&app, &net, spiker, &club, "agreed", 9).await;
        db_booking(&app, &net, spiker, &club, "agreed", 2).await;
        let kinds: Vec<_> =
            needs(&net, &club.lead).await.iter().map(|need| need["kind"].as_str().unwrap().to_owned()).collect();
        assert_eq!(kinds, ["booking_soon", "order_without_us", "booking_soon", "pitch_unwalked"]);
        app.stranger().get(&format!("{}/needs", net.path)).await.expect_problem(401, "not_signed_in");
        let south = app.network("South").await;
        south.coordinator.get(&format!("{}/needs", net.path)).await.expect_problem(404, "not_found");
    });
}
