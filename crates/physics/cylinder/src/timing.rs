//! Cam timing arithmetic for symmetrical lobes.
//!
//! `IVO = Di/2 - ICL`, `IVC = Di/2 + ICL - 180`, `ECL = 2 LSA - ICL`, `EVO = De/2 + ECL - 180`,
//! `EVC = De/2 - ECL`, overlap `(Di + De)/2 - 2 LSA`, advance `LSA - ICL`.
//! Source: geometry. All angles are crank radians at one checking lift; a negative angle means the
//! other side of the dead centre it is counted from.

use std::f64::consts::PI;

/// The four valve events, rad: intake opens before top centre and closes after bottom centre,
/// exhaust opens before bottom centre and closes after top centre.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Events {
    /// Intake opening before top dead centre.
    pub intake_opens: f64,
    /// Intake closing after bottom dead centre.
    pub intake_closes: f64,
    /// Exhaust opening before bottom dead centre.
    pub exhaust_opens: f64,
    /// Exhaust closing after top dead centre.
    pub exhaust_closes: f64,
}

/// The same lobes by durations and centrelines, rad.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Lobes {
    /// Intake duration.
    pub intake_duration: f64,
    /// Exhaust duration.
    pub exhaust_duration: f64,
    /// Intake centreline after top dead centre.
    pub intake_centreline: f64,
    /// Exhaust centreline before top dead centre.
    pub exhaust_centreline: f64,
}

impl Lobes {
    /// From durations, lobe separation (cam angle, rad) and intake centreline (crank rad).
    pub fn from_separation(
        intake_duration: f64,
        exhaust_duration: f64,
        lobe_separation: f64,
        intake_centreline: f64,
    ) -> Self {
        let exhaust_centreline = 2.0 * lobe_separation - intake_centreline;
        Self { intake_duration, exhaust_duration, intake_centreline, exhaust_centreline }
    }

    /// The four events.
    pub fn events(&self) -> Events {
        Events {
            intake_opens: 0.5 * self.intake_duration - self.intake_centreline,
            intake_closes: 0.5 * self.intake_duration + self.intake_centreline - PI,
            exhaust_opens: 0.5 * self.exhaust_duration + self.exhaust_centreline - PI,
            exhaust_closes: 0.5 * self.exhaust_duration - self.exhaust_centreline,
        }
    }

    /// Lobe separation, cam angle, rad.
    pub fn separation(&self) -> f64 {
        0.5 * (self.intake_centreline + self.exhaust_centreline)
    }

    /// Cam advance, crank rad: separation less intake centreline.
    pub fn advance(&self) -> f64 {
        self.separation() - self.intake_centreline
    }
}

impl Events {
    /// Durations and centrelines of symmetrical lobes with these events.
    pub fn lobes(&self) -> Lobes {
        let intake_duration = self.intake_opens + PI + self.intake_closes;
        let exhaust_duration = self.exhaust_opens + PI + self.exhaust_closes;
        Lobes {
            intake_duration,
            exhaust_duration,
            intake_centreline: 0.5 * intake_duration - self.intake_opens,
            exhaust_centreline: 0.5 * exhaust_duration - self.exhaust_closes,
        }
    }

    /// Overlap, rad; negative when no valve is open at top dead centre.
    pub fn overlap(&self) -> f64 {
        self.intake_opens + self.exhaust_closes
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn close(found: f64, degrees: f64) {
        assert!((found.to_degrees() - degrees).abs() < 1e-9, "{} {degrees}", found.to_degrees());
    }

    fn lobes(di: f64, de: f64, lsa: f64, icl: f64) -> Lobes {
        let r = f64::to_radians;
        Lobes::from_separation(r(di), r(de), r(lsa), r(icl))
    }

    /// Trade check rows, exact geometry.
    #[test]
    fn both_check_cams_have_their_events() {
        let cam = lobes(280.0, 288.0, 110.0, 106.0);
        let e = cam.events();
        close(e.intake_opens, 34.0);
        close(e.intake_closes, 66.0);
        close(e.exhaust_opens, 78.0);
        close(e.exhaust_closes, 30.0);
        close(cam.exhaust_centreline, 114.0);
        close(e.overlap(), 64.0);
        close(cam.advance(), 4.0);
        let cam = lobes(236.0, 242.0, 108.0, 104.0);
        let e = cam.events();
        close(e.intake_opens, 14.0);
        close(e.intake_closes, 42.0);
        close(e.exhaust_opens, 53.0);
        close(e.exhaust_closes, 9.0);
        close(e.overlap(), 23.0);
    }

    /// Trade check rows: a production inline six; and a cam that opens after top dead centre.
    #[test]
    fn factory_events_give_duration_and_centreline() {
        let r = f64::to_radians;
        let events = |o: f64, c: f64| Events {
            intake_opens: r(o),
            intake_closes: r(c),
            exhaust_opens: r(50.0),
            exhaust_closes: r(12.0),
        };
        let six = events(6.0, 42.0);
        close(six.lobes().intake_duration, 228.0);
        close(six.lobes().intake_centreline, 108.0);
        close(six.overlap(), 18.0);
        let late = events(-10.0, 39.0).lobes();
        close(late.intake_duration, 209.0);
        close(late.intake_centreline, 114.5);
    }

    #[test]
    fn events_and_lobes_are_each_others_inverse() {
        let cam = lobes(271.0, 279.0, 112.0, 107.0);
        let back = cam.events().lobes();
        close(back.intake_duration, 271.0);
        close(back.exhaust_centreline, cam.exhaust_centreline.to_degrees());
        close(back.separation(), 112.0);
    }
}
