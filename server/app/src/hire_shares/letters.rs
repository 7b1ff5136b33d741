//! The mails of this slice: to each club that had the machine, what it owes, and that it is settled.

use std::collections::HashMap;

use chrono::{DateTime, Utc};

use super::facts::Facts;
use super::store::{self, ShareRow, StatementRow};
use super::words::ShareRule;
use crate::access::{Recipient, Role, recipients};
use crate::database::Tx;
use crate::error::Result;
use crate::figures::pounds;
use crate::ids::{ClubId, NetworkId};
use crate::mail::{self, Letter};
use crate::time::span_words;

/// Who is told what their club owes.
const TOLD_OF_MONEY: [Role; 2] = [Role::GroundsLead, Role::Treasurer];

/// The letters about the statement of a hire that stands.
pub(super) struct Letters<'a> {
    network: NetworkId,
    hire: String,
    machine: &'a str,
    statement: &'a StatementRow,
    shares: HashMap<ClubId, ShareRow>,
    link: String,
}

impl<'a> Letters<'a> {
    /// Prepares letters that point to the page of the round's costs; none where nothing was entered.
    pub(super) async fn of(
        tx: &mut Tx,
        network: NetworkId,
        facts: &'a Facts,
        public_url: &str,
    ) -> Result<Option<Self>> {
        let Some(statement) = &facts.standing else { return Ok(None) };
        let shares = store::shares_of(tx, network, statement.id).await?;
        let span = facts.hire.span.0;
        Ok(Some(Self {
            network,
            hire: format!("The hire of {}, {}", facts.machine_name, span_words(span.from(), span.until())),
            machine: &facts.machine_name,
            statement,
            shares: shares.into_iter().map(|share| (share.club_id, share)).collect(),
            link: format!("{public_url}/rounds/{}/shares", facts.hire.round_id),
        }))
    }

    /// Tells every club what it owes.
    pub(super) async fn post_entered(&self, tx: &mut Tx, now: DateTime<Utc>) -> Result<()> {
        self.post(tx, now, |to, share| self.entered(to, share)).await
    }

    /// Tells every club that nothing is owed any more.
    pub(super) async fn post_settled(&self, tx: &mut Tx, now: DateTime<Utc>) -> Result<()> {
        self.post(tx, now, |to, share| {
            let subject = format!("The hire of {} is settled", self.machine);
            let text = format!(
                "{} is settled: the invoice is paid as it was shared.\n\n{} had {} in it.\n",
                self.hire,
                to.club_name,
                pounds(share.owes_pence())
            );
            self.letter(to, subject, &text)
        })
        .await
    }

    async fn post(
        &self,
        tx: &mut Tx,
        now: DateTime<Utc>,
        write: impl Fn(&Recipient, &ShareRow) -> Letter,
    ) -> Result<()> {
        let clubs: Vec<ClubId> = self.shares.keys().copied().collect();
        for to in recipients(tx, self.network, Some(&clubs), &TOLD_OF_MONEY).await? {
            if let Some(share) = self.shares.get(&to.club_id) {
                mail::post(tx, Some(self.network), write(&to, share), now).await?;
            }
        }
        Ok(())
    }

    fn entered(&self, to: &Recipient, share: &ShareRow) -> Letter {
        let owes = pounds(share.owes_pence());
        let lines = [
            ("Alone it would be", share.alone_pence),
            ("Saved together", share.alone_pence - share.share_pence),
            ("Share of the hire", share.share_pence),
            ("Lent tractor", share.helper_pence),
            ("To pay", share.owes_pence()),
        ];
        let lent = share.helper_pence > 0;
        let shown = lines.iter().filter(|(what, _)| lent || !["Lent tractor", "Share of the hire"].contains(what));
        let table: String = shown.map(|(what, pence)| format!("{what:<18}{:>12}\n", pounds(*pence))).collect();
        let text = format!(
            "{} came to {} and is shared: {} owes {owes}.\n{}\n{table}\n{}\n",
            self.hire,
            pounds(self.statement.total_pence()),
            to.club_name,
            self.instead(),
            self.rule()
        );
        self.letter(to, format!("{}: {} owes {owes}", self.machine, to.club_name), &text)
    }

    fn instead(&self) -> &'static str {
        match self.statement.counters {
            Some(_) => "This takes the place of what was entered before.\n",
            None => "",
        }
    }

    fn rule(&self) -> String {
        if self.statement.fund_pence > 0 {
            let fund = pounds(self.statement.fund_pence);
            return format!(
                "Each club pays what it would pay hiring alone; the network's fund carries the rest, {fund}."
            );
        }
        let rule = match self.statement.rule {
            ShareRule::EqualDiscount => "Every club saves the same per cent of what it would pay hiring alone.",
            ShareRule::ByHours => "Every club pays by its minutes of work.",
            ShareRule::Shapley => "Every club pays what it adds to the others, averaged over every order of clubs.",
        };
        rule.to_owned()
    }

    fn letter(&self, to: &Recipient, subject: String, text: &str) -> Letter {
        let text = format!("Hello {},\n\n{text}\nHow it comes about: {}\n", to.name, self.link);
        Letter { to: to.email.clone(), subject, text }
    }
}
