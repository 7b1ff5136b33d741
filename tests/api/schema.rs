//! What must be true of the schema itself, read from PostgreSQL's catalogue.

use diesel::sql_types::Text;
use diesel::{QueryableByName, sql_query};
use diesel_async::RunQueryDsl;
use turfring::database;

use crate::harness::with_app;

/// The tables that stand above the networks, and why.
const ABOVE_NETWORKS: [(&str, &str); 7] = [
    ("networks", "the tenants themselves"),
    ("people", "one account may belong to several networks"),
    ("refresh_tokens", "sessions belong to people"),
    ("password_resets", "passwords belong to people"),
    ("sign_in_attempts", "counted before anyone is known"),
    ("jobs", "one queue; row-level security still hides other networks' jobs"),
    ("__diesel_schema_migrations", "kept by the migration library"),
];

#[derive(QueryableByName)]
struct Line {
    #[diesel(sql_type = Text)]
    line: String,
}

async fn lines(url: &turfring::config::Secret, query: &str) -> Vec<String> {
    let mut connection = database::connect_as_owner(url).await.unwrap();
    let rows: Vec<Line> = sql_query(query).load(&mut connection).await.unwrap();
    rows.into_iter().map(|row| row.line).collect()
}

fn exempt() -> String {
    ABOVE_NETWORKS.map(|(table, _)| format!("'{table}'")).join(", ")
}

#[test]
fn every_key_below_the_network_begins_with_the_network() {
    with_app(async |app| {
        let broken = lines(&app.owner_url, &format!(
            "SELECT c.conrelid::regclass || ' ' || c.conname AS line FROM pg_constraint c
             JOIN pg_class t ON t.oid = c.conrelid JOIN pg_attribute a ON a.attrelid = t.oid AND a.attname = 'network_id'
             WHERE t.relnamespace = 'public'::regnamespace AND t.relname NOT IN ({}) AND c.conkey[1] <> a.attnum
               AND (c.contype IN ('p', 'u', 'x')
                    OR (c.contype = 'f' AND c.confrelid NOT IN ('networks'::regclass, 'people'::regclass)))",
            exempt()
        )).await;
        assert!(broken.is_empty(), "keys that do not begin with network_id: {broken:?}");
        let indexes = lines(&app.owner_url, &format!(
            "SELECT i.indexrelid::regclass::text AS line FROM pg_index i JOIN pg_class t ON t.oid = i.indrelid
             JOIN pg_attribute a ON a.attrelid = t.oid AND a.attname = 'network_id'
             WHERE i.indisunique AND t.relnamespace = 'public'::regnamespace AND t.relname NOT IN ({}) AND i.indkey[0] <> a.attnum",
            exempt()
        )).await;
        assert!(indexes.is_empty(), "unique indexes that do not begin with network_id: {indexes:?}");
    });
}

#[test]
fn every_table_has_a_network_and_row_level_security_or_a_reason() {
    with_app(async |app| {
        let loose = lines(&app.owner_url, &format!(
            "SELECT t.relname::text AS line FROM pg_class t WHERE t.relkind IN ('r', 'p') AND t.relnamespace = 'public'::regnamespace
               AND t.relname NOT IN ({}) AND NOT (t.relrowsecurity AND t.relforcerowsecurity
                 AND EXISTS (SELECT FROM pg_policy p WHERE p.polrelid = t.oid)
                 AND EXISTS (SELECT FROM pg_attribute a WHERE a.attrelid = t.oid AND a.attname = 'network_id' AND a.attnotnull))",
            exempt()
        )).await;
        assert!(loose.is_empty(), "tables without a network or row-level security: {loose:?}");
        let above = lines(
            &app.owner_url,
            "SELECT relname::text AS line FROM pg_class WHERE relkind = 'r' AND relnamespace = 'public'::regnamespace
               AND relname <> '__diesel_schema_migrations' AND NOT (relrowsecurity AND relforcerowsecurity)",
        )
        .await;
        assert!(above.is_empty(), "even tables above the networks have row-level security: {above:?}");
    });
}

#[test]
fn everything_is_commented() {
    with_app(async |app| {
        let silent = lines(&app.owner_url,
            "SELECT c.relname || coalesce('.' || a.attname, '') AS line FROM pg_class c
             LEFT JOIN pg_attribute a ON a.attrelid = c.oid AND a.attnum > 0 AND NOT a.attisdropped
             WHERE c.relkind = 'r' AND c.relnamespace = 'public'::regnamespace AND c.relname <> '__diesel_schema_migrations'
               AND (obj_description(c.oid, 'pg_class') IS NULL OR col_description(c.oid, a.attnum) IS NULL)",
        ).await;
        assert!(silent.is_empty(), "tables or columns without comment: {silent:?}");
    });
}

#[test]
fn migrations_go_down_and_up_again_to_the_same_schema() {
    with_app(async |app| {
        let shape = "SELECT format('%s.%s %s %s %s', c.relname, a.attname, format_type(a.atttypid, a.atttypmod), a.attnotnull,
                        pg_get_expr(d.adbin, d.adrelid)) AS line
                     FROM pg_class c JOIN pg_attribute a ON a.attrelid = c.oid AND a.attnum > 0
                     LEFT JOIN pg_attrdef d ON d.adrelid = c.oid AND d.adnum = a.attnum
                     WHERE c.relnamespace = 'public'::regnamespace
                     UNION ALL SELECT format('%s %s %s', conrelid::regclass, conname, pg_get_constraintdef(oid)) FROM pg_constraint
                     WHERE connamespace = 'public'::regnamespace
                     UNION ALL SELECT pg_get_functiondef(p.oid) FROM pg_proc p WHERE p.pronamespace = 'public'::regnamespace
                       AND NOT EXISTS (SELECT FROM pg_depend d WHERE d.objid = p.oid AND d.deptype = 'e')
                     UNION ALL SELECT format('%s %s %s %s', polrelid::regclass, polname, pg_get_expr(polqual, polrelid),
                        pg_get_expr(polwithcheck, polrelid)) FROM pg_policy
                     UNION ALL SELECT pg_get_triggerdef(oid) FROM pg_trigger WHERE NOT tgisinternal
                     UNION ALL SELECT format('%s %s', objoid::regclass, description) FROM pg_description WHERE classoid = 'pg_class'::regclass
                     ORDER BY 1";
        let before = lines(&app.owner_url, shape).await;
        database::migrate_down(&app.owner_url).await.unwrap();
        let bare = lines(
            &app.owner_url,
            "SELECT relname::text AS line FROM pg_class WHERE relkind = 'r' AND relnamespace = 'public'::regnamespace",
        )
        .await;
        assert_eq!(bare, ["__diesel_schema_migrations"]);
        database::migrate(&app.owner_url).await.unwrap();
        let after = lines(&app.owner_url, shape).await;
        assert_eq!(before, after);
    });
}
