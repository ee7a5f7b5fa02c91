"""Recomputes equilibrium states with Cantera and fails on a difference above 0.05 %.

Usage: python cross_check_cantera.py PATH_TO_BINARY_OF_EXAMPLE_print_equilibrium
Needs: cantera (PyPI). Same twelve species of nasa_gas.yaml, standard state 101325 Pa.
"""
import csv
import subprocess
import sys

import cantera as ct

LIMIT = 5e-4  # relative
ENERGY_FLOOR = 2e5  # J/kg: smaller energies are judged against it
TRACE = 1e-6  # mole fractions below are not compared
SPECIES = ["N2", "O2", "CO2", "H2O", "CO", "H2", "O", "H", "OH", "NO", "N", "Ar"]


def gas():
    known = {s.name: s for s in ct.Species.list_from_file("nasa_gas.yaml")}
    return ct.Solution(thermo="ideal-gas", species=[known[n] for n in SPECIES])


def elements_as_species(row):
    """Moles of CO, H2, N2, O2, Ar with the row's elements; soot-forming rows do not occur."""
    c, h, o, n, ar = (float(row[e]) for e in ("C", "H", "O", "N", "Ar"))
    free = o - c
    return {"CO": c, "H2": h / 2, "O2": free / 2, "N2": n / 2, "Ar": ar}


def equilibrate(g, t, p, moles):
    g.TPX = t, p, moles
    g.equilibrate("TP", solver="auto", rtol=1e-11)


def isentropic_exponent(g, t, p, moles):
    """(d ln p / d ln rho)_s and equilibrium cp by central differences."""
    dt, dlnp = 0.5, 2e-4

    def h_v(t_, p_):
        equilibrate(g, t_, p_, moles)
        return g.enthalpy_mass, g.volume_mass

    hp, vp = h_v(t + dt, p)
    hm, vm = h_v(t - dt, p)
    _, v_hi = h_v(t, p * (1 + dlnp))
    _, v_lo = h_v(t, p * (1 - dlnp))
    equilibrate(g, t, p, moles)
    v = g.volume_mass
    cp = (hp - hm) / (2 * dt)
    by_t = t * (vp - vm) / (2 * dt) / v
    by_p = (v_hi - v_lo) / (2 * dlnp) / v
    cv = cp + p * v / t * by_t**2 / by_p
    return -cp / cv / by_p, cp


def main():
    text = subprocess.run([sys.argv[1]], check=True, capture_output=True, text=True).stdout
    g = gas()
    worst, bad, count, refused = {}, 0, 0, 0
    for row in csv.DictReader(text.splitlines()):
        t, p = float(row["T"]), float(row["p"])
        moles = elements_as_species(row)
        try:
            gamma_s, cp = isentropic_exponent(g, t, p, moles)
        except ct.CanteraError:
            refused += 1
            continue
        count += 1
        energy = max(abs(g.int_energy_mass), ENERGY_FLOOR)
        errors = {
            "u": (float(row["u"]) - g.int_energy_mass) / energy,
            "h": (float(row["h"]) - g.enthalpy_mass) / energy,
            "s": float(row["s"]) / g.entropy_mass - 1,
            "M": float(row["M"]) * 1e3 / g.mean_molecular_weight - 1,
            "cp_frozen": float(row["cp_frozen"]) / g.cp_mass - 1,
            "cp": float(row["cp"]) / cp - 1,
            "gamma_s": float(row["gamma_s"]) / gamma_s - 1,
        }
        for name, x in zip(SPECIES, g.X):
            if x > TRACE:
                errors["x"] = max(errors.get("x", 0), abs(float(row["x_" + name]) / x - 1))
        for name, error in errors.items():
            worst[name] = max(worst.get(name, 0), abs(error))
            if not abs(error) <= LIMIT:
                bad += 1
                print(f"{name} off by {error:.2e}: {row['fuel']} phi {row['phi']} {t} K {p} Pa")
    print(f"Cantera {ct.__version__}: {count} states, not solved by Cantera: {refused}; worst "
          + ", ".join(f"{k} {v:.1e}" for k, v in sorted(worst.items())))
    if bad or count < 900 or refused > 0.05 * count:
        sys.exit("cross-check failed")


if __name__ == "__main__":
    main()
