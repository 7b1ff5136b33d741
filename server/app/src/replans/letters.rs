//! The mails of this slice: to each club whose days or neighbours change, to who lends a tractor, to the coordinators.

use std::collections::BTreeSet;

use chrono::{DateTime, Utc};

use super::difference::Change;
use super::picture::Picture;
use super::view::{PlaceThen, place_then};
use super::words::ChangeKind;
use crate::access::{Role, addresses};
use crate::database::Tx;
use crate::error::Result;
use crate::hires::HeldRound;
use crate::ids::{BookingId, ClubId, NetworkId, RequestId};
use crate::mail::{self, Letter};
use crate::time::span_words;

/// What everybody forgets once. (Common practice; the maker's manual goes further.)
const CAUTION: &str = "Before it moves: guards fitted and the shaft cover spinning free; check what your vehicle may tow and \
     the local rules. The maker's manual comes first.\n";

/// The letters about one accepted re-plan: what they have in common.
pub(super) struct Letters<'a> {
    held: &'a HeldRound,
    picture: &'a Picture,
    booked: &'a [(RequestId, BookingId)],
    public_url: &'a str,
}

impl<'a> Letters<'a> {
    /// Prepares the letters.
    pub(super) fn about(
        held: &'a HeldRound,
        picture: &'a Picture,
        booked: &'a [(RequestId, BookingId)],
        public_url: &'a str,
    ) -> Self {
        Self { held, picture, booked, public_url }
    }

    /// Writes to everybody concerned. Scope: the network.
    pub(super) async fn post_all(&self, tx: &mut Tx, network: NetworkId, now: DateTime<Utc>) -> Result<()> {
        for change in &self.picture.changes {
            let Some(asked) = self.picture.asked(change.request_id) else { continue };
            let Some((about, text)) = self.of_change(change) else { continue };
            // Who owes for a place learns that it came or went; the day alone is no matter of theirs.
            let roles: &[Role] = match change.kind {
                ChangeKind::Lost | ChangeKind::Served => &[Role::GroundsLead, Role::Treasurer],
                _ => &[Role::GroundsLead],
            };
            self.post(tx, network, (asked.club_id, roles), (&about, &text), now).await?;
            self.post_to_lender(tx, network, change, now).await?;
        }
        for to in addresses(tx, network, None, &[Role::Coordinator]).await? {
            let letter = self.letter(&to, "planned again", &self.all());
            mail::post(tx, Some(network), letter, now).await?;
        }
        Ok(())
    }

    async fn post(
        &self,
        tx: &mut Tx,
        network: NetworkId,
        (club, roles): (ClubId, &[Role]),
        (about, text): (&str, &str),
        now: DateTime<Utc>,
    ) -> Result<()> {
        for to in addresses(tx, network, Some(club), roles).await? {
            mail::post(tx, Some(network), self.letter(&to, about, text), now).await?;
        }
        Ok(())
    }

    async fn post_to_lender(&self, tx: &mut Tx, network: NetworkId, change: &Change, now: DateTime<Utc>) -> Result<()> {
        let planned = self.picture.asked(change.request_id).filter(|_| change.is_of_booking());
        let Some((planned, (lender, name))) = planned.and_then(|planned| Some((planned, planned.helper.as_ref()?)))
        else {
            return Ok(());
        };
        let about = format!("{name} helps {}, on other days", planned.club_name);
        let text = format!(
            "{name} lends tractor and operator to {}, and the round was planned again.\n\n{}",
            planned.club_name,
            self.was_and_is(change)
        );
        self.post(tx, network, (*lender, &[Role::GroundsLead]), (&about, &text), now).await
    }

    /// What a club is told, as the end of a subject and a text; nothing where nothing changes for it.
    fn of_change(&self, change: &Change) -> Option<(String, String)> {
        let asked = self.picture.asked(change.request_id)?;
        let club = &asked.club_name;
        let why = self.why();
        let (about, first, last) = match change.kind {
            ChangeKind::Begun | ChangeKind::Kept if !change.is_of_neighbours() => return None,
            ChangeKind::Begun | ChangeKind::Kept => (
                format!("{club} keeps its days, its neighbours change"),
                format!("{why} {club} keeps its days; where the machine comes from or goes to changes."),
                CAUTION.to_owned(),
            ),
            ChangeKind::Lost => (
                format!("{club} has no place any more"),
                format!("{why} There is no place for {club} any more."),
                "You pay nothing for it, and it counts in your club's favour when the next round is planned.\n"
                    .to_owned(),
            ),
            ChangeKind::Served => (
                format!("a place for {club} after all"),
                format!("{why} {club}, which had none, has a place now."),
                format!("If you cannot take it, cancel the booking: others can have the time then.\n\n{CAUTION}"),
            ),
            ChangeKind::OtherMachine | ChangeKind::HalfDayMoved | ChangeKind::DayMoved => {
                (format!("{club} moves"), format!("{why} The place of {club} moves."), CAUTION.to_owned())
            }
        };
        let booking = self.booking_of(change.request_id);
        let link =
            booking.map_or_else(String::new, |id| format!("\nThe booking:\n{}/bookings/{id}\n", self.public_url));
        Some((about, format!("{first}\n\n{}\n{last}{link}", self.was_and_is(change))))
    }

    /// "Was: …" and "Now: …", each with the neighbours on the journey.
    fn was_and_is(&self, change: &Change) -> String {
        let line = |word: &str, place: Option<PlaceThen>| match place {
            None => format!("{word}: no place\n"),
            Some(place) => format!("{word}: {}\n{}", place_words(&place), around_words(&place)),
        };
        let place = |place: Option<_>| place.and_then(|place| place_then(self.picture, place));
        line("Was", place(change.before)) + &line("Now", place(change.after))
    }

    /// Everything that changes; for the coordinators.
    fn all(&self) -> String {
        let of = |change: &Change| {
            let asked = self.picture.asked(change.request_id)?;
            let words = |place: Option<_>| {
                let place = place.and_then(|place| place_then(self.picture, place));
                place.map_or_else(|| "no place".to_owned(), |place| place_words(&place))
            };
            Some(format!("- {}: {} → {}\n", asked.club_name, words(change.before), words(change.after)))
        };
        let changed = self.picture.changes.iter().filter(|change| change.is_of_booking());
        let lines: String = changed.filter_map(of).collect();
        format!("{} {}\n\n{lines}\nThe clubs concerned have been told.\n", self.why(), self.picture.sentence())
    }

    /// The ground that is closed, as a sentence.
    fn why(&self) -> String {
        let grounds: BTreeSet<_> = self.picture.closed.iter().map(|place| (&place.club, &place.ground)).collect();
        match grounds.first() {
            Some((club, ground)) if grounds.len() == 1 => {
                format!("{ground} of {club} is closed, so the round was planned again.")
            }
            Some(_) => format!("{} grounds are closed, so the round was planned again.", grounds.len()),
            None => "The round was planned again.".to_owned(),
        }
    }

    fn booking_of(&self, request: RequestId) -> Option<BookingId> {
        let changed = self.booked.iter().find(|(of, _)| *of == request).map(|(_, id)| *id);
        changed.or_else(|| Some(self.picture.booking(request)?.seen.booking_id))
    }

    fn letter(&self, to: &str, about: &str, text: &str) -> Letter {
        let round = format!("{}/rounds/{}", self.public_url, self.held.round_id);
        Letter {
            to: to.to_owned(),
            subject: format!("{}: {about}", self.held.title),
            text: format!("Hello,\n\n{text}\nThe whole round:\n{round}\n"),
        }
    }
}

fn place_words(place: &PlaceThen) -> String {
    format!("{}, {}", span_words(place.span.from, place.span.until), place.machine_name)
}

fn around_words(place: &PlaceThen) -> String {
    let from = place.comes_from.as_deref().map_or("you are the first".to_owned(), |club| format!("from {club}"));
    let to = place.goes_to.as_deref().map_or("you are the last".to_owned(), |club| format!("to {club}"));
    format!("     The machine: {from}; {to}\n")
}
