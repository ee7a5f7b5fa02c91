//! Elements of a fuel-air mixture, per kilogram.

use crate::air::HumidAir;
use crate::constants::{M_AR, M_C, M_H, M_N, M_O};
use crate::error::{GasError, in_range};
use crate::fuel::Fuel;
use crate::species::{AR, CO, CO2, H2, H2O, N_SPECIES, N2, O2, THERMO};

/// Greatest equivalence ratio accepted; soot limits most fuels well below it.
pub const PHI_MAX: f64 = 10.0;

/// Moles of the elements in one kilogram of gas.
///
/// Oxygen is held as the excess over complete combustion (O - 2 C - H/2), because that number
/// decides the equilibrium near stoichiometric and would be lost to rounding as a difference.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Elements {
    /// Carbon, mol/kg.
    pub c: f64,
    /// Hydrogen, mol/kg.
    pub h: f64,
    /// Nitrogen, mol/kg.
    pub n: f64,
    /// Argon, mol/kg.
    pub ar: f64,
    /// Oxygen atoms beyond complete combustion to CO2 and H2O, mol/kg; negative when rich.
    pub excess_o: f64,
}

impl Elements {
    /// Returns the oxygen content, mol of atoms per kg.
    pub fn o(&self) -> f64 {
        self.excess_o + 2.0 * self.c + 0.5 * self.h
    }

    /// Returns the mass of the elements, kg per kg: 1 up to rounding.
    pub fn mass(&self) -> f64 {
        self.c * M_C + self.h * M_H + self.o() * M_O + self.n * M_N + self.ar * M_AR
    }

    /// Returns the elements of `fuel` and `air` at equivalence ratio `phi` (0 is air alone).
    ///
    /// # Errors
    /// [`GasError::OutOfRange`] for `phi` outside 0 to [`PHI_MAX`]; [`GasError::TooRich`] when there
    /// are fewer oxygen than carbon atoms.
    pub fn new(fuel: &Fuel, phi: f64, air: &HumidAir) -> Result<Elements, GasError> {
        let phi = in_range("equivalence ratio", phi, 0.0, PHI_MAX, "")?;
        // Per phi moles of fuel there is the air that one mole needs.
        let n_air = fuel.oxygen_demand() / air.o2;
        let per_kg = 1.0 / (phi * fuel.molar_mass + n_air * air.molar_mass);
        let elements = Elements {
            c: (phi * fuel.c + n_air * air.co2) * per_kg,
            h: (phi * fuel.h + n_air * 2.0 * air.h2o) * per_kg,
            n: (phi * fuel.n + n_air * 2.0 * air.n2) * per_kg,
            ar: n_air * air.ar * per_kg,
            excess_o: 2.0 * fuel.oxygen_demand() * (1.0 - phi) * per_kg,
        };
        if elements.o() <= elements.c {
            return Err(GasError::TooRich { oxygen_per_carbon: elements.o() / elements.c });
        }
        Ok(elements)
    }
}

/// Temperature at which the water-gas split of rich products is frozen, K (ours; an engine's
/// expansion freezes it near there).
pub const T_WATER_GAS: f64 = 1700.0;

/// Returns the moles (mol/kg) of the twelve species of undissociated products: CO2, H2O, N2, O2, Ar
/// when lean; when rich CO and H2 in the equilibrium of CO2 + H2 = CO + H2O at [`T_WATER_GAS`].
pub fn undissociated(e: &Elements) -> [f64; N_SPECIES] {
    let mut moles = [0.0; N_SPECIES];
    moles[N2] = 0.5 * e.n;
    moles[AR] = e.ar;
    moles[O2] = (0.5 * e.excess_o).max(0.0);
    let missing = (-e.excess_o).max(0.0);
    let co = carbon_monoxide(e, missing);
    moles[CO] = co;
    moles[CO2] = e.c - co;
    moles[H2] = missing - co;
    moles[H2O] = 0.5 * e.h - moles[H2];
    moles
}

/// Returns the moles of CO that share the `missing` oxygen atoms with H2.
fn carbon_monoxide(e: &Elements, missing: f64) -> f64 {
    let g = |k: usize| THERMO[k].h(T_WATER_GAS) / T_WATER_GAS - THERMO[k].s(T_WATER_GAS);
    let k = (g(CO2) + g(H2) - g(CO) - g(H2O)).exp();
    // x (h/2 - m + x) = k (c - x)(m - x), the root that vanishes with m.
    let a = 1.0 - k;
    let b = 0.5 * e.h - missing + k * (e.c + missing);
    let product = k * e.c * missing;
    2.0 * product / (b + (b * b + 4.0 * a * product).max(0.0).sqrt())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fuel;
    use crate::species::ATOMS;

    #[test]
    fn undissociated_products_keep_the_elements() {
        let f = fuel::find("e10").unwrap();
        for phi in [0.3, 0.8, 1.0, 1.2, 1.6] {
            let e = Elements::new(&f, phi, &HumidAir::new(1e5, 300.0, 0.5).unwrap()).unwrap();
            let n = undissociated(&e);
            let sum = |i: usize| -> f64 { n.iter().zip(&ATOMS).map(|(n, a)| n * a[i]).sum() };
            for (got, want) in [(sum(0), e.c), (sum(1), e.h), (sum(2), e.o()), (sum(3), e.n)] {
                assert!((got - want).abs() < 1e-12 * want, "phi {phi}: {got} {want}");
            }
            assert!(n.iter().all(|x| *x >= 0.0), "phi {phi}: {n:?}");
            assert!((e.mass() - 1.0).abs() < 1e-14);
        }
    }

    #[test]
    fn soot_forming_mixtures_are_refused() {
        let f = fuel::find("isooctane").unwrap();
        let air = HumidAir::dry();
        assert!(matches!(Elements::new(&f, 4.0, &air), Err(GasError::TooRich { .. })));
        assert!(matches!(Elements::new(&f, f64::NAN, &air), Err(GasError::OutOfRange { .. })));
    }
}
