//! The speed at which power and torque, drawn on one number scale, must cross.

/// Engine speed (rad/s) at which the number that stands for power equals the
/// number that stands for torque, for any engine.
///
/// Power is torque times speed, so the ratio of the two units is a speed:
/// `watts_per_power_unit` (W) over `newton_metres_per_torque_unit` (N·m).
/// A printed chart whose curves cross elsewhere has its units mixed up.
#[must_use]
pub fn crossing_speed(watts_per_power_unit: f64, newton_metres_per_torque_unit: f64) -> f64 {
    watts_per_power_unit / newton_metres_per_torque_unit
}

#[cfg(test)]
mod tests {
    use super::crossing_speed;
    use std::f64::consts::PI;

    // NIST SP 811, appendix B.8 (from memory): horsepower (550 ft·lbf/s)
    // 745.6999 W, horsepower (metric) 735.4988 W, foot pound-force 1.355818 J.
    const HORSEPOWER_W: f64 = 745.699_9;
    const METRIC_HORSEPOWER_W: f64 = 735.498_8;
    const POUND_FOOT_NM: f64 = 1.355_818;

    fn crossing_rpm(power_w: f64, torque_nm: f64) -> f64 {
        crossing_speed(power_w, torque_nm) * 30.0 / PI
    }

    #[test]
    fn curves_cross_where_the_units_say() {
        // 33 000 ft·lbf/min a horsepower: 33 000 / 2π = 5252.1 rpm; the others follow.
        for (power, torque, rpm) in [
            (HORSEPOWER_W, 1.0, 7120.9),
            (HORSEPOWER_W, POUND_FOOT_NM, 33_000.0 / (2.0 * PI)),
            (1000.0, 1.0, 9549.3),
            (METRIC_HORSEPOWER_W, 1.0, 7023.5),
            (1000.0, POUND_FOOT_NM, 7043.2),
        ] {
            let found = crossing_rpm(power, torque);
            assert!((found - rpm).abs() < 0.05, "{found} rpm, {rpm} wanted");
        }
    }
}
