//! Services, training and manuals, and who may see any of it.

use chrono::{DateTime, Days, TimeDelta, Utc};
use serde_json::{Value, json};
use turfring::jobs;
use uuid::Uuid;

use super::{Field, count, subjects, today};
use crate::attachments::sent;
use crate::harness::{Reply, with_app};

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
