//! Calendars behind secret addresses, as phones read them.

use std::path::PathBuf;

use chrono::{DateTime, TimeDelta, Utc};
use serde_json::json;
use turfring::bookings::{FeedOf, make_feed, read_feed};
use turfring::database::Scope;
use turfring::machines::Span;

use crate::bookings::{book_at, days};
use crate::harness::{App, Club, Net, PUBLIC_URL, User, with_app};
use crate::shed::{add_aerator, booked, open, span};

/// The path of a calendar just made.
async fn make(net: &Net, who: &User, of: serde_json::Value) -> String {
    let made = who.post(&format!("{}/calendar-feed", net.path), of).await.expect(200);
    made["address"].as_str().unwrap().strip_prefix(PUBLIC_URL).unwrap().to_owned()
}

#[test]
fn a_calendar_shows_a_clubs_bookings_to_whoever_has_its_address() {
    with_app(async |app| {
        let net = app.network("North").await;
        let (ours, theirs) = (app.club(&net, "Tansyford RFC").await, app.club(&net, "Marl End RFC").await);
        let machine = add_aerator(&net, json!({})).await;
        let asking = add_aerator(&net, json!({"name": "Spiker", "coordinator_agrees": true})).await;
        booked(&net, &machine, &ours, span(0, 2)).await;
        booked(&net, &asking, &ours, span(4, 5)).await;
        let given_up = booked(&net, &machine, &ours, span(6, 8)).await;
        ours.lead.post(&format!("{given_up}/cancellation"), json!({})).await.expect(200);
        booked(&net, &machine, &theirs, span(8, 10)).await;
        let path = make(&net, &ours.lead, json!({"club_id": ours.id})).await;
        let reply = app.stranger().get(&path).await;
        assert_eq!((reply.status, reply.content_type.as_str()), (200, "text/calendar; charset=utf-8"));
        let text = &reply.text;
        assert_eq!(text.matches("BEGIN:VEVENT\r\n").count(), 3, "{text}");
        assert_eq!(text.matches("SUMMARY:Deep-tine aerator — Tansyford RFC\r\n").count(), 2, "{text}");
        assert_eq!(text.matches("SUMMARY:Spiker — Tansyford RFC\r\n").count(), 1, "{text}");
        for status in ["CONFIRMED", "TENTATIVE", "CANCELLED"] {
            assert_eq!(text.matches(&format!("STATUS:{status}\r\n")).count(), 1, "{text}");
        }
        assert!(text.contains(&format!("UID:{}\r\n", given_up.rsplit('/').next().unwrap())), "{text}");
        assert!(text.contains("SEQUENCE:1\r\n"), "the cancelled one is a later version: {text}");
        let machines = make(&net, &net.coordinator, json!({"machine_id": machine})).await;
        let text = app.stranger().get(&machines).await.text;
        assert_eq!(text.matches("SUMMARY:").count(), 3, "{text}");
        assert!(text.contains("X-WR-CALNAME:Deep-tine aerator\r\n"), "{text}");
        app.run_jobs().await;
    });
}

#[test]
fn a_replaced_address_and_a_guessed_one_open_nothing() {
    with_app(async |app| {
        let (net, south) = (app.network("North").await, app.network("South").await);
        let club = app.club(&net, "Tansyford RFC").await;
        let asked = format!("{}/calendar-feed?club_id={}", net.path, club.id);
        assert_eq!(club.lead.get(&asked).await.expect(200), json!({"address": null}));
        let first = make(&net, &club.lead, json!({"club_id": club.id})).await;
        app.stranger().get(&first).await.expect(200);
        let second = make(&net, &club.lead, json!({"club_id": club.id})).await;
        assert_eq!(club.lead.get(&asked).await.expect(200)["address"], format!("{PUBLIC_URL}{second}"));
        app.stranger().get(&second).await.expect(200);
        app.stranger().get(&first).await.expect_problem(404, "not_found");
        let elsewhere = second.replace(&net.id.to_string(), &south.id.to_string());
        app.stranger().get(&elsewhere).await.expect_problem(404, "not_found");
        for guess in ["guess", "%00", "..%2F"] {
            let path = format!("/calendars/{}/{guess}.ics", net.id);
            app.stranger().get(&path).await.expect_problem(404, "not_found");
        }
        app.stranger().get("/calendars/nowhere/guess.ics").await.expect_problem(404, "not_found");
    });
}

#[test]
fn only_a_clubs_grounds_lead_and_the_coordinator_see_and_replace_an_address() {
    with_app(async |app| {
        let (net, south) = (app.network("North").await, app.network("South").await);
        let (ours, theirs) = (app.club(&net, "Tansyford RFC").await, app.club(&net, "Marl End RFC").await);
        let network_machine = add_aerator(&net, json!({})).await;
        let own_machine = add_aerator(&net, json!({"name": "Spiker", "owner_club_id": ours.id})).await;
        let path = format!("{}/calendar-feed", net.path);
        let club = ("club_id", ours.id.to_string());
        let machine = ("machine_id", own_machine.clone());
        for (who, status, code) in [
            (&ours.treasurer, 403, "not_your_role"),
            (&ours.volunteer, 403, "not_your_role"),
            (&theirs.lead, 403, "not_your_role"),
            (&south.coordinator, 404, "not_found"),
            (&app.stranger(), 401, "not_signed_in"),
        ] {
            for (kind, id) in [&club, &machine] {
                who.get(&format!("{path}?{kind}={id}")).await.expect_problem(status, code);
                who.post(&path, json!({*kind: id})).await.expect_problem(status, code);
            }
        }
        for who in [&ours.lead, &net.coordinator] {
            for (kind, id) in [&club, &machine] {
                make(&net, who, json!({*kind: id})).await;
                who.get(&format!("{path}?{kind}={id}")).await.expect(200);
            }
        }
        let of_network = format!("{path}?machine_id={network_machine}");
        ours.lead.get(&of_network).await.expect_problem(403, "not_your_role");
        net.coordinator.get(&of_network).await.expect(200);
        net.coordinator.get(&format!("{path}?club_id={}", net.id)).await.expect_problem(404, "not_found");
        let elsewhere = format!("{}/calendar-feed?club_id={}", south.path, ours.id);
        south.coordinator.get(&elsewhere).await.expect_problem(404, "not_found");
        for neither in ["", "?club_id=ours"] {
            let status = if neither.is_empty() { (422, "invalid") } else { (400, "unreadable") };
            net.coordinator.get(&format!("{path}{neither}")).await.expect_problem(status.0, status.1);
        }
        let both = json!({"club_id": ours.id, "machine_id": own_machine});
        net.coordinator.post(&path, both).await.expect_problem(422, "invalid");
    });
}

#[test]
fn a_cancelled_booking_leaves_the_calendar_after_thirty_days_and_an_old_one_after_a_year() {
    with_app(async |app| {
        let net = app.network("North").await;
        let club = app.club(&net, "Tansyford RFC").await;
        let machine = add_aerator(&net, json!({})).await;
        booked(&net, &machine, &club, span(0, 2)).await;
        let given_up = booked(&net, &machine, &club, span(2, 4)).await;
        club.lead.post(&format!("{given_up}/cancellation"), json!({})).await.expect(200);
        let feed = feed(&app, &net, FeedOf::Club(club.id)).await;
        let events = async |after_days| {
            let text = feed(Utc::now() + TimeDelta::days(after_days)).await;
            text.matches("BEGIN:VEVENT").count()
        };
        assert_eq!((events(29).await, events(31).await, events(500).await), (2, 1, 0));
        app.run_jobs().await;
    });
}

/// Makes a calendar, and reads it as it would be at any time.
async fn feed<'a>(app: &'a App, net: &'a Net, of: FeedOf) -> impl AsyncFn(DateTime<Utc>) -> String + 'a {
    let mut tx = app.service.db.begin(Scope::Network(net.id)).await.unwrap();
    let secret = make_feed(&mut tx, net.id, of, Utc::now()).await.unwrap();
    tx.commit().await.unwrap();
    async move |now| {
        let mut tx = app.service.db.begin(Scope::Network(net.id)).await.unwrap();
        read_feed(&mut tx, net.id, &secret, PUBLIC_URL, now).await.unwrap()
    }
}

/// Names that a careless writer of calendars trips over: what the format escapes, folds and encodes.
const AWKWARD: [&str; 6] = [
    "Größe; Äcker, Öhr & Übermaß RFC",
    "Back\\slash, semi;colon: and \"quotes\" RUFC",
    "老虎 🏉 RFC",
    "A club whose name is so long that no line of a calendar could ever hold all of it, not even one of the longest lines",
    "Ends in spaces  and  has  them   inside RFC",
    "BEGIN:VEVENT",
];

/// Writes samples for `tests/reference/test_calendar.py`, which reads them with another library.
#[test]
fn awkward_names_and_a_clock_change_make_a_calendar_that_folds_and_escapes() {
    with_app(async |app| {
        let net = app.network("North").await;
        let machine_name =
            "Deep-tine aerator, 1.6 m; \"the heavy one\" — with trailer, spare tines, and a name that runs on";
        let machine = add_aerator(&net, json!({"name": machine_name, "longest_half_days": 14})).await;
        // The clocks go forward on 28 March 2027 (reference row h014).
        let now: DateTime<Utc> = "2027-03-01T09:00:00Z".parse().unwrap();
        open(&net, &machine, json!(days(now, 60))).await;
        let mut clubs: Vec<Club> = Vec::new();
        for (number, name) in (0_i64..).zip(AWKWARD) {
            let club = app.club_at(&net, name, &format!("club{number}.test")).await;
            for week in 0..4 {
                let from = days(now + TimeDelta::days(13 + 7 * week + number), 1).from;
                let span = Span { from, until: from + TimeDelta::hours(12 * (1 + week % 2)) };
                book_at(&app, &net, &club, &machine, span, now).await.unwrap();
            }
            clubs.push(club);
        }
        let folder = sample_folder();
        std::fs::create_dir_all(&folder).unwrap();
        let ofs = clubs
            .iter()
            .map(|club| FeedOf::Club(club.id))
            .chain([FeedOf::Machine(machine.parse().map(turfring::ids::MachineId).unwrap())]);
        for (number, of) in ofs.enumerate() {
            let text = feed(&app, &net, of).await(now).await;
            assert!(text.lines().all(|line| line.trim_end_matches('\r').len() <= 75), "{text}");
            assert!(
                text.ends_with("END:VCALENDAR\r\n") && !text.replace("\r\n", "").contains(['\r', '\n']),
                "{text:?}"
            );
            std::fs::write(folder.join(format!("bookings-{number}.ics")), text).unwrap();
        }
        app.run_jobs().await;
    });
}

fn sample_folder() -> PathBuf {
    let beside = || PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../../target/calendar-samples");
    std::env::var_os("CALENDAR_SAMPLES").map_or_else(beside, PathBuf::from)
}
