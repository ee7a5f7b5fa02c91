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

/// Builds that leave most unsaid, with every kind of fuel and of spark.
fn unsaid() -> Vec<Build> {
    let four = demo("201/b1.toml");
    let with = |path: &str, text: &str| four.with(path, text).unwrap();
    let fuels = ["methanol", "ethanol", "e85", "m85", "nitromethane", "toluene", "isooctane"];
    let mut all: Vec<Build> = fuels.map(|kind| with("fuel.kind", kind)).into();
    let sparks = ["28 deg", "best torque", "best torque, knock limited"];
    all.extend(sparks.map(|spark| with("spark.advance", spark)));
    all.push(with("fuel.blend", "{ nitromethane = \"20 %\" }"));
    all.push(with("fuel.blend", "{ ethanol = \"10 %\" }"));
    all.push(with("chamber.volume", "45 cc"));
    all.push(with("intake.cam.gross_lift", "9.8 mm"));
    let pushrod = "format = 1\ncylinders = 1\nbore = \"86 mm\"\nstroke = \"86 mm\"\n\
                   compression_ratio = 9\n[valve_train]\nkind = \"pushrod and rocker\"\n[intake.cam]\n";
    let lifts = ["gross_lift = \"9.8 mm\"", "lobe_lift = \"6 mm\""];
    all.extend(lifts.map(|lift| typed(&format!("{pushrod}{lift}\n"))));
    all.push(with("intake.cam.duration", "230 deg at 0.050 in of lifter"));
    all.push(with("intake.cam.duration", "[\"280 deg at 0.3 mm\", \"240 deg at 1.0 mm\"]"));
    let curve = |column: &str, most: f64| {
        let row = |i: i32| format!("[{}, {:.2}]", 8 * i, most * (1.0 - f64::from(i * i) / 64.0));
        let rows: Vec<String> = (-8..=8).map(row).collect();
        format!("{{ columns = [\"cam deg\", \"{column}\"], rows = [{}] }}", rows.join(", "))
    };
    all.push(with("intake.cam.lift_curve", &curve("valve mm", 9.5)));
    let rocker = with("valve_train.kind", "pushrod and rocker");
    all.push(rocker.with("intake.cam.lift_curve", &curve("lifter mm", 6.0)).unwrap());
    all.push(rocker.with("intake.cam.lift_curve", &curve("valve mm", 9.5)).unwrap());
    all.push(rocker);
    all.extend(["114/b1.toml", "114/b3.toml", "126/b1.toml", "201/b1.toml"].map(demo));
    all
}

#[test]
fn what_nothing_uses_is_not_listed_as_assumed() {
    for build in unsaid() {
        let idle = idle(&build);
        let listed = build.assumed().map(|(path, _)| path).filter(|p| idle.iter().any(|i| i == p));
        let listed: Vec<&str> = listed.collect();
        assert!(listed.is_empty(), "{}, {}: {listed:?}", build.identity.name, build.fuel.kind);
    }
}

#[test]
fn what_is_used_stays_listed_as_assumed() {
    let four = demo("201/b1.toml");
    let listed = |path: &str, text: &str, assumed: &str| {
        let build = four.with(path, text).unwrap();
        build.assumed().any(|(path, _)| path == assumed)
    };
    assert!(listed("fuel.kind", "petrol", "fuel.octane.RON"));
    assert!(!listed("fuel.kind", "nitromethane", "fuel.octane.RON"));
    assert!(listed("spark.advance", "best torque", "spark.at_most"));
    assert!(!listed("spark.advance", "28 deg", "spark.at_most"));
    assert!(listed("chamber.volume", "45 cc", "bottom_end.deck"));
    let lifter = "240 deg at 1.0 mm of lifter";
    assert!(listed("intake.cam.duration", lifter, "intake.cam.lash"));
    assert!(listed("intake.cam.duration", "240 deg at 1.0 mm", "intake.cam.ramp"));
}
