//! What each move and hold of a piece is.

use super::clean::Cleaned;
use super::moves::{Move, moves};
use super::rules::Rules;
use super::slope::{local_slopes, slope};
use super::stretch::{BrokenOff, Kind, Rate, Stretch};
use super::trace::{Trace, pieces};
use std::ops::Range;

/// Half the time over which the evenness of a rate is taken, s.
const HALF: f64 = 0.25;
/// Shortest sweep, s.
const SHORTEST: f64 = 1.0;
/// A run-up is shorter than this share of what follows, or hastier by [`HASTIER`].
const SHORTER: f64 = 0.75;
/// Ratio of rates.
const HASTIER: f64 = 1.5;
/// Without a load channel a fall counts as a sweep when its rate scatters by less than this share.
const STEADY: f64 = 0.15;

/// A rise that leads to a coast-down and scatters more than this was no sweep.
const UNEVEN: f64 = 0.3;

/// A rise under load may have little of it over this share: a peaky engine.
const SLACK_RISING: f64 = 0.5;
/// A fall under load may have little of it over this share only: an emptied brake drags with the
/// square of speed and looks loaded at the top.
const SLACK_FALLING: f64 = 0.2;

/// Below this share of the best load an engine idles (ours).
const IDLING: f64 = 0.1;

/// One part of a recording.
pub struct Signal<'a> {
    /// Time, s.
    pub time: &'a [f64],
    /// Torque or what stands for it.
    pub load: Option<&'a [f64]>,
    /// Whether a roller's speed is recorded beside the engine's.
    pub has_roller: bool,
    /// Which part.
    pub part: usize,
    /// Its first row in the recording.
    pub first: usize,
}

/// Finds what the engine's speed shows.
pub fn classify(signal: &Signal, cleaned: &Cleaned, rules: &Rules, found: &mut Vec<Stretch>) {
    let best = best_load(signal);
    for trace in pieces(signal.time, cleaned, 0..signal.time.len(), rules) {
        let parts = moves(&trace, rules);
        let piece = Piece { signal, trace: &trace, rules, best };
        piece.name_all(&parts, found);
    }
}

/// Finds unloaded falls of a roller that last at least `shortest` (s).
pub fn coasting(
    signal: &Signal,
    cleaned: &Cleaned,
    rules: &Rules,
    shortest: f64,
    found: &mut Vec<Stretch>,
) {
    let best = best_load(signal);
    for trace in pieces(signal.time, cleaned, 0..signal.time.len(), rules) {
        let piece = Piece { signal, trace: &trace, rules, best };
        for part in moves(&trace, rules).iter().filter(|part| part.sign < 0.0) {
            let long = trace.duration(&part.points) >= shortest;
            let far = -trace.change(&part.points) >= rules.span;
            if long && far && piece.loaded(&part.points, SLACK_FALLING) != Some(true) {
                let mut stretch = piece.stretch(Kind::CoastDown, &part.points);
                stretch.of_roller = true;
                found.push(stretch);
            }
        }
    }
}

/// The greatest load that is no outlier: 95 of 100 rows lie below.
fn best_load(signal: &Signal) -> Option<f64> {
    let mut load: Vec<f64> = signal.load?.iter().copied().filter(|v| v.is_finite()).collect();
    let last = load.len().checked_sub(1)?;
    let (_, best, _) = load.select_nth_unstable_by(last * 95 / 100, f64::total_cmp);
    (*best > 0.0).then_some(*best)
}

/// A piece with what is needed to name its moves.
struct Piece<'a> {
    signal: &'a Signal<'a>,
    trace: &'a Trace,
    rules: &'a Rules,
    best: Option<f64>,
}

impl Piece<'_> {
    fn name_all(&self, parts: &[Move], found: &mut Vec<Stretch>) {
        let mut at = 0;
        let mut sweeps_up: Vec<(usize, Range<usize>)> = Vec::new();
        while at < parts.len() {
            if let Some(end) = self.steps_end(parts, at) {
                found.push(self.steps(&parts[at..end]));
                at = end;
                continue;
            }
            let before = found.len();
            self.name(parts, at, found);
            let last = at + 1 == parts.len();
            let sweeps = |new: &&mut Stretch| matches!(new.kind, Kind::SweepUp | Kind::SweepDown);
            let new = found[before..].first_mut().filter(sweeps);
            if let Some(new) = new.filter(|_| last && self.trace.lost) {
                new.broken_off = Some(BrokenOff::SignalLost);
            }
            sweeps_up.extend((found.len() > before).then(|| (before, parts[at].points.clone())));
            at += 1;
        }
        // What follows may have made a run-up of it.
        for (place, points) in sweeps_up {
            if let Some(sweep) = found.get_mut(place).filter(|s| s.kind == Kind::SweepUp) {
                let broken_off = sweep.broken_off;
                let left = self.while_it_pulls(&points);
                *sweep = Stretch { broken_off, ..self.stretch(Kind::SweepUp, &left) };
            }
        }
    }

    fn name(&self, parts: &[Move], at: usize, found: &mut Vec<Stretch>) {
        let part = &parts[at];
        if part.held() {
            if self.trace.duration(&part.points) >= self.rules.dwell {
                found.push(self.stretch(Kind::Hold, &part.points));
            }
        } else if self.span(part) >= self.rules.span {
            let kind =
                if part.sign > 0.0 { self.upward(parts, at) } else { self.downward(part, found) };
            if kind == Kind::CoastDown {
                uneven_is_no_sweep(found);
            }
            found.push(self.stretch(kind, &part.points));
        }
    }

    /// A sweep without the rows at its ends in which nothing pulls yet or any more: rows that lie far
    /// apart in time run into it, and speed still rises for a row when the load is off.
    fn while_it_pulls(&self, points: &Range<usize>) -> Range<usize> {
        let (Some(load), Some(best)) = (self.signal.load, self.best) else { return points.clone() };
        let pulls = |point: &usize, share: f64| {
            let row = self.trace.rows(&(*point..*point + 1)).start;
            load.get(row).is_none_or(|load| load.is_nan() || *load >= share * best)
        };
        let start = points.clone().find(|p| pulls(p, IDLING)).unwrap_or(points.start);
        let last = (start..points.end).rev().find(|p| pulls(p, self.rules.unloaded));
        let left = start..last.map_or(points.end, |p| p + 1);
        if self.trace.change(&left) >= self.rules.span { left } else { points.clone() }
    }

    /// A rise: the sweep, or what leads to one.
    fn upward(&self, parts: &[Move], at: usize) -> Kind {
        let part = &parts[at];
        let next = parts[at + 1..].iter().take(2).find(|part| !part.held());
        let leads = next.filter(|next| next.sign > 0.0).is_some_and(|next| {
            let hastier = self.rate(part) > HASTIER * self.rate(next);
            let follows = self.span(next) >= self.rules.span;
            follows && (hastier || self.span(part) < SHORTER * self.span(next))
        });
        let short = self.trace.duration(&part.points) < SHORTEST;
        if leads || short || self.loaded(&part.points, SLACK_RISING) == Some(false) {
            Kind::RunUp
        } else {
            Kind::SweepUp
        }
    }

    /// A fall: under load, by itself, or after a sweep.
    fn downward(&self, part: &Move, found: &[Stretch]) -> Kind {
        let pulls = |s: &&Stretch| s.kind.is_pull() && s.part == self.signal.part;
        let before = found.iter().rev().find(pulls);
        let after = before.and_then(|s| s.rate).map(|rate| rate.mean.abs());
        // Where there is a roller, that is what coasts.
        let tail = self.signal.has_roller || before.is_some_and(|s| s.kind == Kind::Steps);
        let rate = self.rate(part).abs();
        let slow = after.is_none_or(|sweep| rate <= sweep);
        let alike = after.is_none_or(|sweep| rate <= HASTIER * sweep);
        let loaded = self.loaded(&part.points, SLACK_FALLING);
        let even = self.evenness(&part.points).is_some_and(|rate| rate.spread <= STEADY);
        let short = self.trace.duration(&part.points) < SHORTEST;
        match loaded {
            Some(true) if !short => Kind::SweepDown,
            None if even && alike && !short => Kind::SweepDown,
            _ if slow && !short && !tail => Kind::CoastDown,
            _ => Kind::Tail,
        }
    }

    /// Whether the load was on over all but `share` of a stretch; `None` where there is no load
    /// channel.
    fn loaded(&self, points: &Range<usize>, share: f64) -> Option<bool> {
        let rows = self.trace.rows(points);
        let mut load: Vec<f64> =
            self.signal.load?[rows].iter().copied().filter(|v| v.is_finite()).collect();
        load.sort_unstable_by(f64::total_cmp);
        let low = load.get((share * load.len() as f64) as usize)?;
        Some(*low >= self.rules.unloaded * self.best?)
    }

    fn span(&self, part: &Move) -> f64 {
        part.sign * self.trace.change(&part.points)
    }

    /// Mean rate, rad/s².
    fn rate(&self, part: &Move) -> f64 {
        slope(&self.trace.time[part.points.clone()], &self.trace.speed[part.points.clone()])
    }

    fn evenness(&self, points: &Range<usize>) -> Option<Rate> {
        let (time, speed) = (&self.trace.time[points.clone()], &self.trace.speed[points.clone()]);
        let mean = slope(time, speed);
        let local = local_slopes(time, speed, HALF);
        let squares: f64 = local.iter().map(|rate| (rate - mean).powi(2)).sum();
        let spread = (squares / (local.len() as f64 - 1.0)).sqrt() / mean.abs();
        (mean != 0.0 && spread.is_finite()).then(|| Rate {
            mean,
            spread,
            went_back: went_back(speed, mean.signum()),
        })
    }

    fn stretch(&self, kind: Kind, points: &Range<usize>) -> Stretch {
        let rows = self.trace.rows(points);
        let moves = !matches!(kind, Kind::Hold | Kind::Steps);
        Stretch {
            kind,
            rows: self.shifted(&rows),
            from: self.trace.start(points),
            to: self.trace.end(points),
            rate: if moves { self.evenness(points) } else { None },
            dwells: Vec::new(),
            broken_off: None,
            part: self.signal.part,
            of_roller: false,
        }
    }

    fn shifted(&self, rows: &Range<usize>) -> Range<usize> {
        rows.start + self.signal.first..rows.end + self.signal.first
    }

    /// Where a step test that starts with the hold at `at` ends: at least three dwells with short
    /// moves one way between them, or with none where the log has no rows of the move. An engine
    /// that idles before is none of its dwells.
    fn steps_end(&self, parts: &[Move], at: usize) -> Option<usize> {
        let dwell =
            |part: &&Move| part.held() && self.trace.duration(&part.points) >= self.rules.dwell;
        let first = parts.get(at).filter(dwell)?;
        if self.loaded(&first.points, SLACK_RISING) == Some(false) {
            return None;
        }
        let (mut last, mut dwells, mut way) = (at, 1, 0.0);
        while let Some(between) = parts.get(last + 1) {
            let next = if between.held() { last + 1 } else { last + 2 };
            let Some(to) = parts.get(next).filter(dwell) else { break };
            let rise = if between.held() {
                self.trace.start(&to.points) - self.trace.end(&parts[last].points)
            } else {
                self.trace.change(&between.points)
            };
            if rise.abs() > self.rules.step || rise * way < 0.0 {
                break;
            }
            (last, dwells, way) = (next, dwells + 1, rise);
        }
        (dwells >= 3).then_some(last + 1)
    }

    fn steps(&self, parts: &[Move]) -> Stretch {
        let points = parts[0].points.start..parts[parts.len() - 1].points.end;
        let mut stretch = self.stretch(Kind::Steps, &points);
        stretch.dwells = parts.iter().filter(|part| part.held()).map(|p| self.dwell(p)).collect();
        stretch
    }

    /// Rows of a dwell without the time in which it settles.
    fn dwell(&self, part: &Move) -> Range<usize> {
        let points = &part.points;
        let settling = self.rules.settling.min(self.trace.duration(points) / 3.0);
        let settled = self.trace.time[points.start] + settling;
        let start = points.clone().find(|&i| self.trace.time[i] >= settled);
        self.shifted(&self.trace.rows(&(start.unwrap_or(points.start)..points.end)))
    }
}

/// An uneven rise straight into a coast-down only brought speed to where it starts.
fn uneven_is_no_sweep(found: &mut [Stretch]) {
    let uneven = |s: &&mut Stretch| {
        s.kind == Kind::SweepUp && s.rate.is_some_and(|rate| rate.spread > UNEVEN)
    };
    if let Some(rise) = found.last_mut().filter(uneven) {
        rise.kind = Kind::RunUp;
    }
}

/// The furthest that a signal went back against its way.
fn went_back(speed: &[f64], sign: f64) -> f64 {
    let mut ahead = f64::NEG_INFINITY;
    let mut back: f64 = 0.0;
    for value in speed {
        ahead = ahead.max(sign * value);
        back = back.max(ahead - sign * value);
    }
    back
}
