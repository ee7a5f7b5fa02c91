//! What gas dynamics and thermodynamics ask of any engine.

use crate::designs;
use crate::{points, points_of};
use shortblock_cycle::*;
use shortblock_cylinder::closed::SparkDemand;
use shortblock_cylinder::mechanism::SliderCrank;
use shortblock_gas::HumidAir;
use std::f64::consts::PI;

const DEG: f64 = PI / 180.0;

/// Demands with the spark given, so that nothing is searched.
fn fixed(speeds: &[f64], advance_deg: f64) -> Vec<Demand> {
    let spark = SparkDemand::Fixed(-advance_deg * DEG);
    speeds.iter().map(|&rpm| Demand { spark, ..designs::demand(rpm) }).collect()
}

fn tight() -> Settings {
    Settings { tolerance: 1e-5, ..Settings::usual() }
}

/// First law over the whole engine: fuel energy is work, wall heat and what leaves through the
/// exhaust, whose sensible part is bounded by the gas temperature.
#[test]
fn fuel_energy_is_accounted_for() {
    let network = designs::v8();
    for p in points(&network, &[3000.0, 5500.0], &Settings::usual()) {
        let displacement: f64 = network.cylinders.iter().map(|c| c.mechanism.displacement()).sum();
        let fuel: f64 = p.fuel_flow * 4.0 * PI / p.speed * network.fuel.lower_heating_value();
        let work = p.imep * displacement / fuel;
        let exhaust = (p.air_flow + p.fuel_flow)
            * 1200.0
            * (p.mean(|c| c.exhaust_temperature) - network.ambient_temperature)
            / (p.fuel_flow * network.fuel.lower_heating_value());
        // Lambda 0.88 leaves about 13 % of the energy in carbon monoxide and hydrogen
        // (fuel-air equivalence; Heywood 1988 fig. 4-20 from memory).
        let sum = work + p.heat_share + exhaust;
        assert!((0.80..0.95).contains(&sum), "work {work} heat {} exhaust {exhaust}", p.heat_share);
    }
}

/// Doubling all pressures at fixed temperatures doubles every mass and force; only Reynolds
/// numbers, dissociation and flame speed know the level. Bound from the issue of this work: 0.5 %
/// for 10 %.
#[test]
fn work_follows_the_pressure_of_the_air() {
    let base = designs::four();
    let mut dense = base.clone();
    dense.ambient_pressure *= 1.1;
    let demands = fixed(&[4500.0, 7000.0], 20.0);
    let mesh = Mesh::of(&base, CellLength::COARSE);
    let a = points_of(&base, &mesh, &demands, &tight());
    let b = points_of(&dense, &mesh, &demands, &tight());
    for (a, b) in a.iter().zip(&b) {
        let ratio = b.imep / a.imep / 1.1;
        assert!((ratio - 1.0).abs() < 0.005, "{ratio}");
    }
}

/// A cell at the pressure of the air around is the air around, to the bit. One held above it by dp
/// must be pushed out against: pumping work rises by dp (Heywood 1988 sec. 5.4, ideal cycle: PMEP =
/// pe - pi) and a little more for the charge kept back; pulses and tuning leave half to twice that.
#[test]
fn an_exhaust_into_a_pressed_cell_costs_its_pressure() {
    let base = designs::v8();
    let blown = |above: f64| {
        let mut network = base.clone();
        network.cell_pressure = network.ambient_pressure + above;
        for duct in network.ducts.iter_mut().filter(|duct| duct.right.node == Node::Ambient) {
            duct.right.node = Node::Cell;
        }
        network
    };
    let demands = fixed(&[2500.0, 4000.0], 20.0);
    let mesh = Mesh::of(&base, CellLength::COARSE);
    let points = |network: &Network| points_of(network, &mesh, &demands, &tight());
    let (free, level, pressed) = (points(&base), points(&blown(0.0)), points(&blown(8e3)));
    for ((free, level), pressed) in free.iter().zip(&level).zip(&pressed) {
        assert_eq!(free.imep.to_bits(), level.imep.to_bits());
        let cost = (free.pmep - pressed.pmep) / 8e3;
        assert!((0.5..2.0).contains(&cost), "{cost}");
        assert!(pressed.air_flow < free.air_flow, "{} {}", pressed.air_flow, free.air_flow);
    }
}

#[test]
fn a_search_goes_no_earlier_than_it_may() {
    let network = designs::four();
    let mesh = Mesh::of(&network, CellLength::COARSE);
    let demand = |earliest_spark: f64| Demand {
        spark: SparkDemand::BestTorque,
        earliest_spark,
        ..designs::demand(6000.0)
    };
    let late = -12f64.to_radians();
    let demands = [demand(f64::NEG_INFINITY), demand(late)];
    let points = points_of(&network, &mesh, &demands, &Settings::usual());
    let [free, held] = [&points[0], &points[1]];
    let spark = |p: &Point| -p.mean(|c| c.spark_advance);
    assert!(spark(free) < late - 3f64.to_radians(), "{}", spark(free));
    assert!((spark(held) - late).abs() < 1e-12, "{}", spark(held));
    assert!(held.brake_torque < free.brake_torque);
}

/// Indicated work falls with air temperature with an exponent of -0.5 in the correction formulas
/// (SAE J1349, from memory); heat taken up on the way in weakens the pure density effect of -1.
/// Taken over the whole speed range, since warm air also moves the tuning of the pipes.
#[test]
fn work_falls_with_the_temperature_of_the_air() {
    let base = designs::v8();
    let mut hot = base.clone();
    hot.ambient_temperature += 20.0;
    let speeds: Vec<f64> = (0..8).map(|i| 2500.0 + 500.0 * i as f64).collect();
    let demands = fixed(&speeds, 22.0);
    let mesh = Mesh::of(&base, CellLength::COARSE);
    let a = points_of(&base, &mesh, &demands, &Settings::usual());
    let b = points_of(&hot, &mesh, &demands, &Settings::usual());
    let mean = |points: &[Point]| points.iter().map(|p| p.imep.ln()).sum::<f64>() / 8.0;
    let exponent =
        (mean(&b) - mean(&a)) / (hot.ambient_temperature / base.ambient_temperature).ln();
    assert!((-0.9..=-0.4).contains(&exponent), "{exponent}");
}

/// Water vapour displaces air: 1 kPa of it takes about 1 % of the work.
#[test]
fn humid_air_makes_less() {
    let base = designs::four();
    let mut humid = base.clone();
    humid.air = HumidAir::new(99_000.0, 298.15, 0.9).unwrap();
    let demands = fixed(&[5500.0], 20.0);
    let mesh = Mesh::of(&base, CellLength::COARSE);
    let a = &points_of(&base, &mesh, &demands, &tight())[0];
    let b = &points_of(&humid, &mesh, &demands, &tight())[0];
    // From 30 to 90 % humidity at 25 C: 1.9 kPa of vapour.
    let loss = 1.0 - b.imep / a.imep;
    assert!((0.010..0.035).contains(&loss), "{loss}");
}

/// With open exhaust stubs the runner alone tunes the filling: its best speed goes with one over
/// the wave's way (quarter-wave rule, any acoustics text).
#[test]
fn longer_runners_fill_best_at_lower_speed() {
    let speeds: Vec<f64> = (0..26).map(|i| 4000.0 + 200.0 * i as f64).collect();
    let best = |longer: f64| {
        let mut network = designs::four();
        for duct in &mut network.ducts {
            if duct.hot {
                duct.pieces[0].length = 0.12;
                duct.right.node = Node::Ambient;
            } else {
                duct.pieces[0].length += longer;
            }
        }
        let mesh = Mesh::of(&network, CellLength::FINE);
        let points = points_of(&network, &mesh, &fixed(&speeds, 22.0), &Settings::usual());
        let best = points
            .iter()
            .max_by(|a, b| a.volumetric_efficiency.total_cmp(&b.volumetric_efficiency))
            .unwrap();
        best.speed
    };
    let (short, long) = (best(0.0), best(0.1));
    // 0.33 m of runner against 0.43 m gives 0.77; one step of the speeds is worth 0.03 of it, and
    // the wave's way into the port and cylinder, equal in both, draws it towards 1.
    assert!((0.72..0.90).contains(&(long / short)), "{long} {short}");
}

/// The error of the mesh of a sharply tuned engine: at most 1.3 % with cells of 25 and 50 mm and
/// 0.4 % with half of that (figures of an earlier study of the same scheme, own).
#[test]
fn finer_meshes_agree_ever_better() {
    let network = designs::four();
    let demands = fixed(&[4500.0], 22.0);
    let torque = |factor: f64| -> f64 {
        let mesh = Mesh::of(&network, CellLength::FINE.times(factor));
        let settings = Settings { tolerance: 1e-4, ..Settings::usual() };
        points_of(&network, &mesh, &demands, &settings)[0].brake_torque
    };
    let (usual, half, quarter) = (torque(1.0), torque(0.5), torque(0.25));
    assert!((usual / quarter - 1.0).abs() < 0.013, "{usual} {quarter}");
    assert!((half / quarter - 1.0).abs() < 0.004, "{half} {quarter}");
}

/// A fuel of low octane number is held back by knock and keeps the margin asked for, a given spark
/// is nobody's choice, and without knock best torque decides.
#[test]
fn who_sets_the_spark_is_told() {
    let mut network = designs::v8();
    let margin = 2.0 * DEG;
    network.combustion.octane_number = Some(85.0);
    let held = &points(&network, &[2500.0], &Settings::usual())[0];
    for c in held.cylinders.iter().filter(|c| c.knock_limited) {
        // The cylinder that knocks first sets all; the others keep at least its margin, within
        // the 0.1 degrees at which the spark counts as settled and the half step towards it.
        assert!(c.knock_margin.unwrap() > margin - 0.2 * DEG, "{c:?}");
    }
    assert!(held.cylinders.iter().any(|c| c.knock_limited), "{held:?}");
    let mesh = Mesh::of(&network, CellLength::COARSE);
    let given = &points_of(&network, &mesh, &fixed(&[2500.0], 40.0), &Settings::usual())[0];
    assert!(given.cylinders.iter().all(|c| !c.knock_limited && c.knock_margin.unwrap() < 0.0));
    network.combustion.octane_number = None;
    let best = [Demand { spark: SparkDemand::BestTorque, ..designs::demand(2500.0) }];
    let free = &points_of(&network, &mesh, &best, &Settings::usual())[0];
    assert!(free.cylinders.iter().all(|c| !c.knock_limited && c.knock_margin.is_none()));
}

/// Without knock, at best torque and full load: 15 to 25 degrees from spark to 10 % burned at mid
/// speed (Heywood 1988 chapter 9, from memory, medium confidence), and the best spark that follows,
/// with half burned 8 to 10 after dead centre and 12 to 18 degrees from 10 to 50 %: 18 to 35 before it.
/// The angle grows with speed, by less than its cube root (Hires et al. 1978, SAE 780232, from memory).
#[test]
fn a_young_flame_takes_as_long_as_in_real_engines() {
    for (network, speeds) in
        [(designs::four(), [3000.0, 6000.0]), (designs::v8(), [2500.0, 5000.0])]
    {
        let mesh = Mesh::of(&network, CellLength::COARSE);
        let demands =
            speeds.map(|rpm| Demand { spark: SparkDemand::BestTorque, ..designs::demand(rpm) });
        let points = points_of(&network, &mesh, &demands, &Settings::usual());
        let early = |p: &Point| p.mean(|c| c.burn_0_10) / DEG;
        for p in &points {
            let spark = p.mean(|c| c.spark_advance) / DEG;
            assert!((15.0..25.0).contains(&early(p)), "{} at {} rad/s", early(p), p.speed);
            assert!((18.0..35.0).contains(&spark), "{spark} at {} rad/s", p.speed);
        }
        let growth = early(&points[1]) / early(&points[0]);
        assert!((0.85..1.26).contains(&growth), "{growth}");
    }
}

/// Once the cycle repeats, the cylinder nearest to knock stands at the margin asked for, neither
/// beyond it nor short of it: within the 0.2 degrees to which the spark is held and what is left to
/// change (own requirement). A spark settled on charges that still change is a degree off here.
#[test]
fn a_spark_set_by_knock_is_that_of_the_cycle_that_repeats() {
    let cases =
        [(designs::four(), 80.0, [3800.0, 5300.0]), (designs::v8(), 89.0, [2300.0, 4300.0])];
    for (mut network, octane, speeds) in cases {
        network.combustion.octane_number = Some(octane);
        for p in points(&network, &speeds, &Settings::usual()) {
            let margins = p.cylinders.iter().filter_map(|c| c.knock_margin);
            let nearest = margins.fold(f64::INFINITY, f64::min) / DEG;
            assert!(p.cylinders.iter().any(|c| c.knock_limited), "{p:?}");
            assert!((nearest - 2.0).abs() < 0.25, "{nearest} at {} rad/s", p.speed);
        }
    }
}

/// The spark is one for all cylinders, so none may stand nearer to knock than was asked for: neither
/// one whose own best spark lies on the late side of its limit, nor one that a first look does not seek
/// the spark for. Two ratios more in one cylinder make them unequal; some octane numbers leave the
/// mean of the best sparks before that cylinder's limit. Bound: the tenth of a degree that a spark may
/// be short by (own requirement).
#[test]
fn no_cylinder_stands_nearer_to_knock_than_asked_for() {
    let mut network = designs::four();
    let whole = &network.cylinders[1].mechanism;
    let tighter = SliderCrank::new(
        whole.bore(),
        whole.stroke(),
        whole.rod_length(),
        0.0,
        whole.compression_ratio() + 2.0,
    );
    network.cylinders[1].mechanism = tighter.unwrap();
    for octane in [84.0, 90.0, 96.0, 97.25, 97.5] {
        network.combustion.octane_number = Some(octane);
        for settings in [Settings::usual(), Settings::usual().for_a_first_look()] {
            for p in points(&network, &[3000.0, 5000.0], &settings) {
                let margins = p.cylinders.iter().filter_map(|c| c.knock_margin);
                let nearest = margins.fold(f64::INFINITY, f64::min) / DEG;
                assert!(nearest > 1.9, "{nearest} at {} rad/s, {octane} octane", p.speed);
                assert!(p.cylinders.iter().any(|c| c.knock_limited), "{p:?}");
            }
        }
    }
}
