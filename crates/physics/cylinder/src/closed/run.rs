//! One integration from intake closing to exhaust opening at a given spark.
//!
//! Second-order midpoint steps. What lies before the spark does not depend on it, so its states are
//! kept ([`Prefix`]) and every trial of a spark search starts at the last one before its spark.
//! Steps after the spark are counted from it, so results are smooth in the spark angle.

use super::model::{Fire, Model};
use super::rates::{KNOCK_END, NO_BURNED_GAS, Span, Spark, motored_rate};
use super::state::{Gas, Properties, State};
use super::{STEP_DEG, TraceRow};
use crate::CylinderError;
use crate::turbulence::Turbulence;
use shortblock_lanes::at_level;
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
/// Radius of the burned kernel that a spark leaves, m; own, of the size of the plug gap.
const KERNEL_RADIUS: f64 = 1.5e-3;
/// Burned mass fractions whose angles are kept.
const MARKS: [f64; 3] = [0.1, 0.5, 0.9];

/// Motored states from intake closing on.
pub(super) struct Prefix {
    /// Step while the charge burns, rad.
    step: f64,
    states: Vec<State>,
}

/// One integrated closed part.
#[derive(Clone, Debug)]
pub(super) struct Outcome {
    pub end: State,
    /// Angles at which [`MARKS`] were reached.
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

impl Prefix {
    pub fn new(model: &Model) -> Self {
        let step_deg = if model.case.step_deg > 0.0 { model.case.step_deg } else { STEP_DEG };
        let mut states = Vec::with_capacity(128);
        states.push(model.start());
        Self { step: step_deg.to_radians(), states }
    }

    /// The motored state at `theta` (rad, after intake closing) and the stored one before it.
    fn reach(&mut self, model: &Model, theta: f64) -> Result<(State, usize), CylinderError> {
        motor_to(model.level, model, &mut self.states, self.step, theta)?;
        let before = self.states.partition_point(|s| s.theta <= theta).max(1) - 1;
        let mut state = self.states[before];
        let rest = theta - state.theta;
        if rest > 1e-9 {
            model.step(&mut state, rest, None, &mut 0)?;
        }
        Ok((state, before))
    }
}

at_level! {
    /// Steps on from the spark to exhaust opening; `unit` is the unit of the steps, rad.
    fn burn_out[](model: &Model, s: &mut State, unit: f64, spark: &Spark, log: &mut Log)
    -> Result<(), CylinderError> {
        let evo = model.case.theta_evo;
        while s.theta < evo - 1e-9 {
            let since = s.theta - spark.theta;
            // A young flame is too quick for the longer steps of a first look.
            let unit = if since < GROWTH_ANGLE { unit.min(STEP_DEG.to_radians()) } else { unit };
            let step = (unit * step_after(since, s)).min(evo - s.theta);
            model.step(s, step, Some(spark), &mut log.limited)?;
            log.outside += u32::from(!model.table.contains(s.gas.t_b, s.gas.pressure));
            log.add(s);
        }
        Ok(())
    }
}

at_level! {
    /// Adds motored states until the next would lie beyond `theta` (rad); `unit` as above.
    fn motor_to[](model: &Model, states: &mut Vec<State>, unit: f64, theta: f64)
    -> Result<(), CylinderError> {
        loop {
            let mut state = states[states.len() - 1];
            let far = state.theta < -NEAR_CENTRE - unit || state.theta > NEAR_CENTRE;
            let next = unit * if far { MOTORED_FAR } else { MOTORED_NEAR };
            if state.theta + next > theta {
                return Ok(());
            }
            model.step(&mut state, next, None, &mut 0)?;
            states.push(state);
        }
    }
}

/// Step over [`STEP_DEG`] for a state at an angle after the spark.
#[inline(always)]
fn step_after(spark: f64, s: &State) -> f64 {
    let burning = (KERNEL_STEP + spark / GROWTH_ANGLE).min(1.0);
    let left = 1.0 - s.gas.burned();
    let over = (2.0 - 2.0 / LITTLE_LEFT * left).clamp(0.0, 1.0);
    burning + over * ((s.theta - EXPANSION) / WIDENING_ANGLE).clamp(0.0, WIDENING)
}

/// Sine and cosine after turning on by a small angle (at most a tenth of a rad, to rounding).
#[inline(always)]
fn turned([sin, cos]: [f64; 2], angle: f64) -> [f64; 2] {
    /// 1/(n (n + 1)) from the highest term of the series down.
    const SINE: [f64; 4] = [1.0 / 72.0, 1.0 / 42.0, 1.0 / 20.0, 1.0 / 6.0];
    const COSINE: [f64; 4] = [1.0 / 56.0, 1.0 / 30.0, 1.0 / 12.0, 1.0 / 2.0];
    let a = angle * angle;
    let series = |terms: [f64; 4]| terms.iter().fold(1.0, |sum, per| 1.0 - a * per * sum);
    let (s, c) = (angle * series(SINE), series(COSINE));
    [sin * c + cos * s, cos * c - sin * s]
}

impl Model<'_> {
    /// State at intake closing: the crevice is filled with charge at the liner's temperature.
    fn start(&self) -> State {
        let (case, u) = (self.case, &self.unburned);
        let c = &case.charge;
        let volume = case.mechanism.volume(case.theta_ivc);
        let t = c.temperature;
        let flow = match case.burn {
            super::Burn::Entrainment { turbulence, .. } => turbulence,
            _ => Turbulence::default(),
        };
        let per_pa = self.crevice_mass_per_pa;
        // p V = (m - per_pa p) R T
        let pressure = c.mass * u.r * t / (volume + per_pa * u.r * t);
        let held = per_pa * pressure;
        let mass_u = c.mass - held;
        State {
            theta: case.theta_ivc,
            turn: [case.theta_ivc.sin(), case.theta_ivc.cos()],
            properties: Properties { cp_u: u.cp(t), h_u: u.h(t), burned: NO_BURNED_GAS },
            gas: Gas {
                time: 0.0,
                volume,
                pressure,
                mass_u,
                t_u: t,
                liquid: c.liquid_fuel,
                crevice: [held, 0.0],
                flow,
                motored: pressure,
                mass_b: 0.0,
                t_b: 0.0,
                burning: 0.0,
            },
            closures: None,
            energy: mass_u * u.u(t),
            // The gas that fills the crevice cools to the wall and is compressed into it.
            crevice_heat: held * (u.u(t) - self.crevice_enthalpy[0]),
            knock: 0.0,
            work: 0.0,
            heat: [0.0; 3],
            latent: 0.0,
            leak: [0.0; 2],
            leak_enthalpy: 0.0,
        }
    }

    /// Moves the state one step of `dtheta` (rad) on.
    #[inline(always)]
    pub fn step(
        &self,
        s: &mut State,
        dtheta: f64,
        spark: Option<&Spark>,
        limited: &mut u32,
    ) -> Result<(), CylinderError> {
        let mechanism = self.case.mechanism;
        let before = &s.gas;
        let last_good = [before.pressure, before.t_u, before.t_b];
        let dt = dtheta / self.case.speed;
        let (half, middle) = (0.5 * dt, s.theta + 0.5 * dtheta);
        let turn_mid = turned(s.turn, 0.5 * dtheta);
        let turn_end = turned(turn_mid, 0.5 * dtheta);
        let v_mid = mechanism.volume_at(turn_mid[0], turn_mid[1]);
        let v_end = mechanism.volume_at(turn_end[0], turn_end[1]);
        let knocking = before.burned() < KNOCK_END;
        let burned_before = before.mass_b + before.crevice[1] + s.leak[1];
        let to_middle = Span {
            dt: half,
            volume_rate: (v_mid - before.volume) / half,
            end: middle,
            knocking,
            burned_before,
            ahead: half,
        };
        let rates = self.first_rates(s, &to_middle, spark);
        let slope = rates.pressure;
        let mut mid = before.after(&rates, half, v_mid);
        mid.motored += half * motored_rate(before.motored, before.volume, to_middle.volume_rate);
        let whole = Span {
            dt,
            volume_rate: (v_end - before.volume) / dt,
            end: s.theta + dtheta,
            knocking,
            burned_before,
            ahead: 0.0,
        };
        let (rates, closures) = self.middle_rates(&mut mid, &whole, spark, limited);
        let work = step_work(
            before.pressure,
            half * slope,
            before.pressure + dt * rates.pressure,
            [before.volume, v_mid, v_end],
        );
        let motored = before.motored + dt * motored_rate(mid.motored, v_mid, whole.volume_rate);
        s.advance(&rates, dt, dtheta, v_end, work);
        s.gas.motored = motored;
        s.turn = turn_end;
        s.closures = Some(closures);
        s.close(self);
        if spark.is_none() {
            s.gas.motored = s.gas.pressure;
        }
        s.check(last_good)
    }

    /// Sets off a kernel of burned gas of the same enthalpy, already expanded.
    fn ignite(&self, s: &mut State) -> Spark {
        let g = &mut s.gas;
        let h = self.unburned.h(g.t_u);
        let mut t = 2600.0;
        let mut density = 0.0;
        for _ in 0..20 {
            let b = self.table.state(t, g.pressure);
            density = g.pressure / (b.r * t);
            let step = (h - b.u - b.r * t) / (b.u_t + b.r + t * b.r_t);
            t = (t + step).clamp(300.0, 5000.0);
            if step.abs() < 0.01 {
                break;
            }
        }
        let kernel = density * 4.0 / 3.0 * PI * KERNEL_RADIUS.powi(3);
        g.mass_b = kernel.min(0.01 * g.mass_u);
        g.mass_u -= g.mass_b;
        g.t_b = t;
        g.time = 0.0;
        s.closures = None;
        s.close(self);
        let g = &s.gas;
        Spark {
            theta: s.theta,
            length: self.integral_length(g.volume),
            density: g.pressure / g.t_u,
            kernel: g.mass_b,
        }
    }

    /// Integrates with the spark at `spark` (rad; ignored when motored).
    pub fn run(&self, prefix: &mut Prefix, spark: f64) -> Result<Outcome, CylinderError> {
        let evo = self.case.theta_evo;
        let fires = !matches!(self.burn, Fire::Never);
        let (mut s, stored) = prefix.reach(self, if fires { spark } else { evo })?;
        let mut log = Log::new(self.case.trace);
        for state in &prefix.states[..=stored] {
            log.add(state);
        }
        if fires {
            log.looked_at[0] = Some((s.gas.t_u, s.gas.pressure));
            let spark = self.ignite(&mut s);
            log.add(&s);
            burn_out(self.level, self, &mut s, prefix.step, &spark, &mut log)?;
        } else if s.theta > prefix.states[stored].theta {
            log.add(&s);
        }
        Ok(log.outcome(s))
    }
}

/// What the log needs of the states before.
#[derive(Clone, Copy, Default)]
struct Seen {
    theta: f64,
    pressure: f64,
    burned: f64,
    knock: f64,
}

/// Work of one step, J: the parabola of pressure through its start, its slope there (`half_rise`,
/// Pa over half a step) and its end, over the parabola of volume through start, middle and end.
/// Plain midpoint work is of the same order with an error twenty times larger.
#[inline(always)]
fn step_work(start: f64, half_rise: f64, end: f64, volume: [f64; 3]) -> f64 {
    let middle = 0.75 * start + 0.25 * end + 0.5 * half_rise;
    let (first, second) = (volume[1] - volume[0], volume[2] - volume[1]);
    (first + second) * (start + 4.0 * middle + end) * (1.0 / 6.0)
        + (end - start) * (second - first) * (1.0 / 3.0)
}

/// Collects what is reported while the states pass by.
struct Log {
    last: [Seen; 2],
    count: usize,
    marks: [Option<f64>; 3],
    peak: (f64, f64),
    hottest: f64,
    knock: Option<f64>,
    limited: u32,
    outside: u32,
    looked_at: [Option<(f64, f64)>; 2],
    trace: Option<Vec<TraceRow>>,
}

impl Log {
    fn new(trace: bool) -> Self {
        Self {
            last: [Seen::default(); 2],
            count: 0,
            marks: [None; 3],
            peak: (0.0, 0.0),
            hottest: 0.0,
            knock: None,
            limited: 0,
            outside: 0,
            looked_at: [None; 2],
            trace: trace.then(Vec::new),
        }
    }

    #[inline]
    fn add(&mut self, s: &State) {
        if let Some(trace) = &mut self.trace {
            trace.push(TraceRow {
                angle: s.theta,
                volume: s.gas.volume,
                pressure: s.gas.pressure,
                unburned_temperature: s.gas.t_u,
                burned_temperature: s.gas.t_b,
                burned: s.gas.burned(),
                heat: s.heat.iter().sum::<f64>() + s.crevice_heat,
                work: s.work,
            });
        }
        let [before, last] = self.last;
        if self.count >= 2 && last.pressure >= before.pressure && last.pressure >= s.gas.pressure {
            let peak = vertex(
                [before.theta, last.theta, s.theta],
                [before.pressure, last.pressure, s.gas.pressure],
            );
            if peak.1 > self.peak.1 {
                self.peak = peak;
            }
        }
        if s.gas.mass_b > 0.0 {
            self.burned(&last, s);
        }
        let burned = if s.gas.mass_b > 0.0 { s.gas.burned() } else { 0.0 };
        let (theta, pressure, knock) = (s.theta, s.gas.pressure, s.knock);
        self.last = [last, Seen { theta, pressure, burned, knock }];
        self.count += 1;
    }

    #[inline]
    fn burned(&mut self, last: &Seen, s: &State) {
        self.hottest = self.hottest.max(s.gas.t_b);
        let (x0, x1) = (last.burned, s.gas.burned());
        let part = |x: f64| (x - x0) / (x1 - x0);
        for (i, x) in MARKS.iter().enumerate() {
            if self.marks[i].is_none() && x1 >= *x && x1 > x0 {
                self.marks[i] = Some(last.theta + part(*x) * (s.theta - last.theta));
                if i == 1 {
                    self.looked_at[1] = Some((s.gas.t_u, s.gas.pressure));
                }
            }
        }
        if self.knock.is_none() && x1 >= KNOCK_END && x1 > x0 {
            // Of the step that passes the end only a part counts.
            self.knock =
                Some(last.knock + part(KNOCK_END).clamp(0.0, 1.0) * (s.knock - last.knock));
        }
    }

    fn outcome(self, end: State) -> Outcome {
        Outcome {
            end,
            marks: self.marks,
            peak: self.peak,
            peak_burned_temperature: self.hottest,
            knock: self.knock.unwrap_or(end.knock),
            limited: self.limited,
            outside: self.outside,
            looked_at: self.looked_at,
            trace: self.trace.unwrap_or_default(),
        }
    }
}

/// Place and height of the top of the parabola through three points, the middle one highest.
pub(super) fn vertex(x: [f64; 3], y: [f64; 3]) -> (f64, f64) {
    let (a, b) = (x[0] - x[1], x[2] - x[1]);
    let (c, d) = (y[0] - y[1], y[2] - y[1]);
    let det = a * b * (a - b);
    if det == 0.0 {
        return (x[1], y[1]);
    }
    let curve = (c * b - d * a) / det;
    let slope = (d * a * a - c * b * b) / det;
    if curve >= 0.0 {
        return (x[1], y[1]);
    }
    let at = (-0.5 * slope / curve).clamp(a.min(b), a.max(b));
    (x[1] + at, y[1] + slope * at + curve * at * at)
}
