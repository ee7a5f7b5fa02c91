//! A day's pulls as readings of a loop: setting, corrected torque and knock at each speed.

use crate::logs::{Day, DayPull};
use crate::verbs::pulls::day_curve;
use shortblock_compare::{HistoryKey, Mode, Origin};
use shortblock_pulls::sweep::Kind;
use shortblock_pulls::{Channel, Pull};
use shortblock_tune::{Reading, Scatter, Setting};
use std::f64::consts::PI;

const RPM: f64 = PI / 30.0;
/// A point of a pull belongs to a speed within half a bin.
pub const NEAR: f64 = 25.0 * RPM;
/// Two settings closer than this share of a step are one setting tried twice.
const SAME: f64 = 0.25;

/// One pull of the loop: a reading at each of its points.
pub struct Run<'a> {
    /// Its name.
    pub label: &'a str,
    /// The build it was made with.
    pub build: &'a str,
    /// Speed (rad/s) and reading.
    pub points: Vec<(f64, Reading)>,
    /// What its torque is: read, or corrected to a standard.
    pub torque_is: String,
    /// True when the setting stands in the session file and not in the log.
    pub setting_said: bool,
    /// Whether somebody or something listened for knock.
    pub listened: bool,
    /// Rate of the sweep, rad/s²; `None` when steady.
    pub rate: Option<f64>,
    /// True when the torque that accelerates the rotating parts is in it.
    pub with_inertia: bool,
}

/// The reading of every point of a pull, or why there is none.
pub fn of_pull<'a>(day: &'a Day, pull: &'a DayPull, over: Setting) -> Result<Run<'a>, String> {
    let found = day.pull(pull).ok_or("its log gives no pull")?;
    let (torque, torque_is) = torque(day, pull, found).ok_or("no torque in its log")?;
    let (settings, setting_said) = settings(day, pull, found, over).ok_or_else(|| nothing(over))?;
    let knocks = knocks(day, pull, found);
    let points = found.speeds.iter().enumerate().map(|(i, speed)| {
        let reading =
            Reading { setting: settings[i], torque: torque[i], knock: knocks.at(i, *speed) };
        (*speed, reading)
    });
    let usable = |(_, r): &(f64, Reading)| r.setting.is_finite() && r.torque.is_finite();
    Ok(Run {
        label: &pull.label,
        build: &pull.build,
        points: points.filter(usable).collect(),
        torque_is,
        setting_said,
        listened: knocks.listened,
        rate: found.stretch.rate.map(|rate| rate.mean.abs()),
        with_inertia: found.with_inertia.is_some()
            || day.session.as_ref().is_some_and(|s| s.inertia_included == Some(true)),
    })
}

fn nothing(over: Setting) -> String {
    match over {
        Setting::Spark => "its spark is neither in the session file nor in its log".to_owned(),
        Setting::Mixture => "its log has no lambda".to_owned(),
    }
}

/// Torque at the points of a pull, N·m: by the local straight line of a sweep, else the mean.
fn torque(day: &Day, pull: &DayPull, found: &Pull) -> Option<(Vec<f64>, String)> {
    if let Some(mean) = found.best_torque() {
        let observed = found.fitted_torque.clone().unwrap_or_else(|| mean.mean.clone());
        let corrected = pull.air.as_ref().ok().and_then(|air| air.corrected(&observed).ok());
        return Some(match corrected {
            Some(torque) => (torque, day.brought()),
            None => (observed, "as read".to_owned()),
        });
    }
    let (curve, word) = day_curve(day, pull)?;
    let at = |w: &f64| {
        let place = curve.speed().iter().position(|s| (s - w).abs() < 1e-6 * w);
        place.map_or(f64::NAN, |i| curve.torque()[i])
    };
    Some((found.speeds.iter().map(at).collect(), word))
}

/// The setting at the points of a pull, and whether the session file says it. Spark: as said there,
/// else as logged. Mixture: as logged, the mean of the banks, else as said.
fn settings(day: &Day, pull: &DayPull, found: &Pull, over: Setting) -> Option<(Vec<f64>, bool)> {
    let word = if over == Setting::Spark { "spark" } else { "lambda" };
    let said = day.said(pull).and_then(|said| {
        let setting = said.settings.iter().find(|s| s.name == word)?;
        setting.value.as_ref().map(|value| (vec![value.si; found.speeds.len()], true))
    });
    match over {
        Setting::Spark => {
            let logged = || found.points(Channel::SparkAdvance).map(|p| (p.mean.clone(), false));
            said.or_else(logged)
        }
        Setting::Mixture => lambda(found).map(|mean| (mean, false)).or(said),
    }
}

fn lambda(found: &Pull) -> Option<Vec<f64>> {
    let banks: Vec<&Vec<f64>> = found
        .channels
        .iter()
        .filter(|points| matches!(points.channel, Channel::Lambda(_)))
        .map(|points| &points.mean)
        .collect();
    let mean = |i: usize| banks.iter().map(|bank| bank[i]).sum::<f64>() / banks.len() as f64;
    (!banks.is_empty()).then(|| (0..found.speeds.len()).map(mean).collect())
}

/// Where a pull knocked.
struct Knocks {
    listened: bool,
    /// As the session file says: over these speeds, rad/s.
    said: Option<(f64, f64)>,
    /// As the log says, for each point.
    logged: Vec<bool>,
}

impl Knocks {
    fn at(&self, point: usize, speed: f64) -> bool {
        let heard = |(from, to): (f64, f64)| (from - NEAR..=to + NEAR).contains(&speed);
        self.said.is_some_and(heard) || self.logged.get(point).copied().unwrap_or(false)
    }
}

fn knocks(day: &Day, pull: &DayPull, found: &Pull) -> Knocks {
    let said = day.said(pull);
    let heard = said.and_then(|said| said.knocked);
    let range = said.and_then(|said| said.knock_range).unwrap_or((0.0, f64::INFINITY));
    let logged = knock_of_log(day, pull, found);
    Knocks {
        listened: heard.is_some() || logged.is_some(),
        said: (heard == Some(true)).then_some(range),
        logged: logged.unwrap_or_default(),
    }
}

/// Whether a knock signal of the log is above its limit at each point: in any of its rows of a
/// sweep or dwell; `None` without signal or limit.
fn knock_of_log(day: &Day, pull: &DayPull, found: &Pull) -> Option<Vec<bool>> {
    let limit = day.limits.knock.as_ref()?.value;
    let recording = &day.log(pull)?.recognition.recording;
    let speed = found.as_read(recording, Channel::EngineSpeed)?;
    let signals = found.channels.iter().filter(|p| matches!(p.channel, Channel::Knock(_)));
    let signals: Vec<_> = signals.collect();
    if signals.is_empty() {
        return None;
    }
    let by_row = |i: usize| {
        let rows = |channel| found.as_read(recording, channel).unwrap_or_default();
        let near = |(n, v): (&f64, &f64)| (n - found.speeds[i]).abs() <= 2.0 * NEAR && *v > limit;
        signals.iter().any(|p| speed.iter().zip(rows(p.channel)).any(near))
    };
    let by_mean = |i: usize| signals.iter().any(|p| p.mean[i] > limit);
    let table = found.stretch.kind == Kind::Table;
    Some((0..found.speeds.len()).map(|i| if table { by_mean(i) } else { by_row(i) }).collect())
}

/// Readings of all pulls at a speed, rad/s.
pub fn at_speed(runs: &[Run], speed: f64) -> Vec<Reading> {
    let near = |(at, _): &&(f64, Reading)| (at - speed).abs() < NEAR;
    runs.iter().flat_map(|run| run.points.iter().filter(near).map(|(_, r)| *r)).collect()
}

/// How many different settings the readings have, at most a quarter of a step counted as one.
pub fn different(over: Setting, readings: &[Reading]) -> usize {
    let mut all: Vec<f64> = readings.iter().map(|r| r.setting).collect();
    all.sort_by(f64::total_cmp);
    all.dedup_by(|b, a| *b - *a < SAME * over.step());
    all.len()
}

/// Scatter of the dyno's history at a speed (rad/s), with its sessions: of the same mode and rate,
/// and of the band that the best torque lies in. Nothing where the record has nothing.
pub fn history(day: &Day, runs: &[Run], speed: f64) -> (Scatter, usize) {
    let nothing = (Scatter::unknown(), 0);
    let torques = runs.iter().flat_map(|run| run.points.iter().map(|(_, r)| r.torque));
    let torque = torques.fold(0.0, f64::max);
    let Some(session) = &day.session else { return nothing };
    let Some(dyno) = &session.dyno else { return nothing };
    let rate = runs.iter().find_map(|run| run.rate).map_or(0.0, |rate| rate / RPM);
    let mode = if rate > 0.0 { Mode::Sweep } else { Mode::Steady };
    let fits = |key: &&HistoryKey| {
        let other = f64::from(key.sweep_rate_rpm_s);
        key.mode == mode
            && (other - rate).abs() <= 0.1 * rate
            && f64::from(key.torque_from_nm) <= torque
    };
    let keys = dyno.seen.iter().map(|seen| &seen.key).filter(fits);
    let Some(key) = keys.max_by_key(|key| key.torque_from_nm) else { return nothing };
    let change = shortblock_compare::Change::Setting;
    let scatter = dyno.history(key, session.name.as_deref()).scatter(dyno.kind, change);
    let known = scatter.pulls(mode);
    match known.origin {
        Origin::Assumed => nothing,
        Origin::History { sessions } => {
            let share = known.variance.at(speed / RPM).sqrt();
            (Scatter { share, dof: known.dof }, sessions)
        }
    }
}
