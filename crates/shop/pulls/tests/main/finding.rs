//! Stretches are found where the corners of made recordings are. Bounds: 0.2 s is 60 rpm of a usual
//! sweep, the widest bin at an end that may be lost; rates within what the scatter of speed allows.

use crate::made::{Made, PULL, RPM, day, put};
use shortblock_pulls::sweep::{BrokenOff, Found, Kind, Rules, find};
use shortblock_pulls::{Channel, PullsError, Recording};

fn found(recording: &Recording) -> Found {
    find(recording, &Rules::default()).expect("has a speed")
}

fn kinds(found: &Found) -> Vec<Kind> {
    found.stretches.iter().map(|stretch| stretch.kind).collect()
}

#[track_caller]
fn lies(found: &Found, at: usize, made: &Made, from: f64, to: f64) {
    let rows = &found.stretches[at].rows;
    let bound = made.row(0.2).max(1);
    assert!(rows.start.abs_diff(made.row(from)) <= bound, "{rows:?} starts at {from} s?");
    assert!(rows.end.abs_diff(made.row(to)) <= bound, "{rows:?} ends at {to} s?");
}

#[test]
fn every_pull_of_a_recording_is_found_with_its_run_up_hold_and_tail() {
    for (hertz, noise_rpm) in [(100.0, 2.0), (100.0, 8.0), (20.0, 2.0), (10.0, 1.0), (400.0, 3.0)] {
        let made = Made { hertz, noise_rpm, ..day(3) };
        let found = found(&made.recording());
        let one = [Kind::Hold, Kind::RunUp, Kind::Hold, Kind::SweepUp, Kind::Tail];
        let expected: Vec<Kind> =
            [one, one, one].concat().into_iter().chain([Kind::Hold]).collect();
        assert_eq!(kinds(&found), expected, "{hertz} Hz, ± {noise_rpm} rpm");
        for (pull, sweep) in found.pulls().enumerate() {
            lies(&found, 5 * pull + 3, &made, 35.0 * pull as f64 + 10.0, 35.0 * pull as f64 + 26.0);
            let rate = sweep.rate.expect("moves");
            assert!((rate.mean / RPM - 300.0).abs() < 3.0, "{}", rate.mean / RPM);
            assert!(
                (sweep.from / RPM - 3000.0).abs() < 60.0 && (sweep.to / RPM - 7800.0).abs() < 60.0
            );
        }
        assert!(found.masked.is_empty());
    }
}

#[test]
fn a_hold_before_the_sweep_is_seen_beside_a_hasty_run_up() {
    for haste in [1.0, 2.5] {
        let from = 7.0 + haste;
        let corners = [
            (0.0, 0.0),
            (1.5, 0.0),
            (2.5, 1150.0),
            (7.0, 1150.0),
            (from, 3500.0),
            (from + 2.5, 3500.0),
            (from + 2.5 + 5000.0 / 300.0, 8500.0),
            (from + 24.0, 1800.0),
        ];
        let made = Made { hertz: 20.0, ..Made::new(&corners) };
        let found = found(&made.recording());
        let at = found.stretches.iter().position(|s| s.kind == Kind::SweepUp).expect("a sweep");
        lies(&found, at, &made, from + 2.5, from + 2.5 + 5000.0 / 300.0);
        assert_eq!(found.stretches[at - 1].kind, Kind::Hold);
        assert_eq!(found.stretches[at - 2].kind, Kind::RunUp);
        assert_eq!(found.pulls().count(), 1);
    }
}

#[test]
fn a_fall_to_idle_ends_where_idle_begins() {
    let made = Made::new(&[(0.0, 6850.0), (2.0, 6850.0), (4.5, 950.0), (60.0, 950.0)]);
    let found = found(&Made { hertz: 10.0, ..made.clone() }.recording());
    let idle = found.stretches.last().expect("idles");
    assert!(idle.kind == Kind::Hold && idle.rows.start.abs_diff(45) <= 3, "{:?}", found.stretches);
}

#[test]
fn an_engine_spun_up_to_coast_makes_no_pull() {
    let made =
        Made::new(&[(0.0, 1150.0), (3.0, 1150.0), (4.0, 3000.0), (5.0, 7000.0), (13.0, 1200.0)]);
    // The emptied brake drags with the square of speed, 48 N·m at 7000 rpm.
    let mut recording = made.recording();
    let drag = recording.time.iter().map(|&t| 48.0 * (made.rpm(t) / 7000.0).powi(2)).collect();
    put(&mut recording, Channel::Torque, drag);
    let found = found(&recording);
    assert_eq!(kinds(&found), [Kind::Hold, Kind::RunUp, Kind::CoastDown]);
}

#[test]
fn spread_of_the_rate_tells_an_even_sweep_from_a_rippled_one() {
    let made = Made { noise_rpm: 0.0, ..Made::new(&PULL) };
    let even = made.recording();
    let spread = |recording: &Recording| {
        found(recording).pulls().next().and_then(|s| s.rate).expect("a sweep").spread
    };
    assert!(spread(&even) < 0.03, "{}", spread(&even));
    // A ripple of 0.5 Hz that moves the rate by ±60 rpm/s: standard deviation 60/√2 = 42 rpm/s, a
    // little less over half a second: sinc-like loss of a line over a quarter of the period, 12 %.
    let mut rippled = even.clone();
    let time = rippled.time.clone();
    for (row, t) in time.iter().enumerate() {
        rippled.channels[0].values[row] +=
            60.0 / std::f64::consts::PI * (std::f64::consts::PI * t).sin() * RPM;
    }
    let found = spread(&rippled);
    assert!(found > 0.10 && found < 0.15, "{found}");
}

#[test]
fn spikes_and_dropouts_do_not_break_a_sweep() {
    let made = day(1);
    let clean = found(&made.recording());
    let mut recording = made.recording();
    let speed = &mut recording.channels[0].values;
    for row in (1100..2600).step_by(90) {
        speed[row] *= 1.5;
    }
    speed[1500..1530].fill(0.0);
    speed[2000..2020].fill(f64::NAN);
    let found = found(&recording);
    assert_eq!(kinds(&found), kinds(&clean));
    assert_eq!(found.stretches[3].rows, clean.stretches[3].rows);
    // Row 2000 has no number any more.
    let spikes = (1100..2600).step_by(90).filter(|row| *row != 2000);
    let mut expected: Vec<usize> = spikes.chain(1500..1530).collect();
    expected.sort_unstable();
    assert_eq!(found.masked, expected);
}

#[test]
fn parts_start_anew_with_their_clock() {
    let first = Made::new(&PULL).recording();
    let mut both = first.clone();
    let second = Made { seed: 8, ..Made::new(&PULL) }.recording();
    both.time.extend(&second.time);
    both.channels[0].values.extend(&second.channels[0].values);
    both.parts = vec![first.rows()];
    let found = found(&both);
    assert!(found.masked.is_empty());
    let parts: Vec<_> = found.pulls().map(|s| (s.part, s.rows.start >= first.rows())).collect();
    assert_eq!(parts, [(0, false), (1, true)]);
}

#[test]
fn a_step_test_is_its_dwells_without_the_transitions() {
    for step in [100.0, 250.0, 500.0, 1000.0] {
        let mut corners = vec![(0.0, 3000.0)];
        for dwell in 0..8 {
            let (t, rpm) = (f64::from(dwell) * 6.0, 3000.0 + f64::from(dwell) * step);
            corners.extend([(t + 5.0, rpm), (t + 6.0, rpm + step)]);
        }
        corners.pop();
        let made = Made::new(&corners);
        let found = found(&made.recording());
        assert_eq!(kinds(&found), [Kind::Steps], "steps of {step} rpm");
        let dwells = &found.stretches[0].dwells;
        assert_eq!(dwells.len(), 8);
        for (at, dwell) in dwells.iter().enumerate() {
            let (start, end) = (at as f64 * 6.0, at as f64 * 6.0 + 5.0);
            let bound = made.row(0.2);
            assert!(dwell.start.abs_diff(made.row(start + 0.5)) <= bound, "{dwell:?}");
            assert!(dwell.end.abs_diff(made.row(end)) <= bound, "{dwell:?}");
        }
    }
}

/// A log that runs only while speed is held has no rows between one held speed and the next.
#[test]
fn a_step_test_without_rows_between_its_dwells_is_none_the_less_one() {
    for hertz in [10.0, 20.0, 100.0] {
        let mut corners = vec![(0.0, 3000.0)];
        for dwell in 0..8 {
            let (end, rpm) = (f64::from(dwell) * 5.0 + 5.0, 3000.0 + f64::from(dwell) * 500.0);
            corners.extend([(end, rpm), (end + 0.001, rpm + 500.0)]);
        }
        corners.pop();
        let made = Made { hertz, ..Made::new(&corners) };
        let found = found(&made.recording());
        assert_eq!(kinds(&found), [Kind::Steps], "{hertz} rows a second");
        assert_eq!(found.stretches[0].dwells.len(), 8);
    }
}

/// Idle a step below the first held speed is none of them: its torque and mixture are no full load's.
#[test]
fn an_engine_that_idles_before_a_step_test_is_no_part_of_it() {
    for ramp in [0.001, 1.0] {
        let mut corners = vec![(0.0, 1500.0)];
        for (dwell, rpm) in [1500.0, 2000.0, 2500.0, 3000.0, 3500.0].into_iter().enumerate() {
            let end = (dwell as f64 + 1.0) * (5.0 + ramp) - ramp;
            corners.extend([(end, rpm), (end + ramp, rpm + 500.0)]);
        }
        corners.pop();
        let mut recording = Made { hertz: 20.0, ..Made::new(&corners) }.recording();
        let on = |t: &f64| if *t < 5.0 + ramp { 2.0 } else { 200.0 };
        let load = recording.time.iter().map(on).collect();
        put(&mut recording, Channel::Torque, load);
        let found = found(&recording);
        assert_eq!(kinds(&found).last(), Some(&Kind::Steps), "{ramp}: {:?}", kinds(&found));
        let steps = found.pulls().next().expect("a step test");
        assert!(steps.dwells.len() == 4 && (steps.from / RPM - 2000.0).abs() < 60.0, "{steps}");
    }
}

/// The throttle shuts before speed has turned: those rows are no torque of the engine.
#[test]
fn a_sweep_ends_where_the_load_goes_off() {
    for (hertz, off) in [(10.0, 25.85), (100.0, 25.9), (100.0, 25.5)] {
        let made = Made { hertz, ..Made::new(&PULL) };
        let mut recording = made.recording();
        let on = |t: &f64| if (7.0..off).contains(t) { 200.0 } else { -5.0 };
        let load = recording.time.iter().map(on).collect();
        put(&mut recording, Channel::Torque, load);
        let found = found(&recording);
        let sweep = found.pulls().next().expect("a sweep");
        assert_eq!(sweep.kind, Kind::SweepUp);
        assert!(recording.time[sweep.rows.end - 1] < off, "{:?} at {hertz} Hz", sweep.rows);
    }
}

#[test]
fn a_step_test_can_go_down() {
    let corners: Vec<(f64, f64)> = (0..5)
        .flat_map(|k| {
            [
                (f64::from(k) * 6.0, 6000.0 - 500.0 * f64::from(k)),
                (f64::from(k) * 6.0 + 5.0, 6000.0 - 500.0 * f64::from(k)),
            ]
        })
        .collect();
    let found = found(&Made::new(&corners).recording());
    assert_eq!(kinds(&found), [Kind::Steps]);
    assert!(found.stretches[0].from > found.stretches[0].to);
}

#[test]
fn a_downward_sweep_is_named_as_such_by_load_or_by_evenness() {
    let corners = [(0.0, 7800.0), (2.0, 7800.0), (18.0, 3000.0), (20.0, 3000.0)];
    let made = Made::new(&corners);
    let mut recording = made.recording();
    assert_eq!(kinds(&found(&recording)), [Kind::Hold, Kind::SweepDown, Kind::Hold]);
    let steady = vec![300.0; recording.rows()];
    put(&mut recording, Channel::Torque, steady);
    let found = found(&recording);
    assert_eq!(kinds(&found), [Kind::Hold, Kind::SweepDown, Kind::Hold]);
    let rate = found.stretches[1].rate.expect("moves").mean / RPM;
    assert!((rate + 300.0).abs() < 3.0, "{rate}");
}

#[test]
fn a_fall_without_load_is_a_coast_down_when_slow_and_a_tail_when_fast() {
    for (fall, kind) in [(30.0, Kind::CoastDown), (2.0, Kind::Tail)] {
        let corners = [(0.0, 3000.0), (2.0, 3000.0), (18.0, 7800.0), (18.0 + fall, 2000.0)];
        let made = Made::new(&corners);
        let mut recording = made.recording();
        let loaded = |t: &f64| if *t < 18.0 { 300.0 } else { -5.0 };
        let torque = recording.time.iter().map(loaded).collect();
        put(&mut recording, Channel::Torque, torque);
        assert_eq!(kinds(&found(&recording)), [Kind::Hold, Kind::SweepUp, kind]);
    }
}

#[test]
fn a_roller_coasts_while_the_engine_idles() {
    let made = day(1);
    let mut recording = made.recording();
    // Fourth gear: 7800 rpm is 60 m/s; from 26.5 s on the clutch is open and the roller coasts.
    let roller = |t: &f64| {
        if *t < 26.5 { made.rpm(*t) / 7800.0 * 60.0 } else { 60.0 - 3.0 * (t - 26.5) }
    };
    let roller = recording.time.iter().map(roller).collect();
    put(&mut recording, Channel::RollerSpeed, roller);
    let found = found(&recording);
    let coasts: Vec<_> = found.stretches.iter().filter(|s| s.kind == Kind::CoastDown).collect();
    // The engine's own fall to idle is a tail where a roller coasts.
    assert_eq!(coasts.len(), 1);
    let coast = coasts[0];
    assert!(coast.of_roller && (coast.rate.expect("moves").mean + 3.0).abs() < 0.01);
    assert!(coast.rows.start.abs_diff(2650) <= 20 && coast.rows.end == 3500, "{:?}", coast.rows);
}

#[test]
fn rows_without_a_time_are_a_table_and_each_fall_starts_another() {
    let rpm = [3000.0, 3500.0, 4000.0, f64::NAN, 4500.0, 3000.0, 3500.0, 4000.0];
    let mut recording = Recording::default();
    put(&mut recording, Channel::EngineSpeed, rpm.iter().map(|n| n * RPM).collect());
    let tables = found(&recording);
    let rows: Vec<_> = tables.stretches.iter().map(|s| (s.kind, s.rows.clone())).collect();
    assert_eq!(rows, [(Kind::Table, 0..5), (Kind::Table, 5..8)]);
    // Rows a minute apart are no sweep of 8 rpm/s either.
    recording.time = (0..8).map(|row| 60.0 * f64::from(row)).collect();
    assert_eq!(found(&recording).stretches, tables.stretches);
}

/// A table printed from the top down is one table; speeds that tremble make one, not many; one row
/// makes none.
#[test]
fn a_falling_table_and_a_trembling_one_are_one_each_and_a_row_is_none() {
    let tables = |rpm: Vec<f64>| {
        let mut recording = Recording::default();
        put(&mut recording, Channel::EngineSpeed, rpm.iter().map(|n| n * RPM).collect());
        found(&recording).stretches.iter().map(|s| (s.rows.start, s.rows.end)).collect::<Vec<_>>()
    };
    assert_eq!(tables((0..15).map(|i| 6500.0 - 250.0 * f64::from(i)).collect()), [(0, 15)]);
    assert_eq!(tables((0..60).map(|i| 6500.0 - 50.0 * f64::from(i)).collect()), [(0, 60)]);
    let trembling = |i: u32| 2500.0 + 15.0 * f64::from(i) + 40.0 * f64::from(i * i % 3);
    assert_eq!(tables((0..260).map(trembling).collect()), [(0, 260)]);
    assert!(tables(vec![2500.0]).is_empty());
}

#[test]
fn a_sweep_that_was_broken_off_says_how() {
    let mut corners = day(2).corners;
    // The second sweep is lifted at 5400 rpm.
    corners.truncate(12);
    corners.extend([(45.0 + 8.0, 5400.0), (45.0 + 10.0, 950.0), (70.0, 950.0)]);
    let found_short = found(&Made::new(&corners).recording());
    let broken: Vec<_> = found_short.pulls().map(|s| s.broken_off).collect();
    assert!(broken[0].is_none() && broken.len() == 2, "{:?}", kinds(&found_short));
    assert!(matches!(broken[1], Some(BrokenOff::ShortOf(to)) if (to / RPM - 7800.0).abs() < 20.0));

    let mut lost = Made::new(&PULL).recording();
    lost.channels[0].values[1800..2300].fill(f64::NAN);
    let found = found(&lost);
    let first = found.pulls().next().expect("a sweep");
    assert_eq!((first.broken_off, first.rows.end), (Some(BrokenOff::SignalLost), 1800));
}

#[test]
fn a_stretch_reads_as_a_sentence() {
    let made = Made { noise_rpm: 0.0, ..day(1) };
    let found = found(&made.recording());
    let said: Vec<String> = found.stretches.iter().map(|s| s.to_string()).collect();
    assert!(
        said[0].starts_with("hold, rows 1 to ") && said[0].ends_with(", 950 rpm"),
        "{}",
        said[0]
    );
    assert!(said[3].starts_with("sweep, rows 10"), "{}", said[3]);
    assert!(said[3].contains(" rpm, 300 rpm/s, scatter of the rate "), "{}", said[3]);
}

#[test]
fn what_does_not_fit_is_refused_and_odd_signals_are_survived() {
    let rules = Rules::default();
    let none = find(&Recording::default(), &rules);
    assert!(matches!(none, Err(PullsError::NoChannel { channel: Channel::EngineSpeed, .. })));
    let mut recording = Made::new(&PULL).recording();
    recording.time.pop();
    assert!(matches!(find(&recording, &rules), Err(PullsError::Length { .. })));
    for values in
        [vec![], vec![1.0], vec![f64::NAN; 50], vec![0.0; 50], vec![f64::MAX; 50], vec![300.0; 2]]
    {
        let mut recording = Recording {
            time: (0..values.len()).map(|i| i as f64).collect(),
            ..Recording::default()
        };
        put(&mut recording, Channel::EngineSpeed, values.clone());
        put(&mut recording, Channel::RollerSpeed, values);
        let _ = find(&recording, &rules);
        recording.time.fill(f64::NAN);
        let _ = find(&recording, &rules);
    }
}
