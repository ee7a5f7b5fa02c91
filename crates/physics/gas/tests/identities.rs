//! Identities that hold for any gas: elements kept, derivatives consistent, Gibbs relations.

use shortblock_gas::species::{ATOMS, N_SPECIES, THERMO};
use shortblock_gas::{Elements, Fuel, HumidAir, equilibrium, fuel};

const PHIS: [f64; 9] = [0.3, 0.6, 0.9, 0.999, 1.0, 1.001, 1.1, 1.4, 1.8];
const TS: [f64; 9] = [300.0, 450.0, 700.0, 1000.0, 1500.0, 2000.0, 2500.0, 3000.0, 3500.0];
const PS: [f64; 5] = [1e4, 1e5, 1e6, 1e7, 3e7];

/// Runs `check` over fuels, mixtures, temperatures, pressures.
fn everywhere(check: impl Fn(&Elements, f64, f64, &str)) {
    let air = HumidAir::new(1e5, 303.15, 0.6).unwrap();
    for name in ["e10", "methanol", "toluene", "nitro90_methanol10"] {
        let fuel: Fuel = fuel::find(name).unwrap();
        for phi in PHIS.into_iter().chain([2.5]) {
            let Ok(elements) = Elements::new(&fuel, phi, &air) else { continue };
            for t in TS {
                for p in PS {
                    check(&elements, t, p, &format!("{name} phi {phi} {t} K {p} Pa"));
                }
            }
        }
    }
}

#[test]
fn elements_are_conserved() {
    everywhere(|e, t, p, what| {
        let s = equilibrium::solve(e, t, p).unwrap();
        let sum = |i: usize| -> f64 { (0..N_SPECIES).map(|j| s.moles[j] * ATOMS[j][i]).sum() };
        for (i, want) in [e.c, e.h, e.o(), e.n, e.ar].into_iter().enumerate() {
            assert!((sum(i) - want).abs() <= 1e-12 * want, "{what}: element {i}");
        }
        assert!(s.moles.iter().all(|n| *n >= 0.0));
    });
}

/// At equilibrium the affinity of every reaction vanishes: CO2 = CO + O2/2 and four others.
#[test]
fn affinities_vanish() {
    const REACTIONS: [&[(usize, f64)]; 5] = [
        &[(2, -1.0), (4, 1.0), (1, 0.5)],
        &[(3, -1.0), (5, 1.0), (1, 0.5)],
        &[(0, -0.5), (1, -0.5), (9, 1.0)],
        &[(5, -0.5), (1, -0.5), (8, 1.0)],
        &[(4, -1.0), (3, -1.0), (2, 1.0), (5, 1.0)],
    ];
    everywhere(|e, t, p, what| {
        let s = equilibrium::solve(e, t, p).unwrap();
        let x = s.mole_fractions();
        let mu = |j: usize| THERMO[j].h(t) / t - THERMO[j].s(t) + (x[j] * p / 101_325.0).ln();
        for reaction in REACTIONS {
            if reaction.iter().all(|(j, _)| x[*j] > 1e-290) {
                let affinity: f64 = reaction.iter().map(|(j, nu)| nu * mu(*j)).sum();
                assert!(affinity.abs() < 1e-8, "{what}: {affinity}");
            }
        }
    });
}

#[test]
fn h_equals_u_plus_p_v() {
    everywhere(|e, t, p, what| {
        let s = equilibrium::solve(e, t, p).unwrap();
        assert!((s.h - s.u - p / s.density()).abs() < 1e-6 * s.r * t, "{what}");
    });
}

/// Derivatives against central differences of the solver, and T ds = dh - v dp along T and p.
#[test]
fn derivatives_and_gibbs_relations() {
    everywhere(|e, t, p, what| {
        // Both sides of the polynomials' break must not mix in one difference.
        if t == 1000.0 {
            return;
        }
        let at = |t: f64, p: f64| equilibrium::solve(e, t, p).unwrap();
        let s = at(t, p);
        let (dt, dl) = (1e-4 * t, 1e-4);
        let (tp, tm) = (at(t + dt, p), at(t - dt, p));
        let (pp, pm) = (at(t, p * f64::exp(dl)), at(t, p * f64::exp(-dl)));
        let by_t = |get: fn(&equilibrium::Equilibrium) -> f64| (get(&tp) - get(&tm)) / (2.0 * dt);
        let by_p = |get: fn(&equilibrium::Equilibrium) -> f64| (get(&pp) - get(&pm)) / (2.0 * dl);
        let near = |name: &str, got: f64, want: f64, scale: f64| {
            assert!((got - want).abs() < 1e-5 * scale, "{what}: {name} {got} {want}");
        };
        near("u_t", s.u_t, by_t(|x| x.u), s.cp);
        near("r_t", s.r_t * t, by_t(|x| x.r) * t, s.cp);
        near("u_lnp", s.u_lnp, by_p(|x| x.u), s.cp * t);
        near("r_lnp", s.r_lnp * t, by_p(|x| x.r) * t, s.cp * t);
        near("cp", s.cp, by_t(|x| x.h), s.cp);
        near("T ds/dT = cp", t * by_t(|x| x.s), s.cp, s.cp);
        near("T ds/dlnp", t * by_p(|x| x.s), by_p(|x| x.h) - s.r * t, s.cp * t);
        // Maxwell: (ds/dp)_T = -(dv/dT)_p.
        near("Maxwell", by_p(|x| x.s), -(s.r + t * s.r_t), s.cp);
        // gamma_s from cp, cv: both from the slopes of u and R.
        let v_p = s.r_lnp / s.r - 1.0;
        near("gamma", s.gamma_s, -s.cp / (s.cv * v_p), s.gamma_s);
    });
}
