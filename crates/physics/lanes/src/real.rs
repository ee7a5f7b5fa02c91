//! One number, f32 or f64, with an exponential and a logarithm that have no branch and no call,
//! so that a loop over lanes becomes vector code.

use std::ops::{Add, Div, Mul, Neg, Sub};

/// f32 or f64.
pub trait Real:
    Copy
    + PartialOrd
    + std::fmt::Debug
    + Send
    + Sync
    + 'static
    + Add<Output = Self>
    + Sub<Output = Self>
    + Mul<Output = Self>
    + Div<Output = Self>
    + Neg<Output = Self>
{
    /// Zero.
    const ZERO: Self;
    /// The nearest number of this type.
    fn of(x: f64) -> Self;
    /// The number as f64.
    fn into_f64(self) -> f64;
    /// Square root.
    fn sqrt(self) -> Self;
    /// Absolute value.
    fn abs(self) -> Self;
    /// Fused `self * a + b`.
    fn fused(self, a: Self, b: Self) -> Self;
    /// `self * a + b`, fused where asked for.
    #[inline(always)]
    fn times_plus<const FMA: bool>(self, a: Self, b: Self) -> Self {
        if FMA { self.fused(a, b) } else { self * a + b }
    }
    /// Exponential function, its steps fused where asked for; see [`crate::Lane::exp`].
    fn exp<const FMA: bool>(self) -> Self;
    /// Natural logarithm, likewise; see [`crate::Lane::ln`].
    fn ln<const FMA: bool>(self) -> Self;
    /// The numbers that `exp` and `ln` are made of, for the vector forms.
    #[doc(hidden)]
    const SERIES: Series<Self>;
}

/// Constants of the exponential and the logarithm.
#[doc(hidden)]
#[derive(Clone, Copy, Debug)]
pub struct Series<T: 'static> {
    pub mantissa: u32,
    pub bias: i64,
    pub bias_number: T,
    pub magic: T,
    pub log2_e: T,
    pub ln2_high: T,
    pub ln2_low: T,
    pub limit: T,
    pub root_half: T,
    pub root_half_bits: i64,
    pub offset: i64,
    pub one: T,
    pub two: T,
    pub exp: &'static [T],
    pub ln: &'static [T],
}

// Cody and Waite's split of ln 2 (from memory): the high part has trailing zero bits, so that
// n * HIGH is exact.
macro_rules! real {
    ($t:ty, $bits:ty, mantissa $mantissa:expr, bias $bias:expr, magic $magic:expr,
     ln2 $high:expr, $low:expr, limit $limit:expr, exp $exp:expr, ln $ln:expr) => {
        impl Real for $t {
            const ZERO: $t = 0.0;
            #[inline(always)]
            fn of(x: f64) -> $t {
                x as $t
            }
            #[inline(always)]
            fn into_f64(self) -> f64 {
                self as f64
            }
            #[inline(always)]
            fn sqrt(self) -> $t {
                <$t>::sqrt(self)
            }
            #[inline(always)]
            fn abs(self) -> $t {
                <$t>::abs(self)
            }
            #[inline(always)]
            fn fused(self, a: $t, b: $t) -> $t {
                <$t>::mul_add(self, a, b)
            }
            #[inline(always)]
            fn exp<const FMA: bool>(self) -> $t {
                let x = if self < -$limit { -$limit } else { self };
                let x = if x > $limit { $limit } else { x };
                // Adding MAGIC leaves the nearest integer in the low bits of the mantissa.
                let shifted = x * (std::f64::consts::LOG2_E as $t) + $magic;
                let n = shifted - $magic;
                let r = (-n).times_plus::<FMA>($high, x);
                let r = (-n).times_plus::<FMA>($low, r);
                let mut sum: $t = 0.0;
                for c in &$exp {
                    sum = sum.times_plus::<FMA>(r, *c);
                }
                let power =
                    (shifted.to_bits() << $mantissa).wrapping_add(($bias as $bits) << $mantissa);
                sum * <$t>::from_bits(power)
            }
            #[inline(always)]
            fn ln<const FMA: bool>(self) -> $t {
                // m in [sqrt(1/2), sqrt 2), self = m 2^e
                let root_half = std::f64::consts::FRAC_1_SQRT_2 as $t;
                let offset = (1.0 as $t).to_bits().wrapping_sub(root_half.to_bits());
                let raised = self.to_bits().wrapping_add(offset);
                let exponent = raised >> $mantissa;
                let mask: $bits = (1 << $mantissa) - 1;
                let m = <$t>::from_bits((raised & mask).wrapping_add(root_half.to_bits()));
                // As in exp, the other way round: the exponent is placed in the mantissa.
                let e =
                    <$t>::from_bits(exponent | ($magic as $t).to_bits()) - ($magic + $bias as $t);
                let s = (m - 1.0) / (m + 1.0);
                let s2 = s * s;
                let mut sum: $t = 0.0;
                for c in &$ln {
                    sum = sum.times_plus::<FMA>(s2, *c);
                }
                e.times_plus::<FMA>($high, e.times_plus::<FMA>($low, 2.0 * s * sum))
            }
            const SERIES: Series<$t> = Series {
                mantissa: $mantissa,
                bias: $bias,
                bias_number: $bias as $t,
                magic: $magic,
                log2_e: std::f64::consts::LOG2_E as $t,
                ln2_high: $high,
                ln2_low: $low,
                limit: $limit,
                root_half: std::f64::consts::FRAC_1_SQRT_2 as $t,
                root_half_bits: (std::f64::consts::FRAC_1_SQRT_2 as $t).to_bits() as i64,
                offset: (1.0 as $t)
                    .to_bits()
                    .wrapping_sub((std::f64::consts::FRAC_1_SQRT_2 as $t).to_bits())
                    as i64,
                one: 1.0,
                two: 2.0,
                exp: &$exp,
                ln: &$ln,
            };
        }
    };
}

// exp: Taylor coefficients 1/k! highest first on |r| <= ln 2 / 2; the first term left out is
// below 1e-17 (f64) and 1e-8 (f32). ln: 2 atanh(s) = 2 s sum s^2k/(2k+1), |s| <= 0.1716.
real!(f64, u64, mantissa 52, bias 1023, magic 6_755_399_441_055_744.0,
ln2 6.931_471_803_691_238_2e-1, 1.908_214_929_270_587_7e-10, limit 708.0,
exp [
    1.0 / 6_227_020_800.0, 1.0 / 479_001_600.0, 1.0 / 39_916_800.0, 1.0 / 3_628_800.0,
    1.0 / 362_880.0, 1.0 / 40_320.0, 1.0 / 5_040.0, 1.0 / 720.0, 1.0 / 120.0, 1.0 / 24.0,
    1.0 / 6.0, 0.5, 1.0, 1.0
],
ln [
    1.0 / 21.0, 1.0 / 19.0, 1.0 / 17.0, 1.0 / 15.0, 1.0 / 13.0, 1.0 / 11.0, 1.0 / 9.0,
    1.0 / 7.0, 1.0 / 5.0, 1.0 / 3.0, 1.0
]);
real!(f32, u32, mantissa 23, bias 127, magic 12_582_912.0,
    ln2 0.693_359_4, -2.121_944_4e-4, limit 87.0,
    exp [1.0 / 5_040.0, 1.0 / 720.0, 1.0 / 120.0, 1.0 / 24.0, 1.0 / 6.0, 0.5, 1.0, 1.0],
    ln [1.0 / 9.0, 1.0 / 7.0, 1.0 / 5.0, 1.0 / 3.0, 1.0]);

#[cfg(test)]
mod tests {
    use super::Real;

    #[test]
    fn exp_and_ln_agree_with_the_standard_library() {
        agree::<false>();
        agree::<true>();
    }

    fn agree<const FMA: bool>() {
        for i in -20_000..20_000 {
            let x = i as f64 * 0.0351;
            let (own, std) = (Real::exp::<FMA>(x), f64::exp(x.clamp(-708.0, 708.0)));
            assert!((own / std - 1.0).abs() < 1e-14, "exp({x})");
            let y = f64::exp(x.clamp(-600.0, 600.0));
            let (own, std) = (Real::ln::<FMA>(y), f64::ln(y));
            assert!((own - std).abs() <= 1e-15 * std.abs().max(0.1), "ln({y}) {own} {std}");
        }
        for i in -800..800 {
            let x = i as f32 * 0.1;
            assert!(
                (Real::exp::<FMA>(x) as f64 / f64::exp(x as f64) - 1.0).abs() < 3e-7,
                "exp({x})"
            );
            let y = f64::exp(x as f64) as f32;
            let std = f64::ln(y as f64);
            assert!(
                (Real::ln::<FMA>(y) as f64 - std).abs() <= 3e-7 * std.abs().max(0.3),
                "ln({y})"
            );
        }
    }
}
