//! What a hire costs each club: told before, entered after, never more than alone.

use chrono::Utc;
use diesel_async::SimpleAsyncConnection;
use futures_util::future::join_all;
use serde_json::{Value, json};
use turfring::access::Role;
use turfring::database::{self, Scope};
use turfring::hire_shares;
use turfring::ids::PlanId;

use crate::direct::db_sql;
use crate::harness::{App, Club, Net, Reply, User, with_app};
use crate::shed::{aerator, half_day, hired_round, place};

/// A network whose hired aerator is booked by its round.
struct Hire {
    net: Net,
    clubs: Vec<Club>,
    machine: String,
    round: String,
    /// The hire's id.
    id: String,
    path: String,
}

/// A club's place in the round: its name, its half-days, and who lends a tractor.
#[derive(Clone)]
struct Stay<'a>(&'a str, i64, i64, Option<&'a Club>);

/// So many clubs, each with a day of its own.
fn days(clubs: i64) -> Vec<Stay<'static>> {
    const NAMES: [&str; 5] = ["Ashby", "Birch", "Cotton", "Dunham", "Elder"];
    (0..)
        .zip(NAMES)
        .take(usize::try_from(clubs).unwrap())
        .map(|(day, name)| Stay(name, 2 * day, 2 * day + 2, None))
        .collect()
}

impl Hire {
    /// A week at £950 or days at £217, £60 each way, fuel £4.50 an hour. Each club has 0.77 ha.
    async fn of(app: &App, stays: &[Stay<'_>]) -> Self {
        let net = app.network("North").await;
        Self::in_network(app, net, stays, json!({"haul_pence_per_km": 0})).await
    }

    async fn in_network(app: &App, net: Net, stays: &[Stay<'_>], charges: Value) -> Self {
        let machine = net.coordinator.post(&format!("{}/machines", net.path), aerator(json!({}))).await.expect(201);
        let machine = text(&machine, "machine_id");
        let yard = json!({"name": "The hire yard", "email": null, "phone": null, "note": ""});
        let supplier = net.coordinator.post(&format!("{}/suppliers", net.path), yard).await.expect(201);
        let mut terms = hired_round(&machine, &text(&supplier, "supplier_id"));
        for (name, value) in charges.as_object().unwrap() {
            terms["hire"][name] = value.clone();
        }
        let round = net.coordinator.post(&format!("{}/rounds", net.path), terms).await.expect(201);
        let id = text(&round["hires"][0], "hire_id");
        let path = format!("{}/hires/{id}", net.path);
        let mut hire = Self { net, clubs: Vec::new(), machine, round: text(&round, "round_id"), id, path };
        let mut requests = Vec::new();
        for stay in stays {
            requests.push(hire.ask(app, stay).await);
        }
        hire.set_round(app, "agreed").await;
        for (request, stay) in requests.iter().zip(stays) {
            hire.db_book(app, request, stay).await;
        }
        app.run_jobs().await;
        hire
    }

    /// A new club asks for a place for its pitch; its grounds lie one after the other to the north.
    async fn ask(&mut self, app: &App, Stay(name, .., helper): &Stay<'_>) -> String {
        let club = app.club(&self.net, name).await;
        let pitch = app.pitch(&self.net, &club, "Pitch").await;
        let seen = club.lead.get(&format!("{}/pitches/{pitch}", self.net.path)).await.expect(200);
        let ground = text(&seen, "ground_id");
        let north = 53.2 + 0.1 * f64::from(u8::try_from(self.clubs.len()).unwrap());
        db_sql(app, &format!("UPDATE grounds SET latitude_deg = {north} WHERE id = '{ground}'")).await;
        let mut wish = place((&club.id.to_string(), &ground, &pitch));
        if let Some(helper) = helper {
            (wish["tractor"], wish["tractor_kw"]) = (json!("neighbour"), Value::Null);
            wish["helper_club_id"] = json!(helper.id);
        }
        let asked = club.lead.post(&format!("{}/rounds/{}/requests", self.net.path, self.round), wish).await;
        self.clubs.push(club);
        text(&asked.expect(201), "request_id")
    }

    async fn set_round(&self, app: &App, state: &str) {
        db_sql(app, &format!("UPDATE rounds SET state = '{state}' WHERE id = '{}'", self.round)).await;
    }

    /// What agreeing a round does for one place.
    async fn db_book(&self, app: &App, request: &str, Stay(_, from, until, _): &Stay<'_>) {
        let sql = format!(
            "INSERT INTO bookings (network_id, id, machine_id, club_id, span, gap_half_days, availability_id, available, \
             state, charge_pence, booked_by, round_id, request_id) \
             SELECT r.network_id, r.id, h.machine_id, r.club_id, tsrange('{}', '{}'), 0, a.id, a.span, 'agreed', 0, \
             r.asked_by, r.round_id, r.id FROM round_requests r JOIN hires h USING (network_id, round_id) \
             JOIN machine_availabilities a ON a.id = h.availability_id WHERE r.id = '{request}'; \
             INSERT INTO booking_pitches (network_id, booking_id, club_id, pitch_id) \
             SELECT network_id, request_id, club_id, pitch_id FROM request_pitches WHERE request_id = '{request}'",
            half_day(*from),
            half_day(*until)
        );
        db_sql(app, &sql).await;
    }

    async fn costs(&self) -> Value {
        self.net.coordinator.get(&format!("{}/costs", self.path)).await.expect(200)
    }

    async fn enter(&self, changes: Value) -> Reply {
        self.enter_as(&self.net.coordinator, changes).await
    }

    async fn enter_as(&self, who: &User, changes: Value) -> Reply {
        who.post(&format!("{}/shares", self.path), statement(changes)).await
    }
}

/// The supplier's invoice as it is expected, shared by the shipped rule.
fn statement(changes: Value) -> Value {
    let mut body = json!({
        "invoice_pence": 107_000, "rule": "equal_discount", "fund_carries": false, "counters": null, "note": "",
    });
    for (name, value) in changes.as_object().unwrap() {
        body[name] = value.clone();
    }
    body
}

fn text(value: &Value, name: &str) -> String {
    value[name].as_str().unwrap().to_owned()
}

/// What the database says to SQL, even from the owner of the tables; nothing where it takes it.
async fn broken(app: &App, sql: &str) -> String {
    let mut owner = database::connect_as_owner(&app.owner_url).await.unwrap();
    owner.batch_execute(sql).await.map_or_else(|error| error.to_string(), |()| String::new())
}

fn pence(rows: &Value, of: &str) -> Vec<i64> {
    rows.as_array().unwrap().iter().map(|row| row[of].as_i64().unwrap()).collect()
}

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

#[test]
fn use_and_worth_tell_hours_hectares_and_what_is_missing_for_buying() {
    with_app(async |app| {
        let hire = Hire::of(&app, &days(4)).await;
        let season = season();
        let path = format!("{}/machines/{}/worth?season={season}", hire.net.path, hire.machine);
        let before = hire.net.coordinator.get(&path).await.expect(200);
        assert_eq!((&before["total"]["work_min"], &before["total"]["area_m2"]), (&json!(772), &json!(30_800)));
        assert_eq!((&before["days_offered"], &before["days_idle"]), (&json!(7), &json!(3)));
        assert_eq!(before["buying"]["missing"].as_array().unwrap().len(), 3);
        assert_eq!(before["buying"]["outlook"], Value::Null);
        hire.enter(json!({})).await.expect(201);
        let bought = format!("{path}&price_pence=1000000&years=10");
        let worth = hire.net.coordinator.get(&bought).await.expect(200);
        // £1,127.90 for 3.08 ha.
        assert_eq!((&worth["hire_pence"], &worth["total"]["pence_per_ha"]), (&json!(112_790), &json!(36_620)));
        let outlook = &worth["buying"]["outlook"];
        assert_eq!(outlook["hire_pence_per_year"], 112_790);
        assert!((outlook["years_to_pay_back"].as_f64().unwrap() - 8.968).abs() < 0.2, "{outlook}");
        let own = hire.clubs[0].treasurer.get(&path).await.expect(200);
        let money: Vec<_> = own["clubs"].as_array().unwrap().iter().filter(|club| !club["pence"].is_null()).collect();
        assert_eq!(money.len(), 1, "a treasurer sees the money of one club");
        for (wrong, field) in [("price_pence=0", "price_pence"), ("years=0", "years"), ("season=1900", "season")] {
            let at = format!("{}/machines/{}/worth?{wrong}", hire.net.path, hire.machine);
            let refused = hire.net.coordinator.get(&at).await.expect_problem(422, "invalid");
            assert_eq!(refused["errors"][0]["field"], field);
        }
        app.run_jobs().await;
    });
}

/// The season in which the hire lies: from July to June.
fn season() -> i32 {
    use chrono::Datelike;
    let monday = crate::shed::monday();
    if monday.month() < 7 { monday.year() - 1 } else { monday.year() }
}
