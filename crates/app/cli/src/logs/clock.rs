//! When logs began by their own clocks, beside what the session file says, and their order.

use super::{Logged, Opened};
use shortblock_session::{Session, time_of_day};

/// Clocks further apart than this contradict each other, s: people write times to the minute, and a
/// log begins before its pull (ours).
const APART: f64 = 300.0;
/// Differences this close are the same clock that is wrong, s.
const ALIKE: f64 = 120.0;

/// When a log began.
#[derive(Debug, Clone, PartialEq)]
struct Began {
    /// `2026-05-14`.
    date: String,
    /// s since midnight, in the time of the place; `None` where the log says a date alone, or a time
    /// of no known place.
    seconds: Option<f64>,
}

fn began(log: &Opened) -> Option<Began> {
    let started = log.log.started.as_deref()?;
    let Some((date, clock)) = started.split_once('T') else {
        return Some(Began { date: started.to_owned(), seconds: None });
    };
    // Universal time says nothing of the clock on the wall.
    let seconds = if clock.ends_with('Z') { None } else { seconds(clock) };
    Some(Began { date: date.to_owned(), seconds })
}

/// s since midnight of `10:22:05.250+01:00`.
fn seconds(clock: &str) -> Option<f64> {
    let bare = clock.split(['+', '-']).next()?;
    let mut parts = bare.split(':').map(|part| part.parse::<f64>().ok());
    let (hours, minutes, seconds) = (parts.next()??, parts.next()??, parts.next()??);
    Some(3600.0 * hours + 60.0 * minutes + seconds)
}

/// Fills in the time of every pull that the session file gives none, by the clock of its log. `log_of`
/// finds the log of a pull's file.
pub fn fill_times<'a>(session: &mut Session, log_of: impl Fn(&str) -> Option<&'a Opened>) {
    for pull in &mut session.pulls {
        // Only of the first pull of a log it is known when it began.
        if pull.time.is_none() && pull.part.is_none_or(|part| part == 1) {
            pull.time = log_of(&pull.file).and_then(began).and_then(|began| began.seconds);
        }
    }
}

/// Time of day, s since midnight, at which a log's clock stood at 0 for one of its pulls.
pub fn of_pull(log: &Opened, place: usize) -> Option<f64> {
    let first = log.pulls.get(place)?.as_ref().ok()?.stretch.part == 0;
    began(log).and_then(|began| began.seconds).filter(|_| first)
}

/// What the clocks of the logs and the session file say against each other, as questions.
pub fn against<'a>(session: &Session, log_of: impl Fn(&str) -> Option<&'a Opened>) -> Vec<String> {
    let first = session.pulls.iter().filter(|pull| pull.part.is_none_or(|part| part == 1));
    let logged: Vec<(String, Option<f64>, Began)> = first
        .filter_map(|pull| Some((pull.label(), pull.time, began(log_of(&pull.file)?)?)))
        .collect();
    let mut out = Vec::new();
    let mut apart: Vec<(f64, Vec<&str>)> = Vec::new();
    for (label, time, began) in &logged {
        let (Some(time), Some(seconds)) = (time, began.seconds) else { continue };
        let off = seconds - time;
        if off.abs() <= APART {
            continue;
        }
        match apart.iter_mut().find(|(of, _)| (of - off).abs() <= ALIKE) {
            Some((_, pulls)) => pulls.push(label),
            None => apart.push((off, vec![label])),
        }
    }
    for (off, pulls) in &apart {
        let way = if *off > 0.0 { "later" } else { "earlier" };
        out.push(format!(
            "by the clock of its log {} began {} {way} than the session file says: which clock is wrong? \
             The session file's times are used.",
            pulls.join(", "),
            span(off.abs()),
        ));
    }
    let other = logged.iter().filter(|(_, _, began)| Some(&began.date) != session.date.as_ref());
    let other: Vec<String> = match &session.date {
        Some(_) => other.map(|(label, _, began)| format!("{label} ({})", began.date)).collect(),
        None => Vec::new(),
    };
    if !other.is_empty() {
        let date = session.date.as_deref().unwrap_or_default();
        out.push(format!(
            "the session file says {date}, and by the clock of its log another day: {}",
            other.join(", ")
        ));
    }
    for pair in session.pulls.windows(2) {
        if let (Some(before), Some(after)) = (pair[0].time, pair[1].time)
            && after < before
        {
            out.push(format!(
                "{} stands after {}, and began before it, at {}: are they in the order in which they were \
                 made?",
                pair[1].label(),
                pair[0].label(),
                time_of_day(after)
            ));
        }
    }
    out
}

/// `2 h 10 min`.
fn span(seconds: f64) -> String {
    let minutes = (seconds / 60.0).round() as u64;
    match (minutes / 60, minutes % 60) {
        (0, minutes) => format!("{minutes} min"),
        (hours, 0) => format!("{hours} h"),
        (hours, minutes) => format!("{hours} h {minutes} min"),
    }
}

/// Puts logs in the order in which they began, where every one of them says when; says so where that
/// is not the order in which they came.
pub fn in_order(files: &mut [Logged]) -> Option<String> {
    let key = |file: &Logged| Some(file.read()?.log.started.clone()?).filter(|s| s.contains('T'));
    let zone = |s: &str| s.get(10..)?.find(['Z', '+', '-']).map(|at| s[10 + at..].to_owned());
    let starts: Vec<String> =
        files.iter().filter(|f| f.read().is_some()).map(key).collect::<Option<_>>()?;
    let mut zones = starts.iter().map(|s| zone(s));
    let first = zones.next()?;
    if !zones.all(|zone| zone == first) || starts.is_sorted() {
        return None;
    }
    // What was not read has no start and comes last.
    files.sort_by_key(|file| key(file).map_or((1, String::new()), |start| (0, start)));
    let names: Vec<&str> =
        files.iter().filter_map(Logged::read).map(|log| log.name.as_str()).collect();
    Some(format!(
        "The logs stand in the order in which they began by their own clocks, which is not that of their \
         names: {}.",
        names.join(", ")
    ))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_time_of_day_is_read_off_a_start() {
        assert_eq!(seconds("10:22:05.250+01:00"), Some(37_325.25));
        assert_eq!(seconds("09:20:00"), Some(33_600.0));
        assert_eq!(seconds("09:20"), None);
        assert_eq!((span(7_800.0), span(600.0), span(7_200.0)), {
            ("2 h 10 min".to_owned(), "10 min".to_owned(), "2 h".to_owned())
        });
    }
}
