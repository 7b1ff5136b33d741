//! What is accepted is booked, all of it or nothing.

use serde_json::{Value, json};

use super::{Round, settings, text};
use crate::bookings_races::count;
use crate::direct::db_sql;
use crate::harness::{App, with_app};
use crate::shed::{add_aerator, aerator, book, half_day, span};

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
