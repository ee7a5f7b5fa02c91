"""Works spark and mixture loops out again with SciPy and statsmodels; fails where we say otherwise.

Usage: python cross_check_scipy.py PATH_TO_BINARY_OF_EXAMPLE_print_loops
Needs: numpy, scipy, statsmodels (PyPI).

Same formulas on both sides: figures agree to 1e-7 of their standard deviation, or to nine digits.
"""
import collections
import json
import subprocess
import sys

import numpy as np
import statsmodels.api as sm
from scipy import optimize, stats

SAME, OF_DEVIATION = 1e-9, 1e-7
GIVEN_AWAY, WORTH_TRYING = 0.005, 0.002
counts = collections.Counter()


def same(what, ours, theirs, deviation=0.0):
    ours, theirs = np.asarray(ours, float), np.asarray(theirs, float)
    allowed = SAME * abs(theirs) + OF_DEVIATION * np.asarray(deviation)
    assert (abs(ours - theirs) <= allowed).all(), (what, ours, theirs)
    counts[what] += ours.size


class Fit:
    """T = a + b (x - m) + c (x - m)^2 with the scatter pooled from residuals and history."""

    def __init__(self, x, y, share, dof):
        self.m = np.mean(x)
        u = np.array(x) - self.m
        size = max(abs(u))
        design = np.column_stack([np.ones_like(u), u / size, (u / size) ** 2])
        ols = sm.OLS(np.array(y), design).fit()
        self.dof = len(x) - 3 + dof
        self.s2 = (ols.ssr + dof * (share * np.mean(y)) ** 2) / self.dof
        back = np.diag([1, 1 / size, 1 / size**2])
        self.beta = back @ ols.params
        self.cov = back @ ols.normalized_cov_params @ back * self.s2
        self.t = stats.t.isf(0.025, self.dof)
        self.top = self.m - self.beta[1] / (2 * self.beta[2])

    def at(self, x):
        powers = np.array([1.0, x - self.m, (x - self.m) ** 2])
        return powers @ self.beta, np.sqrt(powers @ self.cov @ powers)

    def fieller(self, low, high):
        """Where the slope is not told from 0: the two ends, searched for on either side."""

        def excess(x):
            row = np.array([0, 1, 2 * (x - self.m)])
            return (row @ self.beta) ** 2 - self.t**2 * (row @ self.cov @ row)

        assert excess(self.top) < 0 < min(excess(low), excess(high))
        search = {"xtol": 1e-15, "rtol": 4 * np.finfo(float).eps}
        return [optimize.brentq(excess, end, self.top, **search) for end in (low, high)]


def parabola(said, fit):
    sd = np.sqrt(np.diag(fit.cov))
    same("middle of the settings", said["centre"], fit.m)
    same("a, b, c", said["coefficients"], fit.beta, sd)
    same("covariance of a, b, c", said["covariance"], fit.cov, np.outer(sd, sd))
    same("scatter of a reading", [said["scatter"], said["dof"]], [np.sqrt(fit.s2), fit.dof])


def improvement(fit, x, best):
    """Jones, Schonlau & Welch 1998."""
    mean, sd = fit.at(x)
    return (mean - best) * stats.norm.cdf((mean - best) / sd) + sd * stats.norm.pdf(
        (mean - best) / sd
    )


def near_the_top(case):
    """Readings within reach of the top, chosen again as that moves it, ten times at most."""
    x, y = np.array(case["x"]), np.array(case["y"])
    rows = list(range(len(x)))
    for _ in range(10):
        fit = Fit(x[rows], y[rows], case["share"], case["dof"])
        near = list(np.flatnonzero(abs(x - fit.top) <= case["reach"] * (1 + 1e-9)))
        few = len(near) < 3 or (len(near) == 3 and case["dof"] == 0)
        if fit.beta[2] >= 0 or near == rows or few:
            break
        rows = near
    return rows


def best(case):
    said = case["said"]
    x, y = np.array(case["x"]), np.array(case["y"])
    rows = said["fitted"]
    fit = Fit(x[rows], y[rows], case["share"], case["dof"])
    parabola(said["parabola"], fit)
    assert near_the_top(case) == rows
    slope = np.sqrt(np.array([0, 1, 2 * (fit.top - fit.m)]) @ fit.cov @ [0, 1, 2 * (fit.top - fit.m)])
    sd = slope / abs(2 * fit.beta[2])
    same("setting of the top", said["setting"], fit.top, sd)
    far = max(1e3 * sd, 10 * np.ptp(x))
    same("Fieller's limits", said["limits"], fit.fieller(fit.top - far, fit.top + far), sd)
    torque, deviation = fit.at(fit.top)
    same("torque at the top", said["torque"], torque, deviation)
    same("± of that torque", said["plus_minus"], fit.t * deviation)

    def lost(x):
        return 1 - fit.at(x)[0] / torque - GIVEN_AWAY

    far = np.sqrt(2 * GIVEN_AWAY * torque / -fit.beta[2])
    window = [optimize.brentq(lost, e, fit.top, xtol=1e-14) for e in (fit.top - far, fit.top + far)]
    same("where half a per cent is lost", said["window"], window, sd)
    choose = np.clip(window[0 if case["least"] else 1], min(x), max(x))
    same("setting to choose", said["choose"], choose, sd)
    known = said["limits"][0] > window[0] and said["limits"][1] < window[1]
    proposal(case, fit, known)


def proposal(case, fit, known):
    """Nothing where the top is known better than it matters, else the most expected improvement."""
    ends = min(case["x"]) - case["step"], max(case["x"]) + case["step"]
    most = fit.at(fit.top)[0]
    gains = [improvement(fit, x, most) for x in np.linspace(*ends, 201)]
    enough = max(gains) > WORTH_TRYING * most
    if known or not enough:
        assert case["next"] is None, case["next"]
        counts["loops that are done"] += 1
        return
    setting, gain = case["next"]
    same("expected improvement", gain, improvement(fit, setting, most))
    same("most of it", gain, max(gains))
    counts["loops that go on"] += 1


def main(program):
    printed = subprocess.run([program], capture_output=True, text=True, check=True).stdout
    for line in printed.splitlines():
        case = json.loads(line)
        if case["kind"] == "knock":
            # Clopper-Pearson's upper limit of no event in n.
            same("knock unheard", case["said"], stats.beta.ppf(0.95, 1, case["cycles"]))
            continue
        if case["parabola"] is None:
            # No scatter is known of three readings without a history.
            assert len(case["x"]) == 3 and case["dof"] == 0, case
            continue
        parabola(case["parabola"], Fit(case["x"], case["y"], case["share"], case["dof"]))
        counts["loops"] += 1
        if case["kind"] == "best":
            best(case)
            counts["loops with a top"] += 1
    assert counts["loops"] > 300 and min(counts.values()) >= 7, counts
    for what, figures in counts.items():
        print(f"{what:32} {figures:6}")


main(sys.argv[1])
