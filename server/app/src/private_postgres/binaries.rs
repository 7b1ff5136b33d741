//! Finding the server's programs.

use std::fs;
use std::path::{Path, PathBuf};

use anyhow::{Context, Result, ensure};
use tokio::process::Command;

/// `CREATE DATABASE … STRATEGY` came with this version.
const OLDEST_MAJOR: u32 = 15;
const BINARIES: &str = "/usr/lib/postgresql";

/// The programs we need of a PostgreSQL server installation.
#[derive(Debug)]
pub(super) struct Binaries {
    pub(super) initdb: PathBuf,
    pub(super) postgres: PathBuf,
}

impl Binaries {
    pub(super) async fn find(bin_dir: Option<&Path>, data: &Path) -> Result<Self> {
        let made_by = fs::read_to_string(data.join("PG_VERSION")).ok();
        let folder = match bin_dir {
            Some(folder) => Some(folder.to_owned()),
            None => {
                installed_major(made_by.as_deref()).map(|major| Path::new(BINARIES).join(major.to_string()).join("bin"))
            }
        };
        let named = |name: &str| folder.as_ref().map_or_else(|| PathBuf::from(name), |folder| folder.join(name));
        let found = Self { initdb: named("initdb"), postgres: named("postgres") };
        let answer = Command::new(&found.postgres).arg("--version").output().await.with_context(|| {
            format!(
                "no PostgreSQL server ({}): install it, on Debian with `apt-get install postgresql`",
                found.postgres.display()
            )
        })?;
        let version = String::from_utf8_lossy(&answer.stdout);
        let major = major_version(&version).with_context(|| format!("no version in {version:?}"))?;
        ensure!(major >= OLDEST_MAJOR, "PostgreSQL {major} is too old: {OLDEST_MAJOR} or newer is needed");
        Ok(found)
    }
}

/// The installed version that made the cluster, else the newest.
fn installed_major(made_by: Option<&str>) -> Option<u32> {
    let majors: Vec<u32> = fs::read_dir(BINARIES)
        .ok()?
        .flatten()
        .filter(|entry| entry.path().join("bin/postgres").exists())
        .filter_map(|entry| entry.file_name().to_str()?.parse().ok())
        .collect();
    let made_by = made_by.and_then(|version| version.trim().parse().ok());
    made_by.filter(|major| majors.contains(major)).or_else(|| majors.into_iter().max())
}

fn major_version(answer: &str) -> Option<u32> {
    answer.split_whitespace().find_map(|word| word.split(|c: char| !c.is_ascii_digit()).next()?.parse().ok())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_version_answer_is_read() {
        assert_eq!(major_version("postgres (PostgreSQL) 15.18 (Debian 15.18-0+deb12u1)"), Some(15));
        assert_eq!(major_version("postgres (PostgreSQL) 19beta1"), Some(19));
        assert_eq!(major_version("nothing"), None);
    }
}
