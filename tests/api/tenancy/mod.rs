//! Nothing crosses a network: not over HTTP by any endpoint there is, and not in SQL even for a query gone wrong.
//!
//! The endpoints are read from the API's own document and the tables from the catalogue, so that a new one is tried
//! without being listed here; where it needs to be told something, the test says so.

mod over_http;
mod rows;

use chrono::{Days, Utc};
use serde_json::{Value, json};
use uuid::Uuid;

use crate::attachments::{PNG, sent};
use crate::direct::{db_close, db_machine, db_order, db_sql};
use crate::harness::{App, Club, Net};
use crate::shed::{aerator, booked, hired_round, place, span, wish};

/// A network with something of everything.
struct Furnished {
    net: Net,
    /// Its things' ids, by the name of the path parameter.
    ids: Vec<(&'static str, String)>,
}

impl Furnished {
    /// The id of a thing by the name of its path parameter.
    fn id(&self, name: &str) -> &str {
        let found = self.ids.iter().find(|(known, _)| *known == name);
        &found.unwrap_or_else(|| panic!("furnish() makes no {name}: make one, and add it to the ids")).1
    }
}

fn text(body: &Value, field: &str) -> String {
    body[field].as_str().unwrap().to_owned()
}

/// Founds a network and puts something of everything into it.
async fn furnish(app: &App, name: &str) -> Furnished {
    let net = app.network(name).await;
    let club = app.club(&net, &format!("{name} Mallow")).await;
    let pitch_id = app.pitch(&net, &club, "First").await;
    let pitch = club.lead.get(&format!("{}/pitches/{pitch_id}", net.path)).await.expect(200);
    let people = club.lead.get(&format!("{}/people?limit=1", net.path)).await.expect(200);
    let invited = json!({"email": format!("new@{name}.test"), "name": "New", "role": "volunteer", "club_id": club.id});
    let invitation = club.lead.post(&format!("{}/invitations", net.path), invited).await.expect(201);
    let (machine, booking) = book(app, &net, &club, &pitch_id).await;
    let (standing, waiting, swap) = share(app, &net, &club, &machine.to_string(), &pitch_id).await;
    let walk = walk(&net, &club, &pitch_id).await;
    let order = db_order(app, &net, "Sand", "3 days", Some(&club)).await;
    let closed = db_order(app, &net, "Seed", "3 days", Some(&club)).await;
    db_close(app, &net, closed, &club).await;
    let ground_id = text(&pitch, "ground_id");
    let (round, hire, request) = round(app, &net, (&club, &ground_id, &pitch_id), (&order, &machine)).await;
    let other_ground = app.pitch(&net, &club, "Second").await;
    let other_ground = club.lead.get(&format!("{}/pitches/{other_ground}", net.path)).await.expect(200);
    let other_ground = text(&other_ground, "ground_id");
    planned(app, &net, &club, (&round, &text(&booking, "booking_id"))).await;
    app.run_jobs().await;
    let papers = papers(app, &net, &club, machine, &text(&booking, "booking_id")).await;
    let ids = vec![
        ("round_id", round),
        ("hire_id", hire),
        ("plan_id", request.clone()),
        ("pin_id", request.clone()),
        // The offer, its plan and the closure have the request's id.
        ("closure_id", request.clone()),
        ("offer_id", request.clone()),
        ("request_id", request),
        ("club_id", club.id.to_string()),
        ("other_ground_id", other_ground),
        ("ground_id", ground_id),
        ("pitch_id", pitch_id),
        ("machine_id", machine.to_string()),
        ("availability_id", machine.to_string()),
        ("booking_id", text(&booking, "booking_id")),
        ("standing_id", standing),
        ("waiting_id", waiting),
        ("swap_id", swap),
        ("attachment_id", papers[0].clone()),
        ("fault_id", papers[1].clone()),
        ("service_plan_id", papers[2].clone()),
        ("training_id", papers[3].clone()),
        ("invitation_id", text(&invitation, "invitation_id")),
        ("membership_id", text(&people["items"][0]["roles"][0], "membership_id")),
        ("person_id", club.lead.person_id.to_string()),
        ("walk_id", text(&walk, "walk_id")),
        ("order_id", order.to_string()),
        ("supplier_id", order.to_string()),
        ("product_id", order.to_string()),
    ];
    Furnished { net, ids }
}

/// A club's machine, named to be booked by the club, with a booking and calendars.
async fn book(app: &App, net: &Net, club: &Club, pitch: &str) -> (Uuid, Value) {
    let machine = db_machine(app, net, "Spiker").await;
    let named = format!("INSERT INTO machine_clubs VALUES ('{}', '{machine}', '{}')", net.id, club.id);
    let owned = format!("UPDATE machines SET owner_club_id = '{}' WHERE id = '{machine}'", club.id);
    db_sql(app, &format!("{named}; {owned}")).await;
    let mut wish = wish(&machine.to_string(), club, span(0, 2));
    wish["pitch_ids"] = json!([pitch]);
    let booking = club.lead.post(&format!("{}/bookings", net.path), wish).await.expect(201);
    for feed in [json!({"club_id": club.id}), json!({"machine_id": machine})] {
        net.coordinator.post(&format!("{}/calendar-feed", net.path), feed).await.expect(200);
    }
    (machine, booking)
}

/// A standing booking, a place on the waiting list, an offer, and a proposal to swap with a second club.
async fn share(app: &App, net: &Net, club: &Club, machine: &str, pitch: &str) -> (String, String, String) {
    let other = app.club(net, &format!("{} Holt", club.id)).await;
    let post = async |path: &str, body: Value| club.lead.post(&format!("{}/{path}", net.path), body).await.expect(201);
    let standing = json!({
        "machine_id": machine, "club_id": club.id, "first": span(10, 12), "rule": "FREQ=DAILY;COUNT=1",
        "except_on": [], "pitch_ids": [pitch], "note": "",
    });
    let standing = post("standing-bookings", standing).await;
    let (kept, freed) =
        (booked(net, machine, &other, span(12, 14)).await, booked(net, machine, &other, span(14, 16)).await);
    let mut waiting = wish(machine, club, span(12, 14));
    waiting["pitch_ids"] = json!([pitch]);
    let waiting = post("waiting", waiting).await;
    post("waiting", wish(machine, club, span(14, 16))).await;
    other.lead.post(&format!("{freed}/cancellation"), json!({})).await.expect(200);
    let given = standing["bookings"][0]["booking_id"].as_str().unwrap();
    for asked in [format!("{}/bookings/{given}", net.path), kept.clone()] {
        net.coordinator.post(&format!("{asked}/answer"), json!({"agreed": true})).await.expect(200);
    }
    let swap = json!({
        "give_booking_id": given, "want_booking_id": kept.rsplit('/').next(),
        "note": "",
    });
    let swap = post("swaps", swap).await;
    (text(&standing, "standing_id"), text(&waiting, "waiting_id"), text(&swap, "swap_id"))
}

/// A round with a hire and a machine of the network, and a club's request that leans on a neighbour's tractor.
async fn round(
    app: &App,
    net: &Net,
    (club, ground, pitch): (&Club, &str, &str),
    (supplier, own): (&Uuid, &Uuid),
) -> (String, String, String) {
    let helper = app.club_at(net, "Helpers", &format!("helpers.{}", net.id)).await;
    app.pitch(net, &helper, "Helpers' pitch").await;
    let hired = aerator(json!({"name": "Hired aerator"}));
    let hired = net.coordinator.post(&format!("{}/machines", net.path), hired).await.expect(201);
    let round = hired_round(&text(&hired, "machine_id"), &supplier.to_string());
    let round = net.coordinator.post(&format!("{}/rounds", net.path), round).await.expect(201);
    let at = format!("{}/rounds/{}", net.path, text(&round, "round_id"));
    let kept = json!({"machine_id": own, "kept_ground_id": ground});
    net.coordinator.post(&format!("{at}/machines"), kept).await.expect(200);
    let mut wish = place((&club.id.to_string(), ground, pitch));
    wish["tractor"] = json!("neighbour");
    wish["tractor_kw"] = Value::Null;
    wish["helper_club_id"] = json!(helper.id);
    let request = club.lead.post(&format!("{at}/requests"), wish).await.expect(201);
    (text(&round, "round_id"), text(&round["hires"][0], "hire_id"), text(&request, "request_id"))
}

/// A plan of a round, offered and paid for; every row has the id of the club's request.
async fn planned(app: &App, net: &Net, club: &Club, (round, booking): (&str, &str)) {
    let of_round = format!("r.network_id = '{}' AND r.round_id = '{round}'", net.id);
    let one = format!(
        "(SELECT r.*, m.machine_id, h.id AS hire_id, h.span AS days FROM round_requests r \
          JOIN round_machines m USING (network_id, round_id) JOIN hires h ON h.id = m.hire_id WHERE {of_round}) AS one"
    );
    let lead = club.lead.person_id;
    let rows = [
        (
            "round_plans (network_id, id, round_id, purpose, plan_order, hm_per_point, state, facts, made_by, ready_at)",
            format!("network_id, id, round_id, 'proposal', 'between', 50, 'chosen', '', '{lead}', now()"),
        ),
        (
            "plan_blocks (network_id, plan_id, round_id, request_id, machine_id, crew_club_id, span, points, haul_hm, helper_hm, leaves_at)",
            "network_id, id, round_id, id, machine_id, club_id, days, 0, 0, 0, lower(days)".into(),
        ),
        ("plan_left_out (network_id, plan_id, round_id, request_id)", "network_id, id, round_id, id".into()),
        (
            "round_pins (network_id, id, round_id, request_id, kind, machine_id, made_by)",
            format!("network_id, id, round_id, id, 'pin', machine_id, '{lead}'"),
        ),
        ("depot_roads (network_id, hire_id, ground_id, road_hm)", "network_id, hire_id, ground_id, 90".into()),
        ("round_crews (network_id, round_id, club_id, crews)", "network_id, round_id, club_id, 2".into()),
        (
            "turns (network_id, id, club_id, round_id, request_id, season, kind)",
            "network_id, id, club_id, round_id, id, 2026, 'served'".into(),
        ),
        (
            "turns (network_id, id, club_id, round_id, request_id, season, kind, counters)",
            "network_id, club_id, club_id, round_id, id, 2026, 'left_out', id".into(),
        ),
        (
            "round_offers (network_id, id, round_id, plan_id, request_id, club_id, machine_id, span, crew_club_id, state, \
             answer_by, answered_at, answered_by, booking_id, offered_at)",
            format!(
                "network_id, id, round_id, id, id, club_id, machine_id, days, club_id, 'booked', now(), now(), '{lead}', \
                 '{booking}', now()"
            ),
        ),
        (
            "ground_closures (network_id, id, club_id, ground_id, span, reason, closed_by, closed_at)",
            format!("network_id, id, club_id, ground_id, days, 'Wet', '{lead}', now()"),
        ),
        (
            "hire_statements (network_id, id, hire_id, rule, invoice_pence, expected_invoice_pence, fuel_pence, haul_pence, \
             fund_pence, entered_by, entered_at)",
            format!("network_id, id, hire_id, 'by_hours', 100, 100, 0, 0, 0, '{lead}', now()"),
        ),
        (
            "hire_statements (network_id, id, hire_id, counters, rule, invoice_pence, expected_invoice_pence, fuel_pence, \
             haul_pence, fund_pence, entered_by, entered_at)",
            format!("network_id, club_id, hire_id, id, 'by_hours', 0, 0, 0, 0, 0, '{lead}', now()"),
        ),
        (
            "hire_shares (network_id, statement_id, club_id, half_days, work_min, area_m2, alone_pence, share_pence, helper_pence)",
            "network_id, id, club_id, 1, 60, 7000, 100, 100, 0".into(),
        ),
        (
            "hire_settlements (network_id, statement_id, settled_by, settled_at)",
            format!("network_id, club_id, '{lead}', now()"),
        ),
    ];
    let inserts = rows.map(|(into, values)| format!("INSERT INTO {into} SELECT {values} FROM {one}"));
    let road = format!(
        "INSERT INTO roads SELECT a.network_id, a.id, b.id, 90 FROM grounds a JOIN grounds b USING (network_id, club_id) \
         WHERE a.id < b.id AND club_id = '{}'",
        club.id
    );
    let made = format!(
        "UPDATE bookings SET round_id = r.round_id, request_id = r.id FROM round_requests r WHERE {of_round} \
         AND bookings.id = '{booking}'"
    );
    db_sql(app, &format!("{}; {road}; {made}", inserts.join("; "))).await;
}

/// A manual of a machine, a fault with a photo, a service and a training: their ids, in that order. Besides, a handover
/// that was put right, a fault that was cleared with the bookings behind it, and a service that was done.
async fn papers(app: &App, net: &Net, club: &Club, machine: Uuid, booking: &str) -> [String; 4] {
    let post = async |path: &str, body: Value| net.coordinator.post(&format!("{}/{path}", net.path), body).await;
    let (today, of_machine) = (Utc::now().date_naive(), |what: &str| format!("machines/{machine}/{what}"));
    let of_club =
        format!("{}/attachments?attachment_id={}&file_name=x.png&club_id={}", net.path, Uuid::now_v7(), club.id);
    club.lead.upload(&of_club, PNG.to_vec()).await.expect(201);
    let file = sent(net, &net.coordinator, "manual.png", PNG).await;
    post(&of_machine("manuals"), json!({"attachment_id": file, "title": "Manual"})).await.expect(201);
    let fault = json!({"severity": "usable", "what": "A tine is bent.", "photo_ids": [file]});
    let fault = post(&of_machine("faults"), fault).await.expect(201);
    let service = json!({"what": "Grease", "every_months": 1, "first_on": today - Days::new(90)});
    let service = text(&post(&of_machine("services"), service).await.expect(201), "service_plan_id");
    app.run_jobs().await;
    post(&format!("services/{service}/done"), json!({"done_on": today})).await.expect(201);
    let training = json!({"club_id": club.id, "person_name": "Jo", "machine_id": machine, "trained_on": today});
    let training = post("trainings", training).await.expect(201);
    net.coordinator.put_plain(&format!("{}/{}", net.path, of_machine("training-rule")), json!({"warns": true})).await;
    hand_over(net, club, booking).await;
    let broken = json!({"severity": "out_of_service", "what": "The shaft is bent."});
    let broken = text(&post(&of_machine("faults"), broken).await.expect(201), "fault_id");
    post(&format!("faults/{broken}/clearing"), json!({"note": "Straightened."})).await.expect(200);
    app.run_jobs().await;
    [file.to_string(), text(&fault, "fault_id"), service, text(&training, "training_id")]
}

/// A handover with a fault, and one that puts it right.
async fn hand_over(net: &Net, club: &Club, booking: &str) {
    net.coordinator.post(&format!("{}/bookings/{booking}/answer", net.path), json!({"agreed": true})).await;
    let mut handover = json!({
        "handover_id": Uuid::now_v7(), "booking_id": booking, "direction": "out", "guards_sound": true,
        "washed_down": true, "signed_name": "Jo", "signed_at": Utc::now(),
        "faults": [{"severity": "usable", "what": "The paint is off."}],
    });
    let first = club.lead.post(&format!("{}/handovers", net.path), handover.clone()).await.expect(201);
    (handover["handover_id"], handover["counters"]) = (json!(Uuid::now_v7()), first["handover_id"].clone());
    club.lead.post(&format!("{}/handovers", net.path), handover).await.expect(201);
}

/// A walk, scored by a scheme that wants no more than the ground cover.
async fn walk(net: &Net, club: &Club, pitch: &str) -> Value {
    let cover = json!([{"measured": 0.0, "score": 0.0}, {"measured": 100.0, "score": 100.0}]);
    let scheme = json!({"note": "", "criteria": [{"criterion": "ground_cover", "weight": 1.0, "points": cover}]});
    net.coordinator.put(&format!("{}/schemes/current", net.path), 1, scheme).await.expect(200);
    club.lead.post(&format!("{}/walks", net.path), walked(pitch)).await.expect(201)
}

/// A walk of a pitch, as sent.
fn walked(pitch: &str) -> Value {
    json!({
        "walk_id": null, "pitch_id": pitch, "walked_on": Utc::now().date_naive() - Days::new(9), "note": "",
        "readings": [{"criterion": "ground_cover", "values": [80.0, 90.0]}],
    })
}

/// Ids of things that are nowhere but in this network, to look for in answers.
fn traces(of: &Furnished) -> Vec<String> {
    let mut traces: Vec<String> = of.ids.iter().map(|(_, id)| id.clone()).collect();
    traces.push(of.net.id.to_string());
    traces.iter().for_each(|id| assert!(Uuid::parse_str(id).is_ok(), "{id} is no id"));
    traces
}
