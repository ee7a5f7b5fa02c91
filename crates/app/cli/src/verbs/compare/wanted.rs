//! What the days lack for a comparison: air for a factor, inertia for unequal rates.

use super::question::{Asked, set_aside};
use crate::logs::{Day, DayPull, Opened};
use crate::text::{first_of_each, harmless};
use shortblock_compare::SetAside;
use shortblock_pulls::Channel;
use shortblock_session::all_corrected;

impl Asked {
    /// Whether what is compared is corrected torque.
    pub fn corrected(&self) -> bool {
        all_corrected(&self.all_ran())
    }

    /// Why torque is compared as read, and what to do; nothing where every pull has its factor.
    pub fn not_corrected(&self) -> Option<String> {
        let kept = self.chosen.iter().map(|(d, p, _)| (&self.days[*d], &self.days[*d].pulls[*p]));
        let kept = kept.filter(|(day, pull)| set_aside(day, pull) != Some(SetAside::BeforeSeen));
        let all: Vec<&DayPull> = kept.map(|(_, pull)| pull).collect();
        let without: Vec<(&str, String)> = all
            .iter()
            .filter_map(|pull| Some((pull.short(), pull.air.as_ref().err()?.to_string())))
            .collect();
        let why = first_of_each(without.iter().map(|(_, why)| why.as_str())).join("; ");
        let names: Vec<&str> = without.iter().map(|(name, _)| *name).collect();
        match names.len() {
            0 => None,
            none if none == all.len() => Some(format!(
                "torque is compared as read, not corrected for the weather: no pull has a factor ({why})"
            )),
            _ => Some(format!(
                "torque is compared as read, not corrected for the weather, because of pull {}: {why}. \
                 Give it its air, or set it aside: then the others are compared corrected",
                names.join(", ")
            )),
        }
    }

    /// Open questions about the columns that a comparison rests on, each with the logs it is asked of.
    pub fn open_questions(&self) -> Vec<String> {
        let mut all: Vec<(String, Vec<&str>)> = Vec::new();
        for (day, place, _) in &self.chosen {
            let of_day = &self.days[*day];
            let pull = &of_day.pulls[*place];
            let Some(log) = of_day.log(pull).filter(|_| set_aside(of_day, pull).is_none()) else {
                continue;
            };
            for doubt in log.recognition.doubts.iter().filter(|d| rests_on(log, &d.heading)) {
                let text = format!("{}: {}", doubt.heading, doubt.question);
                // The same question of other figures.
                let bare = |text: &str| text.replace(|c: char| c.is_ascii_digit() || c == '.', "");
                match all.iter_mut().find(|(known, _)| bare(known) == bare(&text)) {
                    Some((_, names)) if names.contains(&log.name.as_str()) => {}
                    Some((_, names)) => names.push(&log.name),
                    None => all.push((text, vec![&log.name])),
                }
            }
        }
        let one = |(text, names): (String, Vec<&str>)| {
            harmless(&format!("an open question of {}: {text}", names.join(", ")))
        };
        all.into_iter().map(one).collect()
    }

    /// What the days do not say and the inertia can't be taken out without.
    pub fn wanted_for_inertia(&self) -> String {
        let days = self.chosen.iter().map(|(day, ..)| &self.days[*day]);
        let wanted = first_of_each(days.flat_map(wanted_of));
        match wanted.len() {
            0 => "set the pulls of the other rate aside".to_owned(),
            _ => format!("the inertia is not known. Write {}", wanted.join(", and ")),
        }
    }
}

/// Whether torque, speed or the weather come from a column; one that is left out may be any of them.
fn rests_on(log: &Opened, heading: &str) -> bool {
    use Channel::{
        Barometer, BrakeLoad, CorrectedPower, CorrectedTorque, EngineSpeed, IntakeAirTemperature,
        Power, RelativeHumidity, RollerSpeed, Time, Torque, TractiveForce, WheelPower, WheelTorque,
    };
    let found = log.recognition.matches.iter().find(|found| found.heading == heading);
    found.and_then(|found| found.channel).is_none_or(|channel| {
        matches!(
            channel,
            Time | EngineSpeed
                | RollerSpeed
                | Torque
                | Power
                | CorrectedTorque
                | CorrectedPower
                | WheelTorque
                | WheelPower
                | BrakeLoad
                | TractiveForce
                | Barometer
                | IntakeAirTemperature
                | RelativeHumidity
        )
    })
}

/// Words of session and dyno that the torque which accelerates the rotating parts needs.
fn wanted_of(day: &Day) -> Vec<&'static str> {
    let Some(session) = &day.session else {
        return vec![
            "a session.toml beside the logs, with  dyno, engine_inertia = \"0.25 kg.m2\"  and  \
             inertia_included = false, and  inertia  in the dyno's record that it names",
        ];
    };
    let dyno = session.dyno.as_ref();
    let words = [
        (session.engine_inertia.is_none(), "engine_inertia = \"0.25 kg.m2\"  in session.toml"),
        (
            session.inertia_included.is_none(),
            "inertia_included = false  there (true where the log's torque holds it already)",
        ),
        (dyno.is_none(), "dyno = \"dyno.toml\"  there, and  inertia  in that record"),
        (
            dyno.is_some_and(|dyno| dyno.inertia.is_none()),
            "inertia = \"0.08 kg.m2\"  in the dyno's record",
        ),
    ];
    words.into_iter().filter(|(missing, _)| *missing).map(|(_, word)| word).collect()
}
