//! Files: what is taken, who reads them, and that none is lost or left.

use chrono::{TimeDelta, Utc};
use serde_json::json;
use turfring::jobs;
use uuid::Uuid;

use crate::harness::{App, Net, Reply, User, with_app};
use crate::shed::add_aerator;

/// The smallest PDF that viewers open, after the example in ISO 32000-1 annex H.2.
pub const PDF: &[u8] =
    b"%PDF-1.4\n1 0 obj<</Type/Catalog/Pages 2 0 R>>endobj\n2 0 obj<</Type/Pages/Kids[3 0 R]/Count 1>>endobj\n\
    3 0 obj<</Type/Page/Parent 2 0 R/MediaBox[0 0 595 842]>>endobj\ntrailer<</Root 1 0 R>>\n%%EOF";

/// A grey PNG of 1 × 1 pixel.
pub const PNG: &[u8] = &[
    0x89, 0x50, 0x4E, 0x47, 0x0D, 0x0A, 0x1A, 0x0A, 0x00, 0x00, 0x00, 0x0D, 0x49, 0x48, 0x44, 0x52, 0x00, 0x00, 0x00,
    0x01, 0x00, 0x00, 0x00, 0x01, 0x08, 0x00, 0x00, 0x00, 0x00, 0x3A, 0x7E, 0x9B, 0x55, 0x00, 0x00, 0x00, 0x0A, 0x49,
    0x44, 0x41, 0x54, 0x78, 0x9C, 0x63, 0x68, 0x00, 0x00, 0x00, 0x82, 0x00, 0x81, 0x77, 0xCD, 0x72, 0xB6, 0x00, 0x00,
    0x00, 0x00, 0x49, 0x45, 0x4E, 0x44, 0xAE, 0x42, 0x60, 0x82,
];

/// Sends a file under an id.
pub async fn send_as(net: &Net, who: &User, id: Uuid, name: &str, bytes: &[u8]) -> Reply {
    let path = format!("{}/attachments?attachment_id={id}&file_name={name}", net.path);
    who.upload(&path, bytes.to_vec()).await
}

/// Sends a file and gives its id.
pub async fn sent(net: &Net, who: &User, name: &str, bytes: &[u8]) -> Uuid {
    let id = Uuid::now_v7();
    send_as(net, who, id, name, bytes).await.expect(201);
    id
}

/// How many objects there are.
fn objects(app: &App) -> usize {
    let networks = std::fs::read_dir(&app.service.config.files).unwrap();
    networks.flat_map(|network| std::fs::read_dir(network.unwrap().path()).unwrap()).count()
}

/// Runs what is due after some days.
async fn days_pass(app: &App, days: i64) {
    jobs::run_due(&app.service, Utc::now() + TimeDelta::days(days)).await.unwrap();
}

#[test]
fn a_file_is_kept_as_what_it_is_and_read_by_the_network_alone() {
    with_app(async |app| {
        let (net, elsewhere) = (app.network("North").await, app.network("South").await);
        let club = app.club(&net, "Tansyford RFC").await;
        let id = Uuid::now_v7();
        let pdf = send_as(&net, &club.volunteer, id, "aerator%20manual.pdf", PDF).await.expect(201);
        assert_eq!(
            pdf,
            json!({
                "attachment_id": id, "file_name": "aerator manual.pdf", "media_type": "application/pdf",
                "size_bytes": PDF.len(),
            })
        );
        let path = format!("{}/attachments/{id}", net.path);
        let read = club.treasurer.get(&path).await;
        assert_eq!((read.status, read.content_type.as_str(), read.bytes.as_slice()), (200, "application/pdf", PDF));
        assert_eq!(read.disposition, "attachment; filename*=UTF-8''aerator%20manual.pdf");
        let photo = sent(&net, &club.lead, "photo.png", PNG).await;
        let read = net.coordinator.get(&format!("{}/attachments/{photo}", net.path)).await;
        assert_eq!((read.status, read.content_type.as_str()), (200, "image/jpeg"));
        assert_eq!(&read.bytes[..3], b"\xff\xd8\xff", "a picture is made anew as JPEG");
        elsewhere.coordinator.get(&path).await.expect_problem(404, "not_found");
        let at_home = format!("{}/attachments/{id}", elsewhere.path);
        elsewhere.coordinator.get(&at_home).await.expect_problem(404, "not_found");
        app.stranger().get(&path).await.expect_problem(401, "not_signed_in");
        send_as(&net, &app.stranger(), id, "x.pdf", PDF).await.expect_problem(401, "not_signed_in");
        send_as(&net, &elsewhere.coordinator, id, "x.pdf", PDF).await.expect_problem(404, "not_found");
    });
}

#[test]
fn a_file_of_a_club_is_nothing_for_other_clubs() {
    with_app(async |app| {
        let net = app.network("North").await;
        let (club, other) = (app.club(&net, "Tansyford RFC").await, app.club(&net, "Marl End RFC").await);
        let id = Uuid::now_v7();
        let upload = format!("{}/attachments?attachment_id={id}&file_name=walk.png&club_id={}", net.path, club.id);
        other.lead.upload(&upload, PNG.to_vec()).await.expect_problem(422, "invalid");
        club.lead.upload(&upload, PNG.to_vec()).await.expect(201);
        let path = format!("{}/attachments/{id}", net.path);
        other.lead.get(&path).await.expect_problem(404, "not_found");
        for reader in [&club.volunteer, &net.coordinator] {
            assert_eq!(reader.get(&path).await.status, 200);
        }
    });
}

#[test]
fn a_name_is_only_a_name_and_an_id_only_an_id() {
    with_app(async |app| {
        let net = app.network("North").await;
        let lead = app.club(&net, "Tansyford RFC").await.lead;
        let names = [
            ("..%2F..%2F..%2Fetc%2Fpasswd", "..%2F..%2F..%2Fetc%2Fpasswd"),
            ("%22%3B%20filename%3Dpage.html", "%22%3B%20filename=page.html"),
            ("..%5Cboot.pdf", "..%5Cboot.pdf"),
        ];
        for (name, shown) in names {
            let id = sent(&net, &lead, name, PDF).await;
            let read = lead.get(&format!("{}/attachments/{id}", net.path)).await;
            assert_eq!((read.status, read.bytes.as_slice()), (200, PDF));
            assert_eq!(read.disposition, format!("attachment; filename*=UTF-8''{shown}"));
        }
        // Whatever they are called, they lie under their ids in the folder of the network.
        let folder = app.service.config.files.join(net.id.to_string());
        let lies = std::fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().file_name().into_string().unwrap());
        assert_eq!(lies.filter(|name| name.parse::<Uuid>().is_ok()).count(), names.len());
        assert_eq!(objects(&app), names.len());
        send_as(&net, &lead, Uuid::now_v7(), "x%0D%0ASet-Cookie%3A%20a", PDF).await.expect_problem(422, "invalid");
        send_as(&net, &lead, Uuid::now_v7(), &"x".repeat(121), PDF).await.expect_problem(422, "invalid");
        let path = format!("{}/attachments?attachment_id=..%2Fx&file_name=x.pdf", net.path);
        lead.upload(&path, PDF.to_vec()).await.expect_problem(400, "unreadable");
        for id in ["..%2F..%2Fetc%2Fpasswd", "..%2F", "%2Fetc%2Fpasswd"] {
            let refused = lead.get(&format!("{}/attachments/{id}", net.path)).await;
            assert!([400, 404].contains(&refused.status), "{}", refused.text);
        }
    });
}

#[test]
fn a_file_is_what_is_in_it_and_no_browser_guesses_otherwise() {
    with_app(async |app| {
        let net = app.network("North").await;
        let lead = app.club(&net, "Tansyford RFC").await.lead;
        // A page that calls itself a document is served as one to be saved, and never shown within our pages.
        let both = b"%PDF-1.4\n<html><script>alert(1)</script></html>";
        let read = sent(&net, &lead, "page.html", both).await;
        let read = lead.get(&format!("{}/attachments/{read}", net.path)).await;
        assert_eq!((read.content_type.as_str(), read.sniffing.as_str()), ("application/pdf", "nosniff"));
        assert!(read.disposition.starts_with("attachment;"), "{}", read.disposition);
        // A picture with a page behind it: what is kept is the picture alone.
        let both = [PNG, b"<html><script>alert(1)</script></html>"].concat();
        let read = sent(&net, &lead, "photo.html", &both).await;
        let read = lead.get(&format!("{}/attachments/{read}", net.path)).await;
        assert_eq!((read.content_type.as_str(), read.sniffing.as_str()), ("image/jpeg", "nosniff"));
        assert!(!read.text.contains("script"));
        for picture in [&b"<svg xmlns=\"http://www.w3.org/2000/svg\"/>"[..], b"GIF89a", b"PK\x03\x04"] {
            let refused = send_as(&net, &lead, Uuid::now_v7(), "photo.png", picture).await;
            refused.expect_problem(422, "file_not_readable");
        }
    });
}

#[test]
fn what_cannot_be_kept_is_refused() {
    with_app(async |app| {
        let net = app.network("North").await;
        let lead = app.club(&net, "Tansyford RFC").await.lead;
        let id = Uuid::now_v7();
        let page = b"<html><script>alert(1)</script></html>";
        send_as(&net, &lead, id, "manual.pdf", page).await.expect_problem(422, "file_not_readable");
        send_as(&net, &lead, id, "photo.png", &PNG[..40]).await.expect_problem(422, "file_not_readable");
        send_as(&net, &lead, id, "empty.pdf", b"").await.expect_problem(422, "file_not_readable");
        send_as(&net, &lead, Uuid::new_v4(), "manual.pdf", PDF).await.expect_problem(422, "invalid");
        send_as(&net, &lead, id, "%20", PDF).await.expect_problem(422, "invalid");
        let mut large = PDF.to_vec();
        large.resize(15 * 1024 * 1024, b' ');
        send_as(&net, &lead, id, "manual.pdf", &large).await.expect(201);
        large.push(b' ');
        let refused = send_as(&net, &lead, Uuid::now_v7(), "manual.pdf", &large).await;
        let refused = refused.expect_problem(413, "file_too_large");
        assert_eq!(refused["detail"], "A file is at most 15 MB. Send a smaller photo, or the manual in parts.");
        let path = format!("{}/attachments?file_name=manual.pdf", net.path);
        lead.upload(&path, PDF.to_vec()).await.expect_problem(400, "unreadable");
    });
}

#[test]
fn the_same_file_sent_again_is_kept_once_and_another_is_refused() {
    with_app(async |app| {
        let net = app.network("North").await;
        let club = app.club(&net, "Tansyford RFC").await;
        let id = Uuid::now_v7();
        let send = async |who: &User, bytes: &[u8]| send_as(&net, who, id, "photo.png", bytes).await;
        let (one, two) = tokio::join!(send(&club.lead, PNG), send(&club.lead, PNG));
        assert_eq!(one.expect(201), two.expect(201));
        send(&club.lead, PDF).await.expect_problem(409, "never_edited");
        send(&club.volunteer, PNG).await.expect_problem(409, "never_edited");
        assert_eq!(objects(&app), 1);
    });
}

#[test]
fn a_file_goes_when_nothing_refers_to_it_and_not_before() {
    with_app(async |app| {
        let net = app.network("North").await;
        let lead = app.club(&net, "Tansyford RFC").await.lead;
        let machine = format!("{}/machines/{}", net.path, add_aerator(&net, json!({})).await);
        let (forgotten, manual) =
            (sent(&net, &lead, "photo.png", PNG).await, sent(&net, &net.coordinator, "manual.pdf", PDF).await);
        let body = json!({"attachment_id": manual, "title": "Operator's manual"});
        net.coordinator.post(&format!("{machine}/manuals"), body).await.expect(201);
        days_pass(&app, 1).await;
        assert_eq!(objects(&app), 2, "a form may still be sent");
        days_pass(&app, 3).await;
        lead.get(&format!("{}/attachments/{forgotten}", net.path)).await.expect_problem(404, "not_found");
        assert_eq!(lead.get(&format!("{}/attachments/{manual}", net.path)).await.status, 200);
        assert_eq!(objects(&app), 1);
        net.coordinator.delete(&format!("{machine}/manuals/{manual}")).await.expect(204);
        app.run_jobs().await;
        assert_eq!(objects(&app), 0);
        // Sent again after it went, it is there again.
        send_as(&net, &lead, forgotten, "photo.png", PNG).await.expect(201);
        assert_eq!(objects(&app), 1);
    });
}

#[test]
fn an_upload_cut_off_between_object_and_row_leaves_nothing_in_the_end() {
    with_app(async |app| {
        let net = app.network("North").await;
        let lead = app.club(&net, "Tansyford RFC").await.lead;
        let id = sent(&net, &lead, "photo.png", PNG).await;
        // As a crash would leave it: the object is there, the row never came.
        crate::direct::db_sql(&app, &format!("DELETE FROM attachments WHERE id = '{id}'")).await;
        assert_eq!(objects(&app), 1);
        days_pass(&app, 3).await;
        assert_eq!(objects(&app), 0);
    });
}
