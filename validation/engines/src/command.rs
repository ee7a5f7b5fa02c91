//! Runs `shortblock predict FILE --json` and reads what it says.

use crate::case::{Case, Phase, RPM};
use crate::figures::{Best, Figures, envelope};
use serde_json::Value;
use shortblock_curve::Quantity as Column;
use shortblock_units::{Quantity, Unit, units_of};
use std::path::PathBuf;
use std::process::Command;

/// A margin this close above the one kept means that knock, not torque, set the spark, rad.
const AT_THE_LIMIT: f64 = 0.3 * std::f64::consts::PI / 180.0;

/// What the command says of a case.
#[derive(Default)]
pub struct Said {
    /// The points that could be worked out, by rising speed.
    pub points: Vec<Figures>,
    /// ± of best torque and best power, of the phase of the cams that has the best.
    pub best: Vec<Best>,
    /// Speeds that could not be, with the reason.
    pub missing: Vec<String>,
    /// What it remarks on the numbers.
    pub remarks: Vec<String>,
}

/// The curve of a case by the public command; with variable cams the best phase at each speed.
pub fn predict(case: &Case, coarse: bool) -> Result<Said, String> {
    let phases = case.phased.iter().map(|(phase, _)| one(case, phase, coarse));
    let phases: Vec<Said> = phases.collect::<Result<_, _>>()?;
    let mut said = Said::default();
    let mut curves = Vec::new();
    for phase in phases {
        curves.push(phase.points);
        for best in phase.best {
            match said.best.iter_mut().find(|own| own.quantity == best.quantity) {
                Some(own) if own.value < best.value => *own = best,
                Some(_) => {}
                None => said.best.push(best),
            }
        }
        said.missing.extend(phase.missing);
        said.remarks.extend(phase.remarks);
    }
    said.points = envelope(curves);
    Ok(said)
}

/// Exit code of a curve with speeds missing.
const NOT_IN_WHOLE: i32 = 5;

/// The program beside this one, or the one that `SHORTBLOCK` names.
fn program() -> Result<PathBuf, String> {
    if let Some(path) = std::env::var_os("SHORTBLOCK") {
        return Ok(path.into());
    }
    let own = std::env::current_exe().map_err(|e| e.to_string())?;
    Ok(own.with_file_name(format!("shortblock{}", std::env::consts::EXE_SUFFIX)))
}

fn one(case: &Case, phase: &Phase, coarse: bool) -> Result<Said, String> {
    let program = program()?;
    let speeds: Vec<String> = case.speeds.iter().map(|s| format!("{:.4}", s / RPM)).collect();
    let mut command = Command::new(&program);
    command.arg("predict").arg(&case.path).args(["--json", "--quiet"]);
    command.args(["--speeds", &speeds.join(",")]);
    for (path, value) in phase {
        command.args(["--set", &format!("{path}={value}")]);
    }
    if coarse {
        command.arg("--coarse");
    }
    let out = command.output().map_err(|e| format!("{}: {e}", program.display()))?;
    let in_part = out.status.code() == Some(NOT_IN_WHOLE) && !out.stdout.is_empty();
    if !out.status.success() && !in_part {
        let told = String::from_utf8_lossy(&out.stderr);
        return Err(format!("exit code {:?}: {}", out.status.code(), told.trim()));
    }
    let json: Value = serde_json::from_slice(&out.stdout).map_err(|e| format!("JSON: {e}"))?;
    let texts = |list: &Value, of: fn(&Value) -> String| -> Vec<String> {
        list.as_array().into_iter().flatten().map(of).collect()
    };
    Ok(Said {
        points: read(&json, case.build.spark.knock_margin.si)?,
        best: bests(&json)?,
        missing: texts(&json["not_worked_out"], |gone| {
            let reason = gone["reason"].as_str().unwrap_or("no reason");
            reason.split('\n').next().unwrap_or(reason).to_owned()
        }),
        remarks: texts(&json["remarks"], |text| text.as_str().unwrap_or("").to_owned()),
    })
}

/// The points of `shortblock/predict/1`.
fn read(json: &Value, kept_margin: f64) -> Result<Vec<Figures>, String> {
    let speed = column(&json["speed"], Quantity::EngineSpeed)?;
    let torque = column(&json["torque"], Quantity::Torque)?;
    let plus_minus = span(&json["torque"], Quantity::Torque)?;
    let figure = |key: &str, quantity: Quantity| {
        column(&json["figures"][key], quantity).map_err(|e| format!("{key}: {e}"))
    };
    let imep = figure("imep", Quantity::PressureDifference)?;
    let pmep = figure("pmep", Quantity::PressureDifference)?;
    let fmep = figure("fmep", Quantity::PressureDifference)?;
    let ve = figure("volumetric_efficiency", Quantity::Fraction)?;
    let bsfc = figure("bsfc", Quantity::FuelConsumption)?;
    let heat_share = figure("heat_to_walls", Quantity::Fraction)?;
    let residual = figure("residual", Quantity::Fraction)?;
    let spark = figure("spark_advance", Quantity::Angle)?;
    let burn_0_10 = figure("burn_0_10", Quantity::Angle)?;
    let burn_10_90 = figure("burn_10_90", Quantity::Angle)?;
    let burn_50 = figure("burned_50", Quantity::Angle)?;
    let peak_pressure = figure("peak_pressure", Quantity::AbsolutePressure)?;
    let peak_at = figure("peak_pressure_at", Quantity::Angle)?;
    let exhaust = figure("exhaust_temperature", Quantity::Temperature)?;
    let margin = figure("knock_margin", Quantity::Angle)?;
    let point = |i: usize| Figures {
        speed: speed[i],
        torque: torque[i],
        plus_minus: plus_minus.as_ref().map(|all| all[i]),
        imep: imep[i],
        pmep: pmep[i],
        fmep: fmep[i],
        ve: ve[i],
        bsfc: bsfc[i],
        heat_share: heat_share[i],
        residual: residual[i],
        spark: spark[i].to_degrees(),
        burn_0_10: burn_0_10[i].to_degrees(),
        burn_10_90: burn_10_90[i].to_degrees(),
        burn_50: burn_50[i].to_degrees(),
        peak_pressure: peak_pressure[i],
        peak_pressure_angle: peak_at[i].to_degrees(),
        exhaust_temperature: exhaust[i],
        knock_limited: margin[i] < kept_margin + AT_THE_LIMIT,
    };
    Ok((0..speed.len()).map(point).collect())
}

/// The ± of both peaks; none of a coarse curve.
fn bests(json: &Value) -> Result<Vec<Best>, String> {
    let mut all = Vec::new();
    let both =
        [("torque", Quantity::Torque, Column::Torque), ("power", Quantity::Power, Column::Power)];
    for (key, of, quantity) in both {
        let peak = &json[key]["peak"];
        let unit = unit(peak, of)?;
        let number = |key: &str| peak[key].as_f64();
        let (value, place) = (number("value"), number("at_rpm_plus_minus"));
        if let (Some(value), Some(pm), Some(place)) = (value, number("plus_minus"), place) {
            let value = unit.to_si(value);
            let share = unit.span_to_si(pm) / value;
            all.push(Best { quantity, value, share, place: place * RPM });
        }
    }
    Ok(all)
}

/// The values of an array with a unit, SI; NaN where there is none.
fn column(array: &Value, quantity: Quantity) -> Result<Vec<f64>, String> {
    let unit = unit(array, quantity)?;
    let values = array["values"].as_array().ok_or("no values")?;
    Ok(values.iter().map(|v| v.as_f64().map_or(f64::NAN, |v| unit.to_si(v))).collect())
}

/// The ± of an array, SI.
fn span(array: &Value, quantity: Quantity) -> Result<Option<Vec<f64>>, String> {
    let unit = unit(array, quantity)?;
    let values = array["plus_minus"].as_array();
    Ok(values.map(|all| {
        all.iter().map(|v| v.as_f64().map_or(f64::NAN, |v| unit.span_to_si(v))).collect()
    }))
}

fn unit(array: &Value, quantity: Quantity) -> Result<&'static Unit, String> {
    let symbol = array["unit"].as_str().ok_or("no unit")?;
    let known = units_of(quantity).iter().find(|unit| unit.symbol == symbol);
    known.ok_or_else(|| format!("\"{symbol}\" is no unit here"))
}
