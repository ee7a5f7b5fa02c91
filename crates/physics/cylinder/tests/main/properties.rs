//! Any numbers at all: a result or a reason, never a panic, a hang or a NaN.

use crate::bench::Bench;
use proptest::prelude::*;
use shortblock_cylinder::closed::{Burn, ClosedCase, Crevice, HeatTransfer, SparkDemand, solve};
use shortblock_cylinder::lift::{Lift, LiftCurve, MeasuredAt, Opening};
use shortblock_cylinder::mechanism::SliderCrank;
use shortblock_cylinder::turbulence::Turbulence;
use std::sync::LazyLock;

static BENCH: LazyLock<Bench> = LazyLock::new(|| Bench::four_valve(11.0));

fn demand(kind: u8, angle: f64) -> SparkDemand {
    match kind {
        0 => SparkDemand::Fixed(angle),
        1 => SparkDemand::BestTorque,
        2 => SparkDemand::KnockLimited { margin: angle.abs() },
        _ => SparkDemand::BestOrKnockLimited { margin: angle.abs() },
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(300))]

    #[test]
    fn closed_part_gives_a_result_or_a_reason(
        rpm in prop_oneof![200.0..12000.0f64, any::<f64>()],
        pressure in 0.02e5..4e5f64,
        temperature in prop_oneof![220.0..800.0f64, any::<f64>()],
        burned in 0.0..0.9f64,
        kind in 0u8..4,
        angle in -1.5..0.5f64,
        energies in (0.0..3000.0f64, 0.0..3000.0f64),
        multiplier in prop_oneof![0.1..10.0f64, any::<f64>()],
        volume in 0.0..3e-6f64,
        leak in 0.0..1e-5f64,
        closing in -3.1..-0.6f64,
        opening in 0.6..3.1f64,
        octane in prop_oneof![30.0..130.0f64, any::<f64>()],
        step in prop_oneof![Just(0.0), 0.2..4.0f64],
    ) {
        let mut case = BENCH.full_load(3000.0, pressure);
        case.speed = rpm * std::f64::consts::PI / 30.0;
        case.charge.temperature = temperature;
        case.charge.fuel = (1.0 - burned) * BENCH.fuel_share;
        case.charge.burned = burned;
        case.charge.liquid_fuel = 0.5 * case.charge.fuel * case.charge.mass;
        case.charge.latent_share = 0.8;
        case.theta_ivc = closing;
        case.theta_evo = opening;
        case.octane_number = Some(octane);
        case.step_deg = step;
        case.heat = HeatTransfer::Woschni(multiplier);
        case.crevice = Crevice { volume, leak_area: leak, crankcase_pressure: 1e5 };
        if let Burn::Entrainment { turbulence, multiplier: m, .. } = &mut case.burn {
            *turbulence = Turbulence { mean_energy: energies.0, turbulent_energy: energies.1 };
            *m = multiplier;
        }
        if let Ok(r) = solve(&case, demand(kind, angle)) {
            for x in [r.work, r.heat_head, r.heat_piston, r.heat_liner, r.end.temperature,
                r.end.pressure, r.end.mass, r.spark, r.peak_pressure, r.unburned_left,
                r.knock_integral.unwrap(), r.octane_margin.unwrap()] {
                prop_assert!(x.is_finite(), "{r:?}");
            }
            let heat = r.heat_head + r.heat_piston + r.heat_liner;
            let out = r.work + heat + r.latent_heat + r.blow_by_enthalpy + r.end.energy;
            prop_assert!((r.energy_start - out).abs() < 1e-7 * (1.0 + heat.abs()), "{r:?}");
            prop_assert!(r.evaluations < 150);
        }
    }

    #[test]
    fn mechanism_takes_any_numbers(v in prop::array::uniform5(any::<f64>()), theta in any::<f64>()) {
        if let Ok(c) = SliderCrank::new(v[0], v[1], v[2], v[3], v[4]) {
            prop_assert!(c.clearance_volume() > 0.0);
            if theta.is_finite() {
                prop_assert!(c.volume(theta) > 0.0);
            }
        }
    }

    #[test]
    fn lift_takes_any_numbers(
        max in prop_oneof![1e-3..20e-3f64, any::<f64>()],
        checks in prop::collection::vec((1e-5..5e-3f64, 1.0..6.0f64, 3.0..9.0f64), 0..4),
        lash in 0.0..1e-3f64,
        theta in -20.0..20.0f64,
    ) {
        let at = MeasuredAt::Lifter { rocker_ratio: 1.5 };
        let openings: Vec<Opening> = checks
            .iter()
            .map(|(h, d, c)| Opening::from_duration(Lift { value: *h, at }, *d, *c))
            .collect();
        if let Ok((curve, _)) = LiftCurve::synthesised(Lift { value: max, at }, lash, &openings) {
            let lift = curve.lift(theta);
            prop_assert!(lift >= 0.0 && lift <= curve.max_lift() * (1.0 + 1e-12));
            prop_assert!(curve.area() > 0.0);
        }
    }
}

#[test]
fn every_fault_says_what_where_and_what_to_do() {
    let case = BENCH.full_load(3000.0, 1e5);
    let cold = ClosedCase { speed: f64::NAN, ..case.clone() };
    let e = solve(&cold, SparkDemand::BestTorque).unwrap_err().to_string();
    assert_eq!(e, "closed part of the cycle: crank speed is NaN\nhint: it must be 1 to 5000 rad/s");
    let nameless = ClosedCase { octane_number: None, ..case };
    let e = solve(&nameless, SparkDemand::KnockLimited { margin: 0.0 }).unwrap_err().to_string();
    assert!(e.contains("octane number for a knock limit"), "{e}");
}
