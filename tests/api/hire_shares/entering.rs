//! Entering what each club owes: from the invoice, by a rule, countered but never changed.

use chrono::Utc;
use futures_util::future::join_all;
use serde_json::{Value, json};
use turfring::access::Role;

use super::{Hire, Stay, broken, days, pence, statement};
use crate::harness::with_app;

#[test]
fn shares_are_entered_from_the_invoice_and_sum_to_the_penny() {
    with_app(async |app| {
        let hire = Hire::of(&app, &days(4)).await;
        let entered = hire.enter(json!({"invoice_pence": 110_003})).await.expect(201)["entered"].take();
        assert_eq!((&entered["total_pence"], &entered["expected_invoice_pence"]), (&json!(115_793), &json!(107_000)));
        assert_eq!(pence(&entered["shares"], "share_pence"), [28_949, 28_948, 28_948, 28_948]);
        for club in &hire.clubs {
            let path = format!("{}/hire-shares", hire.net.path);
            let owed = club.treasurer.get(&path).await.expect(200);
            assert_eq!(owed["items"].as_array().unwrap().len(), 1);
            assert_eq!(owed["items"][0]["club_id"], json!(club.id));
            club.volunteer.get(&path).await.expect_problem(403, "not_your_role");
        }
        app.run_jobs().await;
    });
}

#[test]
fn a_rule_by_which_a_club_would_pay_more_than_alone_is_refused_with_its_name() {
    with_app(async |app| {
        let stays = [days(2), vec![Stay("Long End", 4, 10, None)]].concat();
        let hire = Hire::of(&app, &stays).await;
        let by_hours = hire.costs().await["rules"][1].take();
        // The same minutes of work each, but Long End has the machine for three days.
        assert_eq!(pence(&by_hours["shares"], "above_alone_pence"), [1_967, 1_966, 0]);
        assert_eq!(by_hours["unhappy_clubs"], json!(["Ashby", "Birch"]));
        let refused = hire.enter(json!({"rule": "by_hours"})).await.expect_problem(422, "share_above_alone");
        assert!(refused["detail"].as_str().unwrap().contains("Ashby £19.67"), "{refused}");
        hire.enter(json!({"rule": "shapley"})).await.expect(201);
        app.run_jobs().await;
    });
}

#[test]
fn a_rule_by_which_a_club_would_be_paid_is_refused() {
    with_app(async |app| {
        let stays = [days(2), vec![Stay("Long End", 4, 10, None)]].concat();
        let hire = Hire::of(&app, &stays).await;
        let given = json!({"rule": "shapley", "invoice_pence": 1});
        let refused = hire.enter(given).await.expect_problem(422, "invalid");
        assert_eq!(refused["errors"][0]["field"], "rule");
        hire.enter(json!({"rule": "equal_discount", "invoice_pence": 1})).await.expect(201);
        app.run_jobs().await;
    });
}

#[test]
fn what_is_entered_is_countered_by_naming_it_and_never_changed() {
    with_app(async |app| {
        let hire = Hire::of(&app, &days(4)).await;
        let first = hire.enter(json!({})).await.expect(201)["entered"]["statement_id"].take();
        hire.enter(json!({})).await.expect_problem(409, "statement_stands");
        let second = hire.enter(json!({"counters": first, "invoice_pence": 100_000})).await.expect(201);
        assert_eq!(second["entered"]["counters"], first);
        hire.enter(json!({"counters": first})).await.expect_problem(409, "statement_stands");
        let owed = hire.clubs[0].lead.get(&format!("{}/hire-shares", hire.net.path)).await.expect(200);
        assert_eq!(owed["items"].as_array().unwrap().len(), 1, "the countered one is left out");
        for table in ["hire_statements", "hire_shares"] {
            let sql = format!("DELETE FROM {table} WHERE network_id = '{}'", hire.net.id);
            assert!(broken(&app, &sql).await.contains("never edited"), "{table} refuses DELETE");
        }
        app.run_jobs().await;
    });
}

#[test]
fn of_statements_that_two_coordinators_send_at_once_one_stands() {
    with_app(async |app| {
        let hire = Hire::of(&app, &days(4)).await;
        let second = app.db_member(hire.net.id, "second@north.test", Role::Coordinator, None).await;
        let whose = |turn: usize| if turn.is_multiple_of(2) { &second } else { &hire.net.coordinator };
        let replies = join_all((0..6).map(|turn| hire.enter_as(whose(turn), json!({})))).await;
        let mut statuses: Vec<_> = replies.iter().map(|reply| reply.status).collect();
        statuses.sort_unstable();
        assert_eq!(statuses, [201, 409, 409, 409, 409, 409]);
        let first = hire.costs().await["entered"]["statement_id"].take();
        let replies = join_all((0..4).map(|turn| hire.enter_as(whose(turn), json!({"counters": first})))).await;
        assert_eq!(replies.iter().filter(|reply| reply.status == 201).count(), 1);
        app.run_jobs().await;
    });
}

#[test]
fn a_statement_sent_twice_with_one_key_is_entered_once() {
    with_app(async |app| {
        let hire = Hire::of(&app, &days(4)).await;
        let shares = format!("{}/shares", hire.path);
        let key = [("Idempotency-Key", "the same")];
        let send = async |changes| hire.net.coordinator.send("POST", &shares, Some(statement(changes)), &key).await;
        let first = send(json!({})).await.expect(201);
        assert_eq!(send(json!({})).await.expect(201), first);
        send(json!({"invoice_pence": 1})).await.expect_problem(409, "idempotency_key_reused");
        app.run_jobs().await;
    });
}

#[test]
fn whatever_the_invoice_shares_sum_to_it_and_nobody_pays_more_than_alone() {
    with_app(async |app| {
        let stays = [
            Stay("Ashby", 0, 1, None),
            Stay("Birch", 1, 4, None),
            Stay("Cotton", 4, 6, None),
            Stay("Dunham", 6, 11, None),
        ];
        let hire = Hire::of(&app, &stays).await;
        let mut standing = Value::Null;
        // Odd sums, so that there are pennies left over; from free to far too dear.
        for invoice_pence in (0..40).map(|step: i64| step * step * 173 + step) {
            let said = json!({"invoice_pence": invoice_pence, "fund_carries": true, "counters": standing});
            let entered = hire.enter(said).await.expect(201)["entered"].take();
            let (shares, alone) = (pence(&entered["shares"], "share_pence"), pence(&entered["shares"], "alone_pence"));
            let fund_pence = entered["fund_pence"].as_i64().unwrap();
            let total_pence = entered["total_pence"].as_i64().unwrap();
            assert_eq!(shares.iter().sum::<i64>() + fund_pence, total_pence);
            assert!(shares.iter().zip(&alone).all(|(share, alone)| share <= alone), "{entered}");
            assert_eq!(
                fund_pence,
                (total_pence - alone.iter().sum::<i64>()).max(0),
                "the fund carries no more than it must"
            );
            standing = entered["statement_id"].clone();
        }
        app.run_jobs().await;
    });
}

#[test]
fn the_database_refuses_shares_that_do_not_sum_or_pass_what_alone_costs() {
    with_app(async |app| {
        let hire = Hire::of(&app, &days(2)).await;
        let bad = |shares: [(i64, i64); 2], fund_pence: i64| {
            let rows = hire.clubs.iter().zip(shares).map(|(club, (share, alone))| {
                format!("('{}', '{}', '{}', 2, 1, 1, {alone}, {share}, 0)", hire.net.id, hire.id, club.id)
            });
            format!(
                "BEGIN; INSERT INTO hire_statements (network_id, id, hire_id, rule, invoice_pence, expected_invoice_pence, \
                 fuel_pence, haul_pence, fund_pence, entered_by, entered_at) \
                 VALUES ('{net}', '{id}', '{id}', 'equal_discount', 90, 100, 7, 3, {fund_pence}, '{by}', '{now}'); \
                 INSERT INTO hire_shares (network_id, statement_id, club_id, half_days, work_min, area_m2, alone_pence, \
                 share_pence, helper_pence) VALUES {}; COMMIT",
                rows.collect::<Vec<_>>().join(", "),
                net = hire.net.id,
                id = hire.id,
                by = hire.net.coordinator.person_id,
                now = Utc::now().to_rfc3339()
            )
        };
        assert!(broken(&app, &bad([(50, 60), (49, 60)], 0)).await.contains("do not sum"), "a penny is missing");
        assert!(broken(&app, &bad([(50, 60), (51, 60)], 0)).await.contains("do not sum"), "a penny too much");
        assert!(broken(&app, &bad([(50, 60), (50, 60)], 1)).await.contains("do not sum"), "the fund counts");
        assert!(broken(&app, &bad([(61, 60), (39, 60)], 0)).await.contains("hire_shares_not_above_alone"));
        assert_eq!(broken(&app, &bad([(50, 60), (49, 60)], 1)).await, "", "whole");
        app.run_jobs().await;
    });
}

#[test]
fn nothing_is_entered_before_places_are_agreed_or_without_the_role() {
    with_app(async |app| {
        let hire = Hire::of(&app, &days(1)).await;
        hire.set_round(&app, "offered").await;
        hire.enter(json!({"fund_carries": true})).await.expect_problem(409, "round_not_agreed");
        hire.set_round(&app, "agreed").await;
        hire.enter(json!({"invoice_pence": -1})).await.expect_problem(422, "invalid");
        let body = json!({
            "invoice_pence": 1, "rule": "equal_discount", "fund_carries": true, "counters": null, "note": "",
        });
        let shares = format!("{}/shares", hire.path);
        for person in [&hire.clubs[0].lead, &hire.clubs[0].treasurer, &hire.clubs[0].volunteer] {
            person.post(&shares, body.clone()).await.expect_problem(403, "not_your_role");
        }
        app.stranger().get(&format!("{}/costs", hire.path)).await.expect_problem(401, "not_signed_in");
        let elsewhere = app.network("South").await;
        elsewhere.coordinator.get(&format!("{}/costs", hire.path)).await.expect_problem(404, "not_found");
        let other = format!("{}/hires/{}/costs", elsewhere.path, hire.id);
        elsewhere.coordinator.get(&other).await.expect_problem(404, "not_found");
        app.run_jobs().await;
    });
}
