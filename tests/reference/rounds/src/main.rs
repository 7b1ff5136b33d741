//! Plans every instance of a folder in every order, and holds the plans against the rules and the reference.

mod instance;
mod published;
mod verdict;

use std::fs;
use std::ops::ControlFlow;
use std::path::{Path, PathBuf};
use std::process::ExitCode;
use std::time::{Duration, Instant};

use anyhow::{Context, Result};
use clap::Parser;
use instance::{BlockOfFile, Instance, Reached, name};
use logistics::rounds::{Order, Outcome, Problem, Rules, plan};
use serde::Serialize;

/// Plans reference instances and prints how the plans compare.
#[derive(Debug, Parser)]
struct Arguments {
    /// Folder of instances, or one instance.
    folder: PathBuf,
    /// Seconds for one order of one instance.
    #[arg(long, default_value_t = 60.0)]
    seconds: f64,
    /// Only instances whose name contains this.
    #[arg(long)]
    only: Option<String>,
    /// A plan that was stopped may fall short of the reference: for checks that must not depend on the machine's speed.
    #[arg(long)]
    hasty: bool,
    /// The folder holds published tours instead.
    #[arg(long)]
    published: bool,
    /// Print faults and counts only.
    #[arg(long)]
    quiet: bool,
    /// Folder to write the plans to, for the checker.
    #[arg(long)]
    plans: Option<PathBuf>,
}

/// A plan as the checker and the race read it.
#[derive(Debug, Serialize)]
struct Planned {
    order: &'static str,
    parts: Vec<(&'static str, i64)>,
    bounds: Vec<(&'static str, i64)>,
    plan: Vec<BlockOfFile>,
    seconds: f64,
}

fn main() -> Result<ExitCode> {
    let arguments = Arguments::parse();
    if arguments.published {
        let [agreed, open, differ] = published::run(&arguments.folder, arguments.seconds, arguments.only.as_deref())?;
        println!("{agreed} agree, {open} left open, {differ} differ");
        return Ok(if differ == 0 && agreed > 0 { ExitCode::SUCCESS } else { ExitCode::FAILURE });
    }
    let (mut passed, mut failed) = (0, 0);
    if !arguments.quiet {
        println!("{}", line(["instance", "order", "ours", "reference", "proved", "seconds"]));
    }
    for file in files(&arguments.folder)? {
        let text = fs::read_to_string(&file)?;
        let instance = Instance::read(&text).with_context(|| format!("{} is no instance", file.display()))?;
        if arguments.only.as_ref().is_none_or(|only| instance.id.contains(only)) {
            let faults = run(&instance, &arguments)?;
            (passed, failed) = (passed + usize::from(faults == 0), failed + usize::from(faults > 0));
        }
    }
    println!("{passed} passed, {failed} failed");
    Ok(if failed == 0 && passed > 0 { ExitCode::SUCCESS } else { ExitCode::FAILURE })
}

fn files(folder: &Path) -> Result<Vec<PathBuf>> {
    if folder.is_file() {
        return Ok(vec![folder.to_owned()]);
    }
    let entries = fs::read_dir(folder).with_context(|| format!("{} cannot be read", folder.display()))?;
    let mut files: Vec<PathBuf> = entries.map(|entry| Ok(entry?.path())).collect::<Result<_>>()?;
    files.retain(|file| file.extension().is_some_and(|extension| extension == "json"));
    files.sort();
    Ok(files)
}

/// Plans an instance in all its orders; answers how many faults there were.
fn run(instance: &Instance, arguments: &Arguments) -> Result<usize> {
    let problem = instance.problem()?;
    let rules = Rules::new(&problem)?;
    let mut planned = Vec::new();
    let mut count = 0;
    for (key, order, reference) in instance.orders() {
        let (outcome, seconds) = timed(&problem, order, arguments.seconds)?;
        if !arguments.quiet {
            println!("{}", line_of(instance, key, &outcome, reference, seconds));
        }
        let may_fall_short = arguments.hasty && seconds >= arguments.seconds;
        let faults = verdict::faults(&rules, order, &outcome, reference, may_fall_short);
        faults.iter().for_each(|fault| println!("{} {key}: {fault}", instance.id));
        count += faults.len();
        planned.push(Planned {
            order: key,
            parts: outcome.levels.iter().map(|reached| (name(reached.level), reached.value)).collect(),
            bounds: outcome.levels.iter().map(|reached| (name(reached.level), reached.bound)).collect(),
            plan: instance.named(&outcome.blocks).context("a block without a name")?,
            seconds,
        });
    }
    if let Some(folder) = &arguments.plans {
        fs::create_dir_all(folder)?;
        fs::write(folder.join(format!("{}.json", instance.id)), serde_json::to_string(&planned)?)?;
    }
    Ok(count)
}

fn timed(problem: &Problem, order: Order, seconds: f64) -> Result<(Outcome, f64)> {
    let (began, limit) = (Instant::now(), Duration::from_secs_f64(seconds));
    let mut watch = |_: &logistics::rounds::Progress<'_>| {
        if began.elapsed() < limit { ControlFlow::Continue(()) } else { ControlFlow::Break(()) }
    };
    let outcome = plan(problem, order, &mut watch)?;
    Ok((outcome, began.elapsed().as_secs_f64()))
}

/// A line of the table: instance, order, ours, the reference's, proved, seconds.
fn line(cells: [&str; 6]) -> String {
    let [instance, order, ours, theirs, proved, seconds] = cells;
    format!("{instance:<16} {order:<10} {ours:<28} {theirs:<34} {proved:<20} {seconds:>8}")
}

fn line_of(instance: &Instance, key: &str, outcome: &Outcome, reference: Option<&Reached>, seconds: f64) -> String {
    let values: Vec<String> = outcome.levels.iter().map(|reached| reached.value.to_string()).collect();
    let open = outcome.levels.iter().find(|reached| reached.value != reached.bound);
    let proved = open.map_or("yes".to_owned(), |open| format!("{} bound {}", name(open.level), open.bound));
    let theirs = reference.map_or("none".to_owned(), shown);
    line([&instance.id, key, &values.join(" "), &theirs, &proved, &format!("{seconds:.3}")])
}

fn shown(reference: &Reached) -> String {
    let level = |level: &instance::LevelOfFile| {
        let value = reference.parts.get(&level.level).map_or("?".to_owned(), i64::to_string);
        match (level.status.as_str(), level.bound) {
            ("optimal", _) | (_, None) => value,
            (_, Some(bound)) => format!("{value}[{bound}]"),
        }
    };
    reference.levels.iter().map(level).collect::<Vec<_>>().join(" ")
}
