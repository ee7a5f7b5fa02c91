//! Question: what is burned gas made of, and how does it behave, over mixture, temperature, pressure?
//!
//! Prints equilibrium states as CSV, SI units; `scripts/cross_check_cantera.py` recomputes them.
//! Element columns are mol/kg, x columns mole fractions.

use shortblock_gas::species::NAMES;
use shortblock_gas::{Elements, GasError, HumidAir, equilibrium, fuel};

fn main() -> Result<(), GasError> {
    let species: Vec<String> = NAMES.iter().map(|n| format!("x_{n}")).collect();
    println!("fuel,phi,T,p,C,H,O,N,Ar,u,h,s,M,cp,cp_frozen,gamma_s,{}", species.join(","));
    let air = HumidAir::new(99_000.0, 303.15, 0.5)?;
    for name in ["e10", "isooctane", "methanol", "ethanol", "toluene", "nitromethane"] {
        let fuel = fuel::find(name)?;
        for phi in [0.3, 0.7, 0.97, 1.0, 1.03, 1.25, 1.6] {
            let elements = Elements::new(&fuel, phi, &air)?;
            for t in [300.0, 900.0, 1750.0, 2300.0, 2800.0, 3500.0] {
                for p in [1.0e4, 1.0e5, 3.0e6, 3.0e7] {
                    print_state(name, phi, &elements, t, p)?;
                }
            }
        }
    }
    Ok(())
}

fn print_state(name: &str, phi: f64, e: &Elements, t: f64, p: f64) -> Result<(), GasError> {
    let s = equilibrium::solve(e, t, p)?;
    let x: Vec<String> = s.mole_fractions().iter().map(|x| format!("{x:e}")).collect();
    let (c, h, o, n, ar) = (e.c, e.h, e.o(), e.n, e.ar);
    print!("{name},{phi},{t},{p},{c},{h},{o},{n},{ar},{},{},{},", s.u, s.h, s.s);
    println!("{},{},{},{},{}", s.molar_mass(), s.cp, s.cp_frozen, s.gamma_s, x.join(","));
    Ok(())
}
