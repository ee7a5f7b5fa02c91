//! Rollers, coast-downs and crank estimates against closed forms and values worked out elsewhere.

use crate::made::{RPM, Scatter, put};
use serde_json::Value;
use shortblock_pulls::chassis::{
    CrankEstimate, Figure, Loss, Motion, Roller, Turning, WheelPower, add_engine_speed,
    crank_estimate, drive, engine_speed, fit_losses, wheel_curve, wheel_power,
};
use shortblock_pulls::sweep::{Rules, find};
use shortblock_pulls::{Channel, Pull, PullsError, Recording, Treatment};

fn examples() -> Value {
    serde_json::from_str(include_str!("../data/dyno_physics_examples.json")).expect("JSON")
}

fn number(value: &Value) -> f64 {
    value.as_f64().or_else(|| value.as_str()?.parse().ok()).expect("a number")
}

fn roller() -> Roller {
    Roller::new(170.0, 0.6).expect("a roller")
}

/// Speed under constant power: `omega² = omega0² + 2 P t / J`.
fn accelerated(t: f64) -> f64 {
    (40.0_f64.powi(2) + 2.0 * 200e3 * t / 170.0).sqrt()
}

/// Speed of a coast-down with `c0 + c2 omega²`: `tan` falls in proportion to time.
fn coasting(t: f64) -> f64 {
    let (c0, c2, inertia, start) = (60.0_f64, 0.012_f64, 170.0, 120.0);
    let ratio = (c2 / c0).sqrt();
    ((start * ratio).atan() - (c0 * c2).sqrt() / inertia * t).tan() / ratio
}

#[test]
fn constant_power_is_found_at_every_row_of_the_table() {
    let examples = examples();
    let mass = roller().equivalent_mass();
    assert!((mass - number(&examples["drum"]["equivalent_mass_kg = J/r^2"])).abs() < 1e-10);
    let back = Roller::from_equivalent_mass(mass, 0.6).expect("a roller").inertia();
    assert!((back - 170.0).abs() < 1e-12 * 170.0);
    for row in examples["drum_constant_power"]["series"].as_array().expect("rows") {
        let (t, omega, alpha) = (number(&row["t_s"]), number(&row["omega"]), number(&row["alpha"]));
        let power = roller().wheel_power(omega, alpha, 0.0).0;
        assert!((power - 200e3).abs() < 1e-6, "{power}");
        assert!((accelerated(t) - omega).abs() < 1e-12 * omega);
        // The same with 1/4 of the torque in the absorber: three quarters accelerate.
        let loaded = roller().wheel_power(omega, 0.75 * alpha, 0.25 * 170.0 * alpha).0;
        assert!((loaded - 200e3).abs() < 1e-6);
    }
}

#[test]
fn power_from_a_recorded_surface_speed() {
    let time: Vec<f64> = (0..600).map(|row| f64::from(row) / 100.0).collect();
    let surface: Vec<f64> = time.iter().map(|&t| 0.6 * accelerated(t)).collect();
    for (row, power) in wheel_power(&time, &surface, None, &roller(), 0.3).iter().enumerate() {
        // The third derivative of speed is 3 (P/J)³/omega⁵ = 48 rad/s⁴ at the start; a parabola over
        // 2 m + 1 rows misses m² h²/6 · 3/5 of it in the slope: 0.11 of 29.4 rad/s², 0.4 %; at the
        // ends, about four times that.
        let bound = if (15..585).contains(&row) { 0.004 } else { 0.02 };
        assert!((power.0 / 200e3 - 1.0).abs() < bound, "{row}: {}", power.0);
    }
    let held = vec![60.0; 600];
    let absorber = vec![1500.0; 600];
    let power = wheel_power(&time, &held, Some(&absorber), &roller(), 0.3);
    assert!((power[300].0 - 100.0 * 1500.0).abs() < 1e-3);
}

fn coast_down(noise: f64, seed: u64) -> (Vec<f64>, Vec<f64>) {
    let mut scatter = Scatter::new(seed);
    let time: Vec<f64> = (0..1200).map(|row| f64::from(row) / 20.0).collect();
    let speed = time.iter().map(|&t| coasting(t) + noise * scatter.normal()).collect();
    (time, speed)
}

/// `coast_down`: J 170 kg·m², 60 N·m + 0.012 omega², 180 N·m at 100 rad/s.
#[test]
fn losses_of_a_coast_down_are_found() {
    let examples = examples();
    let coast = &examples["coast_down"];
    for row in coast["series"].as_array().expect("rows") {
        let (t, omega) = (number(&row["t_s"]), number(&row["omega"]));
        assert!((coasting(t) - omega).abs() < 1e-12 * omega, "{t}");
    }
    let (time, speed) = coast_down(0.0, 1);
    let losses = fit_losses(&time, &speed, 170.0).expect("coasts far");
    let at = losses.at(100.0);
    // Trapezoids over 50 ms of a speed that bends by 0.04 rad/s³ are off by 1e-6 of it.
    assert!((at.torque / number(&coast["loss_torque_at_omega_100"]) - 1.0).abs() < 1e-5, "{at:?}");
    assert!(at.inside && !losses.at(130.0).inside && !losses.at(20.0).inside);
    assert!((losses.coefficients[0] - 60.0).abs() < 0.1);
    assert!((losses.coefficients[2] - 0.012).abs() < 1e-4);
}

#[test]
fn the_plus_minus_of_a_loss_holds_it_19_times_in_20() {
    let mut held = [0; 3];
    for seed in 0..200 {
        let (time, speed) = coast_down(0.2, seed);
        let losses = fit_losses(&time, &speed, 170.0).expect("coasts far");
        for (held, omega) in held.iter_mut().zip([70.0, 90.0, 115.0_f64]) {
            let at = losses.at(omega);
            let truth = 60.0 + 0.012 * omega.powi(2);
            assert!(at.plus_minus < 0.05 * truth, "{at:?}");
            *held += u32::from((at.torque - truth).abs() <= at.plus_minus);
        }
    }
    // 95 % of 200 is 190, standard deviation 3.1; four of them below.
    assert!(held.iter().all(|&held| held >= 178), "{held:?}");
}

#[test]
fn a_coast_down_that_tells_nothing_is_refused() {
    let (time, speed) = coast_down(0.0, 1);
    let said = |r: Result<_, PullsError>| {
        r.map(|_: shortblock_pulls::chassis::Losses| ()).unwrap_err().to_string()
    };
    assert!(said(fit_losses(&time[..10], &speed[..10], 170.0)).contains("too few rows"));
    assert!(said(fit_losses(&time, &[100.0; 1200], 170.0)).contains("let it coast further"));
    assert!(said(fit_losses(&vec![1.0; 1200], &speed, 170.0)).contains("is the clock right?"));
    assert!(said(fit_losses(&time, &speed, f64::NAN)).contains("above zero"));
    assert!(fit_losses(&[], &[], 170.0).is_err());
    assert!(Roller::new(170.0, 0.0).is_err() && Roller::from_equivalent_mass(-1.0, 0.5).is_err());
}

/// 200 kW at the wheels, the roller at 100 rad/s, the engine at 6000 rpm gaining 300 rpm/s.
fn estimated(loss: &Loss, turning: &Turning, roller: f64) -> Result<CrankEstimate, PullsError> {
    let engine = Motion { speed: 6000.0 * RPM, rate: 300.0 * RPM };
    let roller = Motion { speed: roller, rate: 5.0 };
    crank_estimate(WheelPower(200e3), roller, engine, loss, turning)
}

#[test]
fn the_crank_estimate_adds_losses_and_inertia_and_says_what_it_assumes() {
    let (time, speed) = coast_down(0.0, 1);
    let losses = fit_losses(&time, &speed, 170.0).expect("coasts far");
    let wheels = Figure { value: 10.0, plus_minus: 4.0, stated: false };
    let engine = Figure { value: 0.2, plus_minus: 0.05, stated: true };
    let turning = Turning { engine: Some(engine), wheels };
    let found = estimated(&Loss::CoastDown(losses.clone()), &turning, 100.0).expect("can be");
    // Through gears and tyres that take 5 %: 200 kW, 100 rad/s · 180 N·m and 100 rad/s · 10 kg·m² ·
    // 5 rad/s²; before them 6.283 N·m · 628.3 rad/s (`inertia_torque_300rpm_s`).
    let examples = examples();
    let torque = number(&examples["inertia_torque_300rpm_s"]["J_engine_0.20_kgm2_Nm"]);
    let (inward, engine) = (200e3 + 18e3 + 5e3, torque * 6000.0 * RPM);
    assert!((found.power() - (inward / 0.95 + engine)).abs() < 1.0, "{}", found.power());
    // The wheels' ± is in the coast-down too, whose 180 N·m are of 170 kg·m².
    let wheels_doubt = 100.0 * 4.0 * (5.0 + 180.0 / 170.0) / 0.95;
    let doubt = (0.04 * inward / 0.95_f64.powi(2)).hypot(wheels_doubt).hypot(0.25 * engine);
    assert!((found.plus_minus() - doubt).abs() < 20.0, "{}", found.plus_minus());
    let said = found.to_string();
    for word in ["crank estimate 239 ± 10 kW; losses by a coast-down", "5 ±4 %", "(stated)"] {
        assert!(said.contains(word), "{said}");
    }
    let unknown = Turning { engine: None, wheels };
    let beyond = estimated(&Loss::CoastDown(losses), &unknown, 200.0).expect("can be");
    assert!(
        beyond.assumption().contains("prolonged")
            && beyond.assumption().ends_with("inertia of the engine")
    );
}

#[test]
fn a_stated_loss_is_of_the_whole_way() {
    let wheels = Figure { value: 10.0, plus_minus: 0.0, stated: true };
    let turning = Turning { engine: None, wheels };
    let stated = Loss::Stated { share: 0.15, plus_minus: 0.05 };
    let found = estimated(&stated, &turning, 100.0).expect("can be");
    assert!((found.power() - 205e3 / 0.85).abs() < 1e-6);
    assert!((found.plus_minus() - 205e3 * 0.05 / 0.85_f64.powi(2)).abs() < 1e-6);
    for share in [1.0, 15.0, -0.1, f64::NAN] {
        let loss = Loss::Stated { share, plus_minus: 0.05 };
        assert!(matches!(estimated(&loss, &turning, 100.0), Err(PullsError::Share { .. })));
    }
}

/// `ratio_slip`: 6000 rpm, overall 3.55, tyre 0.31 m, 3 % slip: surface 53.2212344188423 m/s.
#[test]
fn slip_shows_as_a_ratio_that_drifts() {
    let examples = examples();
    let slipping = number(&examples["ratio_slip"]["drum_surface_speed_m_s"]);
    let firm = slipping / (1.0 - number(&examples["ratio_slip"]["slip"]));
    let ratio = 6000.0 * RPM / (firm / 0.6);
    assert!((engine_speed(firm, 0.6, ratio) - 6000.0 * RPM).abs() < 1e-9);
    let time: Vec<f64> = (0..1000).map(|row| f64::from(row) / 100.0).collect();
    let engine: Vec<f64> = time.iter().map(|t| (3000.0 + 300.0 * t) * RPM).collect();
    let roller = |slip: f64| {
        let turn = |(row, engine): (usize, &f64)| {
            let lost = if (400..600).contains(&row) { slip } else { 0.0 };
            engine / ratio * (1.0 - lost)
        };
        engine.iter().enumerate().map(turn).collect::<Vec<f64>>()
    };
    let holds = drive(&time, &engine, &roller(0.005)).expect("both turn");
    assert!(holds.holds() && (holds.ratio / ratio - 1.0).abs() < 1e-9);
    let slips = drive(&time, &engine, &roller(0.03)).expect("both turn");
    assert!((slips.drift - (1.0 / 0.97 - 1.0)).abs() < 1e-6);
    let rows = &slips.off[0];
    assert!(slips.off.len() == 1 && rows.start.abs_diff(400) <= 13 && rows.end.abs_diff(600) <= 13);
    assert!(
        slips.to_string().contains("drifts by +3.1 %: the tyres or the clutch slip"),
        "{slips}"
    );
    let grows = drive(&time, &engine, &roller(-0.02)).expect("both turn");
    assert!(grows.to_string().contains("the tyres grow"), "{grows}");
    let mut unread = Recording { time: time.clone(), ..Recording::default() };
    assert!(matches!(
        add_engine_speed(&mut unread, &crate::chassis::roller(), ratio),
        Err(PullsError::NoChannel { .. })
    ));
    put(&mut unread, Channel::RollerSpeed, vec![firm; 1000]);
    let said = find(&unread, &Rules::default()).unwrap_err().to_string();
    let text = "the log has no engine speed; state the ratio of engine to roller speed: settings = { \
                ratio = \"6.4\" }, turns of the engine in one of the roller, of the pull in session.toml";
    assert_eq!(said, text);
    assert!(add_engine_speed(&mut unread, &crate::chassis::roller(), f64::NAN).is_err());
    add_engine_speed(&mut unread, &crate::chassis::roller(), ratio).expect("has a roller");
    let added = unread.get(Channel::EngineSpeed).expect("added")[0];
    assert!((added / RPM - 6000.0).abs() < 1e-6);
    assert!(drive(&[], &[], &[]).is_none() && drive(&time, &engine, &vec![0.0; 1000]).is_none());
}

#[test]
fn power_at_the_wheels_lies_over_engine_speed() {
    // 8 s at 200 kW with the engine at ratio 5; a second at rest speed before and after.
    let at = |t: f64| accelerated((t - 1.0).clamp(0.0, 8.0));
    let time: Vec<f64> = (0..1000).map(|row| f64::from(row) / 100.0).collect();
    let mut recording = Recording { time: time.clone(), ..Recording::default() };
    put(&mut recording, Channel::EngineSpeed, time.iter().map(|&t| 5.0 * at(t)).collect());
    put(&mut recording, Channel::RollerSpeed, time.iter().map(|&t| 0.6 * at(t)).collect());
    let found = find(&recording, &Rules::default()).expect("has a speed");
    let sweep = found.pulls().next().expect("one");
    let pull = Pull::new(&recording, &found, sweep, &Treatment::default()).expect("has rows");
    let curve = wheel_curve(&recording, &pull, &roller(), None, 0.2).expect("has a roller");
    assert!(curve.speeds.len() > 15);
    let inner = 2..curve.speeds.len() - 2;
    for (power, count) in curve.power[inner.clone()].iter().zip(&curve.count[inner]) {
        assert!(*count > 3 && (power.0 / 200e3 - 1.0).abs() < 0.01, "{power:?}");
    }
    assert_eq!(
        curve.notes[1],
        "roller accelerated, 170 kg·m² (472 kg at the tyre); rate taken over 0.20 s"
    );
    let wrong = wheel_curve(&recording, &pull, &roller(), Some(&[1.0]), 0.2);
    assert!(matches!(wrong, Err(PullsError::Length { .. })));
}
