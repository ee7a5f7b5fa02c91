//! Friction: bearings and valve train by size, oil, auxiliaries by how the engine was tested.

use shortblock_cycle::Friction;
use shortblock_cylinder::friction::{
    Auxiliary, Bearings, Edition, Follower, FrictionParts, ValveTrain,
};
use shortblock_engine::Build;
use shortblock_engine::build::{Accessory, Arrangement, TrainKind};

/// Main journal over bore when nobody said: 62 mm on 102 mm, 55 mm on 86 mm (common practice).
const MAIN_JOURNAL: f64 = 0.62;
/// Rod journal over bore: 53 mm on 102 mm, 48 mm on 86 mm (common practice).
const ROD_JOURNAL: f64 = 0.54;
/// Bearing length over journal diameter (common practice).
const BEARING_LENGTH: f64 = 0.38;
/// Kinematic viscosity of the reference oil, 10W-30, at 100 °C, mm²/s (SAE J300, middle of grade).
const REFERENCE_OIL: f64 = 10.9;
/// Fall of an engine oil's viscosity with temperature around 90 °C, 1/K; from the usual 65 and
/// 10.5 mm²/s at 40 and 100 °C, less steep when hot (common practice).
const OIL_SLOPE: f64 = 0.026;
/// Temperature of the reference oil, K: 90 °C.
const REFERENCE_TEMPERATURE: f64 = 363.15;

/// Friction of a build.
pub(super) fn of(build: &Build, notes: &mut Vec<String>) -> Friction {
    let bottom = &build.bottom_end;
    let (bore, stroke) = (bottom.bore.si, bottom.stroke.si);
    let cylinders = build.layout.cylinders;
    let stated = |path: &str| build.item(path).and_then(|item| item.value()).map(|value| value.si);
    let bearings = |path: &str, share: f64, count: f64| {
        let diameter = stated(path).filter(|d| *d > 0.0).unwrap_or(share * bore);
        Bearings { diameter, length: BEARING_LENGTH * diameter, count }
    };
    let throws = match build.layout.arrangement {
        Arrangement::V | Arrangement::Flat => cylinders.div_ceil(2),
        _ => cylinders,
    };
    let mains = throws as f64 + 1.0;
    let (valve_train, shafts) = match build.valve_train.kind {
        TrainKind::Bucket => (ValveTrain::DirectActing, 2),
        TrainKind::Finger => (ValveTrain::FingerFollower, 2),
        TrainKind::Rocker => (ValveTrain::RockerOverhead, 1),
        TrainKind::Pushrod => (ValveTrain::Pushrod, 0),
    };
    let banks = build.layout.banks.len().max(1);
    let row = cylinders.div_ceil(banks) as f64 + 1.0;
    let cam_bearings = if shafts == 0 { mains } else { (shafts * banks) as f64 * row };
    let valves = cylinders * (build.intake.valves.count + build.exhaust.valves.count);
    Friction {
        parts: FrictionParts {
            bore,
            stroke,
            cylinders: cylinders as f64,
            compression_ratio: build.chamber.compression_ratio.si,
            mains: bearings("bottom_end.main_journal", MAIN_JOURNAL, mains),
            rods: bearings("bottom_end.rod_journal", ROD_JOURNAL, cylinders as f64),
            cam_bearings,
            valves: valves as f64,
            valve_lift: 0.5 * (build.intake.cam.lift.si + build.exhaust.cam.lift.si),
            valve_train,
            follower: if build.valve_train.roller { Follower::Roller } else { Follower::Flat },
            viscosity_ratio: viscosity_ratio(build),
            ring_ratio: 1.0,
        },
        edition: Edition::Of2003,
        auxiliaries: auxiliaries(build, notes),
        multiplier: 1.0,
    }
}

/// Viscosity over that of the reference oil at 90 °C; without a grade the reference oil.
fn viscosity_ratio(build: &Build) -> f64 {
    let grade = build.item("oil.grade").map_or("", |item| item.text.as_str());
    // Kinematic viscosity at 100 °C, mm²/s: middle of the grades of SAE J300 (from memory).
    let at_100 = match hot_grade(grade) {
        Some(20) => 8.1,
        Some(40) => 14.4,
        Some(50) => 19.1,
        Some(60) => 24.0,
        _ => REFERENCE_OIL,
    };
    let warmer = build.state.oil_temperature.si - REFERENCE_TEMPERATURE;
    at_100 / REFERENCE_OIL * (-OIL_SLOPE * warmer).exp().clamp(0.2, 20.0)
}

/// The hot grade of "10W-60", "SAE 40".
fn hot_grade(grade: &str) -> Option<u32> {
    let mut numbers = grade.split(|c: char| !c.is_ascii_digit()).filter(|part| !part.is_empty());
    numbers.next_back()?.parse().ok()
}

fn auxiliaries(build: &Build, notes: &mut Vec<String>) -> Vec<Auxiliary> {
    let tested = &build.tested_as;
    let mut out = vec![Auxiliary::OilPump];
    if !tested.accessories_stated {
        let assumed: Vec<&str> = tested.accessories.iter().map(|a| a.word()).collect();
        let assumed = assumed.join(", ");
        notes.push(format!("nobody said what the engine drove in the test: {assumed}"));
    }
    let known = |machine: &Accessory| match machine {
        Accessory::WaterPump => Some(Auxiliary::WaterPump),
        Accessory::Alternator => Some(Auxiliary::Alternator),
        Accessory::Fan => Some(Auxiliary::Fan),
        Accessory::OilPump | Accessory::FuelPump => None,
        other => {
            notes.push(format!("the {} is not counted: its drag is not known", other.word()));
            None
        }
    };
    out.extend(tested.accessories.iter().filter_map(known));
    out
}
