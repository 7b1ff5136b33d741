//! What a hire costs each club: told before, entered after, never more than alone.

mod entering;
mod settling;
mod telling;
mod worth;

use diesel_async::SimpleAsyncConnection;
use serde_json::{Value, json};
use turfring::database;

use crate::direct::db_sql;
use crate::harness::{App, Club, Net, Reply, User};
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

    /// The hour meter read for a club's booking, and signed for when the hire ends.
    async fn db_sign(&self, app: &App, club: usize, direction: &str, meter_h: f64) {
        let sql = format!(
            "INSERT INTO handovers (network_id, id, booking_id, machine_id, club_id, direction, meter_tenth_hours, \
             guards_sound, washed_down, signed_name, signed_by, signed_at, received_at) \
             SELECT b.network_id, gen_random_uuid(), b.id, b.machine_id, b.club_id, '{direction}', {meter_h} * 10, true, \
             true, 'Jo', b.booked_by, upper(h.span), upper(h.span) FROM bookings b JOIN hires h USING (network_id, round_id) \
             WHERE b.club_id = '{}'",
            self.clubs[club].id
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
