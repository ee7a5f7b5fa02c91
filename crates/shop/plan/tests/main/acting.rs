//! No word of an engine file is taken and then forgotten: every number that a build says acts on a
//! prediction changes what is simulated.

use super::network::{demo, typed};
use shortblock_engine::Build;
use shortblock_engine::build::SparkPlan;
use shortblock_plan::network;

/// What is simulated, at two speeds.
fn simulated(build: &Build) -> String {
    let design = network(build).unwrap();
    let demands = [250.0, 500.0].map(|speed| format!("{:?}", design.demand(speed)));
    format!("{:?} {demands:?} {:?}", design.network, build.limits)
}

/// Numbers of a build that move nothing.
fn idle(build: &Build) -> Vec<String> {
    let as_it_is = simulated(build);
    let moved = |path: &str, si: f64| {
        let step = build.step(path).filter(|step| *step != 0.0).unwrap_or(1e-3);
        [si + step, si - step].iter().find_map(|si| build.with_si(path, *si).ok())
    };
    let still =
        |path: &str, si: f64| moved(path, si).is_none_or(|build| simulated(&build) == as_it_is);
    let numbers = build.parameters().filter(|(path, value)| still(path, value.si));
    numbers.map(|(path, _)| path.to_owned()).collect()
}

/// Numbers that rightly move nothing while another says the same thing better.
fn spoken_for(build: &Build, path: &str) -> bool {
    let (side, rest) = path.split_once('.').unwrap_or((path, ""));
    match (side, rest) {
        // The octane number that acts is RON: MON has a weight of 0 (Kalghatgi's K).
        ("fuel", "octane.MON") => true,
        // A stated compression ratio holds deck and gasket.
        ("bottom_end", "deck") | ("chamber", "gasket.thickness") => true,
        // A flow sheet, measured or usual, holds seat angle, stem and throat.
        ("intake" | "exhaust", "valves.seat_angle" | "valves.stem" | "valves.throat") => true,
        // Lift and durations are stated at the valve, or the seat's with them.
        ("intake" | "exhaust", "cam.lash" | "cam.ramp") => true,
        // A typed spark needs no margin.
        ("spark", "knock_margin") => !matches!(build.spark.plan, SparkPlan::BestTorque { .. }),
        _ => false,
    }
}

#[test]
fn every_number_that_is_said_to_act_acts() {
    let sold = "format = 1\ncylinders = 1\nbore = \"86 mm\"\nstroke = \"86 mm\"\ncompression_ratio = 9\n[intake.carburettor]\nventuri = \"34 mm\"\n[exhaust.silencer]\nback_pressure = \"15 kPa at 100 kg/h\"\n[intake.air_cleaner]\nloss = \"2 kPa at 100 kg/h\"\n[intake.duct]\nlength = \"300 mm\"\ndiameter = \"50 mm\"\n";
    let demos = ["114/b1.toml", "126/b1.toml", "201/b1.toml"];
    for build in demos.map(demo).into_iter().chain([typed(sold)]) {
        let idle: Vec<String> =
            idle(&build).into_iter().filter(|p| !spoken_for(&build, p)).collect();
        assert!(idle.is_empty(), "{}: {idle:?}", build.identity.name);
    }
}
