//! Hands a cylinder's gas to the closed part of the cycle and takes it back at exhaust opening.
//!
//! A charge that is closed in waits for company, so that many closed parts are worked out together:
//! at the latest until its exhaust opens or its cycle ends. Its gas then is what it is at that
//! opening.

use crate::build::LaneGases;
use crate::gas_exchange::CylinderGas;
use crate::level::{Dispatch, Integrate};
use crate::network::Network;
use crate::point::Demand;
use crate::surfaces::Surfaces;
use crate::table::ClosedSpan;
use crate::{BURNED, FUEL, SCALARS};
use shortblock_cylinder::CylinderError;
use shortblock_cylinder::closed::{
    self, Burn, Charge, ClosedCase, ClosedResult, HeatTransfer, Mixture, SparkDemand,
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
    /// What it began with.
    pub closing: Closing,
    /// The closed part.
    pub result: ClosedResult,
}

impl Closed {
    /// The gas as it was when it was closed in, in a `volume` in m³.
    pub fn unburned(&self, gases: &GasSet<f64, SCALARS>, volume: f64) -> CylinderGas<f64> {
        let charge = &self.closing.charge;
        let mass = charge.mass - charge.liquid_fuel;
        let mut y = [0.0; SCALARS];
        y[FUEL] = (charge.fuel * charge.mass - charge.liquid_fuel) / mass;
        y[BURNED] = charge.burned * charge.mass / mass;
        let t = charge.temperature;
        let p = mass * gases.gas_constant(&y) * t / volume;
        let still = CylinderGas::still(gases, p, t, &y, volume);
        CylinderGas { turbulence: self.closing.turbulence, ..still }
    }
}

/// One lane's closings.
pub(crate) struct LaneCloser<'a> {
    pub network: &'a Network,
    pub demand: &'a Demand,
    pub mixture: Arc<Mixture>,
    pub gases: Arc<LaneGases>,
    /// Mass of fuel per mass of humid air.
    pub fuel_per_air: f64,
    /// Spark of all cylinders, rad after firing dead centre.
    pub spark: f64,
    /// The one cylinder that searches it for all, or `None` when each does.
    pub seeker: Option<usize>,
    /// What each cylinder's last search found, and whether knock stood in the way.
    pub found: Vec<Option<(f64, bool)>>,
    /// Moves of the spark so far.
    pub moves: usize,
    /// Whether it is the first cycle on its mesh: its charges still come from elsewhere, and no
    /// spark is searched for them.
    pub first_cycle: bool,
    /// Whether the last two searches found the same spark; then it is searched no more.
    pub settled: bool,
    /// The last spark at which a cycle that repeats stood short of its margin to knock, with the
    /// cylinder that did.
    pub too_early: Option<(usize, f64)>,
    /// Knock limit of each cylinder once sought, rad after firing dead centre.
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
    pub place: Place,
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

    /// Whether any closed part must be worked out before this step of the engine.
    pub fn is_due(&self, beat: usize) -> bool {
        self.waiting.iter().any(|closing| closing.place.due <= beat)
    }

    /// Works out the closed parts that are due at this step of the engine, with as many of the others
    /// as fill the lanes, and leaves the gas as it is when the exhaust opens.
    #[inline(never)]
    pub fn work_out<V: Dispatch>(&mut self, beat: usize, cylinders: &mut [CylinderGas<V>]) {
        self.waiting.sort_by_key(|closing| closing.place.due);
        let due = self.waiting.partition_point(|closing| closing.place.due <= beat);
        let count = due.next_multiple_of(V::Closed::WIDTH).min(self.waiting.len());
        let now: Vec<Closing> = self.waiting.drain(..count).collect();
        let mut asked = Vec::new();
        for closing in &now {
            let Some(this) = &self.lanes[closing.place.lane] else { continue };
            let case =
                ClosedCase { trace: self.trace, step_deg: self.step_deg, ..this.case(closing) };
            asked.push((case, SparkDemand::Fixed(this.spark)));
        }
        let mut solved = solve::<V::Closed>(&asked).into_iter();
        for closing in &now {
            let Some(this) = &mut self.lanes[closing.place.lane] else { continue };
            let result = solved.next().expect("one result for each closed part asked for");
            this.take_back(closing, result, cylinders);
        }
    }
}

/// Works out closed parts side by side.
pub(crate) fn solve<W: Integrate>(
    asked: &[(ClosedCase, SparkDemand)],
) -> Vec<Result<ClosedResult, CylinderError>> {
    // SAFETY: `run` picks the lanes by the level in the settings, and a level is only made for a
    // processor that has it.
    closed::solve_all::<W>(asked, |run| unsafe { W::integrate(run) })
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

    /// The charge as a case, on the usual step.
    pub fn case(&self, closing: &Closing) -> ClosedCase<'_> {
        let (c, span) = (closing.place.cylinder, &closing.place.span);
        let combustion = &self.network.combustion;
        ClosedCase {
            mechanism: &self.network.cylinders[c].mechanism,
            mixture: &self.mixture,
            head_area_ratio: combustion.head_area_ratio,
            theta_ivc: span.theta_closing,
            theta_evo: span.theta_opening,
            speed: self.demand.speed,
            charge: closing.charge,
            walls: self.surfaces[c].temperatures(),
            burn: Burn::Entrainment {
                flame: &combustion.flame,
                turbulence: closing.turbulence,
                multiplier: combustion.burn_multiplier,
            },
            heat: HeatTransfer::Woschni(combustion.heat_multiplier),
            crevice: combustion.crevice,
            octane_number: combustion.octane_number,
            step_deg: 0.0,
            spark_guess: self.last[c].as_ref().map(|closed| closed.result.spark),
            find_knock_margin: false,
            trace: false,
        }
    }

    /// Takes back the gas of a closed part.
    fn take_back<V: Lane>(
        &mut self,
        closing: &Closing,
        result: Result<ClosedResult, CylinderError>,
        cylinders: &mut [CylinderGas<V>],
    ) {
        let c = closing.place.cylinder;
        match result {
            Ok(result) => {
                let (Place { lane, span, .. }, charge) = (&closing.place, &closing.charge);
                self.give_back(c, *lane, span, &result, &mut cylinders[c]);
                self.last[c] = Some(Closed {
                    mass: charge.mass,
                    residual: charge.burned,
                    fuel: charge.fuel * charge.mass,
                    closing: *closing,
                    result,
                });
            }
            Err(error) => self.failure = Some((c, error)),
        }
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
