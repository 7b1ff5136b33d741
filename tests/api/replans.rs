//! Re-plans: a ground closes under an agreed round, the difference is shown, and accepted as a whole.
//!
//! Alder likes Monday best and can have Tuesday afternoon, Birch can have Tuesday morning only, Cedar Wednesday morning
//! only. Dogwood can have Tuesday morning only too, needs it less than Birch, and was left out.

use chrono::{TimeDelta, Utc};
use futures_util::future::join;
use serde_json::{Value, json};
use turfring::access::{Member, Role};
use turfring::database::Scope;
use turfring::ids::{PlanId, RoundId};
use turfring::{replans, rounds};

use crate::bookings_races::count;
use crate::direct::db_sql;
use crate::harness::{App, Club, Net, PUBLIC_URL, Reply, User, with_app};
use crate::shed::{aerator, book, half_day, hired_round, monday, place, span};

const ALDER: usize = 0;
const BIRCH: usize = 1;
const CEDAR: usize = 2;
const DOGWOOD: usize = 3;

fn text(value: &Value, name: &str) -> String {
    value[name].as_str().unwrap_or_else(|| panic!("no {name} in {value}")).to_owned()
}

/// A round that four clubs asked a place in.
struct Wet {
    net: Net,
    clubs: Vec<Club>,
    grounds: Vec<String>,
    machine: String,
    id: String,
    path: String,
}

impl Wet {
    /// Its requests closed, and planned.
    async fn planned(app: &App) -> (Self, Value) {
        let net = app.network("North").await;
        let machine = net.coordinator.post(&format!("{}/machines", net.path), aerator(json!({}))).await.expect(201);
        let yard = json!({"name": "The hire yard", "email": null, "phone": null, "note": ""});
        let yard = net.coordinator.post(&format!("{}/suppliers", net.path), yard).await.expect(201);
        let machine = text(&machine, "machine_id");
        let opened = hired_round(&machine, &text(&yard, "supplier_id"));
        let opened = net.coordinator.post(&format!("{}/rounds", net.path), opened).await.expect(201);
        let id = text(&opened, "round_id");
        let path = format!("{}/rounds/{id}", net.path);
        let mut wet = Self { net, clubs: Vec::new(), grounds: Vec::new(), machine, id, path };
        let wishes: [(&str, i32, &[i64]); 4] =
            [("Alder", 3, &[0, 1, 3]), ("Birch", 3, &[2]), ("Cedar", 3, &[4]), ("Dogwood", 1, &[2])];
        for (name, need, half_days) in wishes {
            wet.ask(app, name, (need, half_days)).await;
        }
        db_sql(app, "UPDATE rounds SET state = 'requests_closed', requests_close_at = now()").await;
        wet.ask_plans().await.expect(201);
        app.run_jobs().await;
        let plans = wet.net.coordinator.get(&format!("{}/plans", wet.path)).await.expect(200);
        let first = plans["plans"].as_array().unwrap().iter().find(|plan| plan["order"] == "wishes_first").unwrap();
        (wet, first.clone())
    }

    async fn ask(&mut self, app: &App, name: &str, (need, half_days): (i32, &[i64])) {
        let club = app.club(&self.net, name).await;
        let pitch = app.pitch(&self.net, &club, name).await;
        let seen = club.lead.get(&format!("{}/pitches/{pitch}", self.net.path)).await.expect(200);
        let ground = text(&seen, "ground_id");
        let mut wish = place((&club.id.to_string(), &ground, &pitch));
        wish["need"] = json!(need);
        wish["half_days"] = half_days.iter().map(|half| half_day(*half)).collect();
        wish["wishes"] = if name == "Alder" { json!([monday()]) } else { json!([]) };
        club.lead.post(&format!("{}/requests", self.path), wish).await.expect(201);
        self.clubs.push(club);
        self.grounds.push(ground);
    }

    /// Offered, accepted by all, booked; nobody waits for a mail any more.
    async fn agreed(app: &App) -> Self {
        let (wet, plan) = Self::planned(app).await;
        let choice = format!("{}/plans/{}/choice", wet.path, text(&plan, "plan_id"));
        wet.net.coordinator.post(&choice, json!(null)).await.expect(200);
        let offer =
            json!({"plan_id": plan["plan_id"], "answer_by": Utc::now() + TimeDelta::days(2), "offers_on": false});
        let offered = wet.net.coordinator.post(&format!("{}/offers", wet.path), offer).await.expect(201);
        for offer in offered["offers"].as_array().unwrap() {
            let path = format!("{}/offers/{}/answer", wet.net.path, text(offer, "offer_id"));
            wet.net.coordinator.post(&path, json!({"accepted": true, "reason": ""})).await.expect(200);
        }
        app.run_jobs().await;
        assert_eq!(wet.net.coordinator.get(&wet.path).await.expect(200)["state"], "agreed");
        wet
    }

    async fn close(&self, club: usize, days: Value) -> Value {
        let path = format!("{}/grounds/{}/closures", self.net.path, self.grounds[club]);
        self.clubs[club].lead.post(&path, json!({"span": days, "reason": "Standing water."})).await.expect(201)
    }

    async fn ask_plans(&self) -> Reply {
        self.net.coordinator.post(&format!("{}/plans", self.path), json!(null)).await
    }

    /// Planned again, and what that would change.
    async fn replanned(&self, app: &App) -> Value {
        self.ask_plans().await.expect(201);
        app.run_jobs().await;
        self.shown(&self.net.coordinator).await.expect(200)
    }

    async fn shown(&self, who: &User) -> Reply {
        who.get(&format!("{}/replan", self.path)).await
    }

    async fn accept(&self, who: &User, replan: &Value) -> Reply {
        self.accept_plan(who, &text(&replan["plan"], "plan_id")).await
    }

    async fn accept_plan(&self, who: &User, plan: &str) -> Reply {
        who.post(&format!("{}/plans/{plan}/acceptance", self.path), json!(null)).await
    }

    /// Each club with a booking of the round, and the half-day it begins with.
    async fn booked(&self) -> Vec<(String, String)> {
        let bookings = self.net.coordinator.get(&format!("{}/bookings?limit=100", self.net.path)).await.expect(200);
        let standing = bookings["items"].as_array().unwrap().iter().filter(|booking| booking["state"] == "agreed");
        standing.map(|booking| (text(booking, "club_name"), text(&booking["span"], "from"))).collect()
    }

    async fn need(&self) -> Vec<(String, String)> {
        let needs = self.net.coordinator.get(&format!("{}/needs", self.net.path)).await.expect(200);
        let needs = needs["items"].as_array().unwrap().iter().filter(|need| need["kind"] == "round_to_replan");
        needs.map(|need| (text(need, "sentence"), text(need, "href"))).collect()
    }

    /// Subjects and texts of the mails to somebody since the re-plan.
    async fn mails(&self, to: &User) -> Vec<String> {
        let mails = self.net.coordinator.get(&format!("{}/mails?limit=100", self.net.path)).await.expect(200);
        let of = |mail: &&Value| mail["to"] == to.email && text(mail, "text").contains("planned again");
        let words = |mail: &Value| format!("{}\n\n{}", text(mail, "subject"), text(mail, "text"));
        mails["items"].as_array().unwrap().iter().filter(of).map(words).collect()
    }

    fn round(&self) -> RoundId {
        RoundId(self.id.parse().unwrap())
    }
}

fn booked_at(places: &[(&str, i64)]) -> Vec<(String, String)> {
    places.iter().map(|(club, half)| ((*club).to_owned(), half_day(*half))).collect()
}

/// Club, what happens to it, and whether its neighbours change.
fn told(replan: &Value) -> Vec<(String, String, bool)> {
    let changes = replan["changes"].as_array().unwrap().iter();
    let of = |change: &Value| {
        (text(change, "club_name"), text(change, "kind"), change["neighbours_change"].as_bool().unwrap())
    };
    changes.map(of).collect()
}

fn change(club: &str, kind: &str, neighbours_change: bool) -> (String, String, bool) {
    (club.to_owned(), kind.to_owned(), neighbours_change)
}

fn settings() -> insta::Settings {
    let mut settings = insta::Settings::clone_current();
    settings.add_filter(r"(Mon|Tue|Wed|Thu|Fri|Sat|Sun) \d+ [A-Z][a-z]{2}", "$1");
    settings.add_filter(r"[0-9a-f]{8}-[0-9a-f-]{27}", "[id]");
    settings
}

#[test]
fn a_closed_ground_moves_one_club_by_a_day_and_everybody_concerned_is_told() {
    with_app(async |app| {
        let wet = Wet::agreed(&app).await;
        let before = wet.booked().await;
        assert_eq!(before[1..], booked_at(&[("Birch", 2), ("Cedar", 4)]));
        assert_eq!((before[0].0.as_str(), before[0].1.as_str() < half_day(2).as_str()), ("Alder", true));
        wet.close(ALDER, span(0, 2)).await;
        let needs = wet.need().await;
        let sentence =
            "Alder ground of Alder is closed: 1 booking of “Aerator in May” lies on closed days. Plan the round again.";
        assert_eq!(needs, [(sentence.to_owned(), format!("/rounds/{}/replan", wet.id))]);
        let bare = wet.shown(&wet.net.coordinator).await.expect(200);
        assert_eq!((&bare["plan"], &bare["sentence"], &bare["changes"]), (&Value::Null, &Value::Null, &json!([])));
        assert_eq!(bare["on_closed_days"][0]["club_name"], "Alder");

        let replan = wet.replanned(&app).await;
        assert_eq!(replan["sentence"], "One club moves by one day, nobody loses a place.");
        let changes = told(&replan);
        assert_eq!(
            changes,
            [change("Alder", "day_moved", false), change("Birch", "kept", true), change("Cedar", "kept", true)]
        );
        let alder = &replan["changes"][0];
        assert_eq!((&alder["to"]["span"], &alder["to"]["comes_from"]), (&span(3, 4), &json!("Birch")));
        assert_eq!(alder["from"]["comes_from"], Value::Null);
        assert_eq!(replan["tells"], json!(["Alder", "Birch", "Cedar"]));
        let level = |name: &str, of: &Value| {
            let levels = of.as_array().unwrap();
            levels.iter().find(|level| level["level"] == name).unwrap()["value"].as_i64().unwrap()
        };
        let levels = |of: &Value| ["kept_weight", "disruption", "new_weight", "points"].map(|name| level(name, of));
        // Three of need 3 weigh 30 each; a first wish is 10 points, another day 4 of disruption.
        assert_eq!(levels(&replan["stands"]), [90, 0, 0, 10]);
        assert_eq!(levels(&replan["plan"]["levels"]), [90, 4, 0, 0]);
        assert_eq!(replan["plan"]["is_best_possible"], true);

        app.run_jobs().await;
        let accepted = wet.accept(&wet.net.coordinator, &replan).await.expect(201);
        assert_eq!(accepted["sentence"], "This re-plan is in force.");
        assert_eq!(wet.booked().await, booked_at(&[("Birch", 2), ("Alder", 3), ("Cedar", 4)]));
        assert!(wet.need().await.is_empty());
        assert_eq!(app.run_jobs().await, 4, "three clubs and the coordinator");
        assert!(wet.mails(&wet.clubs[DOGWOOD].lead).await.is_empty());
        // It has its day no longer: served on none of its wishes. What was entered first is countered, not changed.
        assert_eq!(count(&app, "SELECT count(*) FROM turns").await, 5);
        let turns = wet.clubs[ALDER].lead.get(&format!("{}/turns", wet.net.path)).await.expect(200);
        let entries = turns[0]["seasons"][0]["entries"].as_array().unwrap();
        assert_eq!((entries.len(), &entries[0]["kind"]), (1, &json!("served_late")));
        // The offers page tells where everybody is now.
        let offers = wet.net.coordinator.get(&format!("{}/offers", wet.path)).await.expect(200);
        let spans: Vec<_> = offers["offers"].as_array().unwrap().iter().map(|offer| &offer["span"]).collect();
        assert_eq!(spans, [&span(2, 3), &span(3, 4), &span(4, 5)]);
    });
}

#[test]
fn the_mails_say_what_was_what_is_and_who_is_next() {
    with_app(async |app| {
        let wet = Wet::agreed(&app).await;
        db_sql(
            &app,
            &format!(
                "UPDATE bookings SET span = tsrange('{}', '{}') WHERE span = tsrange('{}', '{}')",
                half_day(0),
                half_day(1),
                half_day(1),
                half_day(2)
            ),
        )
        .await;
        wet.close(ALDER, span(0, 2)).await;
        let replan = wet.replanned(&app).await;
        wet.accept(&wet.net.coordinator, &replan).await.expect(201);
        app.run_jobs().await;
        let [alder, birch] = [wet.mails(&wet.clubs[ALDER].lead).await, wet.mails(&wet.clubs[BIRCH].lead).await];
        let all = wet.mails(&wet.net.coordinator).await;
        settings().bind(|| {
            insta::assert_snapshot!(alder[0], @"
            Aerator in May: Alder moves

            Hello,

            Alder ground of Alder is closed, so the round was planned again. The place of Alder moves.

            Was: Mon, morning, Deep-tine aerator
                 The machine: you are the first; to Birch
            Now: Tue, afternoon, Deep-tine aerator
                 The machine: from Birch; to Cedar

            Before it moves: guards fitted and the shaft cover spinning free; check what your vehicle may tow and the local rules. The maker's manual comes first.

            The booking:
            http://turfring.test/bookings/[id]

            The whole round:
            http://turfring.test/rounds/[id]
            ");
            insta::assert_snapshot!(birch[0], @"
            Aerator in May: Birch keeps its days, its neighbours change

            Hello,

            Alder ground of Alder is closed, so the round was planned again. Birch keeps its days; where the machine comes from or goes to changes.

            Was: Tue, morning, Deep-tine aerator
                 The machine: from Alder; to Cedar
            Now: Tue, morning, Deep-tine aerator
                 The machine: you are the first; to Alder

            Before it moves: guards fitted and the shaft cover spinning free; check what your vehicle may tow and the local rules. The maker's manual comes first.

            The booking:
            http://turfring.test/bookings/[id]

            The whole round:
            http://turfring.test/rounds/[id]
            ");
            insta::assert_snapshot!(all[0], @"
            Aerator in May: planned again

            Hello,

            Alder ground of Alder is closed, so the round was planned again. One club moves by one day, nobody loses a place.

            - Alder: Mon, morning, Deep-tine aerator → Tue, afternoon, Deep-tine aerator

            The clubs concerned have been told.

            The whole round:
            http://turfring.test/rounds/[id]
            ");
        });
        assert!(wet.mails(&wet.clubs[ALDER].treasurer).await.is_empty(), "the day is no matter of the treasurer's");
    });
}

#[test]
fn who_loses_a_place_makes_room_for_who_had_none() {
    with_app(async |app| {
        let wet = Wet::agreed(&app).await;
        wet.close(BIRCH, span(2, 4)).await;
        let replan = wet.replanned(&app).await;
        assert_eq!(replan["sentence"], "One club gets a place that had none, one club loses its place.");
        let changes = told(&replan);
        assert!(changes.contains(&change("Birch", "lost", false)), "{changes:?}");
        assert!(changes.contains(&change("Dogwood", "served", false)), "{changes:?}");
        app.run_jobs().await;
        wet.accept(&wet.net.coordinator, &replan).await.expect(201);
        let booked = wet.booked().await;
        assert_eq!(booked[1..], booked_at(&[("Dogwood", 2), ("Cedar", 4)]));
        // Leads and treasurers of the two, the leads of the two between whom it lay, the coordinator.
        assert_eq!(app.run_jobs().await, 7);
        let turns = wet.clubs[ALDER].lead.get(&format!("{}/turns", wet.net.path)).await.expect(200);
        let kind = |club: usize| turns[club]["seasons"][0]["entries"][0]["kind"].clone();
        assert_eq!((kind(BIRCH), kind(DOGWOOD)), (json!("left_out"), json!("served")));
        // Who pays follows the bookings.
        let round = wet.net.coordinator.get(&wet.path).await.expect(200);
        let hire = text(&round["hires"][0], "hire_id");
        let costs =
            wet.net.coordinator.get(&format!("{}/hires/{hire}/costs", wet.net.path)).await.expect(200).to_string();
        assert!(costs.contains("Dogwood") && !costs.contains("Birch"), "{costs}");
        // Planned once more, nobody moves.
        let again = wet.replanned(&app).await;
        wet.accept(&wet.net.coordinator, &again).await.expect_problem(409, "nothing_to_replan");
    });
}

#[test]
fn what_has_begun_stays_though_its_ground_is_closed() {
    with_app(async |app| {
        let wet = Wet::agreed(&app).await;
        wet.close(ALDER, span(0, 4)).await;
        wet.close(BIRCH, span(2, 4)).await;
        app.run_jobs().await;
        // Monday, late: the machine stands on Alder's ground.
        let now = monday().and_hms_opt(20, 0, 0).unwrap().and_utc();
        let member = Member {
            network_id: wet.net.id,
            person_id: wet.net.coordinator.person_id,
            roles: vec![(Role::Coordinator, None)],
        };
        let mut tx = app.service.db.begin(Scope::Member(wet.net.id, member.person_id)).await.unwrap();
        let asked = rounds::ask_plans(&mut tx, &member, wet.round(), now).await.unwrap();
        tx.commit().await.unwrap();
        let plan: PlanId = asked.plans.iter().find(|plan| plan.ready_at.is_none()).unwrap().plan_id;
        rounds::make_plan(&app.service, wet.net.id, plan, now).await.unwrap();
        let mut tx = app.service.db.begin(Scope::Member(wet.net.id, member.person_id)).await.unwrap();
        replans::accept_replan(&mut tx, &member, (wet.round(), plan), PUBLIC_URL, now).await.unwrap();
        tx.commit().await.unwrap();
        let booked = wet.booked().await;
        assert_eq!(booked[0].0, "Alder");
        assert!(booked[0].1 < half_day(2), "{booked:?}");
        assert_eq!(booked[1..], booked_at(&[("Dogwood", 2), ("Cedar", 4)]));
        db_sql(&app, "DELETE FROM jobs").await;
    });
}

#[test]
fn of_two_coordinators_who_accept_at_once_one_is_told_that_it_is_in_force() {
    with_app(async |app| {
        let wet = Wet::agreed(&app).await;
        let other = app.db_member(wet.net.id, "second@north.test", Role::Coordinator, None).await;
        wet.close(ALDER, span(0, 2)).await;
        let replan = wet.replanned(&app).await;
        app.run_jobs().await;
        let (one, two) = join(wet.accept(&wet.net.coordinator, &replan), wet.accept(&other, &replan)).await;
        let mut replies = [one, two];
        replies.sort_by_key(|reply| reply.status);
        let [won, lost] = replies;
        won.expect(201);
        let refused = lost.expect_problem(409, "plan_in_force");
        assert_eq!(refused["detail"], "Somebody accepted it first; its clubs have been told.");
        assert_eq!(wet.booked().await, booked_at(&[("Birch", 2), ("Alder", 3), ("Cedar", 4)]));
        assert_eq!(app.run_jobs().await, 5, "three clubs and two coordinators, once");
    });
}

#[test]
fn the_same_acceptance_sent_twice_counts_once() {
    with_app(async |app| {
        let wet = Wet::agreed(&app).await;
        wet.close(ALDER, span(0, 2)).await;
        let replan = wet.replanned(&app).await;
        app.run_jobs().await;
        let path = format!("{}/plans/{}/acceptance", wet.path, text(&replan["plan"], "plan_id"));
        let key = [("Idempotency-Key", "one evening")];
        let first = wet.net.coordinator.send("POST", &path, Some(json!(null)), &key).await.expect(201);
        let again = wet.net.coordinator.send("POST", &path, Some(json!(null)), &key).await.expect(201);
        assert_eq!(first, again);
        assert_eq!(app.run_jobs().await, 4);
    });
}

#[test]
fn each_acceptance_that_cannot_be_is_refused_and_nothing_changes() {
    with_app(async |app| {
        let wet = Wet::agreed(&app).await;
        let before = wet.booked().await;
        let coordinator = &wet.net.coordinator;
        let idle = wet.replanned(&app).await;
        assert_eq!(idle["sentence"], "Nothing would change: everybody keeps the days they have.");
        wet.accept(coordinator, &idle).await.expect_problem(409, "nothing_to_replan");
        wet.close(ALDER, span(0, 2)).await;
        wet.accept(coordinator, &idle).await.expect_problem(409, "plan_stale");

        wet.ask_plans().await.expect(201);
        let waits = wet.shown(coordinator).await.expect(200);
        assert_eq!((&waits["plan"]["state"], &waits["changes"]), (&json!("queued"), &json!([])));
        wet.accept(coordinator, &waits).await.expect_problem(409, "plan_not_ready");
        wet.accept(coordinator, &idle).await.expect_problem(409, "plan_not_ready");
        app.run_jobs().await;

        // Somebody else takes the place meanwhile.
        let stale = wet.shown(coordinator).await.expect(200);
        let taken =
            book(&wet.net, &wet.clubs[CEDAR].lead, &wet.machine, &wet.clubs[CEDAR], span(3, 4)).await.expect(201);
        wet.accept(coordinator, &stale).await.expect_problem(409, "plan_stale");
        let taken = format!("{}/bookings/{}", wet.net.path, text(&taken, "booking_id"));
        wet.clubs[CEDAR].lead.post(&format!("{taken}/cancellation"), json!({})).await.expect(200);

        let proposal = coordinator.get(&format!("{}/plans", wet.path)).await.expect(200);
        let proposal = proposal["plans"].as_array().unwrap().iter().find(|plan| plan["purpose"] == "proposal").unwrap();
        wet.accept_plan(coordinator, &text(proposal, "plan_id")).await.expect_problem(404, "not_found");
        wet.accept_plan(coordinator, &uuid::Uuid::now_v7().to_string()).await.expect_problem(404, "not_found");

        assert_eq!(wet.booked().await, before);
        assert_eq!(count(&app, "SELECT count(*) FROM turns WHERE counters IS NOT NULL").await, 0);
        app.run_jobs().await;
        assert!(wet.mails(coordinator).await.is_empty());
    });
}

#[test]
fn a_round_that_is_not_agreed_has_nothing_to_accept() {
    with_app(async |app| {
        let (wet, plan) = Wet::planned(&app).await;
        let plan = text(&plan, "plan_id");
        let coordinator = &wet.net.coordinator;
        let refused = wet.accept_plan(coordinator, &plan).await.expect_problem(409, "round_not_agreed");
        assert!(text(&refused, "detail").starts_with("Nothing of it is booked yet."));
        let shown = wet.shown(coordinator).await.expect(200);
        assert_eq!((&shown["state"], &shown["plan"]), (&json!("requests_closed"), &Value::Null));
        db_sql(&app, "UPDATE rounds SET state = 'called_off', called_off_reason = 'Wet'").await;
        let refused = wet.accept_plan(coordinator, &plan).await.expect_problem(409, "round_not_agreed");
        assert_eq!(refused["detail"], "It was called off.");
    });
}

#[test]
fn re_plans_are_for_the_coordinator() {
    with_app(async |app| {
        let wet = Wet::agreed(&app).await;
        wet.close(ALDER, span(0, 2)).await;
        let replan = wet.replanned(&app).await;
        let club = &wet.clubs[ALDER];
        for who in [&club.lead, &club.treasurer, &club.volunteer] {
            wet.shown(who).await.expect_problem(403, "not_your_role");
            wet.accept(who, &replan).await.expect_problem(403, "not_your_role");
        }
        let south = app.network("South").await;
        wet.shown(&south.coordinator).await.expect_problem(404, "not_found");
        wet.accept(&south.coordinator, &replan).await.expect_problem(404, "not_found");
        wet.shown(&app.stranger()).await.expect_problem(401, "not_signed_in");
        wet.accept(&app.stranger(), &replan).await.expect_problem(401, "not_signed_in");
        app.run_jobs().await;
    });
}
