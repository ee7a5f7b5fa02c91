"""Works smoothing, local lines and coast-downs out again with SciPy and statsmodels; fails where we
say otherwise.

Usage: python cross_check_scipy.py PATH_TO_BINARY_OF_EXAMPLE_print_fits
Needs: numpy, scipy, statsmodels (PyPI).

Same formulas on both sides: values agree to nine digits of the largest, slopes to nine digits of
what the largest value would make over one row; a coast-down, whose columns are nearly parallel, to
1e-5 of the ± it has.
"""
import collections
import json
import subprocess
import sys

import numpy as np
import statsmodels.api as sm
from scipy import signal, stats

SAME, OF_DEVIATION = 1e-9, 1e-5
RPM = np.pi / 30
counts = collections.Counter()


def numbers(values):
    return np.array([np.nan if v is None else v for v in values], float)


def same(what, ours, theirs, allowed):
    ours, theirs = np.asarray(ours, float), np.asarray(theirs, float)
    assert (np.isnan(ours) == np.isnan(theirs)).all(), (what, ours, theirs)
    off = abs(ours - theirs)
    assert not (off > allowed).any(), (what, np.nanmax(off), allowed)
    counts[what] += int(np.isfinite(ours).sum())


def smooth(case):
    time, values, rows = np.array(case["time"]), numbers(case["values"]), case["rows"]
    value, slope = (numbers(v) for v in case["said"])
    size = np.nanmax(abs(values))
    step = (time[-1] - time[0]) / (len(time) - 1)
    if case["even"]:
        # Ends as the parabola through the outermost window: "interp".
        theirs = [
            signal.savgol_filter(values, rows, 2, deriv=d, delta=step, mode="interp")
            for d in (0, 1)
        ]
        what = "even clock"
    else:
        theirs = window_by_window(time, values, rows // 2)
        what = "uneven clock or holes"
    same(f"Savitzky-Golay value, {what}", value, theirs[0], SAME * size)
    same(f"Savitzky-Golay slope, {what}", slope, theirs[1], SAME * size / step)


def window_by_window(time, values, half):
    """The same least squares with the times as they are and without what is missing."""
    n = len(time)
    value, slope = np.full(n, np.nan), np.full(n, np.nan)
    for i in range(n):
        start = min(max(i - half, 0), n - 2 * half - 1)
        window = np.arange(start, start + 2 * half + 1)
        window = window[np.isfinite(values[window])]
        if len(window) < 3:
            continue
        degree = 1 if len(window) < 4 else 2
        u = (time[window] - time[i]) / (time[min(start + 2 * half, n - 1)] - time[start])
        params = sm.OLS(values[window], np.vander(u, degree + 1, increasing=True)).fit().params
        value[i] = params[0]
        slope[i] = params[1] / (time[min(start + 2 * half, n - 1)] - time[start])
    return value, slope


def line(case):
    """Local straight line with Epanechnikov weights, by weighted least squares at each speed."""
    speed, torque, grid = np.array(case["speed"]), numbers(case["torque"]), np.array(case["grid"])
    width = max(4 * np.sort(abs(np.diff(speed)))[(len(speed) - 1) // 2], 100 * RPM)
    same("bandwidth", case["width"], width, SAME * width)
    good = np.isfinite(torque)
    speed, torque = speed[good], torque[good]
    theirs = np.full(len(grid), np.nan)
    for k, at in enumerate(grid):
        u = (speed - at) / width
        near = abs(u) < 1
        if speed.min() <= at <= speed.max() and near.sum() >= 3:
            wls = sm.WLS(torque[near], sm.add_constant(u[near]), weights=1 - u[near] ** 2)
            theirs[k] = wls.fit().params[0]
    same("local line", numbers(case["said"]), theirs, SAME * np.nanmax(torque))


def coast(case):
    """Speed against time and the integrals of speed and its square; straight between readings."""
    said = case["said"]
    if said is None:
        return
    t, w, j = np.array(case["time"]), np.array(case["speed"]), case["inertia"]
    step, v = np.diff(t), w[:-1]
    first = np.append(0, np.cumsum(step * (v + w[1:]) / 2))
    second = np.append(0, np.cumsum(step * (v * v + v * w[1:] + w[1:] ** 2) / 3))
    fit = sm.OLS(w, np.column_stack([np.ones_like(t), -t / j, -first / j, -second / j])).fit()
    asked = np.array(case["asked"])
    rows = np.column_stack([np.zeros_like(asked), np.ones_like(asked), asked, asked**2])
    prediction = fit.get_prediction(rows)
    half = prediction.se_mean * stats.t.isf(0.025, len(t) - 4)
    same("coast-down: c0, c1, c2", said["coefficients"], fit.params[1:], OF_DEVIATION * fit.bse[1:])
    same("coast-down: loss", said["torque"], prediction.predicted, OF_DEVIATION * half)
    same("coast-down: ±", said["plus_minus"], half, OF_DEVIATION * half)


KINDS = {"smooth": smooth, "line": line, "coast": coast}


def main(program):
    printed = subprocess.run([program], capture_output=True, text=True, check=True).stdout
    for row in printed.splitlines():
        case = json.loads(row)
        KINDS[case["kind"]](case)
    assert len(counts) == 9 and min(counts.values()) >= 50, counts
    for what, figures in counts.items():
        print(f"{what:48} {figures:6}")


main(sys.argv[1])
