//! Question: what does one closed part of the cycle cost, and one spark search?
//!
//! Prints microseconds per call and, where lanes are filled, per closed part, averaged over many
//! calls on one core. With a name (`fixed`, `best`, `both`, `guessed`, `margin`, `none`, or a level's)
//! and a count it only makes that many calls of that kind, so that an instruction counter sees what
//! one costs: the difference to `none` over the count.

use shortblock_cylinder::closed::{
    self, Burn, BurnAngles, Charge, ClosedCase, ClosedResult, Crevice, Ended, HeatTransfer,
    Mixture, Run, SparkDemand, WallTemperatures,
};
use shortblock_cylinder::flame::{ChamberShape, FlameTable};
use shortblock_cylinder::mechanism::SliderCrank;
use shortblock_cylinder::turbulence::Turbulence;
use shortblock_gas::{HumidAir, fuel};
use shortblock_lanes::{Kind, Lane, Lanes, Level, at_level};
use std::f64::consts::PI;
use std::hint::black_box;
use std::time::Instant;

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let petrol = fuel::find("gasoline_e0")?;
    let air = HumidAir::dry();
    let lambda = 0.88;
    let start = Instant::now();
    let mixture = Mixture::new(&petrol, 1.0 / lambda, &air)?;
    println!("mixture table       {:9.1} us", start.elapsed().as_secs_f64() * 1e6);
    let mechanism = SliderCrank::new(0.086, 0.086, 0.143, 0.0, 10.5)?;
    let start = Instant::now();
    let flame = FlameTable::new(&mechanism, ChamberShape::PentRoof { roof_share: 0.8 }, 0.0)?;
    println!("flame table         {:9.1} us", start.elapsed().as_secs_f64() * 1e6);

    let speed = 5000.0 * PI / 30.0;
    let afr = lambda * petrol.stoichiometric_afr();
    let case = ClosedCase {
        mechanism: &mechanism,
        mixture: &mixture,
        head_area_ratio: 1.2,
        theta_ivc: f64::to_radians(-125.0),
        theta_evo: f64::to_radians(125.0),
        speed,
        charge: Charge {
            mass: 5.9e-4,
            temperature: 360.0,
            fuel: 0.96 / (1.0 + afr),
            burned: 0.04,
            liquid_fuel: 1e-5,
            latent_share: 0.5,
        },
        walls: WallTemperatures { head: 480.0, piston: 520.0, liner: 410.0 },
        burn: Burn::Entrainment {
            flame: &flame,
            turbulence: Turbulence { mean_energy: 410.0, turbulent_energy: 205.0 },
            multiplier: 1.0,
        },
        heat: HeatTransfer::Woschni(1.1),
        crevice: Crevice { volume: 0.9e-6, leak_area: 0.05e-6, crankcase_pressure: 1e5 },
        octane_number: Some(96.0),
        step_deg: 0.0,
        spark_guess: None,
        find_knock_margin: false,
        trace: false,
    };
    let fixed = SparkDemand::Fixed(f64::to_radians(-25.0));
    if let Some(name) = std::env::args().nth(1) {
        let count = std::env::args().nth(2).and_then(|n| n.parse().ok()).unwrap_or(100);
        return repeat(&case, &name, count);
    }
    time("fixed spark", &case, fixed)?;
    time("motored", &ClosedCase { burn: Burn::Motored, ..case.clone() }, fixed)?;
    time("best torque", &case, SparkDemand::BestTorque)?;
    time("knock limited", &case, SparkDemand::KnockLimited { margin: 0.02 })?;
    let both = SparkDemand::BestOrKnockLimited { margin: 0.02 };
    time("best or limited", &case, both)?;
    let found = closed::solve(&case, both)?;
    let warm = ClosedCase { spark_guess: Some(found.spark), ..case.clone() };
    time("the same, guessed", &warm, both)?;
    for level in Level::available() {
        for (name, case, demand) in [("fixed", &case, fixed), ("guessed", &warm, both)] {
            const CALLS: u32 = 500;
            let parts = side_by_side(level, case, demand, 1);
            let start = Instant::now();
            side_by_side(level, case, demand, CALLS);
            let us = start.elapsed().as_secs_f64() * 1e6 / f64::from(CALLS) / parts as f64;
            println!("{:<9} {name:<7}   {us:9.1} us each of {parts}", level.name());
        }
    }
    let fast = ClosedCase { find_knock_margin: true, ..case };
    let r = closed::solve(&fast, SparkDemand::BestTorque)?;
    println!("\nat best torque");
    table(&r);
    Ok(())
}

/// What comes out, a line each.
fn table(r: &ClosedResult) {
    let degrees = |rad: f64| rad.to_degrees();
    let burn = |of: fn(&BurnAngles) -> f64| r.burn.as_ref().map_or(f64::NAN, of).to_degrees();
    let rows = [
        ("work", r.work, "J"),
        ("heat to head", r.heat_head, "J"),
        ("heat to piston", r.heat_piston, "J"),
        ("heat to liner", r.heat_liner, "J"),
        ("latent heat drawn", r.latent_heat, "J"),
        ("blow-by", 1e6 * r.blow_by_mass, "mg"),
        ("spark before dead centre", -degrees(r.spark), "deg"),
        ("spark to 10 % burned", burn(|b| b.spark_to_10), "deg"),
        ("10 to 50 % burned", burn(|b| b.from_10_to_50), "deg"),
        ("10 to 90 % burned", burn(|b| b.from_10_to_90), "deg"),
        ("50 % burned after dead centre", burn(|b| b.angle_50), "deg"),
        ("peak pressure", 1e-5 * r.peak_pressure, "bar"),
        ("its place after dead centre", degrees(r.peak_pressure_angle), "deg"),
        ("hottest burned gas", r.peak_burned_temperature, "K"),
        ("knock integral", r.knock_integral.unwrap_or(f64::NAN), ""),
        ("knock margin", degrees(r.knock_margin.unwrap_or(f64::NAN)), "deg"),
        ("pressure at exhaust opening", 1e-5 * r.end.pressure, "bar"),
        ("temperature at exhaust opening", r.end.temperature, "K"),
        ("unburned left", 100.0 * r.unburned_left, "%"),
        ("integrations", r.evaluations as f64, ""),
    ];
    for (name, value, unit) in rows {
        println!("{name:<31} {value:10.3} {unit}");
    }
}

at_level! {
    fn integrate[V: Lane](run: Run<V>) -> Ended<V> { run.integrate() }
}

/// Works out as many cases as a level has lanes; returns how many.
fn side_by_side(level: Level, case: &ClosedCase, demand: SparkDemand, count: u32) -> usize {
    fn fill<V: Lane>(level: Level, case: &ClosedCase, demand: SparkDemand, count: u32) -> usize {
        let cases = vec![(case.clone(), demand); V::WIDTH];
        for _ in 0..count {
            black_box(closed::solve_all::<V>(black_box(&cases), |run| integrate(level, run)));
        }
        V::WIDTH
    }
    match level.kind() {
        Kind::Baseline => fill::<Lanes<f64, 2, false>>(level, case, demand, count),
        Kind::Avx2 => fill::<Lanes<f64, 4, true>>(level, case, demand, count),
        Kind::Avx512 => fill::<Lanes<f64, 8, true>>(level, case, demand, count),
    }
}

fn repeat(case: &ClosedCase, name: &str, count: u32) -> Result<(), Box<dyn std::error::Error>> {
    let both = SparkDemand::BestOrKnockLimited { margin: 0.02 };
    let fixed = SparkDemand::Fixed(f64::to_radians(-25.0));
    if let Some(level) = Level::available().into_iter().find(|l| l.name() == name) {
        println!("{} in one call", side_by_side(level, case, fixed, count));
        return Ok(());
    }
    let demand = match name {
        "fixed" => fixed,
        "best" | "margin" => SparkDemand::BestTorque,
        "both" | "guessed" => both,
        _ => return Ok(()),
    };
    let guess = closed::solve(case, both)?.spark;
    let spark_guess = ["guessed", "margin"].contains(&name).then_some(guess);
    let case = ClosedCase { spark_guess, find_knock_margin: name == "margin", ..case.clone() };
    let mut runs = 0;
    for _ in 0..count {
        runs += black_box(closed::solve(black_box(&case), demand)?).evaluations;
    }
    println!("{runs} runs in {count} calls");
    Ok(())
}

fn time(
    name: &str,
    case: &ClosedCase,
    demand: SparkDemand,
) -> Result<(), Box<dyn std::error::Error>> {
    const CALLS: u32 = 2000;
    let runs = closed::solve(case, demand)?.evaluations;
    let start = Instant::now();
    for _ in 0..CALLS {
        black_box(closed::solve(black_box(case), demand)?);
    }
    let us = start.elapsed().as_secs_f64() * 1e6 / f64::from(CALLS);
    println!("{name:<18}  {us:9.1} us  {runs} runs");
    Ok(())
}
