//! `with_app(async |app| { … })`: the production server on a free port with a database of its own, spoken to over
//! HTTP, torn down even on panic, failed if a job is left over.
//!
//! One throw-away PostgreSQL in memory serves the whole run; each test clones a migrated template, about 26 ms.

use std::panic::{AssertUnwindSafe, resume_unwind};
use std::sync::LazyLock;

use chrono::Utc;
use futures_util::FutureExt;
use serde_json::{Value, json};
use tokio::runtime::Runtime;
use turfring::access::{Role, find_or_make_person, make_member, tokens};
use turfring::config::{Config, MailTo, Secret};
use turfring::database::{self, Scope};
use turfring::ids::{ClubId, NetworkId, PersonId};
use turfring::private_postgres::PrivatePostgres;
use turfring::service::Service;
use turfring::{jobs, network, server};
use uuid::Uuid;

/// The password every test person has.
pub const PASSWORD: &str = "heavy ground in february";
/// The address tests send as their origin.
pub const PUBLIC_URL: &str = "http://turfring.test";
const SECRET: &str = "a signing secret for tests, long enough";

struct Cluster {
    postgres: PrivatePostgres,
    /// PostgreSQL is a child of this runtime and lives as long as it.
    _runtime: Runtime,
    password_hash: String,
}

static CLUSTER: LazyLock<Cluster> = LazyLock::new(|| {
    let runtime = Runtime::new().unwrap();
    let (postgres, password_hash) = runtime.block_on(async {
        let postgres = PrivatePostgres::start_throw_away(None).await.unwrap();
        postgres.create_database("template", None).await.unwrap();
        database::migrate(&Secret::new(postgres.url("template"))).await.unwrap();
        let hash = turfring::access::Password::parse(PASSWORD).unwrap().hash().await.unwrap();
        (postgres, hash)
    });
    Cluster { postgres, _runtime: runtime, password_hash }
});

/// The running application of one test.
pub struct App {
    /// The service behind the server, for what no endpoint tells.
    pub service: Service,
    /// Where it answers.
    pub url: String,
    /// As the owner of the tables sees it, past row-level security.
    pub owner_url: Secret,
    client: reqwest::Client,
}

/// Runs a test against a fresh application.
pub fn with_app(test: impl AsyncFnOnce(App)) {
    with_app_configured(|_| {}, test);
}

/// The same, with the configuration changed first.
pub fn with_app_configured(change: impl FnOnce(&mut Config), test: impl AsyncFnOnce(App)) {
    let cluster = &*CLUSTER;
    let name = format!("test_{}", Uuid::now_v7().simple());
    let runtime = Runtime::new().unwrap();
    runtime.block_on(async {
        cluster.postgres.create_database(&name, Some("template")).await.unwrap();
        let mail = std::env::temp_dir().join(&name);
        let files = std::env::temp_dir().join(format!("{name}_files"));
        let mut config = Config {
            database_url: Secret::new(cluster.postgres.url(&name)),
            listen: "127.0.0.1:0".to_owned(),
            public_url: PUBLIC_URL.to_owned(),
            signing_secret: Secret::new(SECRET),
            mail_from: "Turfring <turfring@turfring.test>".to_owned(),
            mail_to: MailTo::Folder(mail.clone()),
            files: files.clone(),
            web: None,
            connections: 8,
            behind_proxy: false,
        };
        change(&mut config);
        let owner_url = config.database_url.clone();
        let service = Service::new(config).unwrap();
        let bound = server::bind(&service, 2).unwrap();
        let handle = bound.server.handle();
        let serving = tokio::spawn(bound.server);
        let app = App {
            service: service.clone(),
            url: format!("http://127.0.0.1:{}", bound.port),
            owner_url,
            client: reqwest::Client::builder().cookie_store(true).build().unwrap(),
        };
        let outcome = AssertUnwindSafe(async {
            test(app).await;
            let mut tx = service.db.begin(Scope::Queue).await.unwrap();
            let left = jobs::waiting_count(&mut tx, Utc::now()).await.unwrap();
            assert_eq!(left, 0, "jobs are left over: call app.run_jobs()");
        })
        .catch_unwind()
        .await;
        handle.stop(false).await;
        serving.await.unwrap().unwrap();
        cluster.postgres.drop_database(&name).await.unwrap();
        std::fs::remove_dir_all(mail).ok();
        std::fs::remove_dir_all(files).ok();
        if let Err(panic) = outcome {
            resume_unwind(panic);
        }
    });
}

/// A request's answer.
#[derive(Debug)]
pub struct Reply {
    /// HTTP status.
    pub status: u16,
    /// `ETag`, if any.
    pub etag: Option<String>,
    /// `Content-Type`.
    pub content_type: String,
    /// JSON body; null where there is none.
    pub body: Value,
    /// The body as text.
    pub text: String,
    /// `Content-Disposition`.
    pub disposition: String,
    /// `X-Content-Type-Options`.
    pub sniffing: String,
    /// The body as it came.
    pub bytes: Vec<u8>,
}

impl Reply {
    async fn read(response: reqwest::Response) -> Self {
        let header = |name: &str| response.headers().get(name).map(|value| value.to_str().unwrap().to_owned());
        let (status, etag) = (response.status().as_u16(), header("etag"));
        let content_type = header("content-type").unwrap_or_default();
        let disposition = header("content-disposition").unwrap_or_default();
        let sniffing = header("x-content-type-options").unwrap_or_default();
        let bytes = response.bytes().await.unwrap().to_vec();
        let text = String::from_utf8_lossy(&bytes).into_owned();
        let body = serde_json::from_str(&text).unwrap_or(Value::Null);
        Self { status, etag, content_type, disposition, sniffing, body, text, bytes }
    }

    /// The body, after checking the status.
    #[track_caller]
    pub fn expect(self, status: u16) -> Value {
        assert_eq!(self.status, status, "{}", self.text);
        self.body
    }

    /// The body, after checking that the answer is this problem (RFC 9457).
    #[track_caller]
    pub fn expect_problem(self, status: u16, code: &str) -> Value {
        assert_eq!(self.content_type, "application/problem+json", "{}", self.text);
        assert_eq!(self.body["code"], code, "{}", self.text);
        assert_eq!(self.body["status"], status, "{}", self.text);
        self.expect(status)
    }
}

/// Somebody who speaks to the API: a signed-in person, or a stranger without token.
#[derive(Clone)]
pub struct User {
    client: reqwest::Client,
    url: String,
    token: Option<String>,
    /// Who; nil for a stranger.
    pub person_id: PersonId,
    /// Their address.
    pub email: String,
}

impl User {
    /// Sends a request as it is.
    pub async fn send(&self, method: &str, path: &str, body: Option<Value>, headers: &[(&str, &str)]) -> Reply {
        let url = if path.starts_with("/calendars") {
            format!("{}{path}", self.url)
        } else {
            format!("{}/api/v1{path}", self.url)
        };
        let mut request = self.client.request(method.parse().unwrap(), url);
        if let Some(token) = &self.token {
            request = request.bearer_auth(token);
        }
        for (name, value) in headers {
            request = request.header(*name, *value);
        }
        if let Some(body) = body {
            request = request.json(&body);
        }
        Reply::read(request.send().await.unwrap()).await
    }

    /// GET.
    pub async fn get(&self, path: &str) -> Reply {
        self.send("GET", path, None, &[]).await
    }

    /// POST with a new Idempotency-Key.
    pub async fn post(&self, path: &str, body: Value) -> Reply {
        self.send("POST", path, Some(body), &[("Idempotency-Key", &Uuid::now_v7().to_string())]).await
    }

    /// POST of a file as it is.
    pub async fn upload(&self, path: &str, bytes: Vec<u8>) -> Reply {
        let mut request = self.client.post(format!("{}/api/v1{path}", self.url)).body(bytes);
        if let Some(token) = &self.token {
            request = request.bearer_auth(token);
        }
        Reply::read(request.send().await.unwrap()).await
    }

    /// PUT with the version last seen.
    pub async fn put(&self, path: &str, version: i64, body: Value) -> Reply {
        self.send("PUT", path, Some(body), &[("If-Match", &format!("\"v{version}\""))]).await
    }

    /// PUT without a version.
    pub async fn put_plain(&self, path: &str, body: Value) -> Reply {
        self.send("PUT", path, Some(body), &[]).await
    }

    /// DELETE.
    pub async fn delete(&self, path: &str) -> Reply {
        self.send("DELETE", path, None, &[]).await
    }
}

/// A network and its coordinator.
pub struct Net {
    /// The network.
    pub id: NetworkId,
    /// Its coordinator.
    pub coordinator: User,
    /// `/networks/{id}`.
    pub path: String,
}

/// A club with one person of each role.
pub struct Club {
    /// The club.
    pub id: ClubId,
    /// Its grounds lead.
    pub lead: User,
    /// Its treasurer.
    pub treasurer: User,
    /// A volunteer.
    pub volunteer: User,
}

impl App {
    /// Somebody without an account. Each stranger has cookies of their own.
    pub fn stranger(&self) -> User {
        let client = reqwest::Client::builder().cookie_store(true).build().unwrap();
        let url = self.url.clone();
        User { client, url, token: None, person_id: PersonId(Uuid::nil()), email: String::new() }
    }

    /// A signed-in person with an account made directly, in no network yet.
    pub async fn db_person(&self, email: &str) -> User {
        let mut tx = self.service.db.begin(Scope::Access).await.unwrap();
        let name = email.split('@').next().unwrap().to_owned();
        let person_id = find_or_make_person(&mut tx, email, &name, &CLUSTER.password_hash).await.unwrap();
        tx.commit().await.unwrap();
        let token = tokens::sign(&Secret::new(SECRET), person_id, Uuid::now_v7(), Utc::now()).unwrap();
        let (client, url) = (self.client.clone(), self.url.clone());
        User { client, url, token: Some(token), person_id, email: email.to_owned() }
    }

    /// A person with a role, made directly.
    pub async fn db_member(&self, network: NetworkId, email: &str, role: Role, club: Option<ClubId>) -> User {
        let user = self.db_person(email).await;
        let mut tx = self.service.db.begin(Scope::Network(network)).await.unwrap();
        make_member(&mut tx, network, user.person_id, role, club).await.unwrap();
        tx.commit().await.unwrap();
        user
    }

    /// A network with a coordinator.
    pub async fn network(&self, name: &str) -> Net {
        let id = NetworkId::new();
        let mut tx = self.service.db.begin(Scope::Network(id)).await.unwrap();
        network::found(&mut tx, id, name, "Europe/London").await.unwrap();
        tx.commit().await.unwrap();
        let email = format!("coordinator@{}.test", name.to_lowercase().replace(' ', "-"));
        let coordinator = self.db_member(id, &email, Role::Coordinator, None).await;
        Net { id, coordinator, path: format!("/networks/{id}") }
    }

    /// A club with its people.
    pub async fn club(&self, net: &Net, name: &str) -> Club {
        self.club_at(net, name, &format!("{}.test", name.to_lowercase().replace(' ', "-"))).await
    }

    /// A club whose people have addresses in a domain, whatever the club's name.
    pub async fn club_at(&self, net: &Net, name: &str, domain: &str) -> Club {
        let made =
            net.coordinator.post(&format!("{}/clubs", net.path), json!({"name": name, "sharing": "named"})).await;
        let id = ClubId(made.expect(201)["club_id"].as_str().unwrap().parse().unwrap());
        let member = async |who: &str, role| self.db_member(net.id, &format!("{who}@{domain}"), role, Some(id)).await;
        Club {
            id,
            lead: member("lead", Role::GroundsLead).await,
            treasurer: member("treasurer", Role::Treasurer).await,
            volunteer: member("volunteer", Role::Volunteer).await,
        }
    }

    /// A ground of a club and a pitch of 110 m × 70 m on it, made through the API. Returns the pitch id.
    pub async fn pitch(&self, net: &Net, club: &Club, name: &str) -> String {
        self.pitch_at(net, club, name, (53.2, -0.9)).await
    }

    /// The same at a position, latitude and longitude in degrees.
    pub async fn pitch_at(&self, net: &Net, club: &Club, name: &str, (latitude, longitude): (f64, f64)) -> String {
        let ground = json!({
            "name": format!("{name} ground"), "latitude_deg": latitude, "longitude_deg": longitude, "soil": "clay", "drainage": "pipe",
            "lorry_access": "rigid", "hard_standing": true, "tractor_kw": 30.0,
        });
        let ground = club.lead.post(&format!("{}/clubs/{}/grounds", net.path, club.id), ground).await.expect(201);
        let path = format!("{}/grounds/{}/pitches", net.path, ground["ground_id"].as_str().unwrap());
        let pitch = json!({"name": name, "sport": "rugby_union", "length_m": 110.0, "width_m": 70.0});
        club.lead.post(&path, pitch).await.expect(201)["pitch_id"].as_str().unwrap().to_owned()
    }

    /// Runs every job that is due, and what those cause.
    pub async fn run_jobs(&self) -> usize {
        jobs::run_due(&self.service, Utc::now()).await.unwrap()
    }

    /// The mails sent so far by this app's file transport, parsed no further than needed: whole texts, oldest first.
    pub fn mails(&self) -> Vec<String> {
        let MailTo::Folder(folder) = &self.service.config.mail_to else { panic!("mail goes to SMTP") };
        let Ok(entries) = std::fs::read_dir(folder) else { return Vec::new() };
        let mut files: Vec<_> = entries.map(|entry| entry.unwrap()).collect();
        files.sort_by_key(|file| file.metadata().unwrap().modified().unwrap());
        files.iter().map(|file| unfold(&std::fs::read_to_string(file.path()).unwrap())).collect()
    }

    /// The secret part of the last link `…/{kind}/{secret}` mailed.
    pub fn mailed_secret(&self, kind: &str) -> String {
        let mails = self.mails();
        let mail =
            mails.iter().rev().find(|mail| mail.contains(&format!("/{kind}/"))).expect("no such link was mailed");
        let start = mail.find(&format!("/{kind}/")).unwrap() + kind.len() + 2;
        mail[start..].chars().take_while(|c| c.is_ascii_alphanumeric() || "-_.".contains(*c)).collect()
    }
}

/// Undoes quoted-printable soft breaks and the few escapes our plain texts need (RFC 2045 §6.7).
fn unfold(mail: &str) -> String {
    mail.replace("=\r\n", "").replace("=3D", "=")
}
