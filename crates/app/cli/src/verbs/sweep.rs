//! `sweep`: curves over one or two values.

use crate::Done;
use crate::args::Sweep;
use crate::asking::{self, Question};
use crate::failure::{Failure, NOT_WORKED_OUT};
use crate::json::{clean, line};
use crate::manner::{Form, Manner};
use crate::text::{csv_row, harmless};
use crate::verbs::predict::{
    cells, charts, heading, place, power_axis, torque_axis, wrapped_entry,
};
use crate::write;
use serde_json::{Value as Json, json};
use shortblock_curve::Quantity as Column;
use shortblock_plan::{PlanError, Prediction, Swept, Vary};
use shortblock_sheets::{
    Chart, Family, Series, Slot, Table, Theme, plain_number, quantity_text, svg_chart,
};
use shortblock_units::{Origin, Quantity};
use std::f64::consts::PI;
use std::path::Path;

const RPM: f64 = PI / 30.0;
/// The most values of one path.
const MOST_VALUES: usize = 200;
/// More curves than this can't be told apart in a terminal.
const MOST_DRAWN: usize = 8;
const HINT: &str = "hint: path=from:to:step, or a list: --vary exhaust.primary.length=\"700 mm:900 \
                    mm:50 mm\", --vary chamber.compression_ratio=\"10,11,12\"";

/// Predicts the build with each value and says what came of it.
pub fn run(args: &Sweep, manner: &Manner, shop: Option<&Path>) -> Result<Done, Failure> {
    let vary: Vec<Vary> = args.vary.iter().map(|text| values(text)).collect::<Result<_, _>>()?;
    if vary.len() > 2 {
        return Err(Failure::NotUnderstood(
            "more than two --vary\nhint: go through one or two values; hold others with --set"
                .into(),
        ));
    }
    if let Some(svg) = &args.svg {
        if vary.len() > 1 {
            let hint = "hint: leave one --vary out, or hold it with --set";
            return Err(Failure::NotUnderstood(format!("--svg draws one varied value\n{hint}")));
        }
        write::may_be_written(svg)?;
    }
    let question = asking::question(&args.asked, manner, shop)?;
    let found = shortblock_plan::sweep(
        &question.opened.build,
        &vary,
        &question.ask,
        &question.threads,
        &question.progress,
    );
    question.progress.clear();
    let swept = found.map_err(asking::failure)?;
    if let Some(error) = none_fits(&swept) {
        return Err(Failure::NotUnderstood(error));
    }
    if let Some(svg) = &args.svg {
        write::whole(svg, &picture(&question, &swept, manner))?;
        manner.say(&format!("wrote {}", svg.display()));
    }
    let text = match manner.form {
        Form::Text => page(&question, &swept, manner),
        Form::Json => line(&as_json(&question, &swept, manner), manner),
        Form::Csv => as_csv(&swept, manner),
    };
    let whole = |one: &Swept| one.prediction.as_ref().is_ok_and(|p| p.failures.is_empty());
    Ok(Done { text, code: if swept.iter().all(whole) { 0 } else { NOT_WORKED_OUT } })
}

/// What is the matter when not one of the values fits the build.
fn none_fits(swept: &[Swept]) -> Option<String> {
    let misfit = |one: &Swept| matches!(one.prediction, Err(PlanError::Value { .. }));
    let first = swept.first().filter(|_| swept.iter().all(misfit))?;
    first.prediction.as_ref().err().map(|error| format!("--vary {error}"))
}

/// `path=from:to:step`, or `path=a,b,c`.
fn values(text: &str) -> Result<Vary, Failure> {
    let fault = |what: &str| Failure::NotUnderstood(format!("--vary {text}: {what}\n{HINT}"));
    let (path, range) = text.split_once('=').ok_or_else(|| fault("has no ="))?;
    let parts: Vec<&str> = range.split(':').map(str::trim).collect();
    let values = match parts[..] {
        [list] => list.split(',').map(|one| one.trim().to_owned()).collect(),
        [from, to, step] => steps(from, to, step).map_err(fault)?,
        _ => return Err(fault("from:to:step is wanted")),
    };
    if values.iter().any(String::is_empty) || path.trim().is_empty() {
        return Err(fault("something is missing"));
    }
    if values.len() > MOST_VALUES {
        return Err(fault("that is more than 200 values"));
    }
    Ok(Vary { path: path.trim().to_owned(), values })
}

/// The values from `from` to `to`, each with the words behind the number as typed.
fn steps(from: &str, to: &str, step: &str) -> Result<Vec<String>, &'static str> {
    let (first, unit, places) = number(from).ok_or("the first value has no number")?;
    let (last, last_unit, _) = number(to).ok_or("the last value has no number")?;
    let (step, step_unit, step_places) = number(step).ok_or("the step has no number")?;
    let units = [unit, last_unit, step_unit];
    let said: Vec<&str> = units.into_iter().filter(|unit| !unit.is_empty()).collect();
    if said.windows(2).any(|pair| pair[0] != pair[1]) {
        return Err("write first, last and step in the same unit");
    }
    let unit = said.first().map_or(String::new(), |unit| format!(" {unit}"));
    let step = if last < first { -step.abs() } else { step.abs() };
    if step == 0.0 {
        return Err("the step is nothing");
    }
    // A hair more, so that rounding does not lose the last value.
    let count = ((last - first) / step + 1e-9).floor() + 1.0;
    if count > MOST_VALUES as f64 {
        return Err("that is more than 200 values");
    }
    let places = places.max(step_places);
    let value = |i: usize| format!("{:.places$}{unit}", first + step * i as f64);
    Ok((0..count as usize).map(value).collect())
}

/// The number at the head of a text, the rest, and how many decimals it was typed with.
fn number(text: &str) -> Option<(f64, &str, usize)> {
    let end = text.find(|c: char| !(c.is_ascii_digit() || "+-.".contains(c)));
    let (head, rest) = text.split_at(end.unwrap_or(text.len()));
    let places = head.split_once('.').map_or(0, |(_, decimals)| decimals.len());
    let value: f64 = head.parse().ok()?;
    value.is_finite().then_some((value, rest.trim(), places))
}

/// `700 mm`, or `700 mm, 10.5` for two.
fn label(one: &Swept) -> String {
    let values: Vec<String> = one.values.iter().map(|(_, value)| harmless(value)).collect();
    values.join(", ")
}

fn paths(swept: &[Swept]) -> Vec<&str> {
    let first = swept.first().map(|one| one.values.as_slice()).unwrap_or_default();
    first.iter().map(|(path, _)| path.as_str()).collect()
}

fn drawn(swept: &[Swept]) -> Vec<Series> {
    let good = swept.iter().filter_map(|one| Some((label(one), one.prediction.as_ref().ok()?)));
    good.map(|(label, p)| Series::predicted(Slot::A, p.curve.clone().relabelled(label))).collect()
}

fn page(question: &Question, swept: &[Swept], manner: &Manner) -> String {
    let mut out = heading(question, manner);
    out += &manner.wrapped(&format!("over {}", paths(swept).join(" and ")), 2);
    let series = drawn(swept);
    if series.len() <= MOST_DRAWN {
        let longest = swept.iter().filter_map(|one| one.prediction.as_ref().ok());
        let speeds = longest.map(|p| p.curve.speed().len()).max().unwrap_or(0);
        out += &charts(&series, speeds, manner);
    }
    out += &format!("\n{}", table(swept, manner));
    out += &manner.wrapped("torque, power: the best of each curve; mean: torque on average", 2);
    out.push('\n');
    if series.len() > MOST_DRAWN {
        out += &manner.wrapped(&format!("More than {MOST_DRAWN} curves are not drawn here."), 2);
    }
    out += &best_of(swept, manner);
    for one in swept {
        let name = label(one);
        match &one.prediction {
            Err(error) => {
                let error = error.to_string().replace('\n', "; ");
                out += &wrapped_entry("not worked out", &format!("{name}: {error}"), manner);
            }
            Ok(prediction) => {
                for failure in &prediction.failures {
                    let reason = failure.reason.to_string().replace('\n', "; ");
                    let text = format!("{name} at {}: {reason}", place(failure.speed));
                    out += &wrapped_entry("not worked out", &text, manner);
                }
            }
        }
    }
    out
}

fn table(swept: &[Swept], manner: &Manner) -> String {
    let unit = |of| manner.symbol(manner.unit(of));
    let (torque, power) = (unit(Quantity::Torque), unit(Quantity::Power));
    let mut headings = short_names(&paths(swept));
    let best = [format!("torque, {torque}"), "at rpm".to_owned(), format!("power, {power}")];
    headings.extend(best.into_iter().chain(["at rpm".to_owned(), format!("mean, {torque}")]));
    let headings: Vec<&str> = headings.iter().map(String::as_str).collect();
    let mut table = Table::new(&headings).first_left();
    for one in swept {
        let mut row: Vec<String> =
            one.values.iter().map(|(_, v)| manner.text(&harmless(v))).collect();
        if let Ok(prediction) = &one.prediction {
            let cells = figures(prediction, manner);
            row.extend(cells.into_iter().map(|cell| manner.text(&cell)));
        }
        table.row(row);
    }
    table.text(2)
}

/// The last word of each path; of two that end alike the last in which they differ.
fn short_names(paths: &[&str]) -> Vec<String> {
    let words = |path: &str| path.rsplit('.').map(str::to_owned).collect::<Vec<_>>();
    let all: Vec<Vec<String>> = paths.iter().map(|path| words(path)).collect();
    let same = |at: &usize| all.iter().all(|one| one.get(*at) == all[0].get(*at));
    let longest = all.iter().map(Vec::len).max().unwrap_or(0);
    let at = (0..longest).find(|at| !same(at)).unwrap_or(0);
    all.iter().map(|one| one.get(at).map_or(String::new(), |word| word.replace('_', " "))).collect()
}

fn figures(prediction: &Prediction, manner: &Manner) -> Vec<String> {
    let number = |figure: &shortblock_plan::Figure, of| {
        let unit = manner.unit(of);
        let pm = figure.plus_minus.map(|pm| unit.span_from_si(pm));
        let text = quantity_text(unit.from_si(figure.value), pm, "");
        text.replace("(± not known)", "").trim().to_owned()
    };
    let rpm = |speed: f64| plain_number((speed / RPM / 50.0).round() * 50.0, 0);
    let (torque, power) = (&prediction.best_torque, &prediction.best_power);
    let mean = prediction.averages.as_ref();
    vec![
        number(&torque.figure, Quantity::Torque),
        rpm(torque.speed),
        number(&power.figure, Quantity::Power),
        rpm(power.speed),
        mean.map_or(String::new(), |mean| number(&mean.torque, Quantity::Torque)),
    ]
}

/// The values that make most; the ± of a difference is smaller than that of a curve.
fn best_of(swept: &[Swept], manner: &Manner) -> String {
    let good = || swept.iter().filter_map(|one| Some((one, one.prediction.as_ref().ok()?)));
    let most = |of: fn(&Prediction) -> f64| good().max_by(|a, b| of(a.1).total_cmp(&of(b.1)));
    let mut out = String::new();
    if let Some((one, p)) = most(|p| p.best_power.figure.value) {
        let figure = cells(&p.best_power.figure, Quantity::Power, manner);
        let text = format!("{figure} with {}", label(one));
        out += &wrapped_entry("most power", &text, manner);
    }
    let mean = |p: &Prediction| p.averages.as_ref().map_or(f64::MIN, |mean| mean.torque.value);
    if let Some((one, p)) = most(mean)
        && let Some(averages) = &p.averages
    {
        let figure = cells(&averages.torque, Quantity::Torque, manner);
        let text = format!("{figure} with {}", label(one));
        out += &wrapped_entry("best average", &text, manner);
    }
    out
}

fn picture(question: &Question, swept: &[Swept], manner: &Manner) -> String {
    let name = question.opened.label();
    let varied = paths(swept).join(", ");
    let chart = Chart {
        title: format!("{name}: over {varied}"),
        axes: vec![torque_axis(manner), power_axis(manner)],
        family: Some(Family { varied, members: drawn(swept) }),
        notes: vec!["Predicted; not run on a dynamometer.".to_owned()],
        ..Chart::default()
    };
    svg_chart(&chart, Theme::Light)
}

fn as_json(question: &Question, swept: &[Swept], manner: &Manner) -> Json {
    let curves = swept.iter().map(|one| {
        let values: Vec<Json> = one
            .values
            .iter()
            .map(|(path, value)| json!({ "path": path, "value": value }))
            .collect();
        match &one.prediction {
            Err(error) => json!({ "values": values, "not_worked_out": error.to_string() }),
            Ok(prediction) => {
                let mut object = crate::verbs::predict::curves(prediction, manner);
                object["values"] = json!(values);
                object
            }
        }
    });
    let curves: Vec<Json> = curves.collect();
    json!({ "format": "shortblock/sweep/1", "file": question.opened.name, "curves": curves })
}

fn as_csv(swept: &[Swept], manner: &Manner) -> String {
    let unit = |of| manner.unit(of);
    let (torque, power) = (unit(Quantity::Torque), unit(Quantity::Power));
    let mut headings: Vec<String> = paths(swept).into_iter().map(str::to_owned).collect();
    headings.push("speed rpm".to_owned());
    for (word, unit) in [("torque", torque), ("power", power)] {
        headings.extend([format!("{word} {}", unit.symbol), format!("{word} ± {}", unit.symbol)]);
    }
    headings.push("kind".to_owned());
    let mut out = csv_row(&headings);
    for one in swept {
        let Ok(prediction) = &one.prediction else { continue };
        let curve = &prediction.curve;
        for (i, speed) in curve.speed().iter().enumerate() {
            let mut cells: Vec<String> =
                one.values.iter().map(|(_, value)| value.clone()).collect();
            cells.push(clean(speed / RPM).to_string());
            for (column, unit) in [(Column::Torque, torque), (Column::Power, power)] {
                let pm = curve.plus_minus(column).and_then(|all| all.get(i));
                cells.push(clean(unit.from_si(curve.column(column)[i])).to_string());
                let pm = pm.map(|pm| clean(unit.span_from_si(*pm)).to_string());
                cells.push(pm.unwrap_or_default());
            }
            cells.push(Origin::Predicted.key().to_owned());
            out += &csv_row(&cells);
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::{short_names, values};

    #[test]
    fn columns_are_headed_by_the_last_word_in_which_paths_differ() {
        let same = ["exhaust.primary.length", "intake.runner.length"];
        assert_eq!(short_names(&same), ["primary", "runner"]);
        assert_eq!(short_names(&["intake.cam.lift", "exhaust.cam.lift"]), ["intake", "exhaust"]);
        assert_eq!(short_names(&same[..1]), ["length"]);
    }

    fn read(text: &str) -> Vec<String> {
        values(text).unwrap().values
    }

    #[test]
    fn ranges_are_spelled_as_in_a_file() {
        assert_eq!(read("a=60 mm:70 mm:5 mm"), ["60 mm", "65 mm", "70 mm"]);
        assert_eq!(read("a=10:11:0.5"), ["10.0", "10.5", "11.0"]);
        assert_eq!(read("a=240:244:4 deg at 1.0 mm"), ["240 deg at 1.0 mm", "244 deg at 1.0 mm"]);
        assert_eq!(read("a=4 in:3 in:0.5 in"), ["4.0 in", "3.5 in", "3.0 in"]);
        assert_eq!(read("a=single plane, dual plane"), ["single plane", "dual plane"]);
    }

    #[test]
    fn what_is_no_range_is_refused_with_a_hint() {
        for text in
            ["a", "a=", "=1:2:1", "a=1:2", "a=x:2:1", "a=1:2:0", "a=1:9999:1", "a=1 mm:2 in:1 mm"]
        {
            let message = values(text).err().unwrap().to_string();
            assert!(message.contains("hint: path=from:to:step"), "{text}: {message}");
        }
    }
}
