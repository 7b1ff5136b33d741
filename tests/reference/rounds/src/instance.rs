//! An instance as it lies in its file, and the problem it is.

use std::collections::BTreeMap;

use anyhow::{Context, Result};
use logistics::rounds::{Block, Crew, CrewChoice, Grain, Level, Machine, Order, Problem, Request, Standing};
use serde::{Deserialize, Serialize};

/// A file of the reference set; fields that planning does not need are left out.
#[derive(Debug, Deserialize)]
pub struct Instance {
    pub id: String,
    granularity: Granularity,
    days: usize,
    params: Params,
    places: Vec<Place>,
    road_hm: Vec<Vec<i64>>,
    machines: Vec<MachineOfFile>,
    requests: Vec<RequestOfFile>,
    #[serde(default)]
    confirmed: Option<Vec<BlockOfFile>>,
    #[serde(default)]
    now_slot: usize,
    #[serde(default)]
    pub reference: Reference,
}

#[derive(Debug, Clone, Copy, Deserialize)]
#[serde(rename_all = "lowercase")]
enum Granularity {
    Half,
    Day,
}

#[derive(Debug, Deserialize)]
struct Params {
    handover_min: i64,
}

#[derive(Debug, Deserialize)]
struct Place {
    id: String,
    #[serde(default)]
    crews: usize,
    #[serde(default)]
    crew_slots: Vec<usize>,
}

#[derive(Debug, Deserialize)]
struct MachineOfFile {
    id: String,
    start_place: String,
    end_place: String,
    delivery: String,
    available_slots: Vec<usize>,
}

#[derive(Debug, Deserialize)]
struct RequestOfFile {
    id: String,
    club: String,
    work_min: i64,
    allowed_slots: Vec<usize>,
    guaranteed: bool,
    machines: Vec<String>,
    crews: Vec<CrewOfFile>,
    weight: i64,
    pref_points: BTreeMap<usize, i64>,
}

#[derive(Debug, Deserialize)]
struct CrewOfFile {
    club: String,
    hm: i64,
}

/// A block by the names of the file.
#[derive(Debug, Clone, Deserialize, Serialize)]
pub struct BlockOfFile {
    request: String,
    machine: String,
    start_slot: usize,
    crew: String,
}

/// What the reference solver came to, by order.
#[derive(Debug, Default, Deserialize)]
pub struct Reference {
    pub pref_first: Option<Reached>,
    pub haul_first: Option<Reached>,
    pub replan: Option<Reached>,
}

/// What the reference solver came to for one order.
#[derive(Debug, Deserialize)]
pub struct Reached {
    pub levels: Vec<LevelOfFile>,
    pub parts: BTreeMap<String, i64>,
}

/// One level of the reference.
#[derive(Debug, Deserialize)]
pub struct LevelOfFile {
    pub level: String,
    pub status: String,
    #[serde(default)]
    pub bound: Option<i64>,
}

/// The name of a level in the files.
pub fn name(level: Level) -> &'static str {
    match level {
        Level::Pinned => "pinned",
        Level::Guaranteed => "guaranteed",
        Level::Weight => "weight",
        Level::KeptWeight => "kept_weight",
        Level::Disruption => "disruption",
        Level::NewWeight => "new_weight",
        Level::Points => "pref",
        Level::PointsLessHaul => "pref_less_haul",
        Level::Haul => "haul_hm",
    }
}

impl Instance {
    pub fn read(text: &str) -> Result<Self> {
        Ok(serde_json::from_str(text)?)
    }

    /// The orders to plan it in, by the names of the files.
    pub fn orders(&self) -> Vec<(&'static str, Order, Option<&Reached>)> {
        if self.confirmed.is_some() {
            return vec![("replan", Order::WishesFirst, self.reference.replan.as_ref())];
        }
        vec![
            ("pref_first", Order::WishesFirst, self.reference.pref_first.as_ref()),
            ("haul_first", Order::HaulageFirst, self.reference.haul_first.as_ref()),
        ]
    }

    pub fn problem(&self) -> Result<Problem> {
        let grain = match self.granularity {
            Granularity::Half => Grain::HalfDays,
            Granularity::Day => Grain::Days,
        };
        let slots = self.days * if grain == Grain::HalfDays { 2 } else { 1 };
        let crew = |place: &Place| Crew { count: place.crews, available: flags(&place.crew_slots, slots) };
        let standing = match &self.confirmed {
            None => None,
            Some(blocks) => Some(Standing { confirmed: self.blocks(blocks)?, now_slot: self.now_slot }),
        };
        Ok(Problem {
            grain,
            days: self.days,
            road_hm: self.road_hm.clone(),
            handover_min: self.params.handover_min,
            machines: self.machines.iter().map(|machine| self.machine(machine, slots)).collect::<Result<_>>()?,
            crews: self.places.iter().map(crew).collect(),
            requests: self.requests.iter().map(|request| self.request(request, slots)).collect::<Result<_>>()?,
            pins: Vec::new(),
            bans: Vec::new(),
            standing,
        })
    }

    fn machine(&self, machine: &MachineOfFile, slots: usize) -> Result<Machine> {
        Ok(Machine {
            available: flags(&machine.available_slots, slots),
            start_place: self.place(&machine.start_place)?,
            end_place: self.place(&machine.end_place)?,
            hauled_by_clubs: machine.delivery != "supplier",
        })
    }

    fn request(&self, request: &RequestOfFile, slots: usize) -> Result<Request> {
        let crew = |crew: &CrewOfFile| Ok(CrewChoice { crew: self.place(&crew.club)?, helper_hm: crew.hm });
        Ok(Request {
            place: self.place(&request.club)?,
            work_min: request.work_min,
            allowed: flags(&request.allowed_slots, slots),
            machines: request.machines.iter().map(|id| self.machine_named(id)).collect::<Result<_>>()?,
            crews: request.crews.iter().map(crew).collect::<Result<_>>()?,
            weight: request.weight,
            guaranteed: request.guaranteed,
            points: (0..self.days).map(|day| request.pref_points.get(&day).copied().unwrap_or(0)).collect(),
        })
    }

    fn place(&self, id: &str) -> Result<usize> {
        self.places.iter().position(|place| place.id == id).with_context(|| format!("no place {id}"))
    }

    fn machine_named(&self, id: &str) -> Result<usize> {
        self.machines.iter().position(|machine| machine.id == id).with_context(|| format!("no machine {id}"))
    }

    /// Blocks of the file as blocks of the problem.
    fn blocks(&self, blocks: &[BlockOfFile]) -> Result<Vec<Block>> {
        let block = |block: &BlockOfFile| {
            let request = self.requests.iter().position(|request| request.id == block.request);
            Ok(Block {
                machine: self.machine_named(&block.machine)?,
                start: block.start_slot,
                request: request.with_context(|| format!("no request {}", block.request))?,
                crew: self.place(&block.crew)?,
            })
        };
        blocks.iter().map(block).collect()
    }

    /// Blocks of the problem by the names of the file.
    pub fn named(&self, blocks: &[Block]) -> Option<Vec<BlockOfFile>> {
        let named = |block: &Block| {
            Some(BlockOfFile {
                request: self.requests.get(block.request)?.id.clone(),
                machine: self.machines.get(block.machine)?.id.clone(),
                start_slot: block.start,
                crew: self.places.get(block.crew)?.id.clone(),
            })
        };
        blocks.iter().map(named).collect()
    }
}

fn flags(slots: &[usize], count: usize) -> Vec<bool> {
    (0..count).map(|slot| slots.contains(&slot)).collect()
}
