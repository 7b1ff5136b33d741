//! An acknowledged write survives a killed process and a killed database: the real binary on a PostgreSQL with real
//! fsync, both ended with SIGKILL in the middle of writing.
//!
//! It stands here and not in `tests/api` because it needs the program itself, not its library.

#![expect(clippy::unwrap_used, clippy::indexing_slicing, reason = "a test may stop where it stands")]

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};
use std::process::Command as Program;
use std::sync::{Arc, Mutex};
use std::time::Duration;

use chrono::Utc;
use serde_json::{Value, json};
use tokio::process::{Child, Command};
use turfring::access::{Offer, Role, invite};
use turfring::config::Secret;
use turfring::database::{self, Database, Scope};
use turfring::ids::NetworkId;
use turfring::network;
use turfring::private_postgres::{Durability, PrivatePostgres};
use uuid::Uuid;

const SECRET: &str = "a signing secret for tests, long enough";

struct Stage {
    folder: PathBuf,
    url: String,
    port: u16,
    network: NetworkId,
    token: String,
    client: reqwest::Client,
}

fn serve(database_url: &str, port: u16, folder: &Path) -> Child {
    Command::new(env!("CARGO_BIN_EXE_turfring"))
        .arg("serve")
        .env("DATABASE_URL", database_url)
        .env("TURFRING_LISTEN", format!("127.0.0.1:{port}"))
        .env("TURFRING_SIGNING_SECRET", SECRET)
        .env("TURFRING_MAIL_FOLDER", folder.join("mail"))
        .env("TURFRING_FILES", folder.join("files"))
        .env("RUST_LOG", "off")
        .kill_on_drop(true)
        .spawn()
        .unwrap()
}

impl Stage {
    fn path(&self, path: &str) -> String {
        format!("http://127.0.0.1:{}/api/v1{path}", self.port)
    }

    async fn wait_until_up(&self) {
        for _ in 0..200 {
            if self.client.get(self.path("/health")).send().await.is_ok() {
                return;
            }
            tokio::time::sleep(Duration::from_millis(50)).await;
        }
        panic!("the server did not come up");
    }

    /// Writes as fast as it can from several sides until the writes fail; returns what was acknowledged.
    async fn write_until_killed(&self, round: &str, kill: impl AsyncFnOnce()) -> BTreeSet<String> {
        let acknowledged = Arc::new(Mutex::new(BTreeSet::new()));
        let writers: Vec<_> = (0..4)
            .map(|writer| {
                let (client, token) = (self.client.clone(), self.token.clone());
                let path = self.path(&format!("/networks/{}/invitations", self.network));
                let (acknowledged, round) = (acknowledged.clone(), round.to_owned());
                tokio::spawn(async move {
                    for count in 0.. {
                        let email = format!("{round}-{writer}-{count}@north.test");
                        let body = json!({"email": email, "name": "New", "role": "coordinator", "club_id": null});
                        let key = Uuid::now_v7().to_string();
                        let sent = client
                            .post(&path)
                            .bearer_auth(&token)
                            .header("Idempotency-Key", key)
                            .json(&body)
                            .send()
                            .await;
                        match sent {
                            Ok(reply) if reply.status() == 201 => acknowledged.lock().unwrap().insert(email),
                            _ => return,
                        };
                    }
                })
            })
            .collect();
        tokio::time::sleep(Duration::from_millis(700)).await;
        kill().await;
        for writer in writers {
            writer.await.unwrap();
        }
        let acknowledged = acknowledged.lock().unwrap().clone();
        assert!(acknowledged.len() > 4, "the kill came before anything was written");
        acknowledged
    }

    async fn kept(&self) -> Vec<String> {
        let (mut kept, mut cursor) = (Vec::new(), String::new());
        loop {
            let path = self.path(&format!("/networks/{}/invitations?limit=200{cursor}", self.network));
            let page: Value =
                self.client.get(path).bearer_auth(&self.token).send().await.unwrap().json().await.unwrap();
            let items = page["items"].as_array().unwrap();
            kept.extend(items.iter().map(|item| item["email"].as_str().unwrap().to_owned()));
            match page["next_cursor"].as_str() {
                Some(next) => cursor = format!("&cursor={next}"),
                None => return kept,
            }
        }
    }

    async fn expect_kept(&self, acknowledged: &BTreeSet<String>) {
        let kept = self.kept().await;
        let once: BTreeSet<String> = kept.iter().cloned().collect();
        assert_eq!(once.len(), kept.len(), "something was written twice");
        let lost: Vec<_> = acknowledged.difference(&once).collect();
        assert!(lost.is_empty(), "acknowledged and lost: {lost:?}");
    }
}

async fn set_the_stage(postgres: &PrivatePostgres, folder: PathBuf) -> (Stage, Child) {
    postgres.create_database("turfring", None).await.unwrap();
    let url = postgres.url("turfring");
    database::migrate(&Secret::new(&url)).await.unwrap();
    let db = Database::new(&Secret::new(&url), 1).unwrap();
    let network = NetworkId::new();
    let mut tx = db.begin(Scope::Network(network)).await.unwrap();
    network::found(&mut tx, network, "North", "Europe/London").await.unwrap();
    let email = "coordinator@north.test".to_owned();
    let offer = Offer { email, name: "First".into(), role: Role::Coordinator, club_id: None, invited_by: None };
    let (_, link) = invite(&mut tx, network, "", offer, Utc::now()).await.unwrap();
    tx.commit().await.unwrap();
    let port = std::net::TcpListener::bind("127.0.0.1:0").unwrap().local_addr().unwrap().port();
    let server = serve(&url, port, &folder);
    let mut stage = Stage { folder, url, port, network, token: String::new(), client: reqwest::Client::new() };
    stage.wait_until_up().await;
    let accept = json!({"name": "First", "password": "a password long enough"});
    let path = stage.path(&format!("/invitations/{}/acceptance", link.rsplit('/').next().unwrap()));
    let reply = stage.client.post(path).json(&accept).send().await.unwrap();
    assert_eq!(reply.status(), 200);
    let body = json!({"email": "coordinator@north.test", "password": "a password long enough", "as_bearer": true});
    let reply = stage.client.post(stage.path("/session")).json(&body).send().await.unwrap();
    let signed_in: Value = reply.json().await.unwrap();
    signed_in["tokens"]["access_token"].as_str().unwrap().clone_into(&mut stage.token);
    (stage, server)
}

#[tokio::test(flavor = "multi_thread", worker_threads = 4)]
async fn acknowledged_writes_survive_killed_processes() {
    let folder = std::env::temp_dir().join(format!("turfring-durability-{}", Uuid::now_v7().simple()));
    let data = folder.join("postgres");
    let postgres = PrivatePostgres::start(&data, Durability::Kept, None).await.unwrap();
    let (stage, mut server) = set_the_stage(&postgres, folder.clone()).await;

    let first = stage.write_until_killed("server", async || server.kill().await.unwrap()).await;
    let mut server = serve(&stage.url, stage.port, &stage.folder);
    stage.wait_until_up().await;
    stage.expect_kept(&first).await;

    let pid_file = std::fs::read_to_string(data.join("data/postmaster.pid")).unwrap();
    let pid = pid_file.lines().next().unwrap().to_owned();
    let second = stage
        .write_until_killed("database", async || {
            assert!(Program::new("kill").args(["-9", &pid]).status().unwrap().success());
        })
        .await;
    server.kill().await.unwrap();
    postgres.stop().await.ok();
    let postgres = PrivatePostgres::start(&data, Durability::Kept, None).await.unwrap();
    let _server = serve(&stage.url, stage.port, &stage.folder);
    stage.wait_until_up().await;
    stage.expect_kept(&first).await;
    stage.expect_kept(&second).await;

    postgres.stop().await.unwrap();
    PrivatePostgres::discard(&data).await.unwrap();
    std::fs::remove_dir_all(folder).ok();
}
