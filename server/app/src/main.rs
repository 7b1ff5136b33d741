//! The command line: reads it, starts what it names.

mod commands;

use clap::Parser;

#[tokio::main]
async fn main() -> anyhow::Result<()> {
    tracing_subscriber::fmt()
        .with_env_filter(
            tracing_subscriber::EnvFilter::try_from_default_env()
                .unwrap_or_else(|_| "info,tracing_actix_web=warn,actix_server=warn".into()),
        )
        .with_writer(std::io::stderr)
        .init();
    commands::run(commands::Arguments::parse()).await
}
