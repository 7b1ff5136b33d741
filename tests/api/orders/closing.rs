//! Closing: exact shares, once, whoever comes at the same time.

use chrono::{TimeDelta, Utc};
use diesel::sql_query;
use diesel_async::RunQueryDsl;
use futures_util::future::{join_all, try_join_all};
use serde_json::{Value, json};
use turfring::database::Scope;
use turfring::error::Error;
use turfring::ids::OrderId;
use turfring::{jobs, orders};

use super::{Market, closes_at, db_execute, run_closing, sum_of, text, with};
use crate::harness::{App, Club, with_app};

fn id(order: &Value) -> OrderId {
    OrderId(text(order, "order_id").parse().unwrap())
}

/// A small generator with a seed of its own (a linear congruence, Knuth's constants), so that every run is the same.
struct Dice(u64);

impl Dice {
    fn below(&mut self, bound: i64) -> i64 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        i64::try_from(self.0 >> 33).unwrap() % bound
    }
}

/// Terms as a coordinator might get them from any supplier: odd prices, odd VAT, any breaks.
fn any_terms(market: &Market, dice: &mut Dice) -> Value {
    let mut price_pence = 3_000 + dice.below(2_000);
    let mut from_kg = 0;
    let mut breaks = vec![json!({"from_kg": from_kg, "price_pence": price_pence})];
    for _ in 0..dice.below(4) {
        from_kg += 1_000 + dice.below(20_000);
        price_pence -= dice.below(600);
        breaks.push(json!({"from_kg": from_kg, "price_pence": price_pence}));
    }
    let vat = [0, 500, 1_750, 2_000, 333][usize::try_from(dice.below(5)).unwrap()];
    let changes = json!({"price_breaks": breaks, "vat_basis_points": vat, "smallest_kg": 0});
    with(market.terms(), changes)
}

#[test]
fn shares_sum_to_the_invoice_and_nobody_pays_more_than_alone_over_many_orders() {
    with_app(async |app| {
        let market = Market::of(&app, "North").await;
        let mut clubs: Vec<Club> = Vec::new();
        for n in 0..6 {
            clubs.push(app.club(&market.net, &format!("Club {n}")).await);
        }
        let mut dice = Dice(20_270_504);
        let mut opened = Vec::new();
        for _ in 0..36 {
            let terms = any_terms(&market, &mut dice);
            let order = market.net.coordinator.post(&market.path(), terms).await.expect(201);
            let joined = 1 + usize::try_from(dice.below(6)).unwrap();
            for club in &clubs[..joined] {
                market.join(&order, club, 1_000 * (1 + dice.below(40))).await;
            }
            opened.push(market.show(&order).await);
        }
        jobs::run_due(&app.service, Utc::now() + TimeDelta::days(4)).await.unwrap();
        for before in opened {
            let closed = market.show(&before).await;
            assert_eq!(text(&closed, "state"), "closed");
            assert_eq!(sum_of(&closed, "share", "goods_pence"), closed["goods_pence"].as_i64().unwrap());
            assert_eq!(sum_of(&closed, "share", "vat_pence"), closed["vat_pence"].as_i64().unwrap());
            assert_eq!(
                closed["vat_pence"].as_i64().unwrap(),
                closed["goods_pence"].as_i64().unwrap() * closed["vat_basis_points"].as_i64().unwrap() / 10_000
            );
            for line in closed["lines"].as_array().unwrap() {
                let total = |part: &str| line[part]["total_pence"].as_i64().unwrap();
                assert!(total("share") <= total("alone"), "{line}");
            }
            // What was shown "if it closed now" is what was entered.
            assert_eq!(before["lines"], closed["lines"]);
        }
    });
}

/// An order that three clubs have joined.
async fn joined(app: &App, market: &Market) -> (Value, Vec<Club>) {
    let mut clubs = Vec::new();
    for name in ["Ash", "Birch", "Cedar"] {
        clubs.push(app.club(&market.net, name).await);
    }
    let order = market.open(json!({})).await;
    for (club, quantity_kg) in clubs.iter().zip([7_000, 8_000, 9_000]) {
        market.join(&order, club, quantity_kg).await;
    }
    (order, clubs)
}

#[test]
fn workers_that_close_at_once_close_once() {
    with_app(async |app| {
        let market = Market::of(&app, "North").await;
        let (order, clubs) = joined(&app, &market).await;
        let at = closes_at(&order);
        let closings = (0..6).map(|_| orders::close(&app.service, market.net.id, id(&order), at));
        let workers = (0..3).map(|_| jobs::run_due(&app.service, at));
        let (closed, ran) = futures_util::join!(try_join_all(closings), try_join_all(workers));
        closed.unwrap();
        ran.unwrap();
        assert_eq!(market.show(&order).await["version"], 2);
        for club in &clubs {
            assert_eq!(market.letters(&club.treasurer).await.len(), 1);
        }
    });
}

#[test]
fn closing_again_changes_nothing() {
    with_app(async |app| {
        let market = Market::of(&app, "North").await;
        let (order, clubs) = joined(&app, &market).await;
        run_closing(&app, &order).await;
        let closed = market.show(&order).await;
        for later in [0, 1, 30] {
            let now = closes_at(&order) + TimeDelta::days(later);
            orders::close(&app.service, market.net.id, id(&order), now).await.unwrap();
        }
        assert_eq!(market.show(&order).await, closed);
        app.run_jobs().await;
        assert_eq!(market.letters(&clubs[0].treasurer).await.len(), 1);
    });
}

#[test]
fn nothing_closes_before_its_time() {
    with_app(async |app| {
        let market = Market::of(&app, "North").await;
        let (order, _) = joined(&app, &market).await;
        let early = closes_at(&order) - TimeDelta::milliseconds(1);
        orders::close(&app.service, market.net.id, id(&order), early).await.unwrap();
        assert_eq!(market.show(&order).await["state"], "gathering");
    });
}

#[test]
fn a_line_that_races_the_closing_is_in_the_shares_or_refused() {
    with_app(async |app| {
        let market = Market::of(&app, "North").await;
        let mut clubs = Vec::new();
        for n in 0..6 {
            clubs.push(app.club(&market.net, &format!("Club {n}")).await);
        }
        let (mut taken, mut refused) = (0, 0);
        for _ in 0..12 {
            let order = market.open(json!({"smallest_kg": 0})).await;
            market.join(&order, &clubs[0], 5_000).await;
            let lines = clubs
                .iter()
                .map(async |club| club.lead.put_plain(&market.line(&order, club), json!({"quantity_kg": 7_000})).await);
            let closing = orders::close(&app.service, market.net.id, id(&order), closes_at(&order));
            let (replies, closed) = futures_util::join!(join_all(lines), closing);
            closed.unwrap();
            let closed = market.show(&order).await;
            let mut wanted = 0;
            for (reply, club) in replies.into_iter().zip(&clubs) {
                let line =
                    closed["lines"].as_array().unwrap().iter().find(|line| line["club_id"] == club.id.to_string());
                let in_order = line.map_or(0, |line| line["quantity_kg"].as_i64().unwrap());
                if reply.status == 200 {
                    assert_eq!(in_order, 7_000);
                    taken += 1;
                } else {
                    reply.expect_problem(409, "order_not_gathering");
                    assert_ne!(in_order, 7_000);
                    refused += 1;
                }
                wanted += in_order;
            }
            assert_eq!(closed["total_kg"], wanted);
            assert_eq!(sum_of(&closed, "share", "goods_pence"), closed["goods_pence"].as_i64().unwrap());
        }
        assert_eq!(taken + refused, 72);
        jobs::run_due(&app.service, Utc::now() + TimeDelta::days(4)).await.unwrap();
    });
}

#[test]
fn a_closing_that_fails_half_way_leaves_nothing_and_is_done_again() {
    with_app(async |app| {
        let market = Market::of(&app, "North").await;
        let (order, clubs) = joined(&app, &market).await;
        let at = closes_at(&order);
        // The last of the three shares cannot be written: as good as a process killed there.
        db_execute(&app, &format!(
            "CREATE FUNCTION break_down() RETURNS trigger LANGUAGE plpgsql AS $$ BEGIN RAISE 'broken down'; END $$;
             CREATE TRIGGER break_down BEFORE INSERT ON shares FOR EACH ROW WHEN (NEW.club_id = '{}') EXECUTE FUNCTION break_down()",
            clubs[2].id
        )).await;
        orders::close(&app.service, market.net.id, id(&order), at).await.unwrap_err();
        jobs::run_due(&app.service, at).await.unwrap();
        assert_eq!(market.show(&order).await["state"], "gathering");
        let shares = market.net.coordinator.get(&format!("{}/shares", market.net.path)).await.expect(200);
        assert_eq!(shares["items"], json!([]));
        assert_eq!(market.letters(&clubs[0].treasurer).await, []);
        db_execute(&app, "DROP FUNCTION break_down CASCADE").await;
        jobs::run_due(&app.service, at + TimeDelta::minutes(2)).await.unwrap();
        assert_eq!(market.show(&order).await["state"], "closed");
        assert_eq!(market.letters(&clubs[0].treasurer).await.len(), 1);
    });
}

#[test]
fn too_little_calls_the_order_off_and_the_clubs_are_told() {
    with_app(async |app| {
        let market = Market::of(&app, "North").await;
        let (ash, birch) = (app.club(&market.net, "Ash").await, app.club(&market.net, "Birch").await);
        let order = market.open(json!({"smallest_kg": 20_000})).await;
        market.join(&order, &ash, 12_000).await;
        run_closing(&app, &order).await;
        let off = market.show(&order).await;
        assert_eq!(text(&off, "called_off_reason"), "Only 12 t came together; the smallest total is 20 t.");
        assert_eq!(
            (text(&off, "state"), off["goods_pence"].as_i64(), off["vat_pence"].as_i64(), off["price_pence"].is_null()),
            ("called_off", Some(0), Some(0), true)
        );
        assert_eq!((off["total_kg"].as_i64(), off["lines"][0]["share"].is_null()), (Some(12_000), true));
        super::assert_letter!(market.letters(&ash.treasurer).await.remove(0), @r#"
        Autumn sand was called off

        Hello treasurer,

        Autumn sand was called off. The reason: Only 12 t came together; the smallest total is 20 t.

        Ash had 12 t in it and owes nothing for it.

        The order: http://turfring.test/orders/[id]
        "#);
        assert_eq!(market.letters(&birch.treasurer).await, []);
    });
}

#[test]
fn an_order_without_lines_is_called_off() {
    with_app(async |app| {
        let market = Market::of(&app, "North").await;
        let order = market.open(json!({"smallest_kg": 0})).await;
        assert_eq!(run_closing(&app, &order).await, 2, "the reminder came too late, the closing in time");
        let off = market.show(&order).await;
        assert_eq!(
            (text(&off, "state"), text(&off, "called_off_reason")),
            ("called_off", "No club joined until the closing.")
        );
    });
}

/// The constraint a statement breaks, run as the application's role in the network's scope.
async fn broken_by(app: &App, market: &Market, sql: &str) -> String {
    let mut tx = app.service.db.begin(Scope::Network(market.net.id)).await.unwrap();
    let outcome = match sql_query(sql).execute(&mut *tx).await {
        Err(error) => Err(error),
        // The sums are compared at commit.
        Ok(_) => match tx.commit().await {
            Ok(()) => Ok(()),
            Err(Error::Internal(cause)) => Err(cause.downcast().unwrap()),
            Err(Error::Refused(refused)) => panic!("{refused:?}"),
        },
    };
    match outcome {
        Err(diesel::result::Error::DatabaseError(_, info)) => {
            info.constraint_name().unwrap_or(info.message()).to_owned()
        }
        other => panic!("{sql}: {other:?}"),
    }
}

#[test]
fn entered_shares_cannot_be_changed_nor_made_to_differ_from_the_order_by_any_statement() {
    with_app(async |app| {
        let market = Market::of(&app, "North").await;
        let (order, clubs) = joined(&app, &market).await;
        let idle = app.club(&market.net, "Idle").await;
        run_closing(&app, &order).await;
        let closed = market.show(&order).await;
        let (order_id, ash, idle) = (id(&order), clubs[0].id, idle.id);
        let of = format!("WHERE order_id = '{order_id}' AND club_id = '{ash}'");
        for (sql, constraint) in [
            (format!("UPDATE shares SET goods_pence = goods_pence - 1 {of}"), "shares_immutable"),
            (format!("DELETE FROM shares {of}"), "shares_immutable"),
            ("DELETE FROM shares".to_owned(), "shares_immutable"),
            (format!("UPDATE pooled_orders SET goods_pence = goods_pence + 1 WHERE id = '{order_id}'"), "shares_sum_to_order"),
            (format!("UPDATE pooled_orders SET vat_pence = vat_pence - 1 WHERE id = '{order_id}'"), "shares_sum_to_order"),
            (format!("UPDATE pooled_orders SET total_kg = total_kg + 1000 WHERE id = '{order_id}'"), "shares_sum_to_order"),
            (
                format!(
                    "UPDATE pooled_orders SET state = 'gathering', closed_at = NULL, total_kg = NULL, price_pence = NULL,
                     goods_pence = NULL, vat_pence = NULL WHERE id = '{order_id}'"
                ),
                "shares_sum_to_order",
            ),
            (format!("UPDATE pooled_orders SET goods_pence = NULL WHERE id = '{order_id}'"), "pooled_orders_reckoned"),
            (
                format!(
                    "INSERT INTO shares (network_id, order_id, club_id, quantity_kg, goods_pence, vat_pence,
                     alone_goods_pence, alone_vat_pence) SELECT network_id, order_id, '{idle}', quantity_kg, goods_pence,
                     vat_pence, alone_goods_pence, alone_vat_pence FROM shares {of}"
                ),
                "shares_line",
            ),
            (format!("UPDATE order_lines SET quantity_kg = 1000 {of}"), "order_lines_gathering"),
            (format!("DELETE FROM order_lines {of}"), "order_lines_gathering"),
        ] {
            assert_eq!(broken_by(&app, &market, &sql).await, constraint, "{sql}");
        }
        assert_eq!(market.show(&order).await, closed);
    });
}

#[test]
fn shares_that_do_not_sum_cannot_be_entered_in_the_first_place() {
    with_app(async |app| {
        let market = Market::of(&app, "North").await;
        let (order, _) = joined(&app, &market).await;
        let order_id = id(&order);
        let enter = |goods: i64, alone: i64| {
            format!(
                "WITH entered AS (
                   INSERT INTO shares (network_id, order_id, club_id, quantity_kg, goods_pence, vat_pence, alone_goods_pence,
                     alone_vat_pence)
                   SELECT network_id, order_id, club_id, quantity_kg, {goods}, 0, {alone}, 0 FROM order_lines
                   WHERE order_id = '{order_id}')
                 UPDATE pooled_orders SET state = 'closed', closed_at = now(), total_kg = 24000, price_pence = 1, goods_pence = 300,
                   vat_pence = 0 WHERE id = '{order_id}'"
            )
        };
        assert_eq!(broken_by(&app, &market, &enter(101, 200)).await, "shares_sum_to_order");
        assert_eq!(broken_by(&app, &market, &enter(100, 99)).await, "shares_not_above_alone");
        assert_eq!(market.show(&order).await["state"], "gathering");
    });
}
