//! What the days lack for a comparison: air for a factor, inertia for unequal rates.

use super::question::{Asked, set_aside};
use crate::logs::{Day, DayPull};
use crate::text::first_of_each;
use shortblock_compare::SetAside;
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
