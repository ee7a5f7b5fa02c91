//! A build: the parts and measurements of one state of an engine, in SI, every value with its
//! origin and ±.

mod across;
mod cam;
mod centreline;
pub mod compression;
mod durations;
mod exhaust;
pub mod firing;
mod head;
mod identity;
mod idle;
mod intake;
mod layout;
pub(crate) mod lift_curve;
mod running;
mod short_block;
mod tested;
pub mod timing;

use crate::fill::Fill;
use crate::item::{Item, Items, Table};
use crate::value::Value;
use shortblock_document::{Doubt, Faults, Sources, in_order};

pub use cam::{Cam, LiftCurve, ValveDuration};
pub use exhaust::{Crossover, ExhaustKind, ExhaustSystem, JoinedPipe};
pub use head::{FlowSheet, Port, Side, Valves};
pub use identity::Identity;
pub use intake::{Carburettor, IntakeSystem, Plenum, RatedDrop, Throttle, Trumpet};
pub use layout::{Arrangement, Layout};
pub use running::{Fuel, Lambda, RunState, Spark, SparkPlan};
pub use short_block::{BottomEnd, Chamber, TrainKind, ValveTrain};
pub use tested::{Accessory, Goal, Limits, Rating, RatingKind, TestedAs};

/// A build that can be predicted. Made by [`load`](crate::load); changed only by making another.
#[derive(Debug, Clone, PartialEq)]
pub struct Build {
    /// Who and what.
    pub identity: Identity,
    /// Cylinders and firing.
    pub layout: Layout,
    /// Crank, rods, pistons.
    pub bottom_end: BottomEnd,
    /// Combustion chamber.
    pub chamber: Chamber,
    /// Between cam and valve.
    pub valve_train: ValveTrain,
    /// Intake side of the head.
    pub intake: Side,
    /// Exhaust side of the head.
    pub exhaust: Side,
    /// Intake system outside the head.
    pub intake_system: IntakeSystem,
    /// Exhaust system outside the head.
    pub exhaust_system: ExhaustSystem,
    /// Fuel and mixture.
    pub fuel: Fuel,
    /// Spark.
    pub spark: Spark,
    /// Temperatures and air.
    pub state: RunState,
    /// What a rating means.
    pub tested_as: TestedAs,
    /// Published or measured figures.
    pub ratings: Vec<Rating>,
    /// A published or measured curve: columns "speed" (rad/s), "torque", "power", "ve", "bsfc", ...
    pub rating_curve: Option<Table>,
    /// What it is for.
    pub goal: Goal,
    /// Limits.
    pub limits: Limits,
    /// Doubts, silenced ones too.
    pub doubts: Vec<Doubt>,
    /// What was stated, by path.
    pub(crate) stated: Items,
    /// What was stated, assumed and worked out, by path.
    pub(crate) items: Items,
    /// The texts it was read from.
    pub(crate) sources: Sources,
    /// Names of the shelf parts, by the table they stand in.
    pub(crate) parts: std::collections::BTreeMap<String, String>,
    /// Doubts of reading, kept for builds made from this one.
    pub(crate) reading: Vec<Doubt>,
}

impl Build {
    /// Puts a build together from what was stated.
    pub(crate) fn from_items(
        stated: Items,
        parts: std::collections::BTreeMap<String, String>,
        sources: Sources,
        reading: Vec<Doubt>,
    ) -> Result<Self, Faults> {
        let mut fill = Fill::new(&stated);
        let fill_ref = &mut fill;
        running::kind_by_name(fill_ref);
        let layout = layout::of(fill_ref);
        let bottom_end = short_block::bottom_end(fill_ref, layout.cylinders);
        let intake_system = intake::of(fill_ref, &layout);
        let valve_train = short_block::valve_train(fill_ref);
        let chamber = short_block::chamber(fill_ref, layout.cylinders, &bottom_end);
        let intake = head::of(fill_ref, cam::Which::Intake, &valve_train);
        let exhaust = head::of(fill_ref, cam::Which::Exhaust, &valve_train);
        let tested_as = tested::tested_as(fill_ref);
        let build = Self {
            identity: identity::of(fill_ref),
            bottom_end,
            chamber,
            valve_train,
            intake,
            exhaust,
            exhaust_system: exhaust::of(fill_ref, &layout),
            intake_system,
            fuel: running::fuel(fill_ref),
            spark: running::spark(fill_ref),
            state: running::state(fill_ref),
            ratings: tested::ratings(fill_ref, &tested_as),
            rating_curve: fill_ref.table("rating_curve"),
            tested_as,
            goal: tested::goal(fill_ref),
            limits: tested::limits(fill_ref),
            layout,
            doubts: Vec::new(),
            stated,
            items: Items::new(),
            sources,
            parts,
            reading,
        };
        build.finish(fill)
    }

    /// The checks across parts, then faults or the build.
    fn finish(mut self, mut fill: Fill) -> Result<Self, Faults> {
        across::check(&self, &mut fill);
        if !fill.faults.is_empty() {
            return Err(Faults { faults: in_order(fill.faults), sources: self.sources });
        }
        idle::drop(&self, &mut fill);
        self.doubts = self.reading.clone();
        self.doubts.append(&mut fill.doubts);
        self.doubts.dedup();
        self.items = fill.items;
        Ok(self)
    }

    /// The texts the build was read from.
    #[must_use]
    pub fn sources(&self) -> &Sources {
        &self.sources
    }

    /// Every word of the build with what stands there: stated, assumed, worked out. By path.
    pub fn items(&self) -> impl Iterator<Item = (&str, &Item)> {
        self.items.iter().map(|(path, item)| (path.as_str(), item))
    }

    /// What stands at a path, also for words that no calculation uses.
    #[must_use]
    pub fn item(&self, path: &str) -> Option<&Item> {
        self.items.get(path)
    }

    /// Every number of the build by path.
    pub fn values(&self) -> impl Iterator<Item = (&str, &Value)> {
        self.items().filter_map(|(path, item)| Some((path, item.value()?)))
    }

    /// What was assumed, by path: nobody said it, or it was said to be not measured. What nothing in
    /// this build uses is not assumed.
    pub fn assumed(&self) -> impl Iterator<Item = (&str, &Item)> {
        self.items().filter(|(_, item)| item.origin == shortblock_units::Origin::Assumed)
    }
}
