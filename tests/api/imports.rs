//! Bringing in clubs, grounds and pitches from a spreadsheet.

use serde_json::{Value, json};

use crate::harness::{Net, Reply, with_app};

const HEADER: &str = "club,sharing,ground,latitude_deg,longitude_deg,soil,drainage,lorry_access,hard_standing,\
                      tractor_kw,pitch,sport,length_m,width_m";
/// A club and its ground, to be followed by a pitch.
const MALLOW: &str = "Mallow RFC,named,Mill Lane,53.2042,-0.8713,clay_loam,slit,rigid,true,34";
const NETTLE: &str = "Nettle RFC,counted,Osier Field,53.3,-0.7,sand,none,none,false,";

fn csv(lines: &[&str]) -> String {
    let mut csv = HEADER.to_owned();
    for line in lines {
        csv = format!("{csv}\r\n{line}");
    }
    csv
}

fn line(place: &str, pitch: &str) -> String {
    format!("{place},{pitch},rugby_union,122,72")
}

async fn import(net: &Net, csv: &str, dry_run: bool) -> Reply {
    net.coordinator.post(&format!("{}/imports", net.path), json!({"csv": csv, "dry_run": dry_run})).await
}

/// Each fault of a dry run as "line column: reason".
async fn faults(net: &Net, csv: &str) -> Vec<String> {
    let report = import(net, csv, true).await.expect(200);
    let faults = report["faults"].as_array().unwrap();
    let column = |fault: &Value| fault["column"].as_str().map(|column| format!(" {column}")).unwrap_or_default();
    faults
        .iter()
        .map(|fault| format!("{}{}: {}", fault["line"], column(fault), fault["reason"].as_str().unwrap()))
        .collect()
}

async fn count(net: &Net, list: &str) -> usize {
    let page = net.coordinator.get(&format!("{}/{list}?limit=200", net.path)).await.expect(200);
    page["items"].as_array().unwrap().len()
}

#[test]
fn a_spreadsheet_becomes_clubs_grounds_and_pitches() {
    with_app(async |app| {
        let net = app.network("North").await;
        let file = csv(&[&line(MALLOW, "First"), &line(MALLOW, "Second"), &line(NETTLE, "First"), ",,,,,,,,,,,,,"]);
        let dry = import(&net, &file, true).await.expect(200);
        assert_eq!(dry, json!({"dry_run": true, "clubs": 2, "grounds": 2, "pitches": 3, "faults": []}));
        assert_eq!(count(&net, "clubs").await, 0);
        let real = import(&net, &file, false).await.expect(201);
        assert_eq!(real, json!({"dry_run": false, "clubs": 2, "grounds": 2, "pitches": 3, "faults": []}));
        let pitches = net.coordinator.get(&format!("{}/pitches", net.path)).await.expect(200);
        insta::assert_json_snapshot!(pitches["items"][0], {
            ".pitch_id" => "[id]", ".ground_id" => "[id]", ".club_id" => "[id]",
        }, @r#"
        {
          "pitch_id": "[id]",
          "ground_id": "[id]",
          "ground_name": "Mill Lane",
          "club_id": "[id]",
          "club_name": "Mallow RFC",
          "name": "First",
          "sport": "rugby_union",
          "length_m": 122.0,
          "width_m": 72.0,
          "area_m2": 8784,
          "soil": "clay_loam",
          "drainage": "slit",
          "version": 1,
          "latest_score": null
        }
        "#);
        let grounds = net.coordinator.get(&format!("{}/grounds", net.path)).await.expect(200);
        assert_eq!(grounds["items"][1]["tractor_kw"], Value::Null);
    });
}

#[test]
fn columns_may_come_in_any_order_with_a_mark_in_front() {
    with_app(async |app| {
        let net = app.network("North").await;
        let file = "\u{feff}pitch,sport,width_m,length_m,club,ground,sharing,tractor_kw,hard_standing,lorry_access,\
                    drainage,soil,longitude_deg,latitude_deg\n\"First, by the road\",hockey,55,91.4,Mallow RFC,Mill Lane,\
                    named,,NO,none,none,loam,-0.8,53.2\n";
        import(&net, file, false).await.expect(201);
        let pitches = net.coordinator.get(&format!("{}/pitches", net.path)).await.expect(200);
        assert_eq!(pitches["items"][0]["name"], "First, by the road");
        assert_eq!(pitches["items"][0]["length_m"], 91.4);
    });
}

#[test]
fn every_bad_line_is_named_with_column_and_reason() {
    with_app(async |app| {
        let net = app.network("North").await;
        let file = csv(&[
            "Mallow RFC,shown,Mill Lane,north,-0.8713,mud,slit,rigid,perhaps,strong,First,quidditch,122,72",
            &line(MALLOW, ""),
            "Nettle RFC,counted,Osier Field,95,-0.7,sand,none,none,false,,First,rugby_union,9,NaN",
            "too,few",
            &line(MALLOW, "First"),
        ]);
        insta::assert_json_snapshot!(faults(&net, &file).await, @r#"
        [
          "2 sharing: Use one of: named, counted.",
          "2 latitude_deg: Write it as a number with a point, such as 68.5.",
          "2 soil: Use one of: clay, clay_loam, loam, silt_loam, sandy_loam, sand.",
          "2 hard_standing: Use true or false.",
          "2 tractor_kw: Write it as a number with a point, such as 68.5.",
          "2 sport: Use one of: rugby_union, rugby_league, football, cricket_outfield, hockey, other.",
          "3 pitch: A name is needed.",
          "4 latitude_deg: Latitude is −90 to 90 degrees.",
          "4 length_m: A pitch is 10 to 300 m long and wide.",
          "5: The header has 14 columns, this line 2."
        ]
        "#);
        let refused = import(&net, &file, false).await.expect_problem(422, "import_faults");
        assert_eq!(refused["faults"].as_array().unwrap().len(), faults(&net, &file).await.len());
        assert_eq!((count(&net, "clubs").await, count(&net, "pitches").await), (0, 0));
    });
}

#[test]
fn lines_that_contradict_each_other_are_named() {
    with_app(async |app| {
        let net = app.network("North").await;
        let file = csv(&[
            &line(MALLOW, "First"),
            &line(&MALLOW.replace("named", "counted"), "Second"),
            &line(&MALLOW.replace("53.2042", "53.2043"), "Third"),
            &line(&MALLOW.replace(",34", ","), "Fourth"),
            &line(MALLOW, "First"),
        ]);
        insta::assert_json_snapshot!(faults(&net, &file).await, @r#"
        [
          "3 sharing: Line 2 says named of the same club.",
          "4 latitude_deg: Line 2 says 53.2042 of the same ground.",
          "5 tractor_kw: Line 2 says 34 of the same ground.",
          "6 pitch: Line 2 has this pitch already."
        ]
        "#);
    });
}

#[test]
fn what_is_here_already_is_added_to_but_never_changed() {
    with_app(async |app| {
        let net = app.network("North").await;
        import(&net, &csv(&[&line(MALLOW, "First"), &line(NETTLE, "First")]), false).await.expect(201);
        let more = import(&net, &csv(&[&line(MALLOW, "Second")]), false).await.expect(201);
        assert_eq!(more, json!({"dry_run": false, "clubs": 0, "grounds": 0, "pitches": 1, "faults": []}));
        let file = csv(&[
            &line(MALLOW, "First"),
            &line(&MALLOW.replace("clay_loam", "clay"), "Third"),
            &line(&NETTLE.replace("counted", "named"), "Second"),
            &line(&NETTLE.replace("Osier", "Reed"), "First"),
        ]);
        insta::assert_json_snapshot!(faults(&net, &file).await, @r#"
        [
          "2 pitch: The network has this pitch already; take the line out.",
          "3 soil: The network has this ground already, with clay_loam; change it there or here.",
          "4 sharing: The network has this club already, with counted; change it there or here."
        ]
        "#);
    });
}

#[test]
fn a_file_that_is_no_table_is_refused_in_clear_words() {
    with_app(async |app| {
        let net = app.network("North").await;
        let mut said = Vec::new();
        for file in [
            "",
            "PK\u{3}\u{4}\0\0 a spreadsheet's own format",
            &csv(&[&line(MALLOW, "Caf\u{fffd}")]),
            &csv(&[&line(MALLOW, "First")]).replace(',', ";"),
            HEADER,
            "club,club,colour\nMallow RFC,Mallow RFC,green",
        ] {
            said.push(faults(&net, file).await);
        }
        insta::assert_json_snapshot!(said, @r#"
        [
          [
            "1: The file is empty."
          ],
          [
            "1: This is no text file. In the spreadsheet, save it as CSV."
          ],
          [
            "2: It has characters that cannot be read. In the spreadsheet, save it as CSV in UTF-8."
          ],
          [
            "1: The columns are not separated by commas. In the spreadsheet, save it with commas."
          ],
          [
            "1: There is no pitch below the header."
          ],
          [
            "1 club: The column is there twice.",
            "1 colour: There is no such column; take it out.",
            "1 sharing: The column is missing.",
            "1 ground: The column is missing.",
            "1 latitude_deg: The column is missing.",
            "1 longitude_deg: The column is missing.",
            "1 soil: The column is missing.",
            "1 drainage: The column is missing.",
            "1 lorry_access: The column is missing.",
            "1 hard_standing: The column is missing.",
            "1 tractor_kw: The column is missing.",
            "1 pitch: The column is missing.",
            "1 sport: The column is missing.",
            "1 length_m: The column is missing.",
            "1 width_m: The column is missing."
          ]
        ]
        "#);
        let pieces = format!("{HEADER}\n\n\n{}\n\"too\nfew\"\n\n{}", line(MALLOW, "First"), line(MALLOW, "First"));
        assert_eq!(
            faults(&net, &pieces).await,
            ["5: The header has 14 columns, this line 1.", "8 pitch: Line 4 has this pitch already."]
        );
        let rows: Vec<String> = (0..5001).map(|n| line(MALLOW, &format!("Pitch {n}"))).collect();
        let rows: Vec<&str> = rows.iter().map(String::as_str).collect();
        let said = faults(&net, &csv(&rows)).await;
        assert_eq!(said, ["5002: Bring in at most 5000 pitches at a time: split the file here."]);
        let most = import(&net, &csv(&rows[..5000]), false).await.expect(201);
        assert_eq!(most["pitches"], 5000);
    });
}

#[test]
fn an_import_sent_again_gets_its_first_answer_and_adds_nothing() {
    with_app(async |app| {
        let net = app.network("North").await;
        let path = format!("{}/imports", net.path);
        let body = |dry_run| json!({"csv": csv(&[&line(MALLOW, "First")]), "dry_run": dry_run});
        let key = [("Idempotency-Key", "one")];
        net.coordinator.send("POST", &path, Some(body(true)), &key).await.expect(200);
        let sends = (0..3).map(|_| net.coordinator.send("POST", &path, Some(body(false)), &key));
        for reply in futures_util::future::join_all(sends).await {
            assert_eq!(reply.expect(201)["pitches"], 1);
        }
        assert_eq!(count(&net, "pitches").await, 1);
        net.coordinator
            .send("POST", &path, Some(body(false)), &[])
            .await
            .expect_problem(400, "idempotency_key_missing");
    });
}

#[test]
fn of_two_imports_at_once_that_name_the_same_club_one_wins_whole() {
    with_app(async |app| {
        let net = app.network("North").await;
        let files = [
            csv(&[&line(MALLOW, "First"), &line(NETTLE, "First")]),
            csv(&[&line(MALLOW, "Second"), &line("Other RFC,named,Meadow,53,-1,clay,none,none,no,", "First")]),
        ];
        let replies = futures_util::future::join_all(files.iter().map(|file| import(&net, file, false))).await;
        let mut statuses: Vec<u16> = replies.iter().map(|reply| reply.status).collect();
        statuses.sort_unstable();
        // One after the other is fine: the second then adds to the club of the first.
        let expected = if statuses == [201, 201] { (3, 4) } else { (2, 2) };
        assert!(statuses == [201, 201] || statuses == [201, 409], "{statuses:?}");
        assert_eq!((count(&net, "clubs").await, count(&net, "pitches").await), expected);
    });
}

#[test]
fn only_a_coordinator_brings_places_in() {
    with_app(async |app| {
        let net = app.network("North").await;
        let club = app.club(&net, "Mallow").await;
        let south = app.network("South").await;
        let path = format!("{}/imports", net.path);
        let body = json!({"csv": csv(&[&line(MALLOW, "First")]), "dry_run": true});
        for user in [&club.lead, &club.treasurer, &club.volunteer] {
            user.post(&path, body.clone()).await.expect_problem(403, "not_your_role");
        }
        app.stranger().post(&path, body.clone()).await.expect_problem(401, "not_signed_in");
        south.coordinator.post(&path, body).await.expect_problem(404, "not_found");
    });
}

#[test]
fn the_demo_region_goes_in_as_it_is() {
    with_app(async |app| {
        let net = app.network("North").await;
        let places = include_str!("../../demo-seed/places.csv");
        let report = import(&net, places, false).await.expect(201);
        assert_eq!((report["clubs"].as_u64(), report["grounds"].as_u64()), (Some(26), Some(29)));
        assert_eq!(report["pitches"].as_u64(), Some(59));
    });
}
