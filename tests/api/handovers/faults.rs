//! Faults, and what they mean for bookings.

use chrono::{TimeDelta, Utc};
use serde_json::{Value, json};
use turfring::jobs;

use super::{Field, count, subjects};
use crate::direct::db_booking;
use crate::harness::{User, with_app};
use crate::shed::{add_aerator, book, booked, span, wish};

#[test]
fn a_fault_takes_the_machine_out_of_service_until_it_is_cleared() {
    with_app(async |app| {
        let mut field = Field::of(&app).await;
        let next = app.club(&field.net, "Marl End RFC").await;
        let behind = db_booking(&app, &field.net, field.machine, &next, "agreed", 4).await;
        let cancelled = db_booking(&app, &field.net, field.machine, &next, "cancelled", 6).await;
        let faults = json!([{"severity": "out_of_service", "what": "The gearbox leaks."}]);
        field.sign(&field.club.lead, json!({"direction": "in", "faults": faults})).await.expect(201);
        assert_eq!(field.sheet(&field.club.lead).await["needs_decision"], json!([]), "it is over for who gave back");
        field.booking = cancelled;
        assert_eq!(field.sheet(&next.lead).await["needs_decision"], json!([]));
        field.booking = behind;
        let sheet = field.sheet(&next.lead).await;
        assert_eq!(
            (&sheet["needs_decision"], &sheet["out_of_service"]),
            (&json!(["The gearbox leaks."]), &json!(true))
        );
        let told = subjects(&app, &field.net).await;
        assert_eq!(count(&told, &next.lead, "Out of service: Spiker, "), 1);
        assert_eq!(count(&told, &field.net.coordinator, "Out of service: Spiker"), 1);
        assert_eq!(told.len(), 2);
        let mails = app.mails();
        let mail = |to: &User| mails.iter().find(|mail| mail.contains(&format!("To: {}", to.email))).unwrap();
        let waits = mail(&next.lead);
        assert!(waits.contains("which Marl End RFC has booked for") && waits.contains("The gearbox leaks."), "{waits}");
        assert!(waits.contains("keeps its place until the coordinator decides"), "{waits}");
        let keeper = mail(&field.net.coordinator);
        assert!(keeper.contains("These bookings need a decision") && keeper.contains("- Marl End RFC: "), "{keeper}");
        let needs = field.net.coordinator.get(&format!("{}/needs", field.net.path)).await.expect(200);
        assert!(needs.to_string().contains("booking_to_decide"), "{needs}");
        let board = next.volunteer.get(&format!("{}/board", field.net.path)).await.expect(200);
        assert_eq!(board["machines"][0]["out_of_service"], true);
        let flags: Vec<_> =
            board["machines"][0]["bookings"].as_array().unwrap().iter().map(|b| &b["needs_decision"]).collect();
        assert_eq!(flags, [false, true]);

        let refused = book(&field.net, &next.lead, &field.machine.to_string(), &next, span(4, 6)).await;
        refused.expect_problem(409, "machine_out_of_service");
        let fault = field.care(&next.lead).await["open_faults"][0]["fault_id"].as_str().unwrap().to_owned();
        let clearing = format!("{}/faults/{fault}/clearing", field.net.path);
        let note = json!({"note": "New seal, filled up."});
        next.lead.post(&clearing, note.clone()).await.expect_problem(403, "not_your_role");
        field.net.coordinator.post(&clearing, json!({"note": " "})).await.expect_problem(422, "invalid");
        let cleared = field.net.coordinator.post(&clearing, note.clone()).await.expect(200);
        assert_eq!(cleared["cleared_note"], "New seal, filled up.");
        field.net.coordinator.post(&clearing, note).await.expect_problem(409, "fault_cleared");
        let sheet = field.sheet(&next.lead).await;
        assert_eq!((&sheet["needs_decision"], &sheet["out_of_service"]), (&json!([]), &json!(false)));
        let told = subjects(&app, &field.net).await;
        assert_eq!(count(&told, &next.lead, "In service again: Spiker"), 1);
        book(&field.net, &next.lead, &field.machine.to_string(), &next, span(4, 6)).await.expect(201);
        app.run_jobs().await;
    });
}

#[test]
fn nobody_is_offered_a_machine_out_of_service_and_whoever_waits_is_offered_it_when_it_serves_again() {
    with_app(async |app| {
        let field = Field::of(&app).await;
        let [holder, waiter] = [&field.club, &app.club(&field.net, "Marl End RFC").await];
        let machine = add_aerator(&field.net, json!({})).await;
        let booking = booked(&field.net, &machine, holder, span(4, 6)).await;
        let waits = format!("{}/waiting", field.net.path);
        waiter.lead.post(&waits, wish(&machine, waiter, span(4, 6))).await.expect(201);
        let of_machine = format!("{}/machines/{machine}", field.net.path);
        let fault = json!({"severity": "out_of_service", "what": "The shaft is bent."});
        let fault = holder.volunteer.post(&format!("{of_machine}/faults"), fault).await.expect(201);
        holder.lead.post(&format!("{booking}/cancellation"), json!({})).await.expect(200);
        let state = async || waiter.lead.get(&waits).await.expect(200)["items"][0]["state"].clone();
        assert_eq!(state().await, "waiting");
        let clearing = format!("{}/faults/{}/clearing", field.net.path, fault["fault_id"].as_str().unwrap());
        field.net.coordinator.post(&clearing, json!({"note": "Straightened."})).await.expect(200);
        assert_eq!(state().await, "offered");
        let told = subjects(&app, &field.net).await;
        assert_eq!(count(&told, &waiter.lead, "Free for you"), 1, "{told:?}");
        assert_eq!(count(&told, &holder.lead, "In service again"), 0, "the booking was given up");
    });
}

#[test]
fn an_offer_of_a_machine_that_goes_out_of_service_is_taken_back_and_costs_nobody_their_place() {
    with_app(async |app| {
        let field = Field::of(&app).await;
        let first = app.club(&field.net, "Marl End RFC").await;
        let second = app.club(&field.net, "Ousebeck RFC").await;
        let machine = add_aerator(&field.net, json!({})).await;
        let booking = booked(&field.net, &machine, &field.club, span(4, 6)).await;
        let waits = format!("{}/waiting", field.net.path);
        for waiter in [&first, &second] {
            waiter.lead.post(&waits, wish(&machine, waiter, span(4, 6))).await.expect(201);
        }
        let line = async || {
            let line = field.net.coordinator.get(&format!("{waits}?machine_id={machine}")).await.expect(200);
            line["items"].as_array().unwrap().clone()
        };
        field.club.lead.post(&format!("{booking}/cancellation"), json!({})).await.expect(200);
        let offer = line().await[0]["booking_id"].as_str().unwrap().to_owned();
        let faults = format!("{}/machines/{machine}/faults", field.net.path);
        let fault = json!({"severity": "out_of_service", "what": "The shaft is bent."});
        let fault = field.club.volunteer.post(&faults, fault).await.expect(201);
        let acceptance = format!("{}/bookings/{offer}/acceptance", field.net.path);
        first.lead.post(&acceptance, json!({})).await.expect_problem(409, "offer_lapsed");
        // The time of the offer passes: nobody loses a place by it.
        jobs::run_due(&app.service, Utc::now() + TimeDelta::days(3)).await.unwrap();
        let waiting: Vec<_> =
            line().await.iter().map(|place| (place["club_name"].clone(), place["state"].clone())).collect();
        let waits_on = |club: &str| (json!(club), json!("waiting"));
        assert_eq!(waiting, [waits_on("Marl End RFC"), waits_on("Ousebeck RFC")]);
        let told = subjects(&app, &field.net).await;
        assert_eq!(count(&told, &first.lead, "Out of service: "), 1, "{told:?}");
        assert_eq!(count(&told, &second.lead, "Out of service: "), 0);
        let clearing = format!("{}/faults/{}/clearing", field.net.path, fault["fault_id"].as_str().unwrap());
        field.net.coordinator.post(&clearing, json!({"note": "Straightened."})).await.expect(200);
        let line = line().await;
        assert_eq!((&line[0]["club_name"], &line[0]["state"]), (&json!("Marl End RFC"), &json!("offered")));
        assert_eq!(line[1]["state"], "waiting");
        app.run_jobs().await;
    });
}

#[test]
fn a_booking_is_not_swapped_for_a_machine_out_of_service_nor_away_from_its_handover() {
    with_app(async |app| {
        let field = Field::of(&app).await;
        let other = app.club(&field.net, "Marl End RFC").await;
        let [one, two] =
            [add_aerator(&field.net, json!({})).await, add_aerator(&field.net, json!({"name": "Old aerator"})).await];
        let ours = booked(&field.net, &one, &field.club, span(0, 2)).await;
        let theirs = booked(&field.net, &two, &other, span(4, 6)).await;
        let id = |path: &str| path.rsplit('/').next().unwrap().to_owned();
        let swap = json!({"give_booking_id": id(&ours), "want_booking_id": id(&theirs), "note": ""});
        let swap = field.club.lead.post(&format!("{}/swaps", field.net.path), swap).await.expect(201);
        let answer = format!("{}/swaps/{}/answer", field.net.path, swap["swap_id"].as_str().unwrap());
        let accept = async || other.lead.post(&answer, json!({"accepted": true})).await;
        let fault = json!({"severity": "out_of_service", "what": "The shaft is bent."});
        let faults = format!("{}/machines/{one}/faults", field.net.path);
        let fault = field.club.lead.post(&faults, fault).await.expect(201);
        accept().await.expect_problem(409, "machine_out_of_service");
        let clearing = format!("{}/faults/{}/clearing", field.net.path, fault["fault_id"].as_str().unwrap());
        field.net.coordinator.post(&clearing, json!({"note": "Straightened."})).await.expect(200);
        let out = json!({"booking_id": id(&ours), "meter_h": null});
        field.sign(&field.club.lead, out).await.expect(201);
        accept().await.expect_problem(409, "in_use");
        app.run_jobs().await;
    });
}

#[test]
fn the_coordinator_keeps_moves_cancels_or_books_another_machine() {
    with_app(async |app| {
        let mut field = Field::of(&app).await;
        let other = add_aerator(&field.net, json!({})).await;
        let coordinator = field.net.coordinator.clone();
        let machine = field.machine.to_string();
        let mut bookings = Vec::new();
        for from in [0, 4, 8, 12] {
            let path = booked(&field.net, &machine, &field.club, span(from, from + 2)).await;
            coordinator.post(&format!("{path}/answer"), json!({"agreed": true, "reason": null})).await.expect(200);
            bookings.push(path);
        }
        let decide = async |who: &User, path: &str, body: Value| who.post(&format!("{path}/decision"), body).await;
        let keep = json!({"decision": "keep"});
        decide(&coordinator, &bookings[0], keep.clone()).await.expect_problem(409, "nothing_to_decide");
        field.tell(&field.club.volunteer, "out_of_service").await;
        decide(&field.club.lead, &bookings[0], keep.clone()).await.expect_problem(403, "not_your_role");
        for wrong in
            [json!({"decision": "move"}), json!({"decision": "other_machine"}), json!({"decision": "fault_cleared"})]
        {
            decide(&coordinator, &bookings[0], wrong).await.expect_problem(422, "invalid");
        }
        decide(&coordinator, &bookings[0], keep.clone()).await.expect(200);
        decide(&coordinator, &bookings[0], keep).await.expect_problem(409, "nothing_to_decide");
        let earlier = json!({"decision": "move", "span": span(2, 4)});
        decide(&coordinator, &bookings[1], earlier).await.expect_problem(409, "machine_out_of_service");
        let later = json!({"decision": "move", "span": span(16, 18)});
        let moved = decide(&coordinator, &bookings[1], later).await.expect(200);
        assert_eq!(moved["span"], span(16, 18));
        let gone = decide(&coordinator, &bookings[2], json!({"decision": "cancel"})).await.expect(200);
        assert_eq!(gone["state"], "cancelled");
        let taken = json!({"decision": "other_machine", "machine_id": machine});
        decide(&coordinator, &bookings[3], taken).await.expect_problem(409, "machine_out_of_service");
        let instead = json!({"decision": "other_machine", "machine_id": other});
        let instead = decide(&coordinator, &bookings[3], instead).await.expect(200);
        assert_eq!((&instead["machine_id"], &instead["span"]), (&json!(other), &span(12, 14)));
        assert_eq!(coordinator.get(&bookings[3]).await.expect(200)["state"], "cancelled");
        let told = subjects(&app, &field.net).await;
        for begins in ["It stays: Spiker", "Moved: Spiker", "Booked: Deep-tine aerator"] {
            assert_eq!(count(&told, &field.club.lead, begins), 1, "{begins}: {told:?}");
        }
        assert_eq!(count(&told, &field.club.lead, "Cancelled: Spiker"), 2);
        field.booking = bookings[0].rsplit('/').next().unwrap().parse().unwrap();
        assert_eq!(field.sheet(&field.club.lead).await["needs_decision"], json!([]));
    });
}

#[test]
fn a_booking_and_a_fault_at_once_leave_no_booking_undecided() {
    with_app(async |app| {
        let field = Field::of(&app).await;
        let machine = field.machine.to_string();
        for _ in 0..6 {
            let (made, fault) = tokio::join!(
                book(&field.net, &field.club.lead, &machine, &field.club, span(0, 2)),
                field.tell(&field.club.volunteer, "out_of_service")
            );
            if made.status == 201 {
                let path = format!("{}/bookings/{}", field.net.path, made.body["booking_id"].as_str().unwrap());
                let sheet = field.club.lead.get(&format!("{path}/handovers")).await.expect(200);
                assert_ne!(sheet["needs_decision"], json!([]), "it was there when the fault was told");
                field.club.lead.post(&format!("{path}/cancellation"), json!({})).await.expect(200);
            } else {
                made.expect_problem(409, "machine_out_of_service");
            }
            let clearing = format!("{}/faults/{}/clearing", field.net.path, fault["fault_id"].as_str().unwrap());
            field.net.coordinator.post(&clearing, json!({"note": "Mended."})).await.expect(200);
        }
        app.run_jobs().await;
    });
}
