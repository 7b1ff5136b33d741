//! Machines and days for the tests of machines and bookings. Set up through the API.

use chrono::{Datelike, Days, NaiveDate, NaiveTime, TimeDelta, Utc};
use serde_json::{Value, json};

use crate::harness::{Club, Net, Reply, User};

/// The first Monday at least two weeks ahead: day 0 of these tests.
pub fn monday() -> NaiveDate {
    let ahead = Utc::now().date_naive() + Days::new(14);
    ahead + Days::new((7 - u64::from(ahead.weekday().num_days_from_monday())) % 7)
}

/// A half-day by its number from that Monday's morning, as on the wire.
pub fn half_day(number: i64) -> String {
    let at = monday().and_time(NaiveTime::MIN) + TimeDelta::hours(12 * number);
    at.format("%Y-%m-%dT%H:%M:%S").to_string()
}

/// A span from one such half-day to another.
pub fn span(from: i64, until: i64) -> Value {
    json!({"from": half_day(from), "until": half_day(until)})
}

/// A deep-tine aerator of the network, as entered, with some members different.
pub fn aerator(different: Value) -> Value {
    let mut machine = json!({
        "name": "Deep-tine aerator", "kind": "deep_tine_aerator", "owner_club_id": null,
        "width_m": 1.6, "speed_km_h": 2.0, "field_efficiency": 0.75, "max_depth_mm": 300,
        "tine_spacing_across_mm": 65, "tine_spacing_forward_mm": 65, "tractor_kw": 30.0, "linkage": "category_1",
        "transport_kg": 750, "charge_per_half_day_pence": 6000, "charge_per_day_pence": 10000,
        "charge_per_use_pence": 2500, "shortest_half_days": 1, "longest_half_days": 6, "gap_half_days": 0,
        "who_may_book": "every_club", "named_club_ids": [], "coordinator_agrees": false, "note": "", "retired": false,
    });
    for (name, value) in different.as_object().unwrap() {
        machine[name] = value.clone();
    }
    machine
}

/// A machine of the network that can be booked for the two weeks from that Monday on. Returns its id.
pub async fn add_aerator(net: &Net, different: Value) -> String {
    let made = net.coordinator.post(&format!("{}/machines", net.path), aerator(different)).await.expect(201);
    let id = made["machine_id"].as_str().unwrap().to_owned();
    open(net, &id, span(0, 28)).await;
    id
}

/// Lets a machine be booked in a span. Returns the availability's id.
pub async fn open(net: &Net, machine: &str, span: Value) -> String {
    let path = format!("{}/machines/{machine}/availabilities", net.path);
    net.coordinator.post(&path, span).await.expect(201)["availability_id"].as_str().unwrap().to_owned()
}

/// A booking of a machine for a club.
pub fn wish(machine: &str, club: &Club, span: Value) -> Value {
    json!({"machine_id": machine, "club_id": club.id, "span": span, "pitch_ids": [], "note": ""})
}

/// Sends such a booking.
pub async fn book(net: &Net, who: &User, machine: &str, club: &Club, span: Value) -> Reply {
    who.post(&format!("{}/bookings", net.path), wish(machine, club, span)).await
}

/// Books, and gives the booking's path.
pub async fn booked(net: &Net, machine: &str, club: &Club, span: Value) -> String {
    let booking = book(net, &club.lead, machine, club, span).await.expect(201);
    format!("{}/bookings/{}", net.path, booking["booking_id"].as_str().unwrap())
}

/// A hire of a machine for the first of those weeks.
pub fn hire(machine: &str, supplier: &str) -> Value {
    json!({
        "machine_id": machine, "supplier_id": supplier, "span": span(0, 14), "per_week_pence": 95_000,
        "per_day_pence": 21_700, "per_half_day_pence": null, "per_ha_pence": null, "delivery_pence": 6_000,
        "collection_pence": 6_000, "deposit_pence": 50_000, "fuel_pence_per_hour": 450, "haul_pence_per_km": 55,
        "hauled_by": "supplier", "depot_latitude_deg": null, "depot_longitude_deg": null, "note": "",
    })
}

/// A round by half-days with that hire; requests close in five days.
pub fn hired_round(machine: &str, supplier: &str) -> Value {
    json!({
        "title": "Aerator in May", "requests_close_at": Utc::now() + TimeDelta::days(5), "hm_per_point": 200,
        "guarantee_after": 2, "note": "", "grain": "half_days", "hire": hire(machine, supplier),
    })
}

/// A request for a pitch of a club, given by club, ground and pitch: the first three half-days, the first day liked best.
pub fn place((club, ground, pitch): (&str, &str, &str)) -> Value {
    json!({
        "club_id": club, "ground_id": ground, "pitch_ids": [pitch], "need": 3, "depth_mm": 250, "set_up_min": 30,
        "tractor": "own", "tractor_kw": 33.5, "helper_club_id": null, "note": "Gate on the lane.",
        "half_days": [half_day(0), half_day(1), half_day(2)], "wishes": [monday()],
    })
}
