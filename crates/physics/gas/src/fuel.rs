//! Fuels and blends: composition, stoichiometry, energy.
//!
//! Air-fuel ratio and heating value are computed from the atoms and formation enthalpies; only the
//! heating values of the three petrols are inputs. Blends are ideal in volume and enthalpy.

use crate::air::HumidAir;
use crate::constants::{M_C, M_H, M_N, M_O, R_UNIVERSAL, T_REFERENCE};
use crate::error::GasError;
use crate::fuel_data::{
    BLEND, ISOOCTANE, PETROL, PETROL_MOLAR_MASS, PURE, Petrol, Pure, TOLUENE, Vapour,
};
use crate::nasa::Nasa7;

/// Formation enthalpy of CO2, J/mol. Source: CODATA key values, 1989.
const HF_CO2: f64 = -393_510.0;
/// Formation enthalpy of water vapour, J/mol. Source: CODATA key values, 1989.
const HF_H2O: f64 = -241_826.0;
/// Shares of a blend must add up to 1 within this.
const SHARE_TOLERANCE: f64 = 1e-6;
/// Number of names offered when a fuel is not known.
const N_NEAREST: usize = 3;

/// A fuel, pure or blended, as one mean molecule.
#[derive(Debug, Clone, PartialEq)]
pub struct Fuel {
    /// Name.
    pub name: String,
    /// Carbon atoms per molecule.
    pub c: f64,
    /// Hydrogen atoms per molecule.
    pub h: f64,
    /// Oxygen atoms per molecule.
    pub o: f64,
    /// Nitrogen atoms per molecule.
    pub n: f64,
    /// Molar mass, kg/mol.
    pub molar_mass: f64,
    /// Density of the liquid at 15 C, kg/m3.
    pub density: f64,
    /// Formation enthalpy of the liquid at 298.15 K, J/mol.
    pub formation_enthalpy_liquid: f64,
    /// Latent heat of vaporisation at 298.15 K, J/kg.
    pub latent_heat: f64,
    /// Research octane number, where known.
    pub ron: Option<f64>,
    /// Motor octane number, where known.
    pub mon: Option<f64>,
    /// Polynomial of the vapour per mole, formation enthalpy included.
    pub vapour: Nasa7,
    /// Components and their shares of the molecules; one entry with share 1 for a pure fuel.
    pub components: Vec<(String, f64)>,
}

impl Fuel {
    /// Returns the oxygen molecules that one fuel molecule needs to burn completely.
    pub fn oxygen_demand(&self) -> f64 {
        self.c + self.h / 4.0 - self.o / 2.0
    }

    /// Returns the stoichiometric air-fuel ratio by mass with dry air, kg/kg.
    pub fn stoichiometric_afr(&self) -> f64 {
        self.stoichiometric_afr_with(&HumidAir::dry())
    }

    /// Returns the stoichiometric ratio of the mass of `air` (its water included) to that of fuel.
    pub fn stoichiometric_afr_with(&self, air: &HumidAir) -> f64 {
        self.oxygen_demand() / air.o2 * air.molar_mass / self.molar_mass
    }

    /// Returns the lower heating value of the liquid at 298.15 K, J/kg.
    pub fn lower_heating_value(&self) -> f64 {
        let products = self.c * HF_CO2 + self.h / 2.0 * HF_H2O;
        (self.formation_enthalpy_liquid - products) / self.molar_mass
    }

    /// Returns the mass fraction of oxygen in the fuel.
    pub fn oxygen_mass_fraction(&self) -> f64 {
        self.o * M_O / self.molar_mass
    }

    /// Returns the absolute specific enthalpy of the vapour at `temperature` (K), J/kg.
    pub fn vapour_enthalpy(&self, temperature: f64) -> f64 {
        R_UNIVERSAL / self.molar_mass * self.vapour.h(temperature)
    }

    /// Returns the absolute specific enthalpy of the liquid at 298.15 K, J/kg: vapour minus latent
    /// heat, so that evaporation in a model takes exactly the latent heat. It differs from
    /// [`Fuel::formation_enthalpy_liquid`] by the spread of sources, below 0.1 % of the heating value.
    pub fn liquid_enthalpy(&self) -> f64 {
        self.vapour_enthalpy(T_REFERENCE) - self.latent_heat
    }

    fn from_pure(p: &Pure) -> Fuel {
        let mut fuel = Fuel::from_atoms(p.name, p.atoms);
        fuel.density = p.density;
        fuel.formation_enthalpy_liquid = p.hf_liquid_kj * 1e3;
        fuel.latent_heat = p.latent_kj * 1e3;
        (fuel.ron, fuel.mon) = (p.ron, p.mon);
        match p.vapour {
            Vapour::Nasa(poly) => fuel.vapour = *poly,
            Vapour::HeatCapacity(poly) => fuel.set_vapour(&[(poly, 1.0)]),
            Vapour::Surrogate(parts) => fuel.set_vapour(parts),
        }
        fuel
    }

    fn from_petrol(p: &Petrol) -> Fuel {
        let carbons = PETROL_MOLAR_MASS / (M_C + p.h_per_c * M_H);
        let mut fuel = Fuel::from_atoms(p.name, [carbons, carbons * p.h_per_c, 0.0, 0.0]);
        let products = carbons * (HF_CO2 + p.h_per_c / 2.0 * HF_H2O);
        fuel.density = p.density;
        fuel.formation_enthalpy_liquid = p.lhv_mj * 1e6 * fuel.molar_mass + products;
        fuel.latent_heat = p.latent_kj * 1e3;
        (fuel.ron, fuel.mon) = (p.ron, p.mon);
        // Heat capacity of the iso-octane and toluene that hold the same carbon and hydrogen (ours).
        let iso = (fuel.h - carbons * 8.0 / 7.0) / (18.0 - 8.0 * 8.0 / 7.0);
        fuel.set_vapour(&[(&ISOOCTANE, iso), (&TOLUENE, (carbons - 8.0 * iso) / 7.0)]);
        fuel
    }

    fn from_atoms(name: &str, [c, h, o, n]: [f64; 4]) -> Fuel {
        Fuel {
            name: name.to_string(),
            c,
            h,
            o,
            n,
            molar_mass: c * M_C + h * M_H + o * M_O + n * M_N,
            density: 0.0,
            formation_enthalpy_liquid: 0.0,
            latent_heat: 0.0,
            ron: None,
            mon: None,
            vapour: Nasa7::ZERO,
            components: vec![(name.to_string(), 1.0)],
        }
    }

    /// Sets the vapour to a sum of heat capacities whose enthalpy at 298.15 K is that of the liquid
    /// plus the latent heat.
    fn set_vapour(&mut self, parts: &[(&Nasa7, f64)]) {
        let mut poly = Nasa7::ZERO;
        for (part, moles) in parts {
            poly.add(*moles, part);
        }
        let wanted = self.formation_enthalpy_liquid + self.latent_heat * self.molar_mass;
        let shift = wanted / R_UNIVERSAL - poly.h(T_REFERENCE);
        poly.low[5] += shift;
        poly.high[5] += shift;
        self.vapour = poly;
    }
}

/// Returns the 24 fuels of the shipped table.
pub fn all() -> Vec<Fuel> {
    let mut fuels: Vec<Fuel> = PURE.iter().map(Fuel::from_pure).collect();
    fuels.extend(PETROL.iter().map(Fuel::from_petrol));
    for b in BLEND {
        let parts: Vec<(Fuel, f64)> = b
            .parts
            .iter()
            .filter_map(|(name, share)| {
                fuels.iter().find(|f| f.name == *name).map(|f| (f.clone(), *share))
            })
            .collect();
        let mut fuel = mix(&parts);
        fuel.name = b.name.to_string();
        if let Some((ron, mon)) = b.octane {
            (fuel.ron, fuel.mon) = (Some(ron), Some(mon));
        }
        fuels.push(fuel);
    }
    fuels
}

/// Returns the fuel called `name`; case, spaces, hyphens and underscores do not matter, and
/// "petrol", "gasoline" and "E85" stand for `gasoline_e0` and `e85_nominal`.
///
/// # Errors
/// [`GasError::UnknownFuel`] with the nearest names.
pub fn find(name: &str) -> Result<Fuel, GasError> {
    let key = match plain(name).as_str() {
        "petrol" | "gasoline" => "gasolinee0".to_string(),
        "e85" => "e85nominal".to_string(),
        "e0" => "gasolinee0".to_string(),
        "e100" => "ethanol".to_string(),
        "m100" => "methanol".to_string(),
        "heptane" => "nheptane".to_string(),
        "octene" => "1octene".to_string(),
        other => other.to_string(),
    };
    let fuels = all();
    if let Some(fuel) = fuels.iter().find(|f| plain(&f.name) == key) {
        return Ok(fuel.clone());
    }
    let mut ranked: Vec<(usize, String)> =
        fuels.into_iter().map(|f| (distance(&key, &plain(&f.name)), f.name)).collect();
    ranked.sort();
    let nearest = ranked.into_iter().take(N_NEAREST).map(|(_, n)| n).collect();
    Err(GasError::UnknownFuel { name: name.to_string(), nearest })
}

/// Returns the blend of `parts`, each a fuel and its share of the liquid volume at 15 C.
///
/// Octane numbers are the mean by molecules (Anderson et al. 2010, Energy & Fuels 24:6576, from
/// memory) when every part has one.
///
/// # Errors
/// [`GasError::BadBlend`] when a share is outside 0 to 1 or they do not add up to 1.
pub fn blend(parts: &[(Fuel, f64)]) -> Result<Fuel, GasError> {
    for (fuel, share) in parts {
        if !(0.0..=1.0).contains(share) {
            return Err(GasError::BadBlend {
                reason: format!("share of {} is {share}", fuel.name),
            });
        }
    }
    let total: f64 = parts.iter().map(|(_, share)| share).sum();
    if (total - 1.0).abs() > SHARE_TOLERANCE {
        return Err(GasError::BadBlend { reason: format!("shares add up to {total}") });
    }
    Ok(mix(parts))
}

/// Mixes fuels whose volume shares were checked.
fn mix(parts: &[(Fuel, f64)]) -> Fuel {
    let density: f64 = parts.iter().map(|(f, v)| v * f.density).sum();
    let moles: f64 = parts.iter().map(|(f, v)| v * f.density / f.molar_mass).sum();
    let shares: Vec<(&Fuel, f64)> =
        parts.iter().map(|(f, v)| (f, v * f.density / f.molar_mass / moles)).collect();
    let mean = |get: fn(&Fuel) -> f64| shares.iter().map(|(f, x)| x * get(f)).sum::<f64>();
    let octane = |get: fn(&Fuel) -> Option<f64>| {
        shares.iter().map(|(f, x)| get(f).map(|value| x * value)).sum::<Option<f64>>()
    };
    let name: Vec<String> =
        parts.iter().map(|(f, v)| format!("{:.0} % {}", 100.0 * v, f.name)).collect();
    let mut fuel = Fuel::from_atoms(
        &name.join(" + "),
        [mean(|f| f.c), mean(|f| f.h), mean(|f| f.o), mean(|f| f.n)],
    );
    fuel.density = density;
    fuel.formation_enthalpy_liquid = mean(|f| f.formation_enthalpy_liquid);
    fuel.latent_heat = mean(|f| f.latent_heat * f.molar_mass) / fuel.molar_mass;
    (fuel.ron, fuel.mon) = (octane(|f| f.ron), octane(|f| f.mon));
    fuel.components.clear();
    for (part, x) in &shares {
        fuel.vapour.add(*x, &part.vapour);
        for (name, share) in &part.components {
            fuel.components.push((name.clone(), x * share));
        }
    }
    fuel
}

/// Returns the heat that one mole of a pure fuel or petrol of the table releases, J/mol (lower value),
/// by its exact name.
pub(crate) fn molar_heat_of(name: &str) -> Option<f64> {
    let pure = PURE.iter().find(|p| p.name == name).map(Fuel::from_pure);
    let fuel = pure.or_else(|| PETROL.iter().find(|p| p.name == name).map(Fuel::from_petrol))?;
    Some(fuel.lower_heating_value() * fuel.molar_mass)
}

/// Returns latent heat (J/mol) and boiling point at one atmosphere (K) of a pure fuel or petrol of the
/// table, by its exact name.
pub(crate) fn boiling_of(name: &str) -> Option<(f64, f64)> {
    let pure = PURE.iter().find(|p| p.name == name);
    let pure = pure.map(|p| (Fuel::from_pure(p).molar_mass * p.latent_kj, p.boiling_point));
    let petrol = || PETROL.iter().find(|p| p.name == name);
    let boiling =
        pure.or_else(|| petrol().map(|p| (PETROL_MOLAR_MASS * p.latent_kj, p.boiling_point)))?;
    Some((boiling.0 * 1e3, boiling.1))
}

/// Returns the name in lower case without separators.
fn plain(name: &str) -> String {
    name.chars().filter(|c| c.is_alphanumeric()).flat_map(char::to_lowercase).collect()
}

/// Returns the number of single-character edits between two words (Levenshtein 1966).
fn distance(a: &str, b: &str) -> usize {
    let b: Vec<char> = b.chars().collect();
    let mut row: Vec<usize> = (0..=b.len()).collect();
    for (i, ca) in a.chars().enumerate() {
        let mut diagonal = row[0];
        row[0] = i + 1;
        for (j, cb) in b.iter().enumerate() {
            let change = diagonal + usize::from(ca != *cb);
            diagonal = row[j + 1];
            row[j + 1] = change.min(row[j] + 1).min(diagonal + 1);
        }
    }
    row[b.len()]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn spelling_of_a_name_does_not_matter() {
        assert_eq!(find("E10").unwrap().name, "e10");
        assert_eq!(find("iso-octane").unwrap().name, "isooctane");
        assert_eq!(find("Petrol").unwrap().name, "gasoline_e0");
    }

    #[test]
    fn an_unknown_name_offers_the_nearest() {
        let GasError::UnknownFuel { nearest, .. } = find("methanl").unwrap_err() else {
            panic!("wrong error")
        };
        assert_eq!(nearest[0], "methanol");
    }

    #[test]
    fn shares_must_add_up() {
        let e = find("ethanol").unwrap();
        assert!(matches!(blend(&[(e.clone(), 0.5)]), Err(GasError::BadBlend { .. })));
        assert!(matches!(blend(&[(e, f64::NAN)]), Err(GasError::BadBlend { .. })));
        assert!(matches!(blend(&[]), Err(GasError::BadBlend { .. })));
    }

    #[test]
    fn a_blend_of_a_fuel_with_itself_is_that_fuel() {
        let e = find("ethanol").unwrap();
        let b = blend(&[(e.clone(), 0.3), (e.clone(), 0.7)]).unwrap();
        assert!((b.lower_heating_value() / e.lower_heating_value() - 1.0).abs() < 1e-14);
        assert!((b.vapour_enthalpy(500.0) / e.vapour_enthalpy(500.0) - 1.0).abs() < 1e-14);
    }

    /// The NASA vapour and the liquid tables are separate sources: they must tell one story.
    #[test]
    fn liquid_enthalpies_of_two_sources_agree() {
        for f in all() {
            let gap = f.liquid_enthalpy() - f.formation_enthalpy_liquid / f.molar_mass;
            assert!(gap.abs() < 2e-3 * f.lower_heating_value(), "{}: {gap}", f.name);
        }
    }
}
