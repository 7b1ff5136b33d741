//! Around a round: tractors clubs have, roads between grounds, charges that change, what a request would come to,
//! who is told.

use chrono::{TimeDelta, Utc};
use serde_json::{Value, json};
use turfring::jobs;

use crate::direct::db_sql;
use crate::harness::{App, Club, with_app};
use crate::rounds::{Yard, refused_field, with};
use crate::shed::{aerator, half_day, span};

/// A second club with a ground some way off, which has asked for a place with the first one's tractor.
async fn helped(app: &App, yard: &Yard, round: &Value) -> (Club, String, Value) {
    let club = app.club(&yard.net, "Marl End RFC").await;
    let pitch = app.pitch(&yard.net, &club, "Far pitch").await;
    let seen = club.lead.get(&format!("{}/pitches/{pitch}", yard.net.path)).await.expect(200);
    let ground = seen["ground_id"].as_str().unwrap().to_owned();
    db_sql(app, &format!("UPDATE grounds SET latitude_deg = 53.3 WHERE id = '{ground}'")).await;
    let lent = json!({
        "club_id": club.id, "ground_id": ground, "pitch_ids": [pitch], "tractor": "neighbour", "tractor_kw": null,
        "helper_club_id": yard.club.id,
    });
    let asked = club.lead.post(&format!("{}/requests", yard.at(round)), with(yard.wish(), lent)).await.expect(201);
    (club, ground, asked)
}

#[test]
fn a_club_says_what_tractors_it_has_until_places_are_offered() {
    with_app(async |app| {
        let yard = Yard::of(&app, "North").await;
        let round = yard.open().await;
        let crews = format!("{}/crews", yard.at(&round));
        let own = format!("{crews}/{}", yard.club.id);
        let lead = &yard.club.lead;
        let two = lead.put_plain(&own, json!({"crews": 2, "lends": false})).await.expect(200);
        let said = json!({"club_id": yard.club.id, "club_name": "Tansyford RFC", "crews": 2, "lends": false});
        assert_eq!(two, said);
        assert_eq!(yard.club.volunteer.get(&crews).await.expect(200), json!([said]));
        let none = lead.put_plain(&own, json!({"crews": 0, "lends": true})).await.expect(200);
        assert_eq!(none["lends"], false, "what is not there is not lent");
        lead.put_plain(&own, json!({"crews": 1, "lends": true})).await.expect(200);
        assert_eq!(lead.get(&crews).await.expect(200), json!([]), "the usual is not listed");
        for crews in [-1, 21] {
            let refused =
                lead.put_plain(&own, json!({"crews": crews, "lends": true})).await.expect_problem(422, "invalid");
            assert_eq!(refused_field(&refused), "crews");
        }
        jobs::run_due(&app.service, Utc::now() + TimeDelta::days(6)).await.unwrap();
        lead.put_plain(&own, json!({"crews": 3, "lends": true})).await.expect(200);
        db_sql(&app, "UPDATE rounds SET state = 'offered'").await;
        lead.put_plain(&own, json!({"crews": 2, "lends": true})).await.expect_problem(409, "round_not_gathering");
    });
}

#[test]
fn a_tractor_that_is_not_there_is_asked_with_by_nobody() {
    with_app(async |app| {
        let yard = Yard::of(&app, "North").await;
        let round = yard.open().await;
        let (other, _, asked) = helped(&app, &yard, &round).await;
        let own = format!("{}/crews/{}", yard.at(&round), yard.club.id);
        let say = async |crews, lends| yard.club.lead.put_plain(&own, json!({"crews": crews, "lends": lends})).await;
        let refused = say(1, false).await.expect_problem(409, "tractor_counted_on");
        assert!(refused["detail"].as_str().unwrap().starts_with("Marl End RFC asked with"), "{refused}");
        other.lead.delete(&yard.request(&asked)).await.expect(200);
        say(1, false).await.expect(200);
        let again = json!({
            "club_id": other.id, "ground_id": asked["ground_id"], "pitch_ids": [asked["pitches"][0]["pitch_id"]],
            "tractor": "neighbour", "tractor_kw": null, "helper_club_id": yard.club.id,
        });
        let path = format!("{}/requests", yard.at(&round));
        let refused = other.lead.post(&path, with(yard.wish(), again)).await.expect_problem(422, "invalid");
        assert_eq!(refused_field(&refused), "helper_club_id");
        say(0, false).await.expect(200);
        assert_eq!(refused_field(&yard.ask(&round, json!({})).await.expect_problem(422, "invalid")), "tractor");
        say(1, false).await.expect(200);
        yard.ask(&round, json!({})).await.expect(201);
        say(0, false).await.expect_problem(409, "tractor_counted_on");
    });
}

#[test]
fn saying_no_tractor_and_asking_with_it_at_once_leave_no_contradiction() {
    with_app(async |app| {
        let yard = Yard::of(&app, "North").await;
        let round = yard.open().await;
        let own = format!("{}/crews/{}", yard.at(&round), yard.club.id);
        let none = yard.club.lead.put_plain(&own, json!({"crews": 0, "lends": false}));
        let (none, asked) = futures_util::future::join(none, yard.ask(&round, json!({}))).await;
        assert!(matches!((none.status, asked.status), (200, 422) | (409, 201)), "{} {}", none.status, asked.status);
    });
}

#[test]
fn the_coordinator_corrects_a_road_and_lets_it_be_reckoned_again() {
    with_app(async |app| {
        let yard = Yard::of(&app, "North").await;
        let round = yard.open().await;
        yard.ask(&round, json!({})).await.expect(201);
        let (other, far, _) = helped(&app, &yard, &round).await;
        let roads = format!("{}/roads", yard.at(&round));
        // 0.1° of the meridian at 53.2° N is 11.13 km by the WGS84 ellipsoid; × 1.3.
        let reckoned = other.volunteer.get(&roads).await.expect(200);
        assert_eq!(reckoned.as_array().unwrap().len(), 1);
        assert_eq!((&reckoned[0]["reckoned_hm"], &reckoned[0]["corrected_hm"]), (&json!(145), &Value::Null));
        let pair = |one: &str, other: &str| format!("{}/roads/{one}/{other}", yard.net.path);
        let coordinator = &yard.net.coordinator;
        for (one, other, hm) in [(&yard.ground, &far, 182), (&far, &yard.ground, 190)] {
            let road = coordinator.put_plain(&pair(one, other), json!({"road_hm": hm})).await.expect(200);
            assert_eq!((&road["reckoned_hm"], &road["corrected_hm"]), (&json!(145), &json!(hm)));
            assert_eq!(coordinator.get(&roads).await.expect(200)[0]["corrected_hm"], hm, "the same both ways");
        }
        let from = format!("{roads}?ground_id={far}");
        assert_eq!(coordinator.get(&from).await.expect(200).as_array().unwrap().len(), 1);
        let none = format!("{roads}?ground_id={}", yard.pitch);
        assert_eq!(coordinator.get(&none).await.expect(200), json!([]));
        for hm in [-1, 20_001] {
            let refused = coordinator.put_plain(&pair(&far, &yard.ground), json!({"road_hm": hm})).await;
            assert_eq!(refused_field(&refused.expect_problem(422, "invalid")), "road_hm");
        }
        coordinator.put_plain(&pair(&far, &far), json!({"road_hm": 1})).await.expect_problem(422, "invalid");
        coordinator.put_plain(&pair(&far, &yard.pitch), json!({"road_hm": 1})).await.expect_problem(404, "not_found");
        for _ in 0..2 {
            let road = coordinator.delete(&pair(&far, &yard.ground)).await.expect(200);
            assert_eq!(road["corrected_hm"], Value::Null);
        }
    });
}

#[test]
fn a_hires_charges_change_until_the_round_is_agreed() {
    with_app(async |app| {
        let yard = Yard::of(&app, "North").await;
        let round = yard.open().await;
        let hire =
            |round: &Value| format!("{}/hires/{}", yard.at(round), round["hires"][0]["hire_id"].as_str().unwrap());
        let at = hire(&round);
        let charges = |changes: Value| with(yard.hire(), changes);
        let coordinator = &yard.net.coordinator;
        let dearer = charges(json!({"per_day_pence": 23_000, "note": "Diesel went up."}));
        let changed = coordinator.put(&at, 1, dearer.clone()).await.expect(200);
        let kept = &changed["hires"][0];
        assert_eq!((&kept["per_day_pence"], &kept["note"]), (&json!(23_000), &json!("Diesel went up.")));
        assert_eq!((&kept["span"], &changed["version"]), (&span(0, 14), &json!(2)));
        coordinator.put(&at, 1, dearer.clone()).await.expect_problem(412, "changed_meanwhile");
        for (changes, field) in [
            (json!({"per_week_pence": null, "per_day_pence": null}), "per_week_pence"),
            (json!({"delivery_pence": -1}), "per_week_pence"),
            (json!({"hauled_by": "clubs"}), "depot_latitude_deg"),
            (json!({"supplier_id": yard.machine}), "supplier_id"),
        ] {
            let refused = coordinator.put(&at, 2, charges(changes)).await.expect_problem(422, "invalid");
            assert_eq!(refused_field(&refused), field);
        }
        let nowhere = format!("{}/hires/{}", yard.at(&round), yard.machine);
        coordinator.put(&nowhere, 2, dearer.clone()).await.expect_problem(404, "not_found");
        db_sql(&app, "UPDATE rounds SET state = 'offered'").await;
        coordinator.put(&at, 2, dearer.clone()).await.expect(200);
        db_sql(&app, "UPDATE rounds SET state = 'agreed'").await;
        coordinator.put(&at, 3, dearer).await.expect_problem(409, "round_not_gathering");
    });
}

#[test]
fn a_hire_moves_until_places_are_offered_and_who_asked_is_told() {
    with_app(async |app| {
        let yard = Yard::of(&app, "North").await;
        let round = yard.open().await;
        let asked = yard.ask(&round, json!({})).await.expect(201);
        let at = format!("{}/hires/{}", yard.at(&round), round["hires"][0]["hire_id"].as_str().unwrap());
        let coordinator = &yard.net.coordinator;
        let moved = |half_days: Value| with(yard.hire(), json!({"span": half_days}));
        let later = coordinator.put(&at, 1, moved(span(2, 16))).await.expect(200);
        assert_eq!((&later["hires"][0]["span"], &later["machines"][0]["span"]), (&span(2, 16), &span(2, 16)));
        assert_eq!((&later["from_on"], &later["until_on"]), (&json!(&half_day(2)[..10]), &json!(&half_day(15)[..10])));
        let machine = coordinator.get(&format!("{}/machines/{}", yard.net.path, yard.machine)).await.expect(200);
        let there: Vec<_> = machine["availabilities"].as_array().unwrap().iter().map(|each| &each["from"]).collect();
        assert_eq!(there, [&json!(half_day(2))]);
        let kept = yard.club.lead.get(&yard.request(&asked)).await.expect(200);
        assert_eq!(kept["half_days"], asked["half_days"], "what a club allows stays as it said it");
        app.run_jobs().await;
        let told = mails_to(&app, &round, &yard.club.lead.email);
        assert_eq!(told.len(), 1);
        for words in ["Aerator in May: other days for", "Deep-tine aerator", "You can change it until "] {
            assert!(told[0].contains(words), "{words}: {}", told[0]);
        }
        let version = later["version"].as_i64().unwrap();
        for (half_days, field) in [(span(16, 2), "until"), (span(-38, 2), "span"), (span(2, 130), "span")] {
            let refused = coordinator.put(&at, version, moved(half_days)).await.expect_problem(422, "invalid");
            assert_eq!(refused_field(&refused), field);
        }
        db_sql(&app, "UPDATE rounds SET state = 'offered'").await;
        coordinator.put(&at, version, moved(span(4, 16))).await.expect_problem(409, "round_not_gathering");
        let as_it_is = moved(span(2, 16));
        coordinator.put(&at, version, as_it_is).await.expect(200);
    });
}

#[test]
fn a_hire_does_not_move_into_another_time_of_its_machine() {
    with_app(async |app| {
        let yard = Yard::of(&app, "North").await;
        let round = yard.open().await;
        let availabilities = format!("{}/machines/{}/availabilities", yard.net.path, yard.machine);
        yard.net.coordinator.post(&availabilities, span(20, 24)).await.expect(201);
        let at = format!("{}/hires/{}", yard.at(&round), round["hires"][0]["hire_id"].as_str().unwrap());
        let onto = with(yard.hire(), json!({"span": span(10, 22)}));
        yard.net.coordinator.put(&at, 1, onto).await.expect_problem(409, "availability_overlaps");
        let seen = yard.net.coordinator.get(&yard.at(&round)).await.expect(200);
        assert_eq!((&seen["hires"][0]["span"], &seen["version"]), (&span(0, 14), &json!(1)), "nothing half done");
    });
}

#[test]
fn the_coordinator_corrects_the_road_from_a_depot_that_clubs_fetch_from() {
    with_app(async |app| {
        let yard = Yard::of(&app, "North").await;
        let fetched = json!({"hauled_by": "clubs", "depot_latitude_deg": 53.3, "depot_longitude_deg": -0.9});
        let terms = with(yard.terms(), json!({"hire": with(yard.hire(), fetched.clone())}));
        let coordinator = &yard.net.coordinator;
        let round = coordinator.post(&yard.rounds(), terms).await.expect(201);
        yard.ask(&round, json!({})).await.expect(201);
        let list = format!("{}/depot-roads", yard.at(&round));
        let seen = yard.club.volunteer.get(&list).await.expect(200)[0].clone();
        assert_eq!((&seen["machine_name"], &seen["corrected_hm"]), (&json!("Deep-tine aerator"), &Value::Null));
        let hire = format!("{}/hires/{}", yard.at(&round), round["hires"][0]["hire_id"].as_str().unwrap());
        let road = format!("{hire}/roads/{}", yard.ground);
        let set = coordinator.put_plain(&road, json!({"road_hm": 321})).await.expect(200);
        assert_eq!((&set["reckoned_hm"], &set["corrected_hm"]), (&seen["reckoned_hm"], &json!(321)));
        assert_eq!(coordinator.get(&list).await.expect(200)[0]["corrected_hm"], 321);
        let far = coordinator.put_plain(&road, json!({"road_hm": 20_001})).await.expect_problem(422, "invalid");
        assert_eq!(refused_field(&far), "road_hm");
        yard.club.lead.put_plain(&road, json!({"road_hm": 9})).await.expect_problem(403, "not_your_role");
        yard.club.lead.delete(&road).await.expect_problem(403, "not_your_role");
        let nowhere = format!("{hire}/roads/{}", yard.pitch);
        coordinator.put_plain(&nowhere, json!({"road_hm": 9})).await.expect_problem(404, "not_found");
        assert_eq!(coordinator.delete(&road).await.expect(200)["corrected_hm"], Value::Null);
        coordinator.put_plain(&road, json!({"road_hm": 321})).await.expect(200);
        // Another depot is another road.
        let elsewhere = with(with(yard.hire(), fetched), json!({"depot_latitude_deg": 53.4}));
        coordinator.put(&hire, 1, elsewhere).await.expect(200);
        assert_eq!(coordinator.get(&list).await.expect(200)[0]["corrected_hm"], Value::Null);
        // What the supplier brings has no road that counts.
        coordinator.put(&hire, 2, yard.hire()).await.expect(200);
        assert_eq!(coordinator.get(&list).await.expect(200), json!([]));
        coordinator.put_plain(&road, json!({"road_hm": 321})).await.expect_problem(422, "invalid");
        let south = app.network("South").await;
        south.coordinator.get(&list).await.expect_problem(404, "not_found");
        south.coordinator.put_plain(&road, json!({"road_hm": 9})).await.expect_problem(404, "not_found");
    });
}

#[test]
fn a_neighbour_without_a_ground_lends_no_tractor() {
    with_app(async |app| {
        let yard = Yard::of(&app, "North").await;
        let round = yard.open().await;
        let nowhere = app.club(&yard.net, "Marl End RFC").await;
        let lent = json!({"tractor": "neighbour", "tractor_kw": null, "helper_club_id": nowhere.id});
        let refused = yard.ask(&round, lent.clone()).await.expect_problem(422, "invalid");
        assert_eq!(refused_field(&refused), "helper_club_id");
        assert!(refused["errors"][0]["detail"].as_str().unwrap().starts_with("Marl End RFC has no ground entered"));
        app.pitch(&yard.net, &nowhere, "Only pitch").await;
        yard.ask(&round, lent).await.expect(201);
    });
}

#[test]
fn what_a_request_would_come_to_is_reckoned_as_it_is_when_asked() {
    with_app(async |app| {
        let yard = Yard::of(&app, "North").await;
        let spiker = aerator(json!({"name": "Spiker", "speed_km_h": 4.0}));
        let spiker = yard.net.coordinator.post(&format!("{}/machines", yard.net.path), spiker).await.expect(201);
        let round = yard.open().await;
        let own = json!({"machine_id": spiker["machine_id"], "kept_ground_id": yard.ground});
        yard.net.coordinator.post(&format!("{}/machines", yard.at(&round)), own).await.expect(200);
        let path = format!("{}/requests/preview", yard.at(&round));
        let thought = json!({
            "club_id": yard.club.id, "pitch_ids": [yard.pitch], "set_up_min": 30, "half_days": [half_day(0), half_day(2)],
        });
        let preview = async |changes: Value| yard.club.lead.post(&path, with(thought.clone(), changes)).await;
        let seen = preview(json!({})).await.expect(200);
        let names: Vec<_> = seen["work"].as_array().unwrap().iter().map(|work| &work["machine_name"]).collect();
        assert_eq!(names, ["Spiker", "Deep-tine aerator"], "the quickest first");
        let asked = yard.ask(&round, json!({})).await.expect(201);
        assert_eq!(seen["work"][1]["work_min"], asked["work"][0]["work_min"]);
        assert_eq!(seen["work"][1]["capacity_formula"], "2.0 km/h × 1.6 m × 0.75 ÷ 10 = 0.24 ha/h");
        assert_eq!((&seen["work"][1]["half_days"], &seen["work"][1]["slot_min"]), (&json!(1), &json!(270)));
        assert_eq!(seen["hindrance"], Value::Null);
        let long = preview(json!({"set_up_min": 240})).await.expect(200);
        let words = "The work needs 2 half-days on end while the machine is there; the longest stretch ticked is 1.";
        assert_eq!(long["hindrance"], words);
        assert_eq!(preview(json!({"half_days": []})).await.expect(200)["hindrance"], Value::Null);
        for (changes, field) in
            [(json!({"set_up_min": 241}), "set_up_min"), (json!({"pitch_ids": [yard.ground]}), "pitch_ids")]
        {
            assert_eq!(refused_field(&preview(changes).await.expect_problem(422, "invalid")), field);
        }
        for who in [&yard.club.volunteer, &app.club(&yard.net, "Marl End RFC").await.lead] {
            who.post(&path, thought.clone()).await.expect_problem(403, "not_your_role");
        }
    });
}

#[test]
fn only_who_may_changes_tractors_roads_and_charges() {
    with_app(async |app| {
        let yard = Yard::of(&app, "North").await;
        let round = yard.open().await;
        let (other, far, _) = helped(&app, &yard, &round).await;
        let crews = format!("{}/crews/{}", yard.at(&round), yard.club.id);
        let road = format!("{}/roads/{far}/{}", yard.net.path, yard.ground);
        let hire = format!("{}/hires/{}", yard.at(&round), round["hires"][0]["hire_id"].as_str().unwrap());
        let said = json!({"crews": 2, "lends": true});
        for who in [&yard.club.treasurer, &yard.club.volunteer, &other.lead] {
            who.put_plain(&crews, said.clone()).await.expect_problem(403, "not_your_role");
        }
        for who in [&yard.club.lead, &yard.club.treasurer, &yard.club.volunteer] {
            who.put_plain(&road, json!({"road_hm": 9})).await.expect_problem(403, "not_your_role");
            who.delete(&road).await.expect_problem(403, "not_your_role");
            who.put(&hire, 1, yard.hire()).await.expect_problem(403, "not_your_role");
        }
        yard.net.coordinator.put_plain(&crews, said.clone()).await.expect(200);
        let unknown = format!("{}/crews/{}", yard.at(&round), yard.pitch);
        yard.net.coordinator.put_plain(&unknown, said).await.expect_problem(404, "not_found");
    });
}

#[test]
fn the_board_and_the_next_free_times_leave_out_what_a_round_decides_about() {
    with_app(async |app| {
        let yard = Yard::of(&app, "North").await;
        let machine = format!("{}/machines/{}", yard.net.path, yard.machine);
        yard.net.coordinator.post(&format!("{machine}/availabilities"), span(16, 20)).await.expect(201);
        let round = yard.open().await;
        let board = format!("{}/board?from={}&days=14", yard.net.path, &half_day(0)[..10]);
        let shown = |board: Value| board["machines"][0].clone();
        let seen = shown(yard.club.volunteer.get(&board).await.expect(200));
        assert_eq!(seen["free"], json!([span(16, 20)]));
        let held = json!([{"round_id": round["round_id"], "title": "Aerator in May", "span": span(0, 14)}]);
        assert_eq!(seen["rounds"], held);
        let reckoning = format!("{machine}/reckoning?club_id={}&pitch_ids={}", yard.club.id, yard.pitch);
        let reckoned = yard.club.lead.get(&reckoning).await.expect(200);
        assert_eq!(reckoned["proposals"][0]["span"], span(16, 17));
        let off = json!({"reason": "The yard sold it."});
        yard.net.coordinator.post(&format!("{}/calling-off", yard.at(&round)), off).await.expect(200);
        let seen = shown(yard.club.volunteer.get(&board).await.expect(200));
        assert_eq!((&seen["rounds"], &seen["free"]), (&json!([]), &json!([span(16, 20)])));
    });
}

/// The mails to an address, with what changes from day to day made the same.
fn mails_to(app: &App, round: &Value, address: &str) -> Vec<String> {
    let to_them = |mail: &String| mail.contains(&format!("To: {address}"));
    let mails = app.mails().into_iter().filter(to_them);
    let link = format!("/rounds/{}", round["round_id"].as_str().unwrap());
    mails.map(|mail| mail.replace("\r\n", "\n").replace(&link, "/rounds/ROUND")).collect()
}

#[test]
fn all_clubs_are_invited_and_those_that_have_not_asked_are_reminded() {
    with_app(async |app| {
        let yard = Yard::of(&app, "North").await;
        let other = app.club(&yard.net, "Marl End RFC").await;
        let round = yard.open().await;
        assert_eq!(app.run_jobs().await, 0, "the invitation waits for second thoughts");
        jobs::run_due(&app.service, Utc::now() + TimeDelta::minutes(11)).await.unwrap();
        assert_eq!(app.mails().len(), 2, "the leads of both clubs and nobody else");
        yard.ask(&round, json!({})).await.expect(201);
        jobs::run_due(&app.service, Utc::now() + TimeDelta::hours(4 * 24 + 1)).await.unwrap();
        let told = mails_to(&app, &round, &other.lead.email);
        assert_eq!(told.len(), 2);
        assert_eq!(mails_to(&app, &round, &yard.club.lead.email).len(), 1, "who has asked is not reminded");
        let (invitation, reminder) = (&told[0], &told[1]);
        for words in [
            "Aerator in May takes requests until ",
            "Deep-tine aerator: Mon ",
            "Say which pitches of Marl End RFC need it",
            "Ask here: http://turfring.test/rounds/ROUND/request",
        ] {
            assert!(invitation.contains(words), "{words}: {invitation}");
        }
        for words in ["Marl End RFC has not asked for a place.", "requests close "] {
            assert!(reminder.contains(words), "{words}: {reminder}");
        }
    });
}

#[test]
fn a_moved_deadline_moves_the_reminder_and_a_round_called_off_invites_nobody() {
    with_app(async |app| {
        let yard = Yard::of(&app, "North").await;
        let round = yard.open().await;
        let moved = with(yard.terms(), json!({"requests_close_at": Utc::now() + TimeDelta::days(8)}));
        yard.net.coordinator.put(&yard.at(&round), 1, moved).await.expect(200);
        jobs::run_due(&app.service, Utc::now() + TimeDelta::hours(4 * 24 + 1)).await.unwrap();
        assert_eq!(app.mails().len(), 1, "invited, not yet reminded");
        jobs::run_due(&app.service, Utc::now() + TimeDelta::hours(7 * 24 + 1)).await.unwrap();
        assert_eq!(app.mails().len(), 2);
        let again = with(yard.terms(), json!({"hire": with(yard.hire(), json!({"span": span(20, 24)}))}));
        let second = yard.net.coordinator.post(&yard.rounds(), again).await.expect(201);
        let off = json!({"reason": "The yard sold it."});
        yard.net.coordinator.post(&format!("{}/calling-off", yard.at(&second)), off).await.expect(200);
        jobs::run_due(&app.service, Utc::now() + TimeDelta::days(5)).await.unwrap();
        assert_eq!(app.mails().len(), 2);
    });
}

#[test]
fn who_asked_is_told_that_a_round_is_called_off() {
    with_app(async |app| {
        let yard = Yard::of(&app, "North").await;
        app.club(&yard.net, "Marl End RFC").await;
        let round = yard.open().await;
        yard.ask(&round, json!({})).await.expect(201);
        let off = json!({"reason": "The yard sold it."});
        yard.net.coordinator.post(&format!("{}/calling-off", yard.at(&round)), off).await.expect(200);
        app.run_jobs().await;
        assert_eq!(app.mails().len(), 1);
        let told = mails_to(&app, &round, &yard.club.lead.email).remove(0);
        let (head, text) = told.split_once("\n\n").unwrap();
        assert!(head.contains("Subject: Aerator in May was called off"), "{head}");
        insta::assert_snapshot!(text.trim_end(), @"
        Hello lead,

        Aerator in May was called off. The reason: The yard sold it.

        Tansyford RFC had asked for a place in it. Nothing comes, and nothing is owed for it.

        The round: http://turfring.test/rounds/ROUND
        ");
    });
}

#[test]
fn the_coordinator_is_told_to_plan_a_round_that_has_closed() {
    with_app(async |app| {
        let yard = Yard::of(&app, "North").await;
        let round = yard.open().await;
        yard.ask(&round, json!({})).await.expect(201);
        let told = async |who: &crate::harness::User| {
            let needs = who.get(&format!("{}/needs", yard.net.path)).await.expect(200);
            let needs = needs["items"].as_array().unwrap().clone();
            let of_kind = needs.into_iter().filter(|need| need["kind"] == "round_to_plan");
            of_kind.map(|need| (need["sentence"].clone(), need["href"].clone())).collect::<Vec<_>>()
        };
        assert!(told(&yard.net.coordinator).await.is_empty());
        jobs::run_due(&app.service, Utc::now() + TimeDelta::days(6)).await.unwrap();
        let href = format!("/rounds/{}", round["round_id"].as_str().unwrap());
        let plan = (json!("“Aerator in May”: requests have closed. Plan the round."), json!(href));
        assert_eq!(told(&yard.net.coordinator).await, [plan]);
        assert!(told(&yard.club.lead).await.is_empty());
        db_sql(&app, "UPDATE rounds SET state = 'offered'").await;
        assert!(told(&yard.net.coordinator).await.is_empty());
    });
}
