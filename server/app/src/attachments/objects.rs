//! The object store: a folder that every process sees. It writes an object whole or not at all.

use std::sync::Arc;

use anyhow::Context;
use object_store::local::LocalFileSystem;
use object_store::path::Path;

use crate::ids::{AttachmentId, NetworkId};

/// Where attachments lie.
pub type Objects = Arc<LocalFileSystem>;

/// Opens the store; a folder that is not there is made.
///
/// # Errors
/// A folder that cannot be made.
pub fn open(folder: &std::path::Path) -> anyhow::Result<Objects> {
    let words = || format!("cannot keep attachments in {}", folder.display());
    std::fs::create_dir_all(folder).with_context(words)?;
    // An answered upload outlives a power cut, like an answered write to the database.
    Ok(Arc::new(LocalFileSystem::new_with_prefix(folder).with_context(words)?.with_fsync(true)))
}

/// Where the bytes of an attachment lie.
pub(super) fn place(network: NetworkId, id: AttachmentId) -> Path {
    Path::from_iter([network.to_string(), id.to_string()])
}
