//! What power, torque and speed prove of each other, and whether the file was corrected already.

use super::columns::Working;
use super::finding::{Confidence, Doubt, Standing};
use super::power::{Proof, proof};
use super::scale::Scale;
use crate::channel::Channel;
use crate::log::Log;
use shortblock_units::Unit;

/// Words in a log's remarks which say that somebody corrected it; common practice, no source.
const CORRECTED_WORDS: &[&str] =
    &["corrected", "korrigiert", "corrig", "correction", "j1349", "j607", "1585", "70020"];
/// Words which say that nobody did.
const AS_READ_WORDS: &[&str] = &[
    "not corrected",
    "uncorrected",
    "no correction",
    "as read",
    "nicht korrigiert",
    "unkorrigiert",
    "non corrig",
    "non corrett",
];

/// What the power column showed.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub(crate) struct Worked {
    /// Power over torque times speed, where that is a factor other than one.
    pub factor: Option<f64>,
    /// True when observed torque and power belong together.
    pub together: bool,
}

const PAIRS: [(Channel, Channel); 5] = [
    (Channel::Torque, Channel::Power),
    (Channel::CorrectedTorque, Channel::CorrectedPower),
    (Channel::WheelTorque, Channel::WheelPower),
    (Channel::Torque, Channel::CorrectedPower),
    (Channel::CorrectedTorque, Channel::Power),
];

/// Tries every pair of torque and power against speed (rpm), settles their units.
pub(crate) fn power(
    all: &mut [Working],
    speed: usize,
    rpm: &[f64],
    doubts: &mut Vec<Doubt>,
) -> Worked {
    let mut worked = Worked::default();
    for (torque, power) in PAIRS {
        let place = |all: &[Working], channel| {
            all.iter().position(|f| f.channel == Some(channel) && f.group == all[speed].group)
        };
        let (Some(t), Some(p)) = (place(all, torque), place(all, power)) else { continue };
        let written = (unit_of(&all[t]), unit_of(&all[p]));
        match proof(rpm, all[t].values(), all[p].values(), written) {
            Some(Proof::Units { torque: with_torque, power: with_power }) => {
                prove(all, t, with_torque, doubts);
                prove(all, p, with_power, doubts);
                all[speed].confidence = Confidence::Proved;
                worked.together |= (torque, power) == PAIRS[0];
            }
            Some(Proof::Factor(factor)) => {
                let reason = format!("power is torque times speed times {factor:.4} on every row");
                all[t].because(reason.clone());
                all[p].because(reason);
                all[speed].confidence = Confidence::Proved;
                worked.factor = worked.factor.or(Some(factor));
            }
            Some(Proof::Ratio(_)) => {}
            None => doubts.extend(exchanged(&all[t], &all[p], rpm)),
        }
    }
    worked
}

/// Torque and power that belong together only the other way round.
fn exchanged(torque: &Working, power: &Working, rpm: &[f64]) -> Option<Doubt> {
    let Proof::Units { torque: t, power: p } =
        proof(rpm, power.values(), torque.values(), (None, None))?
    else {
        return None;
    };
    let (a, b) = (torque.heading(), power.heading());
    Some(Doubt {
        heading: a.to_owned(),
        question: format!(
            "\"{a}\" and \"{b}\" are exchanged: power = torque x speed on every row where \"{b}\" is the \
             torque and \"{a}\" the power. If so:  --column \"{a}=power, {}\" --column \"{b}=torque, {}\"",
            p.symbol, t.symbol
        ),
    })
}

fn unit_of(found: &Working) -> Option<&'static Unit> {
    match found.scale {
        Some(Scale::Unit(unit)) if found.unit_given => Some(unit),
        _ => None,
    }
}

fn prove(all: &mut [Working], i: usize, unit: &'static Unit, doubts: &mut Vec<Doubt>) {
    let found = &mut all[i];
    let reason = format!("power = torque x speed on every row when it is in {}", unit.symbol);
    if let Some(before) = unit_of(found).filter(|before| before.symbol != unit.symbol) {
        doubts.push(Doubt {
            heading: found.heading().to_owned(),
            question: format!(
                "\"{}\" stands beside it, but power = torque x speed holds only in {}; it is read \
                 in {} until somebody says otherwise",
                before.symbol, unit.symbol, unit.symbol
            ),
        });
        if found.said {
            return;
        }
    }
    found.scale = Some(Scale::Unit(unit));
    found.confidence = Confidence::Proved;
    found.because(reason);
}

/// Whether the log's torque is as read. A corrected column beside an observed one is no doubt; a
/// lone torque in a log that speaks of a correction is.
pub(crate) fn standing(
    all: &[Working],
    worked: Worked,
    log: &Log,
    doubts: &mut Vec<Doubt>,
) -> Standing {
    let has = |channel| all.iter().find(|f| f.channel == Some(channel));
    let observed = has(Channel::Torque).or(has(Channel::Power));
    let corrected = has(Channel::CorrectedTorque).or(has(Channel::CorrectedPower));
    let factor = has(Channel::CorrectionFactor).and_then(|f| {
        let middle = f.middle(|_| true)?;
        Some(f.scale.map_or(middle, |s| s.to_si(middle)))
    });
    match (observed, corrected) {
        (None, Some(_)) => Standing::Corrected(factor),
        (Some(_), Some(_)) => Standing::Observed,
        (Some(_), None) if worked.factor.is_some() => Standing::Observed,
        (Some(_), None) if factor.is_none() && speaks(log, AS_READ_WORDS) => Standing::Observed,
        (Some(found), None) if factor.is_some() || speaks(log, CORRECTED_WORDS) => {
            doubts.push(Doubt {
                heading: found.heading().to_owned(),
                question:
                    "the log speaks of a correction, but not which columns it was put on: is \
                           this torque as read, or corrected? It is taken as read until somebody \
                           says otherwise"
                        .to_owned(),
            });
            Standing::NotSaid
        }
        _ => Standing::NotSaid,
    }
}

fn speaks(log: &Log, words: &[&str]) -> bool {
    log.remarks.iter().any(|remark| {
        let remark = remark.to_lowercase();
        words.iter().any(|word| remark.contains(word))
    })
}
