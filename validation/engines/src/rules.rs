//! Rules of thumb with their sources, as bands on every engine.
//!
//! A band is where the source sees engines; leaving it is told. `must` is a wide band beyond which
//! something is broken; it is own unless a source says so, and the short run fails outside it.

use crate::case::{Case, RPM};
use crate::figures::Figures;
use std::f64::consts::PI;

/// A rule of thumb.
pub struct Rule {
    /// What it is about.
    pub name: &'static str,
    /// Unit of the bands and values as printed.
    pub unit: &'static str,
    /// Band of the source.
    pub band: (f64, f64),
    /// Band that must hold, where there is one.
    pub must: Option<(f64, f64)>,
    /// Where it is from.
    pub source: &'static str,
    /// Value for an engine; `None` where the rule does not speak of it.
    value: fn(&Seen) -> Option<f64>,
}

/// What the rules look at: the engine, and its points at best torque and best power.
pub struct Seen<'a> {
    /// The engine.
    pub case: &'a Case,
    /// Point nearest to best torque.
    pub torque: &'a Figures,
    /// Point nearest to best power.
    pub power: &'a Figures,
    /// Speed of best power, rad/s; `None` when it lies at the end of the curve.
    pub power_peak: Option<f64>,
}

impl Rule {
    /// The value for an engine.
    pub fn value(&self, seen: &Seen) -> Option<f64> {
        (self.value)(seen)
    }
}

/// Whether a value lies in a band.
pub fn inside(band: (f64, f64), value: f64) -> bool {
    band.0 <= value && value <= band.1
}

/// Mean flow coefficient and speed of sound of the published Mach index.
const MACH_COEFFICIENT: f64 = 0.35;
const MACH_SOUND: f64 = 345.0;

/// Taylor's inlet Mach index from valve diameters alone.
fn mach_index(seen: &Seen) -> Option<f64> {
    let build = &seen.case.build;
    let valves = &build.intake.valves;
    if valves.diameter.is_assumed() {
        return None;
    }
    let piston = build.bottom_end.stroke.si * seen.power_peak? / PI;
    let area = (build.bottom_end.bore.si / valves.diameter.si).powi(2) / valves.count as f64;
    Some(area * piston / (MACH_COEFFICIENT * MACH_SOUND))
}

fn two_valves(seen: &Seen) -> bool {
    seen.case.build.intake.valves.count == 1
}

/// Pump-fuel pushrod eight near ten to one: what the measured engine of the source was.
fn like_the_measured_eight(seen: &Seen) -> bool {
    let build = &seen.case.build;
    build.layout.cylinders == 8 && (9.4..=11.1).contains(&build.chamber.compression_ratio.si)
}

/// Fastest engine speed the relation was made for, rad/s; f.m.
const BARNES_MOSS_UP_TO: f64 = 6000.0 * RPM;

fn barnes_moss(speed: f64) -> f64 {
    let n = speed / RPM / 1000.0;
    (0.97 + 0.15 * n + 0.05 * n * n) * 1e5
}

const G_PER_KWH: f64 = 3.6e9;
const TO_CELSIUS: f64 = -273.15;

/// All rules, in the order of the table.
pub const RULES: [Rule; 19] = [
    Rule {
        name: "BMEP at best torque",
        unit: "bar",
        band: (8.5, 10.5),
        must: Some((6.0, 14.0)),
        source: "Heywood sec. 2.7, road engines of its time (page quoting it read)",
        value: |s| Some(s.torque.bmep() / 1e5),
    },
    Rule {
        name: "BMEP at best power below that at best torque",
        unit: "%",
        band: (10.0, 15.0),
        must: None,
        source: "Heywood sec. 2.7, f.m.",
        value: |s| s.power_peak.map(|_| 100.0 * (1.0 - s.power.bmep() / s.torque.bmep())),
    },
    Rule {
        name: "inlet Mach index at best power",
        unit: "",
        band: (0.40, 0.70),
        must: Some((0.30, 0.80)),
        source: "17 published engines: 0.53, sd 0.05, 0.40 to 0.62; Taylor vol. 1 ch. 6, f.m.",
        value: mach_index,
    },
    Rule {
        name: "BMEP per volumetric efficiency at best torque",
        unit: "bar",
        band: (11.5, 13.6),
        must: Some((10.5, 14.6)),
        source: "measured pushrod V8 of 7.0 L, pump fuel (page read)",
        value: |s| like_the_measured_eight(s).then(|| s.torque.bmep() / s.torque.ve / 1e5),
    },
    Rule {
        name: "volumetric efficiency at best torque",
        unit: "%",
        band: (75.0, 105.0),
        must: Some((55.0, 130.0)),
        source: "c.p.",
        value: |s| Some(100.0 * s.torque.ve),
    },
    Rule {
        name: "mechanical efficiency at best torque",
        unit: "%",
        band: (85.0, 92.0),
        must: Some((70.0, 96.0)),
        source: "Heywood sec. 2.5, f.m.: about 90; of gross indicated work, pumping counts as friction",
        value: |s| Some(100.0 * s.torque.bmep() / s.torque.gross_imep()),
    },
    Rule {
        name: "mechanical efficiency at best power",
        unit: "%",
        band: (75.0, 90.0),
        must: Some((60.0, 95.0)),
        source: "Heywood sec. 2.5, f.m.: 75 to 85 near top speed",
        value: |s| Some(100.0 * s.power.bmep() / s.power.gross_imep()),
    },
    Rule {
        name: "friction and pumping at best torque over Barnes-Moss",
        unit: "",
        band: (0.70, 1.15),
        must: Some((0.4, 1.6)),
        source: "Heywood eq. 13.6a, f.m.: motored total of engines of before 1975; later ones lower",
        value: |s| {
            let (own, speed) = (s.torque.fmep - s.torque.pmep, s.torque.speed);
            (speed < BARNES_MOSS_UP_TO).then(|| own / barnes_moss(speed))
        },
    },
    Rule {
        name: "BSFC at best torque",
        unit: "g/kWh",
        band: (250.0, 340.0),
        must: Some((200.0, 520.0)),
        source: "Heywood, f.m.: 250-270 at best, 280-340 full load, rich",
        value: |s| Some(s.torque.bsfc * G_PER_KWH),
    },
    Rule {
        name: "heat to the cylinder walls at best torque, of the fuel's",
        unit: "%",
        band: (10.0, 20.0),
        must: Some((8.0, 26.0)),
        source: "Heywood ch. 12, f.m.: 17-26 to the coolant, port and friction heat included, so less \
                 than 26 here",
        value: |s| Some(100.0 * s.torque.heat_share),
    },
    Rule {
        name: "residual gas at best torque",
        unit: "%",
        band: (3.0, 8.0),
        must: Some((0.2, 18.0)),
        source: "Heywood fig. 6-19, f.m.: compression 8 to 11, little overlap",
        value: |s| Some(100.0 * s.torque.residual),
    },
    Rule {
        name: "best spark before dead centre at best torque where knock does not set it",
        unit: "deg",
        band: (18.0, 35.0),
        must: Some((12.0, 45.0)),
        source: "f.m., medium: 25-35 two valves, 18-25 four valves; Heywood ch. 9: the burn from spark to \
                 10 % and half of the rest less 8 to 10 after dead centre",
        value: |s| (!s.torque.knock_limited && spark_is_asked(s)).then_some(s.torque.spark),
    },
    Rule {
        name: "spark to 10 % burned at best torque",
        unit: "deg",
        band: (15.0, 25.0),
        must: Some((10.0, 35.0)),
        source: "f.m., medium; two plugs take a third less",
        value: |s| Some(s.torque.burn_0_10),
    },
    Rule {
        name: "10 to 90 % burned at best torque, two valves",
        unit: "deg",
        band: (20.0, 40.0),
        must: Some((14.0, 60.0)),
        source: "f.m., medium: 20-30, old wedge or hemispherical chambers 30-40",
        value: |s| two_valves(s).then_some(s.torque.burn_10_90),
    },
    Rule {
        name: "10 to 90 % burned at best torque, four valves",
        unit: "deg",
        band: (18.0, 30.0),
        must: Some((12.0, 45.0)),
        source: "f.m., medium: 18-22, others 20-30",
        value: |s| (!two_valves(s)).then_some(s.torque.burn_10_90),
    },
    Rule {
        name: "50 % burned at best torque where knock does not set the spark",
        unit: "deg",
        band: (6.0, 11.0),
        must: Some((2.0, 16.0)),
        source: "Heywood ch. 9, f.m.: 8 to 10 after dead centre",
        value: |s| (!s.torque.knock_limited && spark_is_asked(s)).then_some(s.torque.burn_50),
    },
    Rule {
        name: "place of peak pressure at best torque where knock does not set the spark",
        unit: "deg",
        band: (13.0, 18.0),
        must: Some((8.0, 24.0)),
        source: "Heywood ch. 9, f.m.: 15 to 16 after dead centre",
        value: |s| {
            (!s.torque.knock_limited && spark_is_asked(s)).then_some(s.torque.peak_pressure_angle)
        },
    },
    Rule {
        name: "peak pressure at best torque",
        unit: "bar",
        band: (20.0, 50.0),
        must: Some((20.0, 120.0)),
        source: "textbook figures for road engines (page read); more compression, more",
        value: |s| Some(s.torque.peak_pressure / 1e5),
    },
    Rule {
        name: "exhaust gas at best power",
        unit: "degC",
        band: (750.0, 950.0),
        must: Some((500.0, 1150.0)),
        source: "f.m., medium, at the port",
        value: |s| Some(s.power.exhaust_temperature + TO_CELSIUS),
    },
];

fn spark_is_asked(seen: &Seen) -> bool {
    matches!(seen.case.build.spark.plan, shortblock_engine::build::SparkPlan::BestTorque { .. })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn barnes_moss_at_5000_rpm() {
        // 0.97 + 0.75 + 1.25 = 2.97 bar.
        assert!((barnes_moss(5000.0 * RPM) - 2.97e5).abs() < 1.0);
    }

    #[test]
    fn what_must_hold_is_wider_than_what_is_usual() {
        for rule in &RULES {
            let (low, high) = rule.must.unwrap_or((f64::NEG_INFINITY, f64::INFINITY));
            assert!(low <= rule.band.0 && rule.band.1 <= high, "{}", rule.name);
            assert!(!rule.source.is_empty());
        }
    }
}
