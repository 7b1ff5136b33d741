//! Nothing crosses a network: not over HTTP by any endpoint there is, and not in SQL even for a query gone wrong.
//!
//! The endpoints are read from the API's own document and the tables from the catalogue, so that a new one is tried
//! without being listed here; where it needs to be told something, the test says so.

mod over_http;
mod rows;

use chrono::{Days, Utc};
use serde_json::{Value, json};
use uuid::Uuid;

use crate::direct::{db_close, db_machine, db_order, db_sql};
use crate::harness::{App, Net};

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
    let machine = db_machine(app, &net, "Spiker").await;
    let span = json!({"from": "2030-05-06T00:00:00", "until": "2030-05-07T00:00:00"});
    let path = format!("{}/machines/{machine}/availabilities", net.path);
    net.coordinator
        .post(&path, json!({"from": "2030-05-06T00:00:00", "until": "2030-05-20T00:00:00"}))
        .await
        .expect(201);
    let wish = json!({"machine_id": machine, "club_id": club.id, "span": span, "pitch_ids": [pitch_id], "note": ""});
    let booking = club.lead.post(&format!("{}/bookings", net.path), wish).await.expect(201);
    for feed in [json!({"club_id": club.id}), json!({"machine_id": machine})] {
        net.coordinator.post(&format!("{}/calendar-feed", net.path), feed).await.expect(200);
    }
    let invited = json!({"email": format!("new@{name}.test"), "name": "New", "role": "volunteer", "club_id": club.id});
    let invitation = club.lead.post(&format!("{}/invitations", net.path), invited).await.expect(201);
    app.run_jobs().await;
    let cover = json!([{"measured": 0.0, "score": 0.0}, {"measured": 100.0, "score": 100.0}]);
    let scheme = json!({"note": "", "criteria": [{"criterion": "ground_cover", "weight": 1.0, "points": cover}]});
    net.coordinator.put(&format!("{}/schemes/current", net.path), 1, scheme).await.expect(200);
    let walk = json!({
        "walk_id": null, "pitch_id": pitch_id, "walked_on": Utc::now().date_naive() - Days::new(9), "note": "",
        "readings": [{"criterion": "ground_cover", "values": [80.0, 90.0]}],
    });
    let walk = club.lead.post(&format!("{}/walks", net.path), walk).await.expect(201);
    let order = db_order(app, &net, "Sand", "3 days", Some(&club)).await;
    let closed = db_order(app, &net, "Seed", "3 days", Some(&club)).await;
    db_close(app, &net, closed, &club).await;
    let named = format!("INSERT INTO machine_clubs VALUES ('{}', '{machine}', '{}')", net.id, club.id);
    let owned = format!("UPDATE machines SET owner_club_id = '{}' WHERE id = '{machine}'", club.id);
    db_sql(app, &format!("{named}; {owned}")).await;
    let people = net.coordinator.get(&format!("{}/people", net.path)).await.expect(200);
    let lead = people["items"].as_array().unwrap().iter().find(|person| person["email"] == club.lead.email).unwrap();
    let ids = vec![
        ("club_id", club.id.to_string()),
        ("ground_id", text(&pitch, "ground_id")),
        ("pitch_id", pitch_id),
        ("machine_id", machine.to_string()),
        ("availability_id", machine.to_string()),
        ("booking_id", text(&booking, "booking_id")),
        ("invitation_id", text(&invitation, "invitation_id")),
        ("membership_id", text(&lead["roles"][0], "membership_id")),
        ("person_id", club.lead.person_id.to_string()),
        ("walk_id", text(&walk, "walk_id")),
        ("order_id", order.to_string()),
        ("supplier_id", order.to_string()),
        ("product_id", order.to_string()),
    ];
    Furnished { net, ids }
}

/// Ids of things that are nowhere but in this network, to look for in answers.
fn traces(of: &Furnished) -> Vec<String> {
    let mut traces: Vec<String> = of.ids.iter().map(|(_, id)| id.clone()).collect();
    traces.push(of.net.id.to_string());
    traces.iter().for_each(|id| assert!(Uuid::parse_str(id).is_ok(), "{id} is no id"));
    traces
}
