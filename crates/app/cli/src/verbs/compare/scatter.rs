//! How much pulls move by themselves: assumed, of the dyno's own record, or as an earlier comparison
//! kept it.

use crate::args::Compare;
use crate::failure::Failure;
use crate::files::Entry;
use crate::logs::Day;
use crate::verbs::plan_test::{change, kind};
use shortblock_compare::{HistoryKey, Mode, Scatter};
use shortblock_pulls::sweep::Kind;
use shortblock_session::load_kept;
use std::f64::consts::PI;
use std::path::Path;

const RPM: f64 = PI / 30.0;
/// Scatter of pulls is kept by bands of torque as wide as this, N·m (ours).
const TORQUE_BAND: f64 = 50.0;

/// What the scatter of these pulls belongs to: one key for each mode.
pub fn keys(
    days: &[Day],
    chosen: &[(usize, usize, String)],
    at_wheels: &[Option<Vec<f64>>],
) -> Vec<HistoryKey> {
    let mut keys: Vec<HistoryKey> = Vec::new();
    let of = chosen.iter().zip(at_wheels);
    for key in of.filter_map(|((day, place, _), w)| history_key(days, *day, *place, w.as_deref())) {
        if !keys.iter().any(|k| k.mode == key.mode) {
            keys.push(key);
        }
    }
    keys
}

/// Dyno, mode, rate and torque band that the scatter of a pull belongs to.
fn history_key(
    days: &[Day],
    day: usize,
    place: usize,
    at_wheels: Option<&[f64]>,
) -> Option<HistoryKey> {
    let dyno = days[day].session.as_ref()?.dyno.as_ref()?;
    let pull = days[day].pull(&days[day].pulls[place])?;
    let steady = matches!(pull.stretch.kind, Kind::Steps | Kind::Table);
    let planned = days[day].limits.planned_rate.map(|rate| rate.value);
    // On a roller the rate follows from power unless somebody plans it.
    let own = pull.stretch.rate.filter(|_| at_wheels.is_none()).map(|rate| rate.mean.abs());
    let rate = planned.or(own).unwrap_or(0.0) / RPM;
    let torque = match at_wheels {
        Some(torque) => torque,
        None => &pull.best_torque()?.mean,
    };
    let best = torque.iter().copied().filter(|t| t.is_finite()).fold(0.0, f64::max);
    Some(HistoryKey {
        dyno: dyno.name.clone(),
        mode: if steady { Mode::Steady } else { Mode::Sweep },
        sweep_rate_rpm_s: if steady { 0 } else { rate.round() as u32 },
        torque_from_nm: ((best / TORQUE_BAND).floor() * TORQUE_BAND) as u32,
    })
}

/// The scatter: kept with an earlier comparison, else of the dyno's record, else assumed.
///
/// # Errors
/// When the file that is named can't be read.
pub fn of(
    args: &Compare,
    days: &[Day],
    keys: &[HistoryKey],
    shop: Option<&Path>,
) -> Result<Scatter, Failure> {
    match &args.kept {
        Some(file) => kept(file, shop),
        None => Ok(known(args, days, keys)),
    }
}

/// The scatter that an earlier comparison was worked out with, whatever the dyno's record says now.
fn kept(file: &str, shop: Option<&Path>) -> Result<Scatter, Failure> {
    let entry = Entry::find(file, shop)?;
    let (name, path) = (entry.name().to_owned(), entry.path().to_owned());
    let loaded = load_kept(&path, &entry.into_shop());
    loaded.read.map_err(|faults| Failure::Faults(name, Box::new(faults)))
}

fn known(args: &Compare, days: &[Day], keys: &[HistoryKey]) -> Scatter {
    let session = days.iter().find_map(|day| day.session.as_ref());
    let declared = session.and_then(|s| s.change);
    let change = args
        .change
        .map(change)
        .or(declared)
        .unwrap_or_else(|| change(crate::args::ChangeWord::BoltOn));
    let dyno = session.and_then(|s| s.dyno.as_ref());
    let of = dyno.map_or(kind(crate::args::DynoWord::Engine), |dyno| dyno.kind);
    let (Some(dyno), Some(first)) = (dyno, keys.first()) else {
        return Scatter::assumed(of, change);
    };
    let own = session.and_then(|s| s.name.as_deref());
    let of_key = |key: &HistoryKey| dyno.history(key, own).scatter(of, change);
    let mut scatter = of_key(first);
    // Each mode has its own history of how its pulls repeat.
    for key in &keys[1..] {
        match key.mode {
            Mode::Sweep => scatter.pull = of_key(key).pull,
            Mode::Steady => scatter.steady = of_key(key).steady,
        }
    }
    scatter
}
