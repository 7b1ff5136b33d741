//! The files of an invented region, as they are. Their shapes are described in `demo-seed/README.md`.

use std::collections::BTreeMap;
use std::fs;
use std::path::Path;

use anyhow::{Context, Result};
use chrono::{NaiveDate, NaiveDateTime};
use serde::Deserialize;
use serde::de::DeserializeOwned;
use serde_json::Value;

/// Everything there is to load.
pub(super) struct Region {
    pub(super) network: NetworkFile,
    /// The import file, as it is imported.
    pub(super) places: String,
    pub(super) people: Vec<PersonRow>,
    pub(super) suppliers: Vec<SupplierRow>,
    pub(super) products: Vec<ProductRow>,
    pub(super) machines: Vec<MachineFile>,
    pub(super) bookings: Vec<BookingRow>,
    pub(super) orders: Vec<OrderFile>,
    pub(super) past_rounds: Vec<PastRoundFile>,
    pub(super) rounds: Vec<RoundFile>,
    pub(super) care: CareFile,
    pub(super) walks: Vec<WalkRow>,
}

#[derive(Deserialize)]
pub(super) struct NetworkFile {
    pub(super) name: String,
    pub(super) time_zone: String,
    pub(super) coordinator: Coordinator,
}

#[derive(Deserialize)]
pub(super) struct Coordinator {
    pub(super) name: String,
    pub(super) email: String,
}

#[derive(Deserialize)]
pub(super) struct PersonRow {
    pub(super) name: String,
    pub(super) email: String,
    pub(super) role: String,
    pub(super) club: String,
}

#[derive(Deserialize)]
pub(super) struct SupplierRow {
    pub(super) name: String,
    pub(super) email: String,
    pub(super) phone: String,
    pub(super) note: String,
}

#[derive(Deserialize)]
pub(super) struct ProductRow {
    pub(super) name: String,
    pub(super) kind: String,
    pub(super) sold_by: String,
    pub(super) bag_kg: Option<i64>,
    pub(super) vat_basis_points: i32,
    pub(super) note: String,
}

/// A machine: the API's fields, but clubs by name.
#[derive(Deserialize)]
pub(super) struct MachineFile {
    pub(super) name: String,
    pub(super) owner_club: Option<String>,
    pub(super) named_clubs: Vec<String>,
    pub(super) availabilities: Vec<SpanFile>,
    /// The fields that go to the API as they are.
    #[serde(flatten)]
    pub(super) rest: BTreeMap<String, Value>,
}

#[derive(Deserialize)]
pub(super) struct SpanFile {
    pub(super) from: NaiveDateTime,
    pub(super) until: NaiveDateTime,
}

#[derive(Deserialize)]
pub(super) struct BookingRow {
    pub(super) machine: String,
    pub(super) club: String,
    pub(super) from: NaiveDateTime,
    pub(super) until: NaiveDateTime,
    pub(super) pitches: String,
    pub(super) note: String,
    pub(super) booked_by: String,
}

#[derive(Deserialize)]
pub(super) struct OrderFile {
    pub(super) product: String,
    pub(super) supplier: String,
    pub(super) closes_in_days: i64,
    pub(super) delivery_from_in_days: i64,
    pub(super) delivery_until_in_days: i64,
    pub(super) lines: Vec<LineFile>,
    /// The fields that go to the API as they are.
    #[serde(flatten)]
    pub(super) rest: BTreeMap<String, Value>,
}

#[derive(Deserialize)]
pub(super) struct LineFile {
    pub(super) club: String,
    pub(super) quantity_kg: i64,
    pub(super) by: String,
}

/// A round of an earlier year, and what became of its requests.
#[derive(Deserialize)]
pub(super) struct PastRoundFile {
    /// Without its year, which is that of its first day.
    pub(super) title: String,
    pub(super) from_on: NaiveDate,
    pub(super) until_on: NaiveDate,
    /// What was hired; those who were served had it then.
    pub(super) hire: Option<HireFile>,
    /// What the supplier asked, once it was shared and paid.
    pub(super) paid_invoice_pence: Option<i64>,
    pub(super) outcomes: Vec<OutcomeFile>,
}

/// What became of a request of an earlier year.
#[derive(Deserialize)]
pub(super) struct OutcomeFile {
    pub(super) club: String,
    pub(super) ground: String,
    pub(super) pitches: Vec<String>,
    #[serde(default)]
    pub(super) left_out: bool,
    /// The rank of the day it had among its wishes.
    pub(super) wish: Option<usize>,
    /// Clubs that wished for that day first.
    #[serde(default)]
    pub(super) firsts: usize,
    #[serde(default)]
    pub(super) wished: usize,
    /// When it had the hired machine.
    pub(super) had: Option<SpanFile>,
    /// The hour meter when it was taken over and given back, where both were signed.
    pub(super) meter_h: Option<[f64; 2]>,
}

/// A round, its hires in order, and what clubs ask of it.
#[derive(Deserialize)]
pub(super) struct RoundFile {
    pub(super) closes_in_days: i64,
    pub(super) hires: Vec<HireFile>,
    pub(super) requests: Vec<RequestFile>,
    /// The fields that go to the API as they are.
    #[serde(flatten)]
    pub(super) rest: BTreeMap<String, Value>,
}

#[derive(Deserialize)]
pub(super) struct HireFile {
    pub(super) machine: String,
    pub(super) supplier: String,
    pub(super) from: NaiveDateTime,
    pub(super) until: NaiveDateTime,
    /// The fields that go to the API as they are.
    #[serde(flatten)]
    pub(super) rest: BTreeMap<String, Value>,
}

#[derive(Deserialize)]
pub(super) struct RequestFile {
    pub(super) club: String,
    pub(super) ground: String,
    pub(super) pitches: Vec<String>,
    pub(super) helper_club: Option<String>,
    pub(super) half_days: Vec<SpanFile>,
    pub(super) wishes: Vec<NaiveDate>,
    pub(super) by: String,
    /// The fields that go to the API as they are.
    #[serde(flatten)]
    pub(super) rest: BTreeMap<String, Value>,
}

#[derive(Deserialize)]
pub(super) struct WalkRow {
    pub(super) walk: String,
    pub(super) club: String,
    pub(super) pitch: String,
    pub(super) walked_on: NaiveDate,
    pub(super) walked_by: String,
    pub(super) criterion: String,
    pub(super) values: String,
}

/// How machines are looked after. Everything counts back from the day of loading.
#[derive(Deserialize)]
pub(super) struct CareFile {
    pub(super) manuals: Vec<ManualFile>,
    pub(super) services: Vec<ServiceFile>,
    pub(super) trainings: Vec<TrainingFile>,
    pub(super) handovers: Vec<HandoverFile>,
}

#[derive(Deserialize)]
pub(super) struct ManualFile {
    pub(super) machine: String,
    pub(super) title: String,
    pub(super) file: String,
    /// What is in the file.
    #[serde(skip)]
    pub(super) bytes: Vec<u8>,
}

#[derive(Deserialize)]
pub(super) struct ServiceFile {
    pub(super) machine: String,
    pub(super) days_ago: u64,
    /// The fields that go to the API as they are.
    #[serde(flatten)]
    pub(super) rest: BTreeMap<String, Value>,
}

#[derive(Deserialize)]
pub(super) struct TrainingFile {
    pub(super) club: String,
    pub(super) days_ago: u64,
    /// The fields that go to the API as they are.
    #[serde(flatten)]
    pub(super) rest: BTreeMap<String, Value>,
}

/// A morning's booking that is over: taken over, and given back with a fault.
#[derive(Deserialize)]
pub(super) struct HandoverFile {
    pub(super) machine: String,
    pub(super) club: String,
    pub(super) by: String,
    pub(super) days_ago: u64,
    pub(super) out_meter_h: f64,
    pub(super) in_meter_h: f64,
    pub(super) name: String,
    pub(super) fault: String,
}

impl Region {
    /// Reads the folder.
    ///
    /// # Errors
    /// Names the file that is missing or cannot be read.
    pub(super) fn read(folder: &Path) -> Result<Self> {
        Ok(Self {
            network: json(folder, "network.json")?,
            places: text(folder, "places.csv")?,
            people: csv(folder, "people.csv")?,
            suppliers: csv(folder, "suppliers.csv")?,
            products: csv(folder, "products.csv")?,
            machines: json(folder, "machines.json")?,
            bookings: csv(folder, "bookings.csv")?,
            orders: json(folder, "orders.json")?,
            past_rounds: json(folder, "past_rounds.json")?,
            rounds: json(folder, "rounds.json")?,
            care: care(folder)?,
            walks: csv(folder, "walks.csv")?,
        })
    }
}

fn care(folder: &Path) -> Result<CareFile> {
    let mut care: CareFile = json(folder, "care.json")?;
    for manual in &mut care.manuals {
        let file = folder.join(&manual.file);
        manual.bytes = fs::read(&file).with_context(|| format!("cannot read {}", file.display()))?;
    }
    Ok(care)
}

fn text(folder: &Path, name: &str) -> Result<String> {
    let file = folder.join(name);
    fs::read_to_string(&file).with_context(|| format!("cannot read {}", file.display()))
}

fn json<T: DeserializeOwned>(folder: &Path, name: &str) -> Result<T> {
    serde_json::from_str(&text(folder, name)?).with_context(|| format!("{name} has another shape"))
}

fn csv<T: DeserializeOwned>(folder: &Path, name: &str) -> Result<Vec<T>> {
    let text = text(folder, name)?;
    let rows = csv::Reader::from_reader(text.as_bytes()).into_deserialize().collect::<Result<Vec<T>, _>>();
    rows.with_context(|| format!("{name} has another shape"))
}
