//! Any number in: an answer or a typed error, never a panic, a hang or a NaN called a result.

use proptest::prelude::*;
use shortblock_gas::flame_speed::flame_speed;
use shortblock_gas::{
    BurnedTable, DuctGas, Elements, FrozenGas, HumidAir, equilibrium, flame, fuel,
};

fn any_fuel() -> impl Strategy<Value = shortblock_gas::Fuel> {
    proptest::sample::select(fuel::all())
}

proptest! {
    #[test]
    fn equilibrium_answers_or_refuses(
        fuel in any_fuel(), phi in any::<f64>(), t in any::<f64>(), p in any::<f64>(),
    ) {
        if let Ok(e) = Elements::new(&fuel, phi, &HumidAir::dry())
            && let Ok(s) = equilibrium::solve(&e, t, p)
        {
            prop_assert!(s.u.is_finite() && s.gamma_s.is_finite());
        }
    }

    /// In the stated range every mixture without soot has an answer with sound derivatives.
    #[test]
    fn equilibrium_is_found_in_range(
        fuel in any_fuel(), phi in 0.0..2.6f64, t in 250.0..5000.0f64, ln_p in 6.91..18.4f64,
        rh in 0.0..1.0f64,
    ) {
        let air = HumidAir::new(1e5, 305.0, rh).unwrap();
        if let Ok(e) = Elements::new(&fuel, phi, &air) {
            let s = equilibrium::solve(&e, t, ln_p.exp());
            prop_assert!(s.is_ok(), "{} phi {phi} t {t} ln p {ln_p}: {s:?}", fuel.name);
            let s = s.unwrap();
            prop_assert!(s.cp >= s.cp_frozen * (1.0 - 1e-9) && s.cv > 0.0);
            prop_assert!(s.gamma_s > 1.0 && s.gamma_s < 1.7);
        }
    }

    #[test]
    fn humid_air_answers_or_refuses(p in any::<f64>(), t in any::<f64>(), rh in any::<f64>()) {
        if let Ok(a) = HumidAir::new(p, t, rh) {
            prop_assert!(a.molar_mass > 0.018 && a.molar_mass < 0.03);
        }
    }

    #[test]
    fn names_never_panic(name in ".*") {
        let _ = fuel::find(&name);
    }

    #[test]
    fn blends_keep_energy_and_mass(
        a in any_fuel(), b in any_fuel(), share in 0.0..=1.0f64,
    ) {
        let mix = fuel::blend(&[(a.clone(), share), (b.clone(), 1.0 - share)]).unwrap();
        let (ma, mb) = (share * a.density, (1.0 - share) * b.density);
        let mean = (ma * a.lower_heating_value() + mb * b.lower_heating_value()) / (ma + mb);
        prop_assert!((mix.lower_heating_value() / mean - 1.0).abs() < 1e-12);
        let afr = (ma * a.stoichiometric_afr() + mb * b.stoichiometric_afr()) / (ma + mb);
        prop_assert!((mix.stoichiometric_afr() / afr - 1.0).abs() < 1e-12);
    }

    #[test]
    fn flame_speed_is_finite_in_engines(
        fuel in any_fuel(), phi in 0.4..2.0f64, t in 280.0..1200.0f64, p in 2e4..2e7f64,
        x in 0.0..1.0f64,
    ) {
        let s = flame_speed(&fuel, phi, t, p, x).value;
        prop_assert!(s.is_finite() && s >= 0.0);
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(24))]

    #[test]
    fn tables_are_finite_for_any_state(
        fuel in any_fuel(), phi in 0.3..1.6f64, t in any::<f64>(), p in any::<f64>(),
    ) {
        if let Ok(table) = BurnedTable::new(&fuel, phi, &HumidAir::dry()) {
            let s = table.state(t, p);
            if (-1e9..1e9).contains(&t) && p > 0.0 && p.is_finite() {
                prop_assert!(s.u.is_finite() && s.r.is_finite() && s.u_t.is_finite());
            }
            let _ = table.temperature_from_u(t, p, t);
        }
    }

    #[test]
    fn flames_answer_or_refuse(
        fuel in any_fuel(), phi in 0.0..2.0f64, t in any::<f64>(), p in any::<f64>(),
    ) {
        let air = HumidAir::dry();
        let gas = FrozenGas::unburned(&fuel, phi, &air, &FrozenGas::air(&air), 0.05).unwrap();
        if let Ok(e) = Elements::new(&fuel, phi, &air) {
            let _ = flame::constant_pressure(&gas, &e, t, p);
            let _ = flame::constant_volume(&gas, &e, t, p);
        }
        let _ = DuctGas::fit(&gas, 1500.0).u(t);
    }
}
