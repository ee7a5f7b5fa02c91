//! Burning by turbulent entrainment.
//!
//! `dm_e/dt = rho_u A_f (C u' g + S_L)`, `g = sqrt(1 - exp(-t (u' + S_L)/l))`,
//! `dm_b/dt = (m_e - m_b)/tau + rho_u A_f S_L`, `tau = lambda/S_L`, `lambda = l sqrt(15 nu/(u' l))`.
//! m_e entrained and m_b burned mass, A_f free flame area, S_L laminar speed, u' turbulence
//! intensity, l integral length, lambda Taylor's microscale, t time since the spark.
//! Source: Blizard & Keck 1974, SAE 740191; Tabaczynski, Ferguson & Radhakrishnan 1977, SAE 770647;
//! growth g of the young flame, which only eddies that had the time to turn over wrinkle: Herweg &
//! Maly 1992, SAE 922243, its factor in time (all from memory). Viscosity 3.3e-7 T^0.7 kg/(m s),
//! Heywood 1988 eq. 4.63 (from memory).
//! A burn multiplier scales all rates and is a fitted number, because laminar flame speeds differ by
//! up to two between sources.

use shortblock_lanes::Lane;

/// Logarithm of the viscosity at 1 K, 3.3e-7 kg/(m s).
const LN_VISCOSITY: f64 = -14.924173182485886;
/// Exponent of its temperature.
const VISCOSITY_EXPONENT: f64 = 0.7;
/// Entrainment speed C over turbulence intensity. Own, from measured flames: Beretta, Rashidi & Keck
/// 1983 find 0.08 u_i sqrt(rho_u/rho_i), with u_i the mean speed of the air through the intake valves
/// and rho_i its density (in Heywood 1988 section 9.3.4; from memory). At usual valves u_i is 4 mean
/// piston speeds and the density rises from 6 to 17 times, which makes 0.8 to 1.3 piston speeds; over
/// the half that the intensity has (Heywood 1988 section 8.2, from memory) 1.6 to 2.6.
const ENTRAINMENT: f64 = 2.5;
/// Taylor's relation of the microscale to dissipation.
const TAYLOR: f64 = 15.0;

/// State in which the flame burns.
#[derive(Clone, Copy, Debug)]
pub struct Front<V = f64> {
    /// Density of the unburned gas, kg/m^3.
    pub density: V,
    /// Dynamic viscosity of the unburned gas, kg/(m s).
    pub viscosity: V,
    /// Free flame area, m^2.
    pub area: V,
    /// Laminar flame speed, m/s.
    pub laminar_speed: V,
    /// Turbulence intensity u', m/s.
    pub intensity: V,
    /// Integral length, m.
    pub integral_length: V,
    /// Mass entrained and not yet burned, kg.
    pub burning_mass: V,
    /// Time since the spark, s.
    pub time: V,
}

/// Rates of a flame, kg/s.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Rates<V = f64> {
    /// Of the entrained mass.
    pub entrained: V,
    /// Of the burned mass.
    pub burned: V,
    /// 1/tau, 1/s.
    pub inverse_time: V,
}

/// Returns the logarithm of the dynamic viscosity of air-like gas (kg/(m s)) from that of its
/// temperature (K).
#[inline(always)]
pub fn ln_viscosity<V: Lane>(ln_temperature: V) -> V {
    V::splat(LN_VISCOSITY) + V::splat(VISCOSITY_EXPONENT) * ln_temperature
}

/// Returns the rates of entrainment and burning, kg/s. A laminar speed of zero gives no burning.
#[inline(always)]
pub fn rates<V: Lane>(front: &Front<V>) -> Rates<V> {
    let f = front;
    let u = f.intensity.max(V::splat(1e-3));
    let lambda = (V::splat(TAYLOR) * f.viscosity * f.integral_length / (f.density * u)).sqrt();
    let inverse_time = f.laminar_speed / lambda;
    let turns = f.time * (u + f.laminar_speed) / f.integral_length;
    let growth = (V::splat(1.0) - (-turns).exp()).sqrt();
    let swept = f.density * f.area;
    Rates {
        entrained: swept * (V::splat(ENTRAINMENT) * u * growth + f.laminar_speed),
        burned: f.burning_mass * inverse_time + swept * f.laminar_speed,
        inverse_time,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const FRONT: Front = Front {
        density: 9.0,
        viscosity: 3.3e-5,
        area: 4e-3,
        laminar_speed: 0.7,
        intensity: 3.0,
        integral_length: 4e-3,
        burning_mass: 1e-5,
        time: 0.0,
    };

    #[test]
    fn a_young_flame_burns_laminar_and_an_old_one_turbulent() {
        let young = rates(&Front { burning_mass: 0.0, ..FRONT });
        assert!((young.entrained - 9.0 * 4e-3 * 0.7).abs() < 1e-12);
        assert_eq!(young.entrained, young.burned);
        let old = rates(&Front { time: 1.0, ..FRONT });
        assert!((old.entrained - 9.0 * 4e-3 * (2.5 * 3.0 + 0.7)).abs() < 1e-9);
    }

    /// Growth by Herweg & Maly 1992 (from memory) after one turn of the eddies: sqrt(1 - 1/e).
    #[test]
    fn a_flame_grows_up_in_the_time_its_eddies_take_to_turn() {
        let turned = rates(&Front { time: 4e-3 / 3.7, ..FRONT });
        let turbulent = turned.entrained / (9.0 * 4e-3) - 0.7;
        assert!((turbulent / (2.5 * 3.0) - 0.795_06).abs() < 1e-5, "{turbulent}");
    }

    /// Taylor's microscale over integral length is sqrt(15/Re): a few per cent in an engine
    /// (0.5-1.5 mm at a few mm; Heywood 1988 section 8.2.1, from memory, as a band).
    #[test]
    fn microscale_is_a_tenth_to_a_millimetre() {
        let lambda = 0.7 / rates(&FRONT).inverse_time;
        assert!((1e-4..1e-3).contains(&lambda), "{lambda}");
    }
}
