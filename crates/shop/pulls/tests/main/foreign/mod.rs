//! Logs as other people's benches write them, made here from one hidden curve: for each, torque must
//! come out right, or a question be asked. A wrong curve without a question is a failure.
//!
//! The dialects are invented from words of the trade in several languages; units are those of NIST
//! SP 811 App. B (from memory), worked out by hand: 1 lbf.ft = 1.355 817 948 N.m, 1 kgf.m = 9.806 65
//! N.m, 1 PS = 75 kgf.m/s, 1 hp = 550 lbf.ft/s.

mod logs;
mod traps;

use shortblock_pulls::sweep::{Rules, find};
use shortblock_pulls::{Channel, Pull, Recognition, Treatment, read, recognise};
use std::f64::consts::PI;

const RPM: f64 = PI / 30.0;
const POUND_FOOT: f64 = 1.355_817_948;
const KILOPOND: f64 = 9.806_65;
const PS: f64 = 75.0 * KILOPOND;
const HP: f64 = 550.0 * POUND_FOOT;
/// Factor of the logs that are corrected.
const FACTOR: f64 = 1.043;
/// Turns a minute of the engine at 1 km/h of the roller, and what the wheels get of its power.
const GEARING: f64 = 41.0;
const AT_WHEELS: f64 = 0.87;

/// One row of the hidden truth: standing, idling, sweeping at 300 rpm/s, falling.
#[derive(Clone, Copy)]
struct Row {
    t: f64,
    rpm: f64,
    torque: f64,
    pulls: bool,
}

/// Hidden torque, N·m.
fn torque(rpm: f64) -> f64 {
    214.0 - 22.0 * ((rpm - 4600.0) / 2000.0).powi(2) + 3.0 * (rpm / 430.0).sin()
}

fn rows() -> Vec<Row> {
    (0..560)
        .map(|i| {
            let t = f64::from(i) / 20.0;
            let rpm = match t {
                _ if t < 3.0 => 0.0,
                _ if t < 6.0 => 1100.0 + 20.0 * (3.0 * t).sin(),
                _ if t < 8.0 => 1100.0 + 700.0 * (t - 6.0),
                _ if t < 10.0 => 2500.0,
                _ if t < 24.0 => 2500.0 + 300.0 * (t - 10.0),
                _ => (6700.0 - 1600.0 * (t - 24.0)).max(1500.0),
            };
            let pulls = (8.0..24.0).contains(&t);
            let torque = match t {
                _ if pulls => torque(rpm),
                _ if t < 3.0 => 0.0,
                _ if t < 8.0 => 9.0,
                _ => -12.0,
            };
            Row { t, rpm, torque, pulls }
        })
        .collect()
}

impl Row {
    fn watts(&self) -> f64 {
        self.torque * self.rpm * RPM
    }

    fn degc(&self, cold: f64, gain: f64) -> f64 {
        cold + gain * self.t
    }

    fn pick(&self, pulls: f64, idle: f64, stands: f64) -> f64 {
        if self.pulls {
            pulls
        } else if self.rpm > 0.0 {
            idle
        } else {
            stands
        }
    }
}

/// Lines of cells, with the decimal sign of the place.
fn table(
    delimiter: &str,
    decimal: &str,
    head: &[&str],
    cells: impl Fn(&Row) -> Vec<String>,
) -> String {
    let line = |row: &Row| cells(row).join(delimiter).replace('.', decimal) + "\r\n";
    let head = head.iter().map(|h| format!("{h}\r\n")).collect::<String>();
    head + &rows().iter().map(line).collect::<String>()
}

fn figure(value: f64, places: usize) -> String {
    format!("{value:.places$}")
}

fn fahrenheit(celsius: f64) -> f64 {
    1.8 * celsius + 32.0
}

fn latin(text: &str) -> Vec<u8> {
    text.chars().map(|c| u8::try_from(u32::from(c)).expect("is Latin-1")).collect()
}

fn utf_16(text: &str) -> Vec<u8> {
    format!("\u{feff}{text}").encode_utf16().flat_map(u16::to_le_bytes).collect()
}

/// What must come of a log.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Must {
    /// Torque as read, right to this (N·m), and no question about it.
    Crank(f64),
    /// Torque as the file corrected it, right to this, called so and nothing as read made of it.
    Corrected(f64),
    /// Power at the wheels, right to this (W), and no torque at the crank.
    Wheels(f64),
    /// A question, or a refusal that says what to do.
    Ask,
}

/// What came of it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Came {
    Right,
    Asked,
    Wrong,
}

/// What a log gives, and why where it is not right.
fn came(bytes: &[u8], must: Must) -> (Came, String) {
    let log = match read(bytes) {
        Ok(log) => log,
        Err(error) => return (Came::Asked, error.to_string()),
    };
    let found = recognise(&log, &[]);
    let asked: Vec<String> =
        found.doubts.iter().map(|d| format!("{}: {}", d.heading, d.question)).collect();
    let wrong = wrong(&found, must);
    match (wrong, asked.is_empty()) {
        (None, true) => (Came::Right, String::new()),
        (_, false) => (Came::Asked, asked.join("; ")),
        (Some((true, why)), _) => (Came::Asked, why),
        (Some((false, why)), _) => (Came::Wrong, why),
    }
}

/// What is wrong with the pull of a log, and whether the program says so itself.
fn wrong(found: &Recognition, must: Must) -> Option<(bool, String)> {
    let recording = &found.recording;
    let stretches = match find(recording, &Rules::default()) {
        Ok(stretches) => stretches,
        Err(error) => return Some((true, error.to_string())),
    };
    let pulls: Vec<_> = stretches.pulls().collect();
    let [stretch] = pulls[..] else { return Some((false, format!("{} pulls", pulls.len()))) };
    let pull = Pull::new(recording, &stretches, stretch, &Treatment::default()).expect("a pull");
    let (channel, to, truth): (Channel, f64, fn(f64) -> f64) = match must {
        Must::Crank(to) => (Channel::Torque, to, torque),
        Must::Corrected(to) => (Channel::CorrectedTorque, to, |rpm| FACTOR * torque(rpm)),
        Must::Wheels(to) => (Channel::WheelPower, to, |rpm| AT_WHEELS * torque(rpm) * rpm * RPM),
        Must::Ask => return Some((false, "nothing was asked".to_owned())),
    };
    if channel != Channel::Torque && pull.points(Channel::Torque).is_some() {
        return Some((false, "it is taken for torque of the engine as read".to_owned()));
    }
    let Some(points) = pull.points(channel) else { return Some((true, "no curve".to_owned())) };
    for (speed, value) in pull.speeds.iter().zip(&points.mean).filter(|(_, v)| v.is_finite()) {
        let (rpm, wanted) = (speed / RPM, truth(speed / RPM));
        // A point is the mean of the rows within 50 rpm. At the ends of a sweep only half of them are
        // there, whose mean speed is a quarter of that away; the bend within it is below 0.05 %.
        let aside = (truth(rpm + 12.5) - wanted).abs().max((truth(rpm - 12.5) - wanted).abs());
        if (value - wanted).abs() > to + aside + 0.0005 * wanted {
            return Some((false, format!("{value:.2} for {wanted:.2} at {rpm:.0} rpm")));
        }
    }
    // The last row may lie a step of the log before the top.
    let step = recording.time.last().map_or(0.0, |last| last / recording.time.len() as f64);
    let top = stretch.to.max(stretch.from) / RPM;
    if points.mean.len() < 12 || (top - 6690.0).abs() > 60.0 + 300.0 * step {
        return Some((false, format!("ends at {top:.0} rpm")));
    }
    lambda(found).map(|why| (false, why))
}

/// Lambda is 0.88 while it pulls, where a log has it.
fn lambda(found: &Recognition) -> Option<String> {
    let values = found.recording.get(Channel::Lambda(0))?;
    let off = rows().into_iter().zip(values).find(|(row, v)| row.pulls && (*v - 0.88).abs() > 0.02);
    off.map(|(_, v)| format!("lambda {v:.3} for 0.88"))
}

/// The figure: how many of the foreign logs are right, how many ask, and none is wrong.
#[test]
fn foreign_logs_are_right_or_asked_about() {
    let logs = logs::logs();
    let mut counts = [0_usize; 3];
    let mut lines = Vec::new();
    for (name, must, bytes) in &logs {
        let (came, why) = came(bytes, *must);
        counts[came as usize] += 1;
        let expected = if *must == Must::Ask { Came::Asked } else { Came::Right };
        if came != expected {
            lines.push(format!("{name}: {came:?}, wanted {expected:?}: {why}"));
        }
    }
    let [right, asked, wrong] = counts;
    println!("of {} foreign logs {right} are right, {asked} ask, {wrong} are wrong", logs.len());
    assert!(lines.is_empty(), "{}", lines.join("\n"));
    assert_eq!((logs.len(), wrong), (right + asked, 0));
}
