//! Predictions as JSON.

use super::{Answer, One};
use crate::asking::Subject;
use crate::difference::tells;
use crate::figures::FIGURES;
use crate::json::{COVERAGE, clean, quantity};
use crate::manner::Manner;
use serde_json::{Value as Json, json};
use shortblock_curve::{DifferencePoint, Quantity as Column};
use shortblock_plan::{
    Best, BuildDifference, Conditions, Figure, GoalCheck, LimitCheck, Prediction, Whose,
};
use shortblock_units::{Origin, Quantity};

const KIND: Origin = Origin::Predicted;

/// One object; arrays have one unit each. Builds that are laid over the first stand in `others`, each
/// as it would stand alone with its difference to the first in `less_first`.
pub fn json(answer: &Answer, manner: &Manner) -> Json {
    let asked = answer.question.ask.conditions.as_ref();
    let mut objects = answer.each().map(|one| build(&one, asked, manner));
    let mut object = objects.next().unwrap_or_default();
    let others = objects.zip(&answer.others).map(|(mut object, laid)| {
        object["less_first"] = less_first(&laid.difference, manner);
        object
    });
    let others: Vec<Json> = others.collect();
    if !others.is_empty() {
        object["others"] = json!(others);
    }
    object["seconds"] = json!(clean(answer.took.as_secs_f64()));
    object
}

/// A build with its prediction.
fn build(one: &One, asked: Option<&Conditions>, manner: &Manner) -> Json {
    let One { subject, prediction, .. } = one;
    let identity = &subject.opened.build.identity;
    let speed = |si: f64| quantity(si, None, Quantity::EngineSpeed, KIND, manner);
    let tried: Vec<Json> = subject
        .tried
        .iter()
        .map(|(path, old, new)| json!({ "path": path, "from": old, "to": new }))
        .collect();
    let held = &prediction.holding;
    json!({
        "format": "shortblock/predict/1",
        "file": subject.opened.name,
        "engine": identity.number, "build": identity.build, "name": identity.name,
        "tried": tried,
        "air": air(subject, asked, manner),
        "speed": array(prediction.curve.speed(), None, Quantity::EngineSpeed, manner),
        "torque": curve(prediction, Column::Torque, manner),
        "power": curve(prediction, Column::Power, manner),
        "figures": figures(prediction, manner),
        "holding": { "share_of_best_torque": 0.95, "from": speed(held.low), "to": speed(held.high),
            "open_below": held.open_below, "open_above": held.open_above },
        "averages": prediction.averages.as_ref().map(|mean| json!({
            "from": speed(mean.low), "to": speed(mean.high),
            "torque": figure(&mean.torque, Quantity::Torque, manner),
            "power": figure(&mean.power, Quantity::Power, manner),
        })),
        "goals": prediction.goals.iter().map(|g| goal(g, manner)).collect::<Vec<Json>>(),
        "limits": prediction.limits.iter().map(|l| limit(l, manner)).collect::<Vec<Json>>(),
        "assumed": prediction.assumed,
        "two_mesh_error": prediction.two_mesh.iter().map(|x| clean(*x)).collect::<Vec<f64>>(),
        "not_worked_out": prediction.failures.iter().map(|failure| json!({
            "speed": speed(failure.speed), "reason": failure.reason.to_string(),
        })).collect::<Vec<Json>>(),
        "remarks": prediction.remarks,
        "record": record(prediction),
    })
}

/// The air asked for, else the build's own.
fn air(subject: &Subject, asked: Option<&Conditions>, manner: &Manner) -> Json {
    let state = &subject.opened.build.state;
    let value = |asked: Option<f64>, own: &shortblock_engine::Value| {
        let (si, pm, kind) = match asked {
            Some(si) => (si, None, Origin::Given),
            None => (own.si, Some(own.plus_minus), own.origin),
        };
        quantity(si, pm, own.quantity, kind, manner)
    };
    json!({
        "temperature": value(asked.map(|air| air.temperature), &state.air_temperature),
        "pressure": value(asked.map(|air| air.pressure), &state.air_pressure),
        "humidity": value(asked.map(|air| air.humidity), &state.humidity),
    })
}

fn array(values: &[f64], pm: Option<&[f64]>, quantity: Quantity, manner: &Manner) -> Json {
    let unit = manner.unit(quantity);
    let pm: Option<Vec<f64>> =
        pm.map(|all| all.iter().map(|si| clean(unit.span_from_si(*si))).collect());
    let values: Vec<f64> = values.iter().map(|si| clean(unit.from_si(*si))).collect();
    json!({ "unit": unit.symbol, "values": values, "coverage": pm.as_ref().map(|_| COVERAGE),
        "plus_minus": pm, "kind": KIND.key() })
}

fn curve(prediction: &Prediction, column: Column, manner: &Manner) -> Json {
    let (of, best) = match column {
        Column::Torque => (Quantity::Torque, &prediction.best_torque),
        Column::Power => (Quantity::Power, &prediction.best_power),
    };
    let curve = &prediction.curve;
    let mut object = array(curve.column(column), curve.plus_minus(column), of, manner);
    object["peak"] = peak(best, of, manner);
    object
}

/// Torque and power over speed alone, for many predictions in one object.
pub fn curves(prediction: &Prediction, manner: &Manner) -> Json {
    json!({
        "speed": array(prediction.curve.speed(), None, Quantity::EngineSpeed, manner),
        "torque": curve(prediction, Column::Torque, manner),
        "power": curve(prediction, Column::Power, manner),
        "average_torque": prediction.averages.as_ref()
            .map(|mean| figure(&mean.torque, Quantity::Torque, manner)),
    })
}

/// A best value and its place.
fn peak(best: &Best, of: Quantity, manner: &Manner) -> Json {
    let mut object = figure(&best.figure, of, manner);
    let rpm = manner.unit(Quantity::EngineSpeed);
    object["at_rpm"] = json!(clean(rpm.from_si(best.speed)));
    object["at_rpm_plus_minus"] = json!(best.speed_plus_minus.map(|pm| clean(rpm.from_si(pm))));
    object["at_end"] = json!(best.at_end);
    object
}

/// A predicted figure.
pub fn figure(figure: &Figure, of: Quantity, manner: &Manner) -> Json {
    quantity(figure.value, figure.plus_minus, of, KIND, manner)
}

/// A build less the first: over speed, at the best of each, on average.
pub fn less_first(difference: &BuildDifference, manner: &Manner) -> Json {
    let points = difference.curve.points();
    let speed: Vec<f64> = points.iter().map(|point| point.speed).collect();
    let over = |of: Quantity, each: &dyn Fn(&DifferencePoint) -> (f64, Option<f64>)| {
        let (values, pm): (Vec<f64>, Vec<Option<f64>>) = points.iter().map(each).unzip();
        let pm: Option<Vec<f64>> = pm.into_iter().collect();
        array(&values, pm.as_deref(), of, manner)
    };
    let told = |one: &Figure, of: Quantity| {
        let mut object = figure(one, of, manner);
        object["tells"] = json!(tells(one));
        object
    };
    json!({
        "speed": array(&speed, None, Quantity::EngineSpeed, manner),
        "torque": over(Quantity::Torque, &|p| (p.torque, p.torque_plus_minus)),
        "power": over(Quantity::Power, &|p| (p.power, p.power_plus_minus)),
        "best_torque": told(&difference.best_torque, Quantity::Torque),
        "best_power": told(&difference.best_power, Quantity::Power),
        "average_torque": difference.average_torque.map(|f| told(&f, Quantity::Torque)),
        "average_power": difference.average_power.map(|f| told(&f, Quantity::Power)),
        "chance_of_more_power_on_average": difference.chance_of_gain.map(clean),
    })
}

fn figures(prediction: &Prediction, manner: &Manner) -> Json {
    let arrays = FIGURES.iter().map(|figure| {
        let unit = manner.unit(figure.quantity);
        let of = |point| (figure.of)(point).map(|si| clean(unit.from_si(si)));
        let values: Vec<Option<f64>> = prediction.points.iter().map(of).collect();
        let object = json!({ "unit": unit.symbol, "values": values, "plus_minus": null,
            "kind": KIND.key() });
        (figure.key.to_owned(), object)
    });
    Json::Object(arrays.collect())
}

fn goal(check: &GoalCheck, manner: &Manner) -> Json {
    let (of, word) = match check.quantity {
        Column::Torque => (Quantity::Torque, "torque"),
        Column::Power => (Quantity::Power, "power"),
    };
    json!({
        "of": word,
        "wanted": quantity(check.wanted, None, of, Origin::Given, manner),
        "reached": figure(&check.reached, of, manner),
        "at": quantity(check.speed, None, Quantity::EngineSpeed, KIND, manner),
        "chance": check.chance.map(clean),
    })
}

fn limit(check: &LimitCheck, manner: &Manner) -> Json {
    let (kind, source) = match &check.whose {
        Whose::File => (Origin::Given, None),
        Whose::Shipped(source) => (Origin::Assumed, Some(source)),
    };
    let bound = |si: Option<f64>| si.map(|si| quantity(si, None, check.quantity, kind, manner));
    json!({
        "name": check.name, "verdict": check.verdict.word(),
        "value": quantity(check.value, None, check.quantity, KIND, manner),
        "at_least": bound(check.limit.0), "at_most": bound(check.limit.1),
        "at": check.speed.map(|si| quantity(si, None, Quantity::EngineSpeed, KIND, manner)),
        "reason": check.reason, "source": source,
    })
}

fn record(prediction: &Prediction) -> Json {
    let record = &prediction.record;
    json!({
        "version": record.version, "level": record.level, "precision_bits": record.precision,
        "fingerprint": record.fingerprint, "seed": record.seed, "cells": record.cells,
        "cell_length_fresh_m": record.cold_cells, "cell_length_exhaust_m": record.hot_cells,
    })
}
