//! The waiting list: who joins, who is offered what came free, and that nobody comes between.

use chrono::{TimeDelta, Utc};
use futures_util::future::{join, join_all};
use serde_json::{Value, json};
use turfring::ids::BookingId;
use turfring::{bookings, jobs};

use crate::harness::{App, Club, Net, Reply, User, with_app};
use crate::shed::{add_aerator, book, booked, open, span, wish};

async fn wait_as(net: &Net, who: &User, machine: &str, club: &Club, span: Value) -> Reply {
    who.post(&format!("{}/waiting", net.path), wish(machine, club, span)).await
}

/// Joins as the club's lead, and gives the path of the place.
async fn waits(net: &Net, machine: &str, club: &Club, span: Value) -> String {
    let waiter = wait_as(net, &club.lead, machine, club, span).await.expect(201);
    format!("{}/waiting/{}", net.path, waiter["waiting_id"].as_str().unwrap())
}

async fn cancel(who: &User, booking: &str) -> Reply {
    who.post(&format!("{booking}/cancellation"), json!({})).await
}

async fn accept(who: &User, booking: &str) -> Reply {
    who.post(&format!("{booking}/acceptance"), json!({})).await
}

/// The line for a machine: club, state, and the path of the offer if there is one.
async fn line(net: &Net, machine: &str) -> Vec<(String, String, Option<String>)> {
    let listed = net.coordinator.get(&format!("{}/waiting?machine_id={machine}", net.path)).await.expect(200);
    let place = |waiter: &Value| {
        let offer = waiter["booking_id"].as_str().map(|id| format!("{}/bookings/{id}", net.path));
        (waiter["club_name"].as_str().unwrap().to_owned(), waiter["state"].as_str().unwrap().to_owned(), offer)
    };
    listed["items"].as_array().unwrap().iter().map(place).collect()
}

/// The one offer of a line.
async fn offer(net: &Net, machine: &str) -> String {
    let mut offers: Vec<_> = line(net, machine).await.into_iter().filter_map(|(_, _, offer)| offer).collect();
    assert_eq!(offers.len(), 1, "one offer");
    offers.remove(0)
}

/// A day and a little later the queue runs: offers lapse.
async fn run_jobs_in_hours(app: &App, hours: i64) -> usize {
    jobs::run_due(&app.service, Utc::now() + TimeDelta::hours(hours)).await.unwrap()
}

/// Ends one offer as the queue would, so many hours from now.
async fn lapse_in_hours(app: &App, net: &Net, offer: &str, hours: i64) {
    let booking = BookingId(offer.rsplit('/').next().unwrap().parse().unwrap());
    bookings::lapse(&app.service, net.id, booking, Utc::now() + TimeDelta::hours(hours)).await.unwrap();
}

#[test]
fn what_comes_free_is_offered_to_the_first_in_line_and_held_until_it_is_taken() {
    with_app(async |app| {
        let net = app.network("North").await;
        let [holder, first, second] = [
            app.club(&net, "Tansyford RFC").await,
            app.club(&net, "Marl End RFC").await,
            app.club(&net, "Sedge RFC").await,
        ];
        let pitch = app.pitch(&net, &first, "Main").await;
        let machine = add_aerator(&net, json!({})).await;
        let booking = booked(&net, &machine, &holder, span(4, 6)).await;
        let mut body = wish(&machine, &first, span(4, 6));
        body["pitch_ids"] = json!([pitch]);
        body["note"] = json!("Scrum end first.");
        let joined = first.lead.post(&format!("{}/waiting", net.path), body).await.expect(201);
        assert_eq!((&joined["position"], &joined["state"]), (&json!(1), &json!("waiting")));
        waits(&net, &machine, &second, span(4, 6)).await;
        app.run_jobs().await;
        cancel(&holder.lead, &booking).await.expect(200);
        let offer = offer(&net, &machine).await;
        let held = first.lead.get(&offer).await.expect(200);
        assert_eq!((&held["state"], &held["span"]), (&json!("offered"), &span(4, 6)));
        assert_eq!((&held["note"], &held["pitches"][0]["name"]), (&json!("Scrum end first."), &json!("Main")));
        for club in [&holder, &second] {
            book(&net, &club.lead, &machine, club, span(4, 6)).await.expect_problem(409, "machine_taken");
        }
        let needs = first.lead.get(&format!("{}/needs", net.path)).await.expect(200);
        assert!(needs.to_string().contains("offer_to_take"), "{needs}");
        app.run_jobs().await;
        let mails = net.coordinator.get(&format!("{}/mails", net.path)).await.expect(200)["items"].take();
        let is_offer = |mail: &&Value| mail["text"].as_str().unwrap().contains("first in line");
        let mail = mails.as_array().unwrap().iter().find(is_offer).unwrap();
        assert_eq!(mail["to"], first.lead.email);
        let text = format!("{}\n\n{}", mail["subject"].as_str().unwrap(), mail["text"].as_str().unwrap());
        let filters = vec![
            (r"(Mon|Tue|Wed|Thu|Fri|Sat|Sun) \d+ \w+", "[date]"),
            (r"\d\d:\d\d", "[time]"),
            (r"bookings/[0-9a-f-]{36}", "bookings/[id]"),
        ];
        insta::with_settings!({filters => filters}, { insta::assert_snapshot!(text, @"
        Free for you until [date], [time]: Deep-tine aerator, [date], all day

        Hello,

        Deep-tine aerator has come free, and Marl End RFC is first in line. It is held for you until [date], [time]; after that the next in line is asked.

        When: [date], all day
        Club: Marl End RFC
        Charge: £125.00

        Take it, or leave it to the next:
        http://turfring.test/bookings/[id]
        ") });
        let taken = accept(&first.lead, &offer).await.expect(200);
        assert_eq!((&taken["state"], &taken["offered_until"]), (&json!("agreed"), &json!(null)));
        assert_eq!(accept(&first.lead, &offer).await.expect(200)["version"], taken["version"], "twice is once");
        assert_eq!(line(&net, &machine).await, [("Sedge RFC".to_owned(), "waiting".to_owned(), None)]);
        run_jobs_in_hours(&app, 30).await;
        assert_eq!(first.lead.get(&offer).await.expect(200)["state"], "agreed", "what was taken does not lapse");
    });
}

#[test]
fn an_offer_that_nobody_takes_goes_to_the_next_and_cannot_be_taken_any_more() {
    with_app(async |app| {
        let net = app.network("North").await;
        let [holder, first, second] = [
            app.club(&net, "Tansyford RFC").await,
            app.club(&net, "Marl End RFC").await,
            app.club(&net, "Sedge RFC").await,
        ];
        let machine = add_aerator(&net, json!({})).await;
        let booking = booked(&net, &machine, &holder, span(4, 6)).await;
        waits(&net, &machine, &first, span(4, 6)).await;
        waits(&net, &machine, &second, span(5, 6)).await;
        cancel(&holder.lead, &booking).await.expect(200);
        let lapsing = offer(&net, &machine).await;
        run_jobs_in_hours(&app, 23).await;
        assert_eq!(offer(&net, &machine).await, lapsing, "it holds for a day");
        run_jobs_in_hours(&app, 25).await;
        accept(&first.lead, &lapsing).await.expect_problem(409, "offer_lapsed");
        assert_eq!(first.lead.get(&lapsing).await.expect(200)["state"], "lapsed");
        let next = offer(&net, &machine).await;
        assert_eq!(line(&net, &machine).await, [("Sedge RFC".to_owned(), "offered".to_owned(), Some(next.clone()))]);
        accept(&second.lead, &next).await.expect(200);
        assert!(app.mails().iter().any(|mail| mail.contains("nobody took it in time")));
        app.run_jobs().await;
    });
}

#[test]
fn whoever_a_place_does_not_fit_is_passed_over_and_keeps_the_place() {
    with_app(async |app| {
        let net = app.network("North").await;
        let [holder, first, second] = [
            app.club(&net, "Tansyford RFC").await,
            app.club(&net, "Marl End RFC").await,
            app.club(&net, "Sedge RFC").await,
        ];
        let machine = add_aerator(&net, json!({"gap_half_days": 1})).await;
        let early = booked(&net, &machine, &holder, span(0, 2)).await;
        let late = booked(&net, &machine, &holder, span(4, 6)).await;
        waits(&net, &machine, &first, span(1, 5)).await;
        waits(&net, &machine, &second, span(0, 2)).await;
        cancel(&holder.lead, &early).await.expect(200);
        let states: Vec<_> = line(&net, &machine).await.into_iter().map(|(club, state, _)| (club, state)).collect();
        assert_eq!(states, [("Marl End RFC".into(), "waiting".into()), ("Sedge RFC".into(), "offered".to_owned())]);
        // Leaving the offer and freeing the rest makes room for the first.
        cancel(&second.lead, &offer(&net, &machine).await).await.expect(200);
        // The later booking is shortened away from under the wish.
        holder.lead.put(&format!("{late}/span"), 1, span(8, 10)).await.expect(200);
        let place = line(&net, &machine).await;
        assert_eq!((place.len(), place[0].1.as_str()), (1, "offered"));
        app.run_jobs().await;
    });
}

#[test]
fn refusing_moving_leaving_and_a_new_availability_set_free_as_well() {
    with_app(async |app| {
        let net = app.network("North").await;
        let [holder, first] = [app.club(&net, "Tansyford RFC").await, app.club(&net, "Marl End RFC").await];
        let machine = add_aerator(&net, json!({"coordinator_agrees": true})).await;
        let asked = booked(&net, &machine, &holder, span(0, 2)).await;
        waits(&net, &machine, &first, span(0, 2)).await;
        let no = json!({"agreed": false, "reason": ""});
        net.coordinator.post(&format!("{asked}/answer"), no).await.expect(200);
        let after_refusal = offer(&net, &machine).await;
        let taken = accept(&first.lead, &after_refusal).await.expect(200);
        assert_eq!(taken["state"], "asked", "the coordinator agrees to this machine");
        waits(&net, &machine, &holder, span(1, 2)).await;
        first
            .lead
            .put(&format!("{after_refusal}/span"), taken["version"].as_i64().unwrap(), span(0, 1))
            .await
            .expect(200);
        let after_shortening = offer(&net, &machine).await;
        waits(&net, &machine, &first, span(1, 2)).await;
        let place = net.coordinator.get(&format!("{}/waiting?club_id={}", net.path, holder.id)).await.expect(200);
        let place = format!("{}/waiting/{}", net.path, place["items"][0]["waiting_id"].as_str().unwrap());
        assert_eq!(holder.lead.delete(&place).await.status, 204);
        assert_eq!(holder.lead.delete(&place).await.status, 204, "leaving twice is leaving once");
        let after_leaving = offer(&net, &machine).await;
        assert_ne!(after_leaving, after_shortening);
        // Whoever waits at the end of what is offered gets it when more is offered.
        open(&net, &machine, span(40, 44)).await;
        app.run_jobs().await;
    });
}

#[test]
fn each_refusal_of_the_list_has_its_code() {
    with_app(async |app| {
        let (net, south) = (app.network("North").await, app.network("South").await);
        let [holder, first] = [app.club(&net, "Tansyford RFC").await, app.club(&net, "Marl End RFC").await];
        let foreign_pitch = app.pitch(&net, &holder, "Main").await;
        let machine = add_aerator(&net, json!({"shortest_half_days": 2, "longest_half_days": 4})).await;
        let booking = booked(&net, &machine, &holder, span(0, 2)).await;
        for (wanted, status, code) in [
            (span(2, 4), 409, "machine_free"),
            (span(0, 1), 422, "too_short"),
            (span(0, 5), 422, "too_long"),
            (span(-2, 0), 422, "outside_availability"),
            (json!({"from": "2020-05-04T00:00:00", "until": "2020-05-05T00:00:00"}), 422, "in_the_past"),
        ] {
            wait_as(&net, &first.lead, &machine, &first, wanted).await.expect_problem(status, code);
        }
        let mut body = wish(&machine, &first, span(0, 2));
        body["pitch_ids"] = json!([foreign_pitch]);
        first.lead.post(&format!("{}/waiting", net.path), body).await.expect_problem(422, "invalid");
        let place = waits(&net, &machine, &first, span(0, 2)).await;
        wait_as(&net, &first.lead, &machine, &first, span(0, 2)).await.expect_problem(409, "already_waiting");
        cancel(&holder.lead, &booking).await.expect(200);
        let offer = offer(&net, &machine).await;
        first.lead.put(&format!("{offer}/span"), 1, span(2, 4)).await.expect_problem(409, "offer_open");
        let yes = json!({"agreed": true});
        net.coordinator.post(&format!("{offer}/answer"), yes).await.expect_problem(409, "offer_open");
        for (who, status, code) in [
            (&first.treasurer, 403, "not_your_role"),
            (&first.volunteer, 403, "not_your_role"),
            (&holder.lead, 403, "not_your_role"),
            (&south.coordinator, 404, "not_found"),
            (&app.stranger(), 401, "not_signed_in"),
        ] {
            wait_as(&net, who, &machine, &first, span(0, 2)).await.expect_problem(status, code);
            accept(who, &offer).await.expect_problem(status, code);
            who.delete(&place).await.expect_problem(status, code);
        }
        south.coordinator.get(&format!("{}/waiting", net.path)).await.expect_problem(404, "not_found");
        let elsewhere = offer.replace(&net.path, &south.path);
        accept(&south.coordinator, &elsewhere).await.expect_problem(404, "not_found");
        cancel(&first.lead, &offer).await.expect(200);
        accept(&first.lead, &offer).await.expect_problem(409, "booking_ended");
        app.run_jobs().await;
    });
}

#[test]
fn when_a_place_comes_free_and_everybody_presses_only_the_first_in_line_has_it() {
    with_app(async |app| {
        let net = app.network("North").await;
        let [holder, first, other] = [
            app.club(&net, "Tansyford RFC").await,
            app.club(&net, "Marl End RFC").await,
            app.club(&net, "Sedge RFC").await,
        ];
        let machine = add_aerator(&net, json!({})).await;
        let booking = booked(&net, &machine, &holder, span(4, 6)).await;
        waits(&net, &machine, &first, span(4, 6)).await;
        let pressing = join_all((0..20).map(|_| book(&net, &other.lead, &machine, &other, span(4, 6))));
        let (cancelled, pressed) = join(cancel(&holder.lead, &booking), pressing).await;
        cancelled.expect(200);
        for reply in pressed {
            reply.expect_problem(409, "machine_taken");
        }
        accept(&first.lead, &offer(&net, &machine).await).await.expect(200);
        app.run_jobs().await;
    });
}

#[test]
fn taking_lapsing_and_leaving_at_once_end_in_exactly_one_of_them() {
    with_app(async |app| {
        let net = app.network("North").await;
        let [holder, first, second] = [
            app.club(&net, "Tansyford RFC").await,
            app.club(&net, "Marl End RFC").await,
            app.club(&net, "Sedge RFC").await,
        ];
        let machine = add_aerator(&net, json!({})).await;
        for round in 0..4 {
            let time = span(round * 2, round * 2 + 2);
            let booking = booked(&net, &machine, &holder, time.clone()).await;
            waits(&net, &machine, &first, time.clone()).await;
            waits(&net, &machine, &second, time.clone()).await;
            cancel(&holder.lead, &booking).await.expect(200);
            let offer = offer(&net, &machine).await;
            let ((taken, left), _) = join(
                join(accept(&first.lead, &offer), cancel(&first.lead, &offer)),
                lapse_in_hours(&app, &net, &offer, 25),
            )
            .await;
            let state = first.lead.get(&offer).await.expect(200)["state"].as_str().unwrap().to_owned();
            match state.as_str() {
                "agreed" => assert_eq!(taken.status, 200),
                // Cancelling may come after taking, and then ends the booking itself.
                "cancelled" => assert_eq!(left.status, 200),
                "lapsed" => assert_eq!((taken.status, left.status), (409, 409), "{} {}", taken.text, left.text),
                other => panic!("{other}"),
            }
            let line = line(&net, &machine).await;
            let next = line.iter().find(|(club, ..)| club == "Sedge RFC").unwrap();
            assert_eq!(next.1 == "offered", state != "agreed", "{line:?}");
            let rest = net.coordinator.get(&format!("{}/waiting?club_id={}", net.path, second.id)).await.expect(200);
            let rest = rest["items"][0]["waiting_id"].as_str().unwrap().to_owned();
            second.lead.delete(&format!("{}/waiting/{rest}", net.path)).await;
            if state == "agreed" {
                cancel(&first.lead, &offer).await.expect(200);
            }
        }
        app.run_jobs().await;
    });
}
