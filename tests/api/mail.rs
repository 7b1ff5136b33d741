//! Mail over a real SMTP conversation on loopback (RFC 5321): sent, tried again, parked, never lost silently.

use std::sync::{Arc, Mutex};

use chrono::{TimeDelta, Utc};
use serde_json::json;
use tokio::io::{AsyncBufReadExt, AsyncWriteExt, BufReader};
use tokio::net::{TcpListener, TcpStream};
use turfring::config::{MailTo, Secret};
use turfring::jobs;

use crate::harness::{App, Net, with_app_configured};

/// A mail server that keeps what it is given, or turns everyone away.
#[derive(Clone, Default)]
struct MailServer {
    taken: Arc<Mutex<Vec<String>>>,
    turned_away: Arc<Mutex<usize>>,
    refuses: Arc<Mutex<bool>>,
}

impl MailServer {
    /// Listens on a free port of loopback.
    fn start(&self) -> String {
        let listener = std::net::TcpListener::bind("127.0.0.1:0").unwrap();
        listener.set_nonblocking(true).unwrap();
        let address = listener.local_addr().unwrap();
        let server = self.clone();
        // A runtime of its own: it must answer before the test's runtime exists and until it is gone.
        std::thread::spawn(move || {
            let runtime = tokio::runtime::Builder::new_current_thread().enable_all().build().unwrap();
            runtime.block_on(async {
                let listener = TcpListener::from_std(listener).unwrap();
                while let Ok((stream, _)) = listener.accept().await {
                    let server = server.clone();
                    tokio::spawn(async move { server.converse(stream).await });
                }
            });
        });
        format!("smtp://{address}")
    }

    async fn converse(&self, stream: TcpStream) {
        let (read, mut write) = stream.into_split();
        let mut lines = BufReader::new(read).lines();
        write.write_all(b"220 mail.test ESMTP\r\n").await.unwrap();
        while let Ok(Some(line)) = lines.next_line().await {
            let verb = line.split_whitespace().next().unwrap_or_default().to_uppercase();
            let answer = match verb.as_str() {
                "EHLO" => "250-mail.test\r\n250 8BITMIME\r\n",
                "RCPT" if *self.refuses.lock().unwrap() => {
                    *self.turned_away.lock().unwrap() += 1;
                    "451 4.3.0 Mailbox busy, try again later\r\n"
                }
                "DATA" => {
                    write.write_all(b"354 Go ahead\r\n").await.unwrap();
                    let mut mail = String::new();
                    while let Ok(Some(line)) = lines.next_line().await {
                        if line == "." {
                            break;
                        }
                        mail.push_str(line.strip_prefix('.').unwrap_or(&line));
                        mail.push('\n');
                    }
                    self.taken.lock().unwrap().push(mail);
                    "250 2.0.0 Taken\r\n"
                }
                "QUIT" => {
                    write.write_all(b"221 Bye\r\n").await.ok();
                    return;
                }
                _ => "250 OK\r\n",
            };
            write.write_all(answer.as_bytes()).await.unwrap();
        }
    }
}

fn with_mail_server(test: impl AsyncFnOnce(App, MailServer)) {
    let server = MailServer::default();
    let url = server.start();
    with_app_configured(|config| config.mail_to = MailTo::Smtp(Secret::new(url)), async |app| test(app, server).await);
}

async fn invite(net: &Net) {
    let body = json!({"email": "new@north.test", "name": "Zoë Bramblethwaite", "role": "coordinator", "club_id": null});
    net.coordinator.post(&format!("{}/invitations", net.path), body).await.expect(201);
}

#[test]
fn an_invitation_goes_over_smtp_once() {
    with_mail_server(async |app, server| {
        let net = app.network("North").await;
        invite(&net).await;
        assert_eq!(app.run_jobs().await, 1);
        assert_eq!(app.run_jobs().await, 0);
        let taken = server.taken.lock().unwrap().clone();
        assert_eq!(taken.len(), 1);
        assert!(taken[0].contains("To: new@north.test"), "{}", taken[0]);
        assert!(taken[0].contains("Subject: North invites you as coordinator"), "{}", taken[0]);
        let mails = net.coordinator.get(&format!("{}/mails", net.path)).await.expect(200);
        assert_eq!((mails["items"][0]["state"].as_str(), mails["items"][0]["text"].as_str()), (Some("sent"), None));
    });
}

#[test]
fn a_mail_that_is_turned_away_is_tried_again_then_parked_and_shown() {
    with_mail_server(async |app, server| {
        let net = app.network("North").await;
        *server.refuses.lock().unwrap() = true;
        invite(&net).await;
        let page = format!("{}/mails", net.path);
        let mut now = Utc::now();
        for attempt in 1..=10 {
            assert_eq!(jobs::run_due(&app.service, now).await.unwrap(), 1, "attempt {attempt}");
            assert_eq!(jobs::run_due(&app.service, now).await.unwrap(), 0, "not again at once");
            now += TimeDelta::hours(12);
        }
        assert_eq!(*server.turned_away.lock().unwrap(), 10);
        let mails = net.coordinator.get(&page).await.expect(200);
        assert_eq!(mails["items"][0]["state"], "parked");
        assert!(mails["items"][0]["last_error"].as_str().unwrap().contains("Mailbox busy"), "{mails}");
    });
}

#[test]
fn a_mail_turned_away_once_arrives_on_the_next_try() {
    with_mail_server(async |app, server| {
        let net = app.network("North").await;
        *server.refuses.lock().unwrap() = true;
        invite(&net).await;
        app.run_jobs().await;
        *server.refuses.lock().unwrap() = false;
        jobs::run_due(&app.service, Utc::now() + TimeDelta::hours(1)).await.unwrap();
        assert_eq!(server.taken.lock().unwrap().len(), 1);
    });
}

#[test]
fn a_refused_request_queues_no_mail() {
    with_mail_server(async |app, server| {
        let net = app.network("North").await;
        let body = json!({"email": "not an address", "name": "Nobody", "role": "coordinator", "club_id": null});
        let reply = net.coordinator.post(&format!("{}/invitations", net.path), body).await;
        reply.expect_problem(422, "invalid");
        app.run_jobs().await;
        assert!(server.taken.lock().unwrap().is_empty());
    });
}

#[test]
fn two_workers_send_each_mail_once() {
    with_mail_server(async |app, server| {
        let net = app.network("North").await;
        for _ in 0..10 {
            invite(&net).await;
        }
        let now = Utc::now();
        let (first, second) = tokio::join!(jobs::run_due(&app.service, now), jobs::run_due(&app.service, now));
        assert_eq!(first.unwrap() + second.unwrap(), 10);
        assert_eq!(server.taken.lock().unwrap().len(), 10);
    });
}

#[test]
fn only_the_coordinator_sees_the_mail_of_the_own_network() {
    with_mail_server(async |app, _| {
        let (north, south) = (app.network("North").await, app.network("South").await);
        invite(&north).await;
        app.run_jobs().await;
        let south_page = format!("{}/mails", south.path);
        assert!(south.coordinator.get(&south_page).await.expect(200)["items"].as_array().unwrap().is_empty());
        south.coordinator.get(&format!("{}/mails", north.path)).await.expect_problem(404, "not_found");
        app.stranger().get(&south_page).await.expect_problem(401, "not_signed_in");
    });
}
