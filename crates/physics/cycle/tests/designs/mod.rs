//! Invented engines for tests and benchmarks, described directly as networks.

use shortblock_cycle::*;
use shortblock_cylinder::closed::{Crevice, SparkDemand};
use shortblock_cylinder::flame::{ChamberShape, FlameTable};
use shortblock_cylinder::friction::{
    Auxiliary, Bearings, Edition, Follower, FrictionParts, ValveTrain,
};
use shortblock_cylinder::mechanism::SliderCrank;
use shortblock_cylinder::wall::WallNetwork;
use shortblock_gas::{HumidAir, fuel};
use std::f64::consts::PI;

const DEG: f64 = PI / 180.0;

/// What the two invented engines differ in.
struct Shape {
    bore: f64,
    stroke: f64,
    rod: f64,
    ratio: f64,
    /// Valve diameter (m), number, greatest lift (m), centreline (deg after firing), duration
    /// (deg) of each side.
    intake: (f64, f64, f64, f64, f64),
    exhaust: (f64, f64, f64, f64, f64),
    /// Runner length and diameter, m.
    runner: (f64, f64),
    /// Primary length and diameter, m.
    primary: (f64, f64),
    chamber: ChamberShape,
    plug_offset: f64,
    train: ValveTrain,
    firing_order: &'static [usize],
    /// Cylinders of each exhaust collector.
    collectors: &'static [&'static [usize]],
}

/// A carburetted 5.4-litre pushrod V8 with two collectors.
pub fn v8() -> Network {
    let mut network = engine(&Shape {
        bore: 0.1024,
        stroke: 0.0826,
        rod: 0.1524,
        ratio: 10.0,
        intake: (0.0513, 1.0, 0.0124, 466.0, 278.0),
        exhaust: (0.0406, 1.0, 0.0124, 246.0, 286.0),
        runner: (0.29, 0.0410),
        primary: (0.84, 0.0419),
        chamber: ChamberShape::Disc,
        plug_offset: 0.022,
        train: ValveTrain::Pushrod,
        firing_order: &[0, 7, 3, 2, 5, 4, 6, 1],
        collectors: &[&[0, 2, 4, 6], &[1, 3, 5, 7]],
    });
    // One plenum under one carburettor.
    network.volumes.insert(0, volume("plenum", 2.0e-3, false));
    for duct in &mut network.ducts {
        for end in [&mut duct.left, &mut duct.right] {
            end.node = match end.node {
                Node::Volume(i) => Node::Volume(i + 1),
                Node::Axis(i) => Node::Axis(i + 1),
                Node::Ambient if !duct.hot => Node::Volume(0),
                other => other,
            };
        }
    }
    network.openings.push(OpeningSpec {
        name: "carburettor".into(),
        from: Node::Ambient,
        to: Node::Volume(0),
        effective_area: 2.9e-3,
        fuel_vapour_share: 0.45,
    });
    network
}

/// A sharply tuned 2-litre four with a throttle for each cylinder.
pub fn four() -> Network {
    engine(&Shape {
        bore: 0.086,
        stroke: 0.086,
        rod: 0.143,
        ratio: 12.0,
        intake: (0.034, 2.0, 0.0112, 464.0, 300.0),
        exhaust: (0.029, 2.0, 0.0105, 254.0, 290.0),
        runner: (0.33, 0.045),
        primary: (0.78, 0.042),
        chamber: ChamberShape::PentRoof { roof_share: 0.6 },
        plug_offset: 0.0,
        train: ValveTrain::DirectActing,
        firing_order: &[0, 2, 3, 1],
        collectors: &[&[0, 1, 2, 3]],
    })
}

/// A demand with the spark at best torque or 2 degrees short of knock.
pub fn demand(speed_rpm: f64) -> Demand {
    let spark = SparkDemand::BestOrKnockLimited { margin: 2.0 * DEG };
    Demand::of(speed_rpm * PI / 30.0, 0.88, spark)
}

fn engine(shape: &Shape) -> Network {
    let n = shape.firing_order.len();
    let mechanism =
        SliderCrank::new(shape.bore, shape.stroke, shape.rod, 0.0, shape.ratio).unwrap();
    let mut cylinders = vec![
        CylinderSpec {
            mechanism,
            phase: 0.0,
            intake: valve(shape.intake),
            exhaust: valve(shape.exhaust),
        };
        n
    ];
    for (place, &cylinder) in shape.firing_order.iter().enumerate() {
        cylinders[cylinder].phase = 4.0 * PI * place as f64 / n as f64;
    }
    let mut ducts = Vec::new();
    for i in 0..n {
        ducts.push(intake_runner(shape, i));
        let collector = shape.collectors.iter().position(|c| c.contains(&i)).unwrap();
        ducts.push(primary(shape, i, collector));
    }
    let mut volumes = Vec::new();
    for (i, fed) in shape.collectors.iter().enumerate() {
        volumes.push(volume(&format!("merge {}", i + 1), 0.35e-3 * fed.len() as f64 / 2.0, true));
        let area = area(shape.primary.1 * 1.6);
        ducts.push(DuctSpec {
            name: format!("collector {}", i + 1),
            pieces: vec![Piece {
                length: 0.45,
                area_left: area,
                area_right: area,
                wall_temperature: 700.0,
            }],
            left: end(Node::Axis(i), 0.0),
            right: end(Node::Ambient, 0.0),
            hot: true,
            friction_factor: 0.006,
            heat_factor: 1.0,
        });
    }
    let valve_area =
        area(shape.intake.0) * shape.intake.1 + area(shape.exhaust.0) * shape.exhaust.1;
    Network {
        cylinders,
        ducts,
        volumes,
        openings: Vec::new(),
        fuel: fuel::find("gasoline_e0").unwrap(),
        air: HumidAir::new(99_000.0, 298.15, 0.3).unwrap(),
        ambient_pressure: 99_000.0,
        ambient_temperature: 298.15,
        cell_pressure: 99_000.0,
        charge_cooling: 0.45,
        combustion: Combustion {
            head_area_ratio: 1.2,
            flame: FlameTable::new(&mechanism, shape.chamber, shape.plug_offset).unwrap(),
            burn_multiplier: 1.0,
            heat_multiplier: 1.1,
            crevice: Crevice {
                volume: 0.015 * mechanism.clearance_volume(),
                leak_area: 0.2e-6,
                crankcase_pressure: 101_325.0,
            },
            octane_number: Some(93.0),
            latent_share: 0.3,
            walls: WallNetwork::new(&mechanism, valve_area),
            coolant_temperature: 360.0,
            oil_temperature: 370.0,
        },
        friction: Friction {
            parts: FrictionParts {
                bore: shape.bore,
                stroke: shape.stroke,
                cylinders: n as f64,
                compression_ratio: shape.ratio,
                mains: Bearings { diameter: 0.060, length: 0.022, count: n as f64 / 2.0 + 1.0 },
                rods: Bearings { diameter: 0.050, length: 0.022, count: n as f64 },
                cam_bearings: 5.0,
                valves: n as f64 * (shape.intake.1 + shape.exhaust.1),
                valve_lift: shape.intake.2,
                valve_train: shape.train,
                follower: Follower::Flat,
                viscosity_ratio: 1.0,
                ring_ratio: 1.0,
            },
            edition: Edition::Of2003,
            auxiliaries: vec![Auxiliary::OilPump, Auxiliary::WaterPump],
            multiplier: 1.0,
        },
    }
}

fn area(diameter: f64) -> f64 {
    0.25 * PI * diameter * diameter
}

/// Effective area over 720 degrees of a symmetric lift; 0.60 of the smaller of curtain and throat.
fn valve((diameter, count, lift, centre, duration): (f64, f64, f64, f64, f64)) -> ValveFlow {
    let at = |degree: f64| {
        let x = (degree - centre) / (0.5 * duration);
        if x.abs() >= 1.0 {
            return 0.0;
        }
        let lift = lift * (1.0 - x * x).powf(1.7);
        let curtain = PI * diameter * lift;
        let throat = 0.8 * area(diameter);
        0.62 * count * curtain * throat / (curtain.powi(2) + throat.powi(2)).sqrt()
    };
    ValveFlow { effective_area: (0..1440).map(|i| at(i as f64 * 0.5)).collect() }
}

fn end(node: Node, entry_loss: f64) -> End {
    End { node, opening: 1.0, entry_loss }
}

fn volume(name: &str, volume: f64, hot: bool) -> VolumeSpec {
    VolumeSpec {
        name: name.into(),
        volume,
        wall_temperature: if hot { 700.0 } else { 320.0 },
        heat_conductance: 0.0,
        hot,
        merge_angle: 0.25,
    }
}

fn intake_runner(shape: &Shape, i: usize) -> DuctSpec {
    let area = area(shape.runner.1);
    DuctSpec {
        name: format!("intake runner {}", i + 1),
        pieces: vec![
            Piece {
                length: shape.runner.0 - 0.1,
                area_left: 1.1 * area,
                area_right: area,
                wall_temperature: 320.0,
            },
            Piece { length: 0.1, area_left: area, area_right: area, wall_temperature: 350.0 },
        ],
        left: end(Node::Ambient, 0.05),
        right: end(Node::Valve(i, Side::Intake), 0.0),
        hot: false,
        friction_factor: 0.006,
        heat_factor: 1.0,
    }
}

fn primary(shape: &Shape, i: usize, collector: usize) -> DuctSpec {
    let area = area(shape.primary.1);
    DuctSpec {
        name: format!("exhaust primary {}", i + 1),
        pieces: vec![Piece {
            length: shape.primary.0,
            area_left: area,
            area_right: area,
            wall_temperature: 850.0,
        }],
        left: end(Node::Valve(i, Side::Exhaust), 0.0),
        right: end(Node::Volume(collector), 0.0),
        hot: true,
        friction_factor: 0.006,
        heat_factor: 1.0,
    }
}
