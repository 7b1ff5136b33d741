//! Suppliers and products.

use serde_json::{Value, json};

use crate::harness::with_app;

fn supplier(name: &str) -> Value {
    json!({"name": name, "email": " Orders@Quarry.test ", "phone": "01632 960114", "note": "28 t on a tipper."})
}

fn sand(name: &str) -> Value {
    json!({"name": name, "kind": "sand", "sold_by": "tonne", "vat_basis_points": 2000, "note": "Lime-free."})
}

fn seed(name: &str) -> Value {
    json!({"name": name, "kind": "seed", "sold_by": "bag", "bag_kg": 20, "vat_basis_points": 0, "note": ""})
}

#[test]
fn suppliers_and_products_are_entered_and_listed_by_name() {
    with_app(async |app| {
        let net = app.network("North").await;
        let club = app.club(&net, "Mallow").await;
        let (suppliers, products) = (format!("{}/suppliers", net.path), format!("{}/products", net.path));
        net.coordinator.post(&suppliers, supplier("Quarry")).await.expect(201);
        let bare = json!({"name": "Barn", "email": "", "phone": null});
        net.coordinator.post(&suppliers, bare).await.expect(201);
        net.coordinator.post(&products, seed("Ryegrass")).await.expect(201);
        net.coordinator.post(&products, sand("Medium sand")).await.expect(201);
        let listed = club.volunteer.get(&suppliers).await.expect(200);
        insta::assert_json_snapshot!(listed, {".items[].supplier_id" => "[id]"}, @r#"
        {
          "items": [
            {
              "supplier_id": "[id]",
              "name": "Barn",
              "email": null,
              "phone": null,
              "note": "",
              "version": 1
            },
            {
              "supplier_id": "[id]",
              "name": "Quarry",
              "email": "orders@quarry.test",
              "phone": "01632 960114",
              "note": "28 t on a tipper.",
              "version": 1
            }
          ],
          "next_cursor": null
        }
        "#);
        let listed = club.volunteer.get(&products).await.expect(200);
        insta::assert_json_snapshot!(listed, {".items[].product_id" => "[id]"}, @r#"
        {
          "items": [
            {
              "product_id": "[id]",
              "name": "Medium sand",
              "kind": "sand",
              "sold_by": "tonne",
              "unit_kg": 1000,
              "vat_basis_points": 2000,
              "note": "Lime-free.",
              "version": 1
            },
            {
              "product_id": "[id]",
              "name": "Ryegrass",
              "kind": "seed",
              "sold_by": "bag",
              "unit_kg": 20,
              "vat_basis_points": 0,
              "note": "",
              "version": 1
            }
          ],
          "next_cursor": null
        }
        "#);
        for list in [suppliers, products] {
            let first = club.lead.get(&format!("{list}?limit=1")).await.expect(200);
            let cursor = first["next_cursor"].as_str().unwrap();
            let second = club.lead.get(&format!("{list}?limit=1&cursor={cursor}")).await.expect(200);
            assert!(first["items"][0]["name"].as_str() < second["items"][0]["name"].as_str());
            assert_eq!(second["next_cursor"], Value::Null);
        }
    });
}

#[test]
fn only_the_version_seen_can_be_changed() {
    with_app(async |app| {
        let net = app.network("North").await;
        for (list, id, made, changed) in [
            ("suppliers", "supplier_id", supplier("Quarry"), json!({"name": "Quarry", "email": null, "phone": null})),
            ("products", "product_id", sand("Sand"), seed("Ryegrass")),
        ] {
            let made = net.coordinator.post(&format!("{}/{list}", net.path), made).await.expect(201);
            let path = format!("{}/{list}/{}", net.path, made[id].as_str().unwrap());
            let shown = net.coordinator.get(&path).await;
            assert_eq!(shown.etag.as_deref(), Some("\"v1\""));
            assert_eq!(shown.expect(200), made);
            net.coordinator.put_plain(&path, changed.clone()).await.expect_problem(428, "if_match_missing");
            let reply = net.coordinator.put(&path, 1, changed.clone()).await;
            assert_eq!(reply.etag.as_deref(), Some("\"v2\""));
            let now = reply.expect(200);
            assert_eq!(now["version"], 2);
            assert!(now["email"].is_null(), "an address that was taken out is gone");
            net.coordinator.put(&path, 1, changed).await.expect_problem(412, "changed_meanwhile");
        }
    });
}

#[test]
fn what_cannot_be_is_refused_with_the_field() {
    with_app(async |app| {
        let net = app.network("North").await;
        let with = |mut body: Value, field: &str, value: Value| {
            body[field] = value;
            body
        };
        for (list, field, body) in [
            ("suppliers", "name", supplier("")),
            ("suppliers", "email", with(supplier("Quarry"), "email", json!("no address"))),
            ("suppliers", "phone", with(supplier("Quarry"), "phone", json!("1".repeat(41)))),
            ("suppliers", "note", with(supplier("Quarry"), "note", json!("x".repeat(2001)))),
            ("products", "name", sand(" ")),
            ("products", "bag_kg", with(sand("Sand"), "bag_kg", json!(25))),
            ("products", "bag_kg", with(seed("Seed"), "bag_kg", json!(null))),
            ("products", "bag_kg", with(seed("Seed"), "bag_kg", json!(1001))),
            ("products", "vat_basis_points", with(seed("Seed"), "vat_basis_points", json!(10_001))),
        ] {
            let refused = net.coordinator.post(&format!("{}/{list}", net.path), body).await;
            assert_eq!(refused.expect_problem(422, "invalid")["errors"][0]["field"], field);
        }
        let unknown = with(seed("Seed"), "sold_by", json!("sackful"));
        net.coordinator.post(&format!("{}/products", net.path), unknown).await.expect_problem(400, "unreadable");
    });
}

#[test]
fn names_are_unique_and_a_key_counts_once() {
    with_app(async |app| {
        let net = app.network("North").await;
        for (list, body) in [("suppliers", supplier("Quarry")), ("products", sand("Sand"))] {
            let path = format!("{}/{list}", net.path);
            let key = [("Idempotency-Key", list)];
            let first = net.coordinator.send("POST", &path, Some(body.clone()), &key).await.expect(201);
            assert_eq!(net.coordinator.send("POST", &path, Some(body.clone()), &key).await.expect(201), first);
            net.coordinator.post(&path, body.clone()).await.expect_problem(409, "name_taken");
            net.coordinator.send("POST", &path, Some(body), &[]).await.expect_problem(400, "idempotency_key_missing");
        }
    });
}

#[test]
fn only_coordinators_keep_suppliers_and_products() {
    with_app(async |app| {
        let net = app.network("North").await;
        let club = app.club(&net, "Mallow").await;
        for (list, id, body) in
            [("suppliers", "supplier_id", supplier("Quarry")), ("products", "product_id", sand("Sand"))]
        {
            let path = format!("{}/{list}", net.path);
            let made = net.coordinator.post(&path, body.clone()).await.expect(201);
            let one = format!("{path}/{}", made[id].as_str().unwrap());
            for user in [&club.lead, &club.treasurer, &club.volunteer] {
                user.post(&path, body.clone()).await.expect_problem(403, "not_your_role");
                user.put(&one, 1, body.clone()).await.expect_problem(403, "not_your_role");
                user.get(&one).await.expect(200);
            }
            app.stranger().get(&path).await.expect_problem(401, "not_signed_in");
            app.stranger().post(&path, body.clone()).await.expect_problem(401, "not_signed_in");
            let absent = format!("{path}/{}", uuid::Uuid::now_v7());
            net.coordinator.get(&absent).await.expect_problem(404, "not_found");
            net.coordinator.put(&absent, 1, body).await.expect_problem(404, "not_found");
        }
    });
}
