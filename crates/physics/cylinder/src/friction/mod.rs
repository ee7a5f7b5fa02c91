//! Rubbing friction and auxiliaries of a whole engine, component by component.
//!
//! Mean effective pressures in Pa over the displacement of all cylinders; pumping is not in them.

pub mod auxiliary;
pub mod barnes_moss;
pub mod patton;

pub use auxiliary::Auxiliary;
pub use patton::{Edition, fmep};

/// How the cam moves the valves.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ValveTrain {
    /// Bucket under an overhead cam.
    DirectActing,
    /// Finger follower under an overhead cam.
    FingerFollower,
    /// Rocker over an overhead cam.
    RockerOverhead,
    /// Rocker with a lifter, overhead cam.
    RockerLifterOverhead,
    /// Cam in the block, lifter, pushrod, rocker.
    Pushrod,
}

/// What slides on the cam.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Follower {
    /// Flat or curved face.
    Flat,
    /// Roller.
    Roller,
}

/// A set of equal plain bearings.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Bearings {
    /// Journal diameter, m.
    pub diameter: f64,
    /// Bearing length, m.
    pub length: f64,
    /// How many.
    pub count: f64,
}

/// What the friction of an engine depends on.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FrictionParts {
    /// Bore, m.
    pub bore: f64,
    /// Stroke, m.
    pub stroke: f64,
    /// Number of cylinders.
    pub cylinders: f64,
    /// Compression ratio.
    pub compression_ratio: f64,
    /// Crankshaft main bearings.
    pub mains: Bearings,
    /// Connecting-rod bearings, of all cylinders.
    pub rods: Bearings,
    /// Camshaft bearings, all shafts.
    pub cam_bearings: f64,
    /// Valves, all cylinders.
    pub valves: f64,
    /// Largest valve lift, m.
    pub valve_lift: f64,
    /// Valve train.
    pub valve_train: ValveTrain,
    /// Cam follower.
    pub follower: Follower,
    /// Oil viscosity over that of the reference oil (10W-30 at 90 C); acts in the 2003 edition.
    pub viscosity_ratio: f64,
    /// Ring tension times surface roughness over those of the reference engine; 2003 edition.
    pub ring_ratio: f64,
}

/// Friction mean effective pressure by component, Pa.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct FrictionMep {
    /// Crankshaft: main bearings and seals.
    pub crankshaft: f64,
    /// Piston skirts, rings without gas load, rod bearings.
    pub reciprocating: f64,
    /// Rings under gas load.
    pub gas_pressure: f64,
    /// Camshaft and valve train.
    pub valve_train: f64,
}

impl FrictionMep {
    /// Sum without auxiliaries, Pa.
    pub fn total(&self) -> f64 {
        self.crankshaft + self.reciprocating + self.gas_pressure + self.valve_train
    }
}
