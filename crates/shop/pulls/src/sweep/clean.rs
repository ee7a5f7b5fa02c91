//! A speed signal without spikes, dropouts and frozen stretches.
//!
//! A row is a spike when it lies further from the line through its ten neighbours than 6 times
//! 1.4826 times their median distance from it; the line is there so that a fast sweep does not hide
//! one. The same figures as for any channel: median of 11, 6 scaled MAD (common practice, no source).

use super::rules::Rules;
use crate::IMPOSSIBLE;

/// Rows to each side of the one looked at.
const SIDE: usize = 5;
/// Scaled median distances that make a spike.
const FENCE: f64 = 6.0 * 1.4826;
/// A value that repeats to the bit for this long, s, and then leaps is a frozen reading.
const FROZEN: f64 = 0.3;

/// Speeds with what cannot be used taken out.
pub struct Cleaned {
    /// Speeds, rad/s, one a row; not a number where missing or masked.
    pub speed: Vec<f64>,
    /// Rows that had a number and were masked.
    pub masked: Vec<usize>,
}

/// Takes out rows without time or speed, spikes, dropouts to nothing and frozen readings.
pub fn cleaned(time: &[f64], raw: &[f64], rules: &Rules) -> Cleaned {
    let mut speed = raw.to_vec();
    let mut masked = dropouts(raw, rules.stopped);
    let mut last = f64::NEG_INFINITY;
    for (row, value) in speed.iter_mut().enumerate() {
        let stopped = *value < rules.stopped;
        let forward = time[row] > last && time[row].is_finite();
        let wrong = !forward || *value > IMPOSSIBLE;
        if wrong && value.is_finite() && !stopped {
            masked.push(row);
        }
        if stopped || wrong {
            *value = f64::NAN;
        }
        if forward {
            last = time[row];
        }
    }
    let spikes = (0..speed.len()).filter(|&i| is_spike(&speed, i, rules.spike));
    let spikes: Vec<usize> = spikes.collect();
    for &row in &spikes {
        speed[row] = f64::NAN;
    }
    masked.extend(spikes);
    freeze(time, &mut speed, rules, &mut masked);
    masked.sort_unstable();
    Cleaned { speed, masked }
}

/// Rows that read nothing between two in which the engine ran well: the signal was gone, not the
/// speed.
fn dropouts(raw: &[f64], stopped: f64) -> Vec<usize> {
    let mut found = Vec::new();
    let mut ran = None;
    for (row, &value) in raw.iter().enumerate().filter(|(_, value)| value.is_finite()) {
        if value < stopped {
            continue;
        }
        let well = value >= 5.0 * stopped;
        match ran {
            Some((before, true)) if well => {
                found.extend((before + 1..row).filter(|&row| raw[row].is_finite()));
            }
            _ => {}
        }
        ran = Some((row, well));
    }
    found
}

fn is_spike(speed: &[f64], i: usize, least: f64) -> bool {
    let side = i.min(speed.len() - 1 - i).min(SIDE);
    if side < 2 || !speed[i].is_finite() {
        return false;
    }
    // Most rows agree with the middle of their neighbours; no need to look closer.
    let off = |k: usize| (speed[i] - 0.5 * (speed[i - k] + speed[i + k])).abs() <= 0.5 * least;
    if off(1) && off(side) && off(1 + side / 2) {
        return false;
    }
    let mut slopes = [0.0; SIDE];
    let slopes =
        fill(&mut slopes, (1..=side).map(|k| (speed[i + k] - speed[i - k]) / (2.0 * k as f64)));
    let Some(slope) = median(slopes) else { return false };
    let line = |j: usize| speed[j] - slope * (j as f64 - i as f64);
    let mut rest = [0.0; 2 * SIDE + 1];
    let rest = fill(&mut rest, (i - side..=i + side).map(line));
    if rest.len() < 5 {
        return false;
    }
    let Some(middle) = median(rest) else { return false };
    for value in rest.iter_mut() {
        *value = (*value - middle).abs();
    }
    let spread = median(rest).unwrap_or_default();
    (speed[i] - middle).abs() > (FENCE * spread).max(least)
}

/// The finite ones of `values`, in the room given.
fn fill(room: &mut [f64], values: impl Iterator<Item = f64>) -> &mut [f64] {
    let mut used = 0;
    for value in values.filter(|value| value.is_finite()) {
        room[used] = value;
        used += 1;
    }
    &mut room[..used]
}

/// Median of finite numbers, which are sorted on the way; `None` of nothing.
pub fn median(values: &mut [f64]) -> Option<f64> {
    values.sort_unstable_by(f64::total_cmp);
    let n = values.len();
    (n > 0).then(|| 0.5 * (values[(n - 1) / 2] + values[n / 2]))
}

/// Masks readings that stood still to the bit and then leapt to where the engine had gone.
fn freeze(time: &[f64], speed: &mut [f64], rules: &Rules, masked: &mut Vec<usize>) {
    let mut start = 0;
    for i in 1..speed.len() {
        if speed[i] == speed[start] {
            continue;
        }
        let leap = (speed[i] - speed[start]).abs();
        let next = speed.get(i + 1).map_or(f64::NAN, |next| (next - speed[i]).abs());
        let long = time[i - 1] - time[start] >= FROZEN;
        if long && leap > 4.0 * next + rules.spike {
            for row in start + 1..i {
                speed[row] = f64::NAN;
                masked.push(row);
            }
        }
        start = i;
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::RPM;

    fn ramp(rows: usize, hertz: f64, rate: f64) -> (Vec<f64>, Vec<f64>) {
        let time: Vec<f64> = (0..rows).map(|i| i as f64 / hertz).collect();
        let speed = time.iter().map(|t| (3000.0 + rate * t) * RPM).collect();
        (time, speed)
    }

    fn masked(time: &[f64], speed: &[f64]) -> Vec<usize> {
        cleaned(time, speed, &Rules::default()).masked
    }

    #[test]
    fn spikes_are_masked_at_any_sweep_rate_and_nothing_else() {
        for (hertz, rate) in [(100.0, 300.0), (10.0, 1000.0), (200.0, 50.0)] {
            let (time, mut speed) = ramp(100, hertz, rate);
            assert!(masked(&time, &speed).is_empty());
            speed[40] += 800.0 * RPM;
            speed[70] -= 600.0 * RPM;
            speed[71] -= 500.0 * RPM;
            assert_eq!(masked(&time, &speed), [40, 70, 71]);
        }
    }

    #[test]
    fn the_top_of_a_sweep_and_a_stop_are_no_spikes() {
        let (time, mut speed) = ramp(60, 10.0, 300.0);
        for row in 30..60 {
            speed[row] = speed[29] - (row - 29) as f64 * 80.0 * RPM;
        }
        assert!(masked(&time, &speed).is_empty());
        speed[45..].fill(0.0);
        assert!(masked(&time, &speed).is_empty());
    }

    #[test]
    fn a_dropout_to_nothing_and_a_frozen_reading_are_masked() {
        let (time, mut speed) = ramp(400, 100.0, 300.0);
        speed[100..120].fill(0.0);
        let held = speed[200];
        speed[200..250].fill(held);
        let found = masked(&time, &speed);
        assert_eq!(found[..20], (100..120).collect::<Vec<_>>()[..]);
        assert_eq!(found[20..], (201..250).collect::<Vec<_>>()[..]);
    }

    #[test]
    fn a_slow_converter_that_repeats_readings_is_not_frozen() {
        let (time, mut speed) = ramp(400, 100.0, 300.0);
        for row in 0..400 {
            speed[row] = speed[row - row % 10];
        }
        assert!(masked(&time, &speed).is_empty());
    }

    #[test]
    fn rows_without_a_clock_that_goes_on_are_left_out() {
        let (mut time, speed) = ramp(20, 10.0, 300.0);
        time[7] = f64::NAN;
        time[12] = time[11];
        assert_eq!(masked(&time, &speed), [7, 12]);
    }
}
