//! Fixed and random columns of a set of pulls.

use crate::tried::Mode;
use nalgebra::DMatrix;

/// What the design needs to know of one pull.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Spot {
    pub b: bool,
    pub dyno: usize,
    pub session: u32,
    pub block: u32,
    pub mode: Mode,
    pub order: f64,
    pub pulls_since_stop: f64,
    pub ln_correction: f64,
    pub oil_celsius: Option<f64>,
}

/// Pulls of one mode, and the columns their scatter is measured beside: refits, then drift of each
/// session where three pulls are left for it. Sweeps and held speeds read differently and scatter
/// each in their own way, so neither is measured beside the other.
#[derive(Debug, Clone)]
pub(crate) struct Within {
    pub mode: Mode,
    pub rows: Vec<usize>,
    pub columns: DMatrix<f64>,
}

/// Columns of the model.
#[derive(Debug, Clone)]
pub(crate) struct Columns {
    /// Levels (one per dyno and mode), then B.
    pub fixed: DMatrix<f64>,
    /// What pull scatter is measured beside, for each mode that there is.
    pub within: Vec<Within>,
    pub block: DMatrix<f64>,
    pub session: DMatrix<f64>,
    pub slope: DMatrix<f64>,
    pub warm_up: DMatrix<f64>,
    pub correction: DMatrix<f64>,
    pub oil: DMatrix<f64>,
    /// One column per dyno when A and B share none; else no column.
    pub dyno: DMatrix<f64>,
}

/// Builds the columns. The levels are fixed per dyno where some dyno ran both A and B; where none
/// did, dynos are a random column and `dyno` has columns.
pub(crate) fn columns(spots: &[Spot]) -> Columns {
    let blocks = groups(spots, |s| (s.dyno, s.session, s.block));
    let sessions = groups(spots, |s| (s.dyno, s.session, 0));
    let dynos = groups(spots, |s| (s.dyno, 0, 0));
    let shared = (0..dynos.ncols()).any(|d| {
        let ran = |b| (0..spots.len()).any(|i| dynos[(i, d)] > 0.0 && spots[i].b == b);
        ran(true) && ran(false)
    });
    let slope = per_session(&sessions, &centred(&sessions, spots, |s| s.order));
    let within =
        [Mode::Sweep, Mode::Steady].into_iter().filter_map(|m| within(spots, &blocks, &slope, m));
    Columns {
        fixed: fixed(spots, if shared { Some(&dynos) } else { None }),
        within: within.collect(),
        slope,
        warm_up: per_session(
            &sessions,
            &spots.iter().map(|s| (-s.pulls_since_stop / 2.0).exp()).collect::<Vec<_>>(),
        ),
        correction: one_column(spots, |s| Some(s.ln_correction)),
        oil: one_column(spots, |s| s.oil_celsius),
        dyno: if shared { DMatrix::zeros(spots.len(), 0) } else { dynos },
        block: blocks,
        session: sessions,
    }
}

fn within(
    spots: &[Spot],
    blocks: &DMatrix<f64>,
    slope: &DMatrix<f64>,
    mode: Mode,
) -> Option<Within> {
    let rows: Vec<usize> = (0..spots.len()).filter(|&i| spots[i].mode == mode).collect();
    let of_mode = |m: &DMatrix<f64>| {
        let here = |i: usize| f64::from(u8::from(spots[i].mode == mode));
        DMatrix::from_fn(m.nrows(), m.ncols(), |i, j| m[(i, j)] * here(i))
    };
    let blocks = of_mode(blocks);
    let fits = blocks.column_iter().filter(|c| c.iter().any(|v| *v != 0.0)).count();
    let columns =
        if rows.len() >= fits + 3 { join(&blocks, &of_mode(slope)) } else { blocks.clone() };
    (!rows.is_empty()).then_some(Within { mode, rows, columns })
}

/// One column per group of equal keys.
fn groups<K: PartialEq>(spots: &[Spot], key: impl Fn(&Spot) -> K) -> DMatrix<f64> {
    let mut seen: Vec<K> = Vec::new();
    let of: Vec<usize> = spots
        .iter()
        .map(|s| {
            let k = key(s);
            seen.iter().position(|other| *other == k).unwrap_or_else(|| {
                seen.push(k);
                seen.len() - 1
            })
        })
        .collect();
    DMatrix::from_fn(spots.len(), seen.len(), |i, j| f64::from(u8::from(of[i] == j)))
}

fn fixed(spots: &[Spot], dynos: Option<&DMatrix<f64>>) -> DMatrix<f64> {
    let n = spots.len();
    let mut x = match dynos {
        Some(dynos) => dynos.clone(),
        None => DMatrix::from_element(n, 1, 1.0),
    };
    if spots.iter().any(|s| s.mode != spots[0].mode) {
        x = join(
            &x,
            &DMatrix::from_fn(n, 1, |i, _| f64::from(u8::from(spots[i].mode == Mode::Steady))),
        );
    }
    join(&x, &DMatrix::from_fn(n, 1, |i, _| f64::from(u8::from(spots[i].b))))
}

fn centred(sessions: &DMatrix<f64>, spots: &[Spot], value: impl Fn(&Spot) -> f64) -> Vec<f64> {
    let mut values: Vec<f64> = spots.iter().map(value).collect();
    for session in sessions.column_iter() {
        let count = session.sum();
        let mean = session.iter().zip(&values).map(|(w, v)| w * v).sum::<f64>() / count;
        for (v, w) in values.iter_mut().zip(session.iter()) {
            *v -= w * mean;
        }
    }
    values
}

fn per_session(sessions: &DMatrix<f64>, values: &[f64]) -> DMatrix<f64> {
    DMatrix::from_fn(sessions.nrows(), sessions.ncols(), |i, j| sessions[(i, j)] * values[i])
}

/// One centred column; pulls without the value stand at the mean of the others.
fn one_column(spots: &[Spot], value: impl Fn(&Spot) -> Option<f64>) -> DMatrix<f64> {
    let given: Vec<f64> = spots.iter().filter_map(&value).collect();
    let mean = if given.is_empty() { 0.0 } else { given.iter().sum::<f64>() / given.len() as f64 };
    DMatrix::from_fn(spots.len(), 1, |i, _| value(&spots[i]).map_or(0.0, |v| v - mean))
}

fn join(left: &DMatrix<f64>, right: &DMatrix<f64>) -> DMatrix<f64> {
    let k = left.ncols();
    DMatrix::from_fn(left.nrows(), k + right.ncols(), |i, j| {
        if j < k { left[(i, j)] } else { right[(i, j - k)] }
    })
}
