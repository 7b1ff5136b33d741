//! Booking, moving, cancelling, answering; who may, who is told.

use chrono::{DateTime, Days, NaiveTime, TimeDelta, Utc};
use diesel::sql_query;
use diesel_async::{RunQueryDsl, SimpleAsyncConnection};
use serde_json::{Value, json};
use turfring::access::{Member, Role};
use turfring::bookings::{self, CreateBooking};
use turfring::database::{self, Scope};
use turfring::error::Code;
use turfring::ids::MachineId;
use turfring::machines::Span;

use crate::harness::{App, Club, Net, PUBLIC_URL, Reply, User, with_app};
use crate::shed::{add_aerator, aerator, book, booked, half_day, monday, open, span, wish};

/// Books at another time than now, as the demo region does.
pub async fn book_at(
    app: &App,
    net: &Net,
    club: &Club,
    machine: &str,
    span: Span,
    now: DateTime<Utc>,
) -> Result<Value, Code> {
    let member =
        Member { network_id: net.id, person_id: club.lead.person_id, roles: vec![(Role::GroundsLead, Some(club.id))] };
    let machine_id = MachineId(machine.parse().unwrap());
    let wish = CreateBooking { machine_id, club_id: club.id, span, pitch_ids: Vec::new(), note: String::new() };
    let mut tx = app.service.db.begin(Scope::Member(net.id, member.person_id)).await.unwrap();
    match bookings::book(&mut tx, &member, wish, PUBLIC_URL, now).await {
        Ok(booking) => {
            tx.commit().await.unwrap();
            Ok(serde_json::to_value(booking).unwrap())
        }
        Err(turfring::error::Error::Refused(refused)) => Err(refused.code),
        Err(error) => panic!("{error}"),
    }
}

/// A span of days from midnight to midnight.
pub fn days(from: DateTime<Utc>, count: u64) -> Span {
    let midnight = from.date_naive().and_hms_opt(0, 0, 0).unwrap();
    Span { from: midnight, until: midnight + Days::new(count) }
}

async fn answer(who: &User, booking: &str, agreed: bool) -> Reply {
    who.post(&format!("{booking}/answer"), json!({"agreed": agreed, "reason": "The ground is too wet."})).await
}

#[test]
fn a_grounds_lead_books_and_the_club_is_told() {
    with_app(async |app| {
        let net = app.network("North").await;
        let club = app.club(&net, "Tansyford RFC").await;
        let pitch = app.pitch(&net, &club, "Main").await;
        let machine = add_aerator(&net, json!({"gap_half_days": 1})).await;
        let mut body = wish(&machine, &club, span(1, 4));
        body["pitch_ids"] = json!([pitch, pitch]);
        body["note"] = json!("Gate code from the bar.");
        let booking = club.lead.post(&format!("{}/bookings", net.path), body).await.expect(201);
        assert_eq!((&booking["span"], &booking["held_until"]), (&span(1, 4), &json!(half_day(5))));
        insta::assert_json_snapshot!(booking, {
            ".booking_id" => "[id]", ".machine_id" => "[id]", ".club_id" => "[id]", ".pitches[].pitch_id" => "[id]",
            ".span" => "[span]", ".held_until" => "[time]",
        }, @r#"
        {
          "booking_id": "[id]",
          "machine_id": "[id]",
          "machine_name": "Deep-tine aerator",
          "club_id": "[id]",
          "club_name": "Tansyford RFC",
          "span": "[span]",
          "half_days": 3,
          "held_until": "[time]",
          "state": "agreed",
          "charge_pence": 18500,
          "offered_until": null,
          "standing_id": null,
          "pitches": [
            {
              "pitch_id": "[id]",
              "name": "Main"
            }
          ],
          "note": "Gate code from the bar.",
          "answer_reason": null,
          "booked_by_name": "lead",
          "yours": true,
          "version": 1
        }
        "#);
        let path = format!("{}/bookings/{}", net.path, booking["booking_id"].as_str().unwrap());
        let shown = club.volunteer.get(&path).await;
        assert_eq!(shown.etag.as_deref(), Some("\"v1\""));
        assert_eq!(shown.expect(200), booking);
        app.run_jobs().await;
        let mails = net.coordinator.get(&format!("{}/mails", net.path)).await.expect(200)["items"].take();
        assert_eq!(mails.as_array().unwrap().len(), 1, "the one grounds lead is told");
        assert_eq!(mails[0]["to"], club.lead.email);
        let text = format!("{}\n\n{}", mails[0]["subject"].as_str().unwrap(), mails[0]["text"].as_str().unwrap());
        let filters = vec![(r"(Mon|Tue) \d+ \w+", "$1 [date]"), (r"bookings/[0-9a-f-]{36}", "bookings/[id]")];
        insta::with_settings!({filters => filters}, { insta::assert_snapshot!(text, @"
        Booked: Deep-tine aerator, Mon [date], afternoon to Tue [date], afternoon

        Hello,

        Tansyford RFC has booked: Deep-tine aerator.

        When: Mon [date], afternoon to Tue [date], afternoon
        Club: Tansyford RFC
        Charge: £185.00

        Before it moves: guards fitted and the shaft cover spinning free; check what your vehicle may tow and the local rules. The maker's manual comes first.

        The booking:
        http://turfring.test/bookings/[id]
        ") });
    });
}

#[test]
fn each_rule_of_the_machine_is_kept() {
    with_app(async |app| {
        let net = app.network("North").await;
        let club = app.club(&net, "Tansyford RFC").await;
        let other = app.club(&net, "Marl End RFC").await;
        let foreign_pitch = app.pitch(&net, &other, "Main").await;
        let machine = add_aerator(&net, json!({"shortest_half_days": 2, "longest_half_days": 4})).await;
        open(&net, &machine, span(28, 32)).await;
        for (wanted, code) in [
            (span(27, 29), "outside_availability"),
            (span(-2, 0), "outside_availability"),
            (span(0, 1), "too_short"),
            (span(0, 5), "too_long"),
            (span(2, 0), "invalid"),
            (json!({"from": half_day(0), "until": half_day(1).replace("T12", "T13")}), "not_half_days"),
        ] {
            book(&net, &club.lead, &machine, &club, wanted).await.expect_problem(422, code);
        }
        let mut body = wish(&machine, &club, span(0, 2));
        body["pitch_ids"] = json!([foreign_pitch]);
        let path = format!("{}/bookings", net.path);
        let refused = club.lead.post(&path, body.clone()).await.expect_problem(422, "invalid");
        assert_eq!(refused["errors"][0]["field"], "pitch_ids");
        body["span"] = json!("tomorrow");
        club.lead.post(&path, body.clone()).await.expect_problem(400, "unreadable");
        body = wish(&machine, &club, span(0, 2));
        body["note"] = json!("x".repeat(2001));
        club.lead.post(&path, body.clone()).await.expect_problem(422, "invalid");
        club.lead.send("POST", &path, Some(body), &[]).await.expect_problem(400, "idempotency_key_missing");
        book(&net, &club.lead, &club.id.to_string(), &club, span(0, 2)).await.expect_problem(404, "not_found");
        assert_eq!(club.lead.get(&path).await.expect(200)["items"], json!([]), "nothing was kept");
    });
}

#[test]
fn a_machine_is_booked_only_by_clubs_it_is_open_to_whoever_presses() {
    with_app(async |app| {
        let net = app.network("North").await;
        let (owner, named, other) = (
            app.club(&net, "Tansyford RFC").await,
            app.club(&net, "Marl End RFC").await,
            app.club(&net, "Sedge RFC").await,
        );
        let mine = json!({"owner_club_id": owner.id, "who_may_book": "owner_only"});
        let machine = add_aerator(&net, mine).await;
        book(&net, &owner.lead, &machine, &owner, span(0, 1)).await.expect(201);
        for (who, club) in [(&named.lead, &named), (&net.coordinator, &named)] {
            book(&net, who, &machine, club, span(1, 2)).await.expect_problem(403, "machine_not_open_to_club");
        }
        let path = format!("{}/machines/{machine}", net.path);
        let mut entry = aerator(json!({
            "owner_club_id": owner.id, "who_may_book": "named_clubs", "named_club_ids": [named.id],
        }));
        net.coordinator.put(&path, 1, entry.clone()).await.expect(200);
        book(&net, &named.lead, &machine, &named, span(1, 2)).await.expect(201);
        book(&net, &owner.lead, &machine, &owner, span(2, 3)).await.expect(201);
        book(&net, &other.lead, &machine, &other, span(3, 4)).await.expect_problem(403, "machine_not_open_to_club");
        entry["retired"] = json!(true);
        net.coordinator.put(&path, 2, entry).await.expect(200);
        book(&net, &owner.lead, &machine, &owner, span(3, 4)).await.expect_problem(403, "machine_not_open_to_club");
        app.run_jobs().await;
    });
}

#[test]
fn the_past_cannot_be_booked_but_the_running_half_day_can() {
    with_app(async |app| {
        let net = app.network("North").await;
        let club = app.club(&net, "Tansyford RFC").await;
        let machine = add_aerator(&net, json!({})).await;
        let noon: DateTime<Utc> = "2027-01-20T12:30:00Z".parse().unwrap();
        open(&net, &machine, json!(days(noon - TimeDelta::days(5), 20))).await;
        let at = |hour| noon.date_naive().and_hms_opt(hour, 0, 0).unwrap();
        let morning = Span { from: at(0), until: at(12) };
        let afternoon = Span { from: at(12), until: at(0) + Days::new(1) };
        assert_eq!(book_at(&app, &net, &club, &machine, morning, noon).await, Err(Code::InThePast));
        book_at(&app, &net, &club, &machine, afternoon, noon).await.unwrap();
        let last_year = json!({"from": "2020-05-04T00:00:00", "until": "2020-05-05T00:00:00"});
        open(&net, &machine, last_year.clone()).await;
        book(&net, &club.lead, &machine, &club, last_year).await.expect_problem(422, "in_the_past");
        app.run_jobs().await;
    });
}

#[test]
fn who_is_too_late_is_told_what_is_free_instead() {
    with_app(async |app| {
        let net = app.network("North").await;
        let (first, second) = (app.club(&net, "Tansyford RFC").await, app.club(&net, "Marl End RFC").await);
        let machine = add_aerator(&net, json!({"gap_half_days": 1})).await;
        booked(&net, &machine, &first, span(4, 6)).await;
        let taken = book(&net, &second.lead, &machine, &second, span(5, 7)).await.expect_problem(409, "machine_taken");
        // Free of the booking at 4 and 5, of its handover at 6, and of their own before 4.
        let free = [span(7, 9), span(8, 10), span(1, 3), span(9, 11), span(0, 2)];
        assert_eq!(taken["free"], json!(free));
        for offered in &free[..1] {
            book(&net, &second.lead, &machine, &second, offered.clone()).await.expect(201);
        }
        app.run_jobs().await;
    });
}

#[test]
fn a_handover_keeps_the_next_booking_away_and_outlives_a_change_of_the_machine() {
    with_app(async |app| {
        let net = app.network("North").await;
        let club = app.club(&net, "Tansyford RFC").await;
        let machine = add_aerator(&net, json!({"gap_half_days": 2})).await;
        booked(&net, &machine, &club, span(10, 12)).await;
        for wanted in [span(12, 13), span(13, 14), span(9, 10), span(8, 9), span(11, 13)] {
            book(&net, &club.lead, &machine, &club, wanted).await.expect_problem(409, "machine_taken");
        }
        booked(&net, &machine, &club, span(14, 15)).await;
        booked(&net, &machine, &club, span(7, 8)).await;
        let none = aerator(json!({"gap_half_days": 0}));
        net.coordinator.put(&format!("{}/machines/{machine}", net.path), 1, none).await.expect(200);
        let taken = book(&net, &club.lead, &machine, &club, span(12, 13)).await.expect_problem(409, "machine_taken");
        let nearest = taken["free"][0].clone();
        book(&net, &club.lead, &machine, &club, nearest).await.expect(201);
        app.run_jobs().await;
    });
}

#[test]
fn sending_twice_books_once() {
    with_app(async |app| {
        let net = app.network("North").await;
        let club = app.club(&net, "Tansyford RFC").await;
        let machine = add_aerator(&net, json!({})).await;
        let path = format!("{}/bookings", net.path);
        let key = [("Idempotency-Key", "one")];
        let body = wish(&machine, &club, span(0, 2));
        let send = || club.lead.send("POST", &path, Some(body.clone()), &key);
        let (first, again) = futures_util::future::join(send(), send()).await;
        assert_eq!(first.expect(201), again.expect(201));
        let other = Some(wish(&machine, &club, span(2, 4)));
        club.lead.send("POST", &path, other, &key).await.expect_problem(409, "idempotency_key_reused");
        assert_eq!(club.lead.get(&path).await.expect(200)["items"].as_array().unwrap().len(), 1);
        assert_eq!(app.run_jobs().await, 1, "one mail");
    });
}

#[test]
fn only_grounds_leads_of_the_club_and_coordinators_change_its_bookings() {
    with_app(async |app| {
        let (net, south) = (app.network("North").await, app.network("South").await);
        let (ours, theirs) = (app.club(&net, "Tansyford RFC").await, app.club(&net, "Marl End RFC").await);
        let machine = add_aerator(&net, json!({})).await;
        let booking = booked(&net, &machine, &ours, span(0, 1)).await;
        for (who, status, code) in [
            (&ours.treasurer, 403, "not_your_role"),
            (&ours.volunteer, 403, "not_your_role"),
            (&theirs.lead, 403, "not_your_role"),
            (&south.coordinator, 404, "not_found"),
            (&app.stranger(), 401, "not_signed_in"),
        ] {
            book(&net, who, &machine, &ours, span(4, 5)).await.expect_problem(status, code);
            who.put(&format!("{booking}/span"), 1, span(4, 5)).await.expect_problem(status, code);
            who.post(&format!("{booking}/cancellation"), json!({})).await.expect_problem(status, code);
            answer(who, &booking, true).await.expect_problem(status, code);
        }
        answer(&ours.lead, &booking, true).await.expect_problem(403, "not_your_role");
        for (who, status, code) in [(&south.coordinator, 404, "not_found"), (&app.stranger(), 401, "not_signed_in")] {
            who.get(&booking).await.expect_problem(status, code);
            who.get(&format!("{}/bookings", net.path)).await.expect_problem(status, code);
        }
        let elsewhere = booking.replace(&net.path, &south.path);
        south.coordinator.get(&elsewhere).await.expect_problem(404, "not_found");
        south.coordinator.put(&format!("{elsewhere}/span"), 1, span(4, 5)).await.expect_problem(404, "not_found");
        south.coordinator.post(&format!("{elsewhere}/cancellation"), json!({})).await.expect_problem(404, "not_found");
        answer(&south.coordinator, &elsewhere, true).await.expect_problem(404, "not_found");
        let abroad = app.club(&south, "Fen RFC").await;
        book(&net, &net.coordinator, &machine, &abroad, span(4, 5)).await.expect_problem(422, "invalid");
        book(&net, &net.coordinator, &machine, &theirs, span(4, 5)).await.expect(201);
        net.coordinator.put(&format!("{booking}/span"), 1, span(6, 7)).await.expect(200);
        net.coordinator.post(&format!("{booking}/cancellation"), json!({})).await.expect(200);
        app.run_jobs().await;
    });
}

#[test]
fn every_member_sees_whose_booking_it_is_but_only_the_club_reads_its_note() {
    with_app(async |app| {
        let net = app.network("North").await;
        let (ours, theirs) = (app.club(&net, "Tansyford RFC").await, app.club(&net, "Marl End RFC").await);
        let machine = add_aerator(&net, json!({})).await;
        let mut body = wish(&machine, &ours, span(0, 1));
        body["note"] = json!("Key under the roller.");
        ours.lead.post(&format!("{}/bookings", net.path), body).await.expect(201);
        for (who, note, yours) in [
            (&ours.volunteer, "Key under the roller.", true),
            (&net.coordinator, "Key under the roller.", false),
            (&theirs.lead, "", false),
        ] {
            let list = who.get(&format!("{}/bookings", net.path)).await.expect(200);
            let booking = &list["items"][0];
            assert_eq!(booking["club_name"], "Tansyford RFC");
            assert_eq!((&booking["note"], &booking["yours"]), (&json!(note), &json!(yours)));
        }
        app.run_jobs().await;
    });
}

#[test]
fn bookings_are_listed_in_order_of_time_by_club_machine_and_date() {
    with_app(async |app| {
        let net = app.network("North").await;
        let (ours, theirs) = (app.club(&net, "Tansyford RFC").await, app.club(&net, "Marl End RFC").await);
        let (one, two) = (add_aerator(&net, json!({})).await, add_aerator(&net, json!({"name": "Spiker"})).await);
        booked(&net, &one, &ours, span(8, 9)).await;
        booked(&net, &two, &theirs, span(0, 2)).await;
        booked(&net, &one, &theirs, span(4, 5)).await;
        booked(&net, &two, &ours, span(4, 5)).await;
        let list = async |query: String| {
            let page = ours.volunteer.get(&format!("{}/bookings?{query}", net.path)).await.expect(200);
            let starts = page["items"].as_array().unwrap().iter().map(|booking| booking["span"]["from"].clone());
            (starts.collect::<Vec<_>>(), page["next_cursor"].as_str().map(str::to_owned))
        };
        let starts = |numbers: &[i64]| numbers.iter().map(|number| json!(half_day(*number))).collect::<Vec<_>>();
        assert_eq!(list(String::new()).await, (starts(&[0, 4, 4, 8]), None));
        assert_eq!(list(format!("club_id={}", ours.id)).await.0, starts(&[4, 8]));
        assert_eq!(list(format!("machine_id={two}")).await.0, starts(&[0, 4]));
        assert_eq!(list(format!("from={}", monday() + Days::new(1))).await.0, starts(&[4, 4, 8]));
        let (first, next) = list("limit=2".to_owned()).await;
        assert_eq!(first, starts(&[0, 4]));
        assert_eq!(list(format!("limit=2&cursor={}", next.unwrap())).await, (starts(&[4, 8]), None));
        app.run_jobs().await;
    });
}

#[test]
fn a_moved_booking_frees_its_old_place_and_is_charged_anew() {
    with_app(async |app| {
        let net = app.network("North").await;
        let (ours, theirs) = (app.club(&net, "Tansyford RFC").await, app.club(&net, "Marl End RFC").await);
        let machine = add_aerator(&net, json!({})).await;
        let booking = booked(&net, &machine, &ours, span(0, 1)).await;
        let moved = ours.lead.put(&format!("{booking}/span"), 1, span(4, 6)).await;
        assert_eq!(moved.etag.as_deref(), Some("\"v2\""));
        let moved = moved.expect(200);
        assert_eq!((&moved["charge_pence"], &moved["half_days"]), (&json!(12_500), &json!(2)));
        book(&net, &theirs.lead, &machine, &theirs, span(0, 1)).await.expect(201);
        // A little further, over its own old place.
        ours.lead.put(&format!("{booking}/span"), 2, span(5, 7)).await.expect(200);
        app.run_jobs().await;
        let mails = app.mails();
        assert!(mails.iter().any(|mail| mail.contains("Subject: Moved: Deep-tine aerator")), "{mails:?}");
    });
}

#[test]
fn a_move_onto_a_taken_span_leaves_the_booking_where_it_was() {
    with_app(async |app| {
        let net = app.network("North").await;
        let (ours, theirs) = (app.club(&net, "Tansyford RFC").await, app.club(&net, "Marl End RFC").await);
        let machine = add_aerator(&net, json!({})).await;
        let booking = booked(&net, &machine, &ours, span(0, 2)).await;
        booked(&net, &machine, &theirs, span(2, 4)).await;
        let before = ours.lead.get(&booking).await.expect(200);
        let path = format!("{booking}/span");
        let taken = ours.lead.put(&path, 1, span(2, 4)).await.expect_problem(409, "machine_taken");
        // Its own place is not in its way.
        assert_eq!(taken["free"][0], span(0, 2));
        ours.lead.put(&path, 1, span(27, 29)).await.expect_problem(422, "outside_availability");
        ours.lead.put(&path, 1, span(4, 14)).await.expect_problem(422, "too_long");
        ours.lead.put(&path, 7, span(4, 6)).await.expect_problem(412, "changed_meanwhile");
        ours.lead.put_plain(&path, span(4, 6)).await.expect_problem(428, "if_match_missing");
        assert_eq!(ours.lead.get(&booking).await.expect(200), before);
        assert_eq!(app.run_jobs().await, 2, "nobody is told of what did not happen");
    });
}

#[test]
fn a_cancelled_booking_frees_its_place_and_cannot_be_moved() {
    with_app(async |app| {
        let net = app.network("North").await;
        let (ours, theirs) = (app.club(&net, "Tansyford RFC").await, app.club(&net, "Marl End RFC").await);
        let machine = add_aerator(&net, json!({})).await;
        let booking = booked(&net, &machine, &ours, span(0, 2)).await;
        let cancellation = format!("{booking}/cancellation");
        let cancelled = ours.lead.post(&cancellation, json!({})).await.expect(200);
        assert_eq!(cancelled["state"], "cancelled");
        assert_eq!(ours.lead.post(&cancellation, json!({})).await.expect(200), cancelled, "once is enough");
        ours.lead.put(&format!("{booking}/span"), 2, span(4, 6)).await.expect_problem(409, "booking_ended");
        answer(&net.coordinator, &booking, true).await.expect_problem(409, "booking_ended");
        book(&net, &theirs.lead, &machine, &theirs, span(0, 2)).await.expect(201);
        app.run_jobs().await;
        let told = app.mails().iter().filter(|mail| mail.contains("Subject: Cancelled")).count();
        assert_eq!(told, 1);
    });
}

#[test]
fn what_is_over_is_neither_moved_nor_cancelled_and_what_has_begun_keeps_its_beginning() {
    with_app(async |app| {
        let net = app.network("North").await;
        let club = app.club(&net, "Tansyford RFC").await;
        let machine = add_aerator(&net, json!({"longest_half_days": 60})).await;
        // Bookings begin at midnight: what is booked "then" is booked in the small hours.
        let now = Utc::now().date_naive().and_time(NaiveTime::MIN).and_utc() + TimeDelta::hours(1);
        open(&net, &machine, json!(days(now - TimeDelta::days(20), 30))).await;
        let ago = now - TimeDelta::days(15);
        let over = book_at(&app, &net, &club, &machine, days(ago, 2), ago).await.unwrap();
        let over = format!("{}/bookings/{}", net.path, over["booking_id"].as_str().unwrap());
        club.lead.post(&format!("{over}/cancellation"), json!({})).await.expect_problem(409, "booking_ended");
        club.lead.put(&format!("{over}/span"), 1, span(0, 2)).await.expect_problem(409, "booking_ended");
        let begun_at = now - TimeDelta::days(2);
        let begun = book_at(&app, &net, &club, &machine, days(begun_at, 4), begun_at).await.unwrap();
        let begun = format!("{}/bookings/{}", net.path, begun["booking_id"].as_str().unwrap());
        let moving = format!("{begun}/span");
        let earlier = json!(days(now - TimeDelta::days(3), 4));
        club.lead.put(&moving, 1, earlier).await.expect_problem(422, "in_the_past");
        let ended = json!(days(begun_at, 1));
        club.lead.put(&moving, 1, ended).await.expect_problem(422, "in_the_past");
        club.lead.put(&moving, 1, json!(days(begun_at, 5))).await.expect(200);
        club.lead.post(&format!("{begun}/cancellation"), json!({})).await.expect(200);
        app.run_jobs().await;
    });
}

#[test]
fn a_booking_that_is_asked_for_holds_its_time_until_the_coordinator_agrees() {
    with_app(async |app| {
        let net = app.network("North").await;
        let (ours, theirs) = (app.club(&net, "Tansyford RFC").await, app.club(&net, "Marl End RFC").await);
        let machine = add_aerator(&net, json!({"coordinator_agrees": true})).await;
        let booking = booked(&net, &machine, &ours, span(0, 2)).await;
        assert_eq!(ours.lead.get(&booking).await.expect(200)["state"], "asked");
        book(&net, &theirs.lead, &machine, &theirs, span(1, 3)).await.expect_problem(409, "machine_taken");
        app.run_jobs().await;
        let mails = app.mails();
        assert_eq!(mails.len(), 2, "the club and the coordinator");
        let to_answer = mails.iter().find(|mail| mail.contains(&net.coordinator.email)).unwrap();
        assert!(
            to_answer.contains("Subject: Please answer") && to_answer.contains("Agree or refuse here"),
            "{to_answer}"
        );
        let agreed = answer(&net.coordinator, &booking, true).await.expect(200);
        assert_eq!(agreed["state"], "agreed");
        assert_eq!(answer(&net.coordinator, &booking, true).await.expect(200), agreed, "once is enough");
        answer(&net.coordinator, &booking, false).await.expect_problem(409, "booking_answered");
        // Another time needs another leave; the coordinator needs nobody's.
        let moved = ours.lead.put(&format!("{booking}/span"), 2, span(4, 6)).await.expect(200);
        assert_eq!(moved["state"], "asked");
        let moved = net.coordinator.put(&format!("{booking}/span"), 3, span(6, 8)).await.expect(200);
        assert_eq!(moved["state"], "agreed");
        let direct = book(&net, &net.coordinator, &machine, &theirs, span(0, 2)).await.expect(201);
        assert_eq!(direct["state"], "agreed");
        app.run_jobs().await;
    });
}

#[test]
fn a_refused_booking_frees_its_time_and_says_why() {
    with_app(async |app| {
        let net = app.network("North").await;
        let (ours, theirs) = (app.club(&net, "Tansyford RFC").await, app.club(&net, "Marl End RFC").await);
        let machine = add_aerator(&net, json!({"coordinator_agrees": true})).await;
        let booking = booked(&net, &machine, &ours, span(0, 2)).await;
        let refused = answer(&net.coordinator, &booking, false).await.expect(200);
        assert_eq!(
            (&refused["state"], &refused["answer_reason"]),
            (&json!("refused"), &json!("The ground is too wet."))
        );
        answer(&net.coordinator, &booking, false).await.expect(200);
        answer(&net.coordinator, &booking, true).await.expect_problem(409, "booking_ended");
        ours.lead.post(&format!("{booking}/cancellation"), json!({})).await.expect_problem(409, "booking_ended");
        assert_eq!(theirs.lead.get(&booking).await.expect(200)["answer_reason"], Value::Null);
        book(&net, &theirs.lead, &machine, &theirs, span(0, 2)).await.expect(201);
        app.run_jobs().await;
        let mails = app.mails();
        let told = mails.iter().filter(|mail| mail.contains("Subject: Refused")).collect::<Vec<_>>();
        assert!(told.len() == 1 && told[0].contains("The ground is too wet."), "{told:?}");
    });
}

#[test]
fn an_availability_cannot_shrink_away_from_under_a_booking() {
    with_app(async |app| {
        let net = app.network("North").await;
        let club = app.club(&net, "Tansyford RFC").await;
        let machine = add_aerator(&net, json!({})).await;
        booked(&net, &machine, &club, span(4, 6)).await;
        let mut owner = database::connect_as_owner(&app.owner_url).await.unwrap();
        owner.batch_execute("SET row_security = off").await.unwrap();
        let shrink =
            |until| format!("UPDATE machine_availabilities SET span = tsrange(lower(span), '{}')", half_day(until));
        let refused = sql_query(shrink(5)).execute(&mut owner).await.unwrap_err();
        let diesel::result::Error::DatabaseError(_, info) = refused else { panic!("{refused}") };
        assert_eq!(info.constraint_name(), Some("bookings_within_availability"));
        assert_eq!(sql_query(shrink(6)).execute(&mut owner).await.unwrap(), 1, "to its very end it can");
        app.run_jobs().await;
    });
}

#[test]
fn half_days_are_counted_on_the_local_clock_over_a_clock_change() {
    with_app(async |app| {
        let net = app.network("North").await;
        let club = app.club(&net, "Tansyford RFC").await;
        let machine = add_aerator(&net, json!({"longest_half_days": 14})).await;
        // The clocks go forward on Sunday 28 March 2027 (reference row h014), and back on 31 October.
        for (friday, code) in [("2027-03-26", Code::InThePast), ("2027-10-29", Code::MachineTaken)] {
            let friday: DateTime<Utc> = format!("{friday}T09:00:00Z").parse().unwrap();
            open(&net, &machine, json!(days(friday, 7))).await;
            let week = book_at(&app, &net, &club, &machine, days(friday, 5), friday).await.unwrap();
            assert_eq!((&week["half_days"], &week["charge_pence"]), (&json!(10), &json!(52_500)));
            // On Monday at 23:30 UTC it is Tuesday already while the clocks are forward: its afternoon is past.
            let monday = days(friday + Days::new(3), 1);
            let afternoon = Span { from: monday.from + TimeDelta::hours(12), ..monday };
            let late = monday.from.and_utc() + TimeDelta::minutes(23 * 60 + 30);
            assert_eq!(book_at(&app, &net, &club, &machine, afternoon, late).await, Err(code));
        }
        app.run_jobs().await;
    });
}
