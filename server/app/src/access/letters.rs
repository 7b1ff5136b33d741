//! The mails of this slice.

use super::roles::Role;
use crate::mail::Letter;

/// Offers a membership.
pub(super) fn invitation(to: &str, name: &str, network: &str, role: Role, club: Option<&str>, link: &str) -> Letter {
    let place = club.map_or_else(|| network.to_owned(), |club| format!("{club} in {network}"));
    Letter {
        to: to.to_owned(),
        subject: format!("{network} invites you as {}", role.words()),
        text: format!(
            "Hello {name},\n\n\
             you are invited to take part as {} of {place}.\n\
             Open this address to accept; it works once, for 14 days:\n\n{link}\n\n\
             If you did not expect this, you need not do anything.\n",
            role.words()
        ),
    }
}

/// A link to set a new password.
pub(super) fn reset(to: &str, link: &str) -> Letter {
    Letter {
        to: to.to_owned(),
        subject: "Set a new password".to_owned(),
        text: format!(
            "Hello,\n\nopen this address to set a new password; it works once, for two hours:\n\n{link}\n\n\
             If you did not ask for it, you need not do anything: your password stays as it is.\n"
        ),
    }
}
