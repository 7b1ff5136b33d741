//! Handovers, faults, what they mean for bookings; services, manuals and training.

use chrono::{DateTime, Days, NaiveDate, TimeDelta, Utc};
use serde_json::{Value, json};
use turfring::database::Scope;
use turfring::handovers::hours_used;
use turfring::jobs;
use uuid::Uuid;

use crate::attachments::{PNG, sent};
use crate::direct::{db_booking, db_machine};
use crate::harness::{App, Club, Net, Reply, User, with_app};
use crate::shed::{add_aerator, book, booked, span, wish};

/// A club with a booking that runs today, of a machine of the network.
struct Field {
    net: Net,
    club: Club,
    machine: Uuid,
    booking: Uuid,
}

impl Field {
    async fn of(app: &App) -> Self {
        let net = app.network("North").await;
        let club = app.club(&net, "Tansyford RFC").await;
        let machine = db_machine(app, &net, "Spiker").await;
        let booking = db_booking(app, &net, machine, &club, "agreed", 0).await;
        Self { net, club, machine, booking }
    }

    async fn sign(&self, who: &User, different: Value) -> Reply {
        let mut handover = json!({
            "handover_id": Uuid::now_v7(), "booking_id": self.booking, "direction": "out", "meter_h": 120.5,
            "tines_sound": true, "guards_sound": true, "washed_down": true, "note": "", "signed_name": "Jo Marsh",
            "signed_at": Utc::now(), "faults": [],
        });
        for (name, value) in different.as_object().unwrap() {
            handover[name] = value.clone();
        }
        who.post(&format!("{}/handovers", self.net.path), handover).await
    }

    async fn tell(&self, who: &User, severity: &str) -> Value {
        let fault = json!({"severity": severity, "what": "The shaft cover is cracked."});
        who.post(&self.of_machine("faults"), fault).await.expect(201)
    }

    async fn sheet(&self, who: &User) -> Value {
        who.get(&self.of_booking("handovers")).await.expect(200)
    }

    async fn care(&self, who: &User) -> Value {
        who.get(&self.of_machine("care")).await.expect(200)
    }

    fn of_machine(&self, what: &str) -> String {
        format!("{}/machines/{}/{what}", self.net.path, self.machine)
    }

    fn of_booking(&self, what: &str) -> String {
        format!("{}/bookings/{}/{what}", self.net.path, self.booking)
    }
}

/// Today where the networks of these tests are.
fn today() -> NaiveDate {
    turfring::time::today("Europe/London".parse().unwrap(), Utc::now())
}

/// The subjects of the mails sent so far, by address.
async fn subjects(app: &App, net: &Net) -> Vec<(String, String)> {
    app.run_jobs().await;
    let mails = net.coordinator.get(&format!("{}/mails?limit=200", net.path)).await.expect(200)["items"].take();
    let text = |mail: &Value, name: &str| mail[name].as_str().unwrap().to_owned();
    let mut subjects: Vec<_> =
        mails.as_array().unwrap().iter().map(|mail| (text(mail, "to"), text(mail, "subject"))).collect();
    subjects.sort();
    subjects
}

fn count(subjects: &[(String, String)], to: &User, begins: &str) -> usize {
    subjects.iter().filter(|(address, subject)| *address == to.email && subject.starts_with(begins)).count()
}

#[test]
fn a_machine_is_taken_over_and_given_back() {
    with_app(async |app| {
        let field = Field::of(&app).await;
        let photo = sent(&field.net, &field.club.volunteer, "bent.png", PNG).await;
        let out = field.sign(&field.club.volunteer, json!({})).await.expect(201);
        insta::assert_json_snapshot!(out, {
            ".handover_id" => "[id]", ".booking_id" => "[id]", ".club_id" => "[id]", ".signed_at" => "[time]",
            ".received_at" => "[time]",
        }, @r#"
        {
          "handover_id": "[id]",
          "booking_id": "[id]",
          "club_id": "[id]",
          "direction": "out",
          "counters": null,
          "meter_h": 120.5,
          "meter_reason": "",
          "tines_sound": true,
          "guards_sound": true,
          "washed_down": true,
          "note": "",
          "signed_name": "Jo Marsh",
          "signed_by_name": "volunteer",
          "signed_at": "[time]",
          "received_at": "[time]",
          "faults": []
        }
        "#);
        let told = field.club.volunteer.get(&format!("{}/needs", field.net.path)).await.expect(200)["items"].take();
        let told: Vec<_> = told.as_array().unwrap().iter().map(|need| (&need["kind"], &need["href"])).collect();
        let href = json!(format!("/bookings/{}/handover", field.booking));
        assert_eq!(told, [(&json!("machine_to_give_back"), &href)]);
        let faults = json!([{"severity": "usable", "what": "A tine is bent.", "photo_ids": [photo, photo]}]);
        let back = json!({"direction": "in", "meter_h": 124.0, "tines_sound": false, "faults": faults});
        let back = field.sign(&field.club.lead, back).await.expect(201);
        assert_eq!(back["faults"][0]["photo_ids"], json!([photo]));
        let sheet = field.sheet(&field.club.lead).await;
        assert_eq!(sheet["handovers"].as_array().unwrap().len(), 2);
        assert_eq!((&sheet["last_meter_h"], &sheet["out_of_service"]), (&json!(124.0), &json!(false)));
        assert_eq!(sheet["open_faults"][0]["what"], "A tine is bent.");
        let told = field.club.volunteer.get(&format!("{}/needs", field.net.path)).await.expect(200);
        assert_eq!(told["items"], json!([]), "given back");
        let mut tx = app.service.db.begin(Scope::Network(field.net.id)).await.unwrap();
        let (from, until) = (Utc::now() - TimeDelta::hours(1), Utc::now() + TimeDelta::hours(1));
        let used = hours_used(&mut tx, field.net.id, from, until).await.unwrap();
        assert_eq!(
            used.iter().map(|used| (used.booking_id.0, used.tenth_hours)).collect::<Vec<_>>(),
            [(field.booking, 35)]
        );
        assert!(hours_used(&mut tx, field.net.id, until, until).await.unwrap().is_empty());
        let subjects = subjects(&app, &field.net).await;
        assert_eq!(count(&subjects, &field.net.coordinator, "Fault: Spiker"), 1);
    });
}

#[test]
fn a_handover_sent_again_is_signed_once_and_a_second_one_is_refused() {
    with_app(async |app| {
        let field = Field::of(&app).await;
        let id = Uuid::now_v7();
        let same = json!({"handover_id": id});
        let first = field.sign(&field.club.lead, same.clone()).await.expect(201);
        let second = field.sign(&field.club.lead, same.clone()).await.expect(201);
        assert_eq!(first, second, "sent again with another key after the answer was lost");
        field.sign(&field.club.volunteer, same).await.expect_problem(409, "never_edited");
        field.sign(&field.club.lead, json!({})).await.expect_problem(409, "handover_signed");
        let (lead, volunteer) = (&field.club.lead, &field.club.volunteer);
        let back = json!({"direction": "in"});
        let (one, two) = tokio::join!(field.sign(lead, back.clone()), field.sign(volunteer, back.clone()));
        let mut statuses = [one.status, two.status];
        statuses.sort_unstable();
        assert_eq!(statuses, [201, 409]);
    });
}

#[test]
fn a_wrong_handover_is_countered_and_never_changed() {
    with_app(async |app| {
        let field = Field::of(&app).await;
        let first = field.sign(&field.club.lead, json!({"meter_h": 1205.0})).await.expect(201);
        let counter = json!({"meter_h": 120.5, "counters": first["handover_id"]});
        let stranger = json!({"meter_h": 120.5, "counters": Uuid::now_v7()});
        field.sign(&field.club.lead, stranger).await.expect_problem(409, "handover_signed");
        let worse = json!({"meter_h": 120.5, "counters": first["handover_id"], "guards_sound": false});
        field.sign(&field.club.lead, worse).await.expect_problem(422, "invalid");
        field.sign(&field.club.lead, counter.clone()).await.expect(201);
        field.sign(&field.club.lead, counter).await.expect_problem(409, "handover_signed");
        let sheet = field.sheet(&field.club.lead).await;
        assert_eq!(sheet["handovers"].as_array().unwrap().len(), 2, "both are shown");
        assert_eq!(sheet["last_meter_h"], 120.5, "the wrong reading no longer counts");
        assert_eq!(field.care(&field.club.lead).await["handovers"].as_array().unwrap().len(), 1);
        let sql = format!("UPDATE handovers SET note = 'x' WHERE network_id = '{}'", field.net.id);
        let mut owner = turfring::database::connect_as_owner(&app.owner_url).await.unwrap();
        let refused = diesel_async::SimpleAsyncConnection::batch_execute(&mut owner, &sql).await.unwrap_err();
        assert!(refused.to_string().contains("never edited"), "{refused}");
    });
}

#[test]
fn an_hour_meter_runs_back_only_with_a_reason() {
    with_app(async |app| {
        let field = Field::of(&app).await;
        field.sign(&field.club.lead, json!({})).await.expect(201);
        let back = |more: Value| {
            let mut back = json!({"direction": "in"});
            back.as_object_mut().unwrap().extend(more.as_object().unwrap().clone());
            back
        };
        let lower = field.sign(&field.club.lead, back(json!({"meter_h": 120.4}))).await;
        assert_eq!(lower.expect_problem(422, "meter_runs_back")["before_h"], 120.5);
        for (wrong, code) in [
            (json!({"meter_h": null}), "invalid"),
            (json!({"meter_h": -1.0}), "invalid"),
            (json!({"meter_h": 1e9}), "invalid"),
            (json!({"guards_sound": false}), "invalid"),
            (json!({"tines_sound": false}), "invalid"),
            (json!({"signed_name": " "}), "invalid"),
            (json!({"signed_at": Utc::now() + TimeDelta::hours(1)}), "date_in_future"),
            (json!({"signed_at": Utc::now() - TimeDelta::days(40)}), "invalid"),
            (json!({"faults": [{"severity": "usable", "what": " "}]}), "invalid"),
            (json!({"faults": [{"severity": "usable", "what": "x", "photo_ids": [Uuid::now_v7()]}]}), "invalid"),
            (json!({"handover_id": Uuid::new_v4()}), "invalid"),
        ] {
            field.sign(&field.club.lead, back(wrong)).await.expect_problem(422, code);
        }
        let replaced = back(json!({"meter_h": 3.0, "meter_reason": "The meter was replaced."}));
        field.sign(&field.club.lead, replaced).await.expect(201);
        assert_eq!(field.care(&field.club.lead).await["last_meter_h"], 3.0);
    });
}

#[test]
fn only_the_club_of_the_booking_signs_and_only_what_stands() {
    with_app(async |app| {
        let mut field = Field::of(&app).await;
        let other = app.club(&field.net, "Marl End RFC").await;
        let elsewhere = app.network("South").await;
        for who in [&other.lead, &field.club.treasurer] {
            field.sign(who, json!({})).await.expect_problem(403, "not_your_role");
        }
        field.sign(&elsewhere.coordinator, json!({})).await.expect_problem(404, "not_found");
        field.sign(&app.stranger(), json!({})).await.expect_problem(401, "not_signed_in");
        assert_eq!(field.sheet(&other.lead).await["may_sign"], false);
        for (days, state) in [(3, "asked"), (5, "cancelled"), (7, "refused")] {
            field.booking = db_booking(&app, &field.net, field.machine, &field.club, state, days).await;
            field.sign(&field.club.lead, json!({})).await.expect_problem(409, "booking_ended");
        }
    });
}

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
fn nobody_from_outside_reaches_a_machine_its_faults_or_its_papers() {
    with_app(async |app| {
        let field = Field::of(&app).await;
        let elsewhere = app.network("South").await.coordinator;
        let coordinator = &field.net.coordinator;
        let fault = field.tell(&field.club.volunteer, "out_of_service").await["fault_id"].take();
        let today = today();
        let service = json!({"what": "Grease the shaft", "every_hours": 10, "first_on": today});
        let service = coordinator.post(&field.of_machine("services"), service).await.expect(201);
        let service = service["service_plan_id"].as_str().unwrap();
        let file = sent(&field.net, coordinator, "manual.pdf", crate::attachments::PDF).await;
        let manual = json!({"attachment_id": file, "title": "Manual"});
        coordinator.post(&field.of_machine("manuals"), manual.clone()).await.expect(201);
        let training = json!({
            "club_id": field.club.id, "person_name": "Jo", "machine_kind": "spiker", "trained_on": today,
        });
        let trainings = format!("{}/trainings", field.net.path);
        let noted = coordinator.post(&trainings, training.clone()).await.expect(201);
        let fault = format!("{}/faults/{}/clearing", field.net.path, fault.as_str().unwrap());
        for (who, status, code) in [(&elsewhere, 404, "not_found"), (&app.stranger(), 401, "not_signed_in")] {
            let refused = |reply: Reply| reply.expect_problem(status, code);
            for path in [field.of_booking("handovers"), field.of_machine("care")] {
                refused(who.get(&path).await);
            }
            let tell = json!({"severity": "usable", "what": "x"});
            for (path, body) in [
                (field.of_machine("faults"), tell),
                (fault.clone(), json!({"note": "x"})),
                (field.of_booking("decision"), json!({"decision": "cancel"})),
                (field.of_machine("services"), json!({"what": "x", "every_hours": 1, "first_on": today})),
                (format!("{}/services/{service}/done", field.net.path), json!({"done_on": today})),
                (field.of_machine("manuals"), manual.clone()),
                (trainings.clone(), training.clone()),
            ] {
                refused(who.post(&path, body).await);
            }
            refused(who.put_plain(&field.of_machine("training-rule"), json!({"warns": true})).await);
            for path in [
                field.of_machine(&format!("services/{service}")),
                field.of_machine(&format!("manuals/{file}")),
                format!("{trainings}/{}", noted["training_id"].as_str().unwrap()),
            ] {
                refused(who.delete(&path).await);
            }
        }
        let care = field.care(coordinator).await;
        let count = |what: &str| care[what].as_array().unwrap().len();
        assert_eq!(["open_faults", "services", "manuals", "trained"].map(count), [1; 4], "nothing changed");
        assert_eq!(care["warns_untrained"], false);
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

#[test]
fn a_service_falls_due_by_hours_and_by_date_and_its_owner_is_told_once() {
    with_app(async |app| {
        let field = Field::of(&app).await;
        let coordinator = &field.net.coordinator;
        let today = today();
        let grease = json!({"what": "Grease the shaft", "every_hours": 10, "first_on": today, "first_meter_h": 115.0});
        let services = field.of_machine("services");
        field.club.lead.post(&services, grease.clone()).await.expect_problem(403, "not_your_role");
        let nothing = json!({"what": "Grease", "first_on": today});
        coordinator.post(&services, nothing).await.expect_problem(422, "invalid");
        let service = coordinator.post(&services, grease).await.expect(201);
        assert_eq!(
            (&service["standing"], &service["reason"]),
            (&json!("fine"), &json!("The hour meter has not been read yet."))
        );
        let oil = json!({"what": "Change the oil", "every_months": 12, "first_on": today});
        let oil = coordinator.post(&services, oil).await.expect(201);
        assert_eq!(oil["standing"], "fine");
        app.run_jobs().await;
        field.sign(&field.club.lead, json!({"meter_h": 124.5})).await.expect(201);
        field.sign(&field.club.lead, json!({"direction": "in", "meter_h": 125.5})).await.expect(201);
        let care = field.care(&field.club.lead).await;
        assert_eq!(care["services"][0]["what"], "Grease the shaft", "the most pressing first");
        assert_eq!(care["services"][0]["reason"], "0.5 hours past its hours.");
        let told = subjects(&app, &field.net).await;
        assert_eq!(count(&told, coordinator, "Service overdue: Spiker, Grease the shaft"), 1);
        let done = format!("{}/services/{}/done", field.net.path, service["service_plan_id"].as_str().unwrap());
        coordinator.post(&done, json!({"done_on": today + Days::new(2)})).await.expect_problem(422, "date_in_future");
        field.club.lead.post(&done, json!({"done_on": today})).await.expect_problem(403, "not_your_role");
        let yesterday = json!({"done_on": today - Days::new(1)});
        let unread = coordinator.post(&done, yesterday).await.expect(201);
        assert_eq!(unread["reason"], "0.5 hours past its hours.", "nobody had read the meter by then");
        let again = coordinator.post(&done, json!({"done_on": today})).await.expect(201);
        assert_eq!((&again["standing"], &again["reason"]), (&json!("fine"), &json!("10.0 hours left.")));
        // Two weeks before a year has passed, the oil is due; the day after, overdue; each is told once.
        let later: DateTime<Utc> = Utc::now() + TimeDelta::days(366 - 13);
        for at in [later, later, later + TimeDelta::days(20), later + TimeDelta::days(21)] {
            jobs::run_due(&app.service, at).await.unwrap();
        }
        let told = subjects(&app, &field.net).await;
        assert_eq!(count(&told, coordinator, "Service due: Spiker, Change the oil"), 1);
        assert_eq!(count(&told, coordinator, "Service overdue: Spiker, Change the oil"), 1);
        let end = format!("{services}/{}", oil["service_plan_id"].as_str().unwrap());
        field.club.lead.delete(&end).await.expect_problem(403, "not_your_role");
        coordinator.delete(&end).await.expect(204);
        coordinator.delete(&end).await.expect_problem(404, "not_found");
        assert_eq!(field.care(coordinator).await["services"].as_array().unwrap().len(), 1);
    });
}

#[test]
fn a_training_counts_from_its_day_to_its_last_and_its_lack_is_warned_about() {
    with_app(async |app| {
        let field = Field::of(&app).await;
        let coordinator = &field.net.coordinator;
        let (trainings, today) = (format!("{}/trainings", field.net.path), today());
        let note = |name: &str, more: Value| {
            let mut note = json!({
                "club_id": field.club.id, "person_name": name, "machine_kind": "spiker", "trained_on": today,
            });
            note.as_object_mut().unwrap().extend(more.as_object().unwrap().clone());
            note
        };
        let rule = field.of_machine("training-rule");
        field.club.lead.put_plain(&rule, json!({"warns": true})).await.expect_problem(403, "not_your_role");
        coordinator.put_plain(&rule, json!({"warns": true})).await.expect(200);
        assert_eq!(field.sheet(&field.club.lead).await["warn_untrained"], true);
        field.club.lead.post(&trainings, note("Jo", json!({}))).await.expect_problem(403, "not_your_role");
        let both = json!({"machine_id": field.machine});
        coordinator.post(&trainings, note("Jo", both)).await.expect_problem(422, "invalid");
        let backwards = json!({"until_on": today - Days::new(1)});
        coordinator.post(&trainings, note("Jo", backwards)).await.expect_problem(422, "invalid");
        let nowhere = json!({"club_id": Uuid::now_v7()});
        coordinator.post(&trainings, note("Jo", nowhere)).await.expect_problem(422, "invalid");
        let past = json!({"trained_on": today - Days::new(30), "until_on": today - Days::new(1)});
        coordinator.post(&trainings, note("Al", past)).await.expect(201);
        coordinator.post(&trainings, note("Sam", json!({"machine_kind": "mower"}))).await.expect(201);
        assert_eq!(field.sheet(&field.club.lead).await["trained"], json!([]));
        let jo = coordinator.post(&trainings, note("Jo", json!({}))).await.expect(201);
        let of_this = json!({"machine_kind": null, "machine_id": field.machine, "until_on": today});
        coordinator.post(&trainings, note("Bea", of_this)).await.expect(201);
        let sheet = field.sheet(&field.club.lead).await;
        assert_eq!((&sheet["trained"], &sheet["warn_untrained"]), (&json!(["Bea", "Jo"]), &json!(false)));
        let care = field.care(&field.club.volunteer).await;
        assert_eq!((&care["trained_at_your_clubs"], &care["warns_untrained"]), (&json!(["Bea", "Jo"]), &json!(true)));
        assert_eq!(care["trained"].as_array().unwrap().len(), 3);
        let jo = format!("{trainings}/{}", jo["training_id"].as_str().unwrap());
        field.club.lead.delete(&jo).await.expect_problem(403, "not_your_role");
        coordinator.delete(&jo).await.expect(204);
        coordinator.delete(&jo).await.expect_problem(404, "not_found");
        assert_eq!(field.sheet(&field.club.lead).await["trained"], json!(["Bea"]));
    });
}

#[test]
fn a_manual_is_kept_by_who_looks_after_the_machine() {
    with_app(async |app| {
        let field = Field::of(&app).await;
        let lead = &field.club.lead;
        let file = sent(&field.net, lead, "manual.pdf", crate::attachments::PDF).await;
        let (manuals, manual) = (field.of_machine("manuals"), json!({"attachment_id": file, "title": "Manual"}));
        lead.post(&manuals, manual.clone()).await.expect_problem(403, "not_your_role");
        let absent = json!({"attachment_id": Uuid::now_v7(), "title": "Manual"});
        field.net.coordinator.post(&manuals, absent).await.expect_problem(422, "invalid");
        field.net.coordinator.post(&manuals, manual.clone()).await.expect(201);
        field.net.coordinator.post(&manuals, manual).await.expect_problem(422, "invalid");
        assert_eq!(field.sheet(lead).await["manuals"][0]["file_name"], "manual.pdf");
        let one = format!("{manuals}/{file}");
        lead.delete(&one).await.expect_problem(403, "not_your_role");
        field.net.coordinator.delete(&one).await.expect(204);
        field.net.coordinator.delete(&one).await.expect_problem(404, "not_found");
        app.run_jobs().await;
        lead.get(&format!("{}/attachments/{file}", field.net.path)).await.expect_problem(404, "not_found");
    });
}
