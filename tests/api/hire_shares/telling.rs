//! Telling what a hire costs each club, before and after it was there.

use serde_json::{Value, json};
use turfring::database::Scope;
use turfring::hire_shares;
use turfring::ids::PlanId;

use super::{Hire, Stay, days, pence};
use crate::direct::db_sql;
use crate::harness::with_app;

#[test]
fn a_full_hire_is_worth_it_and_every_share_explains_itself() {
    with_app(async |app| {
        let hire = Hire::of(&app, &days(4)).await;
        let costs = hire.costs().await;
        // A week, delivery and collection; 4 × 193 minutes of work at £4.50 an hour.
        insta::assert_json_snapshot!(costs["bill"], @r#"
        {
          "total_pence": 112790,
          "lines": [
            {
              "words": "1 week at £950.00",
              "pence": 95000
            },
            {
              "words": "delivery",
              "pence": 6000
            },
            {
              "words": "collection",
              "pence": 6000
            },
            {
              "words": "12 h 52 min of work, fuel and wear at £4.50 an hour",
              "pence": 5790
            }
          ],
          "haul_hm": 435
        }
        "#);
        assert_eq!((&costs["worth_it"], &costs["shortfall_pence"]), (&json!(true), &json!(0)));
        assert_eq!(costs["deposit_pence"], 50_000);
        // Alone: a day, both ways, and 193 minutes of fuel.
        assert_eq!(pence(&json!([costs["parts"][0]["alone"]]), "total_pence"), [35_148]);
        assert_eq!(pence(&costs["parts"], "share_pence"), [28_198, 28_198, 28_197, 28_197]);
        let rules: Vec<_> = costs["rules"].as_array().unwrap().iter().map(|rule| &rule["rule"]).collect();
        assert_eq!(rules, ["equal_discount", "by_hours", "shapley"]);
        let own = hire.clubs[1].treasurer.get(&format!("{}/costs", hire.path)).await.expect(200);
        assert_eq!(pence(&own["parts"], "share_pence").len(), 1);
        assert_eq!((&own["rules"], &own["clubs"]), (&json!([]), &json!(4)));
        let volunteer = hire.clubs[1].volunteer.get(&format!("{}/costs", hire.path)).await.expect(200);
        assert_eq!(volunteer["parts"], json!([]));
        app.run_jobs().await;
    });
}

#[test]
fn an_empty_hire_says_by_how_much_before_anything_is_entered() {
    with_app(async |app| {
        let hire = Hire::of(&app, &days(2)).await;
        let costs = hire.costs().await;
        // 109,895 together against twice 35,148 alone.
        assert_eq!((&costs["worth_it"], &costs["shortfall_pence"]), (&json!(false), &json!(39_599)));
        let refused = hire.enter(json!({})).await.expect_problem(422, "hire_too_empty");
        assert!(refused["detail"].as_str().unwrap().contains("£395.99"), "{refused}");
        let entered = hire.enter(json!({"fund_carries": true})).await.expect(201)["entered"].take();
        assert_eq!(pence(&entered["shares"], "share_pence"), [35_148, 35_148]);
        assert_eq!((&entered["fund_pence"], &entered["total_pence"]), (&json!(39_599), &json!(109_895)));
        app.run_jobs().await;
    });
}

#[test]
fn a_neighbours_trips_go_to_the_club_helped_and_entered_roads_count() {
    with_app(async |app| {
        let net = app.network("North").await;
        let helper = app.club(&net, "Helpers").await;
        app.pitch(&net, &helper, "Yard").await;
        let stays = [Stay("Ashby", 0, 2, None), Stay("Birch", 2, 4, Some(&helper)), Stay("Cotton", 4, 6, None)];
        let hauled = json!({"hauled_by": "clubs", "depot_latitude_deg": 53.1, "depot_longitude_deg": -0.9});
        let hire = Hire::in_network(&app, net, &stays, hauled).await;
        // From the depot to Ashby, Birch, Cotton and back: three times 14.5 km, and 43.4 km.
        let costs = hire.costs().await;
        assert_eq!(costs["bill"]["haul_hm"], 869);
        assert_eq!(pence(&costs["parts"], "helper_pence"), [0, 1_595, 0], "2 × 14.5 km at 55p, from Ashby's latitude");
        let road = "INSERT INTO roads SELECT a.network_id, least(a.id, b.id), greatest(a.id, b.id), 250 \
                    FROM grounds a JOIN grounds b USING (network_id) \
                    WHERE abs(a.latitude_deg - 53.3) < 0.01 AND abs(b.latitude_deg - 53.4) < 0.01";
        db_sql(&app, road).await;
        let further = hire.costs().await;
        assert_eq!(further["bill"]["haul_hm"], 869 - 145 + 250);
        assert_eq!(further["parts"][2]["alone"], costs["parts"][2]["alone"], "alone it comes straight from the depot");
        let entered = hire.enter(json!({"fund_carries": true})).await.expect(201)["entered"].take();
        let birch = &entered["shares"][1];
        assert_eq!(birch["owes_pence"].as_i64().unwrap(), birch["share_pence"].as_i64().unwrap() + 1_595);
        app.run_jobs().await;
    });
}

#[test]
fn a_plan_is_reckoned_before_anyone_confirms() {
    with_app(async |app| {
        let hire = Hire::of(&app, &days(2)).await;
        let plan = PlanId::new();
        let sql = format!(
            "UPDATE bookings SET state = 'cancelled', availability_id = NULL; UPDATE rounds SET state = 'requests_closed';
             INSERT INTO round_plans (network_id, id, round_id, purpose, plan_order, hm_per_point, facts, made_by) \
             SELECT network_id, '{plan}', id, 'proposal', 'between', 200, '', opened_by FROM rounds;
             INSERT INTO plan_blocks (network_id, plan_id, round_id, request_id, machine_id, crew_club_id, span, points, \
             haul_hm, helper_hm, leaves_at) SELECT r.network_id, '{plan}', r.round_id, r.id, h.machine_id, r.club_id, \
             tsrange(lower(h.span) + n * interval '1 day', lower(h.span) + (n + 1) * interval '1 day'), 0, 0, 0, \
             lower(h.span) + n * interval '1 day' FROM hires h JOIN (SELECT *, row_number() OVER (ORDER BY id) AS n \
             FROM round_requests) r USING (network_id, round_id)"
        );
        db_sql(&app, &sql).await;
        let path = format!("{}/plans/{plan}/costs", hire.net.path);
        let costs = hire.net.coordinator.get(&path).await.expect(200);
        assert_eq!((&costs[0]["worth_it"], &costs[0]["shortfall_pence"]), (&json!(false), &json!(39_599)));
        let own = hire.clubs[0].lead.get(&path).await.expect(200);
        assert_eq!(pence(&own[0]["parts"], "share_pence"), [35_148], "its own part and no other");
        let mut tx = app.service.db.begin(Scope::Network(hire.net.id)).await.unwrap();
        let expected = hire_shares::expected_of_plan(&mut tx, hire.net.id, plan).await.unwrap();
        let shares: Vec<_> = expected[0].shares.iter().map(|share| (share.club_id, share.share_pence)).collect();
        assert_eq!(shares, [(hire.clubs[0].id, 35_148), (hire.clubs[1].id, 35_148)]);
        insta::assert_snapshot!(expected[0].warning().unwrap(), @"Hiring Deep-tine aerator does not pay: alone the clubs would pay £395.99 less. Drop it, or let the fund carry that.");
        app.network("South").await.coordinator.get(&path).await.expect_problem(404, "not_found");
        app.stranger().get(&path).await.expect_problem(401, "not_signed_in");
        app.run_jobs().await;
    });
}

#[test]
fn hours_that_were_signed_for_at_both_ends_count_instead_of_those_reckoned() {
    with_app(async |app| {
        let hire = Hire::of(&app, &days(3)).await;
        let part = async || hire.costs().await["parts"][1].take();
        assert_eq!((&part().await["work_min"], &part().await["signed_min"]), (&json!(193), &json!(0)));
        hire.db_sign(&app, 1, "out", 120.5).await;
        assert_eq!(part().await["work_min"], 193, "given back, but not signed for yet");
        hire.db_sign(&app, 1, "in", 125.2).await;
        let costs = hire.costs().await;
        assert_eq!(pence(&costs["parts"], "work_min"), [193, 282, 193]);
        assert_eq!(pence(&costs["parts"], "signed_min"), [0, 282, 0]);
        // 668 minutes at £4.50 an hour, shared 193 : 282 : 193.
        assert_eq!(costs["bill"]["lines"][3]["pence"], 5_010);
        let by_hours = &costs["rules"][1];
        assert_eq!(pence(&by_hours["shares"], "share_pence"), [32_362, 47_286, 32_362]);
        let entered = hire.enter(json!({"fund_carries": true})).await.expect(201)["entered"].take();
        assert_eq!(pence(&entered["shares"], "signed_min"), [0, 282, 0]);
        app.run_jobs().await;
    });
}

#[test]
fn an_invoice_can_be_tried_before_it_is_entered() {
    with_app(async |app| {
        let hire = Hire::of(&app, &days(4)).await;
        let at = |invoice: &str| format!("{}/costs?invoice_pence={invoice}", hire.path);
        let coordinator = &hire.net.coordinator;
        let tried = coordinator.get(&at("110003")).await.expect(200);
        assert_eq!((&tried["total_pence"], &tried["bill"]["total_pence"]), (&json!(115_793), &json!(112_790)));
        assert_eq!(pence(&tried["parts"], "share_pence"), [28_949, 28_948, 28_948, 28_948]);
        assert_eq!(pence(&tried["rules"][2]["shares"], "share_pence").iter().sum::<i64>(), 115_793);
        let dear = coordinator.get(&at("140000")).await.expect(200);
        assert_eq!((&dear["worth_it"], &dear["shortfall_pence"]), (&json!(false), &json!(5_198)));
        coordinator.get(&at("-1")).await.expect_problem(422, "invalid");
        assert_eq!(hire.costs().await["entered"], Value::Null, "trying enters nothing");
        app.run_jobs().await;
    });
}
