//! A virtual flow bench: the steady flow of a duct with a throat at one end.
//!
//! A modelled port and valve must pass what the real ones pass on the bench, at the bench's test
//! pressure. The port's friction and its exit loss are in the duct, so the valve's throat is what
//! is left: [`Bench::throat_for`] finds it.

use crate::{
    Duct, DuctGeometry, End, EndFlux, FlowError, GasSet, Nozzle, Opening, Reservoir, Scratch,
    end_flux,
};
use shortblock_lanes::Lane;

/// Courant number of the time march.
const COURANT: f64 = 0.8;
/// The flow is steady when both ends' flows agree to this share of the ideal flow for
/// [`STEADY_STEPS`] steps. Ours.
const STEADY: f64 = 1e-6;
/// Steps over which the flow must hold still.
const STEADY_STEPS: usize = 50;
/// Steps after which a bench gives up.
const STEPS_MAX: usize = 40_000;
/// Passes of [`Bench::throat_for`].
const PASSES_MAX: usize = 8;

/// The duct on the bench: its left end is the open one, its right end has the throat.
#[derive(Clone, Debug)]
pub struct Bench<V, const S: usize> {
    duct: Duct<V, S>,
    /// State of the still gas at the open end.
    pub outside: Reservoir<V, S>,
    /// State of the still gas behind the throat.
    pub inside: Reservoir<V, S>,
}

/// What the bench reads.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BenchFlow<V> {
    /// Mass flow, kg/s, positive from the open end to the throat.
    pub mass_flow: V,
    /// Largest difference of the two ends' flows over the last steps, kg/s.
    pub unsteadiness: V,
    /// Steps taken.
    pub steps: usize,
    /// Whether every lane was steady before the bench gave up.
    pub steady: bool,
}

impl<V: Lane, const S: usize> Bench<V, S> {
    /// A bench with the given duct (one geometry per lane) between two still gases. A head with
    /// an intake port has the lower pressure inside, one with an exhaust port outside.
    pub fn new(
        gases: &GasSet<V, S>,
        geometry: &[DuctGeometry],
        outside: Reservoir<V, S>,
        inside: Reservoir<V, S>,
    ) -> Result<Self, FlowError> {
        Ok(Self { duct: Duct::new(gases, geometry)?, outside, inside })
    }

    /// The steady flow with the effective `throat` area (m2).
    pub fn flow(&self, gases: &GasSet<V, S>, throat: V) -> BenchFlow<V> {
        let mut duct = self.duct.clone();
        let half = V::splat(0.5);
        let t = half * (self.outside.t + self.inside.t);
        duct.fill(
            gases,
            half * (self.outside.p + self.inside.p),
            V::splat(0.0),
            t,
            &self.outside.y,
        );
        let mut scratch = Scratch::new(duct.cell_count());
        let valve = Opening::both_ways(throat);
        let open = Opening::both_ways(duct.end_area(End::Left));
        let mut u = [V::splat(0.0); 2];
        let tolerance = V::splat(STEADY) * self.ideal(throat.min(duct.end_area(End::Right)));
        let (mut held, mut unsteadiness) = (0, V::splat(0.0));
        let mut mass_flow = V::splat(0.0);
        for step in 1..=STEPS_MAX {
            let dt = V::splat(COURANT) / duct.signal_rate();
            let [a, b] = [End::Left, End::Right].map(|end| duct.end_state(gases, end, dt));
            let l: EndFlux<V, S> = end_flux(gases, &self.outside, &a, &open, u[0]);
            let r = end_flux(gases, &self.inside, &b, &valve, u[1]);
            u = [l.u, r.u];
            duct.sweep(gases, dt, &l, &r, &mut scratch);
            let apart = (l.mass + r.mass).abs();
            unsteadiness = if held == 0 { apart } else { unsteadiness.max(apart) };
            mass_flow = half * (l.mass - r.mass);
            held = if (apart - tolerance).largest() <= 0.0 { held + 1 } else { 0 };
            if held >= STEADY_STEPS {
                return BenchFlow { mass_flow, unsteadiness, steps: step, steady: true };
            }
        }
        BenchFlow { mass_flow, unsteadiness, steps: STEPS_MAX, steady: false }
    }

    /// The throat area in m2 with which the bench passes `mass_flow` (kg/s, either sign) and the
    /// reading it gives; a lane whose duct alone passes less than that ends at the duct's end
    /// area and its own reading.
    pub fn throat_for(&self, gases: &GasSet<V, S>, mass_flow: V) -> (V, BenchFlow<V>) {
        let (zero, one) = (V::splat(0.0), V::splat(1.0));
        let per_area = self.ideal(one);
        let inverse_square = |area: V| one / (area * area);
        let wanted = inverse_square((mass_flow.abs() / per_area).max(V::splat(f64::EPSILON)));
        let largest = self.duct.end_area(End::Right);
        // In series, 1/area^2 of throat and duct add up (exactly so for small pressure drops).
        let mut throat = (mass_flow.abs() / per_area).min(largest);
        let mut reading = self.flow(gases, throat);
        for _ in 1..PASSES_MAX {
            let error = (reading.mass_flow.abs() - mass_flow.abs()).abs() / per_area;
            let open = V::select_lt(throat, largest, error, zero);
            if (open - V::splat(STEADY) * throat * V::splat(10.0)).largest() <= 0.0 {
                break;
            }
            let duct = inverse_square(reading.mass_flow.abs() / per_area) - inverse_square(throat);
            let rest = wanted - duct;
            let next = V::select_lt(zero, rest, one / rest.max(V::splat(1e-300)).sqrt(), largest);
            throat = next.min(largest);
            reading = self.flow(gases, throat);
        }
        (throat, reading)
    }

    /// Isentropic flow in kg/s through `area` (m2) at the bench's pressures.
    fn ideal(&self, area: V) -> V {
        let drop = self.outside.p - self.inside.p;
        let pick = |a: V, b: V| V::select_lt(V::splat(0.0), drop, a, b);
        let (p0, rho0) =
            (pick(self.outside.p, self.inside.p), pick(self.outside.rho, self.inside.rho));
        let k = Nozzle::new(pick(self.outside.gamma, self.inside.gamma)).k(drop.abs() / p0);
        area * (rho0 * drop.abs() * k).sqrt()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Gas;
    use shortblock_lanes::Lanes;

    type V = Lanes<f64, 2, false>;

    fn bench(friction: f64, backward: bool) -> (GasSet<V, 0>, Bench<V, 0>) {
        let gases = GasSet::new(&Gas::constant_gamma(287.0, 1.4), &[]);
        let mut g = DuctGeometry::from_area(0.12, 6, |x| 1.6e-3 - 4e-3 * x);
        g.friction_factor = friction;
        let still = |p| Reservoir::new(&gases, V::splat(p), V::splat(293.0), &[]);
        // 28 inH2O, the trade's usual test pressure.
        let (high, low) = (still(101_325.0), still(101_325.0 - 6_974.0));
        let (outside, inside) = if backward { (low, high) } else { (high, low) };
        (gases, Bench::new(&gases, &[g.clone(), g], outside, inside).unwrap())
    }

    #[test]
    fn the_throat_found_passes_the_flow_of_the_table() {
        for backward in [false, true] {
            let (gases, bench) = bench(0.006, backward);
            let wanted = V::from_fn(|l| [0.05, 0.11][l]);
            let (throat, reading) = bench.throat_for(&gases, wanted);
            assert!(reading.steady);
            for l in 0..2 {
                let ratio = reading.mass_flow.get(l).abs() / wanted.get(l);
                // PHYSICS section 3: within 0.2 %.
                assert!((ratio - 1.0).abs() < 2e-3, "{backward} {l} {ratio} {throat:?}");
            }
            assert!(throat.get(0) < throat.get(1));
        }
    }

    #[test]
    fn without_friction_the_bench_reads_the_nozzles_flow() {
        let (gases, bench) = bench(0.0, false);
        let throat = V::splat(2e-4);
        let reading = bench.flow(&gases, throat);
        let ratio = reading.mass_flow.get(0) / bench.ideal(throat).get(0);
        // Prototype: 0.995 to 0.998.
        assert!(reading.steady && (0.995..1.005).contains(&ratio), "{ratio} {reading:?}");
    }

    #[test]
    fn a_flow_beyond_the_duct_ends_at_the_open_duct() {
        let (gases, bench) = bench(0.006, false);
        let (throat, reading) = bench.throat_for(&gases, V::splat(9.0));
        assert_eq!(throat.get(0), bench.duct.end_area(End::Right).get(0));
        assert!(reading.mass_flow.get(0) < 9.0);
    }
}
