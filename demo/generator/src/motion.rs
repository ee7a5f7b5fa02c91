//! Speed over time: stretches in which the acceleration goes in a straight line.

use crate::engine::{RPM, empty_brake, friction};

/// A stretch of time.
#[derive(Debug, Clone, Copy)]
struct Stretch {
    seconds: f64,
    /// Acceleration at its start and end, rpm/s.
    from: f64,
    to: f64,
}

/// What a sweep is asked to be.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Sweep {
    pub from_rpm: f64,
    pub to_rpm: f64,
    pub rate_rpm_s: f64,
}

/// A whole run of the engine from key-on to the tail, or the steps of a step test.
pub(crate) struct Motion {
    stretches: Vec<Stretch>,
    /// Load over time, from 0 (brake empty, throttle nearly shut) to 1 (wide open).
    pub load: Vec<(f64, f64)>,
    /// Throttle over time, fraction.
    pub throttle: Vec<(f64, f64)>,
    /// When the engine is started, s.
    pub started: f64,
    /// When the sweep or the first step begins and when the load comes off, s.
    pub pulling: (f64, f64),
}

const IDLE_RPM: f64 = 1150.0;
const IDLE: f64 = 0.04;
const RUN_UP: f64 = 0.22;
const WIDE_OPEN: f64 = 0.997;

impl Motion {
    /// Key-on, start, idle, run-up, hold, sweep, tail.
    pub fn sweep(sweep: Sweep) -> Self {
        let mut motion = Self::up_to(sweep.from_rpm);
        let opened = motion.open(0.8);
        motion.hold(2.5);
        let start = motion.seconds();
        let rate = sweep.rate_rpm_s;
        let blend = 0.3;
        motion.push(blend, 0.0, rate);
        motion.push((sweep.to_rpm - sweep.from_rpm) / rate - 0.75 * blend, rate, rate);
        motion.push(0.5 * blend, rate, 0.0);
        motion.finish(sweep.to_rpm, opened, start);
        motion
    }

    /// Key-on, start, idle, run-up, then `dwell` seconds at each of the steps with one second
    /// between them.
    pub fn steps(speeds_rpm: &[f64], dwell: f64) -> Self {
        let mut motion = Self::up_to(speeds_rpm[0]);
        let opened = motion.open(0.5);
        motion.hold(1.5);
        let start = motion.seconds();
        motion.hold(dwell);
        for pair in speeds_rpm.windows(2) {
            motion.change(pair[1] - pair[0], 1.0);
            motion.hold(dwell);
        }
        motion.finish(speeds_rpm[speeds_rpm.len() - 1], opened, start);
        motion
    }

    /// Key-on, start, idle, run-up without load, throttle shut, and down until `to_rpm`: slowed by
    /// friction and the empty brake alone; inertia in kg·m².
    pub fn coast(from_rpm: f64, to_rpm: f64, inertia: f64) -> Self {
        let mut motion = Self::up_to(from_rpm);
        motion.hold(0.5);
        let shut = motion.seconds();
        motion.throttle.extend([(shut - 0.2, RUN_UP), (shut, 0.02)]);
        let slowing = |rpm: f64| -(friction(rpm) + empty_brake(rpm)) / (inertia * RPM);
        let (mut rpm, step) = (from_rpm, 0.1);
        while rpm > to_rpm {
            let from = slowing(rpm);
            let to = slowing(rpm + step * from);
            motion.push(step, from, to);
            rpm += 0.5 * step * (from + to);
        }
        motion.pulling = (shut, shut);
        motion
    }

    fn up_to(speed_rpm: f64) -> Self {
        let mut motion = Self {
            stretches: Vec::new(),
            load: Vec::new(),
            throttle: Vec::new(),
            started: 1.5,
            pulling: (0.0, 0.0),
        };
        motion.hold(1.5);
        motion.change(IDLE_RPM, 1.0);
        motion.hold(2.0);
        let idled = motion.seconds();
        motion.change(speed_rpm - IDLE_RPM, 2.5);
        motion.throttle = vec![(1.5, 0.0), (1.7, IDLE), (idled, IDLE), (idled + 0.6, RUN_UP)];
        motion
    }

    /// Opens the throttle so many seconds from now; says when it is open.
    fn open(&mut self, later: f64) -> f64 {
        let at = self.seconds() + later;
        self.throttle.extend([(at, RUN_UP), (at + 0.5, WIDE_OPEN)]);
        at + 0.5
    }

    fn finish(&mut self, speed_rpm: f64, opened: f64, start: f64) {
        let end = self.seconds();
        self.hold(0.3);
        self.push(0.5, 0.0, -(speed_rpm - 1800.0) / 3.5);
        self.push(2.5, -(speed_rpm - 1800.0) / 3.5, -(speed_rpm - 1800.0) / 3.5);
        self.push(1.5, -(speed_rpm - 1800.0) / 3.5, 0.0);
        self.hold(0.6);
        self.throttle.extend([(end, WIDE_OPEN), (end + 0.25, 0.02)]);
        self.load = vec![(opened - 0.5, 0.0), (opened + 0.2, 1.0), (end, 1.0), (end + 0.3, 0.0)];
        self.pulling = (start, end);
    }

    fn push(&mut self, seconds: f64, from: f64, to: f64) {
        self.stretches.push(Stretch { seconds, from, to });
    }

    fn hold(&mut self, seconds: f64) {
        self.push(seconds, 0.0, 0.0);
    }

    fn change(&mut self, by_rpm: f64, seconds: f64) {
        let most = 2.0 * by_rpm / seconds;
        self.push(0.5 * seconds, 0.0, most);
        self.push(0.5 * seconds, most, 0.0);
    }

    /// How long it all takes, s.
    pub fn seconds(&self) -> f64 {
        self.stretches.iter().map(|s| s.seconds).sum()
    }

    /// Speed, rpm, at a time, s.
    pub fn speed_rpm(&self, time: f64) -> f64 {
        let mut speed = 0.0;
        let mut left = time.max(0.0);
        for s in &self.stretches {
            let t = left.min(s.seconds);
            speed += t * (s.from + 0.5 * (s.to - s.from) * t / s.seconds);
            left -= t;
        }
        speed
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_sweep_goes_where_it_should_at_its_rate() {
        let sweep = Sweep { from_rpm: 3500.0, to_rpm: 8500.0, rate_rpm_s: 300.0 };
        let motion = Motion::sweep(sweep);
        let (start, end) = motion.pulling;
        assert!((motion.speed_rpm(start) - 3500.0).abs() < 1e-6);
        assert!((motion.speed_rpm(end) - 8500.0).abs() < 1e-6);
        let middle = 0.5 * (start + end);
        let rate = motion.speed_rpm(middle + 0.5) - motion.speed_rpm(middle - 0.5);
        assert!((rate - 300.0).abs() < 1e-6);
        assert!((motion.speed_rpm(motion.seconds()) - 1800.0).abs() < 1e-6);
    }
}
