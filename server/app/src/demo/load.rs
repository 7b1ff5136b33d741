//! Loads a region through the same functions the API's handlers call, as the people it names: what the API would refuse, the
//! demo cannot hold. Deterministic but for the identifiers.

mod past_rounds;
mod rounds;

use std::collections::HashMap;

use anyhow::{Context, Result, anyhow};
use chrono::{DateTime, Datelike, Days, Months, NaiveDate, NaiveDateTime, NaiveTime, TimeDelta, Utc};
use chrono_tz::Tz;
use diesel::prelude::*;
use diesel_async::RunQueryDsl;
use serde::de::DeserializeOwned;
use serde_json::{Value, json};

use super::PASSWORD;
use super::region::{BookingRow, MachineFile, OrderFile, PastRoundFile, PersonRow, Region, WalkRow};
use crate::access::{Member, Password, Role, find_or_make_person, make_member};
use crate::database::{Scope, Tx};
use crate::error::Error;
use crate::ids::{ClubId, GroundId, MachineId, NetworkId, PersonId, PitchId};
use crate::schema;
use crate::service::Service;
use crate::time::{instant, local, today, zone_parse};
use crate::{bookings, clubs, machines, network, orders, suppliers, walks};

/// The May the files are written for.
const WRITTEN_FOR_YEAR: i32 = 2027;
/// Orders close at this hour, local.
const CLOSING_HOUR: u32 = 20;
/// An order or a round that is to be closed already takes its lines or requests within this time of the loading.
const LINES_COME_WITHIN: TimeDelta = TimeDelta::minutes(1);

/// Loads everything.
///
/// # Errors
/// Names the row that was refused, and why.
pub(super) async fn load(service: &Service, region: Region, now: DateTime<Utc>) -> Result<()> {
    let mut loading = Loading::begin(service, &region, now).await?;
    loading.places(region.places).await?;
    for person in region.people {
        loading.person(person).await?;
    }
    for supplier in region.suppliers {
        let wish =
            json!({"name": supplier.name, "email": supplier.email, "phone": supplier.phone, "note": supplier.note});
        loading.supplier(&supplier.name, wish).await.with_context(|| supplier.name.clone())?;
    }
    for product in region.products {
        let wish = json!({
            "name": product.name, "kind": product.kind, "sold_by": product.sold_by, "bag_kg": product.bag_kg,
            "vat_basis_points": product.vat_basis_points, "note": product.note,
        });
        loading.product(&product.name, wish).await.with_context(|| product.name.clone())?;
    }
    for machine in region.machines {
        let name = machine.name.clone();
        loading.machine(machine).await.context(name)?;
    }
    for booking in region.bookings {
        let what = format!("{} for {} from {}", booking.machine, booking.club, booking.from);
        loading.booking(booking).await.context(what)?;
    }
    for order in region.orders {
        let what = format!("order of {}", order.product);
        loading.order(order).await.context(what)?;
    }
    let years_on = loading.years_on;
    // In spring the coming May is next year's already, and this year's is not past yet.
    let ahead = |past: &PastRoundFile| loading.shifted(past.until_on) >= today(loading.zone, now);
    loading.years_on -= i32::from(region.past_rounds.iter().any(ahead));
    for past in region.past_rounds {
        loading.past_round(past).await.context("a past round")?;
    }
    loading.years_on = years_on;
    for round in region.rounds {
        loading.round(round).await.context("a round")?;
    }
    loading.care(region.care).await.context("care.json")?;
    for rows in region.walks.chunk_by(|one, next| one.walk == next.walk) {
        loading.walk(rows).await.with_context(|| rows.first().map(|row| row.walk.clone()).unwrap_or_default())?;
    }
    Ok(())
}

/// What has been loaded so far, by the names the files use.
pub(super) struct Loading<'a> {
    pub(super) service: &'a Service,
    network: NetworkId,
    pub(super) coordinator: Member,
    members: HashMap<String, Member>,
    clubs: HashMap<String, ClubId>,
    grounds: HashMap<String, GroundId>,
    pitches: HashMap<(ClubId, String), PitchId>,
    pub(super) machines: HashMap<String, MachineId>,
    suppliers: HashMap<String, Value>,
    products: HashMap<String, Value>,
    password_hash: String,
    pub(super) zone: Tz,
    pub(super) now: DateTime<Utc>,
    /// Whole years from the season the files are written for to the coming one.
    years_on: i32,
}

impl<'a> Loading<'a> {
    async fn begin(service: &'a Service, region: &Region, now: DateTime<Utc>) -> Result<Self> {
        let id = NetworkId::new();
        let file = &region.network;
        let zone = zone_parse(&file.time_zone).map_err(words)?;
        let password_hash = Password::parse(PASSWORD).map_err(words)?.hash().await.map_err(words)?;
        let mut tx = service.db.begin(Scope::Access).await.map_err(words)?;
        let (name, email) = (&file.coordinator.name, &file.coordinator.email);
        let person_id = find_or_make_person(&mut tx, email, name, &password_hash).await.map_err(words)?;
        tx.speak_for(Scope::Network(id)).await.map_err(words)?;
        network::found(&mut tx, id, &file.name, &file.time_zone).await.map_err(words)?;
        make_member(&mut tx, id, person_id, Role::Coordinator, None).await.map_err(words)?;
        tx.commit().await.map_err(words)?;
        // By then the rounds of May could no longer take requests for as long as the files say.
        let too_late = NaiveDate::from_ymd_opt(today(zone, now).year(), 4, 1).unwrap_or_default();
        let coming = today(zone, now).year() + i32::from(today(zone, now) >= too_late);
        Ok(Self {
            service,
            network: id,
            coordinator: Member { network_id: id, person_id, roles: vec![(Role::Coordinator, None)] },
            members: HashMap::new(),
            clubs: HashMap::new(),
            grounds: HashMap::new(),
            pitches: HashMap::new(),
            machines: HashMap::new(),
            suppliers: HashMap::new(),
            products: HashMap::new(),
            password_hash,
            zone,
            now,
            years_on: (coming - WRITTEN_FOR_YEAR).max(0),
        })
    }

    pub(super) async fn tx(&self, person: PersonId) -> Result<Tx> {
        self.service.db.begin(Scope::Member(self.network, person)).await.map_err(words)
    }

    pub(super) fn club(&self, name: &str) -> Result<ClubId> {
        self.clubs.get(name).copied().with_context(|| format!("there is no club {name}"))
    }

    fn pitch(&self, club: ClubId, name: &str) -> Result<PitchId> {
        self.pitches.get(&(club, name.to_owned())).copied().with_context(|| format!("there is no pitch {name}"))
    }

    pub(super) fn member(&self, email: &str) -> Result<&Member> {
        self.members.get(email).with_context(|| format!("there is no person {email}"))
    }

    fn shifted<T: std::ops::Add<Months, Output = T>>(&self, date: T) -> T {
        date + Months::new(u32::try_from(self.years_on * 12).unwrap_or_default())
    }

    async fn places(&mut self, csv: String) -> Result<()> {
        let mut tx = self.tx(self.coordinator.person_id).await?;
        let wish = clubs::CreateImport { csv, dry_run: false };
        let report = clubs::import_places(&mut tx, &self.coordinator, &wish).await.map_err(words)?;
        anyhow::ensure!(report.faults.is_empty(), "places.csv has faults: {:?}", report.faults);
        let names = schema::clubs::table.select((schema::clubs::name, schema::clubs::id));
        self.clubs = names.load(&mut *tx).await?.into_iter().collect();
        let names = schema::grounds::table.select((schema::grounds::name, schema::grounds::id));
        self.grounds = names.load(&mut *tx).await?.into_iter().collect();
        let names = (schema::pitches::club_id, schema::pitches::name, schema::pitches::id);
        let rows: Vec<(ClubId, String, PitchId)> = schema::pitches::table.select(names).load(&mut *tx).await?;
        self.pitches = rows.into_iter().map(|(club, name, id)| ((club, name), id)).collect();
        tx.commit().await.map_err(words)
    }

    async fn person(&mut self, row: PersonRow) -> Result<()> {
        let club = self.club(&row.club)?;
        let role = Role::parse(&row.role).with_context(|| format!("there is no role {}", row.role))?;
        let mut tx = self.service.db.begin(Scope::Access).await.map_err(words)?;
        let id = find_or_make_person(&mut tx, &row.email, &row.name, &self.password_hash).await.map_err(words)?;
        tx.speak_for(Scope::Network(self.network)).await.map_err(words)?;
        make_member(&mut tx, self.network, id, role, Some(club)).await.map_err(words)?;
        tx.commit().await.map_err(words)?;
        let nobody_yet = || Member { network_id: self.network, person_id: id, roles: Vec::new() };
        self.members.entry(row.email).or_insert_with(nobody_yet).roles.push((role, Some(club)));
        Ok(())
    }

    async fn supplier(&mut self, name: &str, wish: Value) -> Result<()> {
        let mut tx = self.tx(self.coordinator.person_id).await?;
        let made = suppliers::add_supplier(&mut tx, &self.coordinator, &read(wish)?).await.map_err(words)?;
        tx.commit().await.map_err(words)?;
        self.suppliers.insert(name.to_owned(), id_of(&made, "supplier_id")?);
        Ok(())
    }

    async fn product(&mut self, name: &str, wish: Value) -> Result<()> {
        let mut tx = self.tx(self.coordinator.person_id).await?;
        let made = suppliers::add_product(&mut tx, &self.coordinator, &read(wish)?).await.map_err(words)?;
        tx.commit().await.map_err(words)?;
        self.products.insert(name.to_owned(), id_of(&made, "product_id")?);
        Ok(())
    }

    async fn machine(&mut self, file: MachineFile) -> Result<()> {
        let owner = file.owner_club.map(|club| self.club(&club)).transpose()?;
        let named = file.named_clubs.iter().map(|club| self.club(club)).collect::<Result<Vec<_>>>()?;
        let mut entry: serde_json::Map<String, Value> = file.rest.into_iter().collect();
        entry.insert("name".into(), json!(file.name));
        entry.insert("owner_club_id".into(), json!(owner));
        entry.insert("named_club_ids".into(), json!(named));
        let mut tx = self.tx(self.coordinator.person_id).await?;
        let made = machines::add_machine(&mut tx, &self.coordinator, read(entry.into())?).await.map_err(words)?;
        for span in file.availabilities {
            let span = json!({"from": self.shifted(span.from), "until": self.shifted(span.until)});
            machines::add_availability(&mut tx, &self.coordinator, made.machine_id, read(span)?)
                .await
                .map_err(words)?;
        }
        tx.commit().await.map_err(words)?;
        self.machines.insert(file.name, made.machine_id);
        Ok(())
    }

    async fn booking(&mut self, row: BookingRow) -> Result<()> {
        let (from, until): (NaiveDateTime, NaiveDateTime) = (self.shifted(row.from), self.shifted(row.until));
        if from <= local(self.zone, self.now) {
            return Ok(());
        }
        let club = self.club(&row.club)?;
        let machine = self.machines.get(&row.machine).context("there is no such machine")?;
        let pitches = row.pitches.split(';').filter(|name| !name.is_empty());
        let pitches = pitches.map(|name| self.pitch(club, name)).collect::<Result<Vec<_>>>()?;
        let wish = json!({
            "machine_id": machine, "club_id": club, "span": {"from": from, "until": until}, "pitch_ids": pitches,
            "note": row.note,
        });
        let member = self.member(&row.booked_by)?;
        let mut tx = self.tx(member.person_id).await?;
        let url = &self.service.config.public_url;
        bookings::book(&mut tx, member, read(wish)?, url, self.now).await.map_err(words)?;
        tx.commit().await.map_err(words)
    }

    fn in_days(&self, days: i64) -> NaiveDate {
        today(self.zone, self.now) + Days::new(days.unsigned_abs())
    }

    /// When what closes in so many days closes; with 0, as soon as it is filled.
    fn closing(&self, days: i64) -> DateTime<Utc> {
        if days == 0 {
            return self.now + LINES_COME_WITHIN;
        }
        let closing_time = NaiveTime::from_hms_opt(CLOSING_HOUR, 0, 0).unwrap_or_default();
        instant(self.zone, self.in_days(days).and_time(closing_time))
    }

    async fn order(&mut self, file: OrderFile) -> Result<()> {
        let closed_already = file.closes_in_days == 0;
        let closes_at = self.closing(file.closes_in_days);
        let in_days = |days: i64| self.in_days(days);
        let mut wish: serde_json::Map<String, Value> = file.rest.into_iter().collect();
        wish.insert("product_id".into(), json!(self.products.get(&file.product).context("there is no such product")?));
        wish.insert(
            "supplier_id".into(),
            json!(self.suppliers.get(&file.supplier).context("there is no such supplier")?),
        );
        wish.insert("closes_at".into(), json!(closes_at));
        wish.insert("delivery_from_on".into(), json!(in_days(file.delivery_from_in_days)));
        wish.insert("delivery_until_on".into(), json!(in_days(file.delivery_until_in_days)));
        let mut tx = self.tx(self.coordinator.person_id).await?;
        let order =
            orders::open_order(&mut tx, &self.coordinator, &read(wish.into())?, self.now).await.map_err(words)?;
        tx.commit().await.map_err(words)?;
        for line in file.lines {
            let (member, club) = (self.member(&line.by)?, self.club(&line.club)?);
            let mut tx = self.tx(member.person_id).await?;
            orders::set_line(&mut tx, member, order.order_id, club, line.quantity_kg, self.now).await.map_err(words)?;
            tx.commit().await.map_err(words)?;
        }
        if closed_already {
            orders::close(self.service, self.network, order.order_id, closes_at).await.map_err(words)?;
        }
        Ok(())
    }

    async fn walk(&mut self, rows: &[WalkRow]) -> Result<()> {
        let Some(first) = rows.first() else { return Ok(()) };
        let walked_on = self.shifted(first.walked_on);
        if walked_on > today(self.zone, self.now) {
            return Ok(());
        }
        let readings = rows.iter().map(|row| {
            let values = row.values.split_whitespace().map(str::parse::<f64>).collect::<Result<Vec<_>, _>>()?;
            Ok(json!({"criterion": row.criterion, "values": values}))
        });
        let readings = readings.collect::<Result<Vec<_>>>()?;
        let pitch = self.pitch(self.club(&first.club)?, &first.pitch)?;
        let wish = json!({"pitch_id": pitch, "walked_on": walked_on, "readings": readings, "note": ""});
        let member = self.member(&first.walked_by)?;
        let mut tx = self.tx(member.person_id).await?;
        walks::record(&mut tx, member, read(wish)?, self.now).await.map_err(words)?;
        tx.commit().await.map_err(words)
    }
}

/// A request as the API reads it from its body.
pub(super) fn read<T: DeserializeOwned>(wish: Value) -> Result<T> {
    serde_json::from_value(wish).context("the API would not read this")
}

fn id_of(made: &impl serde::Serialize, name: &str) -> Result<Value> {
    let made = serde_json::to_value(made)?;
    made.get(name).cloned().with_context(|| format!("no {name} in the answer"))
}

/// A refusal, in the words the API would use.
pub(super) fn words(error: impl Into<Error>) -> anyhow::Error {
    match error.into() {
        Error::Refused(refused) => anyhow!("{}: {} {:?}", refused.code.title(), refused.detail, refused.fields),
        Error::Internal(cause) => cause,
    }
}
