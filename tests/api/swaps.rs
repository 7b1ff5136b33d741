//! Swaps: both clubs want it, both change places at once, and nobody decides for another.

use futures_util::future::join;
use serde_json::{Value, json};

use crate::harness::{Club, Net, Reply, User, with_app};
use crate::shed::{add_aerator, aerator, booked, open, span};

fn id(booking: &str) -> &str {
    booking.rsplit('/').next().unwrap()
}

async fn propose(net: &Net, who: &User, give: &str, want: &str) -> Reply {
    let body = json!({"give_booking_id": id(give), "want_booking_id": id(want), "note": "Cup tie that day."});
    who.post(&format!("{}/swaps", net.path), body).await
}

async fn proposed(net: &Net, club: &Club, give: &str, want: &str) -> String {
    let swap = propose(net, &club.lead, give, want).await.expect(201);
    format!("{}/swaps/{}", net.path, swap["swap_id"].as_str().unwrap())
}

async fn answer(who: &User, swap: &str, accepted: bool) -> Reply {
    who.post(&format!("{swap}/answer"), json!({"accepted": accepted})).await
}

async fn place(who: &User, booking: &str) -> (Value, Value, Value) {
    let booking = who.get(booking).await.expect(200);
    (booking["machine_name"].clone(), booking["span"].clone(), booking["charge_pence"].clone())
}

#[test]
fn two_clubs_change_places_on_one_machine_and_both_are_told() {
    with_app(async |app| {
        let net = app.network("North").await;
        let [ours, theirs] = [app.club(&net, "Tansyford RFC").await, app.club(&net, "Marl End RFC").await];
        let machine = add_aerator(&net, json!({})).await;
        // They touch, and have different lengths: each stands where the other was.
        let one = booked(&net, &machine, &ours, span(0, 2)).await;
        let two = booked(&net, &machine, &theirs, span(2, 3)).await;
        let swap = proposed(&net, &ours, &one, &two).await;
        let needs = theirs.lead.get(&format!("{}/needs", net.path)).await.expect(200);
        assert!(needs.to_string().contains("swap_to_answer"), "{needs}");
        app.run_jobs().await;
        let mail = app.mails().pop().unwrap();
        assert!(mail.contains("Cup tie that day.") && mail.contains(id(&two)), "{mail}");
        let done = answer(&theirs.lead, &swap, true).await.expect(200);
        assert_eq!(done["state"], "accepted");
        assert_eq!(answer(&theirs.lead, &swap, true).await.expect(200)["state"], "accepted", "twice is once");
        let name = json!("Deep-tine aerator");
        assert_eq!(place(&ours.lead, &one).await, (name.clone(), span(2, 3), json!(8500)));
        assert_eq!(place(&ours.lead, &two).await, (name, span(0, 2), json!(12500)));
        assert_eq!(app.run_jobs().await, 2, "both are told");
    });
}

#[test]
fn two_clubs_change_machines() {
    with_app(async |app| {
        let net = app.network("North").await;
        let [ours, theirs] = [app.club(&net, "Tansyford RFC").await, app.club(&net, "Marl End RFC").await];
        let first = add_aerator(&net, json!({})).await;
        let second = add_aerator(&net, json!({"name": "Spiker", "charge_per_day_pence": 2000})).await;
        let one = booked(&net, &first, &ours, span(0, 2)).await;
        let two = booked(&net, &second, &theirs, span(4, 6)).await;
        let swap = proposed(&net, &ours, &one, &two).await;
        answer(&theirs.lead, &swap, true).await.expect(200);
        assert_eq!(place(&ours.lead, &one).await, (json!("Spiker"), span(4, 6), json!(4500)));
        assert_eq!(place(&ours.lead, &two).await, (json!("Deep-tine aerator"), span(0, 2), json!(12500)));
        app.run_jobs().await;
    });
}

#[test]
fn nobody_proposes_or_answers_for_another_club() {
    with_app(async |app| {
        let (net, south) = (app.network("North").await, app.network("South").await);
        let [ours, theirs] = [app.club(&net, "Tansyford RFC").await, app.club(&net, "Marl End RFC").await];
        let machine = add_aerator(&net, json!({})).await;
        let one = booked(&net, &machine, &ours, span(0, 2)).await;
        let two = booked(&net, &machine, &theirs, span(2, 4)).await;
        let swap = proposed(&net, &ours, &one, &two).await;
        for (who, status, code) in [
            (&ours.lead, 403, "not_your_role"),
            (&net.coordinator, 403, "not_your_role"),
            (&theirs.treasurer, 403, "not_your_role"),
            (&south.coordinator, 404, "not_found"),
            (&app.stranger(), 401, "not_signed_in"),
        ] {
            answer(who, &swap, true).await.expect_problem(status, code);
        }
        for (who, status, code) in [
            (&theirs.lead, 403, "not_your_role"),
            (&net.coordinator, 403, "not_your_role"),
            (&south.coordinator, 404, "not_found"),
            (&app.stranger(), 401, "not_signed_in"),
        ] {
            propose(&net, who, &one, &two).await.expect_problem(status, code);
            who.post(&format!("{swap}/withdrawal"), json!({})).await.expect_problem(status, code);
        }
        let elsewhere = swap.replace(&net.path, &south.path);
        answer(&south.coordinator, &elsewhere, true).await.expect_problem(404, "not_found");
        let list = format!("{}/swaps?booking_id={}", net.path, id(&two));
        assert_eq!(theirs.lead.get(&list).await.expect(200)["items"][0]["yours_to_answer"], true);
        assert_eq!(net.coordinator.get(&list).await.expect(200)["items"][0]["yours_to_answer"], false);
        let third = app.club(&net, "Sedge RFC").await;
        assert_eq!(third.lead.get(&list).await.expect(200)["items"], json!([]), "it is no business of theirs");
        south.coordinator.get(&list).await.expect_problem(404, "not_found");
        app.run_jobs().await;
    });
}

#[test]
fn a_proposal_lapses_when_a_booking_changes_and_can_be_made_anew() {
    with_app(async |app| {
        let net = app.network("North").await;
        let [ours, theirs] = [app.club(&net, "Tansyford RFC").await, app.club(&net, "Marl End RFC").await];
        let machine = add_aerator(&net, json!({})).await;
        let one = booked(&net, &machine, &ours, span(0, 2)).await;
        let two = booked(&net, &machine, &theirs, span(2, 4)).await;
        let swap = proposed(&net, &ours, &one, &two).await;
        propose(&net, &ours.lead, &one, &two).await.expect_problem(409, "swap_proposed");
        ours.lead.put(&format!("{one}/span"), 1, span(8, 10)).await.expect(200);
        answer(&theirs.lead, &swap, true).await.expect_problem(409, "swap_lapsed");
        let swap = proposed(&net, &ours, &one, &two).await;
        ours.lead.post(&format!("{swap}/withdrawal"), json!({})).await.expect(200);
        ours.lead.post(&format!("{swap}/withdrawal"), json!({})).await.expect(200);
        answer(&theirs.lead, &swap, true).await.expect_problem(409, "swap_lapsed");
        let swap = proposed(&net, &ours, &one, &two).await;
        assert_eq!(answer(&theirs.lead, &swap, false).await.expect(200)["state"], "declined");
        answer(&theirs.lead, &swap, true).await.expect_problem(409, "swap_lapsed");
        ours.lead.post(&format!("{swap}/withdrawal"), json!({})).await.expect_problem(409, "swap_lapsed");
        theirs.lead.post(&format!("{two}/cancellation"), json!({})).await.expect(200);
        propose(&net, &ours.lead, &one, &two).await.expect_problem(409, "booking_ended");
        assert_eq!(place(&ours.lead, &one).await.1, span(8, 10));
        app.run_jobs().await;
    });
}

#[test]
fn a_swap_keeps_the_rules_of_both_machines() {
    with_app(async |app| {
        let net = app.network("North").await;
        let [ours, theirs] = [app.club(&net, "Tansyford RFC").await, app.club(&net, "Marl End RFC").await];
        let open_to_all = add_aerator(&net, json!({})).await;
        let kept = add_aerator(
            &net,
            json!({
                "name": "Spiker", "owner_club_id": theirs.id, "who_may_book": "owner_only", "shortest_half_days": 2,
            }),
        )
        .await;
        let one = booked(&net, &open_to_all, &ours, span(0, 2)).await;
        let own = booked(&net, &open_to_all, &ours, span(20, 21)).await;
        let two = booked(&net, &kept, &theirs, span(2, 4)).await;
        propose(&net, &ours.lead, &one, &two).await.expect_problem(403, "machine_not_open_to_club");
        propose(&net, &theirs.lead, &two, &own).await.expect_problem(403, "machine_not_open_to_club");
        propose(&net, &ours.lead, &one, &own).await.expect_problem(422, "invalid");
        propose(&net, &ours.lead, &one, &format!("x/{}", ours.id)).await.expect_problem(404, "not_found");
        let shared = aerator(json!({"name": "Spiker", "owner_club_id": theirs.id, "shortest_half_days": 2}));
        net.coordinator.put(&format!("{}/machines/{kept}", net.path), 1, shared).await.expect(200);
        let longer = aerator(json!({"shortest_half_days": 2}));
        net.coordinator.put(&format!("{}/machines/{open_to_all}", net.path), 1, longer).await.expect(200);
        propose(&net, &ours.lead, &own, &two).await.expect_problem(422, "too_short");
        open(&net, &kept, span(40, 44)).await;
        let swap = proposed(&net, &ours, &one, &two).await;
        answer(&theirs.lead, &swap, true).await.expect(200);
        app.run_jobs().await;
    });
}

#[test]
fn swaps_accepted_and_bookings_moved_at_once_leave_nothing_overlapping() {
    with_app(async |app| {
        let net = app.network("North").await;
        let [ours, theirs, third] = [
            app.club(&net, "Tansyford RFC").await,
            app.club(&net, "Marl End RFC").await,
            app.club(&net, "Sedge RFC").await,
        ];
        let machine = add_aerator(&net, json!({})).await;
        let other = add_aerator(&net, json!({"name": "Spiker"})).await;
        for round in 0..5 {
            let at = round * 4;
            let one = booked(&net, &machine, &ours, span(at, at + 2)).await;
            let two = booked(&net, &other, &theirs, span(at, at + 2)).await;
            let three = booked(&net, &machine, &third, span(at + 2, at + 4)).await;
            let to_two = proposed(&net, &ours, &one, &two).await;
            let from_three = proposed(&net, &third, &three, &one).await;
            let ((first, second), moved) = join(
                join(answer(&theirs.lead, &to_two, true), answer(&ours.lead, &from_three, true)),
                theirs.lead.put(&format!("{two}/span"), 1, span(at, at + 1)),
            )
            .await;
            let statuses = [first.status, second.status, moved.status];
            assert!(statuses.contains(&200), "{statuses:?}");
            assert!(
                statuses.iter().all(|status| [200, 409, 412].contains(status)),
                "{statuses:?} {} {} {}",
                first.text,
                second.text,
                moved.text
            );
            assert!(first.status != 200 || second.status != 200, "a booking is swapped once: its version changed");
        }
        let overlapping = "SELECT count(*) FROM bookings a JOIN bookings b
            ON (a.network_id, a.machine_id) = (b.network_id, b.machine_id) AND a.id < b.id AND a.held && b.held
            WHERE a.state = 'agreed' AND b.state = 'agreed'";
        assert_eq!(crate::bookings_races::count(&app, overlapping).await, 0);
        app.run_jobs().await;
    });
}
