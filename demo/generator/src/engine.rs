//! The hidden engines: what torque, fuel, pressures and temperatures they really have.

use crate::curve::{Curve, line, smooth};

/// Ideal mass of air for a mass of 99 RON petrol with 10 % ethanol; usual, no source.
pub(crate) const AIR_FOR_FUEL: f64 = 14.1;

/// An engine on the engine dyno. Torque and power are at the crankshaft, steady, in the air of SAE
/// J1349.
pub(crate) struct Engine {
    pub cylinders: usize,
    /// Inertia of engine, coupling and brake, kg·m².
    pub inertia: f64,
    /// Torque of the first build over speed in rpm, N·m.
    torque_nm: Curve<'static>,
    /// Power that the second build has more, hp.
    more_hp: Curve<'static>,
    /// Spark advance of both builds, degrees before top dead centre.
    spark_deg: [&'static [(f64, f64)]; 2],
}

/// Which of the two builds is in the cell.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Which {
    First,
    Second,
}

/// 550 ft·lbf/s in W.
pub(crate) const HP: f64 = 745.699_871_582_270_2;

/// rad/s of one turn a minute.
pub(crate) const RPM: f64 = std::f64::consts::PI / 30.0;

/// Engine 114: b6, and b7 with shorter trumpets and a degree more spark.
pub(crate) const SIX: Engine = Engine {
    cylinders: 6,
    inertia: 0.45,
    torque_nm: Curve {
        from: 3000.0,
        step: 500.0,
        values: &[
            224.0, 232.0, 241.0, 246.5, 254.0, 266.0, 277.5, 285.0, 288.0, 286.0, 280.0, 261.0,
            236.0,
        ],
    },
    more_hp: Curve {
        from: 3000.0,
        step: 250.0,
        values: &[
            -2.0, -2.0, -2.0, -2.0, -2.0, -2.0, -2.1, -2.2, -2.2, -2.1, -2.0, 0.2, 3.8, 7.2, 8.0,
            8.4, 8.7, 8.9, 9.1, 9.3, 9.6, 9.6, 9.4, 9.2, 9.0,
        ],
    },
    spark_deg: [
        &[(3500.0, 27.0), (5000.0, 29.0), (6500.0, 31.0), (8500.0, 31.0)],
        &[(3500.0, 27.0), (5000.0, 30.0), (6500.0, 32.0), (8500.0, 32.0)],
    ],
};

/// Engine 201, a road four: as it came, and with four degrees more spark.
pub(crate) const FOUR: Engine = Engine {
    cylinders: 4,
    inertia: 0.34,
    torque_nm: Curve {
        from: 2000.0,
        step: 500.0,
        values: &[142.0, 150.0, 157.0, 164.0, 171.0, 175.0, 176.0, 174.0, 168.0, 159.0, 146.0],
    },
    more_hp: Curve { from: 2000.0, step: 1000.0, values: &[1.1, 1.7, 2.4, 3.0, 3.6, 3.8] },
    spark_deg: [&[(2500.0, 22.0), (6500.0, 28.0)], &[(2500.0, 26.0), (6500.0, 32.0)]],
};

impl Engine {
    /// True torque, N·m.
    pub fn torque(&self, which: Which, speed_rpm: f64) -> f64 {
        let first = smooth(&self.torque_nm, speed_rpm);
        match which {
            Which::First => first,
            // At rest the curve's lower end stands for it; nothing is measured there.
            Which::Second => {
                first + self.more_hp(speed_rpm) * HP / (speed_rpm.max(self.more_hp.from) * RPM)
            }
        }
    }

    /// Power that the second build has more, hp.
    pub fn more_hp(&self, speed_rpm: f64) -> f64 {
        smooth(&self.more_hp, speed_rpm)
    }

    /// Spark advance, degrees before top dead centre.
    pub fn spark(&self, which: Which, speed_rpm: f64) -> f64 {
        line(self.spark_deg[which as usize], speed_rpm)
    }
}

/// Spark advance of most torque in a loop over spark, degrees before top dead centre.
pub(crate) fn best_spark(speed_rpm: f64) -> f64 {
    line(&[(3500.0, 26.5), (5000.0, 28.0), (6500.0, 29.5), (8500.0, 30.0)], speed_rpm)
}

/// Share of torque lost by spark away from the best: 5 % at 10 degrees is usual, no source.
pub(crate) fn lost_by_spark(off_deg: f64) -> f64 {
    0.0005 * off_deg * off_deg
}

/// Share of torque lost to knock while it knocks; 1.5 %, invented.
pub(crate) const LOST_BY_KNOCK: f64 = 0.015;

/// Fuel for work at full load at the mixture that was set, kg/J; best at middling speeds.
pub(crate) fn fuel_for_work(speed_rpm: f64) -> f64 {
    let g_per_kwh =
        line(&[(2500.0, 292.0), (4500.0, 279.0), (6500.0, 284.0), (8500.0, 306.0)], speed_rpm);
    g_per_kwh / 3.6e9
}

/// Mixture that was set, relative air-fuel ratio.
pub(crate) fn mixture_set(speed_rpm: f64) -> f64 {
    line(&[(3500.0, 0.90), (6000.0, 0.88), (8500.0, 0.87)], speed_rpm)
}

/// Share of torque lost by a mixture away from the one that was set. The top is flat; 1 % at 0.08
/// is usual, no source.
pub(crate) fn lost_by_mixture(off: f64) -> f64 {
    1.56 * off * off
}

/// Oil pressure above the air outside, Pa: rises with speed until the relief valve opens, higher
/// with cold oil.
pub(crate) fn oil_pressure(speed_rpm: f64, oil_degc: f64) -> f64 {
    let hot_kpa = line(&[(0.0, 0.0), (900.0, 118.0), (5500.0, 430.0), (9000.0, 482.0)], speed_rpm);
    1000.0 * hot_kpa * (1.0 + 0.004 * (92.0 - oil_degc))
}

/// Temperature in the exhaust once it has settled, °C; `load` from 0 to 1, `lean` as the mixture's
/// distance from the one set.
pub(crate) fn exhaust(speed_rpm: f64, load: f64, lean: f64) -> f64 {
    415.0 + load * (230.0 + 0.032 * (speed_rpm - 3500.0)) + 400.0 * load * lean
}

/// How much each cylinder's exhaust differs from the mean, K.
pub(crate) const EXHAUST_OF_CYLINDER: [f64; 6] = [4.0, -9.0, 7.0, -3.0, 11.0, -10.0];

/// Torque that the brake takes with its valve shut, N·m: grows with speed squared.
pub(crate) fn empty_brake(speed_rpm: f64) -> f64 {
    9.8e-7 * speed_rpm * speed_rpm
}

/// Torque that engine 114 takes to be turned with its throttles shut, N·m.
pub(crate) fn friction(speed_rpm: f64) -> f64 {
    24.0 + 0.005 * speed_rpm
}
