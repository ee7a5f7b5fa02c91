//! Words of the scatter that a comparison keeps.

use super::session::CHANGE_WORDS;
use super::{Field, Kind};

/// The top of the file.
pub const KEPT: &[Field] = &[
    Field::new("change", Kind::Choice(CHANGE_WORDS), "Kind of change that refit stands for.")
        .needed(),
    Field::new("pull", Kind::Table(KNOWN), "Sweep to sweep, nothing touched.").needed(),
    Field::new("steady", Kind::Table(KNOWN), "The same of runs held at steps of speed.").needed(),
    Field::new("refit", Kind::Table(KNOWN), "Taking parts off and putting them on.").needed(),
    Field::new("session", Kind::Table(KNOWN), "Another session.").needed(),
    Field::new("drift", Kind::Table(KNOWN), "Drift, per pull.").needed(),
    Field::new("warm-up", Kind::Table(KNOWN), "At the first pull after a stop.").needed(),
    Field::new("dyno", Kind::Table(KNOWN), "Another dyno.").needed(),
    Field::new("correction", Kind::Table(KNOWN), "Error of the weather correction.").needed(),
    Field::new("oil", Kind::Table(KNOWN), "Oil temperature, per kelvin.").needed(),
    Field::new("resels_per_1000_rpm", Kind::Number, "Resolution elements of the noise."),
];

const KNOWN: &[Field] = &[
    Field::new("sessions", Kind::Count, "Sessions it rests on; left out where it is assumed."),
    Field::new("dof", Kind::Number, "Degrees of freedom.").needed(),
    Field::new("from_rpm", Kind::Number, "Lower end of the first band of 250 rpm.").needed(),
    Field::new("variances", Kind::Numbers, "One for each band, fractions squared.").needed(),
];
