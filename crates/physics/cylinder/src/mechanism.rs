//! Slider-crank: cylinder volume, piston motion and wall areas over crank angle.
//!
//! Piston travel below its highest point, with `r` crank radius, `l` rod length, `e` pin offset:
//! `x = sqrt((l+r)^2 - e^2) - r cos(theta) - sqrt(l^2 - (r sin(theta) - e)^2)`.
//! Source: geometry (Heywood 1988 section 2.2 for `e = 0`, from memory).
//! `theta` is in radians after the firing dead centre, which for an offset pin is the angle at
//! which the crank pin stands highest; the highest piston position then lies a little beside it.

use crate::CylinderError;
use shortblock_lanes::Lane;
use std::f64::consts::{FRAC_PI_4, PI};

/// Bore, stroke, rod and compression of one cylinder; made by [`SliderCrank::new`], so every
/// value is known to be possible.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SliderCrank {
    bore: f64,
    stroke: f64,
    rod_length: f64,
    pin_offset: f64,
    compression_ratio: f64,
    /// `sqrt((l+r)^2 - e^2)`, m.
    top: f64,
    clearance_volume: f64,
}

/// Piston position, speed and acceleration at one crank angle.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PistonMotion {
    /// Distance below the highest position, m.
    pub position: f64,
    /// Downward speed, m/s.
    pub velocity: f64,
    /// Downward acceleration, m/s^2.
    pub acceleration: f64,
}

/// Areas that the gas wets, m^2.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct WallAreas {
    /// Head with the valve faces.
    pub head: f64,
    /// Piston crown.
    pub piston: f64,
    /// Liner uncovered by the piston.
    pub liner: f64,
}

impl SliderCrank {
    /// Checks and takes bore, stroke, rod length (centre to centre) and pin offset in m, and the
    /// geometric compression ratio.
    ///
    /// # Errors
    /// [`CylinderError::Geometry`] when a length is not positive and finite, the ratio is not
    /// above 1 (and at most 100), or the rod is too short to turn over.
    pub fn new(
        bore: f64,
        stroke: f64,
        rod_length: f64,
        pin_offset: f64,
        compression_ratio: f64,
    ) -> Result<Self, CylinderError> {
        let wrong = |what, value, need| Err(CylinderError::Geometry { what, value, need });
        let length = |x: f64| x.is_finite() && x > 0.0 && x < 10.0;
        if !length(bore) {
            return wrong("bore", bore, "a length above 0 and below 10 m");
        }
        if !length(stroke) {
            return wrong("stroke", stroke, "a length above 0 and below 10 m");
        }
        if !(compression_ratio > 1.0 && compression_ratio <= 100.0) {
            return wrong("compression ratio", compression_ratio, "above 1, at most 100");
        }
        if !pin_offset.is_finite() {
            return wrong("pin offset", pin_offset, "a length");
        }
        let r = 0.5 * stroke;
        if !length(rod_length) || rod_length <= r + pin_offset.abs() {
            return wrong("rod length", rod_length, "more than half the stroke plus the offset");
        }
        let top = ((rod_length + r).powi(2) - pin_offset.powi(2)).sqrt();
        let mut crank = Self {
            bore,
            stroke,
            rod_length,
            pin_offset,
            compression_ratio,
            top,
            clearance_volume: 0.0,
        };
        crank.clearance_volume = crank.displacement() / (compression_ratio - 1.0);
        Ok(crank)
    }

    /// Bore, m.
    pub fn bore(&self) -> f64 {
        self.bore
    }
    /// Crank stroke (twice the crank radius), m.
    pub fn stroke(&self) -> f64 {
        self.stroke
    }
    /// Rod length, m.
    pub fn rod_length(&self) -> f64 {
        self.rod_length
    }
    /// Pin offset, m; its sign is that of `e` in the module's equation.
    pub fn pin_offset(&self) -> f64 {
        self.pin_offset
    }
    /// Geometric compression ratio.
    pub fn compression_ratio(&self) -> f64 {
        self.compression_ratio
    }
    /// Piston area seen along the bore, m^2.
    pub fn bore_area(&self) -> f64 {
        FRAC_PI_4 * self.bore * self.bore
    }
    /// Distance of the piston pin from the crankshaft at its highest, m.
    pub fn highest(&self) -> f64 {
        self.top
    }
    /// True piston travel, m: the stroke, or slightly more with an offset pin.
    pub fn travel(&self) -> f64 {
        let low = (self.rod_length - 0.5 * self.stroke).powi(2) - self.pin_offset.powi(2);
        self.top - low.sqrt()
    }
    /// Swept volume of the cylinder, m^3.
    pub fn displacement(&self) -> f64 {
        self.bore_area() * self.travel()
    }
    /// Volume with the piston at its highest, m^3.
    pub fn clearance_volume(&self) -> f64 {
        self.clearance_volume
    }
    /// Mean piston speed at the crank speed (rad/s), m/s.
    pub fn mean_piston_speed(&self, speed: f64) -> f64 {
        self.stroke * speed / PI
    }
    /// Largest rod angle to the bore axis without offset, rad.
    pub fn max_rod_angle(&self) -> f64 {
        (0.5 * self.stroke / self.rod_length).asin()
    }

    /// Piston travel below its highest position at `theta`, m.
    #[inline]
    pub fn position(&self, theta: f64) -> f64 {
        let (sin, cos) = theta.sin_cos();
        self.position_at(sin, cos)
    }

    #[inline(always)]
    fn position_at(&self, sin: f64, cos: f64) -> f64 {
        self.top - pin_height(0.5 * self.stroke, self.rod_length, self.pin_offset, [sin, cos])
    }

    /// Gas volume at `theta`, m^3.
    #[inline]
    pub fn volume(&self, theta: f64) -> f64 {
        self.clearance_volume + self.bore_area() * self.position(theta)
    }

    /// Gas volume, m^3, from the sine and cosine of the crank angle, for callers that have them.
    #[inline(always)]
    pub fn volume_at(&self, sin: f64, cos: f64) -> f64 {
        self.clearance_volume + self.bore_area() * self.position_at(sin, cos)
    }

    /// Change of volume with crank angle at `theta`, m^3/rad.
    #[inline]
    pub fn volume_slope(&self, theta: f64) -> f64 {
        self.bore_area() * self.position_slope(theta)
    }

    #[inline]
    fn position_slope(&self, theta: f64) -> f64 {
        let (sin, cos) = theta.sin_cos();
        let r = 0.5 * self.stroke;
        let across = r * sin - self.pin_offset;
        r * sin + r * cos * across / (self.rod_length.powi(2) - across * across).sqrt()
    }

    /// Piston position, speed and acceleration at `theta` and constant crank speed (rad/s).
    pub fn motion(&self, theta: f64, speed: f64) -> PistonMotion {
        let (sin, cos) = theta.sin_cos();
        let r = 0.5 * self.stroke;
        let across = r * sin - self.pin_offset;
        let q = (self.rod_length.powi(2) - across * across).sqrt();
        // Second derivative of the position: of r sin + (r cos)(across)/q.
        let bend = r * cos
            + (r * r * cos * cos - r * sin * across) / q
            + (r * cos * across).powi(2) / q.powi(3);
        PistonMotion {
            position: self.position(theta),
            velocity: speed * self.position_slope(theta),
            acceleration: speed * speed * bend,
        }
    }

    /// Areas wetted by the gas at the gas volume `volume` (m^3), with a flat crown and a head
    /// `head_area_ratio` times as large as the bore area (1 for a flat head).
    #[inline]
    pub fn wall_areas(&self, volume: f64, head_area_ratio: f64) -> WallAreas {
        let bore_area = self.bore_area();
        WallAreas {
            head: head_area_ratio * bore_area,
            piston: bore_area,
            liner: (volume - self.clearance_volume).max(0.0) / bore_area * PI * self.bore,
        }
    }

    /// Effective compression ratio when the charge is closed in at `theta` (rad after firing dead
    /// centre): the volume there over the clearance volume. Depends on the lift at which the
    /// intake is called closed, so print that lift beside it.
    pub fn effective_compression_ratio(&self, theta: f64) -> f64 {
        self.volume(theta) / self.clearance_volume
    }
}

/// Returns the height of the piston pin above the crankshaft, m, from crank radius, rod length and
/// pin offset (m) and sine and cosine of the crank angle, in lanes.
#[inline(always)]
pub fn pin_height<V: Lane>(radius: V, rod_length: V, offset: V, [sin, cos]: [V; 2]) -> V {
    let across = radius * sin - offset;
    radius * cos + (rod_length * rod_length - across * across).sqrt()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Inline six of the trade check rows: 88.0 x 79.5 mm, rod 135 mm.
    fn six(offset: f64) -> SliderCrank {
        SliderCrank::new(0.088, 0.0795, 0.135, offset, 12.949_886_08).unwrap()
    }

    fn close(found: f64, wanted: f64, tolerance: f64) {
        assert!((found - wanted).abs() <= tolerance, "{found} is not {wanted}");
    }

    /// Exact geometry, computed independently (trade check rows, 1e-6 mm).
    #[test]
    fn piston_position_follows_exact_geometry() {
        for (deg, mm) in [
            (10.0, 0.7804692021),
            (30.0, 6.796525645),
            (75.0, 35.03713228),
            (90.0, 45.73473927),
            (150.0, 75.64554525),
        ] {
            close(six(0.0).position(f64::to_radians(deg)) * 1e3, mm, 1e-6);
        }
        close(six(1e-3).position(PI / 2.0) * 1e3, 45.4280083, 1e-6);
        // 1 degree at dead centre, micrometres; intake closing 62 degrees after bottom centre.
        close(six(0.0).position(f64::to_radians(1.0)) * 1e6, 7.836594825, 1e-3);
        close(six(0.0).position(f64::to_radians(118.0)) * 1e3, 63.05356858, 1e-3);
    }

    #[test]
    fn speed_and_acceleration_follow_exact_geometry() {
        let w = 7500.0 * PI / 30.0;
        let c = six(0.0);
        close(c.mean_piston_speed(w), 19.875, 1e-8);
        close(c.motion(0.0, w).acceleration, 31739.51686, 0.04);
        close(c.motion(PI, w).acceleration, -17300.08001, 0.02);
        close(c.max_rod_angle().to_degrees(), 17.12422683, 1e-4);
        let fastest = (0..18000)
            .map(|i| f64::to_radians(i as f64 * 0.01))
            .max_by(|a, b| c.motion(*a, w).velocity.total_cmp(&c.motion(*b, w).velocity))
            .unwrap();
        close(fastest.to_degrees(), 74.76, 0.02);
        close(c.motion(fastest, w).velocity, 32.55324393, 3e-3);
    }

    #[test]
    fn effective_compression_matches_both_check_rows() {
        let ivc = f64::to_radians(-180.0 + 62.0);
        close(six(0.0).effective_compression_ratio(ivc), 10.4777731, 1e-4);
        let inch = 0.0254;
        let v8 = SliderCrank::new(4.030 * inch, 3.480 * inch, 5.700 * inch, 0.0, 10.02754739);
        let ivc = f64::to_radians(-180.0 + 68.0);
        close(v8.unwrap().effective_compression_ratio(ivc), 7.809289574, 8e-5);
    }

    #[test]
    fn slopes_agree_with_finite_differences() {
        let c = six(2e-3);
        let d = 1e-5;
        for i in -36..=36 {
            let t = i as f64 * 0.1;
            let dv = (c.volume(t + d) - c.volume(t - d)) / (2.0 * d);
            close(c.volume_slope(t), dv, 1e-9 * c.displacement() + 1e-12);
            let dx2 = (c.motion(t + d, 1.0).velocity - c.motion(t - d, 1.0).velocity) / (2.0 * d);
            close(c.motion(t, 1.0).acceleration, dx2, 1e-9);
        }
    }

    #[test]
    fn ratio_of_largest_to_smallest_volume_is_the_compression_ratio() {
        for offset in [0.0, 1.5e-3] {
            let c = six(offset);
            let v: Vec<f64> = (0..72000).map(|i| c.volume(i as f64 * PI / 36000.0)).collect();
            let (lo, hi) = v.iter().fold((f64::MAX, 0.0f64), |(a, b), &x| (a.min(x), b.max(x)));
            close(hi / lo, c.compression_ratio(), 1e-6);
        }
    }

    #[test]
    fn impossible_parts_are_refused_by_name() {
        for (b, s, l, cr, what) in [
            (0.0, 0.08, 0.13, 10.0, "bore"),
            (0.08, f64::NAN, 0.13, 10.0, "stroke"),
            (0.08, 0.08, 0.04, 10.0, "rod length"),
            (0.08, 0.08, 0.13, 1.0, "compression ratio"),
        ] {
            let error = SliderCrank::new(b, s, l, 0.0, cr).unwrap_err();
            assert!(error.to_string().contains(what), "{error}");
        }
    }
}
