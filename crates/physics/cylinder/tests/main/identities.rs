//! Balances, orders of convergence and scalings: nothing here depends on a closure's constants.

use crate::bench::Bench;
use shortblock_cylinder::closed::{
    Burn, ClosedCase, ClosedResult, Crevice, HeatTransfer, SparkDemand, solve,
};
use shortblock_gas::fuel;
use std::f64::consts::PI;

const WIEBE: Burn = Burn::Wiebe { duration: PI / 3.6, a: 5.0, m: 2.0 };

fn at(degrees: f64) -> SparkDemand {
    SparkDemand::Fixed(f64::to_radians(degrees))
}

/// Energy at closing less all that left and what is there at the end, J.
fn energy_gap(r: &ClosedResult) -> f64 {
    let heat = r.heat_head + r.heat_piston + r.heat_liner;
    r.energy_start - r.work - heat - r.latent_heat - r.blow_by_enthalpy - r.end.energy
}

#[test]
fn energy_balances_to_rounding_with_every_loss() {
    let b = Bench::four_valve(10.5);
    let mut case = b.full_load(5000.0, 1.2e5);
    case.charge.liquid_fuel = 0.3 * case.charge.fuel * case.charge.mass;
    case.charge.latent_share = 0.6;
    let motored = ClosedCase { burn: Burn::Motored, ..case.clone() };
    for case in [case, motored] {
        let r = solve(&case, at(-20.0)).unwrap();
        assert!(energy_gap(&r).abs() < 1e-9, "{}", energy_gap(&r));
        assert!((r.end.mass + r.blow_by_mass - case.charge.mass).abs() < 1e-15);
        assert!(r.latent_heat > 1.0 && r.blow_by_mass > 0.0);
        let parts = r.end.burned + r.end.fuel + r.end.air;
        assert!((parts - 1.0).abs() < 1e-12, "{parts}");
    }
}

/// Without losses a motored cylinder comes back to where it began.
#[test]
fn motored_without_losses_is_reversible() {
    let b = Bench::four_valve(10.5);
    let case = ClosedCase {
        burn: Burn::Motored,
        heat: HeatTransfer::Adiabatic,
        crevice: Crevice::NONE,
        ..b.full_load(3000.0, 1e5)
    };
    let r = solve(&case, at(0.0)).unwrap();
    assert!(r.work.abs() < 1e-3, "{}", r.work);
    assert!((r.end.temperature - 370.0).abs() < 1e-2);
}

/// Observed order of the midpoint steps on work, from steps of 2, 1 and 0.5 degrees, at fixed spark.
#[test]
fn observed_order_is_two() {
    let b = Bench::four_valve(10.5);
    for burn in [WIEBE, b.full_load(4000.0, 1e5).burn] {
        let work = |step_deg: f64| {
            let case = ClosedCase { burn, step_deg, ..b.full_load(4000.0, 1e5) };
            solve(&case, at(-22.0)).unwrap().work
        };
        let (coarse, middle, fine) = (work(1.0), work(0.5), work(0.25));
        let order = ((coarse - middle) / (middle - fine)).abs().log2();
        assert!(order >= 1.8, "{order}: {coarse} {middle} {fine}");
        let error = work(1.0) / work(0.1) - 1.0;
        // A tenth of the 0.5 % that the whole curve may be off by its steps.
        assert!(error.abs() < 5e-4, "{error}");
    }
}

/// Work bends evenly near its optimum; what differs from the mean bend over steps of 0.1 degrees is
/// noise. Bound: 1 % lost at 5 degrees from the best (below) is a bend of 8e-6 a step, and 5e-6, noise of
/// 1.25e-6 of the work, shifts the best of that parabola by 0.06 degrees, well within the 0.2 to which
/// the spark is held. How much it bends is the next test's.
#[test]
fn work_is_smooth_in_the_spark() {
    let b = Bench::four_valve(10.5);
    let case = b.full_load(4000.0, 1e5);
    let work: Vec<f64> =
        (0..40).map(|i| solve(&case, at(-24.0 + 0.1 * i as f64)).unwrap().work).collect();
    let bends: Vec<f64> = work.windows(3).map(|w| (w[0] - 2.0 * w[1] + w[2]) / w[1]).collect();
    let optimum = bends.iter().sum::<f64>() / bends.len() as f64;
    for bend in bends {
        assert!(bend < 0.0 && (bend - optimum).abs() < 5e-6, "{bend} {optimum}");
    }
}

/// Beside the best spark work is lost because heat comes and goes at another volume. At a constant
/// ratio of heats heat dQ at the volume V is worth dQ (1 - (V/Ve)^(g - 1)) by exhaust opening (first law
/// and adiabatic, exact), burned or lost to the walls. Q is 0.87 of the heating value: a charge at lambda
/// 0.88 leaves 13 % in carbon monoxide and hydrogen (Heywood 1988 fig. 4-20, from memory). The one free
/// number, g, is that which gives the work at the best spark; it must be a burned gas's, 1.20 to 1.30
/// (Heywood 1988 section 4.6, from memory). Bound: between early and late burning g moves
/// by up to 0.02 with the temperature, which is worth 10 %.
/// As a second look from outside: about 1 % of torque is lost at 5 to 6 degrees (Heywood 1988 section
/// 9.1, from memory), within a factor of two, as he has brake torque and slower burning.
#[test]
fn work_lost_beside_the_best_spark_is_that_of_heat_at_the_wrong_volume() {
    let petrol = fuel::find("gasoline_e0").unwrap();
    for (bench, speeds) in
        [(Bench::four_valve(10.5), [2000.0, 6000.0]), (Bench::two_valve(), [2000.0, 6000.0])]
    {
        for rpm in speeds {
            let case = ClosedCase { trace: true, ..bench.full_load(rpm, 1e5) };
            let set_free =
                0.87 * petrol.lower_heating_value() * case.charge.mass * case.charge.fuel;
            let best = solve(&case, SparkDemand::BestTorque).unwrap();
            let gamma = (0..400).map(|i| 1.1 + 1e-3 * f64::from(i));
            let gamma = gamma.min_by(|a, b| {
                let off = |g: f64| (worth(&best, set_free, g) - best.work).abs();
                off(*a).total_cmp(&off(*b))
            });
            let gamma = gamma.unwrap();
            assert!((1.20..1.30).contains(&gamma), "{gamma}");
            let beside =
                [-5.5, 5.5].map(|d| solve(&case, at(best.spark.to_degrees() + d)).unwrap());
            let lost = |of: &dyn Fn(&ClosedResult) -> f64| {
                beside.iter().map(|r| 1.0 - of(r) / of(&best)).sum::<f64>() / 2.0
            };
            let (found, ideal) = (lost(&|r| r.work), lost(&|r| worth(r, set_free, gamma)));
            assert!((found / ideal - 1.0).abs() < 0.1, "{rpm}: {found} {ideal}");
            assert!((0.005..0.02).contains(&found), "{rpm}: {found}");
        }
    }
}

/// What the heat set free and lost is worth by exhaust opening at a constant ratio of heats, J.
fn worth(result: &ClosedResult, set_free: f64, gamma: f64) -> f64 {
    let last = result.trace.last().unwrap().volume;
    let pairs = result.trace.windows(2).map(|w| {
        let heat = set_free * (w[1].burned - w[0].burned) - (w[1].heat - w[0].heat);
        heat * (1.0 - (0.5 * (w[0].volume + w[1].volume) / last).powf(gamma - 1.0))
    });
    pairs.sum()
}

/// With adiabatic walls, fixed burn and no leak, twice the pressure is twice the work, but for the
/// pressure dependence of dissociation (below 0.5 %: GAS tables).
#[test]
fn work_scales_with_pressure() {
    let b = Bench::four_valve(10.5);
    let run = |pressure: f64| {
        let case = ClosedCase {
            burn: WIEBE,
            heat: HeatTransfer::Adiabatic,
            crevice: Crevice::NONE,
            ..b.full_load(3000.0, pressure)
        };
        solve(&case, at(-15.0)).unwrap().work
    };
    let ratio = run(2e5) / run(1e5);
    assert!((ratio / 2.0 - 1.0).abs() < 5e-3, "{ratio}");
}

/// Adiabatic, fixed burn: compression from 7 to 14 raises the mean pressure, as the fuel-air cycle.
#[test]
fn compression_raises_mean_pressure() {
    let mut last = 0.0;
    for ratio in [7.0, 8.0, 9.0, 10.0, 11.0, 12.0, 13.0, 14.0] {
        let b = Bench::four_valve(ratio);
        let case = ClosedCase {
            burn: WIEBE,
            heat: HeatTransfer::Adiabatic,
            crevice: Crevice::NONE,
            ..b.full_load(3000.0, 1e5)
        };
        // The same mass of charge in all, as displacement and closing are the same.
        let work = solve(&case, at(-12.0)).unwrap().work / case.charge.mass;
        assert!(work > last, "{ratio}");
        last = work;
    }
}

/// A search started elsewhere ends at the same spark, to its tolerance of 0.02 degrees.
#[test]
fn spark_does_not_depend_on_the_guess() {
    let b = Bench::four_valve(12.0);
    let case = b.full_load(3000.0, 1e5);
    for demand in [
        SparkDemand::BestTorque,
        SparkDemand::KnockLimited { margin: 0.02 },
        SparkDemand::BestOrKnockLimited { margin: 0.02 },
    ] {
        let sparks: Vec<f64> = [-45.0, -22.0, -3.0]
            .iter()
            .map(|g| ClosedCase { spark_guess: Some(f64::to_radians(*g)), ..case.clone() })
            .map(|case| solve(&case, demand).unwrap().spark.to_degrees())
            .collect();
        for s in &sparks {
            assert!((s - sparks[0]).abs() <= 0.04, "{demand:?} {sparks:?}");
        }
    }
}

/// Best torque is a maximum: 1 degree either way loses, and the knock limit has its margin.
#[test]
fn demands_are_met() {
    let b = Bench::four_valve(12.0);
    let case = b.full_load(2000.0, 1e5);
    let best = solve(&case, SparkDemand::BestTorque).unwrap();
    for shift in [-1.0, 1.0] {
        let other = solve(&case, at(best.spark.to_degrees() + shift)).unwrap();
        assert!(other.work < best.work);
    }
    let limited = solve(&case, SparkDemand::KnockLimited { margin: 0.0 }).unwrap();
    assert!((limited.knock_integral.unwrap() - 1.0).abs() < 3e-3);
    let margin = f64::to_radians(2.0);
    let safe = solve(&case, SparkDemand::KnockLimited { margin }).unwrap();
    assert!((safe.spark - limited.spark - margin).abs() < 4e-4);
    assert!((safe.knock_margin.unwrap() - margin).abs() < 4e-4);
    assert!(safe.octane_margin.unwrap() > 0.0);
    let lesser = solve(&case, SparkDemand::BestOrKnockLimited { margin }).unwrap();
    assert!((lesser.spark - safe.spark.max(best.spark)).abs() < 7e-4);
}
