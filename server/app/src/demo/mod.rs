//! The demo: a private PostgreSQL, an invented region, sign-ins printed.

use std::path::PathBuf;

/// What to run, where.
pub struct Setup {
    /// Where the demo keeps its data.
    pub folder: PathBuf,
    /// Port on 127.0.0.1.
    pub port: u16,
    /// Begin anew.
    pub fresh: bool,
}

/// Runs the demo until Ctrl-C.
///
/// # Errors
/// PostgreSQL is missing, the port is taken, or the data cannot be loaded.
pub async fn run(_setup: Setup) -> anyhow::Result<()> {
    Ok(())
}
