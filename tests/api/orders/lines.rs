//! The clubs' lines, and who sees what of them.

use serde_json::{Value, json};
use turfring::access::Role;
use uuid::Uuid;

use super::{Market, db_execute, run_closing, text};
use crate::harness::{User, with_app};

#[test]
fn a_line_is_added_changed_and_taken_back_and_the_page_reckons_along() {
    with_app(async |app| {
        let market = Market::of(&app, "North").await;
        let (ash, birch) = (app.club(&market.net, "Ash").await, app.club(&market.net, "Birch").await);
        let order = market.open(json!({})).await;
        market.join(&order, &birch, 8_000).await;
        let added = market.join(&order, &ash, 6_000).await;
        // 14 t at £31.55; 6 t more and every tonne costs £4.50 less.
        assert_eq!((added["total_kg"].as_i64(), added["club_count"].as_i64()), (Some(14_000), Some(2)));
        assert_eq!(added["goods_pence"], 14 * 3_155);
        assert_eq!(
            added["next_break"],
            json!({"from_kg": 20_000, "missing_kg": 6_000, "price_pence": 2_705, "saving_all_pence": 14 * 450, "saving_yours_pence": 6 * 450})
        );
        let changed = market.join(&order, &ash, 12_000).await;
        assert_eq!((changed["total_kg"].as_i64(), changed["price_pence"].as_i64()), (Some(20_000), Some(2_705)));
        let own = &changed["lines"][0];
        assert_eq!(
            (text(own, "club_name"), own["version"].as_i64(), own["yours"].as_bool()),
            ("Ash", Some(2), Some(true))
        );
        let back = ash.lead.delete(&market.line(&order, &ash)).await.expect(200);
        assert_eq!((back["total_kg"].as_i64(), back["club_count"].as_i64()), (Some(8_000), Some(1)));
        assert_eq!(
            ash.lead.delete(&market.line(&order, &ash)).await.expect(200),
            back,
            "there is nothing more to take back"
        );
    });
}

#[test]
fn quantities_no_club_would_mean_are_refused() {
    with_app(async |app| {
        let market = Market::of(&app, "North").await;
        let ash = app.club(&market.net, "Ash").await;
        let order = market.open(json!({})).await;
        for (quantity_kg, code) in [
            (json!(0), "quantity_absurd"),
            (json!(-1_000), "quantity_absurd"),
            (json!(3_001_000), "quantity_absurd"),
            (json!(i64::MAX / 1_000 * 1_000), "quantity_absurd"),
            (json!(500), "not_whole_packs"),
            (json!(i64::MAX), "not_whole_packs"),
        ] {
            let refused = ash.lead.put_plain(&market.line(&order, &ash), json!({"quantity_kg": quantity_kg})).await;
            assert_eq!(refused.expect_problem(422, code)["errors"][0]["field"], "quantity_kg");
        }
        for quantity_kg in [json!(1.5), json!("lots"), Value::Null, json!(1e300)] {
            let refused = ash.lead.put_plain(&market.line(&order, &ash), json!({"quantity_kg": quantity_kg})).await;
            refused.expect_problem(400, "unreadable");
        }
        market.join(&order, &ash, 3_000_000).await;
        assert_eq!(market.show(&order).await["total_kg"], 3_000_000);
    });
}

#[test]
fn a_late_line_is_refused_even_before_the_queue_ran() {
    with_app(async |app| {
        let market = Market::of(&app, "North").await;
        let (ash, birch) = (app.club(&market.net, "Ash").await, app.club(&market.net, "Birch").await);
        let order = market.open(json!({})).await;
        market.join(&order, &ash, 9_000).await;
        db_execute(&app, "UPDATE pooled_orders SET closes_at = clock_timestamp()").await;
        let late = async |who: &User, path: &str| {
            who.put_plain(path, json!({"quantity_kg": 1_000})).await.expect_problem(409, "order_not_gathering")
        };
        let problem = late(&ash.lead, &market.line(&order, &ash)).await;
        assert_eq!(text(&problem, "detail"), "The order has closed; its lines can no longer be changed.");
        late(&birch.lead, &market.line(&order, &birch)).await;
        late(&market.net.coordinator, &market.line(&order, &birch)).await;
        let refused = ash.lead.delete(&market.line(&order, &ash)).await;
        refused.expect_problem(409, "order_not_gathering");
        assert_eq!(market.show(&order).await["total_kg"], 9_000);
    });
}

#[test]
fn a_late_line_is_refused_after_the_closing() {
    with_app(async |app| {
        let market = Market::of(&app, "North").await;
        let ash = app.club(&market.net, "Ash").await;
        let order = market.open(json!({})).await;
        market.join(&order, &ash, 9_000).await;
        run_closing(&app, &order).await;
        let line = market.line(&order, &ash);
        ash.lead.put_plain(&line, json!({"quantity_kg": 1_000})).await.expect_problem(409, "order_not_gathering");
        ash.lead.delete(&line).await.expect_problem(409, "order_not_gathering");
    });
}

#[test]
fn a_line_is_changed_by_its_club_s_lead_or_the_coordinator_and_nobody_else() {
    with_app(async |app| {
        let (market, south) = (Market::of(&app, "North").await, Market::of(&app, "South").await);
        let (ash, birch) = (app.club(&market.net, "Ash").await, app.club(&market.net, "Birch").await);
        let order = market.open(json!({})).await;
        let (line, body) = (market.line(&order, &ash), json!({"quantity_kg": 9_000}));
        for member in [&ash.treasurer, &ash.volunteer, &birch.lead, &birch.treasurer] {
            member.put_plain(&line, body.clone()).await.expect_problem(403, "not_your_role");
            member.delete(&line).await.expect_problem(403, "not_your_role");
        }
        market.net.coordinator.put_plain(&line, body.clone()).await.expect(200);
        ash.lead.put_plain(&line, body.clone()).await.expect(200);
        south.net.coordinator.put_plain(&line, body.clone()).await.expect_problem(404, "not_found");
        south.net.coordinator.delete(&line).await.expect_problem(404, "not_found");
        app.stranger().put_plain(&line, body.clone()).await.expect_problem(401, "not_signed_in");
        app.stranger().delete(&line).await.expect_problem(401, "not_signed_in");
        // Absent orders and clubs, and those of another network, cannot be told apart.
        let elsewhere = app.club(&south.net, "Elder").await;
        let nowhere = json!({"order_id": Uuid::now_v7()});
        for path in [market.line(&order, &elsewhere), market.line(&nowhere, &ash), south.line(&order, &elsewhere)] {
            let coordinator =
                if path.starts_with(&south.net.path) { &south.net.coordinator } else { &market.net.coordinator };
            coordinator.put_plain(&path, body.clone()).await.expect_problem(404, "not_found");
            coordinator.delete(&path).await.expect_problem(404, "not_found");
        }
        assert_eq!(market.show(&order).await["total_kg"], 9_000);
    });
}

#[test]
fn everybody_sees_quantities_and_totals_but_each_club_its_own_money() {
    with_app(async |app| {
        let market = Market::of(&app, "North").await;
        let (ash, birch) = (app.club(&market.net, "Ash").await, app.club(&market.net, "Birch").await);
        let order = market.open(json!({})).await;
        market.join(&order, &ash, 6_000).await;
        market.join(&order, &birch, 8_000).await;
        // Who sees the money of Ash, of Birch, and what the next break saves their own clubs.
        let both = app.db_member(market.net.id, "both@north.test", Role::Treasurer, Some(ash.id)).await;
        app.db_member(market.net.id, "both@north.test", Role::GroundsLead, Some(birch.id)).await;
        for closed in [false, true] {
            if closed {
                run_closing(&app, &order).await;
            }
            for (who, sees, saves) in [
                (&market.net.coordinator, [true, true], None),
                (&ash.lead, [true, false], Some(6 * 450)),
                (&ash.treasurer, [true, false], Some(6 * 450)),
                (&ash.volunteer, [false, false], None),
                (&birch.treasurer, [false, true], Some(8 * 450)),
                (&both, [true, true], Some(14 * 450)),
            ] {
                let seen = who.get(&market.at(&order)).await.expect(200);
                let lines = seen["lines"].as_array().unwrap();
                assert_eq!(
                    (lines[0]["quantity_kg"].as_i64(), lines[1]["quantity_kg"].as_i64()),
                    (Some(6_000), Some(8_000))
                );
                assert_eq!(
                    lines.iter().map(|line| !line["share"].is_null()).collect::<Vec<_>>(),
                    sees,
                    "{}",
                    who.email
                );
                assert_eq!(
                    lines.iter().map(|line| !line["alone"].is_null()).collect::<Vec<_>>(),
                    sees,
                    "{}",
                    who.email
                );
                assert_eq!((seen["goods_pence"].as_i64(), seen["vat_pence"].as_i64()), (Some(44_170), Some(8_834)));
                let saving = seen["next_break"]["saving_yours_pence"].as_i64();
                assert_eq!(saving, saves.filter(|_| !closed), "{}", who.email);
            }
        }
    });
}
