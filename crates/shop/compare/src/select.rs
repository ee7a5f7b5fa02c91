//! Which pulls and which speeds are compared.

use crate::CompareError;
use crate::compare::Plan;
use crate::design::Spot;
use crate::tried::{Mode, PullSet, SetAside, Tried};
use nalgebra::DMatrix;

/// Torque below this part of the best is left out.
const LEAST_TORQUE: f64 = 0.30;
/// Sweep rates closer than this are alike.
const RATE: f64 = 0.05;

/// Pulls and speeds ready for the model.
#[derive(Debug, Clone)]
pub(crate) struct Data {
    pub labels: Vec<String>,
    pub spots: Vec<Spot>,
    pub speeds_rpm: Vec<f64>,
    /// Logarithm of torque less what all have in common, one row a pull, one column a speed.
    pub y: DMatrix<f64>,
    pub different_dynos: bool,
}

impl Data {
    /// The same without some pulls.
    pub fn without(&self, out: impl Fn(usize) -> bool) -> Self {
        let keep: Vec<usize> = (0..self.spots.len()).filter(|&i| !out(i)).collect();
        Self {
            labels: keep.iter().map(|&i| self.labels[i].clone()).collect(),
            spots: keep.iter().map(|&i| self.spots[i].clone()).collect(),
            speeds_rpm: self.speeds_rpm.clone(),
            y: self.y.select_rows(&keep),
            different_dynos: self.different_dynos,
        }
    }

    /// Pulls of A and of B.
    pub fn counts(&self) -> (usize, usize) {
        let b = self.spots.iter().filter(|s| s.b).count();
        (self.spots.len() - b, b)
    }
}

/// The pulls of both builds on the used range, and for each whether it was set aside after the
/// difference was seen. Those set aside before are gone.
pub(crate) fn select(set: &PullSet, plan: &Plan) -> Result<(Data, Vec<bool>), CompareError> {
    check_grid(set)?;
    let pulls: Vec<&Tried> = set
        .pulls
        .iter()
        .filter(|p| p.build == plan.a || p.build == plan.b)
        .filter(|p| p.set_aside != Some(SetAside::BeforeSeen))
        .collect();
    let after: Vec<bool> = pulls.iter().map(|p| p.set_aside.is_some()).collect();
    for build in [&plan.a, &plan.b] {
        if !pulls.iter().zip(&after).any(|(p, out)| p.build == *build && !out) {
            return Err(CompareError::NoPull { build: build.clone() });
        }
    }
    for pull in &pulls {
        check_pull(pull, pulls[0], set.speeds_rpm.len())?;
    }
    let rates = |p: &&&Tried| p.mode == Mode::Sweep && !p.inertia_corrected;
    if let Some(first) = pulls.iter().find(rates) {
        check_rates(first, &pulls)?;
    }
    let used = used_speeds(set, plan, &pulls)?;
    let mut dynos: Vec<&str> = Vec::new();
    let mut spots = Vec::with_capacity(pulls.len());
    for pull in &pulls {
        let known = dynos.iter().position(|d| *d == pull.dyno);
        let dyno = known.unwrap_or(dynos.len());
        if known.is_none() {
            dynos.push(&pull.dyno);
        }
        spots.push(spot(pull, dyno, pull.build == plan.b));
    }
    // Differences alone count: less what all have in common they keep their digits.
    let common = pulls[0].ln_torque[used[0]];
    let y = DMatrix::from_fn(pulls.len(), used.len(), |i, g| pulls[i].ln_torque[used[g]] - common);
    let different_dynos = !(0..dynos.len()).any(|d| {
        let ran = |b| spots.iter().any(|s| s.dyno == d && s.b == b);
        ran(true) && ran(false)
    });
    let speeds_rpm = used.iter().map(|&g| set.speeds_rpm[g]).collect();
    let labels = pulls.iter().map(|p| p.label.clone()).collect();
    Ok((Data { labels, spots, speeds_rpm, y, different_dynos }, after))
}

fn spot(pull: &Tried, dyno: usize, b: bool) -> Spot {
    Spot {
        b,
        dyno,
        session: pull.session,
        block: pull.block,
        mode: pull.mode,
        order: pull.order,
        pulls_since_stop: pull.pulls_since_stop,
        ln_correction: pull.ln_correction,
        oil_celsius: pull.oil_temperature_celsius,
    }
}

fn check_grid(set: &PullSet) -> Result<(), CompareError> {
    let speeds = &set.speeds_rpm;
    let [first, second, ..] = speeds[..] else { return Err(CompareError::Grid) };
    let step = second - first;
    let even = |w: &[f64]| ((w[1] - w[0]) - step).abs() <= 1e-6 * step;
    if step > 0.0 && first.is_finite() && speeds.windows(2).all(even) {
        return Ok(());
    }
    Err(CompareError::Grid)
}

fn check_pull(pull: &Tried, first: &Tried, speeds: usize) -> Result<(), CompareError> {
    let label = || pull.label.clone();
    if pull.ln_torque.len() != speeds {
        let found = pull.ln_torque.len();
        return Err(CompareError::Length { label: label(), expected: speeds, found });
    }
    if pull.place != first.place {
        return Err(CompareError::Place { label: label() });
    }
    let numbers = [
        ("order", pull.order),
        ("pulls since a stop", pull.pulls_since_stop),
        ("logarithm of the correction factor", pull.ln_correction),
        ("oil temperature, °C", pull.oil_temperature_celsius.unwrap_or(0.0)),
    ];
    for (what, value) in numbers {
        if !value.is_finite() || (what == "pulls since a stop" && value < 0.0) {
            let what = format!("pull '{}': {what}", pull.label);
            return Err(CompareError::Number { what, value, remedy: "enter it again" });
        }
    }
    Ok(())
}

fn check_rates(first: &Tried, pulls: &[&Tried]) -> Result<(), CompareError> {
    // A rate that is no number is unlike any other.
    let alike = |a: f64, b: f64| (a - b).abs() <= RATE * b.abs() || a.is_nan() && b.is_nan();
    let mut rates: Vec<(f64, Vec<String>)> = vec![(first.sweep_rate_rpm_s, Vec::new())];
    for pull in pulls.iter().filter(|p| p.mode == Mode::Sweep) {
        let (rate, label) = (pull.sweep_rate_rpm_s, pull.label.clone());
        match rates.iter_mut().find(|(of, _)| alike(rate, *of)) {
            Some((_, labels)) => labels.push(label),
            None => rates.push((rate, vec![label])),
        }
    }
    match rates.len() {
        1 if first.sweep_rate_rpm_s.is_finite() => Ok(()),
        _ => Err(CompareError::SweepRate { rates }),
    }
}

/// Why a pull has no torque to compare: it was run elsewhere, or it reads next to nothing.
fn without_torque(set: &PullSet, pull: &Tried, asked: &[usize]) -> CompareError {
    let label = pull.label.clone();
    let finite: Vec<usize> =
        (0..set.speeds_rpm.len()).filter(|&g| pull.ln_torque[g].is_finite()).collect();
    match (finite.first(), finite.last()) {
        (Some(from), Some(to)) if !finite.iter().any(|g| asked.contains(g)) => {
            let (from_rpm, to_rpm) = (set.speeds_rpm[*from], set.speeds_rpm[*to]);
            CompareError::Outside { label, from_rpm, to_rpm }
        }
        _ => CompareError::NoTorque { label },
    }
}

/// Why no two speeds are covered by all: the pull without torque, or the two that lie furthest apart.
fn shared_by_none(
    set: &PullSet,
    pulls: &[&Tried],
    asked: &[usize],
    own: impl Fn(&Tried) -> Vec<usize>,
) -> CompareError {
    let mut begins: Option<(f64, &str)> = None;
    let mut ends: Option<(f64, &str)> = None;
    for pull in pulls {
        let places = own(pull);
        let (Some(from), Some(to)) = (places.first(), places.last()) else {
            return without_torque(set, pull, asked);
        };
        let (from, to) = (set.speeds_rpm[*from], set.speeds_rpm[*to]);
        if begins.is_none_or(|(rpm, _)| from > rpm) {
            begins = Some((from, &pull.label));
        }
        if ends.is_none_or(|(rpm, _)| to < rpm) {
            ends = Some((to, &pull.label));
        }
    }
    let (begins_rpm, first) = begins.unwrap_or((f64::NAN, ""));
    let (ends_rpm, last) = ends.unwrap_or((f64::NAN, ""));
    let (first, last) = (first.to_owned(), last.to_owned());
    CompareError::Range { first, begins_rpm, last, ends_rpm }
}

/// Grid places inside the plan's range that every pull covers with at least 30 % of the best.
fn used_speeds(set: &PullSet, plan: &Plan, pulls: &[&Tried]) -> Result<Vec<usize>, CompareError> {
    let finite = pulls.iter().flat_map(|p| &p.ln_torque).filter(|y| y.is_finite());
    let best = finite.fold(f64::NEG_INFINITY, |a, b| a.max(*b));
    let inside = |g: &usize| {
        let rpm = set.speeds_rpm[*g];
        rpm >= plan.from_rpm - 1e-6 && rpm <= plan.to_rpm + 1e-6
    };
    let enough = |p: &Tried, g: usize| {
        p.ln_torque[g].is_finite() && p.ln_torque[g] >= best + LEAST_TORQUE.ln()
    };
    let asked: Vec<usize> = (0..set.speeds_rpm.len()).filter(inside).collect();
    let covered = |g: &usize| pulls.iter().all(|p| enough(p, *g));
    let used: Vec<usize> = asked.iter().copied().filter(covered).collect();
    if used.len() < 2 {
        let own = |p: &Tried| asked.iter().copied().filter(|g| enough(p, *g)).collect::<Vec<_>>();
        return Err(shared_by_none(set, pulls, &asked, own));
    }
    Ok(used)
}
