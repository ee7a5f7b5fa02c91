//! A comparison for people.

use super::question::{ANY_RPM, Asked, is_roller};
use super::{per_cent, torque_of_a};
use crate::logs::Day;
use crate::manner::Manner;
use crate::names::fitting;
use crate::text::{capital, shortened};
use shortblock_compare::{
    Comparison, Mode, Origin, Plan, PullSet, Says, Stretch, Tried, sentences,
};
use shortblock_curve::{Curve, Measured};
use shortblock_sheets::{
    Axis, Series, Slot, Table, TerminalStyle, Unit, plain_number, terminal_chart,
};
use shortblock_units::Quantity;
use std::f64::consts::PI;

const RPM: f64 = PI / 30.0;
/// Widest name of a build in a table.
const BUILD: usize = 16;

/// The whole page.
pub fn page(asked: &Asked, comparison: &Comparison, manner: &Manner) -> String {
    let mut said = sentences(comparison).into_iter();
    let headline = said.next().unwrap_or_default();
    let mut out = manner.heading(&headline);
    for warning in warnings(asked, comparison) {
        out += &manner.wrapped(&format!("! {warning}"), 0);
    }
    for sentence in said {
        out += &manner.wrapped(&sentence, 0);
    }
    out.push('\n');
    out += &chart(comparison, manner);
    out += &where_table(asked, comparison, manner).text(2);
    out.push('\n');
    out += &pulls_table(asked, comparison, manner);
    out += &foot(asked, comparison, manner);
    out
}

/// The difference over speed, in per cent of torque.
fn chart(comparison: &Comparison, manner: &Manner) -> String {
    let band = &comparison.outcome.band;
    let label = format!("{} - {}", comparison.plan.b, comparison.plan.a);
    let speed = band.speeds_rpm.iter().map(|rpm| rpm * RPM).collect();
    let delta = band.delta.iter().map(|d| per_cent(*d)).collect();
    // Without a speed above zero there is nothing to draw.
    let Ok(curve) = Curve::<Measured>::from_torque(label, speed, delta) else {
        return String::new();
    };
    let style = if manner.plain { TerminalStyle::Plain } else { TerminalStyle::Braille };
    let axis = Axis::torque(Unit::new("%", 1.0));
    terminal_chart(&[Series::measured(Slot::B, curve)], &axis, style) + "\n"
}

/// Warnings that stand beside the verdict.
pub fn warnings(asked: &Asked, comparison: &Comparison) -> Vec<String> {
    let mut out = Vec::new();
    let (a, b) = comparison.outcome.pulls;
    if a.min(b) < 3 {
        out.push(format!("fewer than three pulls a side ({a} and {b})"));
    }
    if asked.days.len() > 1 {
        out.push("pulls of different sessions are compared".to_owned());
    }
    if comparison.different_dynos {
        out.push("the builds share no dyno".to_owned());
    }
    if !returned(asked, comparison) {
        let (a, b) = (&comparison.plan.a, &comparison.plan.b);
        out.push(format!("no return to {a} after {b}: drift and change can't be told apart"));
    }
    let set = asked.pull_set();
    let factors = set.pulls.iter().map(|p| p.ln_correction);
    let (low, high) =
        factors.fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), x| (l.min(x), h.max(x)));
    if high - low > 0.01 {
        out.push(format!(
            "the weather moved the factor by {:.1} % over these pulls; what the standard gets wrong \
             of it is in the ±",
            per_cent(high - low)
        ));
    }
    out.extend(asked.among_several.clone());
    out.extend(range_cut(&asked.plan, comparison.used_range_rpm, &set));
    out.extend(asked.open_questions());
    out.extend(asked.not_corrected());
    out.extend(asked.days.iter().flat_map(|day| day.clocks.iter().chain(&day.order)).cloned());
    out
}

/// What is said where the pulls don't cover the range that was asked for, and which of them cut it.
fn range_cut(plan: &Plan, used: (f64, f64), set: &PullSet) -> Option<String> {
    let step = set.speeds_rpm.get(1)? - set.speeds_rpm.first()?;
    let low = plan.from_rpm > 0.0 && used.0 >= plan.from_rpm + step;
    let high = plan.to_rpm < ANY_RPM && used.1 <= plan.to_rpm - step;
    let covers = |pull: &Tried, from: f64, to: f64| {
        let mut at = set.speeds_rpm.iter().zip(&pull.ln_torque);
        at.any(|(rpm, torque)| *rpm > from && *rpm < to && torque.is_finite())
    };
    let half = 0.5 * step;
    let cuts = |pull: &&Tried| {
        (low && !covers(pull, plan.from_rpm - half, used.0 - half))
            || (high && !covers(pull, used.1 + half, plan.to_rpm + half))
    };
    let kept: Vec<&Tried> = set.pulls.iter().filter(|p| p.set_aside.is_none()).collect();
    let short: Vec<&str> = kept.iter().copied().filter(cuts).map(|p| p.label.as_str()).collect();
    let whose = match short.len() {
        0 => String::new(),
        all if all == kept.len() => ": no pull goes further".to_owned(),
        _ => format!(": {} without torque beyond", short.join(", ")),
    };
    let to_be = if plan.to_rpm < ANY_RPM { plan.to_rpm } else { used.1 };
    let [from, to, from_used, to_used] =
        [plan.from_rpm, to_be, used.0, used.1].map(|rpm| plain_number(rpm, 0));
    (low || high).then(|| {
        format!(
            "the answer was wanted over {from} to {to} rpm, and holds for {from_used} to {to_used} \
             rpm only{whose}"
        )
    })
}

/// Whether A was run again after B.
fn returned(asked: &Asked, comparison: &Comparison) -> bool {
    let set = asked.pull_set();
    let kept = set.pulls.iter().filter(|p| p.set_aside.is_none());
    let order: Vec<bool> = kept.map(|p| p.build == comparison.plan.b).collect();
    let first_b = order.iter().position(|b| *b);
    first_b.is_some_and(|i| order[i..].contains(&false)) || order.first() == Some(&true)
}

/// Differences over stretches of one answer.
fn where_table(asked: &Asked, comparison: &Comparison, manner: &Manner) -> Table {
    let unit = manner.unit(Quantity::Power);
    let (a, b) = (&comparison.plan.a, &comparison.plan.b);
    let difference = format!("{b} - {a}, {}", manner.symbol(unit));
    let mut table = Table::new(&["where, rpm", "%", &difference, "answer"]).first_left();
    let base = torque_of_a(asked, comparison);
    for stretch in comparison.outcome.band.stretches() {
        let (delta, half, power) = means(comparison, &base, &stretch);
        table.row(vec![
            format!("{}-{}", plain_number(stretch.from_rpm, 0), plain_number(stretch.to_rpm, 0)),
            format!("{:+.1} ±{:.1}", per_cent(delta), 100.0 * half),
            format!("{:+.1} ±{:.1}", unit.from_si(power.0), unit.from_si(power.1)),
            word(&stretch),
        ]);
    }
    let o = &comparison.outcome.average;
    let half = 0.5 * (comparison.outcome.interval.high - comparison.outcome.interval.low);
    let whole = Stretch {
        from_rpm: comparison.used_range_rpm.0,
        to_rpm: comparison.used_range_rpm.1,
        says: Says::CantTell,
    };
    let (_, _, power) = means(comparison, &base, &whole);
    let mean = if o.delta == 0.0 { 0.0 } else { power.0 };
    let scale = if o.delta.abs() > 1e-9 { mean / o.delta } else { 0.0 };
    let cells = [
        "on average".to_owned(),
        format!("{:+.1} ±{:.1}", per_cent(o.delta), 100.0 * half),
        format!("{:+.1} ±{:.1}", unit.from_si(mean), unit.from_si((scale * half).abs())),
    ];
    table.row(cells.to_vec());
    table
}

/// Mean difference, half-width and both as power (W) over a stretch.
fn means(comparison: &Comparison, base: &[f64], stretch: &Stretch) -> (f64, f64, (f64, f64)) {
    let band = &comparison.outcome.band;
    let inside = |rpm: f64| rpm >= stretch.from_rpm - 1.0 && rpm <= stretch.to_rpm + 1.0;
    let rows: Vec<usize> =
        (0..band.speeds_rpm.len()).filter(|&g| inside(band.speeds_rpm[g])).collect();
    let mean = |f: &dyn Fn(usize) -> f64| {
        rows.iter().map(|g| f(*g)).sum::<f64>() / rows.len().max(1) as f64
    };
    let power = |g: usize| base[g] * band.speeds_rpm[g] * RPM;
    (
        mean(&|g| band.delta[g]),
        mean(&|g| band.half_width[g]),
        (mean(&|g| band.delta[g] * power(g)), mean(&|g| band.half_width[g] * power(g))),
    )
}

fn word(stretch: &Stretch) -> String {
    let word = match stretch.says {
        Says::More => "more",
        Says::Less => "less",
        Says::CantTell => "can't tell",
    };
    if stretch.says == Says::CantTell || stretch.counts() {
        word.to_owned()
    } else {
        format!("{word}, too short to count")
    }
}

/// Every pull in the order of time beside the mean of A: drift shows here.
fn pulls_table(asked: &Asked, comparison: &Comparison, manner: &Manner) -> String {
    let set = asked.pull_set();
    let name = |pull: &Tried| pull.label.strip_prefix("pull ").unwrap_or(&pull.label).to_owned();
    let names: Vec<String> = set.pulls.iter().map(name).collect();
    fitting(&names, manner, |names| table_of(&set, names, comparison, manner))
}

fn table_of(set: &PullSet, names: &[String], comparison: &Comparison, manner: &Manner) -> Table {
    let unit = manner.unit(Quantity::Torque);
    let mean_of = format!("mean, {}", manner.symbol(unit));
    let beside = format!("beside {}", shortened(&comparison.plan.a, BUILD));
    let mut table = Table::new(&["pull", "build", &mean_of, &beside, ""]).first_left();
    let speeds = &comparison.outcome.band.speeds_rpm;
    let used = |rpm: f64| speeds.iter().any(|n| (n - rpm).abs() < 1.0);
    // A pull that does not reach over the range has no mean to set beside the others.
    let mean = |ln: &[f64]| {
        let rows: Vec<f64> = set
            .speeds_rpm
            .iter()
            .zip(ln)
            .filter(|(n, _)| used(**n))
            .map(|(_, v)| v.exp())
            .collect();
        rows.iter().sum::<f64>() / rows.len() as f64
    };
    // Sweeps and held speeds read apart: each pull stands beside the mean of its own mode.
    let of_a = |mode: Mode| {
        let is_a = |p: &&Tried| p.build == comparison.plan.a && p.set_aside.is_none();
        let a: Vec<f64> = set
            .pulls
            .iter()
            .filter(|p| is_a(p) && p.mode == mode)
            .map(|p| mean(&p.ln_torque))
            .collect();
        a.iter().sum::<f64>() / a.len() as f64
    };
    for (pull, name) in set.pulls.iter().zip(names) {
        let mean = mean(&pull.ln_torque);
        let beside = 100.0 * (mean / of_a(pull.mode) - 1.0);
        table.row(vec![
            name.clone(),
            shortened(&pull.build, BUILD),
            if mean.is_finite() { plain_number(unit.from_si(mean), 1) } else { String::new() },
            if beside.is_finite() { format!("{beside:+.2} %") } else { String::new() },
            if pull.set_aside.is_some() { "set aside".to_owned() } else { String::new() },
        ]);
    }
    table
}

/// What torque is corrected to, as a sentence.
pub fn brought(asked: &Asked) -> String {
    let corrected = |day: &Day| format!("{}.", capital(&day.brought()));
    match asked.corrected() {
        true => asked.days.first().map(corrected).unwrap_or_default(),
        false => "As read, not corrected.".to_owned(),
    }
}

/// What the numbers are and what the ± holds.
fn foot(asked: &Asked, comparison: &Comparison, manner: &Manner) -> String {
    let place =
        if is_roller(asked) { "Torque at the wheels." } else { "Torque at the crankshaft." };
    let standard = brought(asked);
    let (from, to) = comparison.used_range_rpm;
    let (from, to) = (plain_number(from, 0), plain_number(to, 0));
    let origin = comparison.components.first().map_or(Origin::Assumed, |part| part.origin);
    let scatter = match origin {
        Origin::Assumed => {
            "the scatter is assumed, no source, where these pulls don't show it".to_owned()
        }
        Origin::History { sessions } => {
            format!("with this dyno's own scatter of {}", crate::text::counted(sessions, "session"))
        }
    };
    let text = format!(
        "{place} {standard} Speeds used: {from} to {to} rpm. ± beside another pull here, not \
         against the world; over speed it holds the whole curve at once; {scatter}."
    );
    let mut out = manner.wrapped(&text, 2);
    for line in &asked.left_out {
        out += &manner.wrapped(&format!("left out: {line}"), 2);
    }
    out
}
