//! `plan-test`: the order and number of pulls, and what they can see, before they are made.

use crate::Done;
use crate::args::{ChangeWord, DynoWord, PlanTest};
use crate::failure::Failure;
use crate::files::Entry;
use crate::json::{clean, line};
use crate::manner::{Form, Manner};
use crate::text::{counted, csv_row};
use serde_json::{Value as Json, json};
use shortblock_compare::{
    Advice, Change, Design, DynoKind, HistoryKey, Margin, Mode, Order, Scatter, plan_test,
};
use shortblock_session::load_dyno;
use shortblock_sheets::Table;
use shortblock_units::{Quantity, parse};
use std::path::Path;

/// Guards and people: shown where a plan of pulls begins.
const CAUTION: &str = "Before every pull: guard on coupling and shaft, exhaust led out and the \
                       carbon monoxide alarm working, fuel shut-off and extinguisher at hand, \
                       hearing protection, nobody beside the engine or in line with the shaft, and \
                       never alone. Local codes come first.";

/// Weighs the usual orders and those asked for.
pub fn run(args: &PlanTest, manner: &Manner, shop: Option<&Path>) -> Result<Done, Failure> {
    let worth = share(&args.worth, "--worth")?;
    let margin = Margin::per_cent(100.0 * worth)
        .map_err(|error| Failure::NotUnderstood(format!("--worth {}: {error}", args.worth)))?;
    let gain = args.gain.as_deref().map_or(Ok(worth), |text| share(text, "--gain"))?;
    let own: Vec<Order> = args.order.iter().map(|text| order(text)).collect::<Result<_, _>>()?;
    let (kind, scatter, from) = match &args.record {
        Some(record) => recorded(record, change(args.change), shop)?,
        None => {
            let kind = kind(args.dyno);
            (kind, Scatter::assumed(kind, change(args.change)), None)
        }
    };
    let advice = plan_test(&scatter, margin, gain, &own);
    let asked = Asked { worth, gain, args, kind, from };
    Ok(Done::well(match manner.form {
        Form::Text => page(&asked, &advice, &scatter, manner),
        Form::Json => line(&as_json(&asked, &advice), manner),
        Form::Csv => as_csv(&advice),
    }))
}

struct Asked<'a> {
    worth: f64,
    gain: f64,
    args: &'a PlanTest,
    kind: DynoKind,
    /// Whose scatter it is, where it is not all assumed.
    from: Option<String>,
}

/// Scatter of the dyno's own record: of the pulls that most sessions speak for.
fn recorded(
    record: &str,
    change: Change,
    shop: Option<&Path>,
) -> Result<(DynoKind, Scatter, Option<String>), Failure> {
    let entry = Entry::find(record, shop)?;
    let (name, path) = (entry.name().to_owned(), entry.path().to_owned());
    let loaded = load_dyno(&path, &entry.into_shop());
    let dyno = loaded.read.map_err(|faults| Failure::Faults(name, Box::new(faults)))?;
    let count = |key: &HistoryKey| dyno.seen.iter().filter(|seen| seen.key == *key).count();
    let Some(key) = dyno.seen.iter().map(|seen| &seen.key).max_by_key(|key| count(key)) else {
        return Ok((dyno.kind, Scatter::assumed(dyno.kind, change), None));
    };
    let mut scatter = dyno.history(key, None).scatter(dyno.kind, change);
    scatter.pull = scatter.pulls(key.mode).clone();
    let sessions = counted(count(key), "session");
    let how = match key.mode {
        Mode::Sweep => format!("at {} rpm/s", key.sweep_rate_rpm_s),
        Mode::Steady => "held at steps".to_owned(),
    };
    Ok((dyno.kind, scatter, Some(format!("{}, {sessions} {how}", dyno.name))))
}

/// A share of torque: "0.5 %".
///
/// # Errors
/// When it is none, or outside 0 to 20 %.
pub fn share(text: &str, option: &str) -> Result<f64, Failure> {
    let hint = "hint: a share of torque, such as \"0.5 %\"";
    let measure = parse(text, Quantity::Fraction).map_err(|e| {
        Failure::NotUnderstood(format!("{option} \"{text}\": {}\n{hint}", e.what()))
    })?;
    let usable = measure.si > 0.0 && measure.si <= 0.2;
    usable.then_some(measure.si).ok_or_else(|| {
        Failure::NotUnderstood(format!("{option} \"{text}\": from above 0 % to 20 %\n{hint}"))
    })
}

pub fn order(text: &str) -> Result<Order, Failure> {
    let fault = |what: &str| {
        let hint = "hint: the letters A and B in the order of the pulls: ABBA, A3B3A3";
        Failure::NotUnderstood(format!("--order {text}: {what}\n{hint}"))
    };
    let order = Order::parse(text).map_err(|error| fault(&error.to_string()))?;
    let both = order.pulls().contains(&true) && order.pulls().contains(&false);
    if both { Ok(order) } else { Err(fault("A and B must both be in it")) }
}

/// The shop's word for a change.
pub fn change(word: ChangeWord) -> Change {
    match word {
        ChangeWord::Setting => Change::Setting,
        ChangeWord::BoltOn => Change::BoltOn,
        ChangeWord::Opened => Change::Opened,
        ChangeWord::StrappedAgain => Change::StrappedAgain,
    }
}

/// The shop's word for a dyno.
pub fn kind(word: DynoWord) -> DynoKind {
    match word {
        DynoWord::Engine => DynoKind::Engine,
        DynoWord::Roller => DynoKind::Roller,
    }
}

fn in_words(word: ChangeWord) -> &'static str {
    match word {
        ChangeWord::Setting => "a setting",
        ChangeWord::BoltOn => "a bolt-on part",
        ChangeWord::Opened => "an opened engine",
        ChangeWord::StrappedAgain => "a car strapped down again",
    }
}

fn per_cent(share: f64) -> String {
    format!("{:.1} %", 100.0 * share)
}

/// A chance in words that promise no more than it holds.
fn chance(p: f64) -> String {
    match p {
        p if p < 0.005 => "never".to_owned(),
        p if p > 0.99 => "over 99 %".to_owned(),
        p => format!("{:.0} %", 100.0 * p),
    }
}

fn page(asked: &Asked, advice: &Advice, scatter: &Scatter, manner: &Manner) -> String {
    let roller = asked.kind == DynoKind::Roller;
    let mut out = manner.strong(&format!(
        "Plan for {} on {}, {} worth having\n",
        in_words(asked.args.change),
        if roller { "a roller" } else { "an engine dyno" },
        per_cent(asked.worth)
    ));
    let sd = |known: &shortblock_compare::Known| 100.0 * known.variance.at(4000.0).sqrt();
    let whose = asked.from.as_ref().map_or("assumed, no source".to_owned(), |from| {
        format!("of {from}, leaning on what is assumed until there are more")
    });
    out += &manner.wrapped(
        &format!(
            "Scatter {whose}: pull to pull {:.1} %, fitting again {:.1} %, drift {:.1} % a \
             pull, warm-up {:.1} %.",
            sd(&scatter.pull),
            sd(&scatter.refit),
            sd(&scatter.slope),
            sd(&scatter.warm_up)
        ),
        0,
    );
    out.push('\n');
    out += &table(asked, advice).text(2);
    out.push('\n');
    out += &manner.wrapped(
        "± holds 97 times in 100. Sees: the smallest difference that is found four times in five. \
         None shown: the chance of showing that no difference worth having is there, when there is \
         none.",
        2,
    );
    out.push('\n');
    out += &manner.wrapped(&verdict(asked, advice), 0);
    out.push('\n');
    out + &manner.wrapped(CAUTION, 0)
}

fn table(asked: &Asked, advice: &Advice) -> Table {
    let found = format!("{} found", per_cent(asked.gain));
    let mut table =
        Table::new(&["order", "pulls", "changes", "±", "sees", &found, "none shown"]).first_left();
    for design in &advice.designs {
        table.row(vec![
            design.order.to_string(),
            design.order.pulls().len().to_string(),
            design.order.changes().to_string(),
            per_cent(design.half_width.0),
            per_cent(design.sees),
            chance(design.chance_of_real),
            chance(design.chance_of_equivalence),
        ]);
    }
    table
}

fn verdict(asked: &Asked, advice: &Advice) -> String {
    let worth = per_cent(asked.worth);
    match advice.settles.and_then(|i| advice.designs.get(i)) {
        Some(design) => format!(
            "{} settles it: {} pulls find {worth} four times in five. One pull a side never does. \
             Say the order before the first pull and keep to it.",
            design.order,
            design.order.pulls().len()
        ),
        None => format!(
            "No order up to 24 pulls in one session finds {worth} four times in five. {}",
            { out_of_reach(asked.args.change, &worth) }
        ),
    }
}

fn out_of_reach(change: ChangeWord, worth: &str) -> String {
    match change {
        ChangeWord::Setting => format!(
            "Repeat one pull unchanged six times or more to learn how this dyno scatters: most \
             scatter less than is assumed here. Or ask for more than {worth}."
        ),
        _ => format!(
            "What changing over does to the engine is not made smaller by more pulls. Fit the same \
             parts again three or four times to learn how much that is, test on another day too, or \
             ask for more than {worth}."
        ),
    }
}

fn as_json(asked: &Asked, advice: &Advice) -> Json {
    let share = |x: f64| json!({ "value": clean(100.0 * x), "unit": "%" });
    let one = |design: &Design| {
        json!({
            "order": design.order.to_string(),
            "pulls": design.order.pulls().len(),
            "changes": design.order.changes(),
            "plus_minus": { "value": clean(100.0 * design.half_width.0), "unit": "%", "coverage": 0.97 },
            "sees": share(design.sees),
            "chance_of_real": clean(design.chance_of_real),
            "chance_of_equivalence": clean(design.chance_of_equivalence),
        })
    };
    json!({
        "format": "shortblock/plan-test/1",
        "worth_having": share(asked.worth),
        "gain": share(asked.gain),
        "scatter": asked.from.as_deref().unwrap_or("assumed"),
        "designs": advice.designs.iter().map(one).collect::<Vec<_>>(),
        "settles": advice.settles.and_then(|i| advice.designs.get(i)).map(|d| d.order.to_string()),
    })
}

fn as_csv(advice: &Advice) -> String {
    let headings = [
        "order",
        "pulls",
        "changes",
        "plus_minus %",
        "sees %",
        "chance_of_real",
        "chance_of_equivalence",
    ];
    let mut out = csv_row(&headings);
    for design in &advice.designs {
        out += &csv_row(&[
            design.order.to_string(),
            design.order.pulls().len().to_string(),
            design.order.changes().to_string(),
            clean(100.0 * design.half_width.0).to_string(),
            clean(100.0 * design.sees).to_string(),
            clean(design.chance_of_real).to_string(),
            clean(design.chance_of_equivalence).to_string(),
        ]);
    }
    out
}
