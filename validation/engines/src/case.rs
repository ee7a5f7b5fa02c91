//! The published engines: their files, ratings, and how each is used.

use shortblock_curve::Quantity;
use shortblock_engine::build::{Rating, RatingKind};
use shortblock_engine::{Build, Loader, load};
use std::f64::consts::PI;
use std::fs;
use std::path::{Path, PathBuf};
use toml_edit::{DocumentMut, Item, Table};

/// rad/s in one revolution per minute.
pub const RPM: f64 = PI / 30.0;
/// Completeness from which an engine counts for the decision.
pub const COMPLETE: f64 = 0.8;
/// How far the speed of a peak may be from the published one, rpm, where the case says nothing.
const SPEED_WITHIN_RPM: f64 = 400.0;
/// The curve is asked from this share of the fastest rating's speed ...
const SLOWEST: f64 = 0.32;
/// ... to this one, so that a peak near the rating's speed does not lie at its end.
const FASTEST: f64 = 1.25;
/// Points of the curve besides the ratings' own speeds.
const POINTS: usize = 18;

/// One phase of variable cams: values that are set together.
pub type Phase = Vec<(String, String)>;

/// One engine.
pub struct Case {
    /// Name of its file.
    pub file: String,
    /// Its full path.
    pub path: PathBuf,
    /// The build as written.
    pub build: Build,
    /// The build at each phase of its cams; the build itself when they are fixed.
    pub phased: Vec<(Phase, Build)>,
    /// Share of what matters that is published.
    pub completeness: f64,
    /// Whether it may help to choose the generic numbers.
    pub fit: bool,
    /// Why its errors are not compared.
    pub excluded: Option<String>,
    /// Rules of thumb that must hold and do not, each with its reason; the list only gets shorter.
    pub known: Vec<(String, String)>,
    /// How far a peak's speed may be off, rad/s.
    pub speed_within: f64,
    /// Whether published peaks are those of the curve.
    pub peaks_known: bool,
    /// Speeds to ask, rad/s, rising; the ratings' own among them.
    pub speeds: Vec<f64>,
}

/// A published figure at a speed.
#[derive(Clone, Copy)]
pub struct Published {
    /// Torque or power.
    pub quantity: Quantity,
    /// N·m or W.
    pub value: f64,
    /// rad/s.
    pub speed: f64,
    /// What it says of the curve.
    pub kind: RatingKind,
    /// What it may be off by, as a share.
    pub tolerance: f64,
}

impl Published {
    /// The torque that it states at its speed, N·m.
    pub fn torque(&self) -> f64 {
        match self.quantity {
            Quantity::Torque => self.value,
            Quantity::Power => self.value / self.speed,
        }
    }
}

impl Case {
    /// The name for tables.
    pub fn name(&self) -> &str {
        &self.build.identity.name
    }

    /// Whether its errors decide.
    pub fn decides(&self) -> bool {
        self.excluded.is_none() && self.completeness >= COMPLETE - 1e-9
    }

    /// Everything published at a speed.
    pub fn published(&self) -> Vec<Published> {
        self.build.ratings.iter().filter_map(published).collect()
    }

    /// Published points that have a value to compare with, not only a bound.
    pub fn points(&self) -> Vec<Published> {
        self.published().into_iter().filter(|p| p.kind != RatingKind::AtLeast).collect()
    }
}

fn published(rating: &Rating) -> Option<Published> {
    let power = rating.value.quantity == shortblock_units::Quantity::Power;
    Some(Published {
        quantity: if power { Quantity::Power } else { Quantity::Torque },
        value: rating.value.si,
        speed: rating.speed.as_ref()?.si,
        kind: rating.kind,
        tolerance: rating.tolerance.si,
    })
}

/// All cases of a folder.
pub fn cases(folder: &Path) -> Result<Vec<Case>, String> {
    let text = fs::read_to_string(folder.join("cases.toml")).map_err(|e| e.to_string())?;
    let document: DocumentMut = text.parse().map_err(|e| format!("cases.toml: {e}"))?;
    let list = document["engine"].as_array_of_tables().ok_or("cases.toml: no [[engine]]")?;
    list.iter().map(|table| case(folder, table)).collect()
}

fn case(folder: &Path, table: &Table) -> Result<Case, String> {
    let file = text_of(table, "file").ok_or("cases.toml: an engine without file")?;
    let build = *load(&file, &Folder(folder.to_path_buf()))
        .build
        .map_err(|faults| format!("{file}:\n{}", faults.render()))?;
    let phased = phases(table)
        .into_iter()
        .map(|phase| {
            let mut moved = build.clone();
            for (path, value) in &phase {
                moved = moved.with(path, value).map_err(|f| format!("{file}: {}", f.render()))?;
            }
            Ok((phase, moved))
        })
        .collect::<Result<Vec<_>, String>>()?;
    let number = |key: &str| table.get(key).and_then(number);
    let flag = |key: &str| table.get(key).and_then(Item::as_bool);
    let speeds = speeds(&build, number("top_speed").map(|n| n * RPM));
    Ok(Case {
        path: folder.join(&file),
        file,
        build,
        phased,
        completeness: number("completeness").unwrap_or(0.0),
        fit: flag("fit").unwrap_or(true),
        excluded: text_of(table, "excluded"),
        known: known_of(table),
        speed_within: number("speed_within").unwrap_or(SPEED_WITHIN_RPM) * RPM,
        peaks_known: flag("peaks_known").unwrap_or(true),
        speeds,
    })
}

fn known_of(table: &Table) -> Vec<(String, String)> {
    let rows = table.get("known").and_then(Item::as_inline_table);
    let rows = rows.into_iter().flat_map(|rows| rows.iter());
    rows.filter_map(|(rule, why)| Some((rule.to_owned(), why.as_str()?.to_owned()))).collect()
}

fn text_of(table: &Table, key: &str) -> Option<String> {
    table.get(key).and_then(Item::as_str).map(str::to_owned)
}

fn number(item: &Item) -> Option<f64> {
    item.as_float().or_else(|| item.as_integer().map(|n| n as f64))
}

/// `["path = value", ...]` per phase; one phase without values when the cams are fixed.
fn phases(table: &Table) -> Vec<Phase> {
    let lists = table.get("phases").and_then(Item::as_array);
    let all: Vec<Phase> = lists
        .into_iter()
        .flatten()
        .filter_map(|phase| phase.as_array())
        .map(|phase| phase.iter().filter_map(|v| v.as_str()).filter_map(setting).collect())
        .collect();
    if all.is_empty() { vec![Phase::new()] } else { all }
}

fn setting(text: &str) -> Option<(String, String)> {
    text.split_once('=').map(|(path, value)| (path.trim().to_owned(), value.trim().to_owned()))
}

/// Evenly spread speeds around the ratings, their own speeds added.
fn speeds(build: &Build, top: Option<f64>) -> Vec<f64> {
    let mut own: Vec<f64> =
        build.ratings.iter().filter_map(|r| r.speed.as_ref()).map(|s| s.si).collect();
    if let Some(table) = &build.rating_curve {
        own.extend(table.column("speed").unwrap_or_default().iter().step_by(4));
    }
    let fastest = own.iter().copied().fold(0.0, f64::max);
    let (low, high) = (SLOWEST * fastest, top.unwrap_or(FASTEST * fastest));
    let step = (high - low) / (POINTS - 1) as f64;
    let mut all: Vec<f64> = (0..POINTS).map(|i| low + step * i as f64).collect();
    // A rating's own speed takes the place of one that is close to it.
    all.retain(|speed| own.iter().all(|o| (o - speed).abs() > 0.3 * step));
    all.extend(own);
    all.sort_by(f64::total_cmp);
    all.dedup_by(|a, b| (*a - *b).abs() < 1e-6);
    all
}

/// Reads files beside the cases.
struct Folder(PathBuf);

impl Loader for Folder {
    fn text(&self, path: &str) -> Option<String> {
        fs::read_to_string(self.0.join(path)).ok()
    }

    fn names(&self, path: &str) -> Vec<String> {
        let entries = fs::read_dir(self.0.join(path)).into_iter().flatten();
        entries.filter_map(|entry| entry.ok()?.file_name().into_string().ok()).collect()
    }
}
