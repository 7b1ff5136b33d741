//! A plan is put to its clubs, taken back, called off.

use chrono::{TimeDelta, Utc};
use serde_json::json;
use turfring::jobs;
use uuid::Uuid;

use super::{Round, settings, text};
use crate::bookings_races::count;
use crate::direct::db_sql;
use crate::harness::with_app;
use crate::shed::monday;

#[test]
fn each_offering_that_cannot_be_is_refused_and_nobody_is_mailed() {
    with_app(async |app| {
        let round = Round::gathering(&app, 2).await;
        round.offer(Uuid::now_v7()).await.expect_problem(409, "round_step_not_allowed");
        let plan = round.db_chosen(&app, 2).await;
        let path = format!("{}/offers", round.path);
        for who in [&round.clubs[0].lead, &round.clubs[0].treasurer, &round.clubs[0].volunteer] {
            who.post(&path, Round::offer_body(plan)).await.expect_problem(403, "not_your_role");
        }
        let south = app.network("South").await;
        south.coordinator.post(&path, Round::offer_body(plan)).await.expect_problem(404, "not_found");
        app.stranger().post(&path, Round::offer_body(plan)).await.expect_problem(401, "not_signed_in");
        round.offer(Uuid::now_v7()).await.expect_problem(409, "plan_not_ready");
        let begins = monday().and_hms_opt(1, 0, 0).unwrap().and_utc();
        for answer_by in [Utc::now() - TimeDelta::minutes(1), begins] {
            let mut body = Round::offer_body(plan);
            body["answer_by"] = json!(answer_by);
            let refused = round.net.coordinator.post(&path, body).await.expect_problem(422, "invalid");
            assert_eq!(refused["errors"][0]["field"], "answer_by");
        }
        db_sql(&app, "UPDATE grounds SET latitude_deg = 53.3 WHERE name LIKE 'Marl%'").await;
        round.offer(plan).await.expect_problem(409, "plan_stale");
        db_sql(&app, "UPDATE grounds SET latitude_deg = 53.2; UPDATE machines SET retired = true").await;
        let refused = round.offer(plan).await.expect_problem(409, "plan_stale");
        assert_eq!(refused["detail"], "Deep-tine aerator is retired. Have it planned again.");
        db_sql(&app, "UPDATE machines SET retired = false; DELETE FROM plan_blocks").await;
        round.offer(plan).await.expect_problem(409, "plan_not_ready");
        assert_eq!(count(&app, "SELECT count(*) FROM round_offers").await, 0);
        assert_eq!(app.run_jobs().await, 0);
    });
}

#[test]
fn a_round_that_nobody_takes_can_be_planned_again() {
    with_app(async |app| {
        let round = Round::offered(&app, 1, 1).await;
        round.answer(0, false).await.expect(200);
        app.run_jobs().await;
        assert_eq!(round.state().await, "requests_closed");
        round.mail(&round.net.coordinator, "nobody took a place").await;
        let plan = round.db_chosen(&app, 1).await;
        round.offer(plan).await.expect(201);
        assert_eq!(round.offer_of(0).await["state"], "offered", "an earlier no does not count against a new offer");
        app.run_jobs().await;
    });
}

#[test]
fn offers_are_taken_back_with_a_reason_and_another_plan_can_be_offered() {
    with_app(async |app| {
        let round = Round::offered(&app, 2, 2).await;
        round.answer(0, true).await.expect(200);
        round.take_back(&round.clubs[0].lead, "No.").await.expect_problem(403, "not_your_role");
        round.take_back(&round.net.coordinator, " ").await.expect_problem(422, "invalid");
        let shown = round.take_back(&round.net.coordinator, "The yard sends it a day later.").await.expect(200);
        assert_eq!((&shown["round_state"], &shown["offers"]), (&json!("requests_closed"), &json!([])));
        round.take_back(&round.net.coordinator, "Again.").await.expect_problem(409, "round_not_offered");
        round.agree(&round.net.coordinator).await.expect_problem(409, "round_not_offered");
        app.run_jobs().await;
        let told = round.mail(&round.clubs[0].lead, "taken back").await;
        settings().bind(|| {
            insta::assert_snapshot!(told, @"
        Aerator in May: the offer to Tansyford RFC was taken back

        Hello,

        The coordinator took the offered places back, saying:

        The yard sends it a day later.

        It concerns this place:
        When: [day], morning
        Machine: Deep-tine aerator
        Ground: Tansyford RFC ground

        You keep your request; a new plan will be offered.

        http://turfring.test/rounds/[id]/offers
        ")
        });
        let plan = round.shown(&round.net.coordinator).await["to_offer"]["plan_id"].clone();
        round.offer(plan.as_str().unwrap().parse().unwrap()).await.expect(201);
        assert_eq!(round.offer_of(0).await["state"], "offered");
        app.run_jobs().await;
    });
}

#[test]
fn what_a_club_is_told_to_expect_is_what_the_plan_costs_it() {
    with_app(async |app| {
        let (round, plan) = Round::planned(&app, 3, 2).await;
        let costs = format!("{}/plans/{plan}/costs", round.net.path);
        let costs = round.net.coordinator.get(&costs).await.expect(200);
        round.offer(plan).await.expect(201);
        for club in 0..2 {
            let mut parts = costs[0]["parts"].as_array().unwrap().iter();
            let part = parts.find(|part| part["club_id"] == json!(round.clubs[club].id)).unwrap();
            let owes = part["share_pence"].as_i64().unwrap() + part["helper_pence"].as_i64().unwrap();
            assert!(owes > 0);
            assert_eq!(round.offer_of(club).await["expected_pence"], owes);
        }
        app.run_jobs().await;
    });
}

#[test]
fn the_clubs_are_told_that_an_offered_round_is_called_off() {
    with_app(async |app| {
        let round = Round::offered(&app, 3, 2).await;
        round.answer(0, true).await.expect(200);
        let why = json!({"reason": "The yard sold it."});
        round.net.coordinator.post(&format!("{}/calling-off", round.path), why).await.expect(200);
        app.run_jobs().await;
        let told = round.mail(&round.clubs[0].lead, "was called off").await;
        settings().bind(|| insta::assert_snapshot!(told, @"
        Aerator in May was called off

        Hello lead,

        Aerator in May was called off. The reason: The yard sold it.

        Tansyford RFC had asked for a place in it. Every place that was offered is taken back, accepted or not. Nothing comes, and nothing is owed for it.

        The round: http://turfring.test/rounds/[id]
        "));
        assert_eq!(round.mails(&round.clubs[2].lead, "was called off").await, 1, "who asked and was offered nothing");
        let shown = round.shown(&round.clubs[0].lead).await;
        assert_eq!((&shown["round_state"], &shown["offers"]), (&json!("called_off"), &json!([])));
    });
}

#[test]
fn an_offer_of_a_round_called_off_is_no_more() {
    with_app(async |app| {
        let round = Round::offered(&app, 2, 2).await;
        round.answer(0, true).await.expect(200);
        let offer = format!("{}/offers/{}", round.net.path, text(&round.offer_of(1).await, "offer_id"));
        let why = json!({"reason": "The yard sold it."});
        round.net.coordinator.post(&format!("{}/calling-off", round.path), why).await.expect(200);
        assert_eq!(round.needs(&round.clubs[1].lead).await, []);
        let answer = json!({"accepted": true});
        round.clubs[1].lead.post(&format!("{offer}/answer"), answer).await.expect_problem(409, "offer_answered");
        jobs::run_due(&app.service, Utc::now() + TimeDelta::days(3)).await.unwrap();
        assert_eq!(count(&app, "SELECT count(*) FROM bookings").await, 0);
    });
}
