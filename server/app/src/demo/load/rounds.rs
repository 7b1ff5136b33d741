//! Rounds of the invented region: opened by the coordinator, asked for by the clubs, some closed at once.

use anyhow::{Context, Result};
use chrono::{NaiveDateTime, TimeDelta};
use serde_json::{Map, Value, json};

use super::super::region::{HireFile, RequestFile, RoundFile, SpanFile};
use super::{Loading, read, words};
use crate::hires;
use crate::ids::RoundId;

/// Length of a half-day of wall time.
const HALF_DAY: TimeDelta = TimeDelta::hours(12);

impl Loading<'_> {
    pub(super) async fn round(&mut self, file: RoundFile) -> Result<()> {
        let closes_at = self.closing(file.closes_in_days);
        let mut wishes = file.hires.iter().map(|hire| self.hire(hire)).collect::<Result<Vec<_>>>()?.into_iter();
        let mut said: Map<String, Value> = file.rest.into_iter().collect();
        said.insert("requests_close_at".into(), json!(closes_at));
        said.insert("hire".into(), wishes.next().context("a round begins with a hire")?);
        let mut tx = self.tx(self.coordinator.person_id).await?;
        let round =
            hires::open_round(&mut tx, &self.coordinator, &read(said.into())?, self.now).await.map_err(words)?;
        for wish in wishes {
            hires::add_hire(&mut tx, &self.coordinator, round.round_id, &read(wish)?).await.map_err(words)?;
        }
        tx.commit().await.map_err(words)?;
        for request in file.requests {
            let club = request.club.clone();
            self.request(round.round_id, request).await.context(club)?;
        }
        if file.closes_in_days == 0 {
            hires::close_requests(self.service, self.network, round.round_id, closes_at).await.map_err(words)?;
        }
        Ok(())
    }

    pub(super) fn hire(&self, file: &HireFile) -> Result<Value> {
        let mut said: Map<String, Value> = file.rest.clone().into_iter().collect();
        said.insert("machine_id".into(), json!(self.machines.get(&file.machine).context("there is no such machine")?));
        said.insert(
            "supplier_id".into(),
            json!(self.suppliers.get(&file.supplier).context("there is no such supplier")?),
        );
        said.insert("span".into(), json!({"from": self.shifted(file.from), "until": self.shifted(file.until)}));
        Ok(said.into())
    }

    async fn request(&self, round: RoundId, file: RequestFile) -> Result<()> {
        let club = self.club(&file.club)?;
        let pitches = file.pitches.iter().map(|name| self.pitch(club, name)).collect::<Result<Vec<_>>>()?;
        let helper = file.helper_club.map(|name| self.club(&name)).transpose()?;
        let half_days: Vec<_> = file.half_days.iter().flat_map(|span| self.half_days(span)).collect();
        let wishes: Vec<_> = file.wishes.into_iter().map(|day| self.shifted(day)).collect();
        let mut said: Map<String, Value> = file.rest.into_iter().collect();
        said.insert("club_id".into(), json!(club));
        said.insert("ground_id".into(), json!(self.grounds.get(&file.ground).context("there is no such ground")?));
        said.insert("pitch_ids".into(), json!(pitches));
        said.insert("helper_club_id".into(), json!(helper));
        said.insert("half_days".into(), json!(half_days));
        said.insert("wishes".into(), json!(wishes));
        let member = self.member(&file.by)?;
        let mut tx = self.tx(member.person_id).await?;
        hires::ask(&mut tx, member, round, &read(said.into())?).await.map_err(words)?;
        tx.commit().await.map_err(words)
    }

    /// The half-days of a span, each by its beginning.
    fn half_days(&self, span: &SpanFile) -> Vec<NaiveDateTime> {
        let until = self.shifted(span.until);
        std::iter::successors(Some(self.shifted(span.from)), |at| Some(*at + HALF_DAY))
            .take_while(|at| *at < until)
            .collect()
    }
}
