//! Loads how the demo region's machines are looked after: manuals, services, trainings, and handovers that are over.

use anyhow::{Context, Result};
use chrono::{Days, NaiveDate, NaiveTime, TimeDelta};
use serde_json::{Value, json};
use uuid::Uuid;

use super::load::{Loading, read, words};
use super::region::{CareFile, HandoverFile, ManualFile, ServiceFile, TrainingFile};
use crate::attachments::{self, NewFile};
use crate::ids::{AttachmentId, MachineId};
use crate::time::{instant, today};
use crate::{bookings, handovers, machines};

/// When the machine of a past morning was fetched, and how long it was out.
const FETCHED_AT_HOUR: u32 = 8;
const OUT_FOR: TimeDelta = TimeDelta::hours(4);

impl Loading<'_> {
    /// Loads all of it.
    pub(super) async fn care(&self, care: CareFile) -> Result<()> {
        for manual in care.manuals {
            self.manual(manual).await?;
        }
        for service in care.services {
            self.service_plan(service).await?;
        }
        for training in care.trainings {
            self.training(training).await?;
        }
        for handover in care.handovers {
            self.handed_over(handover).await?;
        }
        Ok(())
    }

    fn machine_id(&self, name: &str) -> Result<MachineId> {
        self.machines.get(name).copied().with_context(|| format!("there is no machine {name}"))
    }

    fn days_ago(&self, days: u64) -> NaiveDate {
        today(self.zone, self.now) - Days::new(days)
    }

    async fn manual(&self, file: ManualFile) -> Result<()> {
        let id = AttachmentId::new();
        let file_name = file.file.rsplit('/').next().unwrap_or_default().to_owned();
        let new = NewFile { id, club_id: None, file_name, bytes: file.bytes };
        attachments::keep(self.service, &self.coordinator, new, self.now).await.map_err(words)?;
        let wish = json!({"attachment_id": id, "title": file.title});
        let mut tx = self.tx(self.coordinator.person_id).await?;
        let machine = self.machine_id(&file.machine)?;
        handovers::add_manual(&mut tx, &self.coordinator, machine, read(wish)?).await.map_err(words)?;
        tx.commit().await.map_err(words)
    }

    async fn service_plan(&self, file: ServiceFile) -> Result<()> {
        let mut wish: serde_json::Map<String, Value> = file.rest.into_iter().collect();
        wish.insert("first_on".into(), json!(self.days_ago(file.days_ago)));
        let mut tx = self.tx(self.coordinator.person_id).await?;
        let machine = self.machine_id(&file.machine)?;
        let wish = read(wish.into())?;
        handovers::add_service(&mut tx, &self.coordinator, machine, wish, self.now).await.map_err(words)?;
        tx.commit().await.map_err(words)
    }

    async fn training(&self, file: TrainingFile) -> Result<()> {
        let mut wish: serde_json::Map<String, Value> = file.rest.into_iter().collect();
        wish.insert("club_id".into(), json!(self.club(&file.club)?));
        wish.insert("trained_on".into(), json!(self.days_ago(file.days_ago)));
        let mut tx = self.tx(self.coordinator.person_id).await?;
        handovers::note_training(&mut tx, &self.coordinator, read(wish.into())?, self.now).await.map_err(words)?;
        tx.commit().await.map_err(words)
    }

    /// Books a morning that is over, as of the day before it, and signs for it at its time.
    async fn handed_over(&self, file: HandoverFile) -> Result<()> {
        let (machine, member) = (self.machine_id(&file.machine)?, self.member(&file.by)?);
        let morning = self.days_ago(file.days_ago).and_time(NaiveTime::MIN);
        let span = json!({"from": morning, "until": morning + TimeDelta::hours(12)});
        let mut tx = self.tx(self.coordinator.person_id).await?;
        // Refused where it is available then anyway.
        if machines::add_availability(&mut tx, &self.coordinator, machine, read(span.clone())?).await.is_ok() {
            tx.commit().await.map_err(words)?;
        }
        let wish = json!({"machine_id": machine, "club_id": self.club(&file.club)?, "span": span});
        let fetched = instant(self.zone, morning + TimeDelta::hours(FETCHED_AT_HOUR.into()));
        let url = &self.service.config.public_url;
        let mut tx = self.tx(member.person_id).await?;
        let day_before = fetched - TimeDelta::days(1);
        let booking = bookings::book(&mut tx, member, read(wish)?, url, day_before).await.map_err(words)?;
        let fault = json!([{"severity": "usable", "what": file.fault}]);
        for (direction, meter_h, at, faults) in
            [("out", file.out_meter_h, fetched, json!([])), ("in", file.in_meter_h, fetched + OUT_FOR, fault)]
        {
            let wish = json!({
                "handover_id": Uuid::now_v7(), "booking_id": booking.booking_id, "direction": direction,
                "meter_h": meter_h, "tines_sound": true, "guards_sound": true, "washed_down": true,
                "signed_name": file.name, "signed_at": at, "faults": faults,
            });
            handovers::sign(&mut tx, member, read(wish)?, url, at).await.map_err(words)?;
        }
        tx.commit().await.map_err(words)
    }
}
