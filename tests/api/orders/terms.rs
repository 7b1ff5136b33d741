//! Opening orders, changing their terms, listing them.

use chrono::{TimeDelta, Utc};
use serde_json::{Value, json};
use turfring::jobs;
use uuid::Uuid;

use super::{Market, closes_at, day, db_execute, product, run_closing, text, with};
use crate::harness::with_app;

fn prices(breaks: &[(i64, i64)]) -> Value {
    let each = |&(from_kg, price_pence): &(i64, i64)| json!({"from_kg": from_kg, "price_pence": price_pence});
    json!({"price_breaks": breaks.iter().map(each).collect::<Vec<_>>()})
}

#[test]
fn prices_that_make_no_sense_are_refused_at_their_field() {
    with_app(async |app| {
        let market = Market::of(&app, "North").await;
        for (breaks, words) in [
            (&[][..], "at least one price"),
            (&[(2_000, 3_000)], "from 0 or from one pack"),
            (&[(-1, 3_000)], "from 0 or from one pack"),
            (&[(0, 3_000), (5_000, 2_000), (5_000, 1_000)], "none twice"),
            (&[(0, 3_000), (9_000, 2_000), (5_000, 1_000)], "larger than the one before"),
            (&[(0, 3_000), (5_000, 3_001)], "must not rise"),
            (&[(0, 0)], "more than nothing"),
            (&[(0, 3_000), (5_000, -1)], "more than nothing"),
            (&[(0, i64::MAX)], "at most £100,000"),
            (&[(0, 3_000), (i64::MAX, 2_000)], "clubs can reach"),
            (&[(0, 1); 21], "at most 20"),
        ] {
            let terms = with(market.terms(), prices(breaks));
            let problem = market.net.coordinator.post(&market.path(), terms).await.expect_problem(422, "invalid");
            assert_eq!(problem["errors"][0]["field"], "price_breaks", "{breaks:?}");
            assert!(text(&problem, "detail").contains(words), "{breaks:?}: {problem}");
        }
        let fraction = with(market.terms(), json!({"pack_kg": 250}));
        let problem = market.net.coordinator.post(&market.path(), fraction).await.expect_problem(422, "invalid");
        assert!(text(&problem, "detail").contains("whole pence"), "{problem}");
        assert_eq!(market.net.coordinator.get(&market.path()).await.expect(200)["items"], json!([]));
    });
}

#[test]
fn every_other_field_is_refused_by_name() {
    with_app(async |app| {
        let (market, south) = (Market::of(&app, "North").await, Market::of(&app, "South").await);
        let now = Utc::now();
        for (field, value) in [
            ("title", json!("  ")),
            ("title", json!("x".repeat(121))),
            ("note", json!("x".repeat(2_001))),
            ("product_id", json!(south.product)),
            ("product_id", json!(Uuid::now_v7())),
            ("supplier_id", json!(south.supplier)),
            ("pack_kg", json!(0)),
            ("pack_kg", json!(-1_000)),
            ("pack_kg", json!(i64::MAX)),
            ("vat_basis_points", json!(-1)),
            ("vat_basis_points", json!(10_001)),
            ("smallest_kg", json!(-1)),
            ("smallest_kg", json!(i64::MAX)),
            ("closes_at", json!(now - TimeDelta::seconds(1))),
            ("closes_at", json!(now + TimeDelta::days(740))),
            ("closes_at", json!("+250000-01-01T00:00:00Z")),
            ("delivery_from_on", json!(day(1))),
            ("delivery_from_on", json!("-4800-01-01")),
            ("delivery_until_on", json!(day(9))),
            ("delivery_until_on", json!("9999-12-31")),
        ] {
            let terms = with(market.terms(), json!({field: value}));
            let problem = market.net.coordinator.post(&market.path(), terms).await.expect_problem(422, "invalid");
            assert_eq!(problem["errors"][0]["field"], field, "{value}");
        }
        let mut lacking = market.terms();
        lacking.as_object_mut().unwrap().remove("price_breaks");
        market.net.coordinator.post(&market.path(), lacking).await.expect_problem(400, "unreadable");
    });
}

#[test]
fn an_order_takes_its_unit_from_the_product_and_its_vat_as_given() {
    with_app(async |app| {
        let market = Market::of(&app, "North").await;
        let bag =
            json!({"name": "Seed", "kind": "seed", "sold_by": "bag", "bag_kg": 20, "vat_basis_points": 0, "note": ""});
        let seed = product(&market.net, bag).await;
        let order = market.open(json!({"product_id": seed, "pack_kg": 20, "vat_basis_points": 500})).await;
        assert_eq!((order["unit_kg"].as_i64(), order["vat_basis_points"].as_i64()), (Some(20), Some(500)));
        assert_eq!((text(&order["product"], "kind"), text(&order["product"], "sold_by")), ("seed", "bag"));
        // The supplier packs larger bags from now on; what the clubs joined stays as it was.
        let larger =
            json!({"name": "Seed", "kind": "seed", "sold_by": "bag", "bag_kg": 25, "vat_basis_points": 0, "note": ""});
        market.net.coordinator.put(&format!("{}/products/{seed}", market.net.path), 1, larger).await.expect(200);
        let terms = with(market.terms(), json!({"product_id": seed, "pack_kg": 40}));
        assert_eq!(market.net.coordinator.put(&market.at(&order), 1, terms).await.expect(200)["unit_kg"], 20);
    });
}

#[test]
fn the_same_key_opens_one_order() {
    with_app(async |app| {
        let market = Market::of(&app, "North").await;
        let (terms, key) = (market.terms(), [("Idempotency-Key", "one")]);
        let send = async |terms: Value| market.net.coordinator.send("POST", &market.path(), Some(terms), &key).await;
        let (first, again) = (send(terms.clone()).await.expect(201), send(terms.clone()).await.expect(201));
        assert_eq!(first, again);
        send(with(terms.clone(), json!({"title": "Other"}))).await.expect_problem(409, "idempotency_key_reused");
        market
            .net
            .coordinator
            .send("POST", &market.path(), Some(terms), &[])
            .await
            .expect_problem(400, "idempotency_key_missing");
        assert_eq!(market.net.coordinator.get(&market.path()).await.expect(200)["items"].as_array().unwrap().len(), 1);
    });
}

#[test]
fn terms_change_while_it_gathers_and_the_later_of_two_editors_is_told() {
    with_app(async |app| {
        let market = Market::of(&app, "North").await;
        let order = market.open(json!({})).await;
        let path = market.at(&order);
        let cheaper =
            with(market.terms(), with(prices(&[(0, 3_000), (10_000, 2_500)]), json!({"title": "Cheaper sand"})));
        let changed = market.net.coordinator.put(&path, 1, cheaper.clone()).await;
        assert_eq!(changed.etag.as_deref(), Some("\"v2\""));
        let changed = changed.expect(200);
        assert_eq!((text(&changed, "title"), changed["price_breaks"].as_array().unwrap().len()), ("Cheaper sand", 2));
        assert_eq!(changed, market.show(&order).await);
        market.net.coordinator.put(&path, 1, cheaper.clone()).await.expect_problem(412, "changed_meanwhile");
        market.net.coordinator.put_plain(&path, cheaper.clone()).await.expect_problem(428, "if_match_missing");
        let rising = with(market.terms(), prices(&[(0, 3_000), (10_000, 3_500)]));
        market.net.coordinator.put(&path, 2, rising).await.expect_problem(422, "invalid");
        assert_eq!(changed, market.show(&order).await);
    });
}

#[test]
fn two_editors_at_once_change_it_once() {
    with_app(async |app| {
        let market = Market::of(&app, "North").await;
        let order = market.open(json!({})).await;
        let path = market.at(&order);
        let edits = (0..8).map(|n| {
            let terms = with(market.terms(), json!({"title": format!("Sand {n}")}));
            market.net.coordinator.put(&path, 1, terms)
        });
        let edits = futures_util::future::join_all(edits.collect::<Vec<_>>()).await;
        let mut statuses: Vec<u16> = edits.iter().map(|reply| reply.status).collect();
        statuses.sort_unstable();
        assert_eq!(statuses, [200, 412, 412, 412, 412, 412, 412, 412]);
        assert_eq!(market.show(&order).await["version"], 2);
    });
}

#[test]
fn new_terms_must_fit_the_lines_that_are_there() {
    with_app(async |app| {
        let market = Market::of(&app, "North").await;
        let ash = app.club(&market.net, "Ash").await;
        let order = market.open(json!({})).await;
        market.join(&order, &ash, 9_000).await;
        let put =
            async |changes| market.net.coordinator.put(&market.at(&order), 1, with(market.terms(), changes)).await;
        let problem = put(json!({"pack_kg": 2_000})).await.expect_problem(422, "invalid");
        assert_eq!(problem["errors"][0]["field"], "pack_kg");
        assert!(text(&problem, "detail").starts_with("Ash has 9000 kg in it"), "{problem}");
        let loam = json!({"name": "Loam", "kind": "other", "sold_by": "tonne", "vat_basis_points": 2000, "note": ""});
        let loam = product(&market.net, loam).await;
        let problem = put(json!({"product_id": loam})).await.expect_problem(422, "invalid");
        assert_eq!(problem["errors"][0]["field"], "product_id");
        put(json!({"pack_kg": 3_000})).await.expect(200);
        assert_eq!(market.show(&order).await["lines"][0]["quantity_kg"], 9_000);
    });
}

#[test]
fn terms_stand_once_the_time_has_come_even_before_the_queue_ran() {
    with_app(async |app| {
        let market = Market::of(&app, "North").await;
        let order = market.open(json!({})).await;
        db_execute(&app, "UPDATE pooled_orders SET closes_at = now()").await;
        let refused = market.net.coordinator.put(&market.at(&order), 1, market.terms()).await;
        refused.expect_problem(409, "order_not_gathering");
    });
}

#[test]
fn a_closing_that_is_moved_happens_at_its_new_time_only() {
    with_app(async |app| {
        let market = Market::of(&app, "North").await;
        let ash = app.club(&market.net, "Ash").await;
        let order = market.open(json!({})).await;
        market.join(&order, &ash, 9_000).await;
        let later = with(market.terms(), json!({"closes_at": Utc::now() + TimeDelta::days(8)}));
        let moved = market.net.coordinator.put(&market.at(&order), 1, later).await.expect(200);
        assert_eq!(run_closing(&app, &order).await, 0);
        assert_eq!(market.show(&order).await["state"], "gathering");
        jobs::run_due(&app.service, closes_at(&moved) - TimeDelta::seconds(1)).await.unwrap();
        assert_eq!(market.show(&order).await["state"], "gathering");
        run_closing(&app, &moved).await;
        assert_eq!(market.show(&order).await["state"], "closed");
    });
}

#[test]
fn orders_are_listed_by_state_those_that_close_soonest_first() {
    with_app(async |app| {
        let market = Market::of(&app, "North").await;
        let ash = app.club(&market.net, "Ash").await;
        let closing_in =
            |days| json!({"closes_at": Utc::now() + TimeDelta::days(days), "title": format!("In {days} days")});
        for days in [5, 2, 4, 3] {
            let order = market.open(closing_in(days)).await;
            market.join(&order, &ash, days * 1_000).await;
        }
        let list = async |query: &str| ash.volunteer.get(&format!("{}{query}", market.path())).await.expect(200);
        let titles = |page: &Value| -> Vec<String> {
            page["items"].as_array().unwrap().iter().map(|order| text(order, "title").to_owned()).collect()
        };
        let first = list("?state=gathering&limit=3").await;
        assert_eq!(titles(&first), ["In 2 days", "In 3 days", "In 4 days"]);
        assert_eq!(first["items"][1]["lines"][0]["quantity_kg"], 3_000);
        assert_eq!(first["items"][1]["price_breaks"].as_array().unwrap().len(), 3);
        let rest = list(&format!("?state=gathering&limit=3&cursor={}", text(&first, "next_cursor"))).await;
        assert_eq!((titles(&rest), rest["next_cursor"].is_null()), (vec!["In 5 days".to_owned()], true));

        jobs::run_due(&app.service, Utc::now() + TimeDelta::hours(49)).await.unwrap();
        assert_eq!(titles(&list("?state=called_off").await), ["In 2 days"]);
        assert_eq!(titles(&list("?state=gathering").await), ["In 3 days", "In 4 days", "In 5 days"]);
        assert_eq!(titles(&list("").await).len(), 4);
        let nonsense = ash.lead.get(&format!("{}?state=open", market.path())).await;
        nonsense.expect_problem(400, "unreadable");
        ash.lead.get(&format!("{}?cursor=xyz", market.path())).await.expect_problem(400, "unreadable");
    });
}

#[test]
fn only_the_coordinator_opens_and_changes_orders() {
    with_app(async |app| {
        let (market, south) = (Market::of(&app, "North").await, Market::of(&app, "South").await);
        let ash = app.club(&market.net, "Ash").await;
        let order = market.open(json!({})).await;
        let (path, terms) = (market.at(&order), market.terms());
        for member in [&ash.lead, &ash.treasurer, &ash.volunteer] {
            member.post(&market.path(), terms.clone()).await.expect_problem(403, "not_your_role");
            member.put(&path, 1, terms.clone()).await.expect_problem(403, "not_your_role");
            assert_eq!(member.get(&path).await.expect(200)["title"], "Autumn sand");
            assert_eq!(member.get(&market.path()).await.expect(200)["items"].as_array().unwrap().len(), 1);
        }
        let foreign = &south.net.coordinator;
        foreign.get(&market.path()).await.expect_problem(404, "not_found");
        foreign.get(&path).await.expect_problem(404, "not_found");
        foreign.post(&market.path(), terms.clone()).await.expect_problem(404, "not_found");
        foreign.put(&path, 1, terms.clone()).await.expect_problem(404, "not_found");
        // The order of another network is not found through one's own either.
        foreign.get(&south.at(&order)).await.expect_problem(404, "not_found");
        foreign.put(&south.at(&order), 1, south.terms()).await.expect_problem(404, "not_found");
        let stranger = app.stranger();
        stranger.get(&market.path()).await.expect_problem(401, "not_signed_in");
        stranger.get(&path).await.expect_problem(401, "not_signed_in");
        stranger.post(&market.path(), terms.clone()).await.expect_problem(401, "not_signed_in");
        stranger.put(&path, 1, terms).await.expect_problem(401, "not_signed_in");
    });
}
