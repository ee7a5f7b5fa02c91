//! Gases in ducts: frozen composition, sensible energy as a quintic of temperature.
//!
//! `e(T) = sum_{k=1..5} e_k (T/1000)^k` in J/kg, mixed by mass fractions like the gas constant.
//! The energy has no formation part, so f32 keeps its digits. Temperature from energy starts
//! from a specific heat linear in temperature and takes exactly one Newton step: no loop and no
//! branch, and the same state always gives the same temperature.

use shortblock_lanes::{Lane, lanewise};

/// Temperatures between which the start of the inversion is fitted, K. Ours.
const FIT_RANGE_K: (f64, f64) = (250.0, 2200.0);
/// Points of that fit.
const FIT_POINTS: usize = 40;
/// Temperature scale of the polynomial, K.
const SCALE_K: f64 = 1000.0;

/// One gas: plain numbers.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Gas {
    /// Gas constant, J/(kg K).
    pub r: f64,
    /// Coefficients `e_1..e_5` of the sensible energy, J/kg, for temperature in 1000 K.
    pub e: [f64; 5],
}

impl Gas {
    /// A gas whose ratio of specific heats does not change.
    pub fn constant_gamma(r: f64, gamma: f64) -> Gas {
        Gas { r, e: [r / (gamma - 1.0) * SCALE_K, 0.0, 0.0, 0.0, 0.0] }
    }

    /// Coefficients (a, b) of `e = a x + b x^2 / 2`, x in 1000 K, least relative squares.
    fn start(&self) -> [f64; 2] {
        let (mut s11, mut s12, mut s22, mut s1, mut s2) = (0.0, 0.0, 0.0, 0.0, 0.0);
        for i in 0..FIT_POINTS {
            let (lo, hi) = FIT_RANGE_K;
            let x = (lo + (hi - lo) * i as f64 / (FIT_POINTS - 1) as f64) / SCALE_K;
            // divided by x: mean specific heat c = a + b x / 2
            let mean = self.e.iter().rev().fold(0.0, |sum, c| sum * x + c);
            let h = 0.5 * x;
            s11 += 1.0;
            s12 += h;
            s22 += h * h;
            s1 += mean;
            s2 += h * mean;
        }
        let det = s11 * s22 - s12 * s12;
        [(s1 * s22 - s2 * s12) / det, (s2 * s11 - s1 * s12) / det]
    }
}

/// Gas 0 and the differences of the `S` transported gases from it, per lane.
#[derive(Clone, Copy, Debug)]
#[repr(C)]
pub struct GasSet<V, const S: usize> {
    base: Mixture<V>,
    difference: [Mixture<V>; S],
}

/// What follows from a mixture's energy.
#[derive(Clone, Copy)]
pub(crate) struct Inverted<V> {
    /// Temperature, K.
    pub t: V,
    /// Specific volume, m3/kg.
    pub v: V,
    /// Ratio of specific heats.
    pub gamma: V,
    /// 1 / (heat capacity at constant pressure), per mass or per volume as the weights.
    pub inverse_heat_capacity: V,
}

/// A mixture at a point: gas constant and energy polynomial.
#[derive(Clone, Copy, Debug)]
#[repr(C)]
pub struct Mixture<V> {
    /// Gas constant, J/(kg K).
    pub r: V,
    e: [V; 5],
    start: [V; 2],
}

lanewise!(Mixture { r, e, start });
lanewise!(GasSet, S { base, difference });

impl<V: Lane> Mixture<V> {
    /// What `gas` has more than `other`. The fit of the start is linear in the coefficients, so a
    /// mixture's start is the mixture of starts.
    fn difference(gas: &Gas, other: &Gas) -> Self {
        let (start, other_start) = (gas.start(), other.start());
        Self {
            r: V::splat(gas.r - other.r),
            e: std::array::from_fn(|k| V::splat(gas.e[k] - other.e[k])),
            start: std::array::from_fn(|k| V::splat(start[k] - other_start[k])),
        }
    }

    /// Sensible internal energy in J/kg at temperature `t` in K.
    #[inline(always)]
    pub fn energy(&self, t: V) -> V {
        let x = t * V::splat(1.0 / SCALE_K);
        let mut sum = self.e[4];
        for k in (0..4).rev() {
            sum = sum.mul_add(x, self.e[k]);
        }
        sum * x
    }

    /// Sensible enthalpy in J/kg at temperature `t` in K.
    #[inline(always)]
    pub fn enthalpy(&self, t: V) -> V {
        self.r.mul_add(t, self.energy(t))
    }

    /// Specific heat at constant volume in J/(kg K) at temperature `t` in K.
    #[inline(always)]
    pub fn cv(&self, t: V) -> V {
        let (_, slope) = self.energy_and_slope(t * V::splat(1.0 / SCALE_K));
        slope * V::splat(1.0 / SCALE_K)
    }

    /// Ratio of specific heats at temperature `t` in K.
    #[inline(always)]
    pub fn gamma(&self, t: V) -> V {
        V::splat(1.0) + self.r / self.cv(t)
    }

    /// Temperature in K, ratio of specific heats and `1 / cp` in kg K/J from sensible energy `e`
    /// in J/kg.
    ///
    /// One Newton step from the closed form: the temperature is within 1e-4 of the exact
    /// inverse, the sound speed within 1e-3, between 250 K and 2200 K.
    #[inline(always)]
    pub fn temperature(&self, e: V) -> (V, V, V) {
        let state = self.invert(V::splat(1.0), e);
        (state.t, state.gamma, state.inverse_heat_capacity)
    }

    /// As [`Mixture::temperature`] for a mixture weighted by density ([`GasSet::weigh`]): `rho` is
    /// the density and `k` density times internal energy per volume.
    ///
    /// The root of `a x + b x^2 / 2 = e`, `2 e / (a + sqrt(a^2 + 2 b e))`, starts the Newton step
    /// with the square root replaced by its Pade approximant: 0.2 %, and one division that also
    /// yields the specific volume.
    #[inline(always)]
    pub(crate) fn invert(&self, rho: V, k: V) -> Inverted<V> {
        let [a, b] = self.start;
        let (one, scale) = (V::splat(1.0), V::splat(SCALE_K));
        let (raa, bk) = (rho * (a * a), b * k);
        let sum_ab = raa + bk;
        let inverse_start = one / (rho * (a * sum_ab));
        let v = a * sum_ab * inverse_start;
        let x = k * bk.mul_add(V::splat(0.5), raa) * inverse_start;
        // The slope is cv in J/kg per 1000 K (here per volume).
        let (sum, slope) = self.energy_and_slope(x);
        let slope_p = scale.mul_add(self.r, slope);
        let inverse = one / (slope * slope_p);
        let inverse_slope = inverse * slope_p;
        let t = (x - (sum - k * v) * inverse_slope) * scale;
        Inverted {
            t,
            v,
            gamma: slope_p * inverse_slope,
            inverse_heat_capacity: scale * (inverse * slope),
        }
    }

    /// The energy in J/kg that [`Mixture::temperature`] turns into `t`: the exact
    /// polynomial and the inversion differ by the one Newton step's rest.
    pub fn energy_for(&self, t: V) -> V {
        let mut e = self.energy(t);
        let cv = self.cv(t);
        for _ in 0..4 {
            e = e + (t - self.temperature(e).0) * cv;
        }
        e
    }

    #[inline(always)]
    fn energy_and_slope(&self, x: V) -> (V, V) {
        let mut sum = self.e[4];
        let mut slope = self.e[4];
        for k in (0..4).rev() {
            sum = sum.mul_add(x, self.e[k]);
            slope = slope.mul_add(x, sum);
        }
        (sum * x, slope)
    }
}

impl<V: Lane, const S: usize> GasSet<V, S> {
    /// The same gases in every lane: `base` is gas 0, `others` are the transported ones.
    pub fn new(base: &Gas, others: &[Gas; S]) -> Self {
        let nothing = Gas { r: 0.0, e: [0.0; 5] };
        Self {
            base: Mixture::difference(base, &nothing),
            difference: std::array::from_fn(|s| Mixture::difference(&others[s], base)),
        }
    }

    /// The mixture with mass fractions `y` of the transported gases, the rest being gas 0.
    #[inline(always)]
    pub fn mix(&self, y: &[V; S]) -> Mixture<V> {
        self.add_parts(self.base, y)
    }

    /// The mixture per volume: gas constant and energy times density, from the density `rho` and
    /// the `parts` of the transported gases (kg/m3).
    #[inline(always)]
    pub(crate) fn weigh(&self, rho: V, parts: &[V; S]) -> Mixture<V> {
        let mut m = self.base;
        m.r = m.r * rho;
        for k in 0..5 {
            m.e[k] = m.e[k] * rho;
        }
        for k in 0..2 {
            m.start[k] = m.start[k] * rho;
        }
        self.add_parts(m, parts)
    }

    #[inline(always)]
    fn add_parts(&self, mut m: Mixture<V>, parts: &[V; S]) -> Mixture<V> {
        for s in 0..S {
            let d = &self.difference[s];
            m.r = d.r.mul_add(parts[s], m.r);
            for k in 0..5 {
                m.e[k] = d.e[k].mul_add(parts[s], m.e[k]);
            }
            for k in 0..2 {
                m.start[k] = d.start[k].mul_add(parts[s], m.start[k]);
            }
        }
        m
    }

    /// Gas constant in J/(kg K) of the mixture.
    #[inline(always)]
    pub fn gas_constant(&self, y: &[V; S]) -> V {
        let mut r = self.base.r;
        for s in 0..S {
            r = self.difference[s].r.mul_add(y[s], r);
        }
        r
    }

    /// Sensible internal energy in J/kg of the mixture `y` at temperature `t` in K.
    #[inline(always)]
    pub fn energy(&self, y: &[V; S], t: V) -> V {
        let x = t * V::splat(1.0 / SCALE_K);
        let mut sum = V::splat(0.0);
        for k in (0..5).rev() {
            let mut c = self.base.e[k];
            for s in 0..S {
                c = self.difference[s].e[k].mul_add(y[s], c);
            }
            sum = sum.mul_add(x, c);
        }
        sum * x
    }
}
