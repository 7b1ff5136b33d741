//! Every endpoint below a network, asked from another network.

use chrono::{Days, Utc};
use serde_json::{Value, json};

use super::{Furnished, furnish, traces, walked};
use crate::harness::{User, with_app};
use crate::shed::{aerator, half_day, hire, hired_round, place, span};

const BASE: &str = "/api/v1";
const METHODS: [&str; 4] = ["get", "put", "post", "delete"];

/// An endpoint below a network, from the API's own document.
struct Endpoint {
    method: &'static str,
    /// Without the base, with its parameters in braces.
    template: String,
    /// Query parameters: those it cannot do without, and the first that names a thing.
    queries: Vec<String>,
}

impl Endpoint {
    /// Whether it is about a thing of the network, named in the path.
    fn is_of_a_thing(&self) -> bool {
        self.template.matches('{').count() > 1
    }

    /// The address, in one network, of things of another or the same.
    fn address(&self, network: &Furnished, things: &Furnished) -> String {
        let mut address = String::new();
        for (place, piece) in self.template.split(['{', '}']).enumerate() {
            address += match piece {
                "network_id" => network.net.path.trim_start_matches("/networks/"),
                name if place % 2 == 1 => things.id(name),
                fixed => fixed,
            };
        }
        let queries: Vec<String> = self.queries.iter().map(|name| format!("{name}={}", query(name, things))).collect();
        if queries.is_empty() { address } else { format!("{address}?{}", queries.join("&")) }
    }
}

/// A value for a query parameter.
fn query(name: &str, things: &Furnished) -> String {
    match name {
        "pitch_ids" => things.id("pitch_id").to_owned(),
        "from" => half_day(0),
        "until" => half_day(2),
        name => things.id(name).to_owned(),
    }
}

fn is_id(name: &Value) -> bool {
    name.as_str().unwrap().ends_with("_id")
}

/// Every endpoint below a network.
fn endpoints() -> Vec<Endpoint> {
    let document = serde_json::to_value(turfring::server::document()).unwrap();
    let paths = document["paths"].as_object().unwrap();
    let mut endpoints = Vec::new();
    for (path, operations) in paths {
        let Some(template) = path.strip_prefix(BASE).filter(|path| path.starts_with("/networks/{network_id}")) else {
            continue;
        };
        for method in METHODS.into_iter().filter(|method| operations.get(method).is_some()) {
            let parameters = operations[method]["parameters"].as_array().cloned().unwrap_or_default();
            let named = |needed: fn(&Value) -> bool| {
                let named = parameters.iter().filter(|parameter| parameter["in"] == "query" && needed(parameter));
                named.map(|parameter| parameter["name"].as_str().unwrap().to_owned()).collect::<Vec<_>>()
            };
            let mut queries = named(|parameter| parameter["required"] == true);
            let filters = named(|parameter| parameter["required"] != true && is_id(&parameter["name"]));
            queries.extend(filters.into_iter().next());
            endpoints.push(Endpoint { method, template: template.to_owned(), queries });
        }
    }
    assert!(endpoints.len() > 40, "the document has lost its paths");
    endpoints
}

/// What to send to a thing. An edit is what its own network shows, where that is also what is taken.
async fn body(endpoint: &Endpoint, south: &Furnished) -> Value {
    let tail = endpoint.template.trim_start_matches("/networks/{network_id}/");
    match (endpoint.method, tail) {
        ("get" | "delete", _) => Value::Null,
        (_, "clubs/{club_id}/grounds") => json!({
            "name": "New", "latitude_deg": 53.0, "longitude_deg": -1.0, "soil": "clay", "drainage": "none",
            "lorry_access": "none", "hard_standing": false, "tractor_kw": null,
        }),
        (_, "grounds/{ground_id}/closures") => json!({"span": span(20, 22), "reason": "Wet"}),
        (_, "closures/{closure_id}/lifting") => Value::Null,
        (_, "grounds/{ground_id}/pitches") => {
            json!({"name": "New", "sport": "other", "length_m": 100.0, "width_m": 60.0})
        }
        (_, "machines/{machine_id}/availabilities" | "bookings/{booking_id}/span") => span(8, 10),
        (_, "bookings/{booking_id}/cancellation" | "bookings/{booking_id}/acceptance") => json!({}),
        (_, "standing-bookings/{standing_id}/ending") => json!({"from_on": Utc::now().date_naive()}),
        (_, "swaps/{swap_id}/answer") => json!({"accepted": true}),
        (_, "swaps/{swap_id}/withdrawal") => json!({}),
        (_, "bookings/{booking_id}/answer") => json!({"agreed": true, "reason": null}),
        (_, "bookings/{booking_id}/decision") => json!({"decision": "keep"}),
        (_, "machines/{machine_id}/faults") => json!({"severity": "usable", "what": "Bent"}),
        (_, "faults/{fault_id}/clearing") => json!({"note": "Mended"}),
        (_, "machines/{machine_id}/services") => {
            json!({"what": "Oil", "every_hours": 50, "first_on": Utc::now().date_naive()})
        }
        (_, "services/{service_plan_id}/done") => json!({"done_on": Utc::now().date_naive()}),
        (_, "machines/{machine_id}/manuals") => {
            json!({"attachment_id": south.id("attachment_id"), "title": "Manual"})
        }
        (_, "machines/{machine_id}/training-rule") => json!({"warns": true}),
        ("put", "pooled-orders/{order_id}") => order(south),
        (_, "pooled-orders/{order_id}/lines/{club_id}") => json!({"quantity_kg": 1000}),
        ("put", "rounds/{round_id}") => hired_round(south.id("machine_id"), south.id("supplier_id")),
        ("put", "rounds/{round_id}/hires/{hire_id}") => hire(south.id("machine_id"), south.id("supplier_id")),
        (_, "rounds/{round_id}/crews/{club_id}") => json!({"crews": 2, "lends": true}),
        (_, "rounds/{round_id}/hires/{hire_id}/roads/{ground_id}" | "roads/{ground_id}/{other_ground_id}") => {
            json!({"road_hm": 90})
        }
        (_, "rounds/{round_id}/requests/preview") => json!({
            "club_id": south.id("club_id"), "pitch_ids": [south.id("pitch_id")], "set_up_min": 30, "half_days": [],
        }),
        (_, "rounds/{round_id}/hires") => hire(south.id("machine_id"), south.id("supplier_id")),
        (_, "rounds/{round_id}/machines") => {
            json!({"machine_id": south.id("machine_id"), "kept_ground_id": south.id("ground_id")})
        }
        (_, "hires/{hire_id}/settlement") => json!({"statement_id": south.id("request_id")}),
        (_, "hires/{hire_id}/shares") => json!({
            "invoice_pence": 1, "rule": "equal_discount", "fund_carries": false, "counters": null, "note": "",
        }),
        (_, "rounds/{round_id}/plans/{plan_id}/trial") => {
            json!({"request_id": south.id("request_id"), "machine_id": null, "half_day": half_day(0)})
        }
        (_, "rounds/{round_id}/pins") => {
            json!({"request_id": south.id("request_id"), "kind": "ban", "machine_id": null, "half_day": half_day(0)})
        }
        (
            _,
            "rounds/{round_id}/plans"
            | "rounds/{round_id}/plans/{plan_id}/stop"
            | "rounds/{round_id}/plans/{plan_id}/choice"
            | "rounds/{round_id}/plans/{plan_id}/acceptance",
        ) => Value::Null,
        (_, "rounds/{round_id}/calling-off" | "rounds/{round_id}/offers/taking-back") => json!({"reason": "It rains."}),
        (_, "rounds/{round_id}/offers") => json!({
            "plan_id": south.id("offer_id"), "answer_by": Utc::now() + Days::new(3), "offers_on": true,
        }),
        (_, "rounds/{round_id}/offers/reminder" | "rounds/{round_id}/agreement") => json!({}),
        (_, "offers/{offer_id}/answer") => json!({"accepted": true, "reason": ""}),
        (_, "rounds/{round_id}/requests") | ("put", "requests/{request_id}") => {
            place((south.id("club_id"), south.id("ground_id"), south.id("pitch_id")))
        }
        (_, "pooled-orders/{order_id}/steps") => json!({"step": "place"}),
        ("put", _) => south.net.coordinator.get(&endpoint.address(south, south)).await.expect(200),
        (method, tail) => panic!("say what to send to {method} …/{tail}"),
    }
}

/// An order of a network's product from its supplier.
fn order(of: &Furnished) -> Value {
    let ahead = |days| Utc::now().date_naive() + Days::new(days);
    json!({
        "title": "More sand", "product_id": of.id("product_id"), "supplier_id": of.id("supplier_id"), "pack_kg": 1000,
        "vat_basis_points": 2000, "smallest_kg": 0, "price_breaks": [{"from_kg": 0, "price_pence": 4000}],
        "closes_at": Utc::now() + Days::new(20), "delivery_from_on": ahead(30), "delivery_until_on": ahead(40),
        "note": "",
    })
}

async fn send(user: &User, endpoint: &Endpoint, address: &str, body: Value) -> crate::harness::Reply {
    let headers = [("Idempotency-Key", &*uuid::Uuid::now_v7().to_string()), ("If-Match", "\"v1\"")];
    let body = (!body.is_null()).then_some(body);
    user.send(&endpoint.method.to_uppercase(), address, body, &headers).await
}

#[test]
fn another_networks_things_are_nowhere_to_be_found_by_id() {
    with_app(async |app| {
        let (north, south) = (furnish(&app, "North").await, furnish(&app, "South").await);
        for endpoint in endpoints().iter().filter(|endpoint| endpoint.is_of_a_thing()) {
            let address = endpoint.address(&north, &south);
            let reply = send(&north.net.coordinator, endpoint, &address, body(endpoint, &south).await).await;
            assert_eq!(reply.status, 404, "{} {address}: {}", endpoint.method, reply.text);
            if endpoint.method == "get" {
                // The same question at home is answered, so that the 404 says something.
                south.net.coordinator.get(&endpoint.address(&south, &south)).await.expect(200);
            }
        }
    });
}

#[test]
fn a_network_is_nowhere_to_be_found_for_who_does_not_belong_to_it() {
    with_app(async |app| {
        let (north, south) = (furnish(&app, "North").await, furnish(&app, "South").await);
        for endpoint in endpoints().iter().filter(|endpoint| endpoint.is_of_a_thing() || endpoint.method == "get") {
            let address = endpoint.address(&south, &south);
            let body = body(endpoint, &south).await;
            let reply = send(&north.net.coordinator, endpoint, &address, body.clone()).await;
            assert_eq!(reply.status, 404, "{} {address}: {}", endpoint.method, reply.text);
            let reply = send(&app.stranger(), endpoint, &address, body).await;
            assert_eq!(reply.status, 401, "{} {address}: {}", endpoint.method, reply.text);
        }
    });
}

#[test]
fn no_list_shows_anything_of_another_network() {
    with_app(async |app| {
        let (north, south) = (furnish(&app, "North").await, furnish(&app, "South").await);
        let lists = endpoints();
        let lists = lists.iter().filter(|endpoint| endpoint.method == "get" && !endpoint.is_of_a_thing());
        for endpoint in lists {
            let asked_for_theirs = endpoint.address(&north, &south);
            let asked_for_ours = endpoint.address(&north, &north);
            north.net.coordinator.get(&asked_for_ours).await.expect(200);
            for address in [&asked_for_theirs, &asked_for_ours, asked_for_ours.split('?').next().unwrap()] {
                let reply = north.net.coordinator.get(address).await;
                for trace in traces(&south) {
                    assert!(!reply.text.contains(&trace), "{address} shows {trace}: {}", reply.text);
                }
            }
        }
    });
}

#[test]
fn nothing_new_can_refer_to_another_networks_things() {
    with_app(async |app| {
        let (north, south) = (furnish(&app, "North").await, furnish(&app, "South").await);
        let booking = |machine: &Furnished, club: &Furnished, pitch: &Furnished| {
            json!({
                "machine_id": machine.id("machine_id"), "club_id": club.id("club_id"), "span": span(4, 6),
                "pitch_ids": [pitch.id("pitch_id")], "note": "",
            })
        };
        let invitation = |club: &Furnished| json!({"email": "x@y.test", "name": "X", "role": "volunteer", "club_id": club.id("club_id")});
        let machine = |owner: &Furnished| aerator(json!({"owner_club_id": owner.id("club_id")}));
        let named = json!({"name": "Named", "who_may_book": "named_clubs", "named_club_ids": [south.id("club_id")]});
        let of_club = |club: &Furnished| json!({"club_id": club.id("club_id")});
        let of_machine = |machine: &Furnished| json!({"machine_id": machine.id("machine_id")});
        let send = async |list: &str, body: &Value| {
            north.net.coordinator.post(&format!("{}/{list}", north.net.path), body.clone()).await
        };
        for (list, body) in [
            ("bookings", booking(&south, &north, &north)),
            ("bookings", booking(&north, &south, &north)),
            ("bookings", booking(&north, &north, &south)),
            ("machines", machine(&south)),
            ("machines", aerator(named)),
            ("invitations", invitation(&south)),
            ("walks", walked(south.id("pitch_id"))),
            ("pooled-orders", order(&south)),
            ("calendar-feed", of_club(&south)),
            ("calendar-feed", of_machine(&south)),
        ] {
            let reply = send(list, &body).await;
            assert!([404, 422].contains(&reply.status), "{list} {body}: {}", reply.text);
        }
        // The same with our own things goes through, so that the refusals say something.
        for (list, body) in [
            ("bookings", booking(&north, &north, &north)),
            ("machines", machine(&north)),
            ("invitations", invitation(&north)),
            ("walks", walked(north.id("pitch_id"))),
            ("pooled-orders", order(&north)),
            ("calendar-feed", of_club(&north)),
            ("calendar-feed", of_machine(&north)),
        ] {
            let reply = send(list, &body).await;
            assert!([200, 201].contains(&reply.status), "{list} {body}: {}", reply.text);
        }
        app.run_jobs().await;
    });
}
