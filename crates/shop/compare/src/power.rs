//! Chances of an answer before the pulls are made.

use crate::student;
use statrs::function::gamma::ln_gamma;

/// Steps of the integral over what the scatter may turn out to be.
const STEPS: usize = 400;

/// Chance (0..=1) that a true difference of `effect_over_u` standard uncertainties is found real
/// at `level` (both sides), with `dof` degrees of freedom: the non-central t distribution, as
/// the normal chance averaged over the scatter that may be seen.
pub fn chance_of_real(effect_over_u: f64, dof: f64, level: f64) -> f64 {
    let t = student::quantile(1.0 - level / 2.0, dof);
    over_scatter(dof, |s| {
        student::normal_below(effect_over_u - t * s) + student::normal_below(-effect_over_u - t * s)
    })
}

/// Chance (0..=1) that the 90 % interval lies inside ±`margin_over_u` when there is no difference
/// (two one-sided tests; Schuirmann 1987, from memory).
pub fn chance_of_equivalence(margin_over_u: f64, dof: f64) -> f64 {
    let t = student::quantile(0.95, dof);
    over_scatter(dof, |s| {
        let room = margin_over_u - t * s;
        if room > 0.0 { 2.0 * student::normal_below(room) - 1.0 } else { 0.0 }
    })
}

/// Mean of `f` over s = √(χ²_ν/ν), by Simpson's rule where its density is not negligible.
fn over_scatter(dof: f64, f: impl Fn(f64) -> f64) -> f64 {
    if dof > 1.0e6 {
        return f(1.0);
    }
    let spread = 9.0 / (2.0 * dof).sqrt();
    let (low, high) = ((1.0 - spread).max(0.0), 1.0 + spread);
    let constant = 2.0_f64.ln() + dof / 2.0 * (dof / 2.0).ln() - ln_gamma(dof / 2.0);
    let density = |s: f64| {
        if s <= 0.0 {
            return 0.0;
        }
        (constant + (dof - 1.0) * s.ln() - dof * s * s / 2.0).exp()
    };
    let step = (high - low) / STEPS as f64;
    let (mut sum, mut weight) = (0.0, 0.0);
    for i in 0..=STEPS {
        let s = low + step * i as f64;
        let simpson = if i == 0 || i == STEPS { 1.0 } else { 2.0 + 2.0 * (i % 2) as f64 };
        let w = simpson * density(s);
        sum += w * f(s);
        weight += w;
    }
    sum / weight
}
