//! Many people at once: nobody's booking may overlap another's, whatever the order of things.

use std::collections::BTreeSet;

use diesel::sql_types::BigInt;
use diesel::{QueryableByName, sql_query};
use diesel_async::{RunQueryDsl, SimpleAsyncConnection};
use futures_util::future::join_all;
use serde_json::json;
use turfring::access::Role;
use turfring::database;

use crate::harness::{App, Club, Net, Reply, with_app};
use crate::shed::{add_aerator, book, booked, open, span};

#[derive(QueryableByName)]
struct Count {
    #[diesel(sql_type = BigInt)]
    count: i64,
}

/// Counts rows as the owner of the tables sees them, past row-level security and past the application.
pub async fn count(app: &App, query: &str) -> i64 {
    let mut owner = database::connect_as_owner(&app.owner_url).await.unwrap();
    owner.batch_execute("SET row_security = off").await.unwrap();
    sql_query(query).get_result::<Count>(&mut owner).await.unwrap().count
}

async fn assert_nothing_overlaps(app: &App) {
    let overlapping = "SELECT count(*) FROM bookings a JOIN bookings b
        ON (a.network_id, a.machine_id) = (b.network_id, b.machine_id) AND a.id < b.id
        AND tsrange(lower(a.span), upper(a.span) + a.gap_half_days * interval '12 hours')
         && tsrange(lower(b.span), upper(b.span) + b.gap_half_days * interval '12 hours')
        WHERE a.state IN ('asked', 'agreed') AND b.state IN ('asked', 'agreed')";
    assert_eq!(count(app, overlapping).await, 0);
}

#[test]
fn two_hundred_people_press_at_once_and_exactly_one_has_the_last_free_half_day() {
    with_app(async |app| {
        let net = app.network("North").await;
        let holder = app.club(&net, "Tansyford RFC").await;
        let machine = add_aerator(&net, json!({})).await;
        booked(&net, &machine, &holder, span(0, 4)).await;
        booked(&net, &machine, &holder, span(5, 10)).await;
        let mut pressing = Vec::new();
        for number in 0..8 {
            let club = app.club(&net, &format!("Club {number}")).await;
            for person in 0..25 {
                let email = format!("lead{person}@club{number}.test");
                let lead = app.db_member(net.id, &email, Role::GroundsLead, Some(club.id)).await;
                pressing.push((lead, club.id));
            }
        }
        let path = format!("{}/bookings", net.path);
        let replies = join_all(pressing.iter().map(|(lead, club)| {
            let body = json!({"machine_id": machine, "club_id": club, "span": span(4, 5), "pitch_ids": [], "note": ""});
            lead.post(&path, body)
        }))
        .await;
        let (mut won, mut late) = (0, 0);
        for reply in replies {
            if reply.status == 201 {
                won += 1;
                continue;
            }
            late += 1;
            let taken = reply.expect_problem(409, "machine_taken");
            assert_eq!(taken["free"].as_array().unwrap().len(), 5);
            assert_eq!(taken["free"][0], span(10, 11));
        }
        assert_eq!((won, late), (1, 199));
        assert_nothing_overlaps(&app).await;
        app.run_jobs().await;
    });
}

#[test]
fn two_bookings_that_change_places_at_once_never_overlap() {
    with_app(async |app| {
        let net = app.network("North").await;
        let (ours, theirs) = (app.club(&net, "Tansyford RFC").await, app.club(&net, "Marl End RFC").await);
        let machine = add_aerator(&net, json!({})).await;
        let one = booked(&net, &machine, &ours, span(0, 2)).await;
        let two = booked(&net, &machine, &theirs, span(2, 4)).await;
        for _ in 0..5 {
            let (first, second) = futures_util::future::join(
                ours.lead.put(&format!("{one}/span"), 1, span(2, 4)),
                theirs.lead.put(&format!("{two}/span"), 1, span(0, 2)),
            )
            .await;
            first.expect_problem(409, "machine_taken");
            second.expect_problem(409, "machine_taken");
        }
        assert_eq!(ours.lead.get(&one).await.expect(200)["span"], span(0, 2));
        assert_eq!(theirs.lead.get(&two).await.expect(200)["span"], span(2, 4));
        assert_nothing_overlaps(&app).await;
        app.run_jobs().await;
    });
}

#[test]
fn a_booking_moved_twice_at_once_moves_once() {
    with_app(async |app| {
        let net = app.network("North").await;
        let club = app.club(&net, "Tansyford RFC").await;
        let machine = add_aerator(&net, json!({})).await;
        let booking = booked(&net, &machine, &club, span(0, 2)).await;
        let path = format!("{booking}/span");
        let replies = join_all((1..9).map(|place| club.lead.put(&path, 1, span(place * 2, place * 2 + 2)))).await;
        let mut statuses: Vec<_> = replies.iter().map(|reply| reply.status).collect();
        statuses.sort_unstable();
        assert_eq!(statuses, [200, 412, 412, 412, 412, 412, 412, 412]);
        app.run_jobs().await;
    });
}

#[test]
fn an_availability_removed_while_it_is_booked_is_either_kept_or_gone_with_no_booking() {
    with_app(async |app| {
        let net = app.network("North").await;
        let club = app.club(&net, "Tansyford RFC").await;
        let machine = add_aerator(&net, json!({})).await;
        for round in 0..6 {
            let place = span(40 + round * 4, 44 + round * 4);
            let id = open(&net, &machine, place.clone()).await;
            let removing = format!("{}/machines/{machine}/availabilities/{id}", net.path);
            let (removed, booking) = futures_util::future::join(
                net.coordinator.delete(&removing),
                book(&net, &club.lead, &machine, &club, place),
            )
            .await;
            match (removed.status, booking.status) {
                (204, 422) => drop(booking.expect_problem(422, "outside_availability")),
                (409, 201) => drop(removed.expect_problem(409, "availability_in_use")),
                other => panic!("{other:?}: {} {}", removed.text, booking.text),
            }
        }
        app.run_jobs().await;
    });
}

/// A small generator of chances (xorshift), so that a failing storm can be run again.
struct Chance(u64);

impl Chance {
    fn below(&mut self, limit: i64) -> i64 {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        i64::try_from(self.0 % u64::try_from(limit).unwrap()).unwrap()
    }
}

/// One club's evening: it books, moves and cancels as chance has it, each at once with what the others do.
async fn evening(net: &Net, club: &Club, machines: &[String], seed: u64) -> BTreeSet<u16> {
    let mut chance = Chance(seed);
    let mut own: Vec<String> = Vec::new();
    let mut statuses = BTreeSet::new();
    for _ in 0..25 {
        let from = chance.below(24);
        let wanted = span(from, from + 1 + chance.below(4));
        let what = chance.below(4);
        let reply: Reply = match own.last().cloned() {
            Some(booking) if what == 0 => {
                own.pop();
                club.lead.post(&format!("{booking}/cancellation"), json!({})).await
            }
            Some(booking) if what == 1 => {
                let version = club.lead.get(&booking).await.expect(200)["version"].as_i64().unwrap();
                club.lead.put(&format!("{booking}/span"), version, wanted).await
            }
            _ => {
                let machine = &machines[usize::try_from(chance.below(2)).unwrap()];
                let reply = book(net, &club.lead, machine, club, wanted).await;
                if reply.status == 201 {
                    own.push(format!("{}/bookings/{}", net.path, reply.body["booking_id"].as_str().unwrap()));
                }
                reply
            }
        };
        assert!([200, 201, 409].contains(&reply.status), "{} {}", reply.status, reply.text);
        if reply.status == 409 {
            assert_eq!(reply.body["code"], "machine_taken", "{}", reply.text);
        }
        statuses.insert(reply.status);
    }
    statuses
}

#[test]
fn after_a_storm_of_booking_moving_and_cancelling_nothing_overlaps() {
    with_app(async |app| {
        let net = app.network("North").await;
        let machines = [
            add_aerator(&net, json!({"gap_half_days": 1})).await,
            add_aerator(&net, json!({"name": "Spiker", "coordinator_agrees": true})).await,
        ];
        let mut clubs = Vec::new();
        for number in 0..6 {
            clubs.push(app.club(&net, &format!("Club {number}")).await);
        }
        let evenings = clubs.iter().zip(1..).map(|(club, seed)| evening(&net, club, &machines, seed * 7919));
        let statuses: BTreeSet<u16> = join_all(evenings).await.into_iter().flatten().collect();
        assert_eq!(statuses.into_iter().collect::<Vec<_>>(), [200, 201, 409], "the storm had everything in it");
        assert_nothing_overlaps(&app).await;
        let loose =
            "SELECT count(*) FROM bookings WHERE (state IN ('asked', 'agreed')) <> (availability_id IS NOT NULL)";
        assert_eq!(count(&app, loose).await, 0);
        app.run_jobs().await;
    });
}
