//! The mails of this slice.

use chrono_tz::Tz;

use super::store::{MachineRow, RoundRow};
use super::words::RoundState;
use crate::access::Recipient;
use crate::mail::Letter;
use crate::time::{day_words, instant_words};

/// The letters about one round: what they have in common.
pub(super) struct Letters<'a> {
    round: &'a RoundRow,
    machines: &'a [MachineRow],
    zone: Tz,
    link: String,
}

impl<'a> Letters<'a> {
    /// Prepares letters that point to the round's page.
    pub(super) fn about(round: &'a RoundRow, machines: &'a [MachineRow], zone: Tz, public_url: &str) -> Self {
        Self { round, machines, zone, link: format!("{public_url}/rounds/{}", round.id) }
    }

    /// A round takes requests.
    pub(super) fn invitation(&self, to: &Recipient) -> Letter {
        let title = &self.round.terms.title;
        let note = match self.round.terms.note.as_str() {
            "" => String::new(),
            note => format!("\nThe coordinator writes: {note}\n"),
        };
        let text = format!(
            "{title} takes requests until {}.\n\n{}\nSay which pitches of {} need it, on which half-days it could be done, and \
             which days you would like best. Nobody has a place by asking first: when the requests have closed, the round \
             is planned for all together.\n{note}",
            self.closing(),
            self.what_comes(),
            to.club_name,
        );
        self.letter(to, format!("{title}: ask for a place until {}", self.closing()), &text, "Ask here", "/request")
    }

    /// Requests close within a day, and the club has not asked.
    pub(super) fn reminder(&self, to: &Recipient) -> Letter {
        let closing = format!("{}: requests close {}", self.round.terms.title, self.closing());
        let text = format!(
            "{closing}.\n\n{}\n{} has not asked for a place. You can until then; afterwards the round is planned.\n",
            self.what_comes(),
            to.club_name
        );
        self.letter(to, closing, &text, "Ask here", "/request")
    }

    /// A hire comes on other days than were said.
    pub(super) fn moved(&self, to: &Recipient, machine: &str) -> Letter {
        let title = &self.round.terms.title;
        let then = match self.round.state {
            RoundState::Gathering => format!("You can change it until {}.", self.closing()),
            _ => {
                "Requests have closed: the round is planned with the half-days you allowed that still suit.".to_owned()
            }
        };
        let text = format!(
            "The days of {machine} in {title} have changed. The round now has:\n\n{}\n{} had asked for a place. Look \
             whether the half-days and the days you wished for are still among these. {then}\n",
            self.what_comes(),
            to.club_name
        );
        self.letter(to, format!("{title}: other days for {machine}"), &text, "The round", "")
    }

    /// The round was given up.
    pub(super) fn called_off(&self, to: &Recipient, reason: &str) -> Letter {
        let off = format!("{} was called off", self.round.terms.title);
        let offers = match self.round.state {
            RoundState::Offered => "Every place that was offered is taken back, accepted or not. ",
            _ => "",
        };
        let text = format!(
            "{off}. The reason: {reason}\n\n{} had asked for a place in it. {offers}Nothing comes, and nothing is owed for it.\n",
            to.club_name
        );
        self.letter(to, off, &text, "The round", "")
    }

    fn letter(&self, to: &Recipient, subject: String, text: &str, call: &str, page: &str) -> Letter {
        let text = format!("Hello {},\n\n{text}\n{call}: {}{page}\n", to.name, self.link);
        Letter { to: to.email.clone(), subject, text }
    }

    fn closing(&self) -> String {
        instant_words(self.zone, self.round.terms.requests_close_at)
    }

    /// The machines and their days, a line each.
    fn what_comes(&self) -> String {
        let line = |machine: &MachineRow| {
            let span = machine.hired.map_or(self.round.whole_days(), |hired| hired.0.into());
            let last = (span.until - chrono::TimeDelta::hours(12)).date();
            format!("{}: {} to {}\n", machine.name, day_words(span.from.date()), day_words(last))
        };
        self.machines.iter().map(line).collect()
    }
}
