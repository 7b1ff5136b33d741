//! The demo: a private PostgreSQL, an invented region loaded through the API's own code, and sign-ins printed. It keeps
//! its data for the next start; Ctrl-C stops everything.

mod care;
mod load;
mod region;

use std::fs;
use std::path::{Path, PathBuf};
use std::time::Instant;

use anyhow::{Context, ensure};
use chrono::{DateTime, Utc};

use crate::access::tokens;
use crate::config::{Config, MailTo, Secret};
use crate::private_postgres::{Durability, PrivatePostgres};
use crate::service::Service;
use crate::{database, jobs, server};

/// The password of everyone in the demo region.
pub const PASSWORD: &str = "wet tuesday night";
const DATABASE: &str = "turfring";

/// What to run, where.
pub struct Setup {
    /// Where the demo keeps its data.
    pub folder: PathBuf,
    /// The invented region's files.
    pub seed: PathBuf,
    /// Port on 127.0.0.1; 0 for any free one.
    pub port: u16,
    /// Begin anew.
    pub fresh: bool,
    /// Keep nothing, in memory: for tests.
    pub throw_away: bool,
}

/// Runs the demo until Ctrl-C.
///
/// # Errors
/// PostgreSQL is missing, the port is taken, or the data cannot be loaded.
pub async fn run(setup: Setup) -> anyhow::Result<()> {
    let postgres_folder = setup.folder.join("postgres");
    if setup.fresh {
        PrivatePostgres::discard(&postgres_folder).await.context("the old demo cannot be removed")?;
        fs::remove_dir_all(mail_folder(&setup)).ok();
        fs::remove_dir_all(files_folder(&setup)).ok();
    }
    say("starting a private PostgreSQL");
    let postgres = if setup.throw_away {
        PrivatePostgres::start_throw_away(None).await?
    } else {
        fs::create_dir_all(&setup.folder)?;
        PrivatePostgres::start(&postgres_folder, Durability::Kept, None).await?
    };
    let outcome = run_on(&setup, &postgres).await;
    say("stopping");
    postgres.stop().await?;
    if setup.throw_away {
        fs::remove_dir_all(mail_folder(&setup)).ok();
        fs::remove_dir_all(files_folder(&setup)).ok();
    }
    outcome
}

async fn run_on(setup: &Setup, postgres: &PrivatePostgres) -> anyhow::Result<()> {
    let mut config = configure(setup, postgres)?;
    // The address must be known before anything that mentions it, such as a link in a mail, is written.
    if setup.port == 0 {
        let free = std::net::TcpListener::bind("127.0.0.1:0")?.local_addr()?;
        config.listen = free.to_string();
        config.public_url = format!("http://{free}");
    }
    prepare_database(setup, postgres, &config).await?;
    let service = Service::new(config)?;
    let bound = server::bind(&service, 2)?;
    let handle = bound.server.handle();
    let work = tokio::spawn(jobs::work(service.clone()));
    let serving = tokio::spawn(bound.server);
    print_sign_ins(&service.config.public_url, &setup.seed)?;
    tokio::signal::ctrl_c().await?;
    handle.stop(true).await;
    work.abort();
    serving.await?.context("the server stopped")
}

/// Migrates, and loads the region unless a whole one is there. A load that was interrupted begins anew.
async fn prepare_database(setup: &Setup, postgres: &PrivatePostgres, config: &Config) -> anyhow::Result<()> {
    if !postgres.database_exists(DATABASE).await? {
        let loading = format!("{DATABASE}_loading");
        postgres.drop_database(&loading).await?;
        postgres.create_database(&loading, None).await?;
        let mut config = config.clone();
        config.database_url = Secret::new(postgres.url(&loading));
        database::migrate(&config.database_url).await?;
        let began = Instant::now();
        say("loading the invented region");
        load(&Service::new(config)?, &setup.seed, Utc::now()).await?;
        postgres.create_database(DATABASE, Some(&loading)).await?;
        postgres.drop_database(&loading).await?;
        say(&format!("loaded in {:.1} s", began.elapsed().as_secs_f64()));
    }
    database::migrate(&config.database_url).await
}

/// Loads the invented region of these files as it would stand at an instant.
///
/// # Errors
/// A file cannot be read, or says what the service refuses.
pub async fn load(service: &Service, seed: &Path, now: DateTime<Utc>) -> anyhow::Result<()> {
    load::load(service, region::Region::read(seed)?, now).await
}

fn configure(setup: &Setup, postgres: &PrivatePostgres) -> anyhow::Result<Config> {
    let listen = format!("127.0.0.1:{}", setup.port);
    Ok(Config {
        database_url: Secret::new(postgres.url(DATABASE)),
        public_url: format!("http://{listen}"),
        listen,
        signing_secret: Secret::new(if setup.throw_away { tokens::random() } else { kept_secret(&setup.folder)? }),
        mail_from: "Turfring <turfring@demo.example>".to_owned(),
        mail_to: MailTo::Folder(mail_folder(setup)),
        files: files_folder(setup),
        web: Some("web/build".into()),
        connections: 16,
        behind_proxy: false,
    })
}

fn mail_folder(setup: &Setup) -> PathBuf {
    if setup.throw_away {
        return std::env::temp_dir().join(format!("turfring-mail-{}", std::process::id()));
    }
    setup.folder.join("mail")
}

fn files_folder(setup: &Setup) -> PathBuf {
    if setup.throw_away {
        return std::env::temp_dir().join(format!("turfring-files-{}", std::process::id()));
    }
    setup.folder.join("files")
}

/// A secret that outlives the process, so that a restart signs nobody out.
fn kept_secret(folder: &Path) -> anyhow::Result<String> {
    let file = folder.join("signing-secret");
    if let Ok(secret) = fs::read_to_string(&file) {
        return Ok(secret);
    }
    let secret = tokens::random();
    fs::write(&file, &secret).with_context(|| format!("cannot write {}", file.display()))?;
    Ok(secret)
}

fn print_sign_ins(url: &str, seed: &Path) -> anyhow::Result<()> {
    let region = region::Region::read(seed)?;
    ensure!(!region.people.is_empty(), "the region has no people");
    println!("\nTurfring is running at {url}");
    println!("\n  password for everyone: {PASSWORD}\n");
    println!("  {:<36} coordinator of {}", region.network.coordinator.email, region.network.name);
    let showcase = &region.people.first().map(|person| person.club.clone()).unwrap_or_default();
    for person in region.people.iter().filter(|person| &person.club == showcase) {
        println!("  {:<36} {} of {}", person.email, person.role.replace('_', " "), person.club);
    }
    println!("\nThe data is invented. Mail lands in a folder and on the coordinator's page \"Mail sent\".");
    println!("Stop with Ctrl-C; the data stays for the next start.");
    Ok(())
}

fn say(what: &str) {
    eprintln!("demo: {what}");
}
