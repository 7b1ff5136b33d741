//! Comparisons: the place, the privacy, the circle.

use serde_json::{Value, json};
use uuid::Uuid;

use super::{club_with_pitch, cover_walk, days_ago, full_walk, score_cover_alone, walks};
use crate::harness::{App, Net, User, with_app};

/// A club with a ground and a pitch, each with a name that nothing else has, so that it can be looked for.
struct Spot {
    club: &'static str,
    sharing: &'static str,
    latitude_deg: f64,
    longitude_deg: f64,
    soil: &'static str,
    sport: &'static str,
}

impl Spot {
    /// A club that shares its name, on clay, at the centre of these tests.
    const fn named(club: &'static str) -> Self {
        Self { club, sharing: "named", latitude_deg: 54.0, longitude_deg: -1.5, soil: "clay", sport: "rugby_union" }
    }

    /// One that is only counted.
    const fn counted(club: &'static str) -> Self {
        Self { sharing: "counted", ..Self::named(club) }
    }

    /// Sets the place up. Returns the pitch id.
    async fn make(&self, net: &Net) -> String {
        let lead = &net.coordinator;
        let club = json!({"name": format!("{} RFC", self.club), "sharing": self.sharing});
        let club = lead.post(&format!("{}/clubs", net.path), club).await.expect(201);
        let ground = json!({
            "name": format!("{} Lane", self.club), "latitude_deg": self.latitude_deg,
            "longitude_deg": self.longitude_deg, "soil": self.soil, "drainage": "none", "lorry_access": "none",
            "hard_standing": false, "tractor_kw": null,
        });
        let path = format!("{}/clubs/{}/grounds", net.path, club["club_id"].as_str().unwrap());
        let ground = lead.post(&path, ground).await.expect(201);
        add_pitch(net, ground["ground_id"].as_str().unwrap(), &format!("{} Field", self.club), self.sport).await
    }

    /// The same, walked with this ground cover.
    async fn walked(&self, net: &Net, cover: f64) -> String {
        let pitch = self.make(net).await;
        net.coordinator.post(&walks(net), cover_walk(&pitch, cover)).await.expect(201);
        pitch
    }
}

async fn add_pitch(net: &Net, ground: &str, name: &str, sport: &str) -> String {
    let pitch = json!({"name": name, "sport": sport, "length_m": 110.0, "width_m": 70.0});
    let pitch = net.coordinator.post(&format!("{}/grounds/{ground}/pitches", net.path), pitch).await.expect(201);
    pitch["pitch_id"].as_str().unwrap().to_owned()
}

/// A network that scores cover alone, and its own pitch with cover 30 %.
async fn walked_pitch(app: &App) -> (Net, String) {
    let net = app.network("North").await;
    score_cover_alone(&net).await;
    let own = Spot::named("Ownham").walked(&net, 30.0).await;
    (net, own)
}

async fn compare(user: &User, net: &Net, pitch: &str, query: &str) -> Value {
    user.get(&format!("{}/pitches/{pitch}/comparison{query}", net.path)).await.expect(200)
}

const CLUBS: [&str; 6] = ["Alder", "Birch", "Cedar", "Damson", "Elmet", "Furze"];

#[test]
fn the_place_is_that_of_the_published_definition() {
    with_app(async |app| {
        let (net, own) = walked_pitch(&app).await;
        // The documentation of scipy.stats.percentileofscore: of [1, 2, 3, 3, 4] the 3 stands at 60 by kind "mean".
        for (club, cover) in CLUBS.into_iter().zip([10.0, 20.0, 30.0, 30.0, 40.0]) {
            let spot = if cover == 20.0 { Spot::counted(club) } else { Spot::named(club) };
            spot.walked(&net, cover).await;
        }
        let comparison = compare(&net.coordinator, &net, &own, "").await;
        insta::assert_json_snapshot!(comparison, {
            ".pitch_id" => "[id]", ".own.walked_on" => "[date]", ".basis.walked_since_on" => "[date]",
        }, @r#"
        {
          "pitch_id": "[id]",
          "pitch_name": "Ownham Field",
          "own": {
            "score": 30.0,
            "score_se": 0.0,
            "walked_on": "[date]"
          },
          "basis": {
            "within_km": 30,
            "nearest": null,
            "sport": "rugby_union",
            "soil": null,
            "walked_since_on": "[date]",
            "note": "Each pitch counts by its latest walk, with the score it was given then. Walks of different months are compared as they are. The club's own other pitches are left out."
          },
          "others": 5,
          "fewest_others": 5,
          "shown": true,
          "reason_not_shown": null,
          "percentile": 60.0,
          "percentile_definition": "How many in 100 of the other pitches score lower, those with the same score counted half: the mean of the share below and the share no higher. Scores are taken to one decimal.",
          "rank": 2,
          "marks": [
            {
              "score": 40.0,
              "score_se": 0.0,
              "yours": false,
              "club_name": "Elmet RFC",
              "pitch_name": "Elmet Field",
              "distance_km": 0.0
            },
            {
              "score": 30.0,
              "score_se": 0.0,
              "yours": false,
              "club_name": "Cedar RFC",
              "pitch_name": "Cedar Field",
              "distance_km": 0.0
            },
            {
              "score": 30.0,
              "score_se": 0.0,
              "yours": false,
              "club_name": "Damson RFC",
              "pitch_name": "Damson Field",
              "distance_km": 0.0
            },
            {
              "score": 30.0,
              "score_se": 0.0,
              "yours": true,
              "club_name": "Ownham RFC",
              "pitch_name": "Ownham Field",
              "distance_km": 0.0
            },
            {
              "score": 20.0,
              "score_se": 0.0,
              "yours": false,
              "club_name": null,
              "pitch_name": null,
              "distance_km": null
            },
            {
              "score": 10.0,
              "score_se": 0.0,
              "yours": false,
              "club_name": "Alder RFC",
              "pitch_name": "Alder Field",
              "distance_km": 0.0
            }
          ],
          "criteria": [
            {
              "criterion": "ground_cover",
              "name": "Ground cover",
              "unit": "%",
              "own_mean": 30.0,
              "own_score": 30.0,
              "others_median_score": 30.0
            }
          ]
        }
        "#);
        assert_eq!(comparison["basis"]["walked_since_on"], json!(days_ago(365)));
    });
}

#[test]
fn with_fewer_than_five_others_nothing_is_shown_whatever_is_asked() {
    with_app(async |app| {
        let (net, own) = walked_pitch(&app).await;
        for (place, club) in CLUBS.into_iter().enumerate() {
            let spot = match place {
                0 => Spot { soil: "sand", ..Spot::named(club) },
                1 => Spot { sport: "football", ..Spot::named(club) },
                2 => Spot { latitude_deg: 54.2, ..Spot::named(club) },
                _ => Spot::named(club),
            };
            spot.walked(&net, 50.0).await;
        }
        // All six stand side by side; any wish that leaves four is told so and nothing else.
        assert_eq!(compare(&net.coordinator, &net, &own, "?sport=any").await["shown"], true);
        for (query, others) in [
            ("?soil=same", 4),
            ("?sport=any&soil=same&within_km=10", 4),
            ("?within_km=1", 4),
            ("?nearest=5&soil=same&sport=same", 4),
            ("?nearest=200&soil=same&sport=same", 4),
            ("?soil=same&within_km=20", 3),
        ] {
            let comparison = compare(&net.coordinator, &net, &own, query).await;
            assert_eq!((&comparison["shown"], &comparison["others"]), (&json!(false), &json!(others)), "{query}");
            assert_eq!(comparison["marks"], json!([]));
            assert_eq!((&comparison["percentile"], &comparison["rank"]), (&json!(null), &json!(null)));
            assert!(comparison["reason_not_shown"].as_str().unwrap().starts_with("Only "), "{comparison}");
            assert!(
                comparison["criteria"].as_array().unwrap().iter().all(|each| each["others_median_score"].is_null())
            );
            let text = comparison.to_string();
            assert!(!text.contains("50.0"), "a score of another shows: {text}");
            assert!(CLUBS.iter().all(|club| !text.contains(club)), "{text}");
        }
    });
}

#[test]
fn the_own_clubs_other_pitches_do_not_fill_up_the_others() {
    with_app(async |app| {
        let (net, own) = walked_pitch(&app).await;
        let ground = net.coordinator.get(&format!("{}/pitches/{own}", net.path)).await.expect(200)["ground_id"].clone();
        for name in ["Second", "Third", "Fourth", "Fifth", "Sixth"] {
            let pitch = add_pitch(&net, ground.as_str().unwrap(), name, "rugby_union").await;
            net.coordinator.post(&walks(&net), cover_walk(&pitch, 55.0)).await.expect(201);
        }
        for club in &CLUBS[..4] {
            Spot::named(club).walked(&net, 50.0).await;
        }
        let comparison = compare(&net.coordinator, &net, &own, "").await;
        assert_eq!((&comparison["shown"], &comparison["others"]), (&json!(false), &json!(4)));
        Spot::named("Furze").walked(&net, 50.0).await;
        let comparison = compare(&net.coordinator, &net, &own, "").await;
        assert_eq!((&comparison["shown"], &comparison["others"]), (&json!(true), &json!(5)));
        assert!(!comparison.to_string().contains("Second"));
    });
}

#[test]
fn clubs_that_are_only_counted_are_named_nowhere() {
    with_app(async |app| {
        let (net, own) = walked_pitch(&app).await;
        let mut ids = Vec::new();
        for (place, club) in (1..).zip(CLUBS) {
            let spot = if place <= 3 { Spot::counted(club) } else { Spot::named(club) };
            let spot = Spot { latitude_deg: 54.0 + 0.01 * f64::from(place), ..spot };
            ids.push(spot.walked(&net, 40.0 + f64::from(place)).await);
        }
        for query in ["", "?nearest=5", "?nearest=6&sport=any&soil=any", "?within_km=500"] {
            let path = format!("{}/pitches/{own}/comparison{query}", net.path);
            let reply = net.coordinator.get(&path).await;
            for club in &CLUBS[..3] {
                // Club, ground and pitch all begin with the same word.
                assert!(!reply.text.to_lowercase().contains(&club.to_lowercase()), "{club} in {}", reply.text);
            }
            assert!(ids.iter().all(|id| !reply.text.contains(id)), "a pitch's id shows: {}", reply.text);
            let comparison = reply.expect(200);
            let unnamed: Vec<_> =
                comparison["marks"].as_array().unwrap().iter().filter(|mark| mark["club_name"].is_null()).collect();
            assert_eq!(unnamed.len(), 3);
            for mark in unnamed {
                assert!(mark["pitch_name"].is_null() && mark["distance_km"].is_null(), "{mark}");
                assert_eq!(mark.as_object().unwrap().len(), 6);
            }
            assert!(comparison.to_string().contains("Elmet RFC"));
        }
    });
}

#[test]
fn marks_stand_in_the_order_of_their_scores() {
    with_app(async |app| {
        let (net, own) = walked_pitch(&app).await;
        for (club, cover) in CLUBS.into_iter().zip([90.0, 20.0, 60.0, 60.0, 20.0, 75.0]) {
            Spot::counted(club).walked(&net, cover).await;
        }
        let comparison = compare(&net.coordinator, &net, &own, "").await;
        let scores: Vec<_> = comparison["marks"].as_array().unwrap().iter().map(|mark| mark["score"].clone()).collect();
        assert_eq!(json!(scores), json!([90.0, 75.0, 60.0, 60.0, 30.0, 20.0, 20.0]));
        assert_eq!((&comparison["rank"], comparison["marks"][4]["yours"].as_bool()), (&json!(5), Some(true)));
    });
}

#[test]
fn distances_are_geodesic() {
    with_app(async |app| {
        let (net, own) = walked_pitch(&app).await;
        for club in &CLUBS[..5] {
            Spot::named(club).walked(&net, 50.0).await;
        }
        // Reference row h010: (54.0,-1.5) to (54.1,-1.5) is 11.130593 km.
        Spot { latitude_deg: 54.1, ..Spot::named("Furze") }.walked(&net, 50.0).await;
        Spot { longitude_deg: -1.3, ..Spot::named("Gorse") }.walked(&net, 50.0).await;
        let names = |comparison: &Value| {
            let marks = comparison["marks"].as_array().unwrap();
            let far = marks.iter().filter(|mark| mark["distance_km"].as_f64() > Some(0.0));
            far.map(|mark| (mark["club_name"].clone(), mark["distance_km"].clone())).collect::<Vec<_>>()
        };
        let within = async |km: u32| compare(&net.coordinator, &net, &own, &format!("?within_km={km}")).await;
        assert_eq!(within(11).await["others"], 5);
        let twelve = within(12).await;
        assert_eq!(names(&twelve), [(json!("Furze RFC"), json!(11.0))]);
        // A degree of longitude at 54° north is 65.6 km on the ellipsoid, so that 0.2° are 13.1 km.
        let fourteen = within(14).await;
        assert_eq!(names(&fourteen).len(), 2);
        assert!(names(&fourteen).contains(&(json!("Gorse RFC"), json!(13.0))));
        let six = compare(&net.coordinator, &net, &own, "?nearest=6").await;
        assert_eq!(names(&six), [(json!("Furze RFC"), json!(11.0))]);
        assert_eq!((&six["basis"]["nearest"], &six["basis"]["within_km"]), (&json!(6), &json!(null)));
    });
}

#[test]
fn only_the_latest_walk_of_the_past_year_counts() {
    with_app(async |app| {
        let (net, own) = walked_pitch(&app).await;
        for club in &CLUBS[..4] {
            Spot::named(club).walked(&net, 50.0).await;
        }
        let walk = async |pitch: &str, cover: f64, days: u64| {
            let mut body = cover_walk(pitch, cover);
            body["walked_on"] = json!(days_ago(days));
            net.coordinator.post(&walks(&net), body).await.expect(201);
        };
        let fifth = Spot::named("Elmet").make(&net).await;
        walk(&fifth, 99.0, 400).await;
        assert_eq!(compare(&net.coordinator, &net, &own, "").await["others"], 4);
        walk(&fifth, 20.0, 360).await;
        walk(&fifth, 10.0, 200).await;
        walk(&fifth, 90.0, 300).await;
        let comparison = compare(&net.coordinator, &net, &own, "").await;
        assert_eq!((&comparison["others"], &comparison["marks"][5]["score"]), (&json!(5), &json!(10.0)));
        // The same holds for the own pitch, whatever was entered last.
        walk(&own, 5.0, 20).await;
        assert_eq!(compare(&net.coordinator, &net, &own, "").await["own"]["score"], 30.0);
    });
}

#[test]
fn a_pitch_not_walked_is_told_to_be_walked_first() {
    with_app(async |app| {
        let (net, _) = walked_pitch(&app).await;
        for club in CLUBS {
            Spot::named(club).walked(&net, 50.0).await;
        }
        let fresh = Spot::named("Gorse").make(&net).await;
        let comparison = compare(&net.coordinator, &net, &fresh, "").await;
        assert_eq!((&comparison["own"], &comparison["shown"]), (&json!(null), &json!(false)));
        assert_eq!(comparison["marks"], json!([]));
        assert!(comparison["reason_not_shown"].as_str().unwrap().contains("walk it"), "{comparison}");
    });
}

#[test]
fn a_median_rests_on_five_who_measured() {
    with_app(async |app| {
        let net = app.network("North").await;
        let own = Spot::named("Ownham").make(&net).await;
        net.coordinator.post(&walks(&net), full_walk(&own)).await.expect(201);
        // By the first scheme every walk has seven criteria; hardness is measured by four, then by five.
        let hard = |pitch: &str, hardness: f64| {
            let mut body = full_walk(pitch);
            let list = json!({"criterion": "hardness", "values": [hardness]});
            body["readings"].as_array_mut().unwrap().push(list);
            body
        };
        for (club, hardness) in CLUBS.into_iter().zip([100.0, 110.0, 50.0, 70.0]) {
            let pitch = Spot::named(club).make(&net).await;
            net.coordinator.post(&walks(&net), hard(&pitch, hardness)).await.expect(201);
        }
        let fifth = Spot::named("Elmet").make(&net).await;
        net.coordinator.post(&walks(&net), full_walk(&fifth)).await.expect(201);
        let comparison = compare(&net.coordinator, &net, &own, "").await;
        assert_eq!(comparison["criteria"].as_array().unwrap().len(), 7);
        // Mean cover 80 lies two thirds of the way from 70 (50 points) to 85 (80 points).
        assert_eq!(comparison["criteria"][0]["others_median_score"], 70.0);
        assert_eq!(comparison["criteria"][0]["own_mean"], 80.0);
        net.coordinator.post(&walks(&net), hard(&fifth, 78.0)).await.expect(201);
        // A change of the scheme leaves the others' scores as their walks were scored.
        score_cover_alone(&net).await;
        let comparison = compare(&net.coordinator, &net, &own, "").await;
        let hardness = comparison["criteria"].as_array().unwrap().last().unwrap().clone();
        // Scores 70, 50, 50, 100, 100: the scale falls from 100 at 85 g to 30 at 120 g and rises from 0 at 30 g.
        assert_eq!((&hardness["criterion"], &hardness["own_mean"]), (&json!("hardness"), &json!(null)));
        assert_eq!(hardness["others_median_score"], 70.0);
    });
}

#[test]
fn pitches_of_another_network_never_appear() {
    with_app(async |app| {
        let (net, own) = walked_pitch(&app).await;
        let south = app.network("South").await;
        score_cover_alone(&south).await;
        for club in CLUBS {
            Spot::named(club).walked(&south, 50.0).await;
        }
        let comparison = compare(&net.coordinator, &net, &own, "?within_km=500&sport=any&soil=any").await;
        assert_eq!(comparison["others"], 0);
        assert!(comparison["reason_not_shown"].as_str().unwrap().starts_with("No other pitch"), "{comparison}");
        for club in CLUBS {
            Spot::named(club).walked(&net, 45.0).await;
        }
        let comparison = compare(&net.coordinator, &net, &own, "?nearest=200&sport=any&soil=any").await;
        assert_eq!(comparison["others"], 6);
        assert!(!comparison.to_string().contains("50.0"), "{comparison}");
    });
}

#[test]
fn a_wish_that_makes_no_sense_is_refused_on_its_field() {
    with_app(async |app| {
        let (net, own) = walked_pitch(&app).await;
        let path = format!("{}/pitches/{own}/comparison", net.path);
        for (query, fields) in [
            ("within_km=30&nearest=12", &["within_km", "nearest"][..]),
            ("within_km=0", &["within_km"]),
            ("within_km=501", &["within_km"]),
            ("within_km=-3", &["within_km"]),
            ("nearest=4", &["nearest"]),
            ("nearest=201", &["nearest"]),
            ("nearest=-1", &["nearest"]),
        ] {
            let problem = net.coordinator.get(&format!("{path}?{query}")).await.expect_problem(422, "invalid");
            let errors: Vec<_> = problem["errors"].as_array().unwrap().iter().map(|each| &each["field"]).collect();
            assert_eq!(errors, fields, "{query}");
        }
        for query in ["sport=best", "soil=wet", "within_km=far", "nearest=5.5"] {
            net.coordinator.get(&format!("{path}?{query}")).await.expect_problem(400, "unreadable");
        }
        let usual = net.coordinator.get(&path).await.expect(200);
        let basis = &usual["basis"];
        assert_eq!((&basis["within_km"], &basis["sport"]), (&json!(30), &json!("rugby_union")));
        assert_eq!((&basis["nearest"], &basis["soil"]), (&json!(null), &json!(null)));
    });
}

#[test]
fn a_clubs_people_compare_its_pitches_and_others_do_not() {
    with_app(async |app| {
        let (net, club, pitch) = club_with_pitch(&app).await;
        let other = app.club(&net, "Barrow").await;
        let south = app.network("South").await;
        let path = format!("{}/pitches/{pitch}/comparison", net.path);
        for user in [&club.lead, &club.treasurer, &club.volunteer, &net.coordinator] {
            user.get(&path).await.expect(200);
        }
        for user in [&other.lead, &other.treasurer, &other.volunteer] {
            user.get(&path).await.expect_problem(403, "not_your_role");
        }
        south.coordinator.get(&path).await.expect_problem(404, "not_found");
        let foreign = format!("{}/pitches/{pitch}/comparison", south.path);
        south.coordinator.get(&foreign).await.expect_problem(404, "not_found");
        let absent = format!("{}/pitches/{}/comparison", net.path, Uuid::now_v7());
        club.lead.get(&absent).await.expect_problem(404, "not_found");
        app.stranger().get(&path).await.expect_problem(401, "not_signed_in");
    });
}
