//! What each command does, in the order a reader expects to find it.

use std::path::PathBuf;

use anyhow::{Context, ensure};
use chrono::Utc;
use clap::{Parser, Subcommand};
use tokio::process::Command as Program;
use tokio::signal::unix::{SignalKind, signal};
use turfring::access::{Offer, Role, email_parse, invite};
use turfring::config::{Config, Secret};
use turfring::database::{self, Database, Scope};
use turfring::network;
use turfring::private_postgres::PrivatePostgres;
use turfring::service::Service;
use turfring::{demo, jobs, server};

/// Turfring: share machines, pool orders, compare pitches.
#[derive(Parser)]
#[command(version)]
pub struct Arguments {
    #[command(subcommand)]
    command: Command,
}

#[derive(Subcommand)]
enum Command {
    /// Answer HTTP requests.
    Serve {
        /// Run the queue in the same process, for small installations.
        #[arg(long)]
        with_work: bool,
    },
    /// Run the queue: mail, closings, reminders.
    Work,
    /// Bring the database up to date.
    Migrate,
    /// Make a network and invite its first coordinator; prints the link.
    Found {
        /// Name of the network.
        #[arg(long)]
        network: String,
        /// IANA time zone.
        #[arg(long, default_value = "Europe/London")]
        time_zone: String,
        /// Name of the first coordinator.
        #[arg(long)]
        name: String,
        /// Address of the first coordinator.
        #[arg(long)]
        email: String,
    },
    /// Run everything with a private PostgreSQL and an invented region.
    Demo {
        /// Where the demo keeps its data.
        #[arg(long, default_value = ".demo")]
        folder: PathBuf,
        /// The invented region's files.
        #[arg(long, default_value = "demo-seed")]
        seed: PathBuf,
        /// Port on 127.0.0.1; 0 for any free one.
        #[arg(long, default_value_t = 8080)]
        port: u16,
        /// Begin anew.
        #[arg(long)]
        fresh: bool,
        /// Keep nothing, in memory: for tests.
        #[arg(long)]
        throw_away: bool,
    },
    /// Print the OpenAPI document.
    Openapi,
    /// Run a program with `DATABASE_URL` naming a throw-away, migrated database.
    WithDatabase {
        /// The program and its arguments.
        #[arg(trailing_var_arg = true, required = true)]
        program: Vec<String>,
    },
}

/// Runs a command.
///
/// # Errors
/// Whatever keeps it from doing its work, in words for the person at the terminal.
pub async fn run(arguments: Arguments) -> anyhow::Result<()> {
    match arguments.command {
        Command::Serve { with_work } => serve(with_work).await,
        Command::Work => {
            let service = Service::new(Config::from_environment()?)?;
            tokio::select! {
                () = jobs::work(service) => {}
                () = stopped_from_outside() => {}
            }
            Ok(())
        }
        Command::Migrate => database::migrate(&Config::from_environment()?.database_url).await,
        Command::Found { network, time_zone, name, email } => found(&network, &time_zone, &name, &email).await,
        Command::Demo { folder, seed, port, fresh, throw_away } => {
            demo::run(demo::Setup { folder, seed, port, fresh, throw_away }).await
        }
        Command::Openapi => {
            println!("{}", server::document().to_pretty_json()?);
            Ok(())
        }
        Command::WithDatabase { program } => with_database(&program).await,
    }
}

async fn serve(with_work: bool) -> anyhow::Result<()> {
    let service = Service::new(Config::from_environment()?)?;
    let bound = server::bind(&service, std::thread::available_parallelism().map_or(2, usize::from))?;
    tracing::info!("listening on {}", service.config.listen);
    if with_work {
        tokio::spawn(jobs::work(service));
    }
    let handle = bound.server.handle();
    tokio::spawn(async move {
        stopped_from_outside().await;
        handle.stop(true).await;
    });
    bound.server.await.context("the server stopped")
}

/// Waits for Ctrl-C or the service manager's SIGTERM.
async fn stopped_from_outside() {
    let terminated = async {
        match signal(SignalKind::terminate()) {
            Ok(mut signals) => signals.recv().await,
            Err(_) => std::future::pending().await,
        }
    };
    tokio::select! {
        _ = tokio::signal::ctrl_c() => {}
        _ = terminated => {}
    }
}

async fn found(name: &str, time_zone: &str, coordinator: &str, email: &str) -> anyhow::Result<()> {
    let config = Config::from_environment()?;
    let db = Database::new(&config.database_url, 1)?;
    let words = |error: turfring::error::Error| anyhow::anyhow!("{error}");
    let email = email_parse(email).map_err(|refused| anyhow::anyhow!(refused.detail))?;
    let id = turfring::ids::NetworkId::new();
    let mut tx = db.begin(Scope::Network(id)).await.map_err(words)?;
    network::found(&mut tx, id, name, time_zone).await.map_err(words)?;
    let offer = Offer { email, name: coordinator.to_owned(), role: Role::Coordinator, club_id: None, invited_by: None };
    let (_, link) = invite(&mut tx, id, &config.public_url, offer, Utc::now()).await.map_err(words)?;
    tx.commit().await.map_err(words)?;
    println!("{name} is founded. {coordinator} can accept here (the same link was mailed):\n{link}");
    Ok(())
}

async fn with_database(program: &[String]) -> anyhow::Result<()> {
    let (name, arguments) = program.split_first().context("name a program")?;
    let postgres = PrivatePostgres::start_throw_away(None).await?;
    postgres.create_database("turfring", None).await?;
    let url = Secret::new(postgres.url("turfring"));
    database::migrate(&url).await?;
    let status = Program::new(name).args(arguments).env("DATABASE_URL", url.expose()).status().await;
    postgres.stop().await?;
    ensure!(status.with_context(|| format!("cannot run {name}"))?.success(), "{name} failed");
    Ok(())
}
