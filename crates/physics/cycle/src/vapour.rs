//! How much fuel evaporates into air: what is asked for, as far as its vapour pressure lets it.

use crate::build::Case;
use shortblock_gas::vapour_pressure;
use shortblock_lanes::{Lane, lanewise};

/// Evaporation slackens over this last share of the way to saturation, so that no step overshoots;
/// own.
const SLACKENING: f64 = 0.25;
/// Halvings in the search for saturation.
const HALVINGS: usize = 40;

/// Vapour pressure of the fuel in lanes: `ln(p/Pa) = a - b/T`.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Saturation<V> {
    pub a: V,
    pub b: V,
    /// Gas constant of the vapour, J/(kg K).
    pub r: V,
}

lanewise!(Saturation { a, b, r });

impl Saturation<f64> {
    pub fn of(case: &Case) -> Self {
        let (a, b) = vapour_pressure::law(&case.network.fuel);
        Self { a, b, r: case.gases.fuel.r }
    }
}

impl<V: Lane> Saturation<V> {
    /// Vapour pressure at `t` (K), Pa.
    #[inline(always)]
    fn pressure(&self, t: V) -> V {
        (self.a - self.b / t).exp()
    }

    /// Share of the free evaporation rate in gas with this density of vapour (kg/m³) at `t` (K): 1 far
    /// from saturation, 0 at and beyond it.
    #[inline(always)]
    pub fn free(&self, density: V, t: V) -> V {
        let (zero, one) = (V::splat(0.0), V::splat(1.0));
        let there = density * self.r * t;
        ((one - there / self.pressure(t)) * V::splat(1.0 / SLACKENING)).max(zero).min(one)
    }
}

/// Mass of vapour per mass of air around the engine, at most `wanted`, that evaporates at the cost of
/// the air's own heat: both end at the temperature at which the air is saturated, as at a wet bulb.
/// Pressure that is lost on the way in only lets more evaporate.
pub(crate) fn evaporated(case: &Case, wanted: f64) -> f64 {
    let (network, gases) = (case.network, case.gases);
    let (p, t0) = (network.ambient_pressure, network.ambient_temperature);
    let cp = |gas: &shortblock_gas::DuctGas| gas.cv(t0) + gas.r;
    let (air, fuel) = (cp(&gases.air), cp(&gases.fuel));
    let saturation = Saturation::of(case);
    let fits = |vapour: f64| {
        let t = t0 - vapour * network.fuel.latent_heat / (air + vapour * fuel);
        let part = vapour * gases.fuel.r / (vapour * gases.fuel.r + gases.air.r);
        t > 0.0 && part * p <= saturation.pressure(t)
    };
    if fits(wanted) {
        return wanted;
    }
    let (mut low, mut high) = (0.0, wanted);
    for _ in 0..HALVINGS {
        let middle = 0.5 * (low + high);
        if fits(middle) { low = middle } else { high = middle }
    }
    low
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::build::LaneGases;
    use crate::designs;
    use shortblock_gas::{DuctGas, HumidAir, fuel};

    /// Vapour per air, and how far the air cools, K, when plenty of fuel is offered.
    fn saturated(name: &str, celsius: f64) -> (f64, f64) {
        let mut network = designs::four();
        network.fuel = fuel::find(name).unwrap();
        network.air = HumidAir::dry();
        network.ambient_temperature = 273.15 + celsius;
        network.ambient_pressure = 101_325.0;
        let demand = designs::demand(4000.0);
        let gases = LaneGases {
            air: DuctGas::air(&network.air),
            fuel: DuctGas::fuel_vapour(&network.fuel),
            burned: DuctGas::burned(&network.fuel, 1.0, &network.air).unwrap(),
        };
        let case = Case { network: &network, demand: &demand, gases: &gases, fuel_per_air: 1.0 };
        let vapour = evaporated(&case, 1.0);
        (vapour, vapour * network.fuel.latent_heat / 1010.0)
    }

    /// Into dry air of 25 C without heat from outside: by the Antoine constants (Poling et al. 2001) and
    /// latent heats of the alcohols methanol's wet bulb is at -7.0 C, where 0.0285 kg has evaporated per
    /// kg of air, ethanol's at 1.0 C with 0.0271 kg (worked out apart from this code). 6 % for the
    /// constant latent heat of the closure.
    #[test]
    fn alcohol_in_dry_air_stops_at_its_wet_bulb() {
        for (name, expected) in [("methanol", 0.0285), ("ethanol", 0.0271)] {
            let (vapour, _) = saturated(name, 25.0);
            assert!((vapour / expected - 1.0).abs() < 0.06, "{name}: {vapour}");
        }
    }

    #[test]
    fn colder_air_takes_up_less_and_what_fits_is_not_touched() {
        let (warm, fall) = saturated("nitromethane", 25.0);
        let (cold, _) = saturated("nitromethane", -15.0);
        assert!(cold < 0.4 * warm && warm < 0.1 && fall < 40.0, "{warm} {cold} {fall}");
        let free = Saturation { a: 20.0, b: 4000.0, r: 80.0 };
        assert_eq!(free.free(0.0, 300.0), 1.0);
        let p = free.pressure(300.0);
        assert_eq!(free.free(p / (80.0 * 300.0) * 1.01, 300.0), 0.0);
    }
}
