//! What a dynamometer has shown of its own scatter, session after session.

use crate::components::Source;
use crate::moderate::{LEAST_DOF, Prior, prior_of};
use crate::scatter::{BAND_RPM, Change, DynoKind, Known, Origin, Profile, Scatter};
use crate::tried::Mode;

/// Which pulls a history speaks for.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub struct HistoryKey {
    /// Dynamometer.
    pub dyno: String,
    /// Sweep or steady.
    pub mode: Mode,
    /// Sweep rate, rpm/s; 0 when steady.
    pub sweep_rate_rpm_s: u32,
    /// Lower end of the torque band, N·m.
    pub torque_from_nm: u32,
}

/// Pull scatter of one session.
#[derive(Debug, Clone, PartialEq)]
pub struct SessionScatter {
    /// Degrees of freedom.
    pub dof: f64,
    /// Lower end of the first band, rpm.
    pub from_rpm: f64,
    /// Variance (fractions squared) in each band of 250 rpm, `None` where nothing was measured.
    pub variances: Vec<Option<f64>>,
    /// Resolution elements per 1000 rpm of the noise, where four degrees of freedom allow it.
    pub resels_per_1000_rpm: Option<f64>,
}

/// An estimate of one source's variance.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Spread {
    /// The source.
    pub source: Source,
    /// Kind of change; of no meaning but for [`Source::Refit`].
    pub change: Change,
    /// Variance, fractions squared; may come out below 0.
    pub variance: f64,
    /// Degrees of freedom.
    pub dof: f64,
}

/// Scatter seen so far under one key.
#[derive(Debug, Clone, PartialEq)]
pub struct History {
    /// What it speaks for.
    pub key: HistoryKey,
    /// One entry a session.
    pub sessions: Vec<SessionScatter>,
    /// Estimates of the other sources.
    pub spreads: Vec<Spread>,
}

impl History {
    /// Nothing seen yet.
    pub fn new(key: HistoryKey) -> Self {
        Self { key, sessions: Vec::new(), spreads: Vec::new() }
    }

    /// Scatter to compare with: the assumed one, moved by what was seen.
    ///
    /// Scatter of the pulls of its mode: per band by the moments of [`prior_of`] from three sessions on; before that
    /// the sessions are averaged with the assumption at four degrees of freedom. Every other source:
    /// (4 s_assumed² + ν max(0, s²))/(4 + ν).
    pub fn scatter(&self, dyno: DynoKind, change: Change) -> Scatter {
        let mut scatter = Scatter::assumed(dyno, change);
        match self.key.mode {
            Mode::Sweep => scatter.pull = self.pull(&scatter.pull),
            Mode::Steady => scatter.steady = self.pull(&scatter.steady),
        }
        scatter.resels_per_1000_rpm = self.resels_per_1000_rpm();
        for source in [Source::Refit, Source::Session, Source::Slope, Source::WarmUp, Source::Dyno]
        {
            let known = match source {
                Source::Refit => &mut scatter.refit,
                Source::Session => &mut scatter.session,
                Source::Slope => &mut scatter.slope,
                Source::WarmUp => &mut scatter.warm_up,
                _ => &mut scatter.dyno,
            };
            self.moved(known, source, change);
        }
        scatter
    }

    /// Resolution elements per 1000 rpm, mean over the sessions that could tell.
    fn resels_per_1000_rpm(&self) -> Option<f64> {
        let seen: Vec<f64> = self.sessions.iter().filter_map(|s| s.resels_per_1000_rpm).collect();
        (!seen.is_empty()).then(|| seen.iter().sum::<f64>() / seen.len() as f64)
    }

    fn moved(&self, known: &mut Known, source: Source, change: Change) {
        let fits = |s: &&Spread| {
            s.source == source
                && (source != Source::Refit || s.change == change)
                && s.variance.is_finite()
                && s.dof > 0.0
                && s.dof.is_finite()
        };
        let seen: Vec<&Spread> = self.spreads.iter().filter(fits).collect();
        let dof: f64 = seen.iter().map(|s| s.dof).sum();
        if dof <= 0.0 {
            return;
        }
        let pooled = seen.iter().map(|s| s.dof * s.variance).sum::<f64>() / dof;
        let assumed = known.variance.at(0.0);
        let variance = (LEAST_DOF * assumed + dof * pooled.max(0.0)) / (LEAST_DOF + dof);
        let origin = Origin::History { sessions: seen.len() };
        *known = Known { variance: Profile::flat(variance), dof: LEAST_DOF + dof, origin };
    }

    fn pull(&self, assumed: &Known) -> Known {
        let from = self.sessions.iter().map(|s| s.from_rpm).fold(f64::INFINITY, f64::min);
        let end = |s: &SessionScatter| s.from_rpm + BAND_RPM * s.variances.len() as f64;
        let to = self.sessions.iter().map(end).fold(f64::NEG_INFINITY, f64::max);
        let bands = ((to - from) / BAND_RPM).ceil();
        if !(1.0..=1000.0).contains(&bands) {
            return assumed.clone();
        }
        let priors: Vec<Prior> = (0..bands as usize)
            .map(|b| self.band(from + BAND_RPM * (b as f64 + 0.5), assumed.variance.at(0.0)))
            .collect();
        let dof = priors.iter().map(|p| p.dof).sum::<f64>() / priors.len() as f64;
        let variances = priors.iter().map(|p| p.variance).collect();
        match Profile::bands(from, variances) {
            Some(variance) => {
                let origin = Origin::History { sessions: self.sessions.len() };
                Known { variance, dof, origin }
            }
            None => assumed.clone(),
        }
    }

    fn band(&self, middle_rpm: f64, assumed: f64) -> Prior {
        let of = |s: &SessionScatter| {
            let band = ((middle_rpm - s.from_rpm) / BAND_RPM).floor();
            let variance = if band < 0.0 { None } else { *s.variances.get(band as usize)? }?;
            Some((variance, s.dof)).filter(|(v, d)| v.is_finite() && *v >= 0.0 && *d > 0.0)
        };
        let seen: Vec<(f64, f64)> = self.sessions.iter().filter_map(of).collect();
        prior_of(&seen).unwrap_or_else(|| {
            let dof: f64 = seen.iter().map(|s| s.1).sum();
            let sum: f64 = seen.iter().map(|s| s.0 * s.1).sum();
            Prior { variance: (LEAST_DOF * assumed + sum) / (LEAST_DOF + dof), dof: LEAST_DOF }
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn history() -> History {
        let dyno = "cell 1".to_string();
        let mode = Mode::Sweep;
        History::new(HistoryKey { dyno, mode, sweep_rate_rpm_s: 300, torque_from_nm: 400 })
    }

    #[test]
    fn with_nothing_seen_it_is_the_assumption() {
        let assumed = Scatter::assumed(DynoKind::Engine, Change::BoltOn);
        assert_eq!(history().scatter(DynoKind::Engine, Change::BoltOn), assumed);
    }

    #[test]
    fn a_negative_refit_estimate_moves_the_assumption_but_never_to_nothing() {
        let mut h = history();
        let (source, change) = (Source::Refit, Change::BoltOn);
        h.spreads.push(Spread { source, change, variance: -1.0e-6, dof: 4.0 });
        let refit = h.scatter(DynoKind::Engine, change).refit;
        assert!((refit.variance.at(0.0) - 0.5 * 0.003_f64.powi(2)).abs() < 1e-12);
        assert_eq!(refit.dof, 8.0);
        let other = h.scatter(DynoKind::Engine, Change::Opened).refit;
        assert_eq!(other.origin, Origin::Assumed);
    }

    #[test]
    fn scatter_is_kept_band_by_band() {
        let mut h = history();
        for _ in 0..4 {
            h.sessions.push(SessionScatter {
                dof: 8.0,
                from_rpm: 3000.0,
                variances: vec![Some(1e-5), Some(4e-5)],
                resels_per_1000_rpm: Some(2.0),
            });
        }
        let pull = h.scatter(DynoKind::Engine, Change::BoltOn).pull;
        let ratio = pull.variance.at(3300.0) / pull.variance.at(3100.0);
        assert!((ratio - 4.0).abs() < 1e-9);
        assert_eq!(pull.dof, 12.0);
    }
}
