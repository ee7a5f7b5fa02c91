//! From a build to what is simulated: cylinders, ducts, volumes, openings, and what a speed asks.

mod air;
mod assembly;
mod combustion;
#[cfg(test)]
mod demo;
mod exhaust;
mod exhaust_end;
mod friction;
mod fuel;
mod inlet;
mod intake;
mod lobe;
mod outlet;
mod port;
mod rated;
mod valve_area;
mod valves;

use crate::PlanError;
use assembly::{Assembly, part};
use fuel::Charge;
use shortblock_cycle::{CylinderSpec, Demand, Network};
use shortblock_cylinder::closed::SparkDemand;
use shortblock_cylinder::mechanism::SliderCrank;
use shortblock_engine::Build;
use shortblock_engine::build::{Lambda, SparkPlan};

/// A build as it is simulated.
#[derive(Debug, Clone, PartialEq)]
pub struct Design {
    /// Cylinders, ducts, volumes, openings.
    pub network: Network,
    /// Mixture over speed.
    pub lambda: Lambda,
    /// Spark over speed.
    pub spark: SparkPlan,
    /// Retard from the knock limit when the spark is asked for, rad.
    pub knock_margin: f64,
    /// Greatest advance that a search may settle on, rad before firing dead centre.
    pub greatest_advance: f64,
    /// What was simplified or taken for granted on the way, in words.
    pub notes: Vec<String>,
}

impl Design {
    /// What is asked of the point at `speed` (rad/s).
    #[must_use]
    pub fn demand(&self, speed: f64) -> Demand {
        let lambda = match &self.lambda {
            Lambda::Fixed(value) => value.si,
            Lambda::Table(table) => table.at("lambda", speed).unwrap_or(f64::NAN),
        };
        let earliest_spark = -self.greatest_advance;
        Demand { earliest_spark, ..Demand::of(speed, lambda, self.spark_at(speed)) }
    }

    fn spark_at(&self, speed: f64) -> SparkDemand {
        match &self.spark {
            SparkPlan::Fixed(value) => SparkDemand::Fixed(-value.si),
            SparkPlan::Table(table) => {
                SparkDemand::Fixed(-table.at("advance", speed).unwrap_or(f64::NAN))
            }
            SparkPlan::BestTorque { knock_limited: true }
                if self.network.combustion.octane_number.is_some() =>
            {
                SparkDemand::BestOrKnockLimited { margin: self.knock_margin }
            }
            SparkPlan::BestTorque { .. } => SparkDemand::BestTorque,
        }
    }
}

/// Turns a build into a network and what each speed asks of it. Takes about a millisecond.
///
/// # Errors
/// [`PlanError::Part`] with the path of a value that can't be simulated, and a remedy.
pub fn network(build: &Build) -> Result<Design, PlanError> {
    let mut assembly = Assembly::default();
    let cylinders = cylinders(build, &mut assembly)?;
    intake::add(build, &mut assembly)?;
    exhaust::add(build, &mut assembly)?;
    let air = air::of(build, &mut assembly.notes)?;
    let charge = fuel::of(build, &mut assembly.notes)?;
    let combustion = combustion::of(build, &charge, air.pressure, &mut assembly.notes)?;
    let friction = friction::of(build, &mut assembly.notes);
    let Charge { fuel, charge_cooling, .. } = charge;
    Ok(Design {
        network: Network {
            cylinders,
            ducts: assembly.ducts,
            volumes: assembly.volumes,
            openings: assembly.openings,
            fuel,
            air: air.humid,
            ambient_pressure: air.pressure,
            ambient_temperature: air.temperature,
            cell_pressure: air.pressure + build.exhaust_system.cell_pressure.si,
            charge_cooling,
            combustion,
            friction,
        },
        lambda: build.fuel.lambda.clone(),
        spark: build.spark.plan.clone(),
        // A draw of its ± can lie below 0; what is typed can't.
        knock_margin: build.spark.knock_margin.si.max(0.0),
        greatest_advance: build.spark.at_most.si,
        notes: assembly.notes,
    })
}

fn cylinders(build: &Build, assembly: &mut Assembly) -> Result<Vec<CylinderSpec>, PlanError> {
    let count = build.layout.cylinders;
    let intake = valves::of(build, valves::Which::Intake, assembly)?;
    let exhaust = valves::of(build, valves::Which::Exhaust, assembly)?;
    let sides = intake.into_iter().zip(exhaust);
    (0..count)
        .zip(sides)
        .map(|(i, (intake, exhaust))| {
            let phase = build.layout.firing_angle_deg.get(i).copied().unwrap_or(0.0).to_radians();
            Ok(CylinderSpec { mechanism: mechanism(build, Some(i))?, phase, intake, exhaust })
        })
        .collect()
}

/// The mechanism of one cylinder, or with mean dimensions.
fn mechanism(build: &Build, cylinder: Option<usize>) -> Result<SliderCrank, PlanError> {
    let bottom = &build.bottom_end;
    let of = |value: &shortblock_engine::Value| cylinder.map_or(value.si, |i| value.of(i));
    SliderCrank::new(
        of(&bottom.bore),
        of(&bottom.stroke),
        of(&bottom.rod_length),
        bottom.pin_offset.si,
        of(&build.chamber.compression_ratio),
    )
    .map_err(|error| part("bottom_end", &error, "look at bore, stroke, rod and compression"))
}
