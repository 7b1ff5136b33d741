//! Every test here runs real servers.

use std::os::unix::fs::PermissionsExt;

use super::place::{ELSEWHERE, ServiceUser};
use super::*;

/// A folder in memory where possible, removed at the end.
struct Scratch(PathBuf);

impl Scratch {
    fn new(name: &str) -> Self {
        let parent = if Path::new(MEMORY).is_dir() { MEMORY } else { "/tmp" };
        let folder = Path::new(parent).join(format!("turfring-test-{}", uuid::Uuid::new_v4().simple()));
        fs::create_dir(&folder).unwrap();
        Self(folder.join(name))
    }
}

impl Drop for Scratch {
    fn drop(&mut self) {
        let _ = fs::remove_dir_all(self.0.parent().unwrap());
    }
}

async fn execute(url: &str, statement: &str) {
    let mut connection = AsyncPgConnection::establish(url).await.unwrap();
    sql_query(statement).execute(&mut connection).await.unwrap();
}

fn server_process(folder: &Path) -> u32 {
    let pid_file = fs::read_to_string(folder.join("data/postmaster.pid")).unwrap();
    pid_file.lines().next().unwrap().parse().unwrap()
}

fn kill_hard(pid: u32) {
    std::process::Command::new("sh").args(["-c", &format!("kill -KILL {pid}")]).status().unwrap();
}

#[tokio::test]
async fn databases_are_made_copied_and_dropped() {
    let postgres = PrivatePostgres::start_throw_away(None).await.unwrap();
    postgres.create_database("first", None).await.unwrap();
    execute(&postgres.url("first"), "CREATE TABLE marks (n int)").await;
    postgres.create_database("it's a \"copy\"", Some("first")).await.unwrap();
    execute(&postgres.url("it's a \"copy\""), "INSERT INTO marks VALUES (1)").await;
    assert!(postgres.create_database("first", None).await.is_err());
    postgres.drop_database("first").await.unwrap();
    postgres.drop_database("first").await.unwrap();
    assert!(!postgres.database_exists("first").await.unwrap());
    assert!(postgres.database_exists("it's a \"copy\"").await.unwrap());
    let home = postgres.home.clone();
    postgres.stop().await.unwrap();
    assert!(!home.exists());
}

#[tokio::test]
async fn a_kept_cluster_keeps_its_data_and_speaks_utf8() {
    let scratch = Scratch::new("kept");
    let postgres = PrivatePostgres::start(&scratch.0, Durability::Kept, None).await.unwrap();
    execute(
        &postgres.url("postgres"),
        "CREATE TABLE clubs AS SELECT 'Llŷn' AS name WHERE current_setting('fsync') = 'on'",
    )
    .await;
    postgres.stop().await.unwrap();
    let postgres = PrivatePostgres::start(&scratch.0, Durability::Kept, None).await.unwrap();
    execute(&postgres.url("postgres"), "SELECT 1 / (length(name) - 3) FROM clubs").await;
    execute(&postgres.url("postgres"), "SELECT 1 / count(*) FROM clubs").await;
    postgres.stop().await.unwrap();
}

#[tokio::test]
async fn a_killed_server_recovers_at_the_next_start() {
    let scratch = Scratch::new("killed");
    let postgres = PrivatePostgres::start(&scratch.0, Durability::Kept, None).await.unwrap();
    execute(&postgres.url("postgres"), "CREATE TABLE kept AS SELECT 1 AS n").await;
    kill_hard(server_process(&scratch.0));
    drop(postgres);
    let postgres = PrivatePostgres::start(&scratch.0, Durability::Kept, None).await.unwrap();
    execute(&postgres.url("postgres"), "SELECT 1 / count(*) FROM kept").await;
    postgres.stop().await.unwrap();
}

#[tokio::test]
async fn a_server_left_behind_is_ended_before_the_next_start() {
    let scratch = Scratch::new("left");
    let mut first = PrivatePostgres::start(&scratch.0, Durability::Fast, None).await.unwrap();
    let old = server_process(&scratch.0);
    // Keep the lifeline open and give up the lock, as if the watcher had been killed together with its process.
    let lifeline = first.lifeline.take();
    drop(first);
    let second = PrivatePostgres::start(&scratch.0, Durability::Fast, None).await.unwrap();
    assert_ne!(server_process(&scratch.0), old);
    drop(lifeline);
    second.stop().await.unwrap();
}

#[tokio::test]
async fn one_folder_serves_one_process_at_a_time() {
    let scratch = Scratch::new("busy");
    let postgres = PrivatePostgres::start(&scratch.0, Durability::Fast, None).await.unwrap();
    let refused = PrivatePostgres::start(&scratch.0, Durability::Fast, None).await.unwrap_err();
    assert!(refused.to_string().contains("another process uses"), "{refused}");
    assert!(PrivatePostgres::discard(&scratch.0).await.is_err());
    postgres.stop().await.unwrap();
    PrivatePostgres::discard(&scratch.0).await.unwrap();
    assert!(!scratch.0.exists());
}

#[tokio::test]
async fn a_folder_with_other_things_is_left_alone() {
    let scratch = Scratch::new("theirs");
    fs::create_dir(&scratch.0).unwrap();
    fs::write(scratch.0.join("letter.txt"), "mine").unwrap();
    let refused = PrivatePostgres::start(&scratch.0, Durability::Fast, None).await.unwrap_err();
    assert!(refused.to_string().contains("holds other things"), "{refused}");
    PrivatePostgres::discard(&scratch.0).await.unwrap_err();
    assert_eq!(fs::read_to_string(scratch.0.join("letter.txt")).unwrap(), "mine");
}

#[tokio::test]
async fn a_long_or_odd_folder_gets_a_short_socket() {
    let scratch = Scratch::new(&format!("it's, a {} folder", "long ".repeat(20)));
    let postgres = PrivatePostgres::start(&scratch.0, Durability::Fast, None).await.unwrap();
    let socket = postgres.socket.clone();
    assert!(socket.starts_with("/tmp"));
    assert!(!postgres.database_exists("absent").await.unwrap());
    postgres.stop().await.unwrap();
    assert!(!socket.exists());
}

/// Only means something as root: everyone else can enter the folders they make.
#[tokio::test]
async fn a_folder_out_of_reach_gets_a_stand_in_that_is_discarded_with_it() {
    let scratch = Scratch::new("closed");
    fs::set_permissions(scratch.0.parent().unwrap(), fs::Permissions::from_mode(0o700)).unwrap();
    let postgres = PrivatePostgres::start(&scratch.0, Durability::Fast, None).await.unwrap();
    let is_root = ServiceUser::needed().await.unwrap().is_some();
    assert_eq!(postgres.home.starts_with(ELSEWHERE), is_root);
    postgres.create_database("kept", None).await.unwrap();
    postgres.stop().await.unwrap();
    let postgres = PrivatePostgres::start(&scratch.0, Durability::Fast, None).await.unwrap();
    assert!(postgres.database_exists("kept").await.unwrap());
    postgres.stop().await.unwrap();

    fs::remove_dir_all(&scratch.0).unwrap();
    let postgres = PrivatePostgres::start(&scratch.0, Durability::Fast, None).await.unwrap();
    assert!(!postgres.database_exists("kept").await.unwrap());
    let home = postgres.home.clone();
    postgres.stop().await.unwrap();
    PrivatePostgres::discard(&scratch.0).await.unwrap();
    assert!(!home.exists());
}

#[tokio::test]
async fn a_server_that_cannot_start_says_why() {
    let scratch = Scratch::new("broken");
    PrivatePostgres::start(&scratch.0, Durability::Fast, None).await.unwrap().stop().await.unwrap();
    fs::write(scratch.0.join("data/postgresql.conf"), "no_such_setting = 1\n").unwrap();
    let refused = PrivatePostgres::start(&scratch.0, Durability::Fast, None).await.unwrap_err();
    assert!(refused.to_string().contains("no_such_setting"), "{refused}");
}

#[tokio::test]
async fn absent_binaries_are_named() {
    let scratch = Scratch::new("none");
    let refused = PrivatePostgres::start(&scratch.0, Durability::Fast, Some(Path::new("/nowhere"))).await.unwrap_err();
    assert!(refused.to_string().contains("/nowhere/postgres"), "{refused}");
}

#[test]
fn names_too_long_for_the_server_are_refused() {
    assert!(quoted(&"n".repeat(64)).is_err());
    assert_eq!(quoted("odd\"name").unwrap(), "\"odd\"\"name\"");
}
