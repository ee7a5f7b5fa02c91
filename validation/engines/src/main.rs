//! Published engines against the prediction.
//!
//! `validate` runs every engine through the public command, chooses the generic numbers with and
//! without each engine, and writes `docs/validation.md` and what `shortblock-plan` ships: the numbers
//! with how well they are known, and the discrepancy from the residuals of the engines left out.
//! `validate short` runs them on coarse cells and fails when a curve can't be worked out or a rule of thumb that must hold is broken.
//! `validate shipped` writes the page without choosing numbers.

mod case;
mod command;
mod evidence;
mod figures;
mod fit;
mod matrix;
mod model;
mod report;
mod residuals;
mod rules;
mod run;
mod score;
mod ship;

use run::Engine;
use shortblock_plan::discrepancy_table;
use std::path::{Path, PathBuf};
use std::process::{Command, ExitCode};
use std::time::Instant;

fn main() -> ExitCode {
    let mode = std::env::args().nth(1).unwrap_or_else(|| "full".to_owned());
    let outcome = match mode.as_str() {
        "short" => short(),
        "shipped" => full(false),
        "full" => full(true),
        other => Err(format!("{other}: write short, shipped or full")),
    };
    match outcome {
        Ok(()) => ExitCode::SUCCESS,
        Err(why) => {
            eprintln!("validate: {why}");
            ExitCode::FAILURE
        }
    }
}

/// The folder of the engines, in the tree this program was built from.
fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).to_path_buf()
}

/// All engines on coarse cells; a failure lists all that is wrong.
fn short() -> Result<(), String> {
    let mut wrong = Vec::new();
    for case in case::cases(&folder())? {
        let started = Instant::now();
        let engine = Engine::by_command(case, true);
        let name = engine.case.name().to_owned();
        let errors: Vec<String> =
            engine.rows.iter().map(|row| format!("{:+.1} %", 100.0 * row.error())).collect();
        println!("{name}: {} in {:.1} s", errors.join(", "), started.elapsed().as_secs_f64());
        wrong.extend(engine.failures.iter().map(|why| format!("{name}: {why}")));
        match engine.seen() {
            None => wrong.push(format!("{name}: no curve")),
            Some(seen) => {
                for rule in &rules::RULES {
                    if let Some(why) = judge(rule, &engine.case, &seen) {
                        wrong.push(format!("{name}: {why}"));
                    }
                }
            }
        }
    }
    if wrong.is_empty() { Ok(()) } else { Err(wrong.join("\n")) }
}

/// What is wrong about one rule on one engine. A break that is known with its reason is told and
/// let pass; one that is known and holds again must be taken off the list.
fn judge(rule: &rules::Rule, case: &case::Case, seen: &rules::Seen) -> Option<String> {
    let (value, must) = (rule.value(seen)?, rule.must?);
    let known = case.known.iter().find(|(name, _)| name == rule.name);
    let told =
        format!("{} is {value:.2} {}, must lie in {} to {}", rule.name, rule.unit, must.0, must.1);
    match (rules::inside(must, value), known) {
        (true, None) => None,
        (true, Some(_)) => Some(format!("{told}: it does, take it off the known ones")),
        (false, None) => Some(told),
        (false, Some((_, why))) => {
            println!("  known: {told} ({why})");
            None
        }
    }
}

/// Everything on fine cells, and the page.
fn full(choose: bool) -> Result<(), String> {
    let log = |line: String| eprintln!("{line}");
    let mut engines = Vec::new();
    for case in case::cases(&folder())? {
        let started = Instant::now();
        let engine = Engine::by_command(case, false);
        log(format!("{}: {:.1} s", engine.case.name(), started.elapsed().as_secs_f64()));
        for why in &engine.failures {
            log(format!("{}: {why}", engine.case.name()));
        }
        engines.push(engine);
    }
    let chosen = choose.then(|| run::choose(&mut engines, &log)).transpose()?;
    let found = chosen.as_ref().and_then(|c| residuals::Wrong::of(&c.points, &c.peaks));
    let terms = found.as_ref().map_or_else(|| discrepancy_table().to_vec(), residuals::to_ship);
    let page = report::page(&engines, chosen.as_ref(), found.as_ref(), &terms, &provenance());
    if let (Some(chosen), Some(_)) = (&chosen, &found)
        && ship::write(&terms, &chosen.posterior)?
    {
        log("what is shipped changed: build and run again, so that the page is made with it".into());
    }
    let path = folder().join("../../docs/validation.md");
    std::fs::write(&path, page).map_err(|e| format!("{}: {e}", path.display()))
}

/// What a run writes.
const WRITTEN: [&str; 3] =
    ["docs/validation.md", "discrepancy/shipped.csv", "closures/shipped.csv"];

/// Which state of the repository the page is made from.
fn provenance() -> String {
    let git = |arguments: &[&str]| {
        let out = Command::new("git").arg("-C").arg(folder()).args(arguments).output().ok()?;
        out.status.success().then(|| String::from_utf8_lossy(&out.stdout).trim().to_owned())
    };
    let commit = git(&["rev-parse", "--short=12", "HEAD"]).unwrap_or_else(|| "unknown".into());
    let changed = git(&["status", "--porcelain", "--untracked-files=no"]);
    let clean =
        changed.is_some_and(|lines| lines.lines().all(|l| WRITTEN.iter().any(|w| l.ends_with(w))));
    let state = if clean { "frozen" } else { "with changes that are not committed" };
    format!("Data, priors and code: commit `{commit}`, {state}.\n")
}
