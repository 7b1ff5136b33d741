//! Offers of a planned round: put to the clubs, answered, offered on, agreed, and everything that stands in the way.
//!
//! Every club asks for the first three half-days and likes the first day best. The places of the first plan are put in
//! place directly, each club one half-day in turn: how a plan comes about is another slice's.

use chrono::{TimeDelta, Utc};
use futures_util::future::{join, join_all};
use serde_json::{Value, json};
use turfring::access::Role;
use turfring::jobs;
use uuid::Uuid;

use crate::bookings_races::count;
use crate::direct::db_sql;
use crate::harness::{App, Club, Net, Reply, User, with_app};
use crate::shed::{add_aerator, aerator, book, half_day, hired_round, monday, place, span};

/// A network whose clubs have asked for places in a round.
struct Round {
    net: Net,
    clubs: Vec<Club>,
    /// One a club.
    requests: Vec<String>,
    machine: String,
    id: String,
    path: String,
}

fn text(value: &Value, name: &str) -> String {
    value[name].as_str().unwrap().to_owned()
}

impl Round {
    /// A round in which so many clubs have asked, still gathering.
    async fn gathering(app: &App, clubs: usize) -> Self {
        let net = app.network("North").await;
        let machine = net.coordinator.post(&format!("{}/machines", net.path), aerator(json!({}))).await.expect(201);
        Self::of(app, net, text(&machine, "machine_id"), clubs).await
    }

    async fn of(app: &App, net: Net, machine: String, clubs: usize) -> Self {
        let hirer = json!({"name": "The hire yard", "email": null, "phone": null, "note": ""});
        let supplier = net.coordinator.post(&format!("{}/suppliers", net.path), hirer).await.expect(201);
        let terms = hired_round(&machine, &text(&supplier, "supplier_id"));
        let opened = net.coordinator.post(&format!("{}/rounds", net.path), terms).await.expect(201);
        let id = text(&opened, "round_id");
        let path = format!("{}/rounds/{id}", net.path);
        let mut round = Self { net, clubs: Vec::new(), requests: Vec::new(), machine, id, path };
        for name in ["Tansyford RFC", "Marl End RFC", "Sedgewick RFC", "Loam Park RFC"].into_iter().take(clubs) {
            let club = app.club(&round.net, name).await;
            let pitch = app.pitch(&round.net, &club, name).await;
            let ground =
                text(&club.lead.get(&format!("{}/pitches/{pitch}", round.net.path)).await.expect(200), "ground_id");
            let wish = place((&club.id.to_string(), &ground, &pitch));
            let request = club.lead.post(&format!("{}/requests", round.path), wish).await.expect(201);
            round.requests.push(text(&request, "request_id"));
            round.clubs.push(club);
        }
        round
    }

    /// Closed, with a chosen plan for the first so many clubs, one half-day each.
    async fn planned(app: &App, clubs: usize, served: usize) -> (Self, Uuid) {
        let round = Self::gathering(app, clubs).await;
        let plan = round.db_chosen(app, served).await;
        (round, plan)
    }

    /// Put to the clubs, to be answered in two days.
    async fn offered(app: &App, clubs: usize, served: usize) -> Self {
        let (round, plan) = Self::planned(app, clubs, served).await;
        round.offer(plan).await.expect(201);
        app.run_jobs().await;
        round
    }

    async fn db_chosen(&self, app: &App, served: usize) -> Uuid {
        let blocks: Vec<_> = (0..served).map(|club| (club, i64::try_from(club).unwrap())).collect();
        self.db_chosen_with(app, &self.machine, &blocks).await
    }

    /// A chosen plan whose places are replaced: clubs get these half-days, each by its number.
    async fn db_chosen_with(&self, app: &App, machine: &str, blocks: &[(usize, i64)]) -> Uuid {
        db_sql(app, &format!("UPDATE rounds SET state = 'requests_closed' WHERE id = '{}'", self.id)).await;
        let plans = format!("{}/plans", self.path);
        self.net.coordinator.post(&plans, json!(null)).await.expect(201);
        app.run_jobs().await;
        let plan = text(&self.net.coordinator.get(&plans).await.expect(200)["plans"][0], "plan_id");
        self.net.coordinator.post(&format!("{plans}/{plan}/choice"), json!(null)).await.expect(200);
        let mut sql = format!("DELETE FROM plan_blocks WHERE plan_id = '{plan}';");
        for &(club, at) in blocks {
            let (from, until) = (half_day(at), half_day(at + 1));
            sql += &format!(
                "INSERT INTO plan_blocks (network_id, plan_id, round_id, request_id, machine_id, crew_club_id, span, wish_rank, \
                 points, haul_hm, helper_hm, leaves_at) VALUES ('{}', '{plan}', '{}', '{}', '{machine}', '{}', \
                 tsrange('{from}', '{until}'), {}, 10, 40, 0, '{until}');",
                self.net.id,
                self.id,
                self.requests[club],
                self.clubs[club].id,
                if at < 2 { "1" } else { "NULL" },
            );
        }
        db_sql(app, &sql).await;
        plan.parse().unwrap()
    }

    fn offer_body(plan: Uuid) -> Value {
        json!({"plan_id": plan, "answer_by": Utc::now() + TimeDelta::days(2), "offers_on": true})
    }

    async fn offer(&self, plan: Uuid) -> Reply {
        self.net.coordinator.post(&format!("{}/offers", self.path), Self::offer_body(plan)).await
    }

    async fn agree(&self, who: &User) -> Reply {
        who.post(&format!("{}/agreement", self.path), json!(null)).await
    }

    async fn take_back(&self, who: &User, reason: &str) -> Reply {
        who.post(&format!("{}/offers/taking-back", self.path), json!({"reason": reason})).await
    }

    async fn shown(&self, who: &User) -> Value {
        who.get(&format!("{}/offers", self.path)).await.expect(200)
    }

    async fn state(&self) -> Value {
        self.net.coordinator.get(&self.path).await.expect(200)["state"].clone()
    }

    /// A club's latest offer.
    async fn offer_of(&self, club: usize) -> Value {
        let shown = self.shown(&self.net.coordinator).await;
        let offers = shown["offers"].as_array().unwrap().iter();
        let mut own: Vec<_> = offers.filter(|offer| offer["request_id"] == self.requests[club]).collect();
        own.sort_by_key(|offer| text(offer, "offer_id"));
        (*own.last().unwrap()).clone()
    }

    async fn answer_as(&self, who: &User, club: usize, accepted: bool) -> Reply {
        let path = format!("{}/offers/{}/answer", self.net.path, text(&self.offer_of(club).await, "offer_id"));
        who.post(&path, json!({"accepted": accepted, "reason": "We play that day."})).await
    }

    async fn answer(&self, club: usize, accepted: bool) -> Reply {
        self.answer_as(&self.clubs[club].lead, club, accepted).await
    }

    async fn needs(&self, who: &User) -> Vec<(String, String)> {
        let needs = who.get(&format!("{}/needs", self.net.path)).await.expect(200);
        let items = needs["items"].as_array().unwrap().iter().map(|need| (text(need, "kind"), text(need, "sentence")));
        items.filter(|(kind, _)| ["place_to_answer", "round_to_agree", "round_unanswered"].contains(&&**kind)).collect()
    }

    /// How many mails somebody was sent whose subject says so.
    async fn mails(&self, to: &User, about: &str) -> usize {
        let mails = self.net.coordinator.get(&format!("{}/mails?limit=100", self.net.path)).await.expect(200);
        let of = |mail: &&Value| mail["to"] == to.email && text(mail, "subject").contains(about);
        mails["items"].as_array().unwrap().iter().filter(of).count()
    }

    /// Subject and text of the latest mail to somebody whose subject says so, with days and ids left out.
    async fn mail(&self, to: &User, about: &str) -> String {
        let mails = self.net.coordinator.get(&format!("{}/mails?limit=100", self.net.path)).await.expect(200);
        let mails = mails["items"].as_array().unwrap();
        let of = |mail: &&Value| mail["to"] == to.email && text(mail, "subject").contains(about);
        let mail = mails.iter().find(of).unwrap_or_else(|| panic!("no mail about {about} to {}: {mails:?}", to.email));
        format!("{}\n\n{}", text(mail, "subject"), text(mail, "text"))
    }
}

/// Days, times and ids differ from run to run.
fn settings() -> insta::Settings {
    let mut settings = insta::Settings::clone_current();
    settings.add_filter(r"(Mon|Tue|Wed|Thu|Fri|Sat|Sun) \d+ [A-Z][a-z]{2}(, \d\d:\d\d)?", "[day]");
    settings.add_filter(r"[0-9a-f]{8}-[0-9a-f-]{27}", "[id]");
    settings
}

#[test]
fn the_chosen_plan_is_offered_all_accept_and_everything_is_booked_at_once() {
    with_app(async |app| {
        let (round, plan) = Round::planned(&app, 3, 2).await;
        let lead = &round.clubs[0].lead;
        let before = round.shown(&round.net.coordinator).await;
        assert_eq!(before["to_offer"], json!({"plan_id": plan, "places": 2, "first_begins": half_day(0)}));
        assert_eq!(round.shown(lead).await["to_offer"], Value::Null, "only the coordinator offers");
        let shown = round.offer(plan).await.expect(201);
        assert_eq!((&shown["round_state"], &shown["outstanding"]), (&json!("offered"), &json!(2)));
        assert_eq!(round.needs(&round.net.coordinator).await[0].0, "round_unanswered");
        let (first, second) = (round.offer_of(0).await, round.offer_of(1).await);
        assert_eq!(
            (&first["comes_from"], &first["goes_to"]),
            (&json!(null), &json!("Marl End RFC ground, Marl End RFC"))
        );
        assert_eq!(second["comes_from"], "Tansyford RFC ground, Tansyford RFC");
        let told = round.needs(lead).await;
        assert_eq!(told[0].0, "place_to_answer");
        assert!(told[0].1.starts_with("Tansyford RFC is offered Deep-tine aerator: Mon"), "{told:?}");
        assert_eq!(app.run_jobs().await, 2, "each club with a place is mailed");

        let accepted = round.answer(0, true).await.expect(200);
        assert_eq!((&accepted["state"], &accepted["yours_to_answer"]), (&json!("accepted"), &json!(false)));
        assert_eq!(round.needs(lead).await, [], "answered");
        assert_eq!(round.needs(&round.net.coordinator).await, []);
        assert_eq!(app.run_jobs().await, 0, "nothing is booked before the last answer");
        round.answer(1, true).await.expect(200);
        assert_eq!(round.needs(&round.net.coordinator).await[0].0, "round_to_agree");
        app.run_jobs().await;

        assert_eq!(round.state().await, "agreed");
        let booked = round.offer_of(0).await;
        assert_eq!(booked["state"], "booked");
        let booking =
            lead.get(&format!("{}/bookings/{}", round.net.path, text(&booked, "booking_id"))).await.expect(200);
        assert_eq!((&booking["span"], &booking["state"]), (&span(0, 1), &json!("agreed")));
        assert_eq!((&booking["charge_pence"], &booking["pitches"][0]["name"]), (&json!(0), &json!("Tansyford RFC")));
        let turns = "SELECT count(*) FROM turns WHERE kind";
        // Both wished for the first day first, and both have it; the third gave way.
        assert_eq!(count(&app, &format!("{turns} = 'prime_day'")).await, 2);
        assert_eq!(count(&app, &format!("{turns} = 'left_out'")).await, 1);
        assert_eq!(count(&app, "SELECT count(*) FROM bookings WHERE request_id IS NOT NULL").await, 2);

        let elsewhere = book(&round.net, lead, &round.machine, &round.clubs[0], span(1, 2)).await;
        elsewhere.expect_problem(409, "machine_taken");
        book(&round.net, lead, &round.machine, &round.clubs[0], span(4, 5)).await.expect(201);
        app.run_jobs().await;
    });
}

#[test]
fn the_mails_say_what_is_offered_and_what_came_of_it() {
    with_app(async |app| {
        let round = Round::offered(&app, 3, 2).await;
        round.answer(0, true).await.expect(200);
        round.answer(1, true).await.expect(200);
        app.run_jobs().await;
        let of = |club: usize| &round.clubs[club].lead;
        let offered = round.mail(of(0), "please answer").await;
        let booked = round.mail(of(0), "is booked").await;
        let left_out = round.mail(of(2), "no place").await;
        let all = round.mail(&round.net.coordinator, "agreed").await;
        assert_eq!(round.mail(&round.clubs[0].treasurer, "is booked").await, booked, "treasurers are told of bookings");
        settings().bind(|| {
            insta::assert_snapshot!(offered, @"
            Aerator in May: a place for Tansyford RFC, please answer

            Hello,

            Tansyford RFC ground of Tansyford RFC can have this place in the round. Please accept or decline by [day].

            When: [day], morning
            Machine: Deep-tine aerator
            Ground: Tansyford RFC ground
            The day: your first choice
            Expected share of the hire: £351.48 (it is settled when the hire is over; never more than hiring alone)

            Accept or decline here:
            http://turfring.test/rounds/[id]/offers

            A place that is declined, or not answered in time, can go to another club.
            ");
            insta::assert_snapshot!(booked, @"
            Aerator in May: Tansyford RFC is booked

            Hello,

            The round is agreed, and the place of Tansyford RFC is booked.

            When: [day], morning
            Machine: Deep-tine aerator
            Ground: Tansyford RFC ground

            Before it moves: guards fitted and the shaft cover spinning free; check what your vehicle may tow and the local rules. The maker's manual comes first.

            The booking:
            http://turfring.test/bookings/[id]

            What each club pays:
            http://turfring.test/rounds/[id]/shares

            The whole round:
            http://turfring.test/rounds/[id]/offers
            ");
            insta::assert_snapshot!(left_out, @"
            Aerator in May: no place for Sedgewick RFC this time

            Hello,

            The round is agreed, and there was no place for Sedgewick RFC ground of Sedgewick RFC. That counts in your club's favour when the next round is planned.

            Who has which days, and what would have made room:
            http://turfring.test/rounds/[id]/offers
            ");
            insta::assert_snapshot!(all, @"
            Aerator in May: agreed

            Hello,

            The round is agreed. 2 places are booked, and the clubs have been told.

            http://turfring.test/rounds/[id]/offers
            ");
        });
    });
}

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
fn a_round_that_does_not_offer_on_is_agreed_with_who_accepted() {
    with_app(async |app| {
        let (round, plan) = Round::planned(&app, 3, 2).await;
        let mut body = Round::offer_body(plan);
        body["offers_on"] = json!(false);
        let offered = round.net.coordinator.post(&format!("{}/offers", round.path), body).await.expect(201);
        assert_eq!(offered["offers_on"], false);
        round.answer(0, true).await.expect(200);
        round.answer(1, false).await.expect(200);
        app.run_jobs().await;
        assert_eq!(count(&app, "SELECT count(*) FROM round_plans WHERE purpose = 'refill'").await, 0);
        assert_eq!(round.state().await, "agreed");
        round.answer(0, true).await.expect(200);
        round.answer(0, false).await.expect_problem(409, "offer_answered");
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
fn a_coordinator_agrees_before_the_date_and_who_did_not_answer_is_told() {
    with_app(async |app| {
        let round = Round::offered(&app, 2, 2).await;
        for who in [&round.clubs[0].lead, &round.clubs[0].treasurer, &round.clubs[0].volunteer] {
            round.agree(who).await.expect_problem(403, "not_your_role");
        }
        round.agree(&round.net.coordinator).await.expect_problem(409, "nothing_accepted");
        round.answer(0, true).await.expect(200);
        let agreed = round.agree(&round.net.coordinator).await.expect(201);
        assert_eq!((&agreed["round_state"], &agreed["accepted"]), (&json!("agreed"), &json!(1)));
        let again = round.agree(&round.net.coordinator).await.expect_problem(409, "round_not_offered");
        assert_eq!(again["detail"], "It is agreed already: the bookings are made.");
        app.run_jobs().await;
        let told = round.mail(&round.clubs[1].lead, "was taken back").await;
        settings().bind(|| insta::assert_snapshot!(told, @"
        Aerator in May: the place for Marl End RFC was taken back

        Hello,

        The coordinator agreed the round before an answer of Marl End RFC came, so this place was taken back. That counts in your club's favour when the next round is planned.

        When: [day], afternoon
        Machine: Deep-tine aerator
        Ground: Marl End RFC ground

        http://turfring.test/rounds/[id]/offers
        "));
        assert_eq!(count(&app, "SELECT count(*) FROM turns WHERE kind = 'left_out'").await, 1);
    });
}

/// A round with an owned machine beside the hired one, offered: the two clubs have the owned machine.
async fn with_own_machine(app: &App) -> (Round, String) {
    let round = Round::gathering(app, 2).await;
    let own = add_aerator(&round.net, json!({"name": "Old aerator"})).await;
    let request = format!("{}/requests/{}", round.net.path, round.requests[0]);
    let ground = text(&round.clubs[0].lead.get(&request).await.expect(200), "ground_id");
    let kept = json!({"machine_id": own, "kept_ground_id": ground});
    round.net.coordinator.post(&format!("{}/machines", round.path), kept).await.expect(200);
    let plan = round.db_chosen_with(app, &own, &[(0, 0), (1, 1)]).await;
    round.offer(plan).await.expect(201);
    (round, own)
}

#[test]
fn a_place_that_somebody_booked_meanwhile_stops_all_and_is_named() {
    with_app(async |app| {
        let (round, own) = with_own_machine(&app).await;
        let other = app.club(&round.net, "Gorse Hill RFC").await;
        book(&round.net, &other.lead, &own, &other, span(0, 2)).await.expect(201);
        round.answer(0, true).await.expect(200);
        round.answer(1, true).await.expect(200);
        app.run_jobs().await;
        assert_eq!(round.state().await, "offered");
        let told = round.mail(&round.net.coordinator, "could not be booked").await;
        settings().bind(|| insta::assert_snapshot!(told, @"
        Aerator in May: it could not be booked

        Hello,

        The answers are in, but the round could not be booked.

        2 places cannot be had. The first: Old aerator is booked by Gorse Hill RFC then. Nothing was booked; have the round planned again.

        Take the offers back and have the round planned again:
        http://turfring.test/rounds/[id]/offers
        "));
        let refused = round.agree(&round.net.coordinator).await.expect_problem(409, "places_taken");
        assert_eq!(refused["clashes"].as_array().unwrap().len(), 2, "every place is named: {refused}");
        assert_eq!(refused["clashes"][1]["why"], "Old aerator is booked by Gorse Hill RFC then.");
        assert_eq!(refused["clashes"][1]["request_id"], json!(round.requests[1]));
        assert_eq!(count(&app, "SELECT count(*) FROM bookings").await, 1, "nothing is booked");
        assert_eq!(count(&app, "SELECT count(*) FROM turns").await, 0);
        assert_eq!(round.needs(&round.net.coordinator).await[0].0, "round_to_agree");
        app.run_jobs().await;
    });
}

#[test]
fn a_machine_that_is_retired_under_a_plan_stops_all_and_is_named() {
    with_app(async |app| {
        let round = Round::offered(&app, 2, 2).await;
        round.answer(0, true).await.expect(200);
        round.answer(1, true).await.expect(200);
        db_sql(&app, "UPDATE machines SET retired = true").await;
        let refused = round.agree(&round.net.coordinator).await.expect_problem(409, "places_taken");
        let why = "Deep-tine aerator: It is retired and no longer offered.";
        assert_eq!((&refused["clashes"][0]["why"], &refused["clashes"][1]["why"]), (&json!(why), &json!(why)));
        assert_eq!(round.state().await, "offered");
        app.run_jobs().await;
        assert!(round.mail(&round.net.coordinator, "could not be booked").await.contains(why));
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
fn a_machine_on_offer_is_retired_but_never_lost() {
    with_app(async |app| {
        let (round, own) = with_own_machine(&app).await;
        let at = format!("{}/machines/{own}", round.net.path);
        round.net.coordinator.delete(&at).await.expect_problem(404, "not_found");
        let seen = round.net.coordinator.get(&at).await.expect(200);
        let retired = aerator(json!({"name": "Old aerator", "retired": true}));
        round.net.coordinator.put(&at, seen["version"].as_i64().unwrap(), retired).await.expect(200);
        round.answer(0, true).await.expect(200);
        round.answer(1, true).await.expect(200);
        app.run_jobs().await;
        let refused = round.agree(&round.net.coordinator).await.expect_problem(409, "places_taken");
        assert_eq!(refused["clashes"][0]["why"], "Old aerator: It is retired and no longer offered.");
        let why = "It is out for repair.";
        round.take_back(&round.net.coordinator, why).await.expect(200);
        let offered = round.shown(&round.net.coordinator).await["to_offer"]["plan_id"].clone();
        let again = round.offer(offered.as_str().unwrap().parse().unwrap()).await.expect_problem(409, "plan_stale");
        assert_eq!(again["detail"], "Old aerator is retired. Have it planned again.");
        app.run_jobs().await;
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
