//! A sweep for people: the curves, a table of their bests, and which value makes most.

use super::{label, paths};
use crate::asking::Question;
use crate::difference::{signed, tells};
use crate::manner::Manner;
use crate::text::{COLUMNS, harmless};
use crate::verbs::predict::{cells, charts, failed, heading, wrapped_entry};
use shortblock_plan::{BuildDifference, Figure, Prediction, Sweep, Swept};
use shortblock_sheets::{Table, plain_number, quantity_text};
use shortblock_units::Quantity;
use std::f64::consts::PI;

const RPM: f64 = PI / 30.0;
/// More curves than this can't be told apart in a terminal.
const MOST_DRAWN: usize = 8;

/// The whole page.
pub fn page(question: &Question, found: &Sweep, manner: &Manner) -> String {
    let swept = &found.curves;
    let mut out = heading(question, manner);
    out += &manner.wrapped(&format!("over {}", paths(swept).join(" and ")), 2);
    let series = super::drawn(swept);
    if series.len() <= MOST_DRAWN {
        let longest = swept.iter().filter_map(|one| one.prediction.as_ref().ok());
        let speeds = longest.map(|p| p.curve.speed().len()).max().unwrap_or(0);
        out += &charts(&series, speeds, manner);
    }
    out += &format!("\n{}", table(question, found, manner));
    if series.len() > MOST_DRAWN {
        out += &manner.wrapped(&format!("More than {MOST_DRAWN} curves are not drawn here."), 2);
    }
    out + &best_of(found, manner) + &not_worked_out(found, manner)
}

/// A row for the build as it stands and one for each value; without the changes where they would run
/// over the edge.
fn table(question: &Question, found: &Sweep, manner: &Manner) -> String {
    let with = table_with(true, question, found, manner);
    let fits = with.lines().all(|line| line.chars().count() <= COLUMNS);
    let change = if fits { "; change: of best power, from the build as it stands" } else { "" };
    let text = format!(
        "in brackets: the build as it stands; torque, power: the best of each curve; mean: torque on \
         average{change}"
    );
    let table = if fits { with } else { table_with(false, question, found, manner) };
    format!("{table}{}\n", manner.wrapped(&text, 2))
}

fn table_with(changes: bool, question: &Question, found: &Sweep, manner: &Manner) -> String {
    let unit = |of| manner.symbol(manner.unit(of));
    let (torque, power) = (unit(Quantity::Torque), unit(Quantity::Power));
    let paths = paths(&found.curves);
    let mut headings = short_names(&paths);
    let best = [format!("torque, {torque}"), "at rpm".to_owned(), format!("power, {power}")];
    headings.extend(best.into_iter().chain(["at rpm".to_owned(), format!("mean, {torque}")]));
    headings.extend(changes.then(|| format!("change, {power}")));
    let headings: Vec<&str> = headings.iter().map(String::as_str).collect();
    let mut table = Table::new(&headings).first_left();
    let mut row = |values: Vec<String>, prediction: Option<&Prediction>, change: String| {
        let cells = prediction.map_or(Vec::new(), |prediction| figures(prediction, manner));
        let cells = values.into_iter().chain(cells).chain([change]);
        table.row(cells.map(|cell| manner.text(&cell)).collect());
    };
    row(as_it_stands(question, &paths), found.base.as_ref().ok(), String::new());
    for one in &found.curves {
        let values = one.values.iter().map(|(_, value)| harmless(value)).collect();
        row(values, one.prediction.as_ref().ok(), change(one.less_base.as_ref(), manner));
    }
    table.text(2)
}

/// What the build has for the values that are varied, in brackets.
fn as_it_stands(question: &Question, paths: &[&str]) -> Vec<String> {
    let build = &question.subject.opened.build;
    let text = |path: &&str| build.item(path).map(|item| harmless(&item.text));
    let texts = paths.iter().map(|path| text(path).filter(|text| !text.is_empty()));
    texts.map(|text| format!("({})", text.unwrap_or("as it is".to_owned()))).collect()
}

fn change(less_base: Option<&BuildDifference>, manner: &Manner) -> String {
    let power = less_base.map(|difference| difference.best_power);
    power.map_or(String::new(), |power| match tells(&power) {
        Some(word @ "none") => word.to_owned(),
        _ => signed(&power, manner.unit(Quantity::Power)),
    })
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
    let number = |figure: &Figure, of| {
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

/// The values that make most, each with its change from the build as it stands and what that tells.
fn best_of(found: &Sweep, manner: &Manner) -> String {
    let good = || found.curves.iter().filter_map(|one| Some((one, one.prediction.as_ref().ok()?)));
    let most = |of: fn(&Prediction) -> f64| good().max_by(|a, b| of(a.1).total_cmp(&of(b.1)));
    let mut out = String::new();
    let mut entry = |heading: &str, one: &Swept, figure: &Figure, of, change: Option<Figure>| {
        let figure = cells(figure, of, manner);
        let change = change.map_or(String::new(), |change| said(&change, of, manner));
        out += &wrapped_entry(heading, &format!("{figure} with {}{change}", label(one)), manner);
    };
    if let Some((one, p)) = most(|p| p.best_power.figure.value) {
        let change = one.less_base.as_ref().map(|less| less.best_power);
        entry("most power", one, &p.best_power.figure, Quantity::Power, change);
    }
    let mean = |p: &Prediction| p.averages.as_ref().map_or(f64::MIN, |mean| mean.torque.value);
    if let Some((one, p)) = most(mean)
        && let Some(averages) = &p.averages
    {
        let change = one.less_base.as_ref().and_then(|less| less.average_torque);
        entry("best average", one, &averages.torque, Quantity::Torque, change);
    }
    out
}

/// The change of the winner, and whether it is one.
fn said(change: &Figure, of: Quantity, manner: &Manner) -> String {
    let unit = manner.unit(of);
    let figure = format!("{} {}", signed(change, unit), manner.symbol(unit));
    match tells(change) {
        None => format!("; {figure} from the build as it stands (± not known)"),
        Some("none") => ": the build as it stands".to_owned(),
        Some("can't tell") => {
            format!(
                "; {figure} from the build as it stands: can't tell which of the two makes more"
            )
        }
        Some(word) => format!("; {figure} from the build as it stands: {word}"),
    }
}

fn not_worked_out(found: &Sweep, manner: &Manner) -> String {
    let mut out = String::new();
    let mut entry = |text: &str| out += &wrapped_entry("not worked out", text, manner);
    let base = ("the build as it stands".to_owned(), &found.base);
    let all = found.curves.iter().map(|one| (label(one), &one.prediction));
    for (name, prediction) in std::iter::once(base).chain(all) {
        match prediction {
            Err(error) => entry(&format!("{name}: {}", error.to_string().replace('\n', "; "))),
            Ok(prediction) => {
                let failures = prediction.failures.iter();
                failures.for_each(|failure| entry(&format!("{name}: {}", failed(failure))));
            }
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::short_names;

    #[test]
    fn columns_are_headed_by_the_last_word_in_which_paths_differ() {
        let same = ["exhaust.primary.length", "intake.runner.length"];
        assert_eq!(short_names(&same), ["primary", "runner"]);
        assert_eq!(short_names(&["intake.cam.lift", "exhaust.cam.lift"]), ["intake", "exhaust"]);
        assert_eq!(short_names(&same[..1]), ["length"]);
    }
}
