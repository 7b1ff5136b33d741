//! Several people at once.

use futures_util::future::{join, join_all};
use serde_json::{Value, json};
use turfring::access::Role;

use super::{Round, text};
use crate::bookings_races::count;
use crate::harness::{User, with_app};

#[test]
fn of_two_coordinators_one_plans_anew_or_the_other_offers() {
    with_app(async |app| {
        let (round, plan) = Round::planned(&app, 2, 2).await;
        let second = app.db_member(round.net.id, "second@north.test", Role::Coordinator, None).await;
        let plans = format!("{}/plans", round.path);
        let (offered, planned) = join(round.offer(plan), second.post(&plans, json!(null))).await;
        let offers = count(&app, "SELECT count(*) FROM round_offers WHERE state = 'offered'").await;
        if offered.status == 201 {
            let refused = planned.expect_problem(409, "round_not_to_plan");
            assert_eq!(refused["detail"], "Its places are on offer. Take the offers back to plan it anew.");
            assert_eq!(offers, 2);
        } else {
            let refused = offered.expect_problem(409, "plan_not_ready");
            assert_eq!(refused["detail"], "It is not the plan that is chosen. Look again which one is.");
            planned.expect(201);
            assert_eq!(offers, 0);
        }
        app.run_jobs().await;
    });
}

#[test]
fn of_two_coordinators_at_once_one_offers_and_one_agrees() {
    with_app(async |app| {
        let (round, plan) = Round::planned(&app, 2, 2).await;
        let second = app.db_member(round.net.id, "second@north.test", Role::Coordinator, None).await;
        let path = format!("{}/offers", round.path);
        let both = join(round.offer(plan), second.post(&path, Round::offer_body(plan))).await;
        let (won, lost) = if both.0.status == 201 { both } else { (both.1, both.0) };
        won.expect(201);
        lost.expect_problem(409, "round_step_not_allowed");
        assert_eq!(count(&app, "SELECT count(*) FROM round_offers").await, 2);
        round.answer(0, true).await.expect(200);
        let both = join(round.agree(&round.net.coordinator), round.agree(&second)).await;
        let (won, lost) = if both.0.status == 201 { both } else { (both.1, both.0) };
        won.expect(201);
        lost.expect_problem(409, "round_not_offered");
        assert_eq!(count(&app, "SELECT count(*) FROM bookings").await, 1);
        app.run_jobs().await;
    });
}

#[test]
fn two_hundred_answers_at_once_come_to_one_answer_a_club() {
    with_app(async |app| {
        let round = Round::offered(&app, 4, 4).await;
        let mut pressing = Vec::new();
        for (number, club) in round.clubs.iter().enumerate() {
            let offer = text(&round.offer_of(number).await, "offer_id");
            for person in 0..50 {
                let email = format!("lead{person}@club{number}.test");
                let lead = app.db_member(round.net.id, &email, Role::GroundsLead, Some(club.id)).await;
                // In the last club people do not agree with each other.
                pressing.push((lead, offer.clone(), number < 3 || person % 2 == 0));
            }
        }
        let answer = async |(lead, offer, accepted): &(User, String, bool)| {
            let path = format!("{}/offers/{offer}/answer", round.net.path);
            lead.post(&path, json!({"accepted": accepted, "reason": ""})).await
        };
        for (reply, (.., accepted)) in join_all(pressing.iter().map(answer)).await.into_iter().zip(&pressing) {
            match reply.status {
                200 => assert_eq!(reply.body["state"], if *accepted { "accepted" } else { "declined" }),
                _ => drop(reply.expect_problem(409, "offer_answered")),
            }
        }
        let shown = round.shown(&round.net.coordinator).await;
        // A no is for good, so whoever said no in the last club had the last word.
        assert_eq!((&shown["accepted"], &shown["declined"], &shown["outstanding"]), (&json!(3), &json!(1), &json!(0)));
        app.run_jobs().await;
        assert_eq!(round.state().await, "agreed");
        assert_eq!(count(&app, "SELECT count(*) FROM bookings").await, 3);
    });
}

#[test]
fn agreeing_and_declining_at_once_never_books_a_declined_place() {
    with_app(async |app| {
        let round = Round::offered(&app, 2, 2).await;
        round.answer(0, true).await.expect(200);
        round.answer(1, true).await.expect(200);
        let (agreed, declined) = join(round.agree(&round.net.coordinator), round.answer(1, false)).await;
        agreed.expect(201);
        let booked = count(&app, "SELECT count(*) FROM bookings WHERE state = 'agreed'").await;
        match declined.status {
            200 => assert_eq!(booked, 1),
            _ => {
                declined.expect_problem(409, "offer_answered");
                assert_eq!(booked, 2);
            }
        }
        app.run_jobs().await;
    });
}

#[test]
fn a_repeated_key_offers_and_agrees_once() {
    with_app(async |app| {
        let (round, plan) = Round::planned(&app, 1, 1).await;
        let body = Round::offer_body(plan);
        let who = &round.net.coordinator;
        let once = async |path: &str, body: Option<Value>| {
            who.send("POST", path, body, &[("Idempotency-Key", path)]).await.expect(201)
        };
        let offers = format!("{}/offers", round.path);
        assert_eq!(once(&offers, Some(body.clone())).await, once(&offers, Some(body)).await);
        round.answer(0, true).await.expect(200);
        let agreement = format!("{}/agreement", round.path);
        assert_eq!(once(&agreement, None).await, once(&agreement, None).await);
        app.run_jobs().await;
    });
}
