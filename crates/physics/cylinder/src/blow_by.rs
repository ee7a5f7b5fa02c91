//! Gas lost past the rings: a nozzle of the ring gaps' effective area between crevice and
//! crankcase.
//!
//! `m = A p/sqrt(R T) psi(p_crankcase/p)`, isentropic nozzle, choked below the critical ratio.
//! Source: gas dynamics (Heywood 1988 eq. C.8-C.9, from memory). The crevice gas has the liner's
//! temperature; gamma 1.35 is ours.
//! Band: blow-by 0.3-1 % of the trapped mass at full load (common practice, no source).

use shortblock_lanes::Lane;

/// Returns the mass flow from crevice to crankcase, kg/s; 0 when the crankcase has the higher
/// pressure (backward leak is not modelled).
///
/// - `leak_area`: effective area, m^2. - `pressure`, `crankcase_pressure`: Pa.
/// - `temperature`, `gas_constant`: of the crevice gas, K and J/(kg K).
#[inline(always)]
pub fn mass_flow<V: Lane>(
    leak_area: V,
    pressure: V,
    crankcase_pressure: V,
    temperature: V,
    gas_constant: V,
) -> V {
    let density = pressure / (gas_constant * temperature);
    // At a ratio of 1 and beyond nothing flows.
    let ratio = crankcase_pressure / pressure;
    leak_area * (pressure * density).sqrt() * flow_function(ratio)
}

/// Nozzle flow function `m sqrt(R T)/(A p)`: constant below the critical pressure ratio, above it
/// the ellipse of Saint-Venant and Wantzel (ISO 6358), within 2 % of the isentropic function.
#[inline(always)]
fn flow_function<V: Lane>(ratio: V) -> V {
    // (2/(g+1))^(g/(g-1)) and the choked flow for gamma 1.35; checked below.
    const CRITICAL: f64 = 0.536_851_2;
    const CHOKED: f64 = 0.676_144_9;
    let zero = V::splat(0.0);
    let z = ((ratio - V::splat(CRITICAL)) * V::splat(1.0 / (1.0 - CRITICAL))).max(zero);
    V::splat(CHOKED) * (V::splat(1.0) - z * z).max(zero).sqrt()
}

#[cfg(test)]
mod tests {
    use super::*;

    const GAMMA: f64 = 1.35;

    #[test]
    fn ellipse_is_near_the_isentropic_function() {
        for i in 54..100 {
            let ratio = i as f64 * 0.01;
            let a = ratio.powf(2.0 / GAMMA) - ratio.powf((GAMMA + 1.0) / GAMMA);
            let exact = (2.0 * GAMMA / (GAMMA - 1.0) * a).sqrt();
            assert!((flow_function(ratio) / exact - 1.0).abs() < 0.02, "{ratio}");
        }
    }

    #[test]
    fn choked_constants_belong_to_gamma() {
        let critical = (2.0 / (GAMMA + 1.0)).powf(GAMMA / (GAMMA - 1.0));
        let choked =
            GAMMA.sqrt() * (2.0 / (GAMMA + 1.0)).powf((GAMMA + 1.0) / (2.0 * (GAMMA - 1.0)));
        assert!((flow_function(critical * 1.000001) - choked).abs() < 1e-6);
        assert!((flow_function(0.1) - choked).abs() < 1e-6, "{critical} {choked}");
        assert!((0.536_851_2 - critical).abs() < 1e-6, "{critical}");
    }

    #[test]
    fn nothing_flows_back() {
        assert_eq!(mass_flow(1e-6, 9e4, 1e5, 400.0, 287.0), 0.0);
        assert!(mass_flow(1e-6, 2e5, 1e5, 400.0, 287.0) > 0.0);
    }
}
