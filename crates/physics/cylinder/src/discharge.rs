//! Generic discharge coefficients of poppet valves on the curtain area `pi D L`, when no flow-bench
//! table exists.
//!
//! Middle of the ranges given for good ports over lift/diameter; the halves of the ranges are
//! [`SPREAD`]. Source: Heywood 1988 figs. 6-17 to 6-20, Annand & Roe 1974, Blair 1999 (all from
//! memory, ranges read from graphs). Range: L/D up to 0.35; above it the flow area is held, because
//! the port then limits the flow.

/// Which way the gas goes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Port {
    /// Into the cylinder.
    Intake,
    /// Out of the cylinder.
    Exhaust,
}

/// Lift over valve head diameter.
const LIFT_RATIO: [f64; 7] = [0.05, 0.10, 0.15, 0.20, 0.25, 0.30, 0.35];
/// Intake coefficient, middle of the range.
const INTAKE: [f64; 7] = [0.685, 0.680, 0.655, 0.615, 0.560, 0.510, 0.460];
/// Exhaust coefficient, middle of the range.
const EXHAUST: [f64; 7] = [0.715, 0.685, 0.660, 0.640, 0.610, 0.565, 0.520];
/// Half width of the ranges.
pub const SPREAD: f64 = 0.04;

/// Returns the discharge coefficient on the curtain area at lift/diameter (0 or more), and whether
/// the lift lies in the source's range.
pub fn coefficient(port: Port, lift_ratio: f64) -> (f64, bool) {
    let table = match port {
        Port::Intake => &INTAKE,
        Port::Exhaust => &EXHAUST,
    };
    let last = LIFT_RATIO.len() - 1;
    if lift_ratio <= LIFT_RATIO[0] {
        return (table[0], lift_ratio >= 0.0);
    }
    if lift_ratio >= LIFT_RATIO[last] {
        return (table[last] * LIFT_RATIO[last] / lift_ratio, lift_ratio == LIFT_RATIO[last]);
    }
    let x = (lift_ratio - LIFT_RATIO[0]) / (LIFT_RATIO[1] - LIFT_RATIO[0]);
    let i = (x as usize).min(last - 1);
    (table[i] + (x - i as f64) * (table[i + 1] - table[i]), true)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The remembered ranges themselves.
    #[test]
    fn coefficients_lie_in_the_remembered_ranges() {
        for (ratio, low, high) in [(0.05, 0.65, 0.72), (0.15, 0.61, 0.70), (0.30, 0.47, 0.55)] {
            let (c, inside) = coefficient(Port::Intake, ratio);
            assert!((low..=high).contains(&c) && inside, "{ratio} {c}");
        }
        assert!(coefficient(Port::Exhaust, 0.3).0 > coefficient(Port::Intake, 0.3).0);
    }

    #[test]
    fn flow_area_is_held_beyond_the_range_and_said_so() {
        let area = |r: f64| coefficient(Port::Intake, r).0 * r;
        assert!((area(0.5) - area(0.35)).abs() < 1e-12);
        assert!(!coefficient(Port::Intake, 0.5).1);
        let mut last = 0.0;
        for i in 0..100 {
            let a = area(i as f64 * 0.005);
            assert!(a >= last - 1e-12);
            last = a;
        }
    }
}
