//! Recordings made from corners of speed over time, with a known truth and seeded scatter.

use rand::{RngExt, SeedableRng};
use rand_xoshiro::Xoshiro256PlusPlus;
use shortblock_pulls::{Channel, Recorded, Recording};
use std::f64::consts::PI;

pub const RPM: f64 = PI / 30.0;

/// What a recording is made of.
#[derive(Clone)]
pub struct Made {
    /// Time, s, and speed, rpm, at each corner; straight between.
    pub corners: Vec<(f64, f64)>,
    /// Rows a second.
    pub hertz: f64,
    /// Standard deviation of the speed reading, rpm.
    pub noise_rpm: f64,
    pub seed: u64,
}

impl Made {
    pub fn new(corners: &[(f64, f64)]) -> Self {
        Self { corners: corners.to_vec(), hertz: 100.0, noise_rpm: 2.0, seed: 7 }
    }

    /// True speed at a time, rpm.
    pub fn rpm(&self, t: f64) -> f64 {
        let next = self.corners.iter().position(|c| c.0 > t).unwrap_or(self.corners.len() - 1);
        let (a, b) = (self.corners[next - 1], self.corners[next]);
        a.1 + (b.1 - a.1) * (t - a.0) / (b.0 - a.0)
    }

    pub fn recording(&self) -> Recording {
        let rows = (self.corners[self.corners.len() - 1].0 * self.hertz) as usize;
        let time: Vec<f64> = (0..rows).map(|row| row as f64 / self.hertz).collect();
        let mut scatter = Scatter::new(self.seed);
        let speed =
            time.iter().map(|&t| (self.rpm(t) + self.noise_rpm * scatter.normal()) * RPM).collect();
        let mut recording = Recording { time, ..Recording::default() };
        put(&mut recording, Channel::EngineSpeed, speed);
        recording
    }

    /// Row at a time, s.
    pub fn row(&self, t: f64) -> usize {
        (t * self.hertz).round() as usize
    }
}

/// Adds a channel.
pub fn put(recording: &mut Recording, channel: Channel, values: Vec<f64>) {
    let heading = format!("{channel:?}");
    recording.channels.push(Recorded { channel, heading, values });
}

/// Seeded scatter of mean 0 and standard deviation 1.
pub struct Scatter(Xoshiro256PlusPlus);

impl Scatter {
    pub fn new(seed: u64) -> Self {
        Self(Xoshiro256PlusPlus::seed_from_u64(seed))
    }

    /// By Box and Muller.
    pub fn normal(&mut self) -> f64 {
        let (u, v): (f64, f64) = (self.0.random(), self.0.random());
        (-2.0 * (1.0 - u).ln()).sqrt() * (2.0 * PI * v).cos()
    }
}

/// Speed of engine 114's kind over a pull: idle, run-up, hold, sweep, over the top, tail to idle.
pub const PULL: [(f64, f64); 8] = [
    (0.0, 950.0),
    (5.0, 950.0),
    (7.0, 3000.0),
    (10.0, 3000.0),
    (26.0, 7800.0),
    (26.5, 7800.0),
    (29.5, 950.0),
    (35.0, 950.0),
];

/// The same pull several times.
pub fn day(pulls: usize) -> Made {
    let length = PULL[PULL.len() - 1].0;
    let mut corners: Vec<(f64, f64)> = vec![PULL[0]];
    for pull in 0..pulls {
        let late = pull as f64 * length;
        corners.extend(PULL[1..].iter().map(|&(t, rpm)| (t + late, rpm)));
    }
    Made::new(&corners)
}
