//! Plans of rounds: made in each order, explained, pinned, tried, chosen; and what becomes of one whose facts change.

use futures_util::future::join_all;
use serde_json::{Value, json};

use crate::direct::db_sql;
use crate::harness::{App, Club, Net, with_app};
use crate::shed::{aerator, half_day, hired_round, place};

/// A round for which four clubs asked: all for Monday and Tuesday morning, all liking Monday best; only three fit.
struct Asked {
    net: Net,
    clubs: Vec<Club>,
    /// The request of each club.
    requests: Vec<String>,
    machine: String,
    /// The path of the round.
    round: String,
}

const NAMES: [&str; 4] = ["Alder", "Birch", "Cedar", "Dogwood"];

fn text(value: &Value, name: &str) -> String {
    value[name].as_str().unwrap().to_owned()
}

impl Asked {
    /// As above; the last club needs it less than the others.
    async fn gathering(app: &App) -> Self {
        let net = app.network("North").await;
        let machine = net.coordinator.post(&format!("{}/machines", net.path), aerator(json!({}))).await.expect(201);
        let yard = json!({"name": "The hire yard", "email": null, "phone": null, "note": ""});
        let yard = net.coordinator.post(&format!("{}/suppliers", net.path), yard).await.expect(201);
        let machine = text(&machine, "machine_id");
        let round = hired_round(&machine, &text(&yard, "supplier_id"));
        let round = net.coordinator.post(&format!("{}/rounds", net.path), round).await.expect(201);
        let round = format!("{}/rounds/{}", net.path, text(&round, "round_id"));
        let (mut clubs, mut requests) = (Vec::new(), Vec::new());
        for name in NAMES {
            let club = app.club(&net, name).await;
            let pitch = app.pitch(&net, &club, "First").await;
            let seen = club.lead.get(&format!("{}/pitches/{pitch}", net.path)).await.expect(200);
            let mut wish = place((&club.id.to_string(), &text(&seen, "ground_id"), &pitch));
            wish["need"] = json!(if name == "Dogwood" { 1 } else { 3 });
            let request = club.lead.post(&format!("{round}/requests"), wish).await.expect(201);
            requests.push(text(&request, "request_id"));
            clubs.push(club);
        }
        Self { net, clubs, requests, machine, round }
    }

    async fn closed(app: &App) -> Self {
        let asked = Self::gathering(app).await;
        db_sql(app, "UPDATE rounds SET state = 'requests_closed', requests_close_at = now()").await;
        asked
    }

    /// Has the round planned and shows the plans.
    async fn planned(&self, app: &App) -> Value {
        self.net.coordinator.post(&format!("{}/plans", self.round), json!(null)).await.expect(201);
        app.run_jobs().await;
        self.plans().await
    }

    async fn plans(&self) -> Value {
        self.net.coordinator.get(&format!("{}/plans", self.round)).await.expect(200)
    }

    fn at(&self, plan: &Value, act: &str) -> String {
        format!("{}/plans/{}/{act}", self.round, text(plan, "plan_id"))
    }
}

/// The plan in an order.
fn of_order<'a>(planned: &'a Value, order: &str) -> &'a Value {
    planned["plans"].as_array().unwrap().iter().find(|plan| plan["order"] == order).unwrap()
}

fn served(plan: &Value) -> Vec<(String, String)> {
    let places = plan["places"].as_array().unwrap();
    places.iter().map(|place| (text(place, "club_name"), text(&place["span"], "from"))).collect()
}

#[test]
fn a_round_is_planned_in_each_order_proven_and_explained() {
    with_app(async |app| {
        let asked = Asked::closed(&app).await;
        let planned = asked.planned(&app).await;
        assert_eq!(planned["plans"].as_array().unwrap().len(), 3);
        for order in ["wishes_first", "between", "haulage_first"] {
            let plan = of_order(&planned, order);
            assert_eq!((&plan["state"], &plan["is_best_possible"]), (&json!("ready"), &json!(true)), "{plan}");
            assert_eq!((&plan["is_stale"], &plan["is_explained"]), (&json!(false), &json!(true)));
            let served = served(plan);
            let times: Vec<&str> = served.iter().map(|(_, from)| from.as_str()).collect();
            assert_eq!(times, [half_day(0), half_day(1), half_day(2)]);
        }
        let plan = of_order(&planned, "wishes_first");
        // Three of need 3 are served, each weighing 30; two have their first wish, 10 points each.
        let levels: Vec<_> = plan["levels"].as_array().unwrap().iter().map(|level| &level["value"]).collect();
        assert_eq!(levels, [&json!(0), &json!(90), &json!(20), &json!(0)]);
        let late = &plan["places"][2];
        let reason = text(late, "reason");
        assert!(reason.contains(" went to ") && reason.contains("lose") || reason.contains("as good"), "{reason}");
        let left_out = &plan["left_out"][0];
        assert_eq!(left_out["club_name"], "Dogwood");
        let reason = text(left_out, "reason");
        assert!(reason.contains("whose weight is higher") || reason.contains("went to"), "{reason}");
        assert!(reason.contains("would go without"), "{reason}");
        assert!(reason.contains("There is room from"), "{reason}");
        let note = "One more day of Deep-tine aerator would serve 1 more club, for £217.00.";
        assert_eq!(plan["note"], note);
    });
}

#[test]
fn a_pin_ages_the_plans_and_is_kept_by_the_next() {
    with_app(async |app| {
        let asked = Asked::closed(&app).await;
        asked.planned(&app).await;
        let pin = json!({"request_id": asked.requests[3], "kind": "pin", "machine_id": asked.machine, "half_day": half_day(0)});
        let pinned = asked.net.coordinator.post(&format!("{}/pins", asked.round), pin).await.expect(201);
        assert!(pinned["plans"].as_array().unwrap().iter().all(|plan| plan["is_stale"] == true));
        let stale = of_order(&pinned, "between");
        let refused = asked.net.coordinator.post(&asked.at(stale, "choice"), json!(null)).await;
        refused.expect_problem(409, "plan_stale");
        let planned = asked.planned(&app).await;
        let plan = of_order(&planned, "wishes_first");
        assert_eq!(served(plan)[0], ("Dogwood".to_owned(), half_day(0)));
        assert_eq!(plan["left_out"].as_array().unwrap().len(), 1);
        let pin = text(&planned["pins"][0], "pin_id");
        let freed = asked.net.coordinator.delete(&format!("{}/pins/{pin}", asked.round)).await.expect(200);
        assert_eq!(freed["pins"], json!([]));
        let ban = json!({"request_id": asked.requests[0], "kind": "ban", "machine_id": null, "half_day": null});
        asked.net.coordinator.post(&format!("{}/pins", asked.round), ban).await.expect(201);
        let planned = asked.planned(&app).await;
        assert_eq!(of_order(&planned, "between")["left_out"][0]["club_name"], "Alder");
    });
}

#[test]
fn trying_tells_the_price_and_who_would_move_and_keeps_nothing() {
    with_app(async |app| {
        let asked = Asked::closed(&app).await;
        let planned = asked.planned(&app).await;
        let plan = of_order(&planned, "wishes_first");
        let trial = json!({"request_id": asked.requests[3], "machine_id": null, "half_day": null});
        let tried = asked.net.coordinator.post(&asked.at(plan, "trial"), trial).await.expect(200);
        assert_eq!((&tried["possible"], &tried["proven"]), (&json!(true), &json!(true)));
        let weight = &tried["changes"][0];
        assert_eq!((&weight["level"], &weight["before"], &weight["after"]), (&json!("weight"), &json!(90), &json!(70)));
        assert_eq!(weight["worse_by"], 20);
        let moves = tried["moves"].as_array().unwrap();
        assert!(moves.iter().any(|place| place["club_name"] == "Dogwood" && place["from"].is_null()));
        assert!(moves.iter().any(|place| place["to"].is_null()));
        let nowhere = json!({"request_id": asked.requests[3], "machine_id": null, "half_day": half_day(9)});
        let tried = asked.net.coordinator.post(&asked.at(plan, "trial"), nowhere).await.expect(200);
        assert_eq!((&tried["possible"], &tried["moves"]), (&json!(false), &json!([])));
        let before = asked.plans().await;
        assert_eq!(of_order(&before, "wishes_first")["places"], plan["places"]);
        for (wrong, field) in [
            (json!({"request_id": asked.net.id, "machine_id": null, "half_day": null}), "request_id"),
            (json!({"request_id": asked.requests[0], "machine_id": asked.net.id, "half_day": null}), "machine_id"),
            (json!({"request_id": asked.requests[0], "machine_id": null, "half_day": half_day(-1)}), "half_day"),
        ] {
            let refused = asked
                .net
                .coordinator
                .post(&asked.at(plan, "trial"), wrong.clone())
                .await
                .expect_problem(422, "invalid");
            assert_eq!(refused["errors"][0]["field"], field);
            let mut pin = wrong;
            pin["kind"] = json!("pin");
            let refused =
                asked.net.coordinator.post(&format!("{}/pins", asked.round), pin).await.expect_problem(422, "invalid");
            assert_eq!(refused["errors"][0]["field"], field);
        }
    });
}

#[test]
fn of_coordinators_who_choose_at_once_one_plan_is_chosen() {
    with_app(async |app| {
        let asked = Asked::closed(&app).await;
        let planned = asked.planned(&app).await;
        let plans = planned["plans"].as_array().unwrap().iter().cycle().take(12);
        let paths: Vec<String> = plans.map(|plan| asked.at(plan, "choice")).collect();
        let replies = join_all(paths.iter().map(|path| asked.net.coordinator.post(path, json!(null)))).await;
        for reply in replies {
            reply.expect(200);
        }
        let planned = asked.plans().await;
        let chosen = planned["plans"].as_array().unwrap().iter().filter(|plan| plan["state"] == "chosen");
        assert_eq!(chosen.count(), 1);
        let path = format!("{}/plans", asked.round);
        let asks = join_all((0..6).map(|_| asked.net.coordinator.post(&path, json!(null)))).await;
        for reply in asks {
            reply.expect(201);
        }
        app.run_jobs().await;
        assert_eq!(asked.plans().await["plans"].as_array().unwrap().len(), 3);
    });
}

#[test]
fn a_plan_whose_ground_closed_or_machine_went_is_out_of_date() {
    with_app(async |app| {
        let asked = Asked::closed(&app).await;
        let planned = asked.planned(&app).await;
        let plan = of_order(&planned, "between");
        let chosen = asked.net.coordinator.post(&asked.at(plan, "choice"), json!(null)).await.expect(200);
        assert_eq!(of_order(&chosen, "between")["state"], "chosen");
        db_sql(&app, "UPDATE machines SET retired = true").await;
        let gone = asked.plans().await;
        assert!(gone["plans"].as_array().unwrap().iter().all(|plan| plan["is_stale"] == true));
        let refused = asked.net.coordinator.post(&asked.at(plan, "choice"), json!(null)).await;
        refused.expect_problem(409, "plan_stale");
        // Nobody can be served by a machine that is gone, and that is said.
        let planned = asked.planned(&app).await;
        let plan = of_order(&planned, "between");
        assert_eq!((&plan["places"], plan["left_out"].as_array().unwrap().len()), (&json!([]), 4));
        assert!(text(&plan["left_out"][0], "reason").starts_with("No machine of the round suits it."));
        db_sql(&app, "UPDATE machines SET retired = false").await;
        let closed = format!(
            "INSERT INTO ground_closures SELECT network_id, id, club_id, ground_id, tsrange('{}', '{}'), 'Wet', \
             asked_by, now() FROM round_requests WHERE id = '{}'",
            half_day(0),
            half_day(2),
            asked.requests[0]
        );
        db_sql(&app, &closed).await;
        let planned = asked.planned(&app).await;
        let served = served(of_order(&planned, "wishes_first"));
        assert!(served.contains(&("Alder".to_owned(), half_day(2))), "{served:?}");
    });
}

#[test]
fn a_club_that_went_without_twice_is_served_before_those_that_weigh_more() {
    with_app(async |app| {
        let asked = Asked::closed(&app).await;
        db_sql(&app, "UPDATE rounds SET guarantee_after = 1").await;
        // An earlier round with the same requests, in which the last club went without.
        let before = format!(
            "INSERT INTO rounds (network_id, id, title, grain, from_on, until_on, requests_close_at, hm_per_point, \
             guarantee_after, opened_by) SELECT network_id, gen_random_uuid(), 'Last year', grain, from_on - 365, \
             until_on - 365, now() + interval '1 day', 200, 2, opened_by FROM rounds; \
             INSERT INTO round_requests (network_id, id, round_id, club_id, ground_id, need, set_up_min, tractor, tractor_kw, \
             asked_by) SELECT q.network_id, q.network_id, r.id, q.club_id, q.ground_id, 3, 0, 'own', 30, q.asked_by \
             FROM round_requests q, rounds r WHERE q.id = '{}' AND r.title = 'Last year'; \
             INSERT INTO turns (network_id, id, club_id, round_id, request_id, season, kind) \
             SELECT network_id, id, club_id, round_id, id, 2020, 'left_out' FROM round_requests WHERE id = network_id",
            asked.requests[3]
        );
        db_sql(&app, &before).await;
        let planned = asked.planned(&app).await;
        let plan = of_order(&planned, "haulage_first");
        let place = plan["places"].as_array().unwrap().iter().find(|place| place["club_name"] == "Dogwood").unwrap();
        assert_eq!(place["is_guaranteed"], true);
        assert_eq!(plan["levels"][0], json!({"level": "guaranteed", "value": 1, "bound": 1}));
    });
}

#[test]
fn a_round_that_is_not_to_be_planned_says_why() {
    with_app(async |app| {
        let asked = Asked::gathering(&app).await;
        let plan = async || asked.net.coordinator.post(&format!("{}/plans", asked.round), json!(null)).await;
        let refused = plan().await.expect_problem(409, "round_not_to_plan");
        assert!(text(&refused, "detail").contains("still ask"));
        db_sql(&app, "ALTER TABLE round_requests DISABLE TRIGGER round_requests_gate; UPDATE rounds SET state = 'requests_closed'").await;
        // A copy of one request for each of 496 further grounds.
        let many = format!(
            "INSERT INTO grounds SELECT (jsonb_populate_record(g, jsonb_build_object('id', gen_random_uuid(), 'name', \
             'Ground ' || n))).* FROM grounds g, generate_series(1, 496) n WHERE g.id = \
             (SELECT ground_id FROM round_requests WHERE id = '{one}'); \
             INSERT INTO round_requests SELECT (jsonb_populate_record(q, jsonb_build_object('id', g.id, 'ground_id', g.id))).* \
             FROM round_requests q, grounds g WHERE q.id = '{one}' AND g.name ~ '^Ground '",
            one = asked.requests[0]
        );
        db_sql(&app, &many).await;
        let refused = plan().await.expect_problem(422, "round_too_large");
        assert!(text(&refused, "detail").starts_with("500 requests"));
        db_sql(&app, "UPDATE round_requests SET state = 'withdrawn'").await;
        assert_eq!(plan().await.expect_problem(409, "round_not_to_plan")["detail"], "Nobody has asked for a place.");
        db_sql(&app, "UPDATE rounds SET state = 'offered'").await;
        assert!(
            text(&plan().await.expect_problem(409, "round_not_to_plan"), "detail").contains("Take the offers back")
        );
        db_sql(&app, "UPDATE rounds SET state = 'called_off', called_off_reason = 'Wet'").await;
        assert_eq!(plan().await.expect_problem(409, "round_not_to_plan")["detail"], "It was called off.");
    });
}

#[test]
fn plans_are_for_the_coordinator() {
    with_app(async |app| {
        let asked = Asked::closed(&app).await;
        let planned = asked.planned(&app).await;
        let plan = of_order(&planned, "between");
        let pin = json!({"request_id": asked.requests[0], "kind": "pin", "machine_id": null, "half_day": null});
        let club = &asked.clubs[0];
        for user in [&club.lead, &club.treasurer, &club.volunteer] {
            user.get(&format!("{}/plans", asked.round)).await.expect_problem(403, "not_your_role");
            user.post(&format!("{}/plans", asked.round), json!(null)).await.expect_problem(403, "not_your_role");
            user.post(&format!("{}/pins", asked.round), pin.clone()).await.expect_problem(403, "not_your_role");
            for act in ["choice", "stop"] {
                user.post(&asked.at(plan, act), json!(null)).await.expect_problem(403, "not_your_role");
            }
            let trial = json!({"request_id": asked.requests[0], "machine_id": null, "half_day": null});
            user.post(&asked.at(plan, "trial"), trial).await.expect_problem(403, "not_your_role");
        }
    });
}

#[test]
fn a_plan_found_good_enough_before_it_began_is_the_first_that_is_found() {
    with_app(async |app| {
        let asked = Asked::closed(&app).await;
        let queued = asked.net.coordinator.post(&format!("{}/plans", asked.round), json!(null)).await.expect(201);
        let plan = of_order(&queued, "wishes_first");
        assert_eq!(plan["state"], "queued");
        let refused = asked.net.coordinator.post(&asked.at(plan, "choice"), json!(null)).await;
        refused.expect_problem(409, "plan_not_ready");
        asked.net.coordinator.post(&asked.at(plan, "stop"), json!(null)).await.expect(200);
        app.run_jobs().await;
        let planned = asked.plans().await;
        assert_eq!(of_order(&planned, "wishes_first")["state"], "ready");
    });
}

/// Where three clubs and the yard lie, latitude and longitude in degrees.
const APART: [(f64, f64); 3] = [(54.0, -1.5), (54.1, -1.5), (54.05, -1.3)];
const YARD: (f64, f64) = (53.95, -1.6);

/// Geodesics on WGS 84, metres: from the yard to the first ground, on to the second, to the third, and back to the yard.
/// Computed with the Python package geographiclib 2.1, `Geodesic.WGS84.Inverse`; the second is row h010 of
/// `tests/reference/values.csv`.
const GEODESICS_M: [f64; 4] = [8_603.783, 11_130.593, 14_225.392, 22_603.168];

/// The road that is reckoned for a geodesic: 1.3 times it, to the nearest 0.1 km.
fn road_km(geodesic_m: f64) -> f64 {
    (1.3 * geodesic_m / 100.0).round() / 10.0
}

/// Three clubs apart that can have the machine on one day each, in the order of their names; they fetch it from the
/// yard and take it back, and the third has the second's tractor.
async fn journey(app: &App) -> Asked {
    let net = app.network("North").await;
    let machine = net.coordinator.post(&format!("{}/machines", net.path), aerator(json!({}))).await.expect(201);
    let yard = json!({"name": "The hire yard", "email": null, "phone": null, "note": ""});
    let yard = net.coordinator.post(&format!("{}/suppliers", net.path), yard).await.expect(201);
    let machine = text(&machine, "machine_id");
    let mut round = hired_round(&machine, &text(&yard, "supplier_id"));
    round["hire"]["hauled_by"] = json!("clubs");
    round["hire"]["depot_latitude_deg"] = json!(YARD.0);
    round["hire"]["depot_longitude_deg"] = json!(YARD.1);
    let round = net.coordinator.post(&format!("{}/rounds", net.path), round).await.expect(201);
    let round = format!("{}/rounds/{}", net.path, text(&round, "round_id"));
    let (mut clubs, mut requests): (Vec<Club>, Vec<String>) = (Vec::new(), Vec::new());
    for (at, name) in (0_i64..).zip(&NAMES[..3]) {
        let club = app.club(&net, name).await;
        let pitch = app.pitch_at(&net, &club, name, APART[clubs.len()]).await;
        let seen = club.lead.get(&format!("{}/pitches/{pitch}", net.path)).await.expect(200);
        let mut wish = place((&club.id.to_string(), &text(&seen, "ground_id"), &pitch));
        wish["half_days"] = json!([half_day(2 * at)]);
        wish["wishes"] = json!([]);
        if at == 2 {
            wish["tractor"] = json!("neighbour");
            wish["tractor_kw"] = json!(null);
            wish["helper_club_id"] = json!(clubs[1].id);
        }
        let request = club.lead.post(&format!("{round}/requests"), wish).await.expect(201);
        requests.push(text(&request, "request_id"));
        clubs.push(club);
    }
    db_sql(app, "UPDATE rounds SET state = 'requests_closed', requests_close_at = now()").await;
    Asked { net, clubs, requests, machine, round }
}

#[test]
fn a_plan_tells_the_road_of_each_leg_as_an_independent_geodesic_gives_it() {
    with_app(async |app| {
        let asked = journey(&app).await;
        let planned = asked.planned(&app).await;
        let plan = of_order(&planned, "haulage_first");
        let km = |plan: &Value, name: &str| -> Vec<Option<f64>> {
            plan["places"].as_array().unwrap().iter().map(|place| place[name].as_f64()).collect()
        };
        let [out, on, over, back] = GEODESICS_M.map(road_km);
        assert_eq!(served(plan).iter().map(|(club, _)| club.as_str()).collect::<Vec<_>>(), NAMES[..3]);
        assert_eq!(km(plan, "haul_km"), [Some(out), Some(on), Some(over)]);
        assert_eq!(km(plan, "home_km"), [None, None, Some(back)]);
        // The second club's tractor goes over to the third and home again.
        assert_eq!(km(plan, "helper_km"), [Some(0.0), Some(0.0), Some(2.0 * over)]);
        let all = plan["levels"].as_array().unwrap().iter().find(|level| level["level"] == "haul").unwrap();
        let total_hm = (10.0 * (out + on + over + back + 2.0 * over)).round();
        assert_eq!(all["value"].as_f64(), Some(total_hm));
        // The map has every place, where the tractor comes from among them.
        let places = planned["places"].as_array().unwrap();
        assert_eq!(places.len(), 4);
        let yard = places.iter().find(|place| place["ground_id"].is_null()).unwrap();
        assert_eq!((&yard["machine_ids"], &yard["latitude_deg"]), (&json!([asked.machine]), &json!(YARD.0)));
        let lent_from = &plan["places"][2]["helper_ground_id"];
        assert_eq!(lent_from, &plan["places"][1]["ground_id"]);
        assert!(plan["places"][1]["helper_ground_id"].is_null());
        // A road that the coordinator knows better counts instead.
        let grounds = [text(&plan["places"][0], "ground_id"), text(&plan["places"][1], "ground_id")];
        let path = format!("{}/roads/{}/{}", asked.net.path, grounds[0], grounds[1]);
        asked.net.coordinator.put_plain(&path, json!({"road_hm": 233})).await.expect(200);
        let planned = asked.planned(&app).await;
        assert_eq!(km(of_order(&planned, "haulage_first"), "haul_km"), [Some(out), Some(23.3), Some(over)]);
    });
}
