//! Made-up sessions with a known truth, for the operating characteristics.
//!
//! Every draw comes from a generator seeded with a hash of the cell's name, so a cell gives the
//! same sessions wherever it runs.

use rand::{Rng, SeedableRng};
use rand_xoshiro::Xoshiro256PlusPlus;
use shortblock_compare::*;

/// Where the scatter used by the comparison comes from.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Told {
    /// From a history that has seen the truth: 12, 8 and 8 degrees of freedom, itself with luck.
    Right,
    /// The same with 24 degrees of freedom for the pulls.
    Long,
    /// From the shipped assumptions.
    Assumed,
}

/// What the made-up engine and dyno do. Standard deviations in per cent.
#[derive(Debug, Clone, Copy)]
pub struct Truth {
    pub offset: f64,
    pub smooth: f64,
    pub white: f64,
    pub uneven: bool,
    pub refit: f64,
    pub refit_shaped: bool,
    pub slope: f64,
    pub bend: f64,
    pub warm_up: f64,
    pub session: f64,
    pub session_spread: f64,
    pub outliers: bool,
    pub dropped: bool,
    /// True difference, %; and a bump at 6300 rpm, %.
    pub effect: f64,
    pub bump: f64,
}

/// Offset 0.30, smooth 0.20 (300 rpm), white 0.05 %; nothing else.
pub const QUIET: Truth = Truth {
    offset: 0.30,
    smooth: 0.20,
    white: 0.05,
    uneven: false,
    refit: 0.0,
    refit_shaped: false,
    slope: 0.0,
    bend: 0.0,
    warm_up: 0.0,
    session: 0.0,
    session_spread: 0.0,
    outliers: false,
    dropped: false,
    effect: 0.0,
    bump: 0.0,
};

/// One cell of the table.
#[derive(Debug, Clone)]
pub struct Cell {
    pub name: String,
    pub order: &'static str,
    pub change: Change,
    pub truth: Truth,
    pub told: Told,
    /// A on one day, B on another.
    pub two_days: bool,
    /// Looked at after every pull from the third on, and extended once by ABBA.
    pub looks: bool,
}

/// What came of a cell.
#[derive(Debug, Clone, Copy, Default)]
pub struct Tally {
    pub real: usize,
    pub covered: usize,
    pub band_covered: usize,
    pub equivalent: usize,
    /// Averages with p under 0.05.
    pub under_5: usize,
    pub delta_sum: f64,
    pub half_sum: f64,
}

const SPEEDS: usize = 81;

fn rpm(g: usize) -> f64 {
    3000.0 + 50.0 * g as f64
}

/// Standard normal deviates.
pub struct Deviates(Xoshiro256PlusPlus, Option<f64>);

impl Deviates {
    /// Seeded with the FNV-1a hash of a name.
    pub fn named(name: &str) -> Self {
        let hash = name.bytes().fold(0xcbf2_9ce4_8422_2325_u64, |h, b| {
            (h ^ u64::from(b)).wrapping_mul(0x0100_0000_01b3)
        });
        Self(Xoshiro256PlusPlus::seed_from_u64(hash), None)
    }

    fn uniform(&mut self) -> f64 {
        ((self.0.next_u64() >> 11) as f64 + 0.5) / (1u64 << 53) as f64
    }

    /// Box-Muller.
    pub fn normal(&mut self) -> f64 {
        if let Some(z) = self.1.take() {
            return z;
        }
        let r = (-2.0 * self.uniform().ln()).sqrt();
        let angle = std::f64::consts::TAU * self.uniform();
        self.1 = Some(r * angle.sin());
        r * angle.cos()
    }

    fn chi2_over_dof(&mut self, dof: usize) -> f64 {
        (0..dof).map(|_| self.normal().powi(2)).sum::<f64>() / dof as f64
    }
}

/// Gaussian noise over the speed grid with unit variance and the given width (FWHM, rpm).
pub fn smooth(d: &mut Deviates, fwhm_rpm: f64) -> Vec<f64> {
    // White noise under a Gaussian kernel has the kernel's width (Worsley et al. 1996).
    let sd = fwhm_rpm / 2.3548 / 50.0;
    let reach = (3.0 * sd).ceil() as usize;
    let kernel: Vec<f64> =
        (0..=2 * reach).map(|i| (-0.5 * ((i as f64 - reach as f64) / sd).powi(2)).exp()).collect();
    let norm = kernel.iter().map(|k| k * k).sum::<f64>().sqrt();
    let white: Vec<f64> = (0..SPEEDS + 2 * reach).map(|_| d.normal()).collect();
    let at = |g: usize| kernel.iter().zip(&white[g..]).map(|(k, w)| k * w).sum::<f64>() / norm;
    (0..SPEEDS).map(at).collect()
}

fn true_effect(truth: &Truth, g: usize) -> f64 {
    let bump = truth.bump * (-((rpm(g) - 6300.0) / 500.0).powi(2)).exp();
    (truth.effect + bump) / 100.0
}

fn unevenness(truth: &Truth, g: usize) -> f64 {
    if !truth.uneven {
        return 1.0;
    }
    let x = g as f64 / (SPEEDS - 1) as f64;
    1.0 + 1.5 * (1.0 - 4.0 * x).max(0.0) + (4.0 * x - 3.0).max(0.0)
}

/// One session: the pulls of an order.
fn session(cell: &Cell, order: &Order, d: &mut Deviates) -> PullSet {
    let t = &cell.truth;
    let n = order.pulls().len();
    let blocks = order.blocks();
    let days = if cell.two_days { 2 } else { 1 };
    let refits: Vec<Vec<f64>> = (0..=order.changes())
        .map(|_| {
            let flat = d.normal();
            if t.refit_shaped { smooth(d, 1500.0) } else { vec![flat; SPEEDS] }
        })
        .collect();
    let day: Vec<[f64; 4]> =
        (0..days).map(|_| [d.normal(), d.normal(), d.normal(), d.normal()]).collect();
    let louder = (t.session_spread * d.normal()).exp();
    let outlier = (d.uniform() * n as f64) as usize;
    let stops = cell.change != Change::Setting;
    let (mut since, mut place) = (0.0, 0.0);
    let pulls = (0..n).map(|i| {
        let b = order.pulls()[i];
        let session = if cell.two_days { u32::from(b) } else { 0 };
        let [shift, slope, warm, bend] = day[session as usize];
        let new_block = i > 0 && blocks[i] != blocks[i - 1];
        since = if i == 0 || (new_block && (stops || cell.two_days)) { 0.0 } else { since + 1.0 };
        place = if i == 0 || (new_block && cell.two_days) { 0.0 } else { place + 1.0 };
        // Student's t with 4 degrees of freedom and unit variance, once in a session thrice as far.
        let heavy = if t.outliers { (0.5 / d.chi2_over_dof(4)).sqrt() } else { 1.0 };
        let heavy = if t.outliers && i == outlier { 3.0 * heavy } else { heavy };
        let offset = t.offset * d.normal();
        let wave = smooth(d, 300.0);
        let x = 2.0 * i as f64 / (n.max(2) - 1) as f64 - 1.0;
        let common = t.session * shift
            + t.slope * slope * place
            + t.warm_up * warm * (-since / 2.0_f64).exp()
            + t.bend * bend * x * x;
        let ln_torque = (0..SPEEDS)
            .map(|g| {
                let noise = (offset + t.smooth * wave[g] + t.white * d.normal())
                    * louder
                    * heavy
                    * unevenness(t, g);
                let refit = t.refit * refits[blocks[i] as usize][g];
                let effect = if b { true_effect(t, g) } else { 0.0 };
                6.3 + (common + noise + refit) / 100.0 + effect
            })
            .collect();
        Tried {
            label: format!("pull {}", i + 1),
            session,
            pulls_since_stop: since,
            ..tried(if b { "b" } else { "a" }, blocks[i], place, ln_torque)
        }
    });
    let mut pulls: Vec<Tried> = pulls.collect();
    if t.dropped {
        pulls.remove(1);
    }
    PullSet { speeds_rpm: (0..SPEEDS).map(rpm).collect(), pulls }
}

/// A sweep on one dyno, one after the other in one session, without a stop.
pub fn tried(build: &str, block: u32, order: f64, ln_torque: Vec<f64>) -> Tried {
    Tried {
        label: format!("pull {}", order + 1.0),
        build: build.to_string(),
        dyno: "cell".to_string(),
        session: 0,
        block,
        order,
        pulls_since_stop: order,
        ln_correction: 0.0,
        oil_temperature_celsius: None,
        mode: Mode::Sweep,
        place: Place::Crank,
        sweep_rate_rpm_s: 300.0,
        inertia_corrected: false,
        ln_torque,
        set_aside: None,
    }
}

fn known(d: &mut Deviates, sd_per_cent: f64, dof: usize) -> Known {
    let mut known = Known::assumed_per_cent(sd_per_cent);
    let luck = d.chi2_over_dof(dof);
    known.variance = Profile::flat(known.variance.at(0.0) * luck);
    Known { dof: dof as f64, origin: Origin::History { sessions: 3 }, ..known }
}

fn scatter(cell: &Cell, d: &mut Deviates) -> Scatter {
    let mut scatter = Scatter::assumed(DynoKind::Engine, cell.change);
    if cell.told == Told::Assumed {
        return scatter;
    }
    let t = &cell.truth;
    let dof = if cell.told == Told::Long { 24 } else { 12 };
    let luck = d.chi2_over_dof(dof);
    let sd = (t.offset.powi(2) + t.smooth.powi(2) + t.white.powi(2)).sqrt() / 100.0;
    let band = |b: usize| {
        let g = (5 * b + 2).min(SPEEDS - 1);
        (sd * unevenness(t, g)).powi(2) * luck
    };
    let variance = Profile::bands(3000.0, (0..17).map(band).collect()).unwrap();
    scatter.pull = Known { variance, dof: dof as f64, origin: Origin::History { sessions: 3 } };
    scatter.refit = known(d, t.refit, 8);
    scatter.slope = known(d, t.slope, 8);
    scatter.warm_up = known(d, t.warm_up, 8);
    scatter.session = known(d, t.session, 8);
    scatter
}

fn plan(pulls: usize) -> Plan {
    Plan {
        a: "a".to_string(),
        b: "b".to_string(),
        from_rpm: 3000.0,
        to_rpm: 7000.0,
        planned_pulls: pulls,
        extended: false,
        margin: Margin::per_cent(0.5).unwrap(),
    }
}

/// Runs a cell.
pub fn run(cell: &Cell, sessions: usize) -> Tally {
    let mut d = Deviates::named(&cell.name);
    let mut tally = Tally::default();
    for _ in 0..sessions {
        let scatter = scatter(cell, &mut d);
        let (o, real) = if cell.looks {
            looked_at(cell, &scatter, &mut d)
        } else {
            let set = session(cell, &Order::parse(cell.order).unwrap(), &mut d);
            let o = answer(&set, &scatter, &plan(set.pulls.len())).unwrap();
            let real = o.verdict.is_real();
            (o, real)
        };
        count(&mut tally, cell, &o, real);
    }
    tally
}

/// Looks after every pull, stops at the first "real", and extends once by ABBA.
fn looked_at(cell: &Cell, scatter: &Scatter, d: &mut Deviates) -> (Outcome, bool) {
    let planned = Order::parse(cell.order).unwrap().pulls().len();
    let whole = session(cell, &Order::parse(&format!("{}ABBA", cell.order)).unwrap(), d);
    let first = |n: usize| PullSet { pulls: whole.pulls[..n].to_vec(), ..whole.clone() };
    for n in 3..planned {
        if let Ok(o) = answer(&first(n), scatter, &plan(planned))
            && o.verdict.is_real()
        {
            return (o, true);
        }
    }
    let o = answer(&first(planned), scatter, &plan(planned)).unwrap();
    if o.verdict != Verdict::CantTell {
        let real = o.verdict.is_real();
        return (o, real);
    }
    let extended = Plan { extended: true, ..plan(whole.pulls.len()) };
    let o = answer(&whole, scatter, &extended).unwrap();
    let real = o.verdict.is_real();
    (o, real)
}

fn count(tally: &mut Tally, cell: &Cell, o: &Outcome, real: bool) {
    let truth = (0..SPEEDS).map(|g| true_effect(&cell.truth, g)).sum::<f64>() / SPEEDS as f64;
    tally.real += usize::from(real);
    tally.under_5 += usize::from(o.average.p_value() < 0.05);
    tally.covered += usize::from(o.interval.low <= truth && truth <= o.interval.high);
    let inside =
        |g: usize| (o.band.delta[g] - true_effect(&cell.truth, g)).abs() <= o.band.half_width[g];
    tally.band_covered += usize::from((0..SPEEDS).all(inside));
    tally.equivalent += usize::from(matches!(o.verdict, Verdict::NoDifferenceWorthHaving { .. }));
    tally.delta_sum += o.average.delta - truth;
    tally.half_sum += 0.5 * (o.interval.high - o.interval.low);
}
