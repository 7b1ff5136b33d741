//! Settling what was entered, and who is told that something is owed or waits.

use futures_util::future::join_all;
use serde_json::json;

use super::{Hire, days, statement};
use crate::direct::db_sql;
use crate::harness::{User, with_app};

#[test]
fn a_settled_hire_is_owed_by_nobody_and_stands_for_good() {
    with_app(async |app| {
        let hire = Hire::of(&app, &days(4)).await;
        let settlement = format!("{}/settlement", hire.path);
        let first = hire.enter(json!({})).await.expect(201)["entered"]["statement_id"].take();
        let second = hire.enter(json!({"counters": first})).await.expect(201)["entered"]["statement_id"].take();
        let coordinator = &hire.net.coordinator;
        coordinator.post(&settlement, json!({"statement_id": first})).await.expect_problem(409, "statement_stands");
        let lead = &hire.clubs[0].lead;
        lead.post(&settlement, json!({"statement_id": second})).await.expect_problem(403, "not_your_role");
        let settled = coordinator.post(&settlement, json!({"statement_id": second})).await.expect(201);
        assert!(settled["entered"]["settled_at"].is_string());
        let again = coordinator.post(&settlement, json!({"statement_id": second})).await;
        again.expect_problem(409, "statement_settled");
        hire.enter(json!({"counters": second})).await.expect_problem(409, "statement_settled");
        let owed = lead.get(&format!("{}/hire-shares", hire.net.path)).await.expect(200);
        assert!(owed["items"][0]["settled_at"].is_string());
        app.run_jobs().await;
        let told = |subject: &str| app.mails().iter().filter(|mail| mail.contains(subject)).count();
        assert_eq!((told("Ashby owes =C2=A3281.98"), told("is settled")), (4, 8), "lead and treasurer of each club");
        app.run_jobs().await;
    });
}

#[test]
fn a_statement_is_settled_or_countered_and_never_both() {
    with_app(async |app| {
        let hire = Hire::of(&app, &days(4)).await;
        let (settlement, shares) = (format!("{}/settlement", hire.path), format!("{}/shares", hire.path));
        let first = hire.enter(json!({})).await.expect(201)["entered"]["statement_id"].take();
        let send = async |turn: usize| {
            let (path, body) = match turn.is_multiple_of(2) {
                true => (&settlement, json!({"statement_id": first})),
                false => (&shares, statement(json!({"counters": first}))),
            };
            hire.net.coordinator.post(path, body).await.status
        };
        let statuses = join_all((0..6).map(send)).await;
        assert_eq!(statuses.iter().filter(|status| **status == 201).count(), 1, "{statuses:?}");
        assert!(statuses.iter().all(|status| [201, 409].contains(status)), "{statuses:?}");
        app.run_jobs().await;
    });
}

#[test]
fn a_settlement_is_for_the_networks_own_coordinator_and_once_by_its_key() {
    with_app(async |app| {
        let hire = Hire::of(&app, &days(4)).await;
        let settlement = format!("{}/settlement", hire.path);
        let statement = json!({"statement_id": hire.enter(json!({})).await.expect(201)["entered"]["statement_id"]});
        app.stranger().post(&settlement, statement.clone()).await.expect_problem(401, "not_signed_in");
        let elsewhere = app.network("South").await;
        elsewhere.coordinator.post(&settlement, statement.clone()).await.expect_problem(404, "not_found");
        let key = [("Idempotency-Key", "the same")];
        let send = async || hire.net.coordinator.send("POST", &settlement, Some(statement.clone()), &key).await;
        let settled = send().await.expect(201);
        assert_eq!(send().await.expect(201), settled);
        app.run_jobs().await;
    });
}

#[test]
fn treasurers_are_told_what_is_owed_and_the_coordinator_what_waits() {
    with_app(async |app| {
        let hire = Hire::of(&app, &days(4)).await;
        let told = async |who: &User, kind: &str| {
            let needs = who.get(&format!("{}/needs", hire.net.path)).await.expect(200);
            let of_kind = needs["items"].as_array().unwrap().iter().filter(|need| need["kind"] == kind);
            of_kind.map(|need| need["sentence"].as_str().unwrap().to_owned()).collect::<Vec<_>>()
        };
        let (coordinator, treasurer) = (&hire.net.coordinator, &hire.clubs[0].treasurer);
        assert!(told(coordinator, "hire_to_enter").await.is_empty(), "it is not over");
        db_sql(
            &app,
            "UPDATE hires SET span = tsrange(lower(span) - interval '8 weeks', upper(span) - interval '8 weeks')",
        )
        .await;
        insta::assert_compact_debug_snapshot!(told(coordinator, "hire_to_enter").await, @r#"["“Aerator in May” is over: enter what Deep-tine aerator came to."]"#);
        db_sql(
            &app,
            "UPDATE hires SET span = tsrange(lower(span) + interval '8 weeks', upper(span) + interval '8 weeks')",
        )
        .await;
        let entered = hire.enter(json!({})).await.expect(201)["entered"]["statement_id"].take();
        insta::assert_compact_debug_snapshot!(told(treasurer, "hire_owed").await, @r#"["Ashby owes £281.98 for the hire of Deep-tine aerator."]"#);
        assert!(told(&hire.clubs[0].lead, "hire_owed").await.is_empty(), "money is the treasurer's");
        db_sql(
            &app,
            "UPDATE hires SET span = tsrange(lower(span) - interval '8 weeks', upper(span) - interval '8 weeks')",
        )
        .await;
        assert!(told(coordinator, "hire_to_enter").await.is_empty());
        insta::assert_compact_debug_snapshot!(told(coordinator, "hire_to_settle").await, @r#"["“Aerator in May”: Deep-tine aerator, £1,127.90, is shared and not settled yet."]"#);
        let settled = coordinator.post(&format!("{}/settlement", hire.path), json!({"statement_id": entered})).await;
        settled.expect(201);
        for (who, kind) in [(coordinator, "hire_to_settle"), (treasurer, "hire_owed")] {
            assert!(told(who, kind).await.is_empty(), "{kind}");
        }
        app.run_jobs().await;
    });
}
