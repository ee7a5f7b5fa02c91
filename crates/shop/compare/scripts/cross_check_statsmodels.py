"""Works the comparison of pulls out again with SciPy and statsmodels; fails where we say otherwise.

Usage: python cross_check_statsmodels.py PATH_TO_BINARY_OF_EXAMPLE_print_comparisons
Needs: numpy, scipy, statsmodels (PyPI).

Where both sides work out the same formula they must agree to ten digits. Wider, because our method
of solving ends there: chances (Simpson's rule with 400 steps over the scatter; 1e-6, and 1e-4 where
the integrand has a kink), and the tipping point (24 halvings of 0.20).
"""
import collections
import json
import subprocess
import sys

import numpy as np
import statsmodels.api as sm
from scipy import integrate, linalg, optimize, special, stats
from statsmodels.stats.multitest import multipletests

SAME = 1e-10  # of the larger of the two, same formula
TAIL = 1e-8  # of a quantile or a tail probability
CHANCE, KINK = 1e-6, 1e-4
TIPPING = 0.20 / 2**24
STEP, BAND, PEAK = 50.0, 250.0, 250.0
worst = collections.defaultdict(float)
counts = collections.Counter()


def same(what, ours, theirs, relative=SAME, absolute=0.0, scale=0.0):
    """Holds two numbers, or two lists, against each other."""
    ours, theirs = np.atleast_1d(ours).astype(float), np.atleast_1d(theirs).astype(float)
    assert ours.shape == theirs.shape, (what, ours.shape, theirs.shape)
    size = np.maximum(np.maximum(abs(ours), abs(theirs)), scale)
    allowed = relative * size + absolute
    off = abs(ours - theirs)
    assert (off <= allowed).all(), (what, ours[off > allowed][:3], theirs[off > allowed][:3])
    used = np.where(allowed > 0, off / np.where(allowed > 0, allowed, 1), 0)
    worst[what] = max(worst[what], float(used.max(initial=0)))
    counts[what] += ours.size


def student(case):
    half, p = case["said"]
    dof = case["dof"]
    same("Student quantile", half, stats.t.isf(case["level"] / 2, dof), TAIL)
    same("Student tail", p, 2 * stats.t.sf(abs(case["t"]), dof), TAIL)


def critical(level, dof, resels, speeds):
    """The smaller of Bonferroni and the expected Euler characteristic of a t process."""
    bonferroni = stats.t.isf(level / (2 * speeds), dof)

    def excess(u):
        ec1 = np.sqrt(4 * np.log(2)) / (2 * np.pi) * (1 + u * u / dof) ** (-(dof - 1) / 2)
        return stats.t.sf(u, dof) + resels * ec1 - level / 2

    if excess(bonferroni) >= 0:
        return bonferroni
    return optimize.brentq(excess, 0, bonferroni, xtol=1e-14, rtol=1e-14)


def curve(case):
    theirs = critical(case["level"], case["dof"], case["resels"], case["speeds"])
    same("critical value of the curve", case["said"], theirs, TAIL)


def chance_of_real(ratio, dof, level):
    t = stats.t.isf(level / 2, dof)
    return stats.nct.sf(t, dof, ratio) + stats.nct.sf(t, dof, -ratio)


def chance_of_equivalence(ratio, dof):
    """Both one-sided tests at 5 % pass at no difference (the integral over the scatter seen)."""
    t, chi = stats.t.isf(0.05, dof), stats.chi(dof, scale=1 / np.sqrt(dof))
    most = ratio / t

    def f(s):
        return (2 * stats.norm.cdf(ratio - t * s) - 1) * chi.pdf(s)

    ends = np.unique(np.minimum([0, chi.ppf(1e-13), chi.ppf(0.5), chi.isf(1e-13)], most))
    return sum(
        integrate.quad(f, a, b, epsabs=1e-12, limit=200)[0] for a, b in zip(ends, ends[1:])
    )


def chances(case):
    real, equal = case["said"]
    ratio, dof = case["ratio"], case["dof"]
    same("chance of real", real, chance_of_real(ratio, dof, case["level"]), 0, CHANCE)
    same("chance of equivalence", equal, chance_of_equivalence(ratio, dof), 0, KINK)


def prior(case):
    """Smyth 2004, 6.2: the moments of ln s2, nu0 limited to 4..12."""
    s2, d = np.array(case["sessions"]).T
    e = np.log(s2) - special.digamma(d / 2) + np.log(d / 2)
    excess = e.var(ddof=1) - special.polygamma(1, d / 2).mean()
    nu0 = np.inf
    if excess > special.polygamma(1, 5e7):
        nu0 = 2 * optimize.brentq(lambda x: special.polygamma(1, x) - excess, 1e-4, 5e7)
    nu0 = max(nu0, 4)
    shift = special.digamma(nu0 / 2) - np.log(nu0 / 2) if np.isfinite(nu0) else 0
    same("prior of earlier sessions", case["said"], [np.exp(e.mean() + shift), min(nu0, 12)], TAIL)


def several(case):
    same("Holm", case["said"], multipletests(case["p"], method="holm")[1])


def groups(keys):
    names = list(dict.fromkeys(keys))
    return np.array([[float(k == n) for n in names] for k in keys])


def at(known, speed):
    band = max(int(np.floor((speed - known["from"]) / BAND)), 0)
    return known["variances"][min(band, len(known["variances"]) - 1)]


class Model:
    """y = X beta + noise, V = s_r2 I + sum of s_c2 Z_c Z_c'."""

    def __init__(self, pulls, scatter, speeds):
        self.scatter, self.speeds = scatter, speeds
        b = np.array([p["b"] for p in pulls])
        steady = np.array([p["steady"] for p in pulls])
        dyno = groups([p["dyno"] for p in pulls])
        block = groups([(p["dyno"], p["session"], p["block"]) for p in pulls])
        day = groups([(p["dyno"], p["session"]) for p in pulls])
        order = np.array([p["order"] for p in pulls])
        order = order - day @ (day.T @ order / day.sum(axis=0))
        warm = np.exp(-np.array([p["since"] for p in pulls]) / 2)
        air = np.array([p["ln_correction"] for p in pulls])
        oil = np.array([np.nan if p["oil"] is None else p["oil"] for p in pulls])
        oil = oil - np.nanmean(oil) if np.isfinite(oil).any() else 0 * oil
        shared = any(b[d > 0].any() and not b[d > 0].all() for d in dyno.T)
        levels = [dyno if shared else np.ones((len(b), 1))]
        if steady.any() and not steady.all():
            levels.append(steady[:, None].astype(float))
        self.x = np.hstack(levels + [b[:, None].astype(float)])
        random = {
            "Refit": ("refit", block),
            "Session": ("session", day),
            "Slope": ("slope", day * order[:, None]),
            "WarmUp": ("warm_up", day * warm[:, None]),
            "Correction": ("correction", (air - air.mean())[:, None]),
            "Oil": ("oil", np.nan_to_num(oil)[:, None]),
            "Dyno": ("dyno", np.zeros((len(b), 0)) if shared else dyno),
        }
        self.random = {
            name: (scatter[key], z) for name, (key, z) in random.items() if (z != 0).any()
        }
        self.modes = []
        for held, key in ((False, "pull"), (True, "steady")):
            rows = steady == held
            if rows.any():
                of, drift = block[rows], (day * order[:, None])[rows]
                free = rows.sum() - of.any(axis=0).sum()
                within = linalg.orth(np.hstack([of, drift]) if free >= 3 else of)
                self.modes.append((rows, scatter[key], sm.OLS(np.zeros(rows.sum()), within)))
        self.nu = sum(within.df_resid for _, _, within in self.modes)

    def mean(self, known):
        return np.mean([at(known, n) for n in self.speeds])

    def residuals(self, y):
        """Beside refits and drift of each mode."""
        e = np.array(y)
        for rows, _, within in self.modes:
            e[rows] -= within.exog @ (within.exog.T @ y[rows])
        return e

    def s2(self, y, speed=None):
        """Pull variance of each mode: what was expected held against what is seen."""
        out, e = [], self.residuals(y)
        for rows, known, within in self.modes:
            s0 = self.mean(known) if speed is None else at(known, speed)
            nu0 = max(known["dof"], 4) if speed is None else known["dof"]
            out.append((nu0 * s0 + e[rows] @ e[rows]) / (nu0 + within.df_resid))
        return np.array(out)

    def expected(self):
        return np.array([self.mean(known) for _, known, _ in self.modes])

    def covariance(self, s2, refit=None, speed=None):
        v = np.diag(sum(v * rows for v, (rows, *_) in zip(s2, self.modes)))
        for name, (known, z) in self.random.items():
            c = self.mean(known) if speed is None else at(known, speed)
            v += (refit if name == "Refit" and refit is not None else c) * z @ z.T
        return v

    def fit(self, y, v):
        """Weights of the difference, the difference and its variance, by statsmodels."""
        gls = sm.GLS(y, self.x, sigma=v)
        result = gls.fit()
        weights = (gls.pinv_wexog @ gls.cholsigmainv)[-1]
        return weights, result.params[-1], result.normalized_cov_params[-1, -1]

    def parts(self, a, s2, refit=None, speed=None):
        """Each source's share of the variance and its degrees of freedom."""
        out = []
        for v, (rows, known, within) in zip(s2, self.modes):
            out.append(("Pull", v, v * np.sum(a[rows] ** 2), known["dof"] + within.df_resid))
        for name, (known, z) in self.random.items():
            c = self.mean(known) if speed is None else at(known, speed)
            c = refit if name == "Refit" and refit is not None else c
            out.append((name, c, c * np.sum((z.T @ a) ** 2), known["dof"]))
        return out

    def estimate(self, a, y, s2, refit=None):
        u2, dof = welch_satterthwaite(self.parts(a, s2, refit))
        same("covariance as a whole", u2, a @ self.covariance(s2, refit) @ a)
        return a @ y, np.sqrt(u2), dof


def welch_satterthwaite(parts):
    """JCGM 100:2008, G.2b."""
    u2 = sum(share for _, _, share, _ in parts)
    return u2, u2**2 / sum(share**2 / dof for _, _, share, dof in parts)


def resels(e):
    r = e / np.linalg.norm(e, axis=0)
    return np.sqrt((np.diff(r, axis=1) ** 2).sum(axis=0) / (4 * np.log(2))).sum()


class Fitted:
    def __init__(self, y, pulls, scatter, speeds):
        self.y, self.model, self.speeds = y, Model(pulls, scatter, speeds), speeds
        m = self.model
        self.e = m.residuals(y)
        self.s2 = np.array([m.s2(y[:, g], n) for g, n in enumerate(speeds)])
        self.means = y.mean(axis=1)
        v = m.covariance(self.s2.mean(axis=0))
        self.a, self.delta, self.variance = m.fit(self.means, v)
        self.average_s2 = m.s2(self.means)

    def average(self):
        return self.model.estimate(self.a, self.means, self.average_s2)

    def peak(self):
        window = min(round(PEAK / STEP) + 1, len(self.speeds))
        peaks = np.lib.stride_tricks.sliding_window_view(self.y, window, axis=1)
        peaks = peaks.mean(axis=2).max(axis=1)
        return self.model.estimate(self.a, peaks, self.model.s2(peaks))

    def resels(self):
        nu, own = self.model.nu, resels(self.e) if self.model.nu >= 2 else None
        told = self.model.scatter["resels"]
        if nu >= 4:
            return max(own, 4)
        if told is not None:
            return max(told * (self.speeds[-1] - self.speeds[0]) / 1000, 4)
        return max(own or 0, 8)

    def touches(self, level):
        """Refit standard deviation at which the interval of the average touches 0."""

        def room(sd):
            m = self.model
            a, _, _ = m.fit(self.means, m.covariance(self.s2.mean(axis=0), sd**2))
            delta, u, dof = m.estimate(a, self.means, self.average_s2, sd**2)
            return abs(delta) - stats.t.isf(level / 2, dof) * u

        now = self.average()
        if abs(now[0]) <= stats.t.isf(level / 2, now[2]) * now[1] or room(0.2) > 0:
            return None
        return room


def outcome(said, f, level):
    average = f.average()
    same("generalised least squares", said["average"][0], f.delta, scale=1e-3)
    same("average", said["average"], average, scale=1e-3)
    half, half_90 = (stats.t.isf(p / 2, average[2]) * average[1] for p in (level, 0.10))
    for ours, h in ((said["interval"], half), (said["interval_90"], half_90)):
        same("interval", ours, [average[0] - h, average[0] + h], TAIL, scale=1e-3)
    assert said["speeds"] == list(f.speeds)
    same("difference over speed", said["delta"], f.a @ f.y, scale=1e-3)
    parts = [
        welch_satterthwaite(f.model.parts(f.a, s2, speed=n)) for s2, n in zip(f.s2, f.speeds)
    ]
    dof = sorted(dof for _, dof in parts)[len(parts) // 2]
    same("degrees of freedom of the band", said["dof"], dof)
    same("resels", said["resels"], f.resels())
    c = critical(level, dof, f.resels(), len(parts))
    same("critical value of the band", said["critical"], c, TAIL)
    same("half-width of the band", said["half"], [c * np.sqrt(u2) for u2, _ in parts], TAIL)


def components(said, f):
    parts = f.model.parts(f.a, f.s2.mean(axis=0))
    u2 = sum(share for _, _, share, _ in parts)
    same("V by parts and as statsmodels has it", u2, f.variance)
    own, rest = parts[: len(f.model.modes)], parts[len(f.model.modes):]
    pulls, dof = welch_satterthwaite(own)
    theirs = [("Pull", pulls / (f.a @ f.a), pulls, dof)] + rest
    assert [name for name, *_ in said] == [name for name, *_ in theirs]
    for (_, *ours), (_, variance, share, dof) in zip(said, theirs):
        same("what the ± is made of", ours, [variance, dof, share / u2], scale=1e-12)


def history(said, f):
    kept = {k["steady"]: k for k in said["history"]}
    first = np.floor(f.speeds[0] / BAND) * BAND
    band = ((np.array(f.speeds) - first) // BAND).astype(int)
    for rows, known, within in f.model.modes:
        nu, e = within.df_resid, f.e[rows]
        k = kept.pop(known is f.model.scatter["steady"], None)
        assert (k is None) == (nu < 1)
        if k is None:
            continue
        variances = [np.mean((e**2).sum(axis=0)[band == i]) / nu for i in range(band[-1] + 1)]
        same("scatter kept", [k["dof"], k["from"]] + k["variances"], [nu, first] + variances)
        if nu >= 4:
            wanted = 1e3 * resels(e) / (f.speeds[-1] - f.speeds[0])
            same("resels kept", k["resels"], wanted)
    assert not kept


def each_mode(y, pulls, scatter, speeds):
    """Sweeps and held speeds each alone, how far their differences lie apart, and the rows that the
    answer rests on: all where they agree within 2 u, else those of the mode that was run first."""
    rows = [[i for i, p in enumerate(pulls) if p["steady"] == held] for held in (False, True)]
    if any(len({pulls[i]["b"] for i in of}) < 2 for of in rows):
        return None, None, list(range(len(pulls)))
    each = [Fitted(y[of], [pulls[i] for i in of], scatter, speeds) for of in rows]
    whole = Fitted(y, pulls, scatter, speeds)
    a = np.zeros(len(pulls))
    a[rows[0]], a[rows[1]] = -each[0].a, each[1].a
    apart = whole.model.estimate(a, whole.means, whole.average_s2)
    agrees = abs(apart[0]) <= 2 * apart[1]
    return each, apart, list(range(len(pulls))) if agrees else rows[int(pulls[0]["steady"])]


def by_mode(said, y, pulls, scatter, speeds, level):
    each, apart, rows = each_mode(y, pulls, scatter, speeds)
    if each is None:
        assert said is None
        return rows
    outcome(said["sweep"], each[0], level)
    outcome(said["steady"], each[1], level)
    same("sweeps and held speeds", said["apart"], apart, scale=1e-3)
    assert said["agrees"] == (len(rows) == len(pulls))
    counts["modes that agree" if said["agrees"] else "modes that do not agree"] += 1
    return rows


def refit(said, y, pulls, scatter, speeds):
    """One-way random effects by moments, on the mean over the range: s_b2 = (MS - s_r2)/n."""
    first = [i for i, p in enumerate(pulls) if p["steady"] == pulls[0]["steady"]]
    pulls = [pulls[i] for i in first]
    if len({p["b"] for p in pulls}) < 2:
        return
    f = Fitted(y[first], pulls, scatter, speeds)
    if f.model.nu < 1:
        assert said is None
        return
    e = f.model.residuals(f.means)
    s2 = e @ e / f.model.nu
    fits = collections.defaultdict(lambda: collections.defaultdict(list))
    for p, y in zip(pulls, f.means):
        fits[p["b"], p["dyno"], p["session"]][p["block"]].append(y)
    squares = expected = dof = 0
    for blocks in fits.values():
        means = [np.mean(y) for y in blocks.values()]
        k = len(means)
        squares += np.sum((means - np.mean(means)) ** 2)
        expected += (k - 1) / k * sum(s2 / len(y) for y in blocks.values())
        dof += k - 1
    if dof:
        same("spread of refits", said, [(squares - expected) / dof, dof], scale=1e-6)


def day(case):
    said, scatter = case["said"], case["scatter"]
    if said is None:
        return
    pulls = [p for p in case["pulls"] if p["set_aside"] is not False]
    y = np.array([[np.nan if v is None else v for v in p["y"]] for p in pulls])
    speeds = np.array(case["speeds"])
    used = (speeds >= case["from"]) & (speeds <= case["to"])
    used &= (y >= np.nanmax(y) + np.log(0.3)).all(axis=0)
    y, speeds = y[:, used], speeds[used]
    level = 0.03
    if len(pulls) < case["planned"]:
        level = 0.001
    elif case["extended"]:
        level *= 0.6
    kept = [i for i, p in enumerate(pulls) if p["set_aside"] is None]
    few, y_few = [pulls[i] for i in kept], y[kept]
    rows = by_mode(said["by_mode"], y_few, few, scatter, speeds, level)
    whole = Fitted(y_few, few, scatter, speeds)
    used, y_used = [few[i] for i in rows], y_few[rows]
    f = Fitted(y_used, used, scatter, speeds)
    outcome(said["outcome"], f, level)
    if len(kept) == len(pulls):
        assert said["with_set_aside"] is None
    else:
        _, _, of_all = each_mode(y, pulls, scatter, speeds)
        all_used = [pulls[i] for i in of_all]
        outcome(said["with_set_aside"], Fitted(y[of_all], all_used, scatter, speeds), level)
    same("peak", said["peak"], f.peak(), scale=1e-3)
    components(said["components"], f)
    if f.model.nu:
        seen = np.mean((f.e**2).sum(axis=0)) / f.model.nu
        same("scatter seen", said["seen"], np.sqrt(seen))
    history(said, whole)
    refit(said["refit"], y_few, few, scatter, speeds)
    left_out(said["left_out"], y_used, used, scatter, speeds)
    room = f.touches(level)
    if said["tipping"] is None or room is None:
        assert said["tipping"] is None and room is None, said["tipping"]
    else:
        root = optimize.brentq(room, 0, 0.2, xtol=1e-12)
        same("tipping point", said["tipping"], root, 0, TIPPING)
    counts["days"] += 1


def left_out(said, y, pulls, scatter, speeds):
    theirs = []
    for out in range(len(pulls)):
        rest = [i for i in range(len(pulls)) if i != out]
        few = [pulls[i] for i in rest]
        x = Model(few, scatter, speeds).x
        if len({p["b"] for p in few}) == 2 and np.linalg.matrix_rank(x) == x.shape[1]:
            theirs.append(Fitted(y[rest], few, scatter, speeds).average())
    same("a pull left out", said, np.array(theirs).reshape(np.shape(said)), scale=1e-3)


def planned(case):
    """Designs of one session: the same model without a reading."""
    for design in case["said"]["designs"]:
        since, pulls = 0, []
        for i, (b, block) in enumerate(zip(design["b"], design["blocks"])):
            stopped = case["stops"] and i > 0 and block != pulls[-1]["block"]
            since = 0 if i == 0 or stopped else since + 1
            pulls.append({"b": b, "steady": False, "dyno": 0, "session": 0, "block": block,
                          "order": i, "since": since, "ln_correction": 0, "oil": None})
        m = Model(pulls, case["scatter"], [4000.0])
        s2 = m.expected()
        a, _, _ = m.fit(np.zeros(len(pulls)), m.covariance(s2))
        _, u, dof = m.estimate(a, np.zeros(len(pulls)), s2)
        same("half-width planned", design["half"], stats.t.isf(0.015, dof) * u, TAIL)
        sees = (stats.t.isf(0.015, dof) + stats.t.isf(0.2, dof)) * u
        same("smallest difference seen", design["sees"], sees, TAIL)
        real = chance_of_real(case["gain"] / u, dof, 0.03) if len(pulls) > 2 else 0
        same("chance of real planned", design["real"], real, 0, CHANCE)
        equal = chance_of_equivalence(case["margin"] / u, dof)
        same("chance of equivalence planned", design["equal"], equal, 0, KINK)


KINDS = {"student": student, "curve": curve, "chances": chances, "prior": prior,
         "several": several, "planned": planned, "day": day}


def main(program):
    printed = subprocess.run([program], capture_output=True, text=True, check=True).stdout
    for line in printed.splitlines():
        case = json.loads(line)
        try:
            KINDS[case["kind"]](case)
        except AssertionError:
            print({k: v for k, v in case.items() if k != "pulls"}, file=sys.stderr)
            raise
    assert counts["days"] > 150 and min(counts.values()) >= 10, counts
    print(f"{counts['days']} days")
    for what, share in worst.items():
        print(f"{what:40} {counts[what]:6} figures, at worst {share:.0e} of what is allowed")


main(sys.argv[1])
