//! The spreadsheet itself: from text to rows that make sense each by itself. What the words may be and the numbers
//! mean is read by the same parsers as a form's.

use std::collections::HashMap;

use csv::{ReaderBuilder, StringRecord, Trim};

use super::super::club::{ClubFacts, CreateClub};
use super::super::ground::{CreateGround, GroundFacts};
use super::super::pitch::{CreatePitch, PitchFacts};
use super::super::words::{Drainage, LorryAccess, Sharing, Soil, Sport};
use super::ImportFault;
use crate::error::Refused;

/// More than any region has pitches; what is checked in one go stays quick.
const MOST_ROWS: usize = 5000;

/// Every column, each once, in any order.
const COLUMNS: [&str; 14] = [
    "club",
    "sharing",
    "ground",
    "latitude_deg",
    "longitude_deg",
    "soil",
    "drainage",
    "lorry_access",
    "hard_standing",
    "tractor_kw",
    "pitch",
    "sport",
    "length_m",
    "width_m",
];

/// A pitch with its ground and club, as one line says.
pub(super) struct Row {
    pub(super) line: u64,
    pub(super) club: ClubFacts,
    pub(super) ground: GroundFacts,
    pub(super) pitch: PitchFacts,
}

/// Reads a spreadsheet: the rows that make sense, and what is wrong with the others.
pub(super) fn read(csv: &str) -> (Vec<Row>, Vec<ImportFault>) {
    let text = csv.strip_prefix('\u{feff}').unwrap_or(csv); // spreadsheets put a byte order mark in front
    let text = text.replace("\r\n", "\n").replace('\r', "\n");
    if let Err(fault) = check_text(&text) {
        return (Vec::new(), vec![fault]);
    }
    let mut reader = ReaderBuilder::new().flexible(true).trim(Trim::All).from_reader(text.as_bytes());
    let places = match reader.headers().map_err(unreadable).and_then(places_of_columns) {
        Ok(places) => places,
        Err(faults) => return (Vec::new(), faults),
    };
    let (mut rows, mut faults) = (Vec::new(), Vec::new());
    let mut lines = Lines { text: &text, at: 0, line: 1 };
    for (count, record) in reader.records().enumerate() {
        match record {
            Ok(record) if count == MOST_ROWS => {
                let reason = format!("Bring in at most {MOST_ROWS} pitches at a time: split the file here.");
                faults.push(ImportFault::of_line(lines.of(&record), reason));
                break;
            }
            Ok(record) if record.iter().all(str::is_empty) => {} // spreadsheets leave lines of bare commas at the end
            Ok(record) => {
                let line = lines.of(&record);
                rows.extend(Cells { line, record: &record, places: &places, faults: &mut faults }.row());
            }
            Err(error) => faults.extend(unreadable(error)),
        }
    }
    if rows.is_empty() && faults.is_empty() {
        faults.push(ImportFault::of_line(1, "There is no pitch below the header."));
    }
    (rows, faults)
}

/// Refuses at once what is no text that could have lines.
fn check_text(text: &str) -> Result<(), ImportFault> {
    if text.trim().is_empty() {
        return Err(ImportFault::of_line(1, "The file is empty."));
    }
    let lines = || (1..).zip(text.lines());
    if let Some((line, _)) = lines().find(|(_, line)| line.contains('\0')) {
        return Err(ImportFault::of_line(line, "This is no text file. In the spreadsheet, save it as CSV."));
    }
    // What a browser puts where it cannot read a character.
    if let Some((line, _)) = lines().find(|(_, line)| line.contains('\u{fffd}')) {
        let reason = "It has characters that cannot be read. In the spreadsheet, save it as CSV in UTF-8.";
        return Err(ImportFault::of_line(line, reason));
    }
    Ok(())
}

fn unreadable(error: csv::Error) -> Vec<ImportFault> {
    let line = error.position().map_or(1, csv::Position::line);
    vec![ImportFault::of_line(line, "This line cannot be read as comma-separated values.")]
}

/// Where each column stands, if the header has every one once and no other.
fn places_of_columns(header: &StringRecord) -> Result<HashMap<&'static str, usize>, Vec<ImportFault>> {
    let (mut places, mut faults) = (HashMap::new(), Vec::new());
    if header.len() == 1 && header.iter().any(|cell| cell.contains([';', '\t'])) {
        let reason = "The columns are not separated by commas. In the spreadsheet, save it with commas.";
        return Err(vec![ImportFault::of_line(1, reason)]);
    }
    for (place, name) in header.iter().enumerate() {
        match COLUMNS.iter().find(|&&column| column == name) {
            None => faults.push(ImportFault::of_column(1, name, "There is no such column; take it out.")),
            Some(&column) => {
                if places.insert(column, place).is_some() {
                    faults.push(ImportFault::of_column(1, name, "The column is there twice."));
                }
            }
        }
    }
    for missing in COLUMNS.iter().filter(|&&column| !places.contains_key(column)) {
        faults.push(ImportFault::of_column(1, missing, "The column is missing."));
    }
    if faults.is_empty() { Ok(places) } else { Err(faults) }
}

/// Counts lines as an editor does. The reader's own count stops short of blank lines before a record.
struct Lines<'a> {
    text: &'a str,
    /// Counted so far, bytes.
    at: usize,
    /// The line of that byte.
    line: u64,
}

impl Lines<'_> {
    /// The line a record begins on; records are asked for in order.
    fn of(&mut self, record: &StringRecord) -> u64 {
        let position = record.position().and_then(|position| usize::try_from(position.byte()).ok());
        let position = position.unwrap_or(self.at);
        let blank = self.text.bytes().skip(position).take_while(|&byte| byte == b'\n').count();
        let begins = position + blank;
        let newlines = self.text.get(self.at..begins).unwrap_or_default().matches('\n');
        self.line += newlines.map(|_| 1).sum::<u64>();
        self.at = begins;
        self.line
    }
}

/// The cells of one line, by column. Reading notes what is wrong and goes on, so that a line is complained of once
/// and completely.
struct Cells<'a> {
    line: u64,
    record: &'a StringRecord,
    places: &'a HashMap<&'static str, usize>,
    faults: &'a mut Vec<ImportFault>,
}

impl Cells<'_> {
    fn row(mut self) -> Option<Row> {
        if self.record.len() != COLUMNS.len() {
            let reason = format!("The header has {} columns, this line {}.", COLUMNS.len(), self.record.len());
            self.faults.push(ImportFault::of_line(self.line, reason));
            return None;
        }
        let (club, ground, pitch) = (self.club(), self.ground(), self.pitch());
        Some(Row { line: self.line, club: club?, ground: ground?, pitch: pitch? })
    }

    fn club(&mut self) -> Option<ClubFacts> {
        let sharing = self.word("sharing", Sharing::ALL, Sharing::as_str);
        let said = CreateClub { name: self.text("club").to_owned(), sharing: sharing? };
        self.made("club", ClubFacts::parse(&said))
    }

    fn ground(&mut self) -> Option<GroundFacts> {
        let (latitude_deg, longitude_deg) = (self.number("latitude_deg"), self.number("longitude_deg"));
        let soil = self.word("soil", Soil::ALL, Soil::as_str);
        let drainage = self.word("drainage", Drainage::ALL, Drainage::as_str);
        let lorry_access = self.word("lorry_access", LorryAccess::ALL, LorryAccess::as_str);
        let hard_standing = self.flag("hard_standing");
        let tractor_kw =
            if self.text("tractor_kw").is_empty() { Some(None) } else { self.number("tractor_kw").map(Some) };
        let said = CreateGround {
            name: self.text("ground").to_owned(),
            latitude_deg: latitude_deg?,
            longitude_deg: longitude_deg?,
            soil: soil?,
            drainage: drainage?,
            lorry_access: lorry_access?,
            hard_standing: hard_standing?,
            tractor_kw: tractor_kw?,
        };
        self.made("ground", GroundFacts::parse(&said))
    }

    fn pitch(&mut self) -> Option<PitchFacts> {
        let sport = self.word("sport", Sport::ALL, Sport::as_str);
        let (length_m, width_m) = (self.number("length_m"), self.number("width_m"));
        let name = self.text("pitch").to_owned();
        let said = CreatePitch { name, sport: sport?, length_m: length_m?, width_m: width_m?, area_m2: None };
        self.made("pitch", PitchFacts::parse(&said))
    }

    fn text(&self, column: &str) -> &str {
        self.places.get(column).and_then(|&place| self.record.get(place)).unwrap_or_default()
    }

    fn word<T: Copy>(&mut self, column: &str, all: &[T], as_str: fn(T) -> &'static str) -> Option<T> {
        let found = all.iter().copied().find(|&word| as_str(word) == self.text(column));
        if found.is_none() {
            let words: Vec<_> = all.iter().map(|&word| as_str(word)).collect();
            self.fault(column, format!("Use one of: {}.", words.join(", ")));
        }
        found
    }

    fn number(&mut self, column: &str) -> Option<f64> {
        let number = self.text(column).parse().ok();
        if number.is_none() {
            self.fault(column, "Write it as a number with a point, such as 68.5.");
        }
        number
    }

    fn flag(&mut self, column: &str) -> Option<bool> {
        match self.text(column).to_ascii_lowercase().as_str() {
            "true" | "yes" => Some(true),
            "false" | "no" => Some(false),
            _ => {
                self.fault(column, "Use true or false.");
                None
            }
        }
    }

    /// Notes a refusal of the form's own parser against the column that caused it.
    fn made<T>(&mut self, name_column: &str, parsed: Result<T, Refused>) -> Option<T> {
        parsed
            .map_err(|refused| {
                let field = refused.fields.first().map_or(name_column, |field| field.field.as_str());
                self.fault(if field == "name" { name_column } else { field }, &*refused.detail);
            })
            .ok()
    }

    fn fault(&mut self, column: &str, reason: impl Into<String>) {
        self.faults.push(ImportFault::of_column(self.line, column, reason));
    }
}
