//! Rounds of earlier years: what is remembered of them, who had what was hired, and what it came to.

use anyhow::{Context, Result};
use chrono::{Datelike, NaiveDate, NaiveTime, TimeDelta};
use serde_json::json;
use uuid::Uuid;

use super::super::region::{HireFile, OutcomeFile, PastRoundFile};
use super::{Loading, read, words};
use crate::bookings::{RoundChange, RoundPlace};
use crate::hires::{CreateHire, KeptRound, PastRound};
use crate::ids::{BookingId, HireId, MachineId};
use crate::machines::Span;
use crate::time::instant;
use crate::{bookings, handovers, hire_shares, hires, turns};

/// So long before its first day a past round was agreed.
const AGREED_BEFORE: TimeDelta = TimeDelta::days(9);
/// So long before a place ended its machine was taken over.
const OUT_FOR: TimeDelta = TimeDelta::hours(8);

impl Loading<'_> {
    /// Enters a round of an earlier year as of the time it was agreed: its turns, and what was hired for it.
    pub(super) async fn past_round(&self, file: PastRoundFile) -> Result<()> {
        let past = self.remembered(&file)?;
        let mut tx = self.tx(self.coordinator.person_id).await?;
        let kept = hires::record_past_round(&mut tx, &self.coordinator, &past, self.now).await.map_err(words)?;
        let served = kept.requests.iter().zip(&past.asked).zip(&file.outcomes);
        let outcomes: Vec<_> =
            served.map(|((request, (club, ..)), outcome)| (*request, *club, outcome_of(outcome))).collect();
        let agreed_at = (past.from_on.and_time(NaiveTime::MIN) - AGREED_BEFORE).and_utc();
        turns::enter(&mut tx, self.network, (kept.round_id, past.from_on), &outcomes, agreed_at)
            .await
            .map_err(words)?;
        tx.commit().await.map_err(words)?;
        let (Some(hired), Some(&hire)) = (past.hires.first(), kept.hires.first()) else { return Ok(()) };
        self.had(&file, &past, &kept, hired.machine_id).await?;
        match file.paid_invoice_pence {
            Some(pence) => self.paid(hire, pence).await,
            None => Ok(()),
        }
    }

    fn remembered(&self, file: &PastRoundFile) -> Result<PastRound> {
        let (from_on, until_on) = (self.shifted(file.from_on), self.shifted(file.until_on));
        let asked = file.outcomes.iter().map(|outcome| {
            let club = self.club(&outcome.club)?;
            let ground = *self.grounds.get(&outcome.ground).context("there is no such ground")?;
            let pitches = outcome.pitches.iter().map(|name| self.pitch(club, name)).collect::<Result<Vec<_>>>()?;
            Ok((club, ground, pitches))
        });
        Ok(PastRound {
            title: title(&file.title, from_on),
            from_on,
            until_on,
            asked: asked.collect::<Result<Vec<_>>>()?,
            hires: file.hire.iter().map(|hire| self.past_hire(hire)).collect::<Result<Vec<_>>>()?,
        })
    }

    fn past_hire(&self, file: &HireFile) -> Result<CreateHire> {
        read(self.hire(file)?)
    }

    /// Books what clubs had of the hired machine, and signs for it where its hour meter was read.
    async fn had(&self, file: &PastRoundFile, past: &PastRound, kept: &KeptRound, machine: MachineId) -> Result<()> {
        let mut changes = Vec::new();
        let mut meters = Vec::new();
        for ((request, (club, _, pitches)), outcome) in kept.requests.iter().zip(&past.asked).zip(&file.outcomes) {
            let Some(had) = &outcome.had else { continue };
            let span: Span = read(json!({"from": self.shifted(had.from), "until": self.shifted(had.until)}))?;
            changes.push(RoundChange::Book(RoundPlace {
                round_id: kept.round_id,
                request_id: *request,
                club_id: *club,
                machine_id: machine,
                hired: true,
                span: span.parse().map_err(words)?,
                pitch_ids: pitches.clone(),
                booked_by: self.coordinator.person_id,
            }));
            meters.push((span, outcome.meter_h));
        }
        let mut tx = self.tx(self.coordinator.person_id).await?;
        let url = &self.service.config.public_url;
        let booked = bookings::change_for_round(&mut tx, self.network, &changes, url, self.now).await.map_err(words)?;
        tx.commit().await.map_err(words)?;
        for ((_, booking), (span, meter_h)) in booked.into_iter().zip(meters) {
            if let Some(meter_h) = meter_h {
                self.signed(booking, span, meter_h).await?;
            }
        }
        Ok(())
    }

    /// Signs for a booking at both ends.
    async fn signed(&self, booking: BookingId, span: Span, meter_h: [f64; 2]) -> Result<()> {
        let (out, back) = (instant(self.zone, span.until) - OUT_FOR, instant(self.zone, span.until));
        for ((direction, at), meter_h) in [("out", out), ("in", back)].into_iter().zip(meter_h) {
            let wish = json!({
                "handover_id": Uuid::now_v7(), "booking_id": booking, "direction": direction, "meter_h": meter_h,
                "tines_sound": true, "guards_sound": true, "washed_down": true,
                "signed_name": "From the coordinator's notebook", "signed_at": at,
            });
            let mut tx = self.tx(self.coordinator.person_id).await?;
            let url = &self.service.config.public_url;
            handovers::sign(&mut tx, &self.coordinator, read(wish)?, url, at).await.map_err(words)?;
            tx.commit().await.map_err(words)?;
        }
        Ok(())
    }

    /// Shares what the supplier asked by the shipped rule, and settles it.
    async fn paid(&self, hire: HireId, invoice_pence: i64) -> Result<()> {
        let wish = json!({
            "invoice_pence": invoice_pence, "rule": "equal_discount", "fund_carries": false, "counters": null, "note": "",
        });
        let url = &self.service.config.public_url;
        let mut tx = self.tx(self.coordinator.person_id).await?;
        let entered = hire_shares::enter_shares(&mut tx, &self.coordinator, url, hire, &read(wish)?, self.now).await;
        let entered = serde_json::to_value(entered.map_err(words)?)?;
        let statement = entered.pointer("/entered/statement_id").context("nothing was entered")?;
        let said = read(json!({"statement_id": statement}))?;
        hire_shares::settle(&mut tx, &self.coordinator, url, hire, said, self.now).await.map_err(words)?;
        tx.commit().await.map_err(words)
    }
}

fn title(of: &str, from_on: NaiveDate) -> String {
    format!("{of} {}", from_on.year())
}

fn outcome_of(file: &OutcomeFile) -> turns::Outcome {
    match file.left_out {
        true => turns::Outcome::LeftOut,
        false => turns::Outcome::Served { wish: file.wish, firsts: file.firsts, wished: file.wished },
    }
}
