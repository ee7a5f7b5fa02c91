//! What is known, or assumed, of everything that moves a pull besides the change under test.

use crate::moderate::LEAST_DOF;
use crate::tried::Mode;

/// Width of the speed bands that scatter is kept in, rpm.
pub(crate) const BAND_RPM: f64 = 250.0;

/// Kind of change between A and B.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Change {
    /// Spark, fuel, jet, phase: nothing unbolted.
    Setting,
    /// A part on the outside.
    BoltOn,
    /// The engine was opened.
    Opened,
    /// The car was strapped down again.
    StrappedAgain,
}

/// Kind of dynamometer.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum DynoKind {
    /// Engine dynamometer.
    Engine,
    /// Roller.
    Roller,
}

/// Where a figure of scatter comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Origin {
    /// Assumed; no source.
    Assumed,
    /// The dyno's own history over so many sessions.
    History {
        /// Sessions it rests on.
        sessions: usize,
    },
}

/// A variance over engine speed, in bands of 250 rpm; the ends go on outwards.
#[derive(Debug, Clone, PartialEq)]
pub struct Profile {
    from_rpm: f64,
    variances: Vec<f64>,
}

impl Profile {
    /// One variance (fractions squared) at every speed.
    pub fn flat(variance: f64) -> Self {
        Self { from_rpm: 0.0, variances: vec![variance] }
    }

    /// Variances of bands of 250 rpm from `from_rpm` on; `None` when empty or not usable numbers.
    pub fn bands(from_rpm: f64, variances: Vec<f64>) -> Option<Self> {
        let usable = from_rpm.is_finite()
            && !variances.is_empty()
            && variances.iter().all(|v| v.is_finite() && *v >= 0.0);
        usable.then_some(Self { from_rpm, variances })
    }

    /// Lower end of the first band, rpm; 0 for one that holds at every speed.
    pub fn from_rpm(&self) -> f64 {
        self.from_rpm
    }

    /// Variance of each band, fractions squared.
    pub fn variances(&self) -> &[f64] {
        &self.variances
    }

    /// Variance at a speed, rpm.
    pub fn at(&self, speed_rpm: f64) -> f64 {
        let band = ((speed_rpm - self.from_rpm) / BAND_RPM).floor().max(0.0) as usize;
        self.variances[band.min(self.variances.len() - 1)]
    }
}

/// A variance with its degrees of freedom and where it comes from.
#[derive(Debug, Clone, PartialEq)]
pub struct Known {
    /// Variance over speed.
    pub variance: Profile,
    /// Degrees of freedom.
    pub dof: f64,
    /// Assumed or from history.
    pub origin: Origin,
}

impl Known {
    /// An assumed standard deviation in per cent, worth four degrees of freedom.
    pub fn assumed_per_cent(sd: f64) -> Self {
        let variance = Profile::flat((sd / 100.0).powi(2));
        Self { variance, dof: LEAST_DOF, origin: Origin::Assumed }
    }
}

/// Everything that moves a pull. A kept comparison holds the scatter it was worked out with.
#[derive(Debug, Clone, PartialEq)]
pub struct Scatter {
    /// Kind of change that `refit` stands for.
    pub change: Change,
    /// Sweep to sweep, nothing touched.
    pub pull: Known,
    /// The same of runs held at steps of speed.
    pub steady: Known,
    /// Taking the parts off and putting them on again.
    pub refit: Known,
    /// Another session.
    pub session: Known,
    /// Drift, per pull.
    pub slope: Known,
    /// Warm-up, at the first pull after a stop.
    pub warm_up: Known,
    /// Another dynamometer.
    pub dyno: Known,
    /// Error of the weather correction, per unit of the factor's logarithm.
    pub correction: Known,
    /// Oil temperature, per kelvin.
    pub oil: Known,
    /// Smoothness of the noise, resolution elements per 1000 rpm, where history knows it.
    pub resels_per_1000_rpm: Option<f64>,
}

impl Scatter {
    /// Scatter of the pulls of a mode.
    pub fn pulls(&self, mode: Mode) -> &Known {
        match mode {
            Mode::Sweep => &self.pull,
            Mode::Steady => &self.steady,
        }
    }

    /// The shipped defaults: assumed, no source, four degrees of freedom each.
    pub fn assumed(dyno: DynoKind, change: Change) -> Self {
        let (pull, session) = match dyno {
            DynoKind::Engine => (0.5, 0.5),
            DynoKind::Roller => (0.8, 1.0),
        };
        let refit = match change {
            Change::Setting => 0.1,
            Change::BoltOn => 0.3,
            Change::Opened => 0.6,
            Change::StrappedAgain => 0.5,
        };
        Self {
            change,
            pull: Known::assumed_per_cent(pull),
            steady: Known::assumed_per_cent(pull),
            refit: Known::assumed_per_cent(refit),
            session: Known::assumed_per_cent(session),
            slope: Known::assumed_per_cent(0.1),
            warm_up: Known::assumed_per_cent(0.3),
            dyno: Known::assumed_per_cent(2.0),
            correction: Known::assumed_per_cent(15.0),
            oil: Known::assumed_per_cent(0.03),
            resels_per_1000_rpm: None,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn bands_go_on_beyond_their_ends() {
        let profile = Profile::bands(3000.0, vec![1.0, 2.0]).unwrap();
        assert_eq!([0.0, 3249.0, 3250.0, 9000.0].map(|n| profile.at(n)), [1.0, 1.0, 2.0, 2.0]);
        assert!(Profile::bands(0.0, vec![f64::NAN]).is_none());
    }
}
