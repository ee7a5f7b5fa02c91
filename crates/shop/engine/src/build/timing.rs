//! Arithmetic of valve timing for symmetrical lobes; crank degrees.
//!
//! Equations: IVO = Di/2 − ICL, IVC = Di/2 + ICL − 180, ECL = 2 LSA − ICL, EVO = De/2 + ECL − 180,
//! EVC = De/2 − ECL, overlap = IVO + EVC, advance = LSA − ICL. Source: definitions. Signs may be
//! negative: an opening after the dead centre it is counted before.

use crate::item::From;

/// The four events and what follows from them, crank degrees at one checking lift.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Events {
    /// Intake opens, before top dead centre.
    pub intake_opens_btdc: f64,
    /// Intake closes, after bottom dead centre.
    pub intake_closes_abdc: f64,
    /// Exhaust opens, before bottom dead centre.
    pub exhaust_opens_bbdc: f64,
    /// Exhaust closes, after top dead centre.
    pub exhaust_closes_atdc: f64,
}

impl Events {
    /// Events from two durations, lobe separation and intake centreline, all in degrees.
    #[must_use]
    pub fn of(intake: f64, exhaust: f64, separation: f64, intake_centreline: f64) -> Self {
        let exhaust_centreline = 2.0 * separation - intake_centreline;
        Self {
            intake_opens_btdc: intake / 2.0 - intake_centreline,
            intake_closes_abdc: intake / 2.0 + intake_centreline - 180.0,
            exhaust_opens_bbdc: exhaust / 2.0 + exhaust_centreline - 180.0,
            exhaust_closes_atdc: exhaust / 2.0 - exhaust_centreline,
        }
    }

    /// Angle during which both are open; negative when there is none.
    #[must_use]
    pub fn overlap(&self) -> f64 {
        self.intake_opens_btdc + self.exhaust_closes_atdc
    }
}

/// Duration and centreline from an opening before one dead centre and a closing after the other:
/// intake `opens` BTDC and `closes` ABDC give a centreline ATDC; exhaust closing ATDC and opening
/// BBDC give one BTDC.
#[must_use]
pub fn from_events(near_tdc: f64, near_bdc: f64) -> (f64, f64) {
    let duration = near_tdc + 180.0 + near_bdc;
    (duration, duration / 2.0 - near_tdc)
}

/// An event turned to "before top" and "after bottom" for the intake, or "after top" and "before
/// bottom" for the exhaust: the sense in which it is normally positive. Degrees.
#[must_use]
pub fn signed(angle: f64, from: From, intake: bool) -> f64 {
    let usual = match from {
        From::Btdc | From::Abdc => intake,
        From::Atdc | From::Bbdc => !intake,
    };
    if usual { angle } else { -angle }
}

/// Whether an event counts from top dead centre.
#[must_use]
pub fn is_at_top(from: From) -> bool {
    matches!(from, From::Btdc | From::Atdc)
}
