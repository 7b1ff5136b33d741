//! Rows put in place directly, where the API would take days or another slice to bring them about.

use diesel_async::SimpleAsyncConnection;
use turfring::database;
use uuid::Uuid;

use crate::harness::{App, Club, Net};

/// Runs SQL as the owner of the tables.
pub async fn db_sql(app: &App, sql: &str) {
    database::connect_as_owner(&app.owner_url).await.unwrap().batch_execute(sql).await.unwrap();
}

/// A machine, available for two years around today, under one id.
pub async fn db_machine(app: &App, net: &Net, name: &str) -> Uuid {
    let id = Uuid::now_v7();
    db_sql(
        app,
        &format!(
            "INSERT INTO machines (network_id, id, name, kind, width_m, speed_km_h, field_efficiency, linkage, \
             transport_kg, shortest_half_days, longest_half_days, gap_half_days, who_may_book, coordinator_agrees) \
             VALUES ('{net}', '{id}', '{name}', 'spiker', 1.6, 2, 0.75, 'category_1', 600, 1, 10, 0, 'every_club', true);
             INSERT INTO machine_availabilities (network_id, id, machine_id, span) VALUES ('{net}', '{id}', '{id}', \
             tsrange(current_date - 365, current_date + 365))",
            net = net.id
        ),
    )
    .await;
    id
}

/// A whole day's booking some days ahead.
pub async fn db_booking(app: &App, net: &Net, machine: Uuid, club: &Club, state: &str, days_ahead: i32) -> Uuid {
    let id = Uuid::now_v7();
    db_sql(
        app,
        &format!(
            "INSERT INTO bookings (network_id, id, machine_id, club_id, span, gap_half_days, availability_id, \
             available, state, charge_pence, booked_by) SELECT network_id, '{id}', machine_id, '{}', \
             tsrange(current_date + {days_ahead}, current_date + {days_ahead} + 1), 0, id, span, '{state}', 0, '{}' \
             FROM machine_availabilities WHERE network_id = '{}' AND machine_id = '{machine}'",
            club.id, club.lead.person_id, net.id
        ),
    )
    .await;
    id
}

/// An order of 29 t at most, with supplier and product under the same id, that closes after an interval; with a
/// club's line if told.
pub async fn db_order(app: &App, net: &Net, title: &str, closes_in: &str, line: Option<&Club>) -> Uuid {
    let id = Uuid::now_v7();
    let line = line.map_or_else(String::new, |club| {
        format!(
            "INSERT INTO order_lines (network_id, order_id, club_id, quantity_kg, changed_by) \
             VALUES ('{}', '{id}', '{}', 29000, '{}');",
            net.id, club.id, club.lead.person_id
        )
    });
    db_sql(
        app,
        &format!(
            "INSERT INTO suppliers (network_id, id, name) VALUES ('{net}', '{id}', '{title}');
             INSERT INTO products (network_id, id, name, kind, sold_by, unit_kg, vat_basis_points) \
             VALUES ('{net}', '{id}', '{title}', 'sand', 'tonne', 1000, 2000);
             INSERT INTO pooled_orders (network_id, id, title, product_id, supplier_id, unit_kg, pack_kg, \
             vat_basis_points, smallest_kg, closes_at, delivery_from_on, delivery_until_on, opened_by) \
             VALUES ('{net}', '{id}', '{title}', '{id}', '{id}', 1000, 1000, 2000, 0, now() + interval '{closes_in}', \
             current_date, current_date, '{by}');
             INSERT INTO price_breaks (network_id, order_id, from_kg, price_pence) VALUES ('{net}', '{id}', 0, 4058); {line}",
            net = net.id,
            by = net.coordinator.person_id
        ),
    )
    .await;
    id
}

/// Closes an order in which one club alone has 29 t: £1,177.08 of goods and £235.42 of VAT.
pub async fn db_close(app: &App, net: &Net, order: Uuid, club: &Club) {
    db_sql(
        app,
        &format!(
            "BEGIN; INSERT INTO shares (network_id, order_id, club_id, quantity_kg, goods_pence, vat_pence, \
             alone_goods_pence, alone_vat_pence) VALUES ('{net}', '{order}', '{}', 29000, 117708, 23542, 200000, 40000);
             UPDATE pooled_orders SET state = 'closed', closed_at = now(), total_kg = 29000, price_pence = 4058, \
             goods_pence = 117708, vat_pence = 23542 WHERE network_id = '{net}' AND id = '{order}'; COMMIT",
            club.id,
            net = net.id
        ),
    )
    .await;
}
