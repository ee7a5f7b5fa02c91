//! Integrations from intake closing to exhaust opening, each lane with its own case and spark.
//!
//! Every lane has its own grid of angles: before the spark whole steps from intake closing and what
//! is left, after it steps counted from the spark, so results are smooth in the spark angle. A lane
//! that has come to its end waits for the others, and nothing it does depends on them.

use super::gases::{Properties, in_table};
use super::log::Log;
use super::model::{Constants, Fire, Model};
use super::numbers::{any, below, pick};
use super::rates::Spark;
use super::state::{Gas, Ledger, State, fault};
use super::{STEP_DEG, TraceRow};
use crate::CylinderError;
use crate::flame::FlameTable;
use crate::turbulence;
use shortblock_gas::BurnedTable;
use shortblock_lanes::Lane;
use std::f64::consts::PI;

/// Steps without combustion over [`STEP_DEG`]: within [`NEAR_CENTRE`] of dead centre, and outside.
const MOTORED_NEAR: f64 = 2.0;
const MOTORED_FAR: f64 = 4.0;
const NEAR_CENTRE: f64 = 70.0 * PI / 180.0;
/// First step after the spark over the full one, and angle (rad) over which steps grow by a full one.
const KERNEL_STEP: f64 = 0.25;
const GROWTH_ANGLE: f64 = 6.0 * PI / 180.0;
/// Steps grow again behind this angle after dead centre (rad), by one over the second and by at most
/// the third, and all the more the less there is left to burn below the last.
const EXPANSION: f64 = 25.0 * PI / 180.0;
const WIDENING_ANGLE: f64 = 15.0 * PI / 180.0;
const WIDENING: f64 = 4.0;
const LITTLE_LEFT: f64 = 0.1;
/// Radius of the burned kernel that a spark leaves, m: it fills the plug's gap of 0.7 to 1.1 mm
/// (common practice, no source).
const KERNEL_RADIUS: f64 = 0.5e-3;
/// An angle so near its end (rad) has reached it.
const REACHED: f64 = 1e-9;
/// Step of a lane that waits, rad: thrown away.
const WAITING: f64 = 1e-2;

/// The cases of all lanes.
pub(super) struct Lot<'a, V> {
    pub k: Constants<V>,
    pub fire: Fire,
    /// Tables of the burned gas and of the flame, one a lane.
    pub tables: Vec<&'a BurnedTable>,
    pub flames: Vec<&'a FlameTable>,
}

/// Closed parts that are ready to be integrated side by side.
pub struct Run<'a, V> {
    lot: Lot<'a, V>,
    spark: V,
    course: Course<V>,
}

/// Closed parts at exhaust opening.
pub struct Ended<V> {
    state: State<V>,
    course: Course<V>,
}

/// What is known of the states that have passed.
struct Course<V> {
    log: Log<V>,
    /// Above 0 in lanes that have not failed.
    sound: V,
    failures: Vec<Option<CylinderError>>,
}

/// One integrated closed part.
#[derive(Clone, Debug)]
pub(super) struct Outcome {
    pub gas: Gas<f64>,
    pub ledger: Ledger<f64>,
    pub theta: f64,
    /// Angles at which a tenth, half and nine tenths had burned.
    pub marks: [Option<f64>; 3],
    pub peak: (f64, f64),
    pub peak_burned_temperature: f64,
    pub knock: f64,
    /// Steps with limited burning, and with burned gas outside its table.
    pub limited: u32,
    pub outside: u32,
    /// State at the spark, and at half burned: where the flame speed's range is looked at.
    pub looked_at: [Option<(f64, f64)>; 2],
    pub trace: Vec<TraceRow>,
}

impl<'a, V: Lane> Run<'a, V> {
    /// Prepares closed parts that burn in the same way, each with its spark (rad); lanes that are
    /// left over repeat the last.
    pub(super) fn new(parts: &[(&Model<'a>, f64)]) -> Self {
        let part = |i: usize| parts[i.min(parts.len() - 1)];
        let models: Vec<&Model<'a>> = (0..V::WIDTH).map(|i| part(i).0).collect();
        let numbers: Vec<&Constants<f64>> = models.iter().map(|m| &m.k).collect();
        let lot = Lot {
            k: Constants::gather(&numbers),
            fire: models[0].fire,
            tables: models.iter().map(|m| &m.case.mixture.table).collect(),
            flames: models.iter().filter_map(|m| m.case.burn.flame()).collect(),
        };
        let trace = (0..V::WIDTH).map(|i| i < parts.len() && models[i].case.trace).collect();
        Self {
            lot,
            spark: V::from_fn(|i| part(i).1),
            course: Course {
                log: Log::new(trace),
                sound: V::splat(1.0),
                failures: vec![None; V::WIDTH],
            },
        }
    }

    /// Integrates all lanes. Inlined, so that the caller compiles it for the instructions that the
    /// lanes need.
    #[inline(always)]
    pub fn integrate(self) -> Ended<V> {
        let Run { lot, spark, mut course } = self;
        let mut state = lot.start();
        course.log.add(&state, V::splat(1.0), false);
        if lot.fire == Fire::Never {
            lot.motor_to(lot.k.theta_evo, &mut state, &mut course);
        } else {
            lot.motor_to(spark, &mut state, &mut course);
            course.log.at_spark(&state.gas);
            let spark = lot.ignite(&mut state);
            course.log.add(&state, course.sound, true);
            lot.burn_out(&spark, &mut state, &mut course);
        }
        Ended { state, course }
    }
}

impl<V: Lane> Ended<V> {
    /// What became of lane `i`.
    pub(super) fn outcome(&mut self, i: usize) -> Result<Outcome, CylinderError> {
        match self.course.failures[i].take() {
            Some(failure) => Err(failure),
            None => Ok(self.course.log.outcome(&self.state, i)),
        }
    }
}

impl<V: Lane> Course<V> {
    /// Takes the next state in lanes that are `going` and keeps what was wrong where it is not sane.
    #[inline(always)]
    fn take(&mut self, next: State<V>, going: V, state: &mut State<V>, fired: bool) {
        let bad = going * (V::splat(1.0) - next.is_sane(fired));
        if any(bad) {
            for i in (0..V::WIDTH).filter(|i| bad.get(*i) > 0.0) {
                let (gas, good) = (next.gas.lane(i), state.gas.lane(i));
                self.failures[i] = Some(fault(next.theta.get(i), &gas, &good));
            }
        }
        self.sound -= bad;
        *state = next.or(state, going);
    }
}

/// Step over [`STEP_DEG`] for a state at an angle after the spark.
#[inline(always)]
fn step_after<V: Lane>(since: V, s: &State<V>) -> V {
    let (zero, one, part) = (V::splat(0.0), V::splat(1.0), V::splat);
    let burning = (part(KERNEL_STEP) + since * part(1.0 / GROWTH_ANGLE)).min(one);
    let left = one - s.gas.burned();
    let over = (part(2.0) - part(2.0 / LITTLE_LEFT) * left).clamp(zero, one);
    let behind = (s.theta - part(EXPANSION)) * part(1.0 / WIDENING_ANGLE);
    burning + over * behind.clamp(zero, part(WIDENING))
}

impl<V: Lane> Lot<'_, V> {
    /// Steps on without combustion. The log is not told of the last state before a flame.
    #[inline(always)]
    fn motor_to(&self, until: V, state: &mut State<V>, course: &mut Course<V>) {
        let (k, reached) = (&self.k, V::splat(REACHED));
        loop {
            let rest = until - state.theta;
            let going = below(reached, rest) * course.sound;
            if !any(going) {
                return;
            }
            let far = below(state.theta, V::splat(-NEAR_CENTRE) - k.unit)
                + below(V::splat(NEAR_CENTRE), state.theta);
            let whole = k.unit * pick(far, V::splat(MOTORED_FAR), V::splat(MOTORED_NEAR));
            let step = pick(going, whole.min(rest), V::splat(WAITING));
            let next = self.step(state, step, None, &mut V::splat(0.0));
            course.take(next, going, state, false);
            let told = match self.fire {
                Fire::Never => going,
                Fire::Wiebe | Fire::Entrained => going * below(reached, until - state.theta),
            };
            course.log.add(state, told, false);
        }
    }

    /// Steps on from the spark to exhaust opening.
    #[inline(always)]
    fn burn_out(&self, spark: &Spark<V>, state: &mut State<V>, course: &mut Course<V>) {
        let k = &self.k;
        let young = k.unit.min(V::splat(STEP_DEG.to_radians()));
        loop {
            let rest = k.theta_evo - state.theta;
            let going = below(V::splat(REACHED), rest) * course.sound;
            if !any(going) {
                return;
            }
            let since = state.theta - spark.theta;
            // A young flame is too quick for the longer steps of a first look.
            let unit = V::select_lt(since, V::splat(GROWTH_ANGLE), young, k.unit);
            let step = (unit * step_after(since, state)).min(rest);
            let step = pick(going, step, V::splat(WAITING));
            let mut limited = V::splat(0.0);
            let next = self.step(state, step, Some(spark), &mut limited);
            course.take(next, going, state, true);
            course.log.limited += going * limited;
            course.log.outside += going * (V::splat(1.0) - in_table(&state.gas));
            course.log.add(state, going, true);
        }
    }

    /// State at intake closing: the crevice is filled with charge at the liner's temperature.
    #[inline(always)]
    fn start(&self) -> State<V> {
        let k = &self.k;
        let (t, volume) = (k.temperature, self.volume(k.turn));
        let [h, cp] = self.enthalpy(t);
        let u = h - k.r * t;
        // p V = (m - per_pa p) R T
        let pressure = k.mass * k.r * t / (volume + k.crevice_mass_per_pa * k.r * t);
        let held = k.crevice_mass_per_pa * pressure;
        let mass_u = k.mass - held;
        let gas = Gas {
            volume,
            pressure,
            mass_u,
            t_u: t,
            liquid: k.liquid,
            crevice: [held, V::splat(0.0)],
            mean_energy: k.mean_energy,
            turbulent_energy: k.turbulent_energy,
            motored: pressure,
            ..Gas::default()
        };
        let ledger = Ledger {
            energy: mass_u * u,
            // The gas that fills the crevice cools to the wall and is compressed into it.
            crevice_heat: held * (u - k.crevice_enthalpy[0]),
            ..Ledger::default()
        };
        let mut properties = Properties::default();
        (properties.h_u, properties.cp_u) = (h, cp);
        let closures = self.closures(&gas, V::splat(1.0), None);
        State { theta: k.theta_ivc, turn: k.turn, gas, ledger, properties, closures }
    }

    /// Sets off a kernel of burned gas of the same enthalpy, already expanded.
    #[inline(always)]
    fn ignite(&self, s: &mut State<V>) -> Spark<V> {
        let ln_p = s.gas.pressure.ln();
        let [h, _] = self.enthalpy(s.gas.t_u);
        let mut t = V::splat(2600.0);
        let mut density = V::splat(0.0);
        let mut moving = V::splat(1.0);
        for _ in 0..20 {
            let b = self.burned(t, s.gas.pressure, ln_p);
            density = pick(moving, s.gas.pressure / (b.r * t), density);
            let step = (h - b.u - b.r * t) / (b.u_t + b.r + t * b.r_t);
            let next = (t + step).clamp(V::splat(300.0), V::splat(5000.0));
            t = pick(moving, next, t);
            moving = moving * below(V::splat(0.01), step.abs());
            if !any(moving) {
                break;
            }
        }
        let kernel =
            density * V::splat(4.0 / 3.0 * PI * KERNEL_RADIUS * KERNEL_RADIUS * KERNEL_RADIUS);
        let g = &mut s.gas;
        g.mass_b = kernel.min(V::splat(0.01) * g.mass_u);
        g.mass_u -= g.mass_b;
        g.t_b = t;
        g.time = V::splat(0.0);
        s.close(self, ln_p, true);
        let g = &s.gas;
        let spark = Spark {
            theta: s.theta,
            size: turbulence::size(g.volume, self.k.bore_area, self.k.bore),
            ln_density: g.pressure.ln() - g.t_u.ln(),
            kernel: g.mass_b,
        };
        s.closures = self.closures(g, V::splat(1.0), Some(&spark));
        spark
    }
}
