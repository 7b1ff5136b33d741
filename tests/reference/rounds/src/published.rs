//! Published tours with time windows, planned by the label engine as journeys.
//!
//! An errand has one stop for each minute in which it may begin, so the fit is exact where times are whole, or whole
//! after scaling. What does not fit is said and left out: windows with too many minutes, and moves that take no time
//! between places that are not one.
//!
//! A proven value that is not the published one, a bound that shuts it out, and a tour within reach that is left open
//! are failures. Other tours that are not proven in the time given are shown as open, with our bound: wide windows over
//! long days, and orienteering among a hundred places, are beyond this engine.

use std::fs;
use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};

use anyhow::{Context, Result, bail};
use logistics::rounds::labels::{Effort, Journey, Stop, Travelled, travel};

/// Most stops of a journey: the tables grow with stops times errands.
const MOST_STOPS: usize = 60_000;
/// Orienteering distances are cut to one decimal, so times are in tenths.
const TENTHS: f64 = 10.0;

/// Tours through all places, of so many stops times places, are within reach of a minute.
const REACH: usize = 200_000;
/// More than all prizes of a tour.
const MUST: i64 = 100_000;

/// One place of a tour.
#[derive(Debug, Clone, Copy)]
struct Place {
    opens: i64,
    closes: i64,
    stays: i64,
    prize: i64,
}

/// A tour from place 0 through the others and back.
#[derive(Debug)]
struct Tour {
    places: Vec<Place>,
    /// Minutes and road from place to place.
    apart: Vec<Vec<i64>>,
    /// All places must be seen, by the least road; else prizes are collected.
    sees_all: bool,
}

/// A tour in its file, and what it is known to come to.
#[derive(Debug)]
struct Published {
    file: PathBuf,
    value: i64,
    sees_all: bool,
}

/// Plans every published tour in a folder; answers how many agreed, were left open, and did not agree.
pub fn run(folder: &Path, seconds: f64, only: Option<&str>) -> Result<[usize; 3]> {
    let mut counts = [0; 3];
    for published in windows(folder)?.into_iter().chain(orienteering(folder)?) {
        let name = published.file.strip_prefix(folder)?.display().to_string();
        if only.is_some_and(|only| !name.contains(only)) {
            continue;
        }
        let text = fs::read_to_string(&published.file)?;
        let tour = if published.sees_all { Tour::read_windows(&text) } else { Tour::read_prizes(&text) };
        let (said, verdict) = match tour.and_then(|tour| tour.journey().map(|journey| (tour, journey))) {
            Ok((tour, journey)) => judge(&tour, &journey, published.value, seconds),
            Err(reason) => (format!("left out: {reason}"), None),
        };
        println!("{name:<48} published {:<6} {said}", published.value);
        if let Some(count) = verdict.and_then(|verdict: usize| counts.get_mut(verdict)) {
            *count += 1;
        }
    }
    Ok(counts)
}

/// Tours with time windows and whole costs.
fn windows(folder: &Path) -> Result<Vec<Published>> {
    let mut tours = Vec::new();
    for set in ["AFG", "Dumas", "GendreauDumasExtended"] {
        let known = fs::read_to_string(folder.join(format!("tsptw/best_known/{set}.txt")))?;
        for line in known.lines().filter(|line| !line.starts_with('#')) {
            let mut words = line.split_whitespace();
            if let (Some(name), Some(Ok(value))) = (words.next(), words.next().map(str::parse)) {
                tours.push(Published { file: folder.join("tsptw").join(set).join(name), value, sees_all: true });
            }
        }
    }
    tours.retain(|tour| tour.file.exists());
    Ok(tours)
}

/// Orienteering with one vehicle, whose distances are cut to one decimal.
fn orienteering(folder: &Path) -> Result<Vec<Published>> {
    let table = fs::read_to_string(folder.join("optw/values.tsv"))?;
    let row = |line: &str| {
        let cells: Vec<&str> = line.split('\t').collect();
        let (name, value, again) = (cells.first()?, cells.get(1)?, cells.get(2)?);
        let file = folder.join(format!("optw/{name}.txt"));
        let fits = value == again && !name.starts_with("pr");
        fits.then_some(Published { file, value: value.parse().ok()?, sees_all: false })
    };
    Ok(table.lines().filter_map(row).collect())
}

fn judge(tour: &Tour, journey: &Journey, published: i64, seconds: f64) -> (String, Option<usize>) {
    let (began, limit) = (Instant::now(), Duration::from_secs_f64(seconds));
    let found = travel(journey, Effort::default(), &mut |_: &Travelled| began.elapsed() < limit);
    let time = began.elapsed().as_secs_f64();
    let is_within_reach = tour.sees_all && journey.stops.len() * journey.errands <= REACH;
    let open = if is_within_reach { (", NOT PROVEN", Some(2)) } else { (", open", Some(1)) };
    let is_tour = if tour.sees_all { found.way.len() > tour.places.len() } else { !found.way.is_empty() };
    if !is_tour {
        return (format!("ours none   {time:>21.2} s  no tour found{}", open.0), open.1);
    }
    let last = |values: &[i64]| tour.own_value(values.last().copied().unwrap_or(0));
    let (ours, bound) = (last(&found.reached), last(&found.bounds));
    let is_proven = found.reached == found.bounds;
    let excludes = if tour.sees_all { bound > published } else { bound < published };
    let (verdict, count) = match (is_proven, ours == published) {
        (true, true) => ("proven", Some(0)),
        (true, false) => ("DIFFERS", Some(2)),
        (false, _) if excludes => ("WRONG BOUND", Some(2)),
        (false, is_reached) => (if is_reached { "reached" } else { "short" }, open.1),
    };
    let open = if is_proven || excludes { "" } else { open.0 };
    (format!("ours {ours:<6} bound {bound:<6} {time:>8.2} s  {verdict}{open}"), count)
}

impl Tour {
    /// Count; travel from each place, its own stay inside; opening and closing of each place.
    fn read_windows(text: &str) -> Result<Self> {
        let mut lines = text.lines().filter(|line| !line.trim().is_empty());
        let count: usize = lines.next().context("an empty file")?.trim().parse()?;
        let row = |line: &str| line.split_whitespace().map(str::parse).collect::<Result<Vec<i64>, _>>();
        let apart =
            lines.by_ref().take(count).map(row).collect::<Result<Vec<_>, _>>().context("times are not whole")?;
        let place = |line: &str| match row(line)?.as_slice() {
            [opens, closes, ..] => Ok(Place { opens: *opens, closes: *closes, stays: 0, prize: 1 }),
            _ => bail!("a window without an end"),
        };
        let places = lines.take(count).map(place).collect::<Result<Vec<_>>>()?;
        Ok(Self { places, apart, sees_all: true })
    }

    /// Two lines of counts; then of each place its id, spot, stay, prize, some more, opening and closing.
    fn read_prizes(text: &str) -> Result<Self> {
        let row = |line: &str| line.split_whitespace().map(str::parse).collect::<Result<Vec<f64>, _>>();
        let rows =
            text.lines().skip(2).filter(|line| !line.trim().is_empty()).map(row).collect::<Result<Vec<_>, _>>()?;
        let mut spots = Vec::new();
        let mut places = Vec::new();
        for row in &rows {
            let [_, x, y, stays, prize, .., opens, closes] = row.as_slice() else { bail!("a short row") };
            spots.push((*x, *y));
            let tenths = |value: f64| whole(value * TENTHS);
            places.push(Place {
                opens: tenths(*opens)?,
                closes: tenths(*closes)?,
                stays: tenths(*stays)?,
                prize: whole(*prize)?,
            });
        }
        let apart = |one: &(f64, f64)| {
            let tenths = |two: &(f64, f64)| whole(((one.0 - two.0).hypot(one.1 - two.1) * TENTHS).floor());
            spots.iter().map(tenths).collect::<Result<Vec<i64>>>()
        };
        Ok(Self { places, apart: spots.iter().map(apart).collect::<Result<_>>()?, sees_all: false })
    }

    fn apart(&self, from: usize, to: usize) -> i64 {
        self.apart.get(from).and_then(|row| row.get(to)).copied().unwrap_or(0)
    }

    /// The tour as a journey: leaving home is the first errand and coming home the last, place k the k-th between.
    ///
    /// Home has to be an errand where a way round is shorter than the straight one, as it is after rounding. Of places
    /// at one spot the lower comes first within a minute: another order there is another name for the same tour.
    fn journey(&self) -> Result<Journey> {
        let coming = self.places.len();
        if (1..coming).any(|from| (1..from).any(|to| self.is_next_to(from, to))) {
            bail!("moves between two places take no time");
        }
        let table = |least: i64| {
            let between = |from: usize, to: usize| {
                let apart = self.apart(from % coming, to % coming);
                if to < from { apart.max(least) } else { apart }
            };
            (0..=coming).map(|from| (0..=coming).map(|to| between(from, to)).collect()).collect()
        };
        Ok(Journey {
            stops: self.stops()?,
            errands: coming + 1,
            minutes: table(1),
            road: table(0),
            first_road: vec![0; coming + 1],
            last_road: vec![0; coming + 1],
            counts_road: if self.sees_all { vec![false, true] } else { vec![false] },
        })
    }

    /// Home, and each place at every minute of its window while home is open.
    fn stops(&self) -> Result<Vec<Stop>> {
        let home = self.places.first().context("no place")?;
        let gains = |prize: i64| if self.sees_all { vec![1, 0] } else { vec![prize] };
        let at_home = |errand: usize, minute: i64| Stop { errand, begins: minute, done: minute, gains: gains(MUST) };
        let mut stops = vec![at_home(0, home.opens), at_home(self.places.len(), home.closes)];
        for (errand, place) in self.places.iter().enumerate().skip(1) {
            let last = place.closes.min(home.closes - place.stays);
            let stop = |begins| Stop { errand, begins, done: begins + place.stays, gains: gains(place.prize) };
            stops.extend((place.opens.max(home.opens)..=last).map(stop).take(MOST_STOPS));
            if stops.len() > MOST_STOPS {
                bail!("more than {MOST_STOPS} minutes to begin in");
            }
        }
        stops.sort_by_key(|stop| (stop.begins, stop.errand));
        Ok(stops)
    }

    /// Whether two places have no minute between them and yet are not one.
    fn is_next_to(&self, one: usize, two: usize) -> bool {
        let others = (0..self.places.len()).filter(|&other| other != one && other != two);
        let stays = |place: usize| self.places.get(place).map(|place| place.stays);
        let takes_none = |from: usize, to: usize| self.apart(from, to) == 0 && stays(from) == Some(0);
        let differ = |other: usize| {
            self.apart(one, other) != self.apart(two, other) || self.apart(other, one) != self.apart(other, two)
        };
        let is_one = takes_none(one, two) && takes_none(two, one) && !others.clone().any(differ);
        (takes_none(one, two) || takes_none(two, one)) && !is_one
    }

    /// What a journey is worth without the two errands at home.
    fn own_value(&self, level: i64) -> i64 {
        if self.sees_all { -level } else { level - 2 * MUST }
    }
}

/// A number without a fraction.
fn whole(value: f64) -> Result<i64> {
    format!("{value:.0}").parse().with_context(|| format!("{value} is not whole"))
}
