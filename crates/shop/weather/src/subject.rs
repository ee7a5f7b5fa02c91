//! What a standard asks about the engine under test.

use crate::error::{PLAIN, WeatherError, within};

/// How the charge is lit.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Ignition {
    /// By a spark.
    Spark,
    /// By compression.
    Compression,
}

/// What cools the charge between blower and engine.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ChargeCooler {
    /// Nothing.
    None,
    /// The air around.
    Air,
    /// A liquid.
    Liquid,
}

/// How the engine gets its air.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Aspiration {
    /// By itself.
    Natural,
    /// Blower driven by the crankshaft.
    MechanicallySupercharged,
    /// Blower driven by the exhaust.
    Turbocharged(ChargeCooler),
}

/// What is known of mechanical friction.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Friction {
    /// Nothing: the standard's own assumption, where it has one.
    AsTheStandardAssumes,
    /// Mechanical efficiency at full load, 0.4 to 1.
    Efficiency(f64),
    /// Measured (motored) at the same speeds; given with each figure that is corrected.
    Measured,
}

/// Strokes of a working cycle.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Stroke {
    /// Two.
    Two,
    /// Four.
    Four,
}

/// Fuel delivered to a compression-ignition engine, and its boost.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Fuelling {
    /// Fuel per cycle and litre of displacement, mg.
    pub mg_per_cycle_litre: f64,
    /// Absolute pressure after the blower over that before it; 1 without a blower.
    pub pressure_ratio: f64,
}

impl Fuelling {
    /// From fuel flow (g/s), displacement (L) and engine speed (rpm):
    /// `q = z m / (V n)`, z = 120 000 for four strokes, 60 000 for two.
    ///
    /// Source: an engine maker's service manual, z = 120 000; the rest follows.
    pub fn from_flow(
        fuel_g_s: f64,
        displacement_litre: f64,
        speed_rpm: f64,
        stroke: Stroke,
        pressure_ratio: f64,
    ) -> Self {
        let z = match stroke {
            Stroke::Two => 60_000.0,
            Stroke::Four => 120_000.0,
        };
        let mg_per_cycle_litre = z * fuel_g_s / (displacement_litre * speed_rpm);
        Self { mg_per_cycle_litre, pressure_ratio }
    }

    /// `q_c = q / r`, mg per cycle and litre of air as it is before the blower.
    pub(crate) fn corrected(self) -> Result<f64, WeatherError> {
        let remedy = "give mg of fuel per cycle and litre of displacement";
        let q = within("fuel delivered", self.mg_per_cycle_litre, (1.0, 500.0), PLAIN, remedy)?;
        let remedy = "give absolute pressures after and before the blower; 1 without one";
        let r = within("boost pressure ratio", self.pressure_ratio, (1.0, 10.0), PLAIN, remedy)?;
        Ok(q / r)
    }
}

/// The engine under test, as far as weather goes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Subject {
    /// How the charge is lit.
    pub ignition: Ignition,
    /// How it gets its air.
    pub aspiration: Aspiration,
    /// A control holds the absolute boost whatever the weather.
    pub boost_held: bool,
    /// What is known of friction.
    pub friction: Friction,
    /// Fuel delivered, for compression ignition.
    pub fuelling: Option<Fuelling>,
}

impl Subject {
    /// A naturally aspirated spark-ignition engine of which nothing else is known.
    pub fn spark() -> Self {
        Self {
            ignition: Ignition::Spark,
            aspiration: Aspiration::Natural,
            boost_held: false,
            friction: Friction::AsTheStandardAssumes,
            fuelling: None,
        }
    }

    /// A compression-ignition engine with its air and fuel.
    pub fn compression(aspiration: Aspiration, fuelling: Fuelling) -> Self {
        let ignition = Ignition::Compression;
        Self { ignition, aspiration, fuelling: Some(fuelling), ..Self::spark() }
    }

    /// The same engine, otherwise fed.
    pub fn with_aspiration(self, aspiration: Aspiration) -> Self {
        Self { aspiration, ..self }
    }

    /// The same engine with its friction known.
    pub fn with_friction(self, friction: Friction) -> Self {
        Self { friction, ..self }
    }

    /// The same engine with its boost held by a control.
    pub fn with_boost_held(self) -> Self {
        Self { boost_held: true, ..self }
    }

    /// Refuses what contradicts itself.
    pub(crate) fn checked(&self) -> Result<(), WeatherError> {
        if self.boost_held && self.aspiration == Aspiration::Natural {
            return Err(WeatherError::HeldWithoutBlower);
        }
        if let Friction::Efficiency(efficiency) = self.friction {
            let remedy = "give the share of indicated power that reaches the flywheel";
            within("mechanical efficiency", efficiency, (0.4, 1.0), PLAIN, remedy)?;
        }
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// By hand: 6 L at 1800 rpm is 900 cycles a minute; 9 g/s is 600 mg a cycle, 100 mg a litre.
    #[test]
    fn fuel_per_cycle_follows_from_flow() {
        let four = Fuelling::from_flow(9.0, 6.0, 1800.0, Stroke::Four, 2.0);
        assert!((four.mg_per_cycle_litre - 100.0).abs() < 1e-12);
        assert!((four.corrected().unwrap() - 50.0).abs() < 1e-12);
        let two = Fuelling::from_flow(9.0, 6.0, 1800.0, Stroke::Two, 1.0);
        assert!((two.mg_per_cycle_litre - 50.0).abs() < 1e-12);
        assert!(Fuelling::from_flow(9.0, 0.0, 0.0, Stroke::Two, 1.0).corrected().is_err());
    }

    #[test]
    fn boost_cannot_be_held_without_a_blower() {
        assert_eq!(
            Subject::spark().with_boost_held().checked(),
            Err(WeatherError::HeldWithoutBlower)
        );
    }
}
