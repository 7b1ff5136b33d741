//! What the queue does for orders: reminders, and closings that move while a worker is at them.

use std::time::Duration;

use chrono::{TimeDelta, Utc};
use diesel::sql_query;
use diesel_async::RunQueryDsl;
use serde_json::{Value, json};
use turfring::access::{Member, Role};
use turfring::database::Scope;
use turfring::ids::OrderId;
use turfring::orders::{self, CreateOrder};
use turfring::wire::IfMatch;
use turfring::{database, jobs};

use super::{Market, assert_letter, closes_at, run_closing, text, with};
use crate::harness::{App, with_app};

fn id(order: &Value) -> OrderId {
    OrderId(text(order, "order_id").parse().unwrap())
}

/// Runs the queue as at the day before an order's closing.
async fn run_day_before(app: &App, order: &Value) -> usize {
    jobs::run_due(&app.service, closes_at(order) - TimeDelta::hours(24)).await.unwrap()
}

#[test]
fn the_leads_of_all_clubs_are_reminded_a_day_before_the_closing() {
    with_app(async |app| {
        let market = Market::of(&app, "North").await;
        let (ash, birch) = (app.club(&market.net, "Ash").await, app.club(&market.net, "Birch").await);
        let order = market.open(json!({})).await;
        market.join(&order, &ash, 12_000).await;
        assert_eq!(run_day_before(&app, &order).await, 3);
        assert_letter!(market.letters(&ash.lead).await.remove(0), @r#"
        Autumn sand closes [day], [time]

        Hello lead,

        Autumn sand closes [day], [time].

        So far 12 t for 1 club at £31.55 for each tonne, without VAT. With 8 t more it is £27.05.
        Ash has 12 t in it. You can change that until then.

        The order: http://turfring.test/orders/[id]
        "#);
        assert_letter!(market.letters(&birch.lead).await.remove(0), @r#"
        Autumn sand closes [day], [time]

        Hello lead,

        Autumn sand closes [day], [time].

        So far 12 t for 1 club at £31.55 for each tonne, without VAT. With 8 t more it is £27.05.
        Birch is not in it. You can join until then.

        The order: http://turfring.test/orders/[id]
        "#);
        for other in [&ash.treasurer, &ash.volunteer, &market.net.coordinator] {
            assert_eq!(market.letters(other).await, []);
        }
        assert_eq!(run_day_before(&app, &order).await, 0);
    });
}

#[test]
fn the_reminder_says_when_too_little_is_in_it() {
    with_app(async |app| {
        let market = Market::of(&app, "North").await;
        let ash = app.club(&market.net, "Ash").await;
        let order = market.open(json!({"smallest_kg": 20_000})).await;
        run_day_before(&app, &order).await;
        let (_, letter) = market.letters(&ash.lead).await.remove(0);
        assert!(letter.contains("Nobody has joined yet. Below 20 t it is called off."), "{letter}");
    });
}

#[test]
fn an_order_opened_within_the_last_day_has_no_reminder() {
    with_app(async |app| {
        let market = Market::of(&app, "North").await;
        let ash = app.club(&market.net, "Ash").await;
        let order = market.open(json!({"closes_at": Utc::now() + TimeDelta::hours(23)})).await;
        let before = closes_at(&order) - TimeDelta::seconds(1);
        assert_eq!(jobs::run_due(&app.service, before).await.unwrap(), 0);
        assert_eq!(market.letters(&ash.lead).await, []);
        run_closing(&app, &order).await;
    });
}

#[test]
fn a_reminder_moves_with_the_closing_and_is_not_sent_for_an_order_that_closed() {
    with_app(async |app| {
        let market = Market::of(&app, "North").await;
        let ash = app.club(&market.net, "Ash").await;
        let order = market.open(json!({})).await;
        let later = with(market.terms(), json!({"closes_at": Utc::now() + TimeDelta::days(6)}));
        let moved = market.net.coordinator.put(&market.at(&order), 1, later).await.expect(200);
        assert_eq!(run_day_before(&app, &order).await, 0);
        assert_eq!(run_day_before(&app, &moved).await, 2);
        let sooner = with(market.terms(), json!({"closes_at": Utc::now() + TimeDelta::hours(20)}));
        let moved = market.net.coordinator.put(&market.at(&order), 2, sooner).await.expect(200);
        run_closing(&app, &moved).await;
        orders::remind(&app.service, market.net.id, id(&order), closes_at(&moved) - TimeDelta::hours(1)).await.unwrap();
        assert_eq!(market.letters(&ash.lead).await.len(), 1);
    });
}

#[test]
fn an_order_that_is_called_off_leaves_nothing_in_the_queue() {
    with_app(async |app| {
        let market = Market::of(&app, "North").await;
        let order = market.open(json!({})).await;
        let off = json!({"step": "call_off", "reason": "The quarry is flooded."});
        market.net.coordinator.post(&format!("{}/steps", market.at(&order)), off).await.expect(200);
        assert_eq!(run_closing(&app, &order).await, 0);
        assert_eq!(market.show(&order).await["called_off_reason"], "The quarry is flooded.");
    });
}

#[test]
fn a_closing_moved_while_a_worker_waits_for_the_order_is_not_lost() {
    with_app(async |app| {
        let market = Market::of(&app, "North").await;
        let ash = app.club(&market.net, "Ash").await;
        let order = market.open(json!({"closes_at": Utc::now() + TimeDelta::hours(20)})).await;
        market.join(&order, &ash, 9_000).await;

        // An editor holds the order; at its closing time a worker claims the closing and waits.
        let member = Member {
            network_id: market.net.id,
            person_id: market.net.coordinator.person_id,
            roles: vec![(Role::Coordinator, None)],
        };
        let mut tx = app.service.db.begin(Scope::Member(member.network_id, member.person_id)).await.unwrap();
        sql_query("SELECT 1 FROM pooled_orders FOR UPDATE").execute(&mut *tx).await.unwrap();
        let (service, at) = (app.service.clone(), closes_at(&order));
        let worker = tokio::spawn(async move { jobs::run_due(&service, at).await.unwrap() });
        while db_claimed(&app).await == 0 {
            tokio::time::sleep(Duration::from_millis(5)).await;
        }
        // The editor's clock is a little behind: the closing still lies ahead for them, and they move it.
        let later = with(market.terms(), json!({"closes_at": Utc::now() + TimeDelta::days(2)}));
        let later: CreateOrder = serde_json::from_value(later).unwrap();
        orders::alter_order(&mut tx, &member, id(&order), IfMatch(1), &later, Utc::now()).await.unwrap();
        tx.commit().await.unwrap();
        worker.await.unwrap();

        assert_eq!(market.show(&order).await["state"], "gathering");
        jobs::run_due(&app.service, later.closes_at).await.unwrap();
        assert_eq!(market.show(&order).await["state"], "closed");
    });
}

/// How many closings a worker has claimed.
async fn db_claimed(app: &App) -> usize {
    let mut connection = database::connect_as_owner(&app.owner_url).await.unwrap();
    sql_query("SELECT 1 FROM jobs WHERE kind = 'close_order' AND state = 'waiting' AND locked_until IS NOT NULL")
        .execute(&mut connection)
        .await
        .unwrap()
}
