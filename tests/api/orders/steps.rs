//! Steps after the closing, calling off, and the list of what clubs owe.

use serde_json::{Value, json};

use super::{Market, assert_letter, run_closing, text};
use crate::harness::{App, Club, with_app};

async fn step(market: &Market, order: &Value, step: &str) -> crate::harness::Reply {
    let body = json!({"step": step, "reason": "No lorry can be had."});
    market.net.coordinator.post(&format!("{}/steps", market.at(order)), body).await
}

/// An order that a club has joined, brought to a state.
async fn brought_to(app: &App, market: &Market, club: &Club, state: &str) -> Value {
    let order = market.open(json!({})).await;
    market.join(&order, club, 9_000).await;
    let steps: &[&str] = match state {
        "gathering" => &[],
        "closed" => &["close"],
        "placed" => &["close", "place"],
        "delivered" => &["close", "place", "deliver"],
        "settled" => &["close", "place", "deliver", "settle"],
        _ => &["call_off"],
    };
    for each in steps {
        match *each {
            "close" => _ = run_closing(app, &order).await,
            each => _ = step(market, &order, each).await.expect(200),
        }
    }
    assert_eq!(market.show(&order).await["state"], state);
    order
}

#[test]
fn every_step_from_every_state_goes_as_the_table_says() {
    with_app(async |app| {
        let market = Market::of(&app, "North").await;
        let ash = app.club(&market.net, "Ash").await;
        let steps = ["place", "deliver", "settle", "call_off"];
        for (state, ends) in [
            ("gathering", [None, None, None, Some("called_off")]),
            ("closed", [Some("placed"), None, None, Some("called_off")]),
            ("placed", [None, Some("delivered"), None, None]),
            ("delivered", [None, None, Some("settled"), None]),
            ("settled", [None; 4]),
            ("called_off", [None; 4]),
        ] {
            for (name, end) in steps.into_iter().zip(ends) {
                let order = brought_to(&app, &market, &ash, state).await;
                let reply = step(&market, &order, name).await;
                match end {
                    Some(end) => assert_eq!(reply.expect(200)["state"], end, "{state} {name}"),
                    None => {
                        let problem = reply.expect_problem(409, "step_not_allowed");
                        let words = format!("An order that is {} cannot ", state.replace('_', " "));
                        assert!(text(&problem, "detail").starts_with(&words), "{problem}");
                        assert_eq!(market.show(&order).await["state"], state);
                    }
                }
            }
        }
        app.run_jobs().await;
    });
}

#[test]
fn there_is_no_step_that_closes() {
    with_app(async |app| {
        let market = Market::of(&app, "North").await;
        let ash = app.club(&market.net, "Ash").await;
        let order = brought_to(&app, &market, &ash, "gathering").await;
        step(&market, &order, "close").await.expect_problem(400, "unreadable");
    });
}

#[test]
fn calling_off_says_why_and_nobody_owes_anything() {
    with_app(async |app| {
        let market = Market::of(&app, "North").await;
        let ash = app.club(&market.net, "Ash").await;
        let order = brought_to(&app, &market, &ash, "closed").await;
        let path = format!("{}/steps", market.at(&order));
        for body in [json!({"step": "call_off"}), json!({"step": "call_off", "reason": " \n"})] {
            let problem = market.net.coordinator.post(&path, body).await.expect_problem(422, "invalid");
            assert_eq!(problem["errors"][0]["field"], "reason");
        }
        let off = step(&market, &order, "call_off").await.expect(200);
        assert_eq!((text(&off, "called_off_reason"), off["goods_pence"].as_i64()), ("No lorry can be had.", Some(0)));
        assert!(off["lines"][0]["share"].is_null() && off["lines"][0]["alone"].is_null());
        app.run_jobs().await;
        assert_letter!(market.letters(&ash.treasurer).await.remove(1), @r#"
        Autumn sand was called off

        Hello treasurer,

        Autumn sand was called off. The reason: No lorry can be had.

        Ash had 9 t in it and owes nothing for it.

        The order: http://turfring.test/orders/[id]
        "#);
        // What was entered stands, countered by the order's state.
        let owed = ash.treasurer.get(&format!("{}/shares", market.net.path)).await.expect(200);
        assert_eq!(
            (owed["items"][0]["goods_pence"].as_i64(), text(&owed["items"][0], "order_state")),
            (Some(9 * 3_155), "called_off")
        );
    });
}

#[test]
fn of_two_coordinators_who_step_at_once_one_does() {
    with_app(async |app| {
        let market = Market::of(&app, "North").await;
        let ash = app.club(&market.net, "Ash").await;
        let order = brought_to(&app, &market, &ash, "closed").await;
        let steps = (0..6).map(|n| step(&market, &order, if n % 2 == 0 { "place" } else { "call_off" }));
        let replies = futures_util::future::join_all(steps).await;
        assert_eq!(replies.iter().filter(|reply| reply.status == 200).count(), 1);
        assert_eq!(replies.iter().filter(|reply| reply.status == 409).count(), 5);
        app.run_jobs().await;
        assert_eq!(market.letters(&ash.treasurer).await.len(), 2, "one of the closing, one of the step");
    });
}

#[test]
fn only_the_coordinator_takes_steps() {
    with_app(async |app| {
        let (market, south) = (Market::of(&app, "North").await, Market::of(&app, "South").await);
        let ash = app.club(&market.net, "Ash").await;
        let order = brought_to(&app, &market, &ash, "closed").await;
        let (path, body) = (format!("{}/steps", market.at(&order)), json!({"step": "place"}));
        for member in [&ash.lead, &ash.treasurer, &ash.volunteer] {
            member.post(&path, body.clone()).await.expect_problem(403, "not_your_role");
        }
        south.net.coordinator.post(&path, body.clone()).await.expect_problem(404, "not_found");
        app.stranger().post(&path, body.clone()).await.expect_problem(401, "not_signed_in");
        south.net.coordinator.post(&format!("{}/steps", south.at(&order)), body).await.expect_problem(404, "not_found");
        assert_eq!(market.show(&order).await["state"], "closed");
    });
}

#[test]
fn what_clubs_owe_is_listed_for_their_leads_and_treasurers_and_the_coordinator() {
    with_app(async |app| {
        let (market, south) = (Market::of(&app, "North").await, Market::of(&app, "South").await);
        let (ash, birch) = (app.club(&market.net, "Ash").await, app.club(&market.net, "Birch").await);
        for title in ["First", "Second"] {
            let order = market.open(json!({"title": title})).await;
            market.join(&order, &ash, 6_000).await;
            market.join(&order, &birch, 8_000).await;
            run_closing(&app, &order).await;
        }
        let path = format!("{}/shares", market.net.path);
        let listed = async |who: &crate::harness::User, query: &str| -> Vec<(String, String)> {
            let page = who.get(&format!("{path}{query}")).await.expect(200);
            let items = page["items"].as_array().unwrap().iter();
            items.map(|share| (text(share, "title").to_owned(), text(share, "club_id").to_owned())).collect()
        };
        let entry = |title: &str, club: &Club| (title.to_owned(), club.id.to_string());
        let all = [entry("Second", &ash), entry("Second", &birch), entry("First", &ash), entry("First", &birch)];
        assert_eq!(listed(&market.net.coordinator, "").await, all);
        let of_birch = format!("?club_id={}", birch.id);
        assert_eq!(listed(&market.net.coordinator, &of_birch).await, [entry("Second", &birch), entry("First", &birch)]);
        for member in [&ash.lead, &ash.treasurer] {
            assert_eq!(listed(member, "").await, [entry("Second", &ash), entry("First", &ash)]);
            member.get(&format!("{path}{of_birch}")).await.expect_problem(403, "not_your_role");
        }
        ash.volunteer.get(&path).await.expect_problem(403, "not_your_role");
        let first = market.net.coordinator.get(&format!("{path}?limit=3")).await.expect(200);
        let cursor = format!("?limit=3&cursor={}", text(&first, "next_cursor"));
        assert_eq!(listed(&market.net.coordinator, &cursor).await, [entry("First", &birch)]);
        south.net.coordinator.get(&path).await.expect_problem(404, "not_found");
        app.stranger().get(&path).await.expect_problem(401, "not_signed_in");
    });
}
