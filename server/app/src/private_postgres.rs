//! A private PostgreSQL: the installed server binaries run in a folder of our own.
//!
//! It promises: nobody but this user reaches it (a socket in a closed folder, no network address); it never runs as root;
//! it ends when this process ends, however that happens; a start after a crash finds what was committed
//! ([`Durability::Kept`]). It deliberately knows nothing of our tables, and reads no environment variable.
//!
//! **How it ends with us.** A small watcher holds the reading end of a pipe whose writing end is ours. When we stop, or are
//! killed with no chance to say goodbye, the system closes the pipe and the watcher asks PostgreSQL to shut down.
//!
//! **Dropped from root.** PostgreSQL refuses to run as root, so root starts it as `postgres`, or `nobody` where there is no such
//! user, and gives it the folder. Where that user cannot reach the folder (a clone below `/root`, say) the cluster lives
//! under `/var/lib/turfring/` instead, and `data` in the folder is a link to it; without that link it begins anew.

use std::fs::{self, File};
use std::os::unix::fs::symlink;
use std::path::{Path, PathBuf};
use std::process::Stdio;
use std::time::{Duration, Instant};

use anyhow::{Context, Result, anyhow, bail, ensure};
use diesel::sql_types::{Bool, Text};
use diesel::{QueryableByName, sql_query};
use diesel_async::{AsyncConnection, AsyncPgConnection, RunQueryDsl};
use tokio::process::{Child, ChildStdin, Command};

mod binaries;
mod place;

use binaries::Binaries;
use place::Place;

/// The database role everything in a private cluster belongs to.
const SUPERUSER: &str = "turfring";
const MEMORY: &str = "/dev/shm";
const PROCESSES: &str = "/proc";
/// Part of the socket's file name; no port is opened.
const PORT: &str = "5432";
/// PostgreSQL cuts longer names silently, which could make two of them one.
const LONGEST_DATABASE_NAME: usize = 63;
/// Long enough for crash recovery on a slow disk.
const READY_WITHIN: Duration = Duration::from_secs(60);
const GONE_WITHIN: Duration = Duration::from_secs(30);
const ASK_AGAIN_AFTER: Duration = Duration::from_millis(20);

/// `$1` the signal that ends the server, `$2` the folder to remove afterwards or nothing, then the server's command.
/// The watcher is nobody's child, so that PostgreSQL does not take its end for the end of one of its own processes.
const SERVER_WITH_WATCHER: &str = r#"
signal=$1 remove=$2; shift 2
exec 3<&0 </dev/null
( {
    cat <&3 >/dev/null
    kill -"$signal" $$ 2>/dev/null
    tries=0
    while [ -n "$remove" ] && [ -e "$remove/data/postmaster.pid" ] && [ $tries -lt 200 ]; do
        tries=$((tries + 1))
        sleep 0.05
    done
    [ -z "$remove" ] || rm -rf -- "$remove"
} >/dev/null 2>&1 & )
exec 3<&-
exec "$@"
"#;

/// What a crash of the machine may take away.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Durability {
    /// Nothing that was committed.
    Kept,
    /// Everything: for tests, several times faster.
    Fast,
}

impl Durability {
    fn settings(self) -> &'static [&'static str] {
        match self {
            Self::Kept => &["max_connections=60"],
            Self::Fast => &[
                "max_connections=200",
                "fsync=off",
                "synchronous_commit=off",
                "full_page_writes=off",
                "autovacuum=off",
            ],
        }
    }
}

/// A running server. Dropping it begins an orderly shutdown without waiting for it; [`PrivatePostgres::stop`] waits.
#[derive(Debug)]
pub struct PrivatePostgres {
    home: PathBuf,
    socket: PathBuf,
    server: Child,
    /// The writing end of the watcher's pipe: PostgreSQL lives while it is open.
    lifeline: Option<ChildStdin>,
    remove_home: bool,
    _lock: File,
}

impl PrivatePostgres {
    /// Starts the cluster in `folder`, making it on the first start, and waits until it answers.
    ///
    /// The binaries are those in `bin_dir` if given, else those that made the cluster, else the newest Debian has installed,
    /// else those on the search path. A server left behind by a process that is gone is shut down first.
    ///
    /// # Errors
    /// No binaries or too old ones; `folder` holds other things or is in use; the server does not come up (with the end of its log).
    pub async fn start(folder: &Path, durability: Durability, bin_dir: Option<&Path>) -> Result<Self> {
        let place = Place::prepare(folder).await?;
        Self::start_in(place, durability, bin_dir, false).await
    }

    /// Starts an empty cluster that is [`Durability::Fast`], in memory where the system has `/dev/shm`.
    /// It removes itself from there when this process ends, however that happens.
    ///
    /// # Errors
    /// As [`PrivatePostgres::start`].
    pub async fn start_throw_away(bin_dir: Option<&Path>) -> Result<Self> {
        let parent = if Path::new(MEMORY).is_dir() { MEMORY } else { "/tmp" };
        let folder = Path::new(parent).join(format!("turfring-{}", uuid::Uuid::new_v4().simple()));
        let place = Place::prepare(&folder).await?;
        Self::start_in(place, Durability::Fast, bin_dir, true).await
    }

    /// Removes the cluster of `folder`, wherever it lives, and `folder` itself. No cluster there is no error.
    ///
    /// # Errors
    /// It is in use, or the folder holds other things.
    pub async fn discard(folder: &Path) -> Result<()> {
        if !folder.exists() {
            return Ok(());
        }
        let place = Place::prepare(folder).await?;
        end_orphan(&place.home).await?;
        fs::remove_dir_all(&place.home).with_context(|| format!("removing {}", place.home.display()))?;
        if place.folder.exists() {
            fs::remove_dir_all(&place.folder).with_context(|| format!("removing {}", place.folder.display()))?;
        }
        Ok(())
    }

    async fn start_in(place: Place, durability: Durability, bin_dir: Option<&Path>, remove_home: bool) -> Result<Self> {
        let binaries = Binaries::find(bin_dir, &place.data()).await?;
        end_orphan(&place.home).await?;
        init_cluster(&place, &binaries, durability).await?;
        let socket = place.socket_folder()?;
        let mut server = launch(&place, &binaries, &socket, durability, remove_home)?;
        let lifeline = server.stdin.take();
        let mut postgres = Self { home: place.home, socket, server, lifeline, remove_home, _lock: place.lock };
        postgres.wait_until_ready().await?;
        Ok(postgres)
    }

    /// The address of one database, in a form that tokio-postgres, libpq and the tools built on either accept.
    #[must_use]
    pub fn url(&self, database: &str) -> String {
        let socket = percent_encoded(&self.socket.to_string_lossy());
        format!("postgres://{SUPERUSER}@{socket}:{PORT}/{}", percent_encoded(database))
    }

    /// The server's own log since this start.
    #[must_use]
    pub fn log(&self) -> PathBuf {
        log_file(&self.home)
    }

    /// Makes a database: empty, or a copy of `template`, to which nobody may be connected.
    ///
    /// # Errors
    /// The name is taken or too long, or the template is absent or in use.
    pub async fn create_database(&self, name: &str, template: Option<&str>) -> Result<()> {
        let (name, template) = (quoted(name)?, quoted(template.unwrap_or("template0"))?);
        // A small template is copied much faster as files than through the write-ahead log.
        let statement = format!("CREATE DATABASE {name} TEMPLATE {template} STRATEGY FILE_COPY");
        self.run(&statement).await
    }

    /// Drops a database, with everyone connected to it. An absent one is no error.
    ///
    /// # Errors
    /// The name is too long, or the server refuses.
    pub async fn drop_database(&self, name: &str) -> Result<()> {
        self.run(&format!("DROP DATABASE IF EXISTS {} WITH (FORCE)", quoted(name)?)).await
    }

    /// Whether there is a database of this name.
    ///
    /// # Errors
    /// The server does not answer.
    pub async fn database_exists(&self, name: &str) -> Result<bool> {
        #[derive(QueryableByName)]
        struct Answer {
            #[diesel(sql_type = Bool)]
            found: bool,
        }
        let answer: Answer = sql_query("SELECT EXISTS (SELECT FROM pg_database WHERE datname = $1) AS found")
            .bind::<Text, _>(name)
            .get_result(&mut self.connect().await?)
            .await?;
        Ok(answer.found)
    }

    /// Shuts down in order (open connections are ended, open transactions undone) and waits for it.
    ///
    /// # Errors
    /// The server does not end in time, or ends with a failure.
    pub async fn stop(mut self) -> Result<()> {
        drop(self.lifeline.take());
        let status = tokio::time::timeout(GONE_WITHIN, self.server.wait())
            .await
            .map_err(|_| anyhow!("PostgreSQL did not stop within {} s", GONE_WITHIN.as_secs()))??;
        if !self.socket.starts_with(&self.home) {
            // Only ever an empty folder below /tmp: no harm if it is gone already.
            let _ = fs::remove_dir(&self.socket);
        }
        if self.remove_home {
            remove_if_there(&self.home)?;
        }
        ensure!(status.success() || self.remove_home, "PostgreSQL stopped with {status}\n{}", log_end(&self.home));
        Ok(())
    }

    async fn connect(&self) -> Result<AsyncPgConnection> {
        AsyncPgConnection::establish(&self.url("postgres")).await.context("connecting to the private PostgreSQL")
    }

    async fn run(&self, statement: &str) -> Result<()> {
        sql_query(statement).execute(&mut self.connect().await?).await.with_context(|| statement.to_owned())?;
        Ok(())
    }

    async fn wait_until_ready(&mut self) -> Result<()> {
        let give_up_at = Instant::now() + READY_WITHIN;
        loop {
            let Err(problem) = self.connect().await else {
                return Ok(());
            };
            if let Some(status) = self.server.try_wait()? {
                bail!(
                    "PostgreSQL did not start ({status}). The end of {}:\n{}",
                    self.log().display(),
                    log_end(&self.home)
                );
            }
            if Instant::now() >= give_up_at {
                return Err(problem.context(format!("PostgreSQL is not ready, see {}", self.log().display())));
            }
            tokio::time::sleep(ASK_AGAIN_AFTER).await;
        }
    }
}

/// Makes the cluster beside its place and moves it there when it is whole, so that a half-made one is never started.
async fn init_cluster(place: &Place, binaries: &Binaries, durability: Durability) -> Result<()> {
    if !place.data().exists() {
        let unfinished = place.home.join("data.new");
        remove_if_there(&unfinished)?;
        let mut initdb = place.command(&binaries.initdb);
        initdb.arg("--pgdata").arg(&unfinished);
        initdb.args([
            "--username",
            SUPERUSER,
            "--encoding=UTF8",
            "--locale=C.UTF-8",
            "--auth-local=trust",
            "--auth-host=reject",
        ]);
        if durability == Durability::Fast {
            initdb.arg("--no-sync");
        }
        let made = initdb.output().await.with_context(|| format!("running {}", binaries.initdb.display()))?;
        ensure!(
            made.status.success(),
            "initdb failed ({}): {}",
            made.status,
            String::from_utf8_lossy(&made.stderr).trim()
        );
        fs::rename(&unfinished, place.data())?;
    }
    let link = place.folder.join("data");
    if place.home != place.folder && !link.is_symlink() {
        symlink(place.data(), link)?;
    }
    Ok(())
}

fn launch(
    place: &Place,
    binaries: &Binaries,
    socket: &Path,
    durability: Durability,
    remove_home: bool,
) -> Result<Child> {
    let log = File::create(log_file(&place.home)).context("opening PostgreSQL's log")?;
    let mut command = place.command(Path::new("sh"));
    command.args(["-c", SERVER_WITH_WATCHER, "sh"]);
    // Nothing in a throw-away cluster is worth an orderly end.
    command.arg(if remove_home { "QUIT" } else { "INT" });
    command.arg(if remove_home { place.home.as_path() } else { Path::new("") });
    command
        .arg(&binaries.postgres)
        .arg("-D")
        .arg(place.data())
        .args(["-p", PORT, "-c", "listen_addresses=", "-k"])
        .arg(socket);
    for setting in durability.settings() {
        command.args(["-c", setting]);
    }
    // Its own process group: Ctrl-C is for us, and we stop it when our requests are done.
    command.process_group(0).stdin(Stdio::piped()).stdout(log.try_clone()?).stderr(log);
    command.spawn().with_context(|| format!("starting {}", binaries.postgres.display()))
}

/// Shuts down a server that outlived the process which had started it, and clears away what a crashed one left.
/// Only called with the lock held: whoever started it is gone.
async fn end_orphan(home: &Path) -> Result<()> {
    let pid_file = home.join("data/postmaster.pid");
    let Ok(content) = fs::read_to_string(&pid_file) else {
        return Ok(());
    };
    if !Path::new(PROCESSES).exists() {
        return Ok(()); // Not Linux: PostgreSQL's own, more cautious judgement of the file has to do.
    }
    let pid = content.lines().next().unwrap_or_default().trim();
    let give_up_at = Instant::now() + GONE_WITHIN;
    while is_server_of(pid, home) {
        ensure!(Instant::now() < give_up_at, "an older PostgreSQL (process {pid}) in {} does not stop", home.display());
        // The shell's own `kill`: a small system has no other.
        Command::new("sh").args(["-c", r#"kill -INT "$1""#, "sh", pid]).stderr(Stdio::null()).status().await?;
        tokio::time::sleep(ASK_AGAIN_AFTER * 5).await;
    }
    remove_if_there(&pid_file)
}

/// Whether this process is the server of this home, rather than gone or another that was given its number since.
fn is_server_of(pid: &str, home: &Path) -> bool {
    let command_line = fs::read(Path::new(PROCESSES).join(pid).join("cmdline")).unwrap_or_default();
    String::from_utf8_lossy(&command_line).contains(&*home.join("data").to_string_lossy())
}

fn remove_if_there(path: &Path) -> Result<()> {
    let removed = if path.is_dir() { fs::remove_dir_all(path) } else { fs::remove_file(path) };
    match removed {
        Err(problem) if problem.kind() != std::io::ErrorKind::NotFound => {
            Err(problem).context(format!("removing {}", path.display()))
        }
        _ => Ok(()),
    }
}

fn log_file(home: &Path) -> PathBuf {
    home.join("postgres.log")
}

fn log_end(home: &Path) -> String {
    let log = fs::read_to_string(log_file(home)).unwrap_or_default();
    let lines: Vec<&str> = log.lines().collect();
    lines.get(lines.len().saturating_sub(10)..).unwrap_or_default().join("\n")
}

fn percent_encoded(text: &str) -> String {
    text.bytes()
        .map(|byte| match byte {
            b'a'..=b'z' | b'A'..=b'Z' | b'0'..=b'9' | b'-' | b'_' | b'.' => char::from(byte).to_string(),
            _ => format!("%{byte:02X}"),
        })
        .collect()
}

fn quoted(database: &str) -> Result<String> {
    ensure!(
        database.len() <= LONGEST_DATABASE_NAME,
        "the database name {database:?} is longer than {LONGEST_DATABASE_NAME} bytes"
    );
    Ok(format!("\"{}\"", database.replace('"', "\"\"")))
}

#[cfg(test)]
mod tests;
