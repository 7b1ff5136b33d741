//! Short texts people type: trimmed, neither empty nor endless, free of control characters.

use crate::error::{Refused, invalid};

const LONGEST_NAME: usize = 120;
const LONGEST_NOTE: usize = 2000;

/// A name of 1 to 120 characters.
///
/// # Errors
/// `invalid` on `field`.
pub fn name_parse(field: &str, text: &str) -> Result<String, Refused> {
    let name = text.trim();
    if name.is_empty() {
        return Err(invalid(field, "A name is needed."));
    }
    if name.chars().count() > LONGEST_NAME || name.chars().any(char::is_control) {
        return Err(invalid(field, "Use at most 120 characters on one line."));
    }
    Ok(name.to_owned())
}

/// A note of at most 2,000 characters; may be empty.
///
/// # Errors
/// `invalid` on `field`.
pub fn note_parse(field: &str, text: &str) -> Result<String, Refused> {
    let note = text.trim();
    if note.chars().count() > LONGEST_NOTE
        || note.chars().any(|c| c.is_control() && c != '\n' && c != '\r' && c != '\t')
    {
        return Err(invalid(field, "Use at most 2,000 characters."));
    }
    Ok(note.to_owned())
}
