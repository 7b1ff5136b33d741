//! Sign-in, sessions, resets, invitations.

use serde_json::json;

use crate::direct::db_sql;
use crate::harness::{App, PASSWORD, PUBLIC_URL, User, with_app};

async fn sign_in(app: &App, email: &str, password: &str) -> (User, crate::harness::Reply) {
    let user = app.stranger();
    let reply = user.post("/session", json!({"email": email, "password": password})).await;
    (user, reply)
}

#[test]
fn a_person_signs_in_and_is_told_who_they_are() {
    with_app(async |app| {
        let net = app.network("North").await;
        let (user, reply) = sign_in(&app, &net.coordinator.email.to_uppercase(), PASSWORD).await;
        let body = reply.expect(200);
        assert_eq!(body["me"]["networks"][0]["roles"][0]["role"], "coordinator");
        assert!(body.get("tokens").is_none(), "browsers get cookies, not tokens");
        assert_eq!(user.get("/me").await.expect(200)["email"], net.coordinator.email);
    });
}

#[test]
fn the_answer_does_not_tell_whether_an_address_is_known() {
    with_app(async |app| {
        let net = app.network("North").await;
        let (_, wrong) = sign_in(&app, &net.coordinator.email, "a wrong password entirely").await;
        let (_, unknown) = sign_in(&app, "nobody@nowhere.test", "a wrong password entirely").await;
        let (mut wrong, mut unknown) =
            (wrong.expect_problem(401, "wrong_credentials"), unknown.expect_problem(401, "wrong_credentials"));
        wrong["request_id"] = json!(null);
        unknown["request_id"] = json!(null);
        assert_eq!(wrong, unknown);
        let known = app.stranger().post("/password-resets", json!({"email": net.coordinator.email})).await;
        let unknown = app.stranger().post("/password-resets", json!({"email": "nobody@nowhere.test"})).await;
        assert_eq!(known.expect(202), unknown.expect(202));
        app.run_jobs().await;
        assert_eq!(app.mails().len(), 1);
    });
}

#[test]
fn guessing_is_slowed_down_for_known_and_unknown_addresses_alike() {
    with_app(async |app| {
        let net = app.network("North").await;
        for email in [net.coordinator.email.as_str(), "nobody@nowhere.test"] {
            for _ in 0..10 {
                sign_in(&app, email, "a wrong password entirely").await.1.expect_problem(401, "wrong_credentials");
            }
            sign_in(&app, email, PASSWORD).await.1.expect_problem(429, "slow_down");
        }
    });
}

#[test]
fn a_refresh_token_works_once_and_a_second_use_ends_the_session() {
    with_app(async |app| {
        let net = app.network("North").await;
        let body = json!({"email": net.coordinator.email, "password": PASSWORD, "as_bearer": true});
        let first = app.stranger().post("/session", body).await.expect(200);
        let refresh = first["tokens"]["refresh_token"].as_str().unwrap();
        let second = app.stranger().post("/session/refresh", json!({"refresh_token": refresh})).await.expect(200);
        let access = second["tokens"]["access_token"].as_str().unwrap();
        let bearer = format!("Bearer {access}");
        app.stranger().send("GET", "/me", None, &[("Authorization", &bearer)]).await.expect(200);
        // A second tab that woke at the same moment is let in; a minute later it is a thief, or the owner after one.
        app.stranger().post("/session/refresh", json!({"refresh_token": refresh})).await.expect(200);
        db_sql(&app, "UPDATE refresh_tokens SET used_at = used_at - interval '1 minute'").await;
        app.stranger()
            .post("/session/refresh", json!({"refresh_token": refresh}))
            .await
            .expect_problem(401, "session_ended");
        let next = second["tokens"]["refresh_token"].as_str().unwrap();
        app.stranger()
            .post("/session/refresh", json!({"refresh_token": next}))
            .await
            .expect_problem(401, "session_ended");
        app.stranger()
            .send("GET", "/me", None, &[("Authorization", &bearer)])
            .await
            .expect_problem(401, "not_signed_in");
    });
}

#[test]
fn signing_out_everywhere_ends_every_session_at_once() {
    with_app(async |app| {
        let net = app.network("North").await;
        let (phone, _) = sign_in(&app, &net.coordinator.email, PASSWORD).await;
        let (desk, _) = sign_in(&app, &net.coordinator.email, PASSWORD).await;
        let origin = [("Origin", PUBLIC_URL)];
        phone.send("DELETE", "/sessions", None, &origin).await.expect(204);
        desk.get("/me").await.expect_problem(401, "not_signed_in");
        desk.send("POST", "/session/refresh", Some(json!({})), &origin).await.expect_problem(401, "session_ended");
    });
}

#[test]
fn a_write_from_another_site_is_refused() {
    with_app(async |app| {
        let net = app.network("North").await;
        let (browser, _) = sign_in(&app, &net.coordinator.email, PASSWORD).await;
        browser
            .send("DELETE", "/sessions", None, &[("Origin", "http://evil.test")])
            .await
            .expect_problem(403, "foreign_origin");
        browser.send("DELETE", "/sessions", None, &[]).await.expect_problem(403, "foreign_origin");
        browser.get("/me").await.expect(200);
    });
}

#[test]
fn a_reset_link_sets_a_password_once_and_ends_the_sessions() {
    with_app(async |app| {
        let net = app.network("North").await;
        let email = &net.coordinator.email;
        let (old, _) = sign_in(&app, email, PASSWORD).await;
        app.stranger().post("/password-resets", json!({"email": email})).await.expect(202);
        app.run_jobs().await;
        let path = format!("/password-resets/{}", app.mailed_secret("reset"));
        app.stranger().put_plain(&path, json!({"password": "short"})).await.expect_problem(422, "password_too_short");
        app.stranger().put_plain(&path, json!({"password": "a new and longer password"})).await.expect(204);
        app.stranger()
            .put_plain(&path, json!({"password": "a second new password"}))
            .await
            .expect_problem(422, "link_spent");
        old.get("/me").await.expect_problem(401, "not_signed_in");
        sign_in(&app, email, "a new and longer password").await.1.expect(200);
    });
}

#[test]
fn an_invitation_is_mailed_accepted_once_and_makes_a_member() {
    with_app(async |app| {
        let net = app.network("North").await;
        let path = format!("{}/invitations", net.path);
        let body = json!({"email": "new@north.test", "name": "New Person", "role": "coordinator", "club_id": null});
        let made = net.coordinator.post(&path, body).await.expect(201);
        assert_eq!(made["state"], "waiting");
        app.run_jobs().await;
        let token = app.mailed_secret("invitation");
        let offer = app.stranger().get(&format!("/invitations/{token}")).await.expect(200);
        assert_eq!((offer["has_account"].as_bool(), offer["role"].as_str()), (Some(false), Some("coordinator")));
        let newcomer = app.stranger();
        let accept = json!({"name": "New Person", "password": "a password long enough"});
        newcomer.post(&format!("/invitations/{token}/acceptance"), accept.clone()).await.expect(200);
        assert_eq!(newcomer.get(&path).await.expect(200)["items"][0]["state"], "accepted");
        app.stranger()
            .post(&format!("/invitations/{token}/acceptance"), accept)
            .await
            .expect_problem(422, "link_spent");
    });
}

#[test]
fn an_invitation_of_an_account_needs_its_own_password() {
    with_app(async |app| {
        let (north, south) = (app.network("North").await, app.network("South").await);
        let body = json!({"email": south.coordinator.email, "name": "Both", "role": "coordinator", "club_id": null});
        north.coordinator.post(&format!("{}/invitations", north.path), body).await.expect(201);
        app.run_jobs().await;
        let path = format!("/invitations/{}/acceptance", app.mailed_secret("invitation"));
        let wrong = json!({"name": "Thief", "password": "not the right password"});
        app.stranger().post(&path, wrong).await.expect_problem(401, "wrong_credentials");
        let both = app.stranger().post(&path, json!({"name": "Both", "password": PASSWORD})).await.expect(200);
        assert_eq!(both["me"]["networks"].as_array().unwrap().len(), 2);
    });
}

#[test]
fn strangers_and_other_networks_learn_nothing_of_invitations() {
    with_app(async |app| {
        let (north, south) = (app.network("North").await, app.network("South").await);
        let path = format!("{}/invitations", north.path);
        app.stranger().get(&path).await.expect_problem(401, "not_signed_in");
        south.coordinator.get(&path).await.expect_problem(404, "not_found");
        let nonsense = format!("/invitations/{}.guess", north.id.0.simple());
        app.stranger().get(&nonsense).await.expect_problem(422, "link_spent");
    });
}

#[test]
fn the_same_key_sends_one_invitation_and_another_body_is_refused() {
    with_app(async |app| {
        let net = app.network("North").await;
        let path = format!("{}/invitations", net.path);
        let key = [("Idempotency-Key", "one")];
        let body = json!({"email": "new@north.test", "name": "New", "role": "coordinator", "club_id": null});
        let first = net.coordinator.send("POST", &path, Some(body.clone()), &key).await.expect(201);
        let again = net.coordinator.send("POST", &path, Some(body), &key).await.expect(201);
        assert_eq!(first, again);
        let other = json!({"email": "other@north.test", "name": "New", "role": "coordinator", "club_id": null});
        net.coordinator
            .send("POST", &path, Some(other.clone()), &key)
            .await
            .expect_problem(409, "idempotency_key_reused");
        net.coordinator.send("POST", &path, Some(other), &[]).await.expect_problem(400, "idempotency_key_missing");
        assert_eq!(app.run_jobs().await, 1);
    });
}
