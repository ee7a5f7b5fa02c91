//! Hands a cylinder's gas to the closed part of the cycle and takes it back at exhaust opening.
//!
//! A charge that is closed in waits for company, so that many closed parts are worked out together:
//! at the latest until its exhaust opens. Its gas then is what it is at that opening.

use crate::build::LaneGases;
use crate::gas_exchange::CylinderGas;
use crate::network::Network;
use crate::point::Demand;
use crate::surfaces::Surfaces;
use crate::table::ClosedSpan;
use crate::{BURNED, FUEL, SCALARS};
use shortblock_cylinder::CylinderError;
use shortblock_cylinder::closed::{
    self, Burn, Charge, ClosedCase, ClosedResult, HeatTransfer, Mixture, SparkDemand, SparkReason,
};
use shortblock_cylinder::turbulence::Turbulence;
use shortblock_flow::GasSet;
use shortblock_lanes::Lane;
use std::sync::Arc;

/// What a cylinder held at its last closing, and what became of it.
#[derive(Clone, Debug)]
pub(crate) struct Closed {
    /// Mass trapped, fuel still liquid included, kg.
    pub mass: f64,
    /// Mass fraction of burned gas.
    pub residual: f64,
    /// Fuel trapped, vapour and liquid, kg.
    pub fuel: f64,
    /// The closed part.
    pub result: ClosedResult,
}

/// One lane's closings.
pub(crate) struct LaneCloser<'a> {
    pub network: &'a Network,
    pub demand: &'a Demand,
    pub mixture: Arc<Mixture>,
    pub gases: Arc<LaneGases>,
    /// Mass of fuel per mass of humid air.
    pub fuel_per_air: f64,
    /// Spark of all cylinders, rad after firing dead centre; `None` before the first search.
    pub spark: Option<f64>,
    /// What each cylinder's last search found, and whether knock stood in the way.
    pub found: Vec<Option<(f64, bool)>>,
    /// Searches after the first.
    pub searches: usize,
    /// Whether the last two searches found the same spark; then it is searched no more.
    pub settled: bool,
    /// Knock limit of each cylinder when it was last searched, rad after firing dead centre.
    pub knock_limit: Vec<Option<f64>>,
    pub surfaces: Vec<Surfaces>,
    pub last: Vec<Option<Closed>>,
    /// The first failure; the lane is worked out no further.
    pub failure: Option<(usize, CylinderError)>,
}

/// The closings of the lanes.
pub(crate) struct Closer<'a> {
    /// `None` where nobody is: there nothing burns.
    pub lanes: Vec<Option<LaneCloser<'a>>>,
    /// Whether the closed parts keep their traces.
    pub trace: bool,
    /// Step of the closed parts, degrees; 0 for the usual one.
    pub step_deg: f64,
    /// Charges closed in whose closed part is not worked out yet.
    pub waiting: Vec<Closing>,
}

/// Where and how long a charge is closed in.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Place {
    pub cylinder: usize,
    pub lane: usize,
    pub span: ClosedSpan,
    /// Step of the engine before which its closed part must be worked out.
    pub due: usize,
}

/// A charge closed in.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Closing {
    place: Place,
    charge: Charge,
    turbulence: Turbulence,
}

impl Closer<'_> {
    /// Takes up the charge of a cylinder whose last valve has shut.
    #[inline(never)]
    pub fn close<V: Lane>(
        &mut self,
        place: Place,
        volume: f64,
        gases: &GasSet<V, SCALARS>,
        cylinder: &CylinderGas<V>,
    ) {
        let Some(Some(this)) = self.lanes.get(place.lane) else { return };
        if this.failure.is_none() {
            let (charge, turbulence) = this.charge(place.lane, volume, gases, cylinder);
            self.waiting.push(Closing { place, charge, turbulence });
        }
    }

    /// Whether the closed parts that wait must be worked out before this step of the engine.
    pub fn is_due(&self, beat: usize) -> bool {
        self.waiting.iter().any(|closing| closing.place.due <= beat)
    }

    /// Works out the closed parts that wait, and leaves the gas as it is when the exhaust opens.
    #[inline(never)]
    pub fn work_out<V: Lane>(&mut self, cylinders: &mut [CylinderGas<V>]) {
        let (trace, step_deg) = (self.trace, self.step_deg);
        for Closing { place, charge, turbulence } in self.waiting.drain(..) {
            let Some(Some(this)) = self.lanes.get_mut(place.lane) else { continue };
            let c = place.cylinder;
            match this.solve(c, &place.span, charge, turbulence, trace, step_deg) {
                Ok(result) => {
                    this.give_back(c, place.lane, &place.span, &result, &mut cylinders[c]);
                    this.last[c] = Some(Closed {
                        mass: charge.mass,
                        residual: charge.burned,
                        fuel: charge.fuel * charge.mass,
                        result,
                    });
                }
                Err(error) => this.failure = Some((c, error)),
            }
        }
    }
}

impl LaneCloser<'_> {
    fn charge<V: Lane>(
        &self,
        lane: usize,
        volume: f64,
        gases: &GasSet<V, SCALARS>,
        cylinder: &CylinderGas<V>,
    ) -> (Charge, Turbulence) {
        let mut gas = cylinder.gas;
        gas.volume.set(lane, volume);
        let temperature = gas.reservoir(gases).t.get(lane);
        let of = |x: V| x.get(lane);
        let (mass, vapour, burned) = (of(gas.mass), of(gas.scalars[FUEL]), of(gas.scalars[BURNED]));
        let air = (mass - vapour - burned).max(0.0);
        let liquid = (self.fuel_per_air * air - vapour).max(0.0);
        let total = mass + liquid;
        let charge = Charge {
            mass: total,
            temperature,
            fuel: (vapour + liquid) / total,
            burned: burned / total,
            liquid_fuel: liquid,
            latent_share: self.network.combustion.latent_share,
        };
        let turbulence = Turbulence {
            mean_energy: of(cylinder.turbulence.mean_energy),
            turbulent_energy: of(cylinder.turbulence.turbulent_energy),
        };
        (charge, turbulence)
    }

    fn solve(
        &mut self,
        c: usize,
        span: &ClosedSpan,
        charge: Charge,
        turbulence: Turbulence,
        trace: bool,
        step_deg: f64,
    ) -> Result<ClosedResult, CylinderError> {
        let combustion = &self.network.combustion;
        let mut case = ClosedCase {
            mechanism: &self.network.cylinders[c].mechanism,
            mixture: &self.mixture,
            head_area_ratio: combustion.head_area_ratio,
            theta_ivc: span.theta_closing,
            theta_evo: span.theta_opening,
            speed: self.demand.speed,
            charge,
            walls: self.surfaces[c].temperatures(),
            burn: Burn::Entrainment {
                flame: &combustion.flame,
                turbulence,
                multiplier: combustion.burn_multiplier,
            },
            heat: HeatTransfer::Woschni(combustion.heat_multiplier),
            crevice: combustion.crevice,
            octane_number: combustion.octane_number,
            step_deg,
            spark_guess: self.last[c].as_ref().map(|closed| closed.result.spark),
            find_knock_margin: !self.settled,
            trace,
        };
        let Some(spark) = self.spark.filter(|_| self.settled) else {
            let found = closed::solve(&case, self.demand.spark)?;
            self.found[c] = Some((found.spark, found.spark_reason == SparkReason::KnockLimit));
            self.knock_limit[c] = found.knock_margin.map(|margin| found.spark - margin);
            // The cycle goes on with the spark of all cylinders, so that searching stirs nothing.
            return match self.spark {
                Some(spark) if spark != found.spark => {
                    case.find_knock_margin = false;
                    closed::solve(&case, SparkDemand::Fixed(spark))
                }
                _ => Ok(found),
            };
        };
        closed::solve(&case, SparkDemand::Fixed(spark))
    }

    /// After a cycle that searched: the spark that all cylinders get. Best torque is the mean over
    /// the cylinders; the cylinder that knocks first sets the limit.
    pub fn settle_spark(&mut self) {
        if self.settled {
            return;
        }
        let (mut best, mut count, mut limit) = (0.0, 0.0, f64::NEG_INFINITY);
        for &(spark, knock_limited) in self.found.iter().flatten() {
            if knock_limited {
                limit = limit.max(spark);
            }
            best += spark;
            count += 1.0;
        }
        if count == 0.0 {
            return;
        }
        let wanted = f64::max(best / count, limit);
        let Some(before) = self.spark else {
            self.spark = Some(wanted);
            return;
        };
        self.settled = (wanted - before).abs() < SPARK_SETTLED;
        self.searches += 1;
        // A search moves the next cycle's charge, which moves the next search: when that goes to
        // and fro, half the way.
        let share = if self.searches > SEARCHES_IN_FULL { 0.5 } else { 1.0 };
        self.spark = Some(before + share * (wanted - before));
    }

    /// Puts the gas at exhaust opening into the lane, with the rate at which it expands there.
    fn give_back<V: Lane>(
        &self,
        c: usize,
        lane: usize,
        span: &ClosedSpan,
        result: &ClosedResult,
        state: &mut CylinderGas<V>,
    ) {
        let (end, gases) = (&result.end, &self.gases);
        // By energy, less the formation energies that the ducts do not carry.
        let formation =
            end.air * gases.air.c[0] + end.fuel * gases.fuel.c[0] + end.burned * gases.burned.c[0];
        let gas = &mut state.gas;
        gas.mass.set(lane, end.mass);
        gas.energy.set(lane, end.energy - end.mass * formation);
        gas.scalars[FUEL].set(lane, end.mass * end.fuel);
        gas.scalars[BURNED].set(lane, end.mass * end.burned);
        let growth = self.network.cylinders[c].mechanism.volume_slope(span.theta_opening)
            * self.demand.speed;
        gas.rate.mass.set(lane, 0.0);
        gas.rate.energy.set(lane, -end.pressure * growth);
        for s in 0..SCALARS {
            gas.rate.scalars[s].set(lane, 0.0);
        }
        state.turbulence.mean_energy.set(lane, 0.0);
        state.turbulence.turbulent_energy.set(lane, 1.0);
    }
}

/// Searches whose answer is taken in full.
const SEARCHES_IN_FULL: usize = 4;
/// Change of the spark between two searches that counts as settled, rad.
const SPARK_SETTLED: f64 = 0.1 * std::f64::consts::PI / 180.0;
