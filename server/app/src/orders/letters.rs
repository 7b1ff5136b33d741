//! The mails of this slice.

use chrono_tz::Tz;

use super::amounts::{Measure, clubs, per_cent};
use super::reckoning::{Part, Reckoning};
use super::store::WholeOrder;
use super::words::OrderState;
use crate::access::Recipient;
use crate::figures::pounds;
use crate::mail::Letter;
use crate::suppliers::ProductKind;
use crate::time::{day_words, instant_words};

/// Said wherever sand is on its way (common practice, no source).
const SAND_CAUTION: &str = "Bulk bags and tipping lorries can crush: keep people well clear, tip on firm level ground, \
     and follow the supplier's and local rules first.";

/// The letters about one order: what they have in common.
pub(super) struct Letters<'a> {
    whole: &'a WholeOrder,
    measure: Measure,
    link: String,
}

impl<'a> Letters<'a> {
    /// Prepares letters that point to the order's page.
    pub(super) fn about(whole: &'a WholeOrder, public_url: &str) -> Self {
        Self { whole, measure: Measure::of(whole), link: format!("{public_url}/orders/{}", whole.order.id) }
    }

    /// The order has closed, and this is the club's share.
    pub(super) fn closed(&self, to: &Recipient, reckoning: &Reckoning, part: Part) -> Letter {
        let owed = pounds(part.owed_pence());
        let lines = [
            ("Goods".to_owned(), pounds(part.share.goods_pence)),
            (format!("VAT, {}", per_cent(self.whole.order.vat_basis_points)), pounds(part.share.vat_pence)),
            ("To pay".to_owned(), owed.clone()),
            ("Alone it would be".to_owned(), pounds(part.alone_pence())),
            ("Saved together".to_owned(), pounds(part.alone_pence() - part.owed_pence())),
        ];
        let table: String = lines.iter().map(|(what, sum)| format!("{what:<18}{sum:>12}\n")).collect();
        let text = format!(
            "{} has closed: {} for {} at {}, without VAT.\n\n{}, {}:\n{table}\n{}",
            self.whole.order.title,
            self.measure.amount(reckoning.total_kg),
            clubs(self.whole.lines.len()),
            self.price(reckoning.price_pence),
            to.club_name,
            self.amount_of(to),
            self.delivery(),
        );
        self.letter(to, format!("{} has closed: {} owes {owed}", self.whole.order.title, to.club_name), &text)
    }

    /// The order will not be placed.
    pub(super) fn called_off(&self, to: &Recipient, reason: &str) -> Letter {
        let title = &self.whole.order.title;
        let text = format!(
            "{title} was called off. The reason: {reason}\n\n{} had {} in it and owes nothing for it.\n",
            to.club_name,
            self.amount_of(to)
        );
        self.letter(to, format!("{title} was called off"), &text)
    }

    /// The order closes within a day.
    pub(super) fn closes_tomorrow(&self, to: &Recipient, so_far: &Reckoning, zone: Tz) -> Letter {
        let closing = format!("{} closes {}", self.whole.order.title, instant_words(zone, self.whole.order.closes_at));
        let together = match self.whole.lines.len() {
            0 => "Nobody has joined yet.".to_owned(),
            joined => format!(
                "So far {} for {} at {}, without VAT.",
                self.measure.amount(so_far.total_kg),
                clubs(joined),
                self.price(so_far.price_pence)
            ),
        };
        let own = match self.whole.lines.iter().any(|line| line.club_id == to.club_id) {
            true => format!("{} has {} in it. You can change that until then.", to.club_name, self.amount_of(to)),
            false => format!("{} is not in it. You can join until then.", to.club_name),
        };
        let text = format!("{closing}.\n\n{together}{}\n{own}\n", self.still_missing(so_far.total_kg));
        self.letter(to, closing, &text)
    }

    /// The order was placed, delivered or settled. None for a state that is told otherwise.
    pub(super) fn moved(&self, to: &Recipient, state: OrderState) -> Option<Letter> {
        let title = &self.whole.order.title;
        let (subject, text) = match state {
            OrderState::Placed => {
                let placed = format!("{title} is placed with {}", self.whole.supplier.name);
                let text = format!("{placed}.\n\n{}", self.delivery());
                (placed, text)
            }
            OrderState::Delivered => {
                (format!("{title} is delivered"), format!("{title} is marked as delivered, to every club in it.\n"))
            }
            OrderState::Settled => {
                (format!("{title} is settled"), format!("{title} is settled: the invoice is paid as it was shared.\n"))
            }
            OrderState::Gathering | OrderState::Closed | OrderState::CalledOff => return None,
        };
        let own = format!("{text}\n{} has {} in it.\n", to.club_name, self.amount_of(to));
        Some(self.letter(to, subject, &own))
    }

    fn letter(&self, to: &Recipient, subject: String, text: &str) -> Letter {
        let text = format!("Hello {},\n\n{text}\nThe order: {}\n", to.name, self.link);
        Letter { to: to.email.clone(), subject, text }
    }

    fn price(&self, pence: i64) -> String {
        format!("{} for each {}", pounds(pence), self.measure.unit())
    }

    fn amount_of(&self, to: &Recipient) -> String {
        let own = self.whole.lines.iter().find(|line| line.club_id == to.club_id);
        self.measure.amount(own.map_or(0, |line| line.quantity_kg))
    }

    fn delivery(&self) -> String {
        let order = &self.whole.order;
        let (from, until) = (day_words(order.delivery_from_on), day_words(order.delivery_until_on));
        let caution = match self.whole.product.kind {
            ProductKind::Sand => format!("{SAND_CAUTION}\n"),
            ProductKind::Seed | ProductKind::Feed | ProductKind::Other => String::new(),
        };
        format!("Delivery from {}: {from} to {until}.\n{caution}", self.whole.supplier.name)
    }

    /// What another line would do: make the order large enough, or cheaper.
    fn still_missing(&self, total_kg: i64) -> String {
        let smallest_kg = self.whole.order.smallest_kg;
        if total_kg < smallest_kg {
            return format!(" Below {} it is called off.", self.measure.amount(smallest_kg));
        }
        let next = self.whole.price_list().ok().and_then(|list| list.next_break(total_kg));
        next.map_or_else(String::new, |next| {
            format!(" With {} more it is {}.", self.measure.amount(next.missing_kg), pounds(next.price_pence))
        })
    }
}
