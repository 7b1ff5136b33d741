//! Rounds: opening one with a hire, adding machines, asking for places, the deadline.

use chrono::{Days, TimeDelta, Utc};
use futures_util::future::join_all;
use serde_json::{Value, json};
use turfring::jobs;

use crate::direct::db_sql;
use crate::harness::{App, Club, Net, Reply, User, with_app};
use crate::shed::{aerator, book, half_day, hire, hired_round, monday, place, span};

/// A network with a supplier, an aerator to hire and a club with a pitch.
pub struct Yard {
    pub net: Net,
    pub club: Club,
    pub machine: String,
    pub supplier: String,
    pub pitch: String,
    pub ground: String,
}

impl Yard {
    pub async fn of(app: &App, name: &str) -> Self {
        let net = app.network(name).await;
        let club = app.club(&net, "Tansyford RFC").await;
        let pitch = app.pitch(&net, &club, "Pitch 1").await;
        let seen = club.lead.get(&format!("{}/pitches/{pitch}", net.path)).await.expect(200);
        let machine = net.coordinator.post(&format!("{}/machines", net.path), aerator(json!({}))).await.expect(201);
        let hirer = json!({"name": "The hire yard", "email": null, "phone": null, "note": ""});
        let supplier = net.coordinator.post(&format!("{}/suppliers", net.path), hirer).await.expect(201);
        let text = |value: &Value, name: &str| value[name].as_str().unwrap().to_owned();
        Self {
            pitch,
            ground: text(&seen, "ground_id"),
            machine: text(&machine, "machine_id"),
            supplier: text(&supplier, "supplier_id"),
            net,
            club,
        }
    }

    pub fn hire(&self) -> Value {
        hire(&self.machine, &self.supplier)
    }

    pub fn terms(&self) -> Value {
        hired_round(&self.machine, &self.supplier)
    }

    pub async fn open(&self) -> Value {
        self.net.coordinator.post(&self.rounds(), self.terms()).await.expect(201)
    }

    pub fn rounds(&self) -> String {
        format!("{}/rounds", self.net.path)
    }

    pub fn at(&self, round: &Value) -> String {
        format!("{}/{}", self.rounds(), round["round_id"].as_str().unwrap())
    }

    pub fn wish(&self) -> Value {
        place((&self.club.id.to_string(), &self.ground, &self.pitch))
    }

    pub async fn ask(&self, round: &Value, changes: Value) -> Reply {
        self.club.lead.post(&format!("{}/requests", self.at(round)), with(self.wish(), changes)).await
    }

    pub fn request(&self, request: &Value) -> String {
        format!("{}/requests/{}", self.net.path, request["request_id"].as_str().unwrap())
    }
}

pub fn with(mut whole: Value, changes: Value) -> Value {
    for (name, value) in changes.as_object().unwrap() {
        whole[name] = value.clone();
    }
    whole
}

pub fn refused_field(refused: &Value) -> &str {
    refused["errors"][0]["field"].as_str().unwrap()
}

#[test]
fn a_coordinator_opens_a_round_and_a_club_asks_for_a_place() {
    with_app(async |app| {
        let yard = Yard::of(&app, "North").await;
        let round = yard.open().await;
        assert_eq!((&round["state"], &round["requests"]), (&json!("gathering"), &json!(0)));
        assert_eq!(round["machines"][0]["span"], span(0, 14));
        assert_eq!(round["hires"][0]["supplier_name"], "The hire yard");
        assert_eq!((&round["from_on"], &round["until_on"]), (&json!(monday()), &json!(monday() + Days::new(6))));
        let asked = yard.ask(&round, json!({})).await.expect(201);
        // 110 m × 70 m at 2.0 km/h × 1.6 m × 0.75 ÷ 10 = 0.24 ha/h (ASABE EP496): 3 h 13 min, and half an hour to set up.
        assert_eq!((&asked["work"][0]["work_min"], &asked["work"][0]["slots"]), (&json!(223), &json!(1)));
        assert_eq!((&asked["yours"], &asked["note"]), (&json!(true), &json!("Gate on the lane.")));
        let elsewhere = app.club(&yard.net, "Marl End RFC").await;
        let seen = elsewhere.volunteer.get(&format!("{}/requests", yard.at(&round))).await.expect(200);
        assert_eq!(seen["items"][0]["half_days"], asked["half_days"]);
        assert_eq!((&seen["items"][0]["yours"], &seen["items"][0]["note"]), (&json!(false), &json!("")));
        let own = yard.club.treasurer.get(&yard.at(&round)).await.expect(200);
        assert_eq!((&own["requests"], &own["your_requests"]), (&json!(1), &json!(1)));
        let round = elsewhere.lead.get(&yard.at(&round)).await.expect(200);
        assert_eq!((&round["requests"], &round["your_requests"]), (&json!(1), &json!(0)));
        assert_eq!(elsewhere.lead.get(&yard.rounds()).await.expect(200)["items"], json!([round]));
    });
}

#[test]
fn a_request_is_changed_and_taken_back_until_the_deadline_and_not_after() {
    with_app(async |app| {
        let yard = Yard::of(&app, "North").await;
        let round = yard.open().await;
        let asked = yard.ask(&round, json!({})).await.expect(201);
        let at = yard.request(&asked);
        let other = with(yard.wish(), json!({"need": 5, "wishes": [], "half_days": [half_day(3)]}));
        let changed = yard.club.lead.put(&at, 1, other.clone()).await.expect(200);
        assert_eq!((&changed["need"], &changed["half_days"]), (&json!(5), &json!([half_day(3)])));
        yard.club.lead.put(&at, 1, other.clone()).await.expect_problem(412, "changed_meanwhile");
        yard.ask(&round, json!({})).await.expect_problem(409, "already_asked");
        assert_eq!(yard.club.lead.delete(&at).await.expect(200)["state"], "withdrawn");
        yard.club.lead.delete(&at).await.expect(200);
        yard.club.lead.put(&at, 3, other.clone()).await.expect_problem(409, "request_withdrawn");
        let again = yard.request(&yard.ask(&round, json!({})).await.expect(201));

        jobs::run_due(&app.service, Utc::now() + TimeDelta::days(6)).await.unwrap();
        let closed = yard.net.coordinator.get(&yard.at(&round)).await.expect(200);
        assert_eq!((&closed["state"], &closed["requests"]), (&json!("requests_closed"), &json!(1)));
        yard.ask(&round, json!({})).await.expect_problem(409, "round_not_gathering");
        yard.club.lead.put(&again, 1, other).await.expect_problem(409, "round_not_gathering");
        yard.club.lead.delete(&again).await.expect_problem(409, "round_not_gathering");
    });
}

#[test]
fn the_deadline_counts_although_the_queue_is_late_and_a_moved_one_is_kept() {
    with_app(async |app| {
        let yard = Yard::of(&app, "North").await;
        let round = yard.open().await;
        let moved = with(yard.terms(), json!({"requests_close_at": Utc::now() + TimeDelta::days(8)}));
        let round = yard.net.coordinator.put(&yard.at(&round), 1, moved).await.expect(200);
        jobs::run_due(&app.service, Utc::now() + TimeDelta::days(6)).await.unwrap();
        assert_eq!(yard.net.coordinator.get(&yard.at(&round)).await.expect(200)["state"], "gathering");
        db_sql(&app, "UPDATE rounds SET requests_close_at = now() - interval '1 second'").await;
        yard.ask(&round, json!({})).await.expect_problem(409, "round_not_gathering");
    });
}

#[test]
fn each_request_that_cannot_be_served_is_refused_in_its_field() {
    with_app(async |app| {
        let yard = Yard::of(&app, "North").await;
        let round = yard.open().await;
        let other = app.club(&yard.net, "Marl End RFC").await;
        let foreign = app.pitch(&yard.net, &other, "Pitch 9").await;
        for (changes, code, field) in [
            (json!({"half_days": []}), "invalid", "half_days"),
            (json!({"half_days": [half_day(14)], "wishes": []}), "invalid", "half_days"),
            (json!({"half_days": ["2027-05-04T06:00:00"], "wishes": []}), "not_half_days", "half_days"),
            (json!({"wishes": [monday() + Days::new(3)]}), "invalid", "wishes"),
            (json!({"wishes": [monday(), monday()]}), "invalid", "wishes"),
            (json!({"set_up_min": 120, "half_days": [half_day(0), half_day(2)]}), "request_too_long", "half_days"),
            (json!({"depth_mm": 301}), "invalid", "depth_mm"),
            (json!({"depth_mm": -4}), "invalid", "depth_mm"),
            (json!({"tractor_kw": 29.9}), "tractor_too_weak", "tractor_kw"),
            (json!({"tractor_kw": null}), "invalid", "tractor_kw"),
            (json!({"tractor": "neighbour", "tractor_kw": null}), "invalid", "helper_club_id"),
            (
                json!({"tractor": "neighbour", "tractor_kw": null, "helper_club_id": yard.club.id}),
                "invalid",
                "helper_club_id",
            ),
            (
                json!({"tractor": "neighbour", "tractor_kw": null, "helper_club_id": yard.pitch}),
                "invalid",
                "helper_club_id",
            ),
            (json!({"need": 6}), "invalid", "need"),
            (json!({"set_up_min": 999}), "invalid", "set_up_min"),
            (json!({"pitch_ids": []}), "invalid", "pitch_ids"),
            (json!({"pitch_ids": [foreign]}), "invalid", "pitch_ids"),
            (json!({"ground_id": yard.pitch}), "invalid", "pitch_ids"),
        ] {
            let refused = yard.ask(&round, changes.clone()).await.expect_problem(422, code);
            assert_eq!(refused_field(&refused), field, "{changes}");
        }
        let lent = json!({"tractor": "neighbour", "tractor_kw": null, "helper_club_id": other.id});
        assert_eq!(yard.ask(&round, lent).await.expect(201)["helper_club_name"], "Marl End RFC");
    });
}

#[test]
fn a_work_of_two_half_days_needs_two_running_or_a_whole_day() {
    with_app(async |app| {
        let yard = Yard::of(&app, "North").await;
        let by_days = with(yard.terms(), json!({"grain": "days"}));
        let round = yard.net.coordinator.post(&yard.rounds(), by_days).await.expect(201);
        let apart = json!({"set_up_min": 120, "half_days": [half_day(1), half_day(2)], "wishes": []});
        yard.ask(&round, apart).await.expect_problem(422, "request_too_long");
        let whole = json!({"set_up_min": 120, "half_days": [half_day(2), half_day(3)], "wishes": []});
        assert_eq!(yard.ask(&round, whole).await.expect(201)["work"][0]["slots"], 1);
    });
}

#[test]
fn each_round_that_cannot_be_is_refused_in_its_field() {
    with_app(async |app| {
        let yard = Yard::of(&app, "North").await;
        let hire = |changes| json!({"hire": with(yard.hire(), changes)});
        for (changes, code, field) in [
            (json!({"requests_close_at": Utc::now() - TimeDelta::hours(1)}), "invalid", "requests_close_at"),
            (json!({"requests_close_at": Utc::now() + TimeDelta::days(90)}), "invalid", "requests_close_at"),
            (json!({"title": " "}), "invalid", "title"),
            (json!({"hm_per_point": 0}), "invalid", "hm_per_point"),
            (json!({"guarantee_after": 11}), "invalid", "guarantee_after"),
            (hire(json!({"span": span(4, 2)})), "invalid", "hire.until"),
            (hire(json!({"span": span(0, 122)})), "invalid", "hire.span"),
            (hire(json!({"per_week_pence": null, "per_day_pence": null})), "invalid", "hire.per_week_pence"),
            (hire(json!({"delivery_pence": -1})), "invalid", "hire.per_week_pence"),
            (hire(json!({"hauled_by": "clubs"})), "invalid", "hire.depot_latitude_deg"),
            (hire(json!({"depot_latitude_deg": 53.0})), "invalid", "hire.depot_latitude_deg"),
            (
                hire(json!({"depot_latitude_deg": 153.0, "depot_longitude_deg": 0.0})),
                "invalid",
                "hire.depot_latitude_deg",
            ),
            (hire(json!({"supplier_id": yard.machine})), "invalid", "hire.supplier_id"),
        ] {
            let refused = yard
                .net
                .coordinator
                .post(&yard.rounds(), with(yard.terms(), changes.clone()))
                .await
                .expect_problem(422, code);
            assert_eq!(refused_field(&refused), field, "{changes}");
        }
        let unknown = with(yard.terms(), hire(json!({"machine_id": yard.supplier})));
        yard.net.coordinator.post(&yard.rounds(), unknown).await.expect_problem(404, "not_found");
        assert_eq!(yard.net.coordinator.get(&yard.rounds()).await.expect(200)["items"], json!([]), "nothing half done");
    });
}

#[test]
fn a_hired_machine_is_not_booked_past_the_others_while_its_round_is_open() {
    with_app(async |app| {
        let yard = Yard::of(&app, "North").await;
        let round = yard.open().await;
        for who in [&yard.club.lead, &yard.net.coordinator] {
            book(&yard.net, who, &yard.machine, &yard.club, span(0, 2)).await.expect_problem(409, "ask_for_place");
        }
        let again = json!({
            "machine_id": yard.machine, "club_id": yard.club.id, "first": span(0, 2), "rule": "FREQ=WEEKLY;COUNT=3",
        });
        let preview = format!("{}/standing-bookings/preview", yard.net.path);
        let preview = yard.club.lead.post(&preview, again).await.expect(200);
        assert_eq!(preview["occurrences"][0]["clash"]["code"], "ask_for_place");
        let machine = format!("{}/machines/{}", yard.net.path, yard.machine);
        let seen = yard.net.coordinator.get(&machine).await.expect(200);
        let time =
            format!("{machine}/availabilities/{}", seen["availabilities"][0]["availability_id"].as_str().unwrap());
        yard.net.coordinator.delete(&time).await.expect_problem(409, "availability_in_use");
        db_sql(&app, "UPDATE rounds SET state = 'agreed'").await;
        book(&yard.net, &yard.club.lead, &yard.machine, &yard.club, span(0, 2)).await.expect(201);
        let at = format!("{}/calling-off", yard.at(&round));
        let why = json!({"reason": "The yard sold it."});
        yard.net.coordinator.post(&at, why).await.expect_problem(409, "round_not_gathering");
        app.run_jobs().await;
    });
}

#[test]
fn a_round_takes_further_hires_and_own_machines_each_once() {
    with_app(async |app| {
        let yard = Yard::of(&app, "North").await;
        let round = yard.open().await;
        let spiker = aerator(json!({"name": "Spiker", "kind": "spiker", "max_depth_mm": 100}));
        let own = yard.net.coordinator.post(&format!("{}/machines", yard.net.path), spiker).await.expect(201);
        let machines = format!("{}/machines", yard.at(&round));
        let add = json!({"machine_id": own["machine_id"], "kept_ground_id": yard.ground});
        let grown = yard.net.coordinator.post(&machines, add.clone()).await.expect(200);
        assert_eq!(grown["machines"][1]["span"], span(0, 14), "an owned machine is there the whole round");
        yard.net.coordinator.post(&machines, add).await.expect_problem(409, "already_in_round");
        let nowhere = json!({"machine_id": yard.machine, "kept_ground_id": yard.pitch});
        yard.net.coordinator.post(&machines, nowhere).await.expect_problem(409, "already_in_round");
        let hires = format!("{}/hires", yard.at(&round));
        let same = with(yard.hire(), json!({"span": span(20, 24)}));
        yard.net.coordinator.post(&hires, same).await.expect_problem(409, "already_in_round");
        let overlapping = with(yard.hire(), json!({"span": span(2, 4)}));
        yard.net.coordinator.post(&hires, overlapping).await.expect_problem(409, "availability_overlaps");
        let second = aerator(json!({"name": "Second aerator"}));
        let second = yard.net.coordinator.post(&format!("{}/machines", yard.net.path), second).await.expect(201);
        let early = with(yard.hire(), json!({"machine_id": second["machine_id"], "span": span(-28, -20)}));
        let refused = yard.net.coordinator.post(&hires, early).await.expect_problem(422, "invalid");
        assert_eq!(refused_field(&refused), "span", "it would have come before clubs could ask");
        let later = with(yard.hire(), json!({"machine_id": second["machine_id"], "span": span(10, 18)}));
        let grown = yard.net.coordinator.post(&hires, later).await.expect(201);
        assert_eq!(
            (&grown["until_on"], grown["hires"].as_array().unwrap().len()),
            (&json!(monday() + Days::new(8)), 2)
        );
    });
}

#[test]
fn a_round_is_called_off_with_a_reason_and_then_takes_nothing() {
    with_app(async |app| {
        let yard = Yard::of(&app, "North").await;
        let round = yard.open().await;
        let at = format!("{}/calling-off", yard.at(&round));
        yard.net.coordinator.post(&at, json!({"reason": " "})).await.expect_problem(422, "invalid");
        let off = yard.net.coordinator.post(&at, json!({"reason": "The yard sold it."})).await.expect(200);
        assert_eq!((&off["state"], &off["called_off_reason"]), (&json!("called_off"), &json!("The yard sold it.")));
        let machine =
            yard.net.coordinator.get(&format!("{}/machines/{}", yard.net.path, yard.machine)).await.expect(200);
        assert_eq!(machine["availabilities"], json!([]), "nobody can book what is not on hire");
        let booked = book(&yard.net, &yard.club.lead, &yard.machine, &yard.club, span(0, 2)).await;
        booked.expect_problem(422, "outside_availability");
        yard.ask(&round, json!({})).await.expect_problem(409, "round_not_gathering");
        let terms = yard.net.coordinator.put(&yard.at(&round), 2, yard.terms()).await;
        terms.expect_problem(409, "round_not_gathering");
        let hire = yard.net.coordinator.post(&format!("{}/hires", yard.at(&round)), yard.hire()).await;
        hire.expect_problem(409, "round_not_gathering");
    });
}

#[test]
fn only_the_coordinator_runs_rounds_and_only_the_club_asks_for_itself() {
    with_app(async |app| {
        let yard = Yard::of(&app, "North").await;
        let round = yard.open().await;
        let asked = yard.ask(&round, json!({})).await.expect(201);
        let other = app.club(&yard.net, "Marl End RFC").await;
        let (at, request) = (yard.at(&round), yard.request(&asked));
        for who in [&yard.club.lead, &yard.club.treasurer, &yard.club.volunteer] {
            who.post(&yard.rounds(), yard.terms()).await.expect_problem(403, "not_your_role");
            who.put(&at, 1, yard.terms()).await.expect_problem(403, "not_your_role");
            who.post(&format!("{at}/hires"), yard.hire()).await.expect_problem(403, "not_your_role");
            who.post(&format!("{at}/calling-off"), json!({"reason": "No."})).await.expect_problem(403, "not_your_role");
        }
        for who in [&yard.club.treasurer, &yard.club.volunteer, &other.lead] {
            who.post(&format!("{at}/requests"), yard.wish()).await.expect_problem(403, "not_your_role");
            who.put(&request, 1, yard.wish()).await.expect_problem(403, "not_your_role");
            who.delete(&request).await.expect_problem(403, "not_your_role");
        }
        let for_another = with(yard.wish(), json!({"club_id": other.id}));
        yard.net.coordinator.put(&request, 1, for_another).await.expect_problem(422, "invalid");
        yard.net.coordinator.put(&request, 1, yard.wish()).await.expect(200);
    });
}

#[test]
fn strangers_and_other_networks_find_no_round() {
    with_app(async |app| {
        let (north, south) = (Yard::of(&app, "North").await, app.network("South").await);
        let round = north.open().await;
        let asked = north.ask(&round, json!({})).await.expect(201);
        let (at, request) = (north.at(&round), north.request(&asked));
        for (who, status, code) in [(&app.stranger(), 401, "not_signed_in"), (&south.coordinator, 404, "not_found")] {
            for path in [&north.rounds(), &at, &format!("{at}/requests"), &request] {
                who.get(path).await.expect_problem(status, code);
            }
            who.post(&north.rounds(), north.terms()).await.expect_problem(status, code);
            who.put(&at, 1, north.terms()).await.expect_problem(status, code);
            who.post(&format!("{at}/requests"), north.wish()).await.expect_problem(status, code);
            who.put(&request, 1, north.wish()).await.expect_problem(status, code);
            who.delete(&request).await.expect_problem(status, code);
        }
        let moved = request.replace(&north.net.path, &south.path);
        south.coordinator.get(&moved).await.expect_problem(404, "not_found");
        let moved = at.replace(&north.net.path, &south.path);
        south.coordinator.get(&format!("{moved}/requests")).await.expect_problem(404, "not_found");
    });
}

#[test]
fn of_many_requests_for_one_ground_at_once_one_is_kept_and_a_repeat_changes_nothing() {
    with_app(async |app| {
        let yard = Yard::of(&app, "North").await;
        let round = yard.open().await;
        let path = format!("{}/requests", yard.at(&round));
        let all = join_all((0..12).map(|_| yard.club.lead.post(&path, yard.wish()))).await;
        let kept = all.iter().filter(|reply| reply.status == 201).count();
        assert_eq!(kept, 1, "{:?}", all.iter().map(|reply| reply.status).collect::<Vec<_>>());
        assert!(all.iter().all(|reply| [201, 409].contains(&reply.status)));
        let key = [("Idempotency-Key", "again")];
        let other = with(yard.wish(), json!({"club_id": app.club(&yard.net, "Marl End RFC").await.id}));
        let repeat = async |who: &User| who.send("POST", &path, Some(other.clone()), &key).await;
        repeat(&yard.net.coordinator).await.expect_problem(422, "invalid");
        let items = yard.club.lead.get(&path).await.expect(200)["items"].as_array().unwrap().len();
        assert_eq!(items, 1);
    });
}

#[test]
fn changing_and_taking_back_at_once_leave_one_outcome() {
    with_app(async |app| {
        let yard = Yard::of(&app, "North").await;
        let round = yard.open().await;
        let at = yard.request(&yard.ask(&round, json!({})).await.expect(201));
        let (changed, withdrawn) =
            futures_util::future::join(yard.club.lead.put(&at, 1, yard.wish()), yard.club.lead.delete(&at)).await;
        assert_eq!(withdrawn.status, 200);
        assert!([200, 409].contains(&changed.status), "{}", changed.text);
        let end = yard.club.lead.get(&at).await.expect(200);
        assert_eq!(end["state"], "withdrawn");
    });
}
