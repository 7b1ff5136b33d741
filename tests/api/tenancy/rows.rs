//! Every table, read and written as the application's own role and as the owner.

use diesel::result::{DatabaseErrorKind, Error};
use diesel::sql_types::{Jsonb, Text};
use diesel::{QueryableByName, sql_query};
use diesel_async::{AsyncPgConnection, RunQueryDsl};
use serde_json::{Value, json};
use turfring::database::{self, Scope};

use super::{Furnished, furnish};
use crate::harness::{App, with_app};

#[derive(QueryableByName)]
struct Line {
    #[diesel(sql_type = Text)]
    line: String,
}

#[derive(QueryableByName)]
struct Row {
    #[diesel(sql_type = Jsonb)]
    row: Value,
}

async fn lines(connection: &mut AsyncPgConnection, query: &str) -> Vec<String> {
    let rows: Vec<Line> = sql_query(query).load(connection).await.unwrap();
    rows.into_iter().map(|row| row.line).collect()
}

/// Every table with rows of networks.
async fn tables(owner: &mut AsyncPgConnection) -> Vec<String> {
    let tables = lines(
        owner,
        "SELECT t.relname::text AS line FROM pg_class t JOIN pg_attribute a ON a.attrelid = t.oid \
         WHERE t.relkind = 'r' AND t.relnamespace = 'public'::regnamespace AND a.attname = 'network_id' ORDER BY 1",
    )
    .await;
    assert!(tables.len() > 20, "{tables:?}");
    tables
}

/// The columns that can be written.
async fn columns(owner: &mut AsyncPgConnection, table: &str) -> String {
    lines(
        owner,
        &format!(
            "SELECT string_agg(quote_ident(column_name), ', ') AS line FROM information_schema.columns \
             WHERE table_schema = 'public' AND table_name = '{table}' AND is_generated = 'NEVER'"
        ),
    )
    .await
    .remove(0)
}

/// A row of a table in a network; there must be one, or the test proves nothing.
async fn a_row(owner: &mut AsyncPgConnection, table: &str, network: &Furnished, which: &str) -> Value {
    let query =
        format!("SELECT to_jsonb(t) AS row FROM {table} t WHERE network_id = '{}' AND {which} LIMIT 1", network.net.id);
    let rows: Vec<Row> = sql_query(query).load(owner).await.unwrap();
    rows.into_iter().next().unwrap_or_else(|| panic!("furnish() leaves {table} empty: put a row into it")).row
}

/// Writes a row given as JSON.
async fn insert(connection: &mut AsyncPgConnection, table: &str, columns: &str, row: &Value) -> Result<usize, Error> {
    let query =
        format!("INSERT INTO {table} ({columns}) SELECT {columns} FROM jsonb_populate_record(null::{table}, $1)");
    sql_query(query).bind::<Jsonb, _>(row).execute(connection).await
}

async fn as_member(app: &App, network: &Furnished) -> database::Tx {
    app.service.db.begin(Scope::Member(network.net.id, network.net.coordinator.person_id)).await.unwrap()
}

#[test]
fn the_applications_role_sees_and_touches_no_row_of_another_network() {
    with_app(async |app| {
        let (north, south) = (furnish(&app, "North").await, furnish(&app, "South").await);
        let mut owner = database::connect_as_owner(&app.owner_url).await.unwrap();
        for table in tables(&mut owner).await {
            a_row(&mut owner, &table, &south, "true").await;
            let mut tx = as_member(&app, &north).await;
            let count = format!("SELECT count(*)::text AS line FROM {table} WHERE network_id");
            let theirs = lines(&mut tx, &format!("{count} = '{}'", south.net.id)).await;
            assert_eq!(theirs, ["0"], "{table} shows rows of another network");
            let ours = lines(&mut tx, &format!("{count} = '{}'", north.net.id)).await;
            assert_ne!(ours, ["0"], "{table} hides the network's own rows");
            for write in ["DELETE FROM", "UPDATE"] {
                let set = if write == "UPDATE" { "SET network_id = network_id" } else { "" };
                let query = format!("{write} {table} {set} WHERE network_id = '{}'", south.net.id);
                assert_eq!(sql_query(query).execute(&mut *tx).await.unwrap(), 0, "{write} {table}");
            }
        }
        let mut tx = as_member(&app, &north).await;
        let seen = lines(&mut tx, "SELECT id::text AS line FROM networks").await;
        assert_eq!(seen, [north.net.id.to_string()]);
        let of_south = format!("SELECT id::text AS line FROM people WHERE id = '{}'", south.id("person_id"));
        assert!(lines(&mut tx, &of_south).await.is_empty(), "people of other networks are nobody's business");
    });
}

#[test]
fn the_applications_role_writes_no_row_into_another_network() {
    with_app(async |app| {
        let (north, south) = (furnish(&app, "North").await, furnish(&app, "South").await);
        let mut owner = database::connect_as_owner(&app.owner_url).await.unwrap();
        for table in tables(&mut owner).await {
            let row = a_row(&mut owner, &table, &south, "true").await;
            let columns = columns(&mut owner, &table).await;
            let mut tx = as_member(&app, &north).await;
            let refused = insert(&mut tx, &table, &columns, &row).await.unwrap_err();
            assert!(refused.to_string().contains("row-level security"), "{table}: {refused}");
            drop(tx);
            let mut tx = as_member(&app, &north).await;
            let moved =
                format!("UPDATE {table} SET network_id = '{}' WHERE network_id = '{}'", south.net.id, north.net.id);
            assert!(sql_query(moved).execute(&mut *tx).await.is_err(), "rows of {table} moved to another network");
        }
    });
}

#[test]
fn not_even_the_owner_can_refer_across_networks() {
    with_app(async |app| {
        // Bare, so that nothing but what the row refers to stands in the way.
        let (north, south) = (app.network("North").await, furnish(&app, "South").await);
        let mut owner = database::connect_as_owner(&app.owner_url).await.unwrap();
        let keys = lines(
            &mut owner,
            "SELECT c.conrelid::regclass || '|' || string_agg(quote_ident(a.attname) || ' IS NOT NULL', ' AND ') AS line \
             FROM pg_constraint c JOIN pg_attribute a ON a.attrelid = c.conrelid AND a.attnum = ANY (c.conkey) \
             WHERE c.contype = 'f' AND cardinality(c.conkey) > 1 GROUP BY c.oid, c.conrelid",
        )
        .await;
        assert!(keys.len() > 20, "{keys:?}");
        for key in keys {
            let (table, which) = key.split_once('|').unwrap();
            let mut row = a_row(&mut owner, table, &south, which).await;
            row["network_id"] = json!(north.id);
            let columns = columns(&mut owner, table).await;
            let refused = insert(&mut owner, table, &columns, &row).await.unwrap_err();
            let across = matches!(refused, Error::DatabaseError(DatabaseErrorKind::ForeignKeyViolation, _));
            assert!(across, "{table} where {which}: {refused}");
        }
    });
}
