//! What stands under the table of a day's pulls.

use super::left_out;
use crate::logs::{Day, Logged, Opened, not_found};
use crate::manner::Manner;
use crate::text::{capital, first_of_each};
use shortblock_pulls::check::{Check, Verdict};
use shortblock_weather::Remark;

/// Every stop and watch once, with the pulls it stands at; those of pulls set aside are left out.
pub fn looked_at(day: &Day, checks: &[Vec<Check>], manner: &Manner) -> String {
    let mut all: Vec<(&Check, Vec<String>)> = Vec::new();
    for (pull, of_pull) in day.pulls.iter().zip(checks) {
        if left_out(day, pull).is_some() {
            continue;
        }
        for check in of_pull.iter().filter(|c| c.verdict >= Verdict::Watch) {
            let same = |c: &Check| {
                (c.verdict, c.what, &c.reason) == (check.verdict, check.what, &check.reason)
            };
            let name = pull.short().to_owned();
            match all.iter_mut().find(|(c, _)| same(c)) {
                Some((_, pulls)) => pulls.push(name),
                None => all.push((check, vec![name])),
            }
        }
    }
    all.sort_by_key(|(check, _)| std::cmp::Reverse(check.verdict));
    let one = |(check, pulls): &(&Check, Vec<String>)| {
        let (word, pulls) = (check.verdict.word(), pulls.join(", "));
        manner.wrapped(&format!("{word}: {}: {} ({pulls})", check.what, check.reason), 2)
    };
    all.iter().map(one).collect()
}

/// What the numbers are, said once.
pub fn footing(day: &Day) -> String {
    let corrected = day.pulls.iter().filter(|p| p.air.is_ok()).count();
    let inertia = day.pulls.iter().filter_map(|p| day.pull(p)).any(|p| p.with_inertia.is_some());
    let mut words = match (corrected, day.pulls.len()) {
        (0, _) => "Torque and power as read, not corrected.".to_owned(),
        (n, all) if n == all => format!("{}.", capital(&day.brought())),
        (n, all) => format!("{n} of {all} {}.", day.brought()),
    };
    if corrected > 0 && !day.standard_said {
        words += " Nobody named a standard; this is the usual one for spark ignition.";
    }
    if inertia {
        words += " The torque that accelerates the rotating parts is added.";
    }
    words += &not_corrected(day);
    if let Some(remark) = boost_remarks(day) {
        words += &format!(" The engine is blown: {remark}.");
    }
    words + " Best over 300 rpm; ± not known from one pull."
}

/// Every reason why pulls have no factor, with the pulls where others have one.
fn not_corrected(day: &Day) -> String {
    let without = || day.pulls.iter().filter_map(|p| Some((p.short(), p.air.as_ref().err()?)));
    let reasons: Vec<String> = without().map(|(_, error)| error.to_string()).collect();
    let every = reasons.len() == day.pulls.len();
    let one = |reason: &str| {
        let alike = without().zip(&reasons).filter(|(_, other)| *other == reason);
        let names: Vec<&str> = alike.map(|((name, _), _)| name).collect();
        let of = if every { String::new() } else { format!("{}: ", names.join(", ")) };
        format!(" Not corrected: {of}{reason}.")
    };
    first_of_each(reasons.iter().map(String::as_str)).into_iter().map(one).collect()
}

/// What the standard has to say of a compressor, once.
fn boost_remarks(day: &Day) -> Option<Remark> {
    let remarks = day.pulls.iter().filter_map(|p| p.air.as_ref().ok()).flat_map(|air| {
        let of_boost = |remark: &&Remark| {
            matches!(
                remark,
                Remark::BlowerAsNatural | Remark::OverCorrectsBoost | Remark::FullyCompensated
            )
        };
        air.first().remarks.iter().filter(of_boost)
    });
    remarks.copied().next()
}

/// Logs, columns and pulls that have no place in the table, with why.
pub fn not_there(day: &Day, manner: &Manner) -> String {
    let mut out = String::new();
    for file in &day.files {
        let text = match file {
            Logged::Refused { name, reason } => format!("{name} not read: {reason}"),
            Logged::Twin { name, of } => format!("{name} holds the same data as {of}: left out"),
            // A log for the losses is read for its speed alone.
            Logged::Read(opened) if day.roller.is_some() && opened.pulls.is_empty() => continue,
            Logged::Read(opened) => {
                if let Some(why) = no_pull(day, opened) {
                    out += &manner.wrapped(&format!("{} has no pull: {why}", opened.name), 2);
                }
                for doubt in &opened.recognition.doubts {
                    let text = format!("? {}: {}: {}", opened.name, doubt.heading, doubt.question);
                    out += &manner.wrapped(&text, 2);
                }
                continue;
            }
        };
        out += &manner.wrapped(&text, 2);
    }
    for column in day.session.iter().flat_map(|session| &session.columns) {
        if let Some((what, there)) = not_found(column, &day.files) {
            out += &manner.wrapped(&format!("? session file: {what}. {there}"), 2);
        }
    }
    for text in &day.unnamed {
        out += &manner.wrapped(text, 2);
    }
    for text in &day.clocks {
        out += &manner.wrapped(&format!("? {text}"), 2);
    }
    if let Some(order) = &day.order {
        out += &manner.wrapped(order, 2);
    }
    for (label, why) in &day.missing {
        out += &manner.wrapped(&format!("{label} has no curve: {why}"), 2);
    }
    for doubt in day.doubts.0.iter().filter(|doubt| doubt.silenced.is_none()) {
        let text = format!("? session file: {}. {}", doubt.finding.what, doubt.finding.remedy);
        out += &manner.wrapped(&text, 2);
    }
    out
}

/// Why a loose log holds no pull; of a session's pulls that is told by their names.
fn no_pull(day: &Day, opened: &Opened) -> Option<String> {
    let told = day.session.as_ref().is_some_and(|session| !session.pulls.is_empty());
    if told || !opened.pulls.is_empty() {
        return None;
    }
    Some(match &opened.found {
        Err(error) => error.to_string(),
        Ok(_) => "no sweep or step test in it".to_owned(),
    })
}
