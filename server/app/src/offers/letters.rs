//! The mails of this slice.
//!
//! The link in an offer opens the page with the two buttons and needs somebody who is signed in: mails are passed on,
//! and an answer commits a club.

use chrono_tz::Tz;
use diesel_async::AsyncPgConnection;

use super::store::OfferRow;
use crate::error::Result;
use crate::figures::pounds;
use crate::hires::{HeldRound, PlaceFacts};
use crate::ids::{NetworkId, RoundId};
use crate::mail::Letter;
use crate::time::{instant_words, span_words, zone_of};

/// What everybody forgets once. (Common practice; the maker's manual goes further.)
const CAUTION: &str = "Before it moves: guards fitted and the shaft cover spinning free; check what your vehicle may tow and \
     the local rules. The maker's manual comes first.\n";

/// The letters about one round: what they have in common.
pub(super) struct Letters {
    title: String,
    round: RoundId,
    zone: Tz,
    public_url: String,
}

impl Letters {
    /// Prepares letters about a round. Scope: the network.
    pub(super) async fn about(
        tx: &mut AsyncPgConnection,
        network: NetworkId,
        held: &HeldRound,
        public_url: &str,
    ) -> Result<Self> {
        Ok(Self {
            title: held.title.clone(),
            round: held.round_id,
            zone: zone_of(tx, network).await?,
            public_url: public_url.to_owned(),
        })
    }

    /// A place is offered.
    pub(super) fn offered(&self, to: &str, offer: &OfferRow) -> Letter {
        let first = format!("{} of {} can have this place in the round.", offer.ground, offer.club);
        self.to_answer(to, offer, (&first, "please answer"))
    }

    /// A place waits for an answer.
    pub(super) fn reminder(&self, to: &str, offer: &OfferRow) -> Letter {
        let first =
            format!("The coordinator waits for your answer about this place for {} of {}.", offer.ground, offer.club);
        self.to_answer(to, offer, (&first, "no answer yet"))
    }

    fn to_answer(&self, to: &str, offer: &OfferRow, (first, about): (&str, &str)) -> Letter {
        let text = format!(
            "{first} Please accept or decline by {}.\n\n{}{}{}\nAccept or decline here:\n{}\n\n\
             A place that is declined, or not answered in time, can go to another club.\n",
            instant_words(self.zone, offer.answer_by),
            place_words(offer),
            wish_words(offer.wish_rank),
            expected_words(offer),
            self.link(),
        );
        letter(to, format!("{}: a place for {}, {about}", self.title, offer.club), &text)
    }

    /// Somebody who is not of the club answered for it.
    pub(super) fn answered_for(&self, to: &str, offer: &OfferRow, accepted: bool) -> Letter {
        let (did, tail) = match accepted {
            true => ("accepted", "It is booked when all clubs have answered."),
            false => ("declined", "You keep your request; the place can go to another club."),
        };
        let text = format!(
            "The coordinator {did} this place for {}. If that is not what was said, tell the coordinator today.\n\n{}\n{tail}\n\n{}\n",
            offer.club,
            place_words(offer),
            self.link()
        );
        letter(to, format!("{}: the coordinator {did} for {}", self.title, offer.club), &text)
    }

    /// A club does not want its place; for the coordinators.
    pub(super) fn declined(&self, to: &str, offer: &OfferRow, reason: &str) -> Letter {
        let said = if reason.is_empty() { ".".to_owned() } else { format!(", saying:\n\n{reason}") };
        let text = format!(
            "{} declined its place{said}\n\n{}\nWho has answered:\n{}\n",
            offer.club,
            place_words(offer),
            self.link()
        );
        letter(to, format!("{}: {} declined", self.title, offer.club), &text)
    }

    /// Nobody answered in time.
    pub(super) fn lapsed(&self, to: &str, offer: &OfferRow) -> Letter {
        let text = format!(
            "Nobody of {} answered in time, so this place is no longer held for you.\n\n{}\n\
             Speak to your coordinator if you still want one.\n\n{}\n",
            offer.club,
            place_words(offer),
            self.link()
        );
        letter(to, format!("{}: the offer to {} has lapsed", self.title, offer.club), &text)
    }

    /// The coordinator took a place back.
    pub(super) fn taken_back(&self, to: &str, offer: &OfferRow, reason: &str) -> Letter {
        let text = format!(
            "The coordinator took the offered places back, saying:\n\n{reason}\n\nIt concerns this place:\n{}\n\
             You keep your request; a new plan will be offered.\n\n{}\n",
            place_words(offer),
            self.link()
        );
        letter(to, format!("{}: the offer to {} was taken back", self.title, offer.club), &text)
    }

    /// The round is agreed and this place is booked.
    pub(super) fn agreed(&self, to: &str, offer: &OfferRow) -> Letter {
        let booking = offer.booking_id.map_or_else(String::new, |id| format!("{}/bookings/{id}", self.public_url));
        let text = format!(
            "The round is agreed, and the place of {} is booked.\n\n{}\n{CAUTION}\nThe booking:\n{booking}\n\n\
             What each club pays:\n{}/rounds/{}/shares\n\nThe whole round:\n{}\n",
            offer.club,
            place_words(offer),
            self.public_url,
            self.round,
            self.link()
        );
        letter(to, format!("{}: {} is booked", self.title, offer.club), &text)
    }

    /// The round is agreed and this club's tractor and operator go to a neighbour.
    pub(super) fn lend(&self, to: &str, offer: &OfferRow) -> Letter {
        let text = format!(
            "The round is agreed. {} lends tractor and operator to {}, as asked.\n\n{}\n{CAUTION}\n{}\n",
            offer.crew_club,
            offer.club,
            place_words(offer),
            self.link()
        );
        letter(to, format!("{}: {} helps {}", self.title, offer.crew_club, offer.club), &text)
    }

    /// The round is agreed and this request has no place.
    pub(super) fn left_out(&self, to: &str, place: &PlaceFacts) -> Letter {
        let text = format!(
            "The round is agreed, and there was no place for {} of {}. That counts in your club's favour when the next round \
             is planned.\n\nWho has which days, and what would have made room:\n{}\n",
            place.ground_name,
            place.club_name,
            self.link()
        );
        letter(to, format!("{}: no place for {} this time", self.title, place.club_name), &text)
    }

    /// The round was agreed before this club had answered.
    pub(super) fn not_waited(&self, to: &str, offer: &OfferRow) -> Letter {
        let text = format!(
            "The coordinator agreed the round before an answer of {} came, so this place was taken back. That counts in \
             your club's favour when the next round is planned.\n\n{}\n{}\n",
            offer.club,
            place_words(offer),
            self.link()
        );
        letter(to, format!("{}: the place for {} was taken back", self.title, offer.club), &text)
    }

    /// The bookings are made; for the coordinators.
    pub(super) fn all_booked(&self, to: &str, places: usize) -> Letter {
        let booked = if places == 1 { "One place is".to_owned() } else { format!("{places} places are") };
        let text = format!("The round is agreed. {booked} booked, and the clubs have been told.\n\n{}\n", self.link());
        letter(to, format!("{}: agreed", self.title), &text)
    }

    /// Nobody took a place.
    pub(super) fn nobody_took(&self, to: &str) -> Letter {
        let text = format!("No club took a place. Plan the round again, or call it off.\n\n{}\n", self.link());
        letter(to, format!("{}: nobody took a place", self.title), &text)
    }

    /// All have answered and something stands in the way of the bookings.
    pub(super) fn stuck(&self, to: &str, why: &str) -> Letter {
        let text = format!(
            "The answers are in, but the round could not be booked.\n\n{why}\n\n\
             Take the offers back and have the round planned again:\n{}\n",
            self.link()
        );
        letter(to, format!("{}: it could not be booked", self.title), &text)
    }

    fn link(&self) -> String {
        format!("{}/rounds/{}/offers", self.public_url, self.round)
    }
}

fn letter(to: &str, subject: String, text: &str) -> Letter {
    Letter { to: to.to_owned(), subject, text: format!("Hello,\n\n{text}") }
}

fn place_words(offer: &OfferRow) -> String {
    let lent = if offer.is_lent() { format!("Tractor: lent by {}\n", offer.crew_club) } else { String::new() };
    format!(
        "When: {}\nMachine: {}\nGround: {}\n{lent}",
        span_words(offer.span.0.from(), offer.span.0.until()),
        offer.machine,
        offer.ground
    )
}

/// Which wish a place is, as a line.
fn wish_words(rank: Option<i32>) -> String {
    let which = match rank {
        Some(1) => "your first choice",
        Some(2) => "your second choice",
        Some(3) => "your third choice",
        Some(_) => "your fourth choice",
        None => "a day you allowed, none of those you liked best",
    };
    format!("The day: {which}\n")
}

fn expected_words(offer: &OfferRow) -> String {
    match offer.expected_pence {
        Some(pence) => format!(
            "Expected share of the hire: {} (it is settled when the hire is over; never more than hiring alone)\n",
            pounds(pence)
        ),
        None => String::new(),
    }
}
