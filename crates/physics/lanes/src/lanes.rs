//! Several numbers in one aligned array; operators are loops that the compiler turns into
//! vector instructions of whatever level the calling function is compiled for.

use crate::{Lane, Real};
use std::ops::{Add, AddAssign, Div, Mul, Neg, Sub, SubAssign};

/// `N` numbers worked on in lock-step; see the crate documentation for `FMA`.
#[derive(Clone, Copy, Debug, PartialEq)]
#[repr(C, align(64))]
pub struct Lanes<T, const N: usize, const FMA: bool>(pub [T; N]);

impl<T: Real, const N: usize, const FMA: bool> Default for Lanes<T, N, FMA> {
    #[inline(always)]
    fn default() -> Self {
        Self([T::ZERO; N])
    }
}

macro_rules! operator {
    ($trait:ident, $fn:ident, $op:tt) => {
        impl<T: Real, const N: usize, const FMA: bool> $trait for Lanes<T, N, FMA> {
            type Output = Self;
            #[inline(always)]
            fn $fn(self, b: Self) -> Self {
                let mut out = self;
                for i in 0..N {
                    out.0[i] = self.0[i] $op b.0[i];
                }
                out
            }
        }
    };
}
operator!(Add, add, +);
operator!(Sub, sub, -);
operator!(Mul, mul, *);
operator!(Div, div, /);

impl<T: Real, const N: usize, const FMA: bool> AddAssign for Lanes<T, N, FMA> {
    #[inline(always)]
    fn add_assign(&mut self, b: Self) {
        *self = *self + b;
    }
}

impl<T: Real, const N: usize, const FMA: bool> SubAssign for Lanes<T, N, FMA> {
    #[inline(always)]
    fn sub_assign(&mut self, b: Self) {
        *self = *self - b;
    }
}

impl<T: Real, const N: usize, const FMA: bool> Neg for Lanes<T, N, FMA> {
    type Output = Self;
    #[inline(always)]
    fn neg(self) -> Self {
        self.map(|x| -x)
    }
}

impl<T: Real, const N: usize, const FMA: bool> Lanes<T, N, FMA> {
    #[inline(always)]
    fn map(self, f: impl Fn(T) -> T) -> Self {
        let mut out = self;
        for i in 0..N {
            out.0[i] = f(self.0[i]);
        }
        out
    }
}

impl<T: Real, const N: usize, const FMA: bool> Lane for Lanes<T, N, FMA> {
    const WIDTH: usize = N;
    type Scalar = T;
    #[inline(always)]
    fn splat(x: f64) -> Self {
        Self([T::of(x); N])
    }
    #[inline(always)]
    fn get(&self, i: usize) -> f64 {
        self.0[i].into_f64()
    }
    #[inline(always)]
    fn set(&mut self, i: usize, x: f64) {
        self.0[i] = T::of(x);
    }
    #[inline(always)]
    fn sqrt(self) -> Self {
        self.map(T::sqrt)
    }
    #[inline(always)]
    fn abs(self) -> Self {
        self.map(T::abs)
    }
    #[inline(always)]
    fn mul_add(self, a: Self, b: Self) -> Self {
        let mut out = self;
        for i in 0..N {
            out.0[i] =
                if FMA { self.0[i].fused(a.0[i], b.0[i]) } else { self.0[i] * a.0[i] + b.0[i] };
        }
        out
    }
    #[inline(always)]
    fn select_lt(a: Self, b: Self, x: Self, y: Self) -> Self {
        let mut out = y;
        for i in 0..N {
            out.0[i] = if a.0[i] < b.0[i] { x.0[i] } else { y.0[i] };
        }
        out
    }
    #[inline(always)]
    fn exp(self) -> Self {
        self.map(T::exp)
    }
    #[inline(always)]
    fn ln(self) -> Self {
        self.map(T::ln)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    type V = Lanes<f64, 4, false>;

    #[test]
    fn each_lane_is_worked_on_alone() {
        let a = V::from_fn(|i| i as f64 + 1.0);
        let b = V::splat(2.5);
        let picked = V::select_lt(a, b, a * b, a / b);
        assert_eq!(picked.0, [2.5, 5.0, 3.0 / 2.5, 4.0 / 2.5]);
        assert_eq!(a.mul_add(b, -a).0, [1.5, 3.0, 4.5, 6.0]);
    }

    #[test]
    fn lanes_agree_with_one_lane_to_the_bit() {
        let a = V::from_fn(|i| 0.3 + 7.7 * i as f64);
        for i in 0..4 {
            let x = a.get(i);
            assert_eq!(a.ln().get(i).to_bits(), Lane::ln(x).to_bits());
            assert_eq!(a.exp().get(i).to_bits(), Lane::exp(x).to_bits());
            assert_eq!(Lane::sqrt(a).get(i).to_bits(), x.sqrt().to_bits());
        }
    }
}
