//! Bottom end, chamber, valve train.

use std::f64::consts::FRAC_PI_4;

use shortblock_units::{Origin, Quantity};

use super::compression::{self, Clearance};
use crate::fill::Fill;
use crate::item::Leaf;
use crate::value::Value;
use shortblock_document::Finding;

/// Crank, rods, pistons.
#[derive(Debug, Clone, PartialEq)]
pub struct BottomEnd {
    /// Bore, m.
    pub bore: Value,
    /// Stroke, m.
    pub stroke: Value,
    /// Rod, m.
    pub rod_length: Value,
    /// Pin offset, m, plus towards the major thrust side.
    pub pin_offset: Value,
    /// Piston below the block at top dead centre, m; minus is proud.
    pub deck: Value,
    /// Crown to top ring, m.
    pub top_land_height: Value,
    /// Swept volume of one cylinder, m³.
    pub swept: Value,
    /// Displacement of all cylinders, m³.
    pub displacement: f64,
}

/// Combustion chamber.
#[derive(Debug, Clone, PartialEq)]
pub struct Chamber {
    /// Compression ratio, by cylinder in `each`.
    pub compression_ratio: Value,
    /// Clearance volume, m³, by cylinder in `each`.
    pub clearance_volume: Value,
    /// Gasket thickness, m.
    pub gasket_thickness: Value,
    /// Plug off the cylinder's axis, m.
    pub plug_offset: Value,
    /// Plugs per cylinder.
    pub plugs: usize,
    /// Form of the chamber.
    pub shape: String,
}

/// What stands between cam and valve.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum TrainKind {
    /// Cam on a bucket over the valve.
    Bucket,
    /// Finger follower.
    Finger,
    /// Rocker under the cam.
    Rocker,
    /// Pushrod and rocker.
    Pushrod,
}

/// Valve train.
#[derive(Debug, Clone, PartialEq)]
pub struct ValveTrain {
    /// Kind.
    pub kind: TrainKind,
    /// Hydraulic lifters take up the lash.
    pub hydraulic: bool,
    /// A roller runs on the lobe.
    pub roller: bool,
}

/// The bottom end.
pub(crate) fn bottom_end(fill: &mut Fill, cylinders: usize) -> BottomEnd {
    let bore = fill.need("bottom_end.bore");
    let stroke = fill.need("bottom_end.stroke");
    let each: Vec<f64> =
        (0..cylinders).map(|i| FRAC_PI_4 * bore.of(i).powi(2) * stroke.of(i)).collect();
    let displacement = each.iter().sum::<f64>();
    let mean = displacement / cylinders.max(1) as f64;
    let share = 2.0 * share(&bore) + share(&stroke);
    let quantity = Quantity::Volume;
    let swept =
        Value { each, ..Value::worked_out(mean, mean * share, quantity, "bore and stroke") };
    let rod_length = fill.need("bottom_end.rod_length");
    if rod_length.si <= 0.75 * stroke.si && stroke.si > 0.0 {
        let what = format!("a rod of {} is too short for this stroke", rod_length.text);
        let fault = Finding::new(what).about("bottom_end.rod_length");
        let place = fill.place("bottom_end.rod_length");
        fill.fault(
            fault.remedy("Rods are 1.4 to 2.2 strokes long, centre to centre."),
            place.as_ref(),
        );
    }
    BottomEnd {
        bore,
        stroke,
        rod_length,
        pin_offset: fill.need("bottom_end.pin_offset"),
        deck: fill.need("bottom_end.deck"),
        top_land_height: fill.need("bottom_end.top_land_height"),
        swept,
        displacement,
    }
}

fn share(value: &Value) -> f64 {
    if value.si == 0.0 { 0.0 } else { (value.plus_minus / value.si).abs() }
}

/// How far a stated ratio may be from the one worked out of volumes before it is asked.
/// Own: makers round to 0.1, and the top-land crevice is worth 0.1.
const RATIO_DOUBT: f64 = 0.25;

/// The chamber; the compression ratio is worked out when volumes are given, else taken as stated.
pub(crate) fn chamber(fill: &mut Fill, cylinders: usize, bottom: &BottomEnd) -> Chamber {
    let worked = fill.stated("chamber.volume").is_some().then(|| worked(fill, cylinders, bottom));
    let stated = fill.stated_value("chamber.compression_ratio");
    let ratio = match (&worked, stated) {
        (Some(worked), Some(stated)) => {
            let apart = (worked.si - stated.si).abs();
            if apart > RATIO_DOUBT + stated.plus_minus {
                contradiction(fill, worked, &stated);
            }
            worked.clone()
        }
        (Some(worked), None) => worked.clone(),
        (None, _) => fill.need("chamber.compression_ratio"),
    };
    if worked.is_some() {
        fill.keep("chamber.compression_ratio", &ratio);
    }
    let clearance = |i: usize| bottom.swept.of(i) / (ratio.of(i) - 1.0).max(0.1);
    let each: Vec<f64> = (0..cylinders).map(clearance).collect();
    let mean = each.iter().sum::<f64>() / cylinders.max(1) as f64;
    let plus_minus = mean * ratio.plus_minus / (ratio.si - 1.0).max(0.1);
    let how = "swept volume and compression ratio";
    Chamber {
        clearance_volume: Value {
            each,
            ..Value::worked_out(mean, plus_minus, Quantity::Volume, how)
        },
        compression_ratio: ratio,
        gasket_thickness: gasket_thickness(fill),
        plug_offset: fill.need("chamber.spark_plug.offset"),
        plugs: fill.count("chamber.spark_plug.count").max(1),
        shape: fill.word("chamber.shape"),
    }
}

/// Thickness of the gasket; 0 when there is none, or the chamber volume was taken with it.
fn gasket_thickness(fill: &mut Fill) -> Value {
    if fill.is_not_applicable("chamber.gasket.thickness") {
        return Value::worked_out(0.0, 0.0, Quantity::Length, "said to be not applicable");
    }
    fill.need("chamber.gasket.thickness")
}

/// The ratio from chamber, gasket, deck and crown, by cylinder (TRADE 3.2).
fn worked(fill: &mut Fill, cylinders: usize, bottom: &BottomEnd) -> Value {
    let chamber = fill.need("chamber.volume");
    let crown = fill.need("chamber.piston_crown");
    let thickness = gasket_thickness(fill);
    let opening = fill.need("chamber.gasket.bore");
    let land = fill.stated_value("bottom_end.top_land_diameter");
    let land_height = fill.stated_value("bottom_end.top_land_height");
    let clearance = |i: usize| Clearance {
        chamber: chamber.of(i),
        gasket_bore: opening.of(i),
        gasket_thickness: thickness.of(i),
        bore: bottom.bore.of(i),
        deck: bottom.deck.of(i),
        piston: -crown.of(i),
        land: match (&land, &land_height) {
            (Some(diameter), Some(height)) => Some((diameter.of(i), height.of(i))),
            _ => None,
        },
    };
    let volumes: Vec<f64> = (0..cylinders).map(|i| clearance(i).volume()).collect();
    let impossible = volumes.iter().position(|v| *v <= 0.02 * bottom.swept.si);
    if let Some(cylinder) = impossible.filter(|_| bottom.swept.si > 0.0) {
        let what = format!(
            "no room is left above the piston of cylinder {}: {:.1} cc",
            cylinder + 1,
            volumes[cylinder] * 1e6
        );
        let fault = Finding::new(what).about("chamber.volume");
        let remedy =
            "Check chamber, crown (dome plus, dish minus), deck (below the block plus) and gasket.";
        let place = fill.place("chamber.volume");
        fill.fault(fault.remedy(remedy), place.as_ref());
        return Value::worked_out(10.0, 0.0, Quantity::Ratio, "impossible");
    }
    let ratio = |i: usize| compression::ratio(bottom.swept.of(i), volumes[i]);
    let each: Vec<f64> = (0..cylinders).map(ratio).collect();
    let mean = each.iter().sum::<f64>() / cylinders.max(1) as f64;
    let area = FRAC_PI_4 * bottom.bore.si.powi(2);
    let parts = [
        chamber.plus_minus,
        crown.plus_minus,
        area * bottom.deck.plus_minus,
        FRAC_PI_4 * opening.si.powi(2) * thickness.plus_minus,
    ];
    let volume_pm = parts.iter().map(|p| p * p).sum::<f64>().sqrt();
    let plus_minus = (mean - 1.0) * volume_pm / volumes[0].max(1e-9);
    let how = match land {
        Some(_) => "chamber, gasket, deck, crown and top-land crevice",
        None => "chamber, gasket, deck and crown; top-land crevice left out",
    };
    let value = Value { each, ..Value::worked_out(mean, plus_minus, Quantity::Ratio, how) };
    Value { text: format!("{mean:.2}"), ..value }
}

fn contradiction(fill: &mut Fill, worked: &Value, stated: &Value) {
    let what = format!(
        "a compression ratio of {} is stated, the volumes give {:.2}",
        stated.text, worked.si
    );
    let doubt = Finding::new(what).mark("which is right?");
    let remedy = "The volumes are used. Take the ratio out, or correct a volume.";
    fill.doubt("chamber.compression_ratio", doubt.remedy(remedy));
    if let Some(item) = fill.items.get_mut("chamber.compression_ratio") {
        let value = Value {
            others: vec![(stated.origin, stated.text.clone())],
            origin: Origin::WorkedOut,
            ..worked.clone()
        };
        item.leaf = Leaf::Value(value);
        item.origin = Origin::WorkedOut;
    }
}

/// The valve train; hydraulic when said, or when a preload is given.
pub(crate) fn valve_train(fill: &mut Fill) -> ValveTrain {
    let kind = match fill.word("valve_train.kind").as_str() {
        "finger" => TrainKind::Finger,
        "rocker" => TrainKind::Rocker,
        "pushrod and rocker" => TrainKind::Pushrod,
        _ => TrainKind::Bucket,
    };
    let hydraulic = match fill.stated("valve_train.lifter").map(|i| i.text.clone()) {
        Some(word) => word == "hydraulic",
        None => fill.stated("valve_train.preload").is_some(),
    };
    ValveTrain { kind, hydraulic, roller: fill.word("valve_train.follower") == "roller" }
}
