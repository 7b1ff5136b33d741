//! Turns: entered once for each request, read by everybody, faded by season.

use chrono::{Datelike, NaiveDate, Utc};
use serde_json::{Value, json};
use turfring::database::Scope;
use turfring::error::Result;
use turfring::ids::{ClubId, RequestId, RoundId};
use turfring::turns::{self, Outcome};

use crate::direct::db_sql;
use crate::harness::{App, Club, Net, with_app};
use crate::shed::{aerator, hired_round, place};

const GAVE_WAY: Outcome = Outcome::LeftOut;
const HAD_IT: Outcome = Outcome::Served { wish: Some(1), firsts: 2, wished: 1 };
const SERVED: Outcome = Outcome::Served { wish: Some(2), firsts: 2, wished: 2 };

fn id(body: &Value, name: &str) -> uuid::Uuid {
    body[name].as_str().unwrap().parse().unwrap()
}

/// A round in which some pitches ask for a place. Returns the round, and the requests in order.
async fn asked(app: &App, net: &Net, clubs: &[(&Club, &str)]) -> (RoundId, Vec<(RequestId, ClubId)>) {
    let name = uuid::Uuid::now_v7();
    let machine = aerator(json!({"name": name}));
    let machine = net.coordinator.post(&format!("{}/machines", net.path), machine).await.expect(201);
    let supplier = json!({"name": name, "email": null, "phone": null, "note": ""});
    let supplier = net.coordinator.post(&format!("{}/suppliers", net.path), supplier).await.expect(201);
    let said = hired_round(machine["machine_id"].as_str().unwrap(), supplier["supplier_id"].as_str().unwrap());
    let round = net.coordinator.post(&format!("{}/rounds", net.path), said).await.expect(201);
    let path = format!("{}/rounds/{}/requests", net.path, id(&round, "round_id"));
    let mut requests = Vec::new();
    for (club, pitch) in clubs {
        let seen = club.lead.get(&format!("{}/pitches/{pitch}", net.path)).await.expect(200);
        let wish = place((&club.id.to_string(), seen["ground_id"].as_str().unwrap(), pitch));
        requests.push((RequestId(id(&club.lead.post(&path, wish).await.expect(201), "request_id")), club.id));
    }
    app.run_jobs().await;
    (RoundId(id(&round, "round_id")), requests)
}

/// Enters what became of the requests of a round that began on a day.
async fn enter(
    app: &App,
    net: &Net,
    (round, first_day): (RoundId, NaiveDate),
    outcomes: &[((RequestId, ClubId), Outcome)],
) -> Result<()> {
    let outcomes: Vec<_> = outcomes.iter().map(|((request, club), outcome)| (*request, *club, *outcome)).collect();
    let mut tx = app.service.db.begin(Scope::Network(net.id)).await.unwrap();
    turns::enter(&mut tx, net.id, (round, first_day), &outcomes, Utc::now()).await?;
    tx.commit().await
}

/// A day of the season so many years ago, by the first of July.
fn day_of_season(years_ago: i32) -> NaiveDate {
    let today = Utc::now().date_naive();
    let begun = today.year() - i32::from(today.month() < 7) - years_ago;
    NaiveDate::from_ymd_opt(begun + 1, 5, 4).unwrap()
}

#[test]
fn everybody_sees_each_clubs_balance_and_what_it_is_made_of() {
    with_app(async |app| {
        let net = app.network("North").await;
        let (alder, birch) = (app.club(&net, "Alder").await, app.club(&net, "Birch").await);
        let (pitch, other) = (app.pitch(&net, &alder, "First").await, app.pitch(&net, &birch, "Only").await);
        app.club(&net, "Cedar").await;
        for (years_ago, outcome) in [(2, GAVE_WAY), (1, GAVE_WAY), (0, SERVED)] {
            let (round, requests) = asked(&app, &net, &[(&alder, &pitch), (&birch, &other)]).await;
            let outcomes = [(requests[0], outcome), (requests[1], HAD_IT)];
            enter(&app, &net, (round, day_of_season(years_ago)), &outcomes).await.unwrap();
        }
        let turns = birch.volunteer.get(&format!("{}/turns", net.path)).await.expect(200);
        let seen = |club: &Value| {
            let season = |season: &Value| {
                let kinds: Vec<_> = season["entries"].as_array().unwrap().iter().map(|entry| &entry["kind"]).collect();
                json!([season["carried"], kinds, season["balance"]])
            };
            let seasons: Vec<_> = club["seasons"].as_array().unwrap().iter().map(season).collect();
            json!([club["club_name"], club["balance"], club["left_out_running"], seasons])
        };
        // Half of what was there, toward zero: 3, then 1 + 3, then 2 + 0; and −2, then −1 − 2, then −1 − 2.
        assert_eq!(
            turns.as_array().unwrap().iter().map(seen).collect::<Vec<_>>(),
            [
                json!(["Alder", 2, 0, [[2, ["served"], 2], [1, ["left_out"], 4], [0, ["left_out"], 3]]]),
                json!(["Birch", -3, 0, [[-1, ["prime_day"], -3], [-1, ["prime_day"], -3], [0, ["prime_day"], -2]]]),
            ]
        );
        assert_eq!(turns[0]["weights"], json!([12, 22, 32, 42, 52]), "ten for each step of need, and the balance");
        let entry = &turns[0]["seasons"][1]["entries"][0];
        assert_eq!((&entry["points"], &entry["ground_name"]), (&json!(3), &json!("First ground")));
        assert_eq!(entry["round_title"], "Aerator in May");
    });
}

#[test]
fn a_club_left_out_of_its_last_rounds_running_is_served_first() {
    with_app(async |app| {
        let net = app.network("North").await;
        let club = app.club(&net, "Alder").await;
        let (first, second) = (app.pitch(&net, &club, "First").await, app.pitch(&net, &club, "Second").await);
        let guaranteed = async |after| {
            let mut tx = app.service.db.begin(Scope::Network(net.id)).await.unwrap();
            turns::guaranteed(&mut tx, net.id, RoundId::new(), after).await.unwrap().contains(&club.id)
        };
        let (round, requests) = asked(&app, &net, &[(&club, &first), (&club, &second)]).await;
        enter(&app, &net, (round, day_of_season(1)), &[(requests[0], GAVE_WAY), (requests[1], GAVE_WAY)])
            .await
            .unwrap();
        assert!(!guaranteed(2).await, "two grounds in one round are left out once");
        assert!(guaranteed(1).await && !guaranteed(0).await);
        let (round, requests) = asked(&app, &net, &[(&club, &first)]).await;
        db_sql(&app, &format!("UPDATE rounds SET from_on = from_on + 1, until_on = until_on + 1 WHERE id = '{round}'"))
            .await;
        enter(&app, &net, (round, day_of_season(0)), &[(requests[0], GAVE_WAY)]).await.unwrap();
        assert!(guaranteed(2).await);
        let turns = club.lead.get(&format!("{}/turns", net.path)).await.expect(200);
        assert_eq!(turns[0]["left_out_running"], 2);
        let (round, requests) = asked(&app, &net, &[(&club, &first), (&club, &second)]).await;
        db_sql(&app, &format!("UPDATE rounds SET from_on = from_on + 2, until_on = until_on + 2 WHERE id = '{round}'"))
            .await;
        enter(&app, &net, (round, day_of_season(0)), &[(requests[0], GAVE_WAY), (requests[1], SERVED)]).await.unwrap();
        assert!(!guaranteed(2).await && !guaranteed(1).await, "it had a place for one of its grounds");
    });
}

#[test]
fn a_turn_is_entered_once_and_never_changed() {
    with_app(async |app| {
        let net = app.network("North").await;
        let club = app.club(&net, "Alder").await;
        let pitch = app.pitch(&net, &club, "First").await;
        let (round, requests) = asked(&app, &net, &[(&club, &pitch)]).await;
        enter(&app, &net, (round, day_of_season(0)), &[(requests[0], SERVED)]).await.unwrap();
        let again = enter(&app, &net, (round, day_of_season(0)), &[(requests[0], GAVE_WAY)]).await.unwrap_err();
        assert!(format!("{again:?}").contains("NeverEdited"), "{again:?}");
        enter(&app, &net, (round, day_of_season(0)), &[]).await.unwrap();
        let turns = club.lead.get(&format!("{}/turns", net.path)).await.expect(200);
        assert_eq!(turns[0]["balance"], 0);
    });
}

#[test]
fn strangers_and_other_networks_see_no_turns() {
    with_app(async |app| {
        let (north, south) = (app.network("North").await, app.network("South").await);
        let path = format!("{}/turns", north.path);
        assert_eq!(north.coordinator.get(&path).await.expect(200), json!([]));
        app.stranger().get(&path).await.expect_problem(401, "not_signed_in");
        south.coordinator.get(&path).await.expect_problem(404, "not_found");
    });
}
