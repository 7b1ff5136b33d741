//! Where a private cluster lives: a folder that is ours alone, and that the user PostgreSQL runs as can reach.

use std::fs::{self, File, TryLockError};
use std::os::unix::fs::{PermissionsExt, chown};
use std::path::{Path, PathBuf};
use std::process::{ExitStatus, Stdio};

use anyhow::{Context, Result, bail, ensure};
use tokio::process::Command;

use super::{end_orphan, remove_if_there};

/// Where root's clusters live when the unprivileged user cannot reach the folder asked for.
pub(super) const ELSEWHERE: &str = "/var/lib/turfring";
/// A socket path may have 107 bytes on Linux and 103 on other systems; the file name takes 15 with its slash.
const LONGEST_SOCKET_FOLDER: usize = 103 - 15;
/// Marks a folder as ours, and is locked while a process uses it. The system unlocks it when that process dies.
const LOCK: &str = "turfring.lock";

/// The unprivileged user that root runs PostgreSQL as.
#[derive(Clone, Copy, Debug)]
pub(super) struct ServiceUser {
    uid: u32,
    gid: u32,
}

impl ServiceUser {
    /// None when this process is not root and PostgreSQL may simply run as its user.
    pub(super) async fn needed() -> Result<Option<Self>> {
        let id = Command::new("id").arg("-u").output().await.context("running `id -u`")?;
        if String::from_utf8_lossy(&id.stdout).trim() != "0" {
            return Ok(None);
        }
        let users = fs::read_to_string("/etc/passwd").context("reading /etc/passwd")?;
        ["postgres", "nobody"]
            .iter()
            .find_map(|name| Self::named(name, &users))
            .map(Some)
            .context("PostgreSQL cannot run as root, and this machine has neither a user `postgres` nor `nobody`")
    }

    fn named(name: &str, users: &str) -> Option<Self> {
        let line = users.lines().find(|line| line.split(':').next() == Some(name))?;
        let mut fields = line.split(':').skip(2);
        Some(Self { uid: fields.next()?.parse().ok()?, gid: fields.next()?.parse().ok()? })
    }
}

/// Where a cluster lives: ours alone, and reachable for the user it runs as.
#[derive(Debug)]
pub(super) struct Place {
    /// What the caller asked for.
    pub(super) folder: PathBuf,
    /// Where things are: `folder`, or a stand-in that the service user can reach.
    pub(super) home: PathBuf,
    pub(super) user: Option<ServiceUser>,
    pub(super) lock: File,
}

impl Place {
    pub(super) async fn prepare(folder: &Path) -> Result<Self> {
        let user = ServiceUser::needed().await?;
        fs::create_dir_all(folder).with_context(|| format!("making the folder {}", folder.display()))?;
        let folder = folder.canonicalize()?;
        let lock = lock(&folder)?;
        close(&folder, user)?;
        let mut home = folder.clone();
        if !can_enter(&folder, user).await? {
            home = stand_in(&folder);
            if !folder.join("data").is_symlink() {
                end_orphan(&home).await?;
                remove_if_there(&home)?;
            }
            fs::create_dir_all(&home).with_context(|| format!("making the folder {}", home.display()))?;
            close(&home, user)?;
            ensure!(
                can_enter(&home, user).await?,
                "the user that root runs PostgreSQL as can reach neither {} nor {}: open the folders above one of them (chmod o+x)",
                folder.display(),
                home.display(),
            );
        }
        Ok(Self { folder, home, user, lock })
    }

    pub(super) fn data(&self) -> PathBuf {
        self.home.join("data")
    }

    /// A command for a program that runs as the service user in our folder.
    pub(super) fn command(&self, program: &Path) -> Command {
        let mut command = as_user(program, self.user);
        command.current_dir(&self.home).env("LC_ALL", "C.UTF-8");
        command
    }

    /// The socket's folder: in our own, unless the address would be too long or unreadable for PostgreSQL's list of folders.
    pub(super) fn socket_folder(&self) -> Result<PathBuf> {
        let own = self.home.join("socket");
        let name = own.to_string_lossy();
        let plain = name.chars().all(|c| c.is_ascii_alphanumeric() || "/._-".contains(c));
        let folder = if plain && name.len() <= LONGEST_SOCKET_FOLDER {
            own
        } else {
            PathBuf::from(format!("/tmp/turfring-{}", uuid::Uuid::new_v4().simple()))
        };
        fs::create_dir_all(&folder).with_context(|| format!("making the folder {}", folder.display()))?;
        close(&folder, self.user)?;
        Ok(folder)
    }
}

/// Locks a folder that is new or ours. The lock is the mark that it is ours: we hand the folder to another user, so it
/// had better not be somebody's home.
fn lock(folder: &Path) -> Result<File> {
    let path = folder.join(LOCK);
    let empty = fs::read_dir(folder)?.next().is_none();
    ensure!(empty || path.exists(), "{} holds other things: give PostgreSQL a folder of its own", folder.display());
    let lock = File::options().create(true).truncate(false).write(true).open(&path)?;
    match lock.try_lock() {
        Ok(()) => Ok(lock),
        Err(TryLockError::WouldBlock) => bail!("another process uses {}", folder.display()),
        Err(TryLockError::Error(problem)) => Err(problem).context(format!("locking {}", path.display())),
    }
}

/// Leaves a folder to the user PostgreSQL runs as, and to nobody else.
fn close(folder: &Path, user: Option<ServiceUser>) -> Result<()> {
    fs::set_permissions(folder, fs::Permissions::from_mode(0o700))?;
    if let Some(user) = user {
        chown(folder, Some(user.uid), Some(user.gid))
            .with_context(|| format!("giving {} to PostgreSQL's user", folder.display()))?;
    }
    Ok(())
}

/// Asks the system rather than reckoning with permission bits, which do not tell of access lists and mounts.
async fn can_enter(folder: &Path, user: Option<ServiceUser>) -> Result<bool> {
    let status: ExitStatus = as_user(Path::new("sh"), user)
        .args(["-c", r#"cd -- "$1""#, "sh"])
        .arg(folder)
        .current_dir("/")
        .stderr(Stdio::null())
        .status()
        .await
        .context("running a command as PostgreSQL's user (a container may forbid it)")?;
    Ok(status.success())
}

fn as_user(program: &Path, user: Option<ServiceUser>) -> Command {
    let mut command = Command::new(program);
    if let Some(user) = user {
        command.uid(user.uid).gid(user.gid);
    }
    command
}

fn stand_in(folder: &Path) -> PathBuf {
    Path::new(ELSEWHERE).join(folder.to_string_lossy().trim_start_matches('/').replace('/', "-"))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_service_user_is_read_by_its_whole_name() {
        let users = "postgres-old:x:7:7::/:/bin/sh\npostgres:x:101:104:PostgreSQL,,,:/var/lib/postgresql:/bin/bash\n";
        let user = ServiceUser::named("postgres", users).unwrap();
        assert_eq!((user.uid, user.gid), (101, 104));
        assert!(ServiceUser::named("nobody", users).is_none());
    }
}
