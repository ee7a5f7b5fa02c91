//! Torque as read where the log holds it in another shape: corrected by a factor that it states, or
//! as power.

use super::finding::Standing;
use crate::channel::Channel;
use crate::recording::{Recorded, Recording};

/// Adds torque as read, worked out from corrected torque or power and the file's own factor, or from
/// power and speed; nothing where torque as read is there, or a factor is missing.
pub(crate) fn complete(recording: &mut Recording, standing: Standing) {
    if recording.get(Channel::Torque).is_some() {
        return;
    }
    let taken_back = match standing {
        Standing::Corrected(Some(_)) => recording
            .get(Channel::CorrectionFactor)
            .map(<[f64]>::to_vec)
            .and_then(|factor| taken_back(recording, &factor)),
        Standing::Corrected(None) => None,
        Standing::Observed | Standing::NotSaid => of_power(recording, Channel::Power),
    };
    recording.channels.extend(taken_back);
}

/// Adds torque as read from corrected torque or power and a factor that the log does not hold but
/// somebody knows; nothing where torque as read is there.
pub(crate) fn complete_by(recording: &mut Recording, factor: f64) {
    if recording.get(Channel::Torque).is_some() {
        return;
    }
    let taken_back = taken_back(recording, &vec![factor; recording.rows()]);
    recording.channels.extend(taken_back);
}

/// Corrected torque over the factor of its row.
fn taken_back(recording: &Recording, factor: &[f64]) -> Option<Recorded> {
    let corrected = match recording.get(Channel::CorrectedTorque) {
        Some(torque) => torque.to_vec(),
        None => of_power(recording, Channel::CorrectedPower)?.values,
    };
    let values = corrected.iter().zip(factor).map(|(t, f)| if *f > 0.0 { t / f } else { f64::NAN });
    Some(Recorded {
        channel: Channel::Torque,
        heading: "corrected torque over its factor".to_owned(),
        values: values.collect(),
    })
}

/// Power over speed; not a number where the engine stands.
fn of_power(recording: &Recording, power: Channel) -> Option<Recorded> {
    let (power, speed) = (recording.get(power)?, recording.get(Channel::EngineSpeed)?);
    let one = |(p, w): (&f64, &f64)| if *w > 1.0 { p / w } else { f64::NAN };
    Some(Recorded {
        channel: Channel::Torque,
        heading: "power over speed".to_owned(),
        values: power.iter().zip(speed).map(one).collect(),
    })
}
