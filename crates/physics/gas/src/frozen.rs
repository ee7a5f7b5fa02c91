//! Gas of frozen composition: air, fuel vapour, unburned mixture, undissociated products.
//!
//! The NASA polynomials are linear in their coefficients, so any mixture is again one polynomial:
//! a property costs the same for air as for air, vapour and residual together, and is exact.

use crate::air::HumidAir;
use crate::constants::{P_STANDARD, R_UNIVERSAL, T_REFERENCE};
use crate::error::{GasError, in_range};
use crate::fuel::Fuel;
use crate::mixture::Elements;
use crate::nasa::Nasa7;
use crate::species::{AR, CO2, H2O, N_SPECIES, N2, O2, THERMO};

/// Least temperature of the polynomials, K.
pub const T_MIN: f64 = 200.0;
/// Greatest temperature of the polynomials, K.
pub const T_MAX: f64 = 6000.0;

/// An ideal-gas mixture of fixed composition; one kilogram of it.
///
/// Temperatures outside [`T_MIN`] to [`T_MAX`] extrapolate the polynomials.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FrozenGas {
    /// Moles of the twelve species, mol/kg, in the order of [`crate::species::NAMES`].
    pub moles: [f64; N_SPECIES],
    /// Moles of fuel vapour, mol/kg.
    pub fuel_moles: f64,
    /// Specific gas constant, J/(kg K).
    pub r: f64,
    /// Polynomials summed over one kilogram.
    poly: Nasa7,
}

impl FrozenGas {
    /// Returns the gas of `moles` (mol/kg) of the twelve species, one kilogram in all.
    pub fn from_moles(moles: &[f64; N_SPECIES]) -> FrozenGas {
        let mut poly = Nasa7::ZERO;
        for (n, thermo) in moles.iter().zip(&THERMO) {
            poly.add(n * R_UNIVERSAL, thermo);
        }
        let r = R_UNIVERSAL * moles.iter().sum::<f64>();
        FrozenGas { moles: *moles, fuel_moles: 0.0, r, poly }
    }

    /// Returns air.
    pub fn air(air: &HumidAir) -> FrozenGas {
        let mut moles = [0.0; N_SPECIES];
        for (k, x) in [(N2, air.n2), (O2, air.o2), (AR, air.ar), (CO2, air.co2), (H2O, air.h2o)] {
            moles[k] = x / air.molar_mass;
        }
        Self::from_moles(&moles)
    }

    /// Returns the vapour of `fuel` alone.
    pub fn vapour(fuel: &Fuel) -> FrozenGas {
        let n = 1.0 / fuel.molar_mass;
        FrozenGas {
            moles: [0.0; N_SPECIES],
            fuel_moles: n,
            r: R_UNIVERSAL * n,
            poly: fuel.vapour.scaled(n * R_UNIVERSAL),
        }
    }

    /// Returns undissociated products of `fuel` and `air` at equivalence ratio `phi`: CO2, H2O, N2
    /// and O2 when lean; when rich CO and H2 in the water-gas split of 1700 K.
    ///
    /// # Errors
    /// As [`Elements::new`].
    pub fn burned(fuel: &Fuel, phi: f64, air: &HumidAir) -> Result<FrozenGas, GasError> {
        Ok(Self::from_moles(&crate::mixture::undissociated(&Elements::new(fuel, phi, air)?)))
    }

    /// Returns fresh charge of `fuel` vapour and `air` at `phi`, with the mass fraction
    /// `residual_fraction` (0 to 1) of `residual` mixed in.
    ///
    /// # Errors
    /// [`GasError::OutOfRange`] for a negative `phi` or a fraction outside 0 to 1.
    pub fn unburned(
        fuel: &Fuel,
        phi: f64,
        air: &HumidAir,
        residual: &FrozenGas,
        residual_fraction: f64,
    ) -> Result<FrozenGas, GasError> {
        let phi = in_range("equivalence ratio", phi, 0.0, crate::mixture::PHI_MAX, "")?;
        let y = in_range("residual mass fraction", residual_fraction, 0.0, 1.0, "")?;
        let fuel_per_air = phi / fuel.stoichiometric_afr_with(air);
        let fresh = (1.0 - y) / (1.0 + fuel_per_air);
        Ok(Self::mix(&[
            (fresh, &Self::air(air)),
            (fresh * fuel_per_air, &Self::vapour(fuel)),
            (y, residual),
        ]))
    }

    /// Returns the sum of gases, each with its mass fraction; the fractions should add up to 1.
    pub fn mix(parts: &[(f64, &FrozenGas)]) -> FrozenGas {
        let mut out =
            FrozenGas { moles: [0.0; N_SPECIES], fuel_moles: 0.0, r: 0.0, poly: Nasa7::ZERO };
        for (y, gas) in parts {
            for (sum, n) in out.moles.iter_mut().zip(&gas.moles) {
                *sum += y * n;
            }
            out.fuel_moles += y * gas.fuel_moles;
            out.r += y * gas.r;
            out.poly.add(*y, &gas.poly);
        }
        out
    }

    /// Returns the polynomials of one kilogram: properties in J/(kg K) where those of a species are
    /// over the universal gas constant.
    pub fn coefficients(&self) -> &Nasa7 {
        &self.poly
    }

    /// Returns the molar mass, kg/mol.
    pub fn molar_mass(&self) -> f64 {
        R_UNIVERSAL / self.r
    }

    /// Returns the absolute specific internal energy at `t` (K), J/kg.
    #[inline]
    pub fn u(&self, t: f64) -> f64 {
        self.poly.h(t) - self.r * t
    }

    /// Returns the absolute specific enthalpy at `t` (K), J/kg.
    #[inline]
    pub fn h(&self, t: f64) -> f64 {
        self.poly.h(t)
    }

    /// Returns the specific heat at constant pressure at `t` (K), J/(kg K).
    #[inline]
    pub fn cp(&self, t: f64) -> f64 {
        self.poly.cp(t)
    }

    /// Returns the specific heat at constant volume at `t` (K), J/(kg K).
    #[inline]
    pub fn cv(&self, t: f64) -> f64 {
        self.poly.cp(t) - self.r
    }

    /// Returns the ratio of specific heats at `t` (K).
    #[inline]
    pub fn gamma(&self, t: f64) -> f64 {
        let cp = self.cp(t);
        cp / (cp - self.r)
    }

    /// Returns the speed of sound at `t` (K), m/s.
    #[inline]
    pub fn sound_speed(&self, t: f64) -> f64 {
        (self.gamma(t) * self.r * t).sqrt()
    }

    /// Returns the specific entropy at `t` (K) and `p` (Pa), J/(kg K), mixing included.
    ///
    /// The entropy of fuels without a NASA polynomial has an arbitrary constant; differences at
    /// one composition are right for all.
    pub fn s(&self, t: f64, p: f64) -> f64 {
        let total = self.r / R_UNIVERSAL;
        let mixing: f64 = self
            .moles
            .iter()
            .chain([&self.fuel_moles])
            .filter(|n| **n > 0.0)
            .map(|n| n * (n / total).ln())
            .sum();
        self.poly.s(t) - R_UNIVERSAL * mixing - self.r * (p / P_STANDARD).ln()
    }

    /// Returns the temperature (K) at which the internal energy is `u` (J/kg).
    ///
    /// # Errors
    /// [`GasError::OutOfRange`] when `u` is not reached between [`T_MIN`] and [`T_MAX`].
    pub fn temperature_from_u(&self, u: f64) -> Result<f64, GasError> {
        in_range("internal energy", u, self.u(T_MIN), self.u(T_MAX), "J/kg")?;
        Ok(increasing_root(|t| (self.u(t) - u, self.cv(t)), T_MIN, T_MAX, T_REFERENCE + 300.0))
    }

    /// Returns the temperature (K) after a change of specific volume by the factor `1/compression`
    /// at constant entropy, starting at `t` (K); the pressure is `p t2/t compression`.
    ///
    /// # Errors
    /// [`GasError::OutOfRange`] when `t` or `compression` is not positive and finite, or the result
    /// leaves [`T_MIN`] to [`T_MAX`].
    pub fn isentropic_temperature(&self, t: f64, compression: f64) -> Result<f64, GasError> {
        let t = in_range("temperature", t, T_MIN, T_MAX, "K")?;
        let ratio = in_range("compression", compression, 1e-6, 1e6, "")?;
        // s at constant volume: s0(T) - R ln(R T rho / p0); only the part that varies is kept.
        let f = |x: f64| self.poly.s(x) - self.r * x.ln();
        let target = f(t) + self.r * ratio.ln();
        in_range("entropy at constant volume", target, f(T_MIN), f(T_MAX), "J/(kg K)")?;
        let start = t * ratio.powf(self.gamma(t) - 1.0);
        Ok(increasing_root(|x| (f(x) - target, self.cv(x) / x), T_MIN, T_MAX, start))
    }
}

/// Returns the root in `lo..=hi` of an increasing function given with its slope: Newton's method
/// kept inside a bracket, so that it ends whatever the function does.
pub(crate) fn increasing_root(
    f: impl Fn(f64) -> (f64, f64),
    mut lo: f64,
    mut hi: f64,
    start: f64,
) -> f64 {
    let mut x = if start > lo && start < hi { start } else { 0.5 * (lo + hi) };
    for _ in 0..100 {
        let (value, slope) = f(x);
        if value > 0.0 {
            hi = x
        } else {
            lo = x
        }
        let newton = x - value / slope;
        let next = if newton > lo && newton < hi { newton } else { 0.5 * (lo + hi) };
        if (next - x).abs() <= 1e-13 * x.abs() {
            return next;
        }
        x = next;
    }
    x
}
