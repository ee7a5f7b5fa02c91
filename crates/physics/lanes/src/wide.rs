//! Vector registers of x86-64 behind [`crate::Lanes`].
//!
//! Loops over an array are unrolled by the compiler long before it looks for vectors; in kernels
//! of thousands of operations it then takes minutes and finds half of them. So the shapes that
//! fill one register use the register's own instructions:
//!
//! | level | f64 | f32 |
//! |---|---|---|
//! | baseline (SSE2) | `Lanes<f64, 2, false>` | `Lanes<f32, 4, false>` |
//! | AVX2 + FMA | `Lanes<f64, 4, true>` | `Lanes<f32, 8, true>` |
//! | AVX-512 | `Lanes<f64, 8, true>` | `Lanes<f32, 16, true>` |
//!
//! Every other shape is a loop. The results are those of the loop to the bit.

#![allow(clippy::missing_safety_doc)]

use crate::real::{Real, Series};
use core::arch::x86_64::*;

/// One register. All functions need the machine to have the register's instructions.
pub(crate) trait Register: Copy {
    type Scalar: Real;
    unsafe fn splat(x: Self::Scalar) -> Self;
    unsafe fn add(self, b: Self) -> Self;
    unsafe fn sub(self, b: Self) -> Self;
    unsafe fn mul(self, b: Self) -> Self;
    unsafe fn div(self, b: Self) -> Self;
    unsafe fn sqrt(self) -> Self;
    unsafe fn neg(self) -> Self;
    unsafe fn abs(self) -> Self;
    /// `self * a + b`, fused where the level has it.
    unsafe fn mul_add(self, a: Self, b: Self) -> Self;
    /// `self < b ? self : b`.
    unsafe fn min(self, b: Self) -> Self;
    /// `self < b ? b : self`.
    unsafe fn max(self, b: Self) -> Self;
    /// `a < b ? x : y`.
    unsafe fn select_lt(a: Self, b: Self, x: Self, y: Self) -> Self;
    unsafe fn bits_add(self, n: i64) -> Self;
    unsafe fn bits_and(self, n: i64) -> Self;
    unsafe fn bits_or(self, b: Self) -> Self;
    unsafe fn bits_left(self) -> Self;
    unsafe fn bits_right(self) -> Self;

    /// As [`Real::exp`], step by step.
    #[inline(always)]
    unsafe fn exp(self) -> Self {
        unsafe {
            let k: Series<Self::Scalar> = Self::Scalar::SERIES;
            let limit = Self::splat(k.limit);
            let low = limit.neg();
            let x = Self::select_lt(self, low, low, self);
            let x = Self::select_lt(limit, x, limit, x);
            let magic = Self::splat(k.magic);
            let shifted = x.mul(Self::splat(k.log2_e)).add(magic);
            let n = shifted.sub(magic);
            let less = n.neg();
            let r = less.mul_add(Self::splat(k.ln2_high), x);
            let r = less.mul_add(Self::splat(k.ln2_low), r);
            let mut sum = Self::splat(Self::Scalar::ZERO);
            for &c in k.exp {
                sum = sum.mul_add(r, Self::splat(c));
            }
            sum.mul(shifted.bits_left().bits_add(k.bias << k.mantissa))
        }
    }

    /// As [`Real::ln`], step by step.
    #[inline(always)]
    unsafe fn ln(self) -> Self {
        unsafe {
            let k: Series<Self::Scalar> = Self::Scalar::SERIES;
            let raised = self.bits_add(k.offset);
            let m = raised.bits_and((1 << k.mantissa) - 1).bits_add(k.root_half_bits);
            let magic = Self::splat(k.magic);
            let e = raised.bits_right().bits_or(magic).sub(Self::splat(k.magic + k.bias_number));
            let one = Self::splat(k.one);
            let s = m.sub(one).div(m.add(one));
            let s2 = s.mul(s);
            let mut sum = Self::splat(Self::Scalar::ZERO);
            for &c in k.ln {
                sum = sum.mul_add(s2, Self::splat(c));
            }
            let small = e.mul_add(Self::splat(k.ln2_low), Self::splat(k.two).mul(s).mul(sum));
            e.mul_add(Self::splat(k.ln2_high), small)
        }
    }
}

macro_rules! register {
    ($reg:ty, $scalar:ty, $int:ty, shift $mantissa:literal,
     $splat:ident $add:ident $sub:ident $mul:ident $div:ident $sqrt:ident $min:ident $max:ident,
     to_int $to_int:ident, from_int $from_int:ident, isplat $isplat:ident as $as:ty,
     $iadd:ident $iand:ident $iandnot:ident $ior:ident $ixor:ident $left:ident $right:ident,
     fma |$x:ident, $a:ident, $b:ident| $fma:expr,
     select |$l:ident, $r:ident, $p:ident, $q:ident| $select:expr) => {
        impl Register for $reg {
            type Scalar = $scalar;
            #[inline(always)]
            unsafe fn splat(x: $scalar) -> Self {
                unsafe { $splat(x) }
            }
            #[inline(always)]
            unsafe fn add(self, b: Self) -> Self {
                unsafe { $add(self, b) }
            }
            #[inline(always)]
            unsafe fn sub(self, b: Self) -> Self {
                unsafe { $sub(self, b) }
            }
            #[inline(always)]
            unsafe fn mul(self, b: Self) -> Self {
                unsafe { $mul(self, b) }
            }
            #[inline(always)]
            unsafe fn div(self, b: Self) -> Self {
                unsafe { $div(self, b) }
            }
            #[inline(always)]
            unsafe fn sqrt(self) -> Self {
                unsafe { $sqrt(self) }
            }
            #[inline(always)]
            unsafe fn neg(self) -> Self {
                unsafe { $from_int($ixor($to_int(self), $to_int($splat(-0.0)))) }
            }
            #[inline(always)]
            unsafe fn abs(self) -> Self {
                unsafe { $from_int($iandnot($to_int($splat(-0.0)), $to_int(self))) }
            }
            #[inline(always)]
            unsafe fn mul_add(self, a: Self, b: Self) -> Self {
                let ($x, $a, $b) = (self, a, b);
                unsafe { $fma }
            }
            // The instruction gives its second operand for NaN and equal zeros.
            #[inline(always)]
            unsafe fn min(self, b: Self) -> Self {
                unsafe { $min(self, b) }
            }
            #[inline(always)]
            unsafe fn max(self, b: Self) -> Self {
                unsafe { $max(b, self) }
            }
            #[inline(always)]
            unsafe fn select_lt(a: Self, b: Self, x: Self, y: Self) -> Self {
                let ($l, $r, $p, $q) = (a, b, x, y);
                unsafe { $select }
            }
            #[inline(always)]
            unsafe fn bits_add(self, n: i64) -> Self {
                unsafe { $from_int($iadd($to_int(self), $isplat(n as $as))) }
            }
            #[inline(always)]
            unsafe fn bits_and(self, n: i64) -> Self {
                unsafe { $from_int($iand($to_int(self), $isplat(n as $as))) }
            }
            #[inline(always)]
            unsafe fn bits_or(self, b: Self) -> Self {
                unsafe { $from_int($ior($to_int(self), $to_int(b))) }
            }
            #[inline(always)]
            unsafe fn bits_left(self) -> Self {
                unsafe { $from_int($left::<$mantissa>($to_int(self))) }
            }
            #[inline(always)]
            unsafe fn bits_right(self) -> Self {
                unsafe { $from_int($right::<$mantissa>($to_int(self))) }
            }
        }
    };
}

register!(__m128d, f64, __m128i, shift 52,
_mm_set1_pd _mm_add_pd _mm_sub_pd _mm_mul_pd _mm_div_pd _mm_sqrt_pd _mm_min_pd _mm_max_pd,
to_int _mm_castpd_si128, from_int _mm_castsi128_pd, isplat _mm_set1_epi64x as i64,
_mm_add_epi64 _mm_and_si128 _mm_andnot_si128 _mm_or_si128 _mm_xor_si128 _mm_slli_epi64
_mm_srli_epi64,
fma |x, a, b| _mm_add_pd(_mm_mul_pd(x, a), b),
select |a, b, x, y| {
    let mask = _mm_cmplt_pd(a, b);
    _mm_or_pd(_mm_and_pd(mask, x), _mm_andnot_pd(mask, y))
});
register!(__m128, f32, __m128i, shift 23,
_mm_set1_ps _mm_add_ps _mm_sub_ps _mm_mul_ps _mm_div_ps _mm_sqrt_ps _mm_min_ps _mm_max_ps,
to_int _mm_castps_si128, from_int _mm_castsi128_ps, isplat _mm_set1_epi32 as i32,
_mm_add_epi32 _mm_and_si128 _mm_andnot_si128 _mm_or_si128 _mm_xor_si128 _mm_slli_epi32
_mm_srli_epi32,
fma |x, a, b| _mm_add_ps(_mm_mul_ps(x, a), b),
select |a, b, x, y| {
    let mask = _mm_cmplt_ps(a, b);
    _mm_or_ps(_mm_and_ps(mask, x), _mm_andnot_ps(mask, y))
});
register!(__m256d, f64, __m256i, shift 52,
    _mm256_set1_pd _mm256_add_pd _mm256_sub_pd _mm256_mul_pd _mm256_div_pd _mm256_sqrt_pd
    _mm256_min_pd _mm256_max_pd,
    to_int _mm256_castpd_si256, from_int _mm256_castsi256_pd, isplat _mm256_set1_epi64x as i64,
    _mm256_add_epi64 _mm256_and_si256 _mm256_andnot_si256 _mm256_or_si256 _mm256_xor_si256
    _mm256_slli_epi64 _mm256_srli_epi64,
    fma |x, a, b| _mm256_fmadd_pd(x, a, b),
    select |a, b, x, y| _mm256_blendv_pd(y, x, _mm256_cmp_pd::<_CMP_LT_OQ>(a, b)));
register!(__m256, f32, __m256i, shift 23,
    _mm256_set1_ps _mm256_add_ps _mm256_sub_ps _mm256_mul_ps _mm256_div_ps _mm256_sqrt_ps
    _mm256_min_ps _mm256_max_ps,
    to_int _mm256_castps_si256, from_int _mm256_castsi256_ps, isplat _mm256_set1_epi32 as i32,
    _mm256_add_epi32 _mm256_and_si256 _mm256_andnot_si256 _mm256_or_si256 _mm256_xor_si256
    _mm256_slli_epi32 _mm256_srli_epi32,
    fma |x, a, b| _mm256_fmadd_ps(x, a, b),
    select |a, b, x, y| _mm256_blendv_ps(y, x, _mm256_cmp_ps::<_CMP_LT_OQ>(a, b)));
register!(__m512d, f64, __m512i, shift 52,
    _mm512_set1_pd _mm512_add_pd _mm512_sub_pd _mm512_mul_pd _mm512_div_pd _mm512_sqrt_pd
    _mm512_min_pd _mm512_max_pd,
    to_int _mm512_castpd_si512, from_int _mm512_castsi512_pd, isplat _mm512_set1_epi64 as i64,
    _mm512_add_epi64 _mm512_and_si512 _mm512_andnot_si512 _mm512_or_si512 _mm512_xor_si512
    _mm512_slli_epi64 _mm512_srli_epi64,
    fma |x, a, b| _mm512_fmadd_pd(x, a, b),
    select |a, b, x, y| _mm512_mask_blend_pd(_mm512_cmp_pd_mask::<_CMP_LT_OQ>(a, b), y, x));
register!(__m512, f32, __m512i, shift 23,
    _mm512_set1_ps _mm512_add_ps _mm512_sub_ps _mm512_mul_ps _mm512_div_ps _mm512_sqrt_ps
    _mm512_min_ps _mm512_max_ps,
    to_int _mm512_castps_si512, from_int _mm512_castsi512_ps, isplat _mm512_set1_epi32 as i32,
    _mm512_add_epi32 _mm512_and_si512 _mm512_andnot_si512 _mm512_or_si512 _mm512_xor_si512
    _mm512_slli_epi32 _mm512_srli_epi32,
    fma |x, a, b| _mm512_fmadd_ps(x, a, b),
    select |a, b, x, y| _mm512_mask_blend_ps(_mm512_cmp_ps_mask::<_CMP_LT_OQ>(a, b), y, x));
