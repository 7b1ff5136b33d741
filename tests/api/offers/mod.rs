//! Offers of a planned round: put to the clubs, answered, offered on, agreed, and everything that stands in the way.
//!
//! Every club asks for the first three half-days and likes the first day best. The places of the first plan are put in
//! place directly, each club one half-day in turn: how a plan comes about is another slice's.

mod agreeing;
mod answering;
mod offering;
mod races;

use chrono::{TimeDelta, Utc};
use serde_json::{Value, json};
use uuid::Uuid;

use crate::direct::db_sql;
use crate::harness::{App, Club, Net, Reply, User};
use crate::shed::{aerator, half_day, hired_round, place};

/// A network whose clubs have asked for places in a round.
struct Round {
    net: Net,
    clubs: Vec<Club>,
    /// One a club.
    requests: Vec<String>,
    machine: String,
    id: String,
    path: String,
}

fn text(value: &Value, name: &str) -> String {
    value[name].as_str().unwrap().to_owned()
}

impl Round {
    /// A round in which so many clubs have asked, still gathering.
    async fn gathering(app: &App, clubs: usize) -> Self {
        let net = app.network("North").await;
        let machine = net.coordinator.post(&format!("{}/machines", net.path), aerator(json!({}))).await.expect(201);
        Self::of(app, net, text(&machine, "machine_id"), clubs).await
    }

    async fn of(app: &App, net: Net, machine: String, clubs: usize) -> Self {
        let hirer = json!({"name": "The hire yard", "email": null, "phone": null, "note": ""});
        let supplier = net.coordinator.post(&format!("{}/suppliers", net.path), hirer).await.expect(201);
        let terms = hired_round(&machine, &text(&supplier, "supplier_id"));
        let opened = net.coordinator.post(&format!("{}/rounds", net.path), terms).await.expect(201);
        let id = text(&opened, "round_id");
        let path = format!("{}/rounds/{id}", net.path);
        let mut round = Self { net, clubs: Vec::new(), requests: Vec::new(), machine, id, path };
        for name in ["Tansyford RFC", "Marl End RFC", "Sedgewick RFC", "Loam Park RFC"].into_iter().take(clubs) {
            let club = app.club(&round.net, name).await;
            let pitch = app.pitch(&round.net, &club, name).await;
            let ground =
                text(&club.lead.get(&format!("{}/pitches/{pitch}", round.net.path)).await.expect(200), "ground_id");
            let wish = place((&club.id.to_string(), &ground, &pitch));
            let request = club.lead.post(&format!("{}/requests", round.path), wish).await.expect(201);
            round.requests.push(text(&request, "request_id"));
            round.clubs.push(club);
        }
        round
    }

    /// Closed, with a chosen plan for the first so many clubs, one half-day each.
    async fn planned(app: &App, clubs: usize, served: usize) -> (Self, Uuid) {
        let round = Self::gathering(app, clubs).await;
        let plan = round.db_chosen(app, served).await;
        (round, plan)
    }

    /// Put to the clubs, to be answered in two days.
    async fn offered(app: &App, clubs: usize, served: usize) -> Self {
        let (round, plan) = Self::planned(app, clubs, served).await;
        round.offer(plan).await.expect(201);
        app.run_jobs().await;
        round
    }

    async fn db_chosen(&self, app: &App, served: usize) -> Uuid {
        let blocks: Vec<_> = (0..served).map(|club| (club, i64::try_from(club).unwrap())).collect();
        self.db_chosen_with(app, &self.machine, &blocks).await
    }

    /// A chosen plan whose places are replaced: clubs get these half-days, each by its number.
    async fn db_chosen_with(&self, app: &App, machine: &str, blocks: &[(usize, i64)]) -> Uuid {
        db_sql(app, &format!("UPDATE rounds SET state = 'requests_closed' WHERE id = '{}'", self.id)).await;
        let plans = format!("{}/plans", self.path);
        self.net.coordinator.post(&plans, json!(null)).await.expect(201);
        app.run_jobs().await;
        let plan = text(&self.net.coordinator.get(&plans).await.expect(200)["plans"][0], "plan_id");
        self.net.coordinator.post(&format!("{plans}/{plan}/choice"), json!(null)).await.expect(200);
        let mut sql = format!("DELETE FROM plan_blocks WHERE plan_id = '{plan}';");
        for &(club, at) in blocks {
            let (from, until) = (half_day(at), half_day(at + 1));
            sql += &format!(
                "INSERT INTO plan_blocks (network_id, plan_id, round_id, request_id, machine_id, crew_club_id, span, wish_rank, \
                 points, haul_hm, helper_hm, leaves_at) VALUES ('{}', '{plan}', '{}', '{}', '{machine}', '{}', \
                 tsrange('{from}', '{until}'), {}, 10, 40, 0, '{until}');",
                self.net.id,
                self.id,
                self.requests[club],
                self.clubs[club].id,
                if at < 2 { "1" } else { "NULL" },
            );
        }
        db_sql(app, &sql).await;
        plan.parse().unwrap()
    }

    fn offer_body(plan: Uuid) -> Value {
        json!({"plan_id": plan, "answer_by": Utc::now() + TimeDelta::days(2), "offers_on": true})
    }

    async fn offer(&self, plan: Uuid) -> Reply {
        self.net.coordinator.post(&format!("{}/offers", self.path), Self::offer_body(plan)).await
    }

    async fn agree(&self, who: &User) -> Reply {
        who.post(&format!("{}/agreement", self.path), json!(null)).await
    }

    async fn take_back(&self, who: &User, reason: &str) -> Reply {
        who.post(&format!("{}/offers/taking-back", self.path), json!({"reason": reason})).await
    }

    async fn shown(&self, who: &User) -> Value {
        who.get(&format!("{}/offers", self.path)).await.expect(200)
    }

    async fn state(&self) -> Value {
        self.net.coordinator.get(&self.path).await.expect(200)["state"].clone()
    }

    /// A club's latest offer.
    async fn offer_of(&self, club: usize) -> Value {
        let shown = self.shown(&self.net.coordinator).await;
        let offers = shown["offers"].as_array().unwrap().iter();
        let mut own: Vec<_> = offers.filter(|offer| offer["request_id"] == self.requests[club]).collect();
        own.sort_by_key(|offer| text(offer, "offer_id"));
        (*own.last().unwrap()).clone()
    }

    async fn answer_as(&self, who: &User, club: usize, accepted: bool) -> Reply {
        let path = format!("{}/offers/{}/answer", self.net.path, text(&self.offer_of(club).await, "offer_id"));
        who.post(&path, json!({"accepted": accepted, "reason": "We play that day."})).await
    }

    async fn answer(&self, club: usize, accepted: bool) -> Reply {
        self.answer_as(&self.clubs[club].lead, club, accepted).await
    }

    async fn needs(&self, who: &User) -> Vec<(String, String)> {
        let needs = who.get(&format!("{}/needs", self.net.path)).await.expect(200);
        let items = needs["items"].as_array().unwrap().iter().map(|need| (text(need, "kind"), text(need, "sentence")));
        items.filter(|(kind, _)| ["place_to_answer", "round_to_agree", "round_unanswered"].contains(&&**kind)).collect()
    }

    /// How many mails somebody was sent whose subject says so.
    async fn mails(&self, to: &User, about: &str) -> usize {
        let mails = self.net.coordinator.get(&format!("{}/mails?limit=100", self.net.path)).await.expect(200);
        let of = |mail: &&Value| mail["to"] == to.email && text(mail, "subject").contains(about);
        mails["items"].as_array().unwrap().iter().filter(of).count()
    }

    /// Subject and text of the latest mail to somebody whose subject says so, with days and ids left out.
    async fn mail(&self, to: &User, about: &str) -> String {
        let mails = self.net.coordinator.get(&format!("{}/mails?limit=100", self.net.path)).await.expect(200);
        let mails = mails["items"].as_array().unwrap();
        let of = |mail: &&Value| mail["to"] == to.email && text(mail, "subject").contains(about);
        let mail = mails.iter().find(of).unwrap_or_else(|| panic!("no mail about {about} to {}: {mails:?}", to.email));
        format!("{}\n\n{}", text(mail, "subject"), text(mail, "text"))
    }
}

/// Days, times and ids differ from run to run.
fn settings() -> insta::Settings {
    let mut settings = insta::Settings::clone_current();
    settings.add_filter(r"(Mon|Tue|Wed|Thu|Fri|Sat|Sun) \d+ [A-Z][a-z]{2}(, \d\d:\d\d)?", "[day]");
    settings.add_filter(r"[0-9a-f]{8}-[0-9a-f-]{27}", "[id]");
    settings
}
