//! Operating characteristics of the comparison by simulation, as a Markdown page:
//! `cargo run --release -p shortblock-compare --example operating_characteristics [SESSIONS [PAGE]]`.
//!
//! 10,000 sessions a cell without a difference and a fifth of that for each difference, unless said
//! otherwise; cells are shared between the machine's cores. Without PAGE the page is printed.

#[path = "../tests/main/simulate/mod.rs"]
mod simulate;

use simulate::{Bench, Cell, Tally, Truth, cells, run};
use statrs::distribution::{Binomial, DiscreteCDF};
use std::fmt::Write;
use std::process::{Command, ExitCode};
use std::sync::Mutex;
use std::sync::atomic::{AtomicUsize, Ordering};

/// Sizes of the difference whose finding is counted: all over, per cent.
const GAINS: [f64; 3] = [0.5, 1.0, 2.0];
/// Height of the bump at 6300 rpm, per cent.
const BUMP: f64 = 1.5;

/// What one cell came to.
struct Row {
    none: Tally,
    gains: [Tally; 3],
    bump: Tally,
}

struct Size {
    sessions: usize,
    few: usize,
}

fn main() -> ExitCode {
    let mut arguments = std::env::args().skip(1);
    let asked = arguments.next().map_or(Ok(10_000), |n| n.parse());
    let Ok(sessions @ 1..) = asked else {
        eprintln!("sessions a cell: give a whole number above 0");
        return ExitCode::from(2);
    };
    let size = Size { sessions, few: usize::div_ceil(sessions, 5) };
    let cells = cells();
    let text = page(&cells, &run_all(&cells, &size), &size);
    match arguments.next() {
        None => print!("{text}"),
        Some(path) => {
            if let Err(error) = std::fs::write(&path, text) {
                eprintln!("{path}: {error}");
                return ExitCode::FAILURE;
            }
        }
    }
    ExitCode::SUCCESS
}

fn run_all(cells: &[Cell], size: &Size) -> Vec<Row> {
    let next = AtomicUsize::new(0);
    let done: Mutex<Vec<(usize, Row)>> = Mutex::new(Vec::new());
    let cores = std::thread::available_parallelism().map_or(1, usize::from);
    std::thread::scope(|scope| {
        for _ in 0..cores {
            scope.spawn(|| {
                while let Some((i, cell)) = Some(next.fetch_add(1, Ordering::Relaxed))
                    .and_then(|i| Some((i, cells.get(i)?)))
                {
                    let row = row(cell, size);
                    eprintln!("{} of {}: {}", i + 1, cells.len(), cell.name);
                    done.lock().expect("no thread panics with the lock held").push((i, row));
                }
            });
        }
    });
    let mut done = done.into_inner().expect("no thread panics with the lock held");
    done.sort_by_key(|(i, _)| *i);
    done.into_iter().map(|(_, row)| row).collect()
}

fn row(cell: &Cell, size: &Size) -> Row {
    let bench = Bench::of(cell);
    let with = |effect: f64, bump: f64| {
        let truth = Truth { effect, bump, ..cell.truth };
        run(&Cell { truth, ..cell.clone() }, &bench, size.few)
    };
    Row {
        none: run(cell, &bench, size.sessions),
        gains: GAINS.map(|gain| with(gain, 0.0)),
        bump: with(0.0, BUMP),
    }
}

/// Most that 99.9 of 100 binomial draws of `n` at 5 % stay at or below: 569 of 10,000.
fn most(n: usize) -> usize {
    let chance = Binomial::new(0.05, n as u64).expect("a probability");
    chance.inverse_cdf(0.999) as usize
}

fn per_cent(count: usize, of: usize) -> f64 {
    100.0 * count as f64 / of as f64
}

/// What does not hold in a cell.
fn faults(row: &Row, size: &Size) -> Vec<&'static str> {
    [
        (row.none.real > most(size.sessions), "false real"),
        (row.none.covered * 100 < size.sessions * 93, "coverage"),
        (row.none.band_covered * 100 < size.sessions * 93, "curve"),
        (row.gains[0].equivalent > most(size.few), "called equal"),
    ]
    .into_iter()
    .filter_map(|(fails, what)| fails.then_some(what))
    .collect()
}

fn page(cells: &[Cell], rows: &[Row], size: &Size) -> String {
    let mut out = head(size);
    let both = || cells.iter().zip(rows);
    let failing: Vec<_> = both().filter(|(c, r)| c.judged && !faults(r, size).is_empty()).collect();
    let judged = cells.iter().filter(|c| c.judged).count();
    let _ = writeln!(
        out,
        "{} cells, {judged} judged; of these fail: {}.\n",
        cells.len(),
        failing.len()
    );
    for (cell, row) in failing {
        let _ = writeln!(out, "- **{}**: {}", cell.name, faults(row, size).join(", "));
    }
    out += "\n## Worst of each family\n\nOver the judged cells, per cent.\n\n";
    out += "| Family | Cells | Most false real | Least coverage | Least curve | Largest mean error | Most called equal |\n";
    out += "|---|---|---|---|---|---|---|\n";
    let mut families: Vec<&str> = cells.iter().map(|c| c.family).collect();
    families.dedup();
    for family in &families {
        let of: Vec<_> =
            both().filter(|(c, _)| c.family == *family && c.judged).map(|(_, r)| r).collect();
        if !of.is_empty() {
            out += &worst(family, &of, size);
        }
    }
    out += "\n## Power by order\n\nAll together, usual sizes, history right: how often a difference is found real, per cent.\n\n";
    out += "| Order | 0.5 % | 1 % | 2 % | Bump | 1 % at level 0.05, average alone |\n|---|---|---|---|---|---|\n";
    for (cell, row) in both().filter(|(c, _)| c.name.contains("usual sizes,") && !c.truth.uneven) {
        let [a, b, c] = row.gains.map(|t| per_cent(t.real, size.few));
        let bump = per_cent(row.bump.real, size.few);
        let at_5 = per_cent(row.gains[1].under_5, size.few);
        let _ =
            writeln!(out, "| {} | {a:.0} | {b:.0} | {c:.0} | {bump:.0} | {at_5:.0} |", cell.order);
    }
    for family in families {
        let _ = writeln!(out, "\n## {family}\n");
        out += "| Cell | False real | Coverage | Curve | Mean error | ± | Real at 0.5 / 1 / 2 | Bump | Equal | Called equal | |\n";
        out += "|---|---|---|---|---|---|---|---|---|---|---|\n";
        for (cell, row) in both().filter(|(c, _)| c.family == family) {
            out += &line(cell, row, size);
        }
    }
    out
}

fn worst(family: &str, rows: &[&Row], size: &Size) -> String {
    let n = size.sessions;
    let largest = |f: &dyn Fn(&Row) -> f64| rows.iter().map(|r| f(r)).fold(f64::MIN, f64::max);
    let least = |f: &dyn Fn(&Row) -> f64| rows.iter().map(|r| f(r)).fold(f64::MAX, f64::min);
    format!(
        "| {family} | {} | {:.2} | {:.1} | {:.1} | {:.3} | {:.1} |\n",
        rows.len(),
        largest(&|r| per_cent(r.none.real, n)),
        least(&|r| per_cent(r.none.covered, n)),
        least(&|r| per_cent(r.none.band_covered, n)),
        largest(&|r| (100.0 * r.none.delta_sum / n as f64).abs()),
        largest(&|r| per_cent(r.gains[0].equivalent, size.few)),
    )
}

fn line(cell: &Cell, row: &Row, size: &Size) -> String {
    let n = size.sessions;
    let faults = faults(row, size);
    let mark = match (cell.judged, faults.is_empty()) {
        (false, _) => "not judged".to_string(),
        (true, true) => "holds".to_string(),
        (true, false) => format!("**FAILS: {}**", faults.join(", ")),
    };
    let [a, b, c] = row.gains.map(|t| per_cent(t.real, size.few));
    format!(
        "| {} | {:.2} | {:.1} | {:.1} | {:+.3} | {:.2} | {a:.0} / {b:.0} / {c:.0} | {:.0} | {:.0} | {:.1} | {mark} |\n",
        cell.name.split_once(": ").map_or(cell.name.as_str(), |(_, what)| what),
        per_cent(row.none.real, n),
        per_cent(row.none.covered, n),
        per_cent(row.none.band_covered, n),
        100.0 * row.none.delta_sum / n as f64,
        100.0 * row.none.half_sum / n as f64,
        per_cent(row.bump.real, size.few),
        per_cent(row.none.equivalent, n),
        per_cent(row.gains[0].equivalent, size.few),
    )
}

fn git(arguments: &[&str]) -> Option<String> {
    let out = Command::new("git").args(arguments).output().ok()?;
    out.status.success().then(|| String::from_utf8_lossy(&out.stdout).trim().to_string())
}

fn head(size: &Size) -> String {
    let commit = git(&["rev-parse", "--short=12", "HEAD"]).unwrap_or_else(|| "unknown".into());
    let clean = git(&["status", "--porcelain"]).is_some_and(|s| s.is_empty());
    let state = if clean { "" } else { ", with changes that are not committed" };
    let Size { sessions, few } = size;
    let (limit, limit_few) = (most(*sessions), most(*few));
    format!(
        "# How often \"is the difference real?\" is wrong, and what it finds

Made by `cargo run --release -p shortblock-compare --example operating_characteristics {sessions}
docs/operating-characteristics.md`; change the program, not this page. Version {version}, commit
`{commit}`{state}.

A cell is one kind of made-up day: an order of pulls, what truly scatters, and what the comparison
was told of it. Each holds {sessions} days without a difference, and {few} days for each difference;
the draws follow from the cell's name. Per cent of days or per cent of torque throughout.

- **False real**: days without a difference that got the verdict *real gain* or *real loss*, by the
  average or by a stretch of the curve. A cell fails above {limit} of {sessions}, the 99.9 % point of
  a binomial at 5 %. One pull a side is never real, by rule.
- **Coverage**: days on which the interval printed (97 times in 100) holds the true difference of the
  average. 97 is meant. More is common: part of the scatter at one speed averages out over the
  range, and more may be assumed than there is. A cell fails below 93.
- **Curve**: days on which the band (97 times in 100) holds the true difference at *every* speed. A
  cell fails below 93.
- **Mean error** of the average and mean half-width **±** of its interval, per cent of torque.
- **Real at**: days found real when B truly gives 0.5, 1 or 2 % more at every speed. **Bump**: when
  it gives {BUMP} % more around 6300 rpm only (width 500 rpm, 0.3 % on average).
- **Equal**: days without a difference on which *no difference worth having* (0.5 %) is shown.
  **Called equal**: days on which it is said although the true difference is just 0.5 %; a cell
  fails above {limit_few} of {few}.

*Judged* are cells where the history or the assumption is right. Where the truth is twice what is
assumed, or is nothing that the pulls or the history could tell, the cell is printed, not judged.
Noise without a remark: pull offset 0.30 %, smooth 0.20 % (300 rpm), white 0.05 % a sample at 100 Hz,
at 300 rpm/s, read on the grid as pulls are. *Uneven*: 2.5 times as much at the lower end, twice at
the upper. *Usual*: refit 0.3 %, drift 0.1 % a pull, warm-up 0.3 %, session 0.5 %. *History right*:
12 degrees of freedom for the pulls and 8 for every other source, drawn with their own luck;
smoothness known, and wild pulls as often as they come. Wheel beside crank is refused and has no cell.

",
        version = env!("CARGO_PKG_VERSION"),
    )
}
