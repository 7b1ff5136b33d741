//! Handovers, faults, what they mean for bookings; services, manuals and training.

mod faults;
mod papers;
mod signing;

use chrono::{NaiveDate, Utc};
use serde_json::{Value, json};
use uuid::Uuid;

use crate::direct::{db_booking, db_machine};
use crate::harness::{App, Club, Net, Reply, User};

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
