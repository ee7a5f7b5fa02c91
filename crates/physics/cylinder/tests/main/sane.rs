//! Any sane charge, at any spark, on the coarse or the usual step, has a closed part.

use crate::bench::Bench;
use shortblock_cylinder::closed::{Burn, SparkDemand, solve};
use shortblock_cylinder::flame::ChamberShape;
use shortblock_cylinder::mechanism::SliderCrank;
use shortblock_cylinder::turbulence::Turbulence;
use shortblock_gas::fuel;

/// Numbers between 0 and 1 that look random and never change.
struct Draw(u64);

impl Draw {
    fn next(&mut self) -> f64 {
        self.0 =
            self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 11) as f64 / (1u64 << 53) as f64
    }

    fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.next()
    }
}

#[test]
fn every_sane_charge_is_worked_out_at_every_spark() {
    let mut draw = Draw(20_261_124);
    let petrol = fuel::find("gasoline_e0").unwrap();
    let mut failures = Vec::new();
    for _ in 0..40 {
        let bore = draw.between(0.05, 0.14);
        let stroke = bore * draw.between(0.6, 1.3);
        let ratio = draw.between(7.0, 13.5);
        let mechanism = SliderCrank::new(bore, stroke, 1.7 * stroke, 0.0, ratio).unwrap();
        let lambda = draw.between(0.75, 1.1);
        let plug = draw.between(0.0, 0.35) * bore;
        let bench = Bench::new(&petrol, lambda, mechanism, ChamberShape::Disc, plug);
        for _ in 0..40 {
            let rpm = draw.between(400.0, 20.0 * 60.0 / (2.0 * stroke));
            let mut case = bench.full_load(rpm, draw.between(4e4, 1.4e5));
            case.theta_ivc = draw.between(-150.0, -90.0).to_radians();
            case.theta_evo = draw.between(95.0, 150.0).to_radians();
            case.step_deg = if draw.next() < 0.5 { 2.0 } else { 0.0 };
            let flow = draw.between(0.3, 25.0);
            if let Burn::Entrainment { turbulence, .. } = &mut case.burn {
                *turbulence = Turbulence {
                    mean_energy: turbulence.mean_energy * flow,
                    turbulent_energy: turbulence.turbulent_energy * flow,
                };
            }
            let spark = draw.between(-60.0, 15.0).to_radians();
            if let Err(error) = solve(&case, SparkDemand::Fixed(spark)) {
                failures.push(format!(
                    "bore {bore:.4} stroke {stroke:.4} ratio {ratio:.2} lambda {lambda:.2} plug \
                     {plug:.3} {rpm:.0} rpm step {} ivc {:.0} flow {flow:.1} spark {:.1}: {error}",
                    case.step_deg,
                    case.theta_ivc.to_degrees(),
                    spark.to_degrees()
                ));
            }
        }
    }
    assert!(
        failures.is_empty(),
        "{} of 1600:\n{}",
        failures.len(),
        failures[..failures.len().min(6)].join("\n")
    );
}
