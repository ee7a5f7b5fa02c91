//! What is compared: the pulls, who is A and who is B, the scatter, what was decided beforehand.

use super::scatter;
use crate::args::{Compare, DayArgs, Logs};
use crate::failure::Failure;
use crate::logs::{Day, DayPull, Logged, is_session, open_day};
use crate::verbs::plan_test::{order, share};
use shortblock_compare::{DynoKind, HistoryKey, Margin, Order, Plan, PullSet, Scatter, SetAside};
use shortblock_session::{NotCorrected, Ran, pull_set};
use std::f64::consts::PI;
use std::path::Path;
use std::rc::Rc;

const RPM: f64 = PI / 30.0;
/// End of the range where none was asked for, rpm: no engine turns faster.
pub const ANY_RPM: f64 = 1.0e5;
/// Smallest difference that matters when nobody said (ours).
const USUAL_WORTH: f64 = 0.005;
/// A and B of logs without a session file.
const LETTERS: [&str; 2] = ["A", "B"];

/// The question, with everything it rests on.
pub struct Asked {
    /// The days, read once for every question about them.
    pub days: Rc<Vec<Day>>,
    /// Pulls of A and B: day, place in the day, build.
    pub chosen: Vec<(usize, usize, String)>,
    /// On a roller, of each of them: power at the wheels over engine speed, as read, N·m.
    at_wheels: Vec<Option<Vec<f64>>>,
    /// What was decided beforehand.
    pub plan: Plan,
    /// The scatter.
    pub scatter: Scatter,
    /// Keys of the dyno's history, one for each mode in the order they were run, where a session
    /// file names the dyno.
    pub keys: Vec<HistoryKey>,
    /// Pulls that are no sweep or step test of A or B, in words.
    pub left_out: Vec<String>,
    /// What it means that other parts were tried against A too.
    pub among_several: Option<String>,
}

impl Asked {
    /// The pulls as the comparison wants them.
    pub fn pull_set(&self) -> PullSet {
        pull_set(&self.all_ran())
    }

    pub fn all_ran(&self) -> Vec<Ran<'_>> {
        let all = self.chosen.iter().zip(&self.at_wheels);
        all.filter_map(|(one, at)| self.ran(one, at.as_deref())).collect()
    }

    fn ran<'a>(
        &'a self,
        (day, place, build): &'a (usize, usize, String),
        at_wheels: Option<&'a [f64]>,
    ) -> Option<Ran<'a>> {
        let of_day = &self.days[*day];
        let pull = &of_day.pulls[*place];
        let session = of_day.session.as_ref();
        let blocks = session.map(|s| s.blocks());
        let since = session.map(|s| s.pulls_since_stop());
        // Without a session file every change between A and B is a refit.
        let counted = || {
            let before = self.chosen.iter().take_while(|c| (c.0, c.1) != (*day, *place));
            let mut block = 0;
            let mut last: Option<&str> = None;
            for (_, _, name) in before.chain([&(*day, *place, build.clone())]) {
                block += u32::from(last.is_some_and(|l| l != name));
                last = Some(name);
            }
            block
        };
        let at = |list: &Option<Vec<u32>>| list.as_ref()?.get(pull.said?).copied();
        let dyno = session.and_then(|s| s.dyno.as_ref()).map_or("", |dyno| dyno.name.as_str());
        Some(Ran {
            label: &pull.label,
            build,
            recording: &of_day.log(pull)?.recognition.recording,
            pull: of_day.pull(pull)?,
            at_wheels,
            air: pull.air.as_ref().ok(),
            dyno,
            session: *day as u32,
            block: at(&blocks).unwrap_or_else(counted),
            order: pull.said.unwrap_or(*place) as u32,
            since_stop: at(&since).unwrap_or(*place as u32),
            // Speed of the roller tells what accelerates it, whatever the rate.
            inertia_included: at_wheels.is_some()
                || session.is_some_and(|s| s.inertia_included == Some(true)),
            set_aside: set_aside(of_day, pull),
        })
    }
}

/// Whether and when the session file leaves a pull out.
pub fn set_aside(day: &Day, pull: &DayPull) -> Option<SetAside> {
    day.said(pull)?.set_aside.as_ref().map(|out| out.when)
}

/// Reads the days and settles who is compared with whom.
pub fn asked(args: &Compare, shop: Option<&Path>) -> Result<Asked, Failure> {
    asked_of(Rc::new(days(&args.day, shop)?), args, shop)
}

/// The same of days that are read already.
pub fn asked_of(days: Rc<Vec<Day>>, args: &Compare, shop: Option<&Path>) -> Result<Asked, Failure> {
    let planned = args.order.as_deref().map(order).transpose()?;
    let named = named(&days, planned.as_ref())?;
    let (a, b) = builds(args, &days, &named)?;
    let of_two = named.into_iter().filter(|(_, _, build)| *build == a || *build == b);
    let (chosen, left_out) = usable(&days, of_two.collect());
    one_gear(&days, &chosen)?;
    let at_wheels: Vec<Option<Vec<f64>>> = chosen.iter().map(|c| at_wheels(&days, c)).collect();
    let session = days.iter().find_map(|day| day.session.as_ref());
    let margin = match &args.worth {
        Some(text) => margin(share(text, "--worth")?)?,
        None => match session.and_then(|s| s.worth_having) {
            Some(margin) => margin,
            None => margin(USUAL_WORTH)?,
        },
    };
    let kept =
        chosen.iter().filter(|(d, p, _)| set_aside(&days[*d], &days[*d].pulls[*p]).is_none());
    let count = kept.count();
    let plan = session.and_then(|s| s.plan.as_ref()).or(planned.as_ref());
    let (from_rpm, to_rpm) = range(args, &days)?;
    let plan = Plan {
        a,
        b,
        from_rpm,
        to_rpm,
        planned_pulls: plan.map_or(count, |order| order.pulls().len()),
        extended: args.extended,
        margin,
    };
    let keys = scatter::keys(&days, &chosen, &at_wheels);
    let scatter = scatter::of(args, &days, &keys, shop)?;
    Ok(Asked { days, chosen, at_wheels, plan, scatter, keys, left_out, among_several: None })
}

/// One day for each session folder; loose logs together make one more.
fn days(args: &DayArgs, shop: Option<&Path>) -> Result<Vec<Day>, Failure> {
    let (sessions, loose): (Vec<&String>, Vec<&String>) =
        args.logs.logs.iter().partition(|path| is_session(path));
    let one = |logs: Vec<String>| {
        let column = args.logs.column.clone();
        let (standard, air) = (args.standard.clone(), args.air.clone());
        open_day(&DayArgs { logs: Logs { logs, column }, standard, air }, shop)
    };
    let mut out: Vec<Day> =
        sessions.iter().map(|path| one(vec![(*path).clone()])).collect::<Result<_, _>>()?;
    tell_apart(&mut out, &sessions);
    if !loose.is_empty() {
        out.push(one(loose.into_iter().cloned().collect())?);
    }
    no_log_twice(&out)?;
    Ok(out)
}

/// Puts the name of its day, or the folder as typed, before a pull that is called like one of another
/// day.
fn tell_apart(days: &mut [Day], typed: &[&String]) {
    let names: Vec<Option<&str>> =
        days.iter().map(|day| day.session.as_ref()?.name.as_deref()).collect();
    let of_their_own =
        names.iter().enumerate().all(|(i, n)| n.is_some() && !names[..i].contains(n));
    let folder =
        |path: &str| path.trim_end_matches("session.toml").trim_end_matches('/').to_owned();
    let before: Vec<String> = names
        .iter()
        .zip(typed)
        .map(|(name, path)| match name {
            Some(name) if of_their_own => (*name).to_owned(),
            _ => folder(path),
        })
        .collect();
    let all: Vec<Vec<String>> =
        days.iter().map(|d| d.pulls.iter().map(|p| p.label.clone()).collect()).collect();
    for (i, day) in days.iter_mut().enumerate() {
        for pull in &mut day.pulls {
            if all.iter().enumerate().any(|(j, of)| j != i && of.contains(&pull.label)) {
                pull.label = format!("{} {}", before[i], pull.label);
            }
        }
    }
}

/// The same data in two days would count twice.
fn no_log_twice(days: &[Day]) -> Result<(), Failure> {
    let mut seen: Vec<(&str, &str)> = Vec::new();
    for day in days {
        for file in &day.files {
            let Logged::Read(opened) = file else { continue };
            let (hash, name) = (opened.log.hash.as_str(), opened.name.as_str());
            if let Some((_, other)) = seen.iter().find(|(known, _)| *known == hash) {
                return Err(Failure::NotUnderstood(format!(
                    "{name} and {other} of another folder hold the same data\nhint: it would count \
                     twice; name each day once"
                )));
            }
            seen.push((hash, name));
        }
    }
    Ok(())
}

/// Every pull with the build it was made with: as the session file says, else as `--order` does.
fn named(days: &[Day], order: Option<&Order>) -> Result<Vec<(usize, usize, String)>, Failure> {
    let all =
        days.iter().enumerate().flat_map(|(d, day)| (0..day.pulls.len()).map(move |p| (d, p)));
    let Some(order) = order else {
        return Ok(all.map(|(d, p)| (d, p, days[d].pulls[p].build.clone())).collect());
    };
    let kept: Vec<(usize, usize)> =
        all.filter(|(d, p)| set_aside(&days[*d], &days[*d].pulls[*p]).is_none()).collect();
    if kept.len() != order.pulls().len() {
        return Err(Failure::NotUnderstood(format!(
            "--order {order} has {} pulls, and there are {}\nhint: one letter for each pull, in \
             their order; shortblock pulls lists them",
            order.pulls().len(),
            kept.len()
        )));
    }
    let letter = |b: &bool| LETTERS[usize::from(*b)].to_owned();
    Ok(kept.into_iter().zip(order.pulls()).map(|((d, p), b)| (d, p, letter(b))).collect())
}

/// A and B: as asked, else the first build and the only other one.
fn builds(
    args: &Compare,
    days: &[Day],
    named: &[(usize, usize, String)],
) -> Result<(String, String), Failure> {
    let mut all: Vec<String> = Vec::new();
    for (d, p, build) in named {
        let kept = set_aside(&days[*d], &days[*d].pulls[*p]).is_none();
        if kept && !build.is_empty() && !all.contains(build) {
            all.push(build.clone());
        }
    }
    let known = |build: &String| {
        if all.contains(build) {
            return Ok(build.clone());
        }
        Err(Failure::NotFound(format!(
            "there is no pull of {build}\nhint: there is {}",
            if all.is_empty() { "none of a named build".to_owned() } else { all.join(", ") }
        )))
    };
    let a = args.a.as_ref().map(known).transpose()?;
    let b = args.b.as_ref().map(known).transpose()?;
    let others: Vec<&String> =
        all.iter().filter(|x| Some(*x) != a.as_ref() && Some(*x) != b.as_ref()).collect();
    let nothing = |what: String| {
        Failure::NotUnderstood(format!(
            "{what}\nhint: name them with --a and --b, or say which pull is which with --order \
             ABBA; session.toml gives every pull its build"
        ))
    };
    match (a, b, others.as_slice()) {
        (Some(a), Some(b), _) => Ok((a, b)),
        (Some(a), None, [b]) => Ok((a, (*b).clone())),
        (None, Some(b), [a]) => Ok(((*a).clone(), b)),
        (None, None, [a, b]) => Ok(((*a).clone(), (*b).clone())),
        (None, None, []) => Err(nothing("nobody said which build a pull was made with".to_owned())),
        (None, None, [one]) => Err(nothing(format!("all pulls are of {one}"))),
        _ => Err(nothing(format!("which two of {}?", all.join(", ")))),
    }
}

/// Pulls with a curve, and in words those without.
fn usable(
    days: &[Day],
    named: Vec<(usize, usize, String)>,
) -> (Vec<(usize, usize, String)>, Vec<String>) {
    let (good, bad): (Vec<_>, Vec<_>) =
        named.into_iter().partition(|(d, p, _)| days[*d].pull(&days[*d].pulls[*p]).is_some());
    let word = |(d, p, _): &(usize, usize, String)| {
        format!("{}: no curve could be made of its log", days[*d].pulls[*p].label)
    };
    let mut out: Vec<String> = bad.iter().map(word).collect();
    // Torque as the file corrected it stands beside its like only.
    let filed =
        |(d, p, _): &(usize, usize, String)| days[*d].pulls[*p].air == Err(NotCorrected::ByTheFile);
    if good.iter().all(filed) {
        return (good, out);
    }
    let (filed, good): (Vec<_>, Vec<_>) = good.into_iter().partition(filed);
    out.extend(filed.iter().map(|(d, p, _)| {
        let label = &days[*d].pulls[*p].label;
        format!("{label}: corrected by its file, by a factor not stated; the others are not")
    }));
    (good, out)
}

/// Power at the wheels over engine speed, as read, at the points of a pull, N·m; `None` on an engine
/// dyno.
fn at_wheels(days: &[Day], (day, place, _): &(usize, usize, String)) -> Option<Vec<f64>> {
    let wheel = days[*day].wheel(&days[*day].pulls[*place])?;
    Some(wheel.speeds.iter().zip(&wheel.power).map(|(w, power)| power.0 / w).collect())
}

/// A lower gear takes more for the inertia of engine and driveline: only one gear is compared.
fn one_gear(days: &[Day], chosen: &[(usize, usize, String)]) -> Result<(), Failure> {
    let mut known: Option<(&str, &str)> = None;
    for (day, place, _) in chosen {
        let pull = &days[*day].pulls[*place];
        let Some(said) = days[*day].said(pull).filter(|_| days[*day].roller.is_some()) else {
            continue;
        };
        let Some(gear) = said.settings.iter().find(|s| s.name == "gear") else { continue };
        match known {
            Some((other, label)) if other != gear.text => {
                return Err(Failure::NotUnderstood(format!(
                    "{label} was run in gear {other} and {} in gear {}\nhint: a lower gear takes \
                     more for the inertia of engine and driveline; run both builds in one gear, or \
                     set the pulls of the other gear aside in session.toml",
                    pull.label, gear.text
                )));
            }
            Some(_) => {}
            None => known = Some((&gear.text, &pull.label)),
        }
    }
    Ok(())
}

fn margin(share: f64) -> Result<Margin, Failure> {
    Margin::per_cent(100.0 * share).map_err(|error| Failure::NotUnderstood(error.to_string()))
}

/// Range in rpm: as asked, as declared, else everything.
fn range(args: &Compare, days: &[Day]) -> Result<(f64, f64), Failure> {
    if let Some(text) = &args.range {
        let ends = text.split_once(':').and_then(|(from, to)| {
            let number = |t: &str| t.trim().trim_end_matches("rpm").trim().parse::<f64>().ok();
            Some((number(from)?, number(to)?))
        });
        return ends.filter(|(from, to)| from < to && *from >= 0.0).ok_or_else(|| {
            Failure::NotUnderstood(format!(
                "--range {text}: no range of speeds\nhint: from the lower to the higher, in rpm: \
                 --range 4500:8000"
            ))
        });
    }
    let declared = days.iter().find_map(|day| day.session.as_ref()?.range);
    Ok(declared.map_or((0.0, ANY_RPM), |(from, to)| (from / RPM, to / RPM)))
}

/// Kind of dyno for words.
pub fn is_roller(asked: &Asked) -> bool {
    let kind = |day: &Day| day.session.as_ref()?.dyno.as_ref().map(|dyno| dyno.kind);
    asked.days.iter().any(|day| kind(day) == Some(DynoKind::Roller))
}
