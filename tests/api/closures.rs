//! Closed grounds: by whom, when, what lies on them, who is told, and what becomes of them.

use chrono::{TimeDelta, Utc};
use futures_util::future::join;
use serde_json::{Value, json};

use crate::bookings_races::count;
use crate::direct::db_sql;
use crate::harness::{App, Club, Net, Reply, User, with_app};
use crate::shed::{add_aerator, book, half_day, span};

fn text(value: &Value, name: &str) -> String {
    value[name].as_str().unwrap().to_owned()
}

/// A club with two grounds and a machine it can book.
struct Grounds {
    net: Net,
    club: Club,
    /// Each a pitch and its ground.
    pitches: [(String, String); 2],
    machine: String,
}

impl Grounds {
    async fn of(app: &App) -> Self {
        let net = app.network("North").await;
        let club = app.club(&net, "Alder").await;
        let mut pitches = Vec::new();
        for name in ["Top", "Low"] {
            let pitch = app.pitch(&net, &club, name).await;
            let seen = club.lead.get(&format!("{}/pitches/{pitch}", net.path)).await.expect(200);
            pitches.push((pitch, text(&seen, "ground_id")));
        }
        let machine = add_aerator(&net, json!({})).await;
        Self { net, club, pitches: pitches.try_into().unwrap(), machine }
    }

    /// Closes the ground with this number.
    async fn close(&self, who: &User, ground: usize, span: Value) -> Reply {
        let path = format!("{}/grounds/{}/closures", self.net.path, self.pitches[ground].1);
        who.post(&path, json!({"span": span, "reason": "Standing water on the lower half."})).await
    }

    async fn lift(&self, who: &User, closure: &Value) -> Reply {
        who.post(&format!("{}/closures/{}/lifting", self.net.path, text(closure, "closure_id")), json!(null)).await
    }

    /// Books for a pitch of the ground with this number.
    async fn book(&self, ground: usize, days: Value) -> Value {
        let path = format!("{}/bookings", self.net.path);
        let mut wish = crate::shed::wish(&self.machine, &self.club, days);
        wish["pitch_ids"] = json!([self.pitches[ground].0]);
        self.club.lead.post(&path, wish).await.expect(201)
    }

    async fn listed(&self, who: &User) -> Value {
        who.get(&format!("{}/closures", self.net.path)).await.expect(200)
    }

    async fn needs(&self, who: &User) -> Vec<Value> {
        let needs = who.get(&format!("{}/needs", self.net.path)).await.expect(200);
        let items = needs["items"].as_array().unwrap().iter();
        items.filter(|need| need["kind"] == "booking_on_closed_days").cloned().collect()
    }
}

/// Days and ids differ from run to run.
fn settings() -> insta::Settings {
    let mut settings = insta::Settings::clone_current();
    settings.add_filter(r"(Mon|Tue|Wed|Thu|Fri|Sat|Sun) \d+ [A-Z][a-z]{2}", "[day]");
    settings.add_filter(r"[0-9a-f]{8}-[0-9a-f-]{27}", "[id]");
    settings
}

#[test]
fn a_ground_is_closed_by_its_lead_everybody_sees_it_and_the_bookings_on_it_are_named() {
    with_app(async |app| {
        let grounds = Grounds::of(&app).await;
        let on_it = grounds.book(0, span(1, 3)).await;
        grounds.book(1, span(4, 6)).await;
        grounds.book(0, span(8, 9)).await;
        let closed = grounds.close(&grounds.club.lead, 0, span(2, 6)).await.expect(201);
        assert_eq!((&closed["span"], &closed["yours_to_lift"]), (&span(2, 6), &json!(true)));
        assert_eq!((&closed["ground_name"], &closed["club_name"]), (&json!("Top ground"), &json!("Alder")));
        assert_eq!((&closed["closed_by_name"], &closed["lifted_at"]), (&json!("lead"), &Value::Null));
        let bookings = closed["bookings"].as_array().unwrap();
        assert_eq!(bookings.len(), 1, "not the other ground's, nor the one of another day: {bookings:?}");
        assert_eq!((&bookings[0]["booking_id"], &bookings[0]["round_id"]), (&on_it["booking_id"], &Value::Null));
        let seen = grounds.listed(&grounds.club.volunteer).await;
        assert_eq!((&seen[0]["closure_id"], &seen[0]["yours_to_lift"]), (&closed["closure_id"], &json!(false)));

        let needs = grounds.needs(&grounds.club.lead).await;
        assert_eq!(needs.len(), 1, "{needs:?}");
        assert_eq!(needs[0]["href"], format!("/bookings/{}", text(&on_it, "booking_id")));
        let sentence = text(&needs[0], "sentence");
        settings().bind(|| {
            insta::assert_snapshot!(sentence, @"Deep-tine aerator is booked for Alder, [day], afternoon to [day], morning, and Top ground is closed then: move or cancel it.");
        });
        assert!(grounds.needs(&grounds.net.coordinator).await.is_empty(), "it is the club's own to move");
        app.run_jobs().await;
    });
}

#[test]
fn the_club_and_the_coordinator_are_mailed_once_each() {
    with_app(async |app| {
        let grounds = Grounds::of(&app).await;
        grounds.book(0, span(2, 4)).await;
        app.run_jobs().await;
        let closed = grounds.close(&grounds.club.lead, 0, span(2, 6)).await.expect(201);
        assert_eq!(app.run_jobs().await, 2, "the lead and the coordinator");
        let mails = grounds.net.coordinator.get(&format!("{}/mails?limit=10", grounds.net.path)).await.expect(200);
        let to: Vec<_> = mails["items"].as_array().unwrap().iter().take(2).map(|mail| text(mail, "to")).collect();
        assert!(to.contains(&grounds.club.lead.email) && to.contains(&grounds.net.coordinator.email), "{to:?}");
        let mail = &mails["items"][0];
        let mail = format!("{}\n\n{}", text(mail, "subject"), text(mail, "text"));
        settings().bind(|| {
            insta::assert_snapshot!(mail, @"
            Closed: Top ground of Alder, [day], morning to [day], afternoon

            Hello,

            Top ground of Alder is closed: [day], morning to [day], afternoon. No machine goes onto it then.

            Why: Standing water on the lower half.

            These bookings lie on closed days:
            - Deep-tine aerator, [day], all day

            A booking of a round moves when the coordinator plans the round again. Any other the club moves or cancels.

            The ground:
            http://turfring.test/grounds/[id]/close
            ");
        });
        grounds.lift(&grounds.club.lead, &closed).await.expect(200);
        grounds.lift(&grounds.club.lead, &closed).await.expect(200);
        assert_eq!(app.run_jobs().await, 2, "opened once, told once");
    });
}

#[test]
fn a_booking_without_pitches_counts_where_the_club_has_no_other_ground() {
    with_app(async |app| {
        let net = app.network("North").await;
        let machine = add_aerator(&net, json!({})).await;
        let club = app.club(&net, "Alder").await;
        let pitch = app.pitch(&net, &club, "Only").await;
        let seen = club.lead.get(&format!("{}/pitches/{pitch}", net.path)).await.expect(200);
        book(&net, &club.lead, &machine, &club, span(2, 4)).await.expect(201);
        let path = format!("{}/grounds/{}/closures", net.path, text(&seen, "ground_id"));
        let closed = club.lead.post(&path, json!({"span": span(3, 5), "reason": "Frost"})).await.expect(201);
        assert_eq!(closed["bookings"].as_array().unwrap().len(), 1);
        app.pitch(&net, &club, "Second").await;
        let listed = club.lead.get(&format!("{}/closures", net.path)).await.expect(200);
        assert_eq!(listed[0]["bookings"], json!([]), "nobody knows which of the two it is for");
        app.run_jobs().await;
    });
}

#[test]
fn an_opened_ground_can_be_closed_again_and_both_stay_on_record() {
    with_app(async |app| {
        let grounds = Grounds::of(&app).await;
        let lead = &grounds.club.lead;
        let closed = grounds.close(lead, 0, span(2, 6)).await.expect(201);
        grounds.close(lead, 0, span(5, 8)).await.expect_problem(409, "ground_closed");
        grounds.close(lead, 1, span(5, 8)).await.expect(201);
        let lifted = grounds.lift(&grounds.net.coordinator, &closed).await.expect(200);
        assert!(lifted["lifted_at"].is_string() && lifted["yours_to_lift"] == false, "{lifted}");
        let again = grounds.lift(lead, &closed).await.expect(200);
        assert_eq!(again["lifted_at"], lifted["lifted_at"], "the first opening stands");
        grounds.close(lead, 0, span(5, 8)).await.expect(201);
        assert_eq!(grounds.listed(lead).await.as_array().unwrap().len(), 2);
        assert_eq!(count(&app, "SELECT count(*) FROM ground_closures").await, 3);
        app.run_jobs().await;
    });
}

#[test]
fn each_closing_that_cannot_be_is_refused_and_nobody_is_mailed() {
    with_app(async |app| {
        let grounds = Grounds::of(&app).await;
        let lead = &grounds.club.lead;
        let other = app.club(&grounds.net, "Birch").await;
        for who in [&grounds.club.treasurer, &grounds.club.volunteer, &other.lead] {
            grounds.close(who, 0, span(2, 6)).await.expect_problem(403, "not_your_role");
        }
        let south = app.network("South").await;
        grounds.close(&south.coordinator, 0, span(2, 6)).await.expect_problem(404, "not_found");
        grounds.close(&app.stranger(), 0, span(2, 6)).await.expect_problem(401, "not_signed_in");
        let odd = json!({"from": half_day(2).replace("T00", "T07"), "until": half_day(6)});
        let refused = grounds.close(lead, 0, odd).await;
        refused.expect_problem(422, "not_half_days");
        let refused = grounds.close(lead, 0, span(6, 2)).await.expect_problem(422, "invalid");
        assert_eq!(refused["errors"][0]["field"], "span.until");
        let past = (Utc::now() - TimeDelta::days(3)).date_naive().format("%Y-%m-%dT00:00:00").to_string();
        let long_ago = json!({"from": past.replace(&past[..4], "2020"), "until": past});
        grounds.close(lead, 0, long_ago).await.expect_problem(422, "in_the_past");
        grounds.close(lead, 0, span(0, 300)).await.expect_problem(422, "invalid");
        let path = format!("{}/grounds/{}/closures", grounds.net.path, grounds.pitches[0].1);
        let silent = lead.post(&path, json!({"span": span(2, 6), "reason": "  "})).await.expect_problem(422, "invalid");
        assert_eq!(silent["errors"][0]["field"], "reason");
        lead.post(
            &format!("{}/grounds/{}/closures", grounds.net.path, uuid::Uuid::now_v7()),
            json!({
                "span": span(2, 6), "reason": "Wet",
            }),
        )
        .await
        .expect_problem(404, "not_found");
        assert_eq!(count(&app, "SELECT count(*) FROM ground_closures").await, 0);
        app.run_jobs().await;
        assert!(app.mails().is_empty());
    });
}

#[test]
fn each_opening_that_cannot_be_is_refused() {
    with_app(async |app| {
        let grounds = Grounds::of(&app).await;
        let lead = &grounds.club.lead;
        let closed = grounds.close(lead, 0, span(2, 6)).await.expect(201);
        let other = app.club(&grounds.net, "Birch").await;
        for who in [&grounds.club.treasurer, &grounds.club.volunteer, &other.lead] {
            grounds.lift(who, &closed).await.expect_problem(403, "not_your_role");
        }
        let south = app.network("South").await;
        grounds.lift(&south.coordinator, &closed).await.expect_problem(404, "not_found");
        let elsewhere = format!("{}/closures/{}/lifting", south.path, text(&closed, "closure_id"));
        south.coordinator.post(&elsewhere, json!(null)).await.expect_problem(404, "not_found");
        grounds.lift(&app.stranger(), &closed).await.expect_problem(401, "not_signed_in");
        south.coordinator.get(&format!("{}/closures", grounds.net.path)).await.expect_problem(404, "not_found");
        app.stranger().get(&format!("{}/closures", grounds.net.path)).await.expect_problem(401, "not_signed_in");
        db_sql(
            &app,
            "ALTER TABLE ground_closures DISABLE TRIGGER ground_closures_immutable; \
             UPDATE ground_closures SET span = tsrange('2026-01-05', '2026-01-06')",
        )
        .await;
        grounds.lift(lead, &closed).await.expect_problem(422, "in_the_past");
        assert_eq!(grounds.listed(lead).await, json!([]), "what has ended is not listed");
        app.run_jobs().await;
    });
}

#[test]
fn of_two_who_close_at_once_one_is_told_that_it_is_closed() {
    with_app(async |app| {
        let grounds = Grounds::of(&app).await;
        let (one, two) = join(
            grounds.close(&grounds.club.lead, 0, span(2, 6)),
            grounds.close(&grounds.net.coordinator, 0, span(4, 8)),
        )
        .await;
        let mut replies = [one, two];
        replies.sort_by_key(|reply| reply.status);
        let [won, lost] = replies;
        won.expect(201);
        lost.expect_problem(409, "ground_closed");
        assert_eq!(app.run_jobs().await, 2);
    });
}

#[test]
fn the_same_closing_sent_twice_closes_once() {
    with_app(async |app| {
        let grounds = Grounds::of(&app).await;
        let path = format!("{}/grounds/{}/closures", grounds.net.path, grounds.pitches[0].1);
        let body = json!({"span": span(2, 6), "reason": "Wet"});
        let key = [("Idempotency-Key", "from the touchline")];
        let first = grounds.club.lead.send("POST", &path, Some(body.clone()), &key).await.expect(201);
        let again = grounds.club.lead.send("POST", &path, Some(body), &key).await.expect(201);
        assert_eq!(first["closure_id"], again["closure_id"]);
        assert_eq!(app.run_jobs().await, 2, "one closing, two mails");
    });
}

#[test]
fn what_was_closed_is_not_edited_by_any_hand() {
    with_app(async |app| {
        let grounds = Grounds::of(&app).await;
        grounds.close(&grounds.club.lead, 0, span(2, 6)).await.expect(201);
        let mut owner = turfring::database::connect_as_owner(&app.owner_url).await.unwrap();
        for query in ["UPDATE ground_closures SET reason = 'Dry'", "DELETE FROM ground_closures"] {
            let refused = diesel_async::RunQueryDsl::execute(diesel::sql_query(query), &mut owner).await.unwrap_err();
            assert!(refused.to_string().contains("never edited"), "{query}: {refused}");
        }
        app.run_jobs().await;
    });
}
