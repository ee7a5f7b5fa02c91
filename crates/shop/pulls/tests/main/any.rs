//! Any recording: nothing panics, stretches lie side by side, points hold the rows they say.

use crate::made::{Made, RPM, put};
use proptest::prelude::*;
use shortblock_pulls::inertia::Inertia;
use shortblock_pulls::lag::{Delay, ExhaustPath, Lag};
use shortblock_pulls::sweep::{Rules, find};
use shortblock_pulls::{Channel, Of, Pull, Recording, Treatment};

/// A made recording with torque, holes and wild readings.
fn any_recording() -> impl Strategy<Value = Recording> {
    let corner = (0.05..8.0, 0.0..9000.0);
    let holes = prop::collection::vec((0usize..4000, 0usize..300, 0u8..4), 0..6);
    (prop::collection::vec(corner, 2..12), 5.0..120.0, 0.0..40.0, any::<u64>(), holes).prop_map(
        |(steps, hertz, noise_rpm, seed, holes)| {
            let mut t = 0.0;
            let mut corners = vec![(0.0, steps[0].1)];
            corners.extend(steps[1..].iter().map(|&(step, rpm): &(f64, f64)| {
                t += step;
                (t, rpm)
            }));
            let made = Made { corners, hertz, noise_rpm, seed };
            let mut recording = made.recording();
            let torque = recording.time.iter().map(|t| 300.0 - t).collect();
            put(&mut recording, Channel::Torque, torque);
            let roller = recording.time.iter().map(|&t| made.rpm(t) / 130.0).collect();
            put(&mut recording, Channel::RollerSpeed, roller);
            let air = recording.time.iter().map(|t| 0.1 - 0.02 * t).collect();
            put(&mut recording, Channel::AirFlow, air);
            for (start, length, kind) in holes {
                let wild = [f64::NAN, 0.0, 1e300, -5.0][usize::from(kind)];
                let rows = recording.rows();
                let hole = start.min(rows)..(start + length).min(rows);
                let which = usize::from(kind) % 3;
                recording.channels[which].values[hole.clone()].fill(wild);
                if kind == 3 {
                    recording.time[hole].fill(1.0);
                }
            }
            recording
        },
    )
}

fn treatments() -> Vec<Treatment> {
    let path = ExhaustPath {
        volume: 2e-3,
        share: 0.5,
        temperature: 1000.0,
        pressure: 1e5,
        time_constant: 0.03,
        cycles: 1.0,
        stoichiometric_ratio: 14.6,
    };
    let lag = |channel, delay| Lag { channel, delay };
    vec![
        Treatment::default(),
        Treatment {
            lags: vec![
                lag(Channel::Torque, Delay::Fixed(0.12)),
                lag(Channel::RollerSpeed, Delay::Mixture(path)),
            ],
            inertia: Some(Inertia::new(0.35)),
        },
    ]
}

fn holds(recording: &Recording) -> Result<(), TestCaseError> {
    let Ok(found) = find(recording, &Rules::default()) else { return Ok(()) };
    let engine: Vec<_> = found.stretches.iter().filter(|s| !s.of_roller).collect();
    for pair in engine.windows(2) {
        prop_assert!(pair[0].rows.end <= pair[1].rows.start, "{:?} {:?}", pair[0], pair[1]);
    }
    prop_assert!(found.masked.windows(2).all(|pair| pair[0] < pair[1]));
    for stretch in &found.stretches {
        prop_assert!(stretch.rows.start < stretch.rows.end && stretch.rows.end <= recording.rows());
        prop_assert!(!stretch.to_string().contains("NaN"), "{stretch}");
        let within = |dwell: &std::ops::Range<usize>| {
            dwell.start >= stretch.rows.start && dwell.end <= stretch.rows.end
        };
        prop_assert!(stretch.dwells.iter().all(within));
        // Without a clock no lag can be stated.
        let clock = |treatment: &Treatment| treatment.lags.is_empty() || !recording.time.is_empty();
        for treatment in treatments().into_iter().filter(clock) {
            let Ok(pull) = Pull::new(recording, &found, stretch, &treatment) else {
                prop_assert!(stretch.of_roller, "{stretch}");
                continue;
            };
            prop_assert!(pull.speeds.windows(2).all(|pair| pair[0] < pair[1]));
            let speed = pull.points(Channel::EngineSpeed).expect("is read");
            for (at, &mean) in speed.mean.iter().enumerate() {
                prop_assert_eq!(speed.count[at] == 0, mean.is_nan());
                prop_assert!(mean.is_nan() || (mean - pull.speeds[at]).abs() <= 25.001 * RPM);
            }
            for points in &pull.channels {
                prop_assert!(points.count.iter().zip(&speed.count).all(|(n, rows)| n <= rows));
            }
            let _ = pull.curve("p", Of::WithInertia);
        }
    }
    Ok(())
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(128))]
    #[test]
    fn stretches_lie_side_by_side_and_points_hold_their_rows(recording in any_recording()) {
        holds(&recording)?;
    }

    #[test]
    fn without_a_clock_too(mut recording in any_recording()) {
        recording.time.clear();
        holds(&recording)?;
    }
}
