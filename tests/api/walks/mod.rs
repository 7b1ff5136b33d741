//! Walks, the scheme that scores them, and comparisons.

mod comparison;
mod entering;
mod reading;
mod schemes;

use chrono::{Days, NaiveDate, Utc};
use serde_json::{Value, json};
use uuid::Uuid;

use crate::harness::{App, Club, Net};

/// The day `days` before today; all tests' networks are in London, whose date is never before UTC's.
fn days_ago(days: u64) -> NaiveDate {
    Utc::now().date_naive() - Days::new(days)
}

/// Where the walks of a network are.
fn walks(net: &Net) -> String {
    format!("{}/walks", net.path)
}

/// A complete walk by the scheme a network starts with.
fn full_walk(pitch: &str) -> Value {
    json!({
        "walk_id": null, "pitch_id": pitch, "walked_on": days_ago(3), "note": "Wet in the goal mouth.",
        "readings": [
            {"criterion": "ground_cover", "values": [70.0, 80.0, 90.0]},
            {"criterion": "live_weeds", "values": [4.0, 6.0]},
            {"criterion": "bare_ground", "values": [12.5]},
            {"criterion": "sward_height", "values": [40.0, 46.0]},
            {"criterion": "evenness", "values": [10.0, 20.0]},
            {"criterion": "root_depth", "values": [100.0, 120.0]},
            {"criterion": "stick_penetration", "values": [9.0, 11.0]},
        ],
    })
}

/// A walk that measured the ground cover alone, twice the same: by [`score_cover_alone`] its score is the cover.
fn cover_walk(pitch: &str, cover: f64) -> Value {
    json!({
        "walk_id": Uuid::now_v7(), "pitch_id": pitch, "walked_on": days_ago(10), "note": "",
        "readings": [{"criterion": "ground_cover", "values": [cover, cover]}],
    })
}

/// A scheme by which a pitch scores its ground cover in per cent.
fn cover_scheme() -> Value {
    let scale = json!([{"measured": 0.0, "score": 0.0}, {"measured": 100.0, "score": 100.0}]);
    json!({"note": "Cover is all.", "criteria": [{"criterion": "ground_cover", "weight": 1.0, "points": scale}]})
}

/// Makes the cover scheme the network's second.
async fn score_cover_alone(net: &Net) {
    net.coordinator.put(&format!("{}/schemes/current", net.path), 1, cover_scheme()).await.expect(200);
}

/// A network with a club and its pitch.
async fn club_with_pitch(app: &App) -> (Net, Club, String) {
    let net = app.network("North").await;
    let club = app.club(&net, "Ashby").await;
    let pitch = app.pitch(&net, &club, "Main").await;
    (net, club, pitch)
}
