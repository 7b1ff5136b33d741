//! Clubs answer, or do not, and what they leave is offered on.

use chrono::{TimeDelta, Utc};
use serde_json::json;
use turfring::jobs;

use super::{Round, settings, text};
use crate::bookings_races::count;
use crate::direct::db_sql;
use crate::harness::with_app;
use crate::shed::span;

#[test]
fn a_club_answers_for_itself_once_and_the_same_answer_twice_is_once() {
    with_app(async |app| {
        let round = Round::offered(&app, 3, 3).await;
        let (treasurer, volunteer) = (&round.clubs[0].treasurer, &round.clubs[0].volunteer);
        for who in [&round.clubs[1].lead, treasurer, volunteer] {
            round.answer_as(who, 0, true).await.expect_problem(403, "not_your_role");
        }
        let path = format!("{}/offers/{}", round.net.path, text(&round.offer_of(0).await, "offer_id"));
        treasurer.get(&path).await.expect(200);
        volunteer.get(&path).await.expect_problem(403, "not_your_role");
        let south = app.network("South").await;
        south.coordinator.get(&path).await.expect_problem(404, "not_found");
        app.stranger().get(&path).await.expect_problem(401, "not_signed_in");
        let shown = round.shown(&round.clubs[0].lead).await;
        assert_eq!((shown["offers"].as_array().unwrap().len(), &shown["outstanding"]), (1, &json!(3)));
        assert_eq!(round.shown(volunteer).await["offers"], json!([]));

        for _ in 0..2 {
            assert_eq!(round.answer(0, true).await.expect(200)["state"], "accepted");
        }
        let declined = round.answer(0, false).await.expect(200);
        assert_eq!((&declined["state"], &declined["reason"]), (&json!("declined"), &json!("We play that day.")));
        round.answer(0, false).await.expect(200);
        app.run_jobs().await;
        assert_eq!(round.mails(&round.net.coordinator, "declined").await, 1);
        let told = round.mail(&round.net.coordinator, "declined").await;
        assert!(told.contains("saying:\n\nWe play that day."), "{told}");
        round.answer(0, true).await.expect_problem(409, "offer_answered");

        round.answer_as(&round.net.coordinator, 1, true).await.expect(200);
        app.run_jobs().await;
        settings()
            .bind_async(async {
                let told = round.mail(&round.clubs[1].lead, "the coordinator accepted").await;
                insta::assert_snapshot!(told, @"
                Aerator in May: the coordinator accepted for Marl End RFC

                Hello,

                The coordinator accepted this place for Marl End RFC. If that is not what was said, tell the coordinator today.

                When: [day], afternoon
                Machine: Deep-tine aerator
                Ground: Marl End RFC ground

                It is booked when all clubs have answered.

                http://turfring.test/rounds/[id]/offers
                ");
            })
            .await;
    });
}

#[test]
fn a_late_answer_is_told_so_and_what_lapsed_is_planned_again() {
    with_app(async |app| {
        let round = Round::offered(&app, 2, 2).await;
        round.answer(0, true).await.expect(200);
        db_sql(&app, "UPDATE round_offers SET answer_by = now() - interval '1 second' WHERE state = 'offered'").await;
        round.answer(1, true).await.expect_problem(409, "offer_lapsed");
        jobs::run_due(&app.service, Utc::now() + TimeDelta::days(3)).await.unwrap();
        let lapsed = round.offer_of(1).await;
        assert_eq!((&lapsed["state"], &lapsed["yours_to_answer"]), (&json!("lapsed"), &json!(false)));
        assert!(round.mail(&round.clubs[1].lead, "has lapsed").await.contains("no longer held for you"));
        for accepted in [true, false] {
            round.answer(1, accepted).await.expect_problem(409, "offer_lapsed");
        }
        assert_eq!(round.state().await, "agreed");
        assert_eq!(round.offer_of(0).await["state"], "booked");
        assert_eq!(count(&app, "SELECT count(*) FROM turns").await, 1, "who did not answer has no turn");
    });
}

#[test]
fn a_declined_place_is_offered_to_the_next_best() {
    with_app(async |app| {
        let round = Round::offered(&app, 3, 2).await;
        round.answer(0, true).await.expect(200);
        round.answer(1, false).await.expect(200);
        assert_eq!(round.shown(&round.net.coordinator).await["refill_awaited"], true);
        app.run_jobs().await;
        assert_eq!(round.state().await, "offered", "the next best has not answered");
        let next = round.offer_of(2).await;
        assert_eq!((&next["state"], &next["span"]), (&json!("offered"), &span(1, 2)));
        assert_eq!(round.offer_of(0).await["state"], "accepted", "who has accepted is not asked again");
        assert!(round.mail(&round.clubs[2].lead, "please answer").await.contains("can have this place"));
        round.answer(2, true).await.expect(200);
        app.run_jobs().await;
        assert_eq!(round.state().await, "agreed");
        assert_eq!(count(&app, "SELECT count(*) FROM bookings WHERE state = 'agreed'").await, 2);
    });
}

#[test]
fn a_plan_of_declined_places_that_fails_holds_nobody_up() {
    with_app(async |app| {
        let round = Round::offered(&app, 2, 2).await;
        round.answer(0, true).await.expect(200);
        round.answer(1, false).await.expect(200);
        db_sql(&app, "UPDATE round_plans SET state = 'failed', note = 'No.' WHERE purpose = 'refill'").await;
        app.run_jobs().await;
        assert_eq!(round.state().await, "agreed");
    });
}

#[test]
fn clubs_without_an_answer_are_reminded_once_a_day() {
    with_app(async |app| {
        let round = Round::offered(&app, 2, 2).await;
        let at = format!("{}/offers/reminder", round.path);
        round.clubs[0].lead.post(&at, json!({})).await.expect_problem(403, "not_your_role");
        round.answer(0, true).await.expect(200);
        for _ in 0..2 {
            round.net.coordinator.post(&at, json!({})).await.expect(200);
        }
        assert_eq!(app.run_jobs().await, 1, "one club, once");
        assert!(round.offer_of(1).await["reminded_at"].is_string());
        assert!(round.offer_of(0).await["reminded_at"].is_null());
        let told = round.mail(&round.clubs[1].lead, "no answer yet").await;
        settings().bind(|| insta::assert_snapshot!(told, @"
        Aerator in May: a place for Marl End RFC, no answer yet

        Hello,

        The coordinator waits for your answer about this place for Marl End RFC ground of Marl End RFC. Please accept or decline by [day].

        When: [day], afternoon
        Machine: Deep-tine aerator
        Ground: Marl End RFC ground
        The day: your first choice
        Expected share of the hire: £351.48 (it is settled when the hire is over; never more than hiring alone)

        Accept or decline here:
        http://turfring.test/rounds/[id]/offers

        A place that is declined, or not answered in time, can go to another club.
        "));
        db_sql(&app, "UPDATE round_offers SET reminded_at = now() - interval '1 day'").await;
        round.net.coordinator.post(&at, json!({})).await.expect(200);
        assert_eq!(app.run_jobs().await, 1);
    });
}
