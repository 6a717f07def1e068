"""Makes references.yaml: lines, tests and distributions worked out by other means than ours.

Lines: the sum of squares made least at 40 digits with mpmath, York's standard uncertainties from their formulas,
and each compared with statsmodels (weighted) or scipy.odr (both errors). Distributions: mpmath, compared with scipy.
Needs: pip install mpmath numpy scipy statsmodels
"""

import platform
import warnings

import mpmath
import numpy
import scipy
import scipy.stats
import statsmodels
import statsmodels.api
from mpmath import mpf

warnings.simplefilter("ignore")
import scipy.odr  # noqa: E402

mpmath.mp.dps = 40

# Invented for this test: a marble on a grooved track (time squared in s², distance in m), and a rubber band under load (N, m).
TRACK = {
    "x": "0.36 0.81 1.44 2.13 2.89 3.84 4.80".split(),
    "y": "0.100 0.205 0.381 0.540 0.752 0.981 1.250".split(),
    "sx": "0.02 0.03 0.03 0.05 0.05 0.06 0.08".split(),
    "sy": "0.004 0.004 0.006 0.006 0.010 0.010 0.015".split(),
}
BAND = {
    "x": "0.20 0.40 0.60 0.80 1.00 1.20 1.40 1.60".split(),
    "y": "0.0112 0.0227 0.0351 0.0484 0.0630 0.0795 0.0988 0.1221".split(),
    "sx": ["0.01"] * 8,
    "sy": "0.0005 0.0005 0.0005 0.0008 0.0008 0.0010 0.0010 0.0015".split(),
}
# Pearson's points with York's weights (K. Pearson, Phil. Mag. 2 (1901) 559; D. York, Can. J. Phys. 44 (1966) 1079), from memory.
X = "0.0 0.9 1.8 2.6 3.3 4.4 5.2 6.1 6.5 7.4".split()
Y = "5.9 5.4 4.4 4.6 3.5 3.7 2.8 2.8 2.4 1.5".split()
WX = "1000 1000 500 800 200 80 60 20 1.8 1".split()
WY = "1 1.8 4 8 20 20 70 70 100 500".split()
PEARSON = {
    "x": X,
    "y": Y,
    "sx": [mpmath.nstr(1 / mpmath.sqrt(mpf(w)), 25) for w in WX],
    "sy": [mpmath.nstr(1 / mpmath.sqrt(mpf(w)), 25) for w in WY],
}


def columns(data):
    return [[mpf(text) for text in data[key]] for key in ("x", "y", "sx", "sy")]


def close(ours, theirs, tolerance, what):
    assert abs(ours - theirs) <= tolerance * abs(theirs), (what, ours, theirs)


def weighted(data, origin):
    x, y, _, sy = columns(data)
    w = [1 / s**2 for s in sy]
    total = sum(w)
    mx = 0 if origin else sum(a * b for a, b in zip(w, x)) / total
    my = 0 if origin else sum(a * b for a, b in zip(w, y)) / total
    sxx = sum(a * (b - mx) ** 2 for a, b in zip(w, x))
    slope = sum(a * (b - mx) * (c - my) for a, b, c in zip(w, x, y)) / sxx
    intercept = my - slope * mx
    chi = sum(a * (c - intercept - slope * b) ** 2 for a, b, c in zip(w, x, y))
    out = {"slope": slope, "intercept": intercept, "u_slope": 1 / mpmath.sqrt(sxx), "chi_squared": chi}
    if not origin:
        out["u_intercept"] = mpmath.sqrt(1 / total + mx**2 / sxx)
        out["correlation"] = -mx / sxx / (out["u_slope"] * out["u_intercept"])
    with_x = numpy.array([float(v) for v in x])
    design = with_x[:, None] if origin else numpy.column_stack([numpy.ones(len(x)), with_x])
    model = statsmodels.api.WLS([float(v) for v in y], design, weights=[float(v) for v in w])
    fit = model.fit(cov_type="fixed scale")
    close(fit.params[-1], float(slope), 1e-11, "slope")
    close(fit.bse[-1], float(out["u_slope"]), 1e-11, "u slope")
    if not origin:
        close(fit.bse[0], float(out["u_intercept"]), 1e-11, "u intercept")
    return out


def both(data, origin):
    x, y, sx, sy = columns(data)

    def at(b):
        w = [1 / (v**2 + b**2 * u**2) for u, v in zip(sx, sy)]
        total = sum(w)
        mx = 0 if origin else sum(a * c for a, c in zip(w, x)) / total
        my = 0 if origin else sum(a * c for a, c in zip(w, y)) / total
        return w, total, mx, my, sum(a * (d - my - b * (c - mx)) ** 2 for a, c, d in zip(w, x, y))

    start = numpy.polyfit([float(v) for v in x], [float(v) for v in y], 1)[0]
    floats = [[float(v) for v in column] for column in (x, y, sx, sy)]
    formula = (lambda p, v: p[0] * v) if origin else (lambda p, v: p[0] + p[1] * v)
    guess = [start] if origin else [floats[1][0], start]
    odr = scipy.odr.ODR(
        scipy.odr.RealData(floats[0], floats[1], sx=floats[2], sy=floats[3]),
        scipy.odr.Model(formula), beta0=guess, sstol=1e-15, partol=1e-15, maxit=500,
    ).run()
    near = mpf(float(odr.beta[-1]))
    falls = lambda b: mpmath.diff(lambda c: at(c)[4], b)  # noqa: E731
    slope = mpmath.findroot(falls, (near * (1 - mpf(10) ** -5), near * (1 + mpf(10) ** -5)), solver="anderson", tol=1e-50)
    w, total, mx, my, chi = at(slope)
    adjusted = [
        mx + a * ((c - mx) * v**2 + slope * (d - my) * u**2) for a, c, d, u, v in zip(w, x, y, sx, sy)
    ]
    centre = 0 if origin else sum(a * c for a, c in zip(w, adjusted)) / total
    spread = sum(a * (c - centre) ** 2 for a, c in zip(w, adjusted))
    out = {"slope": slope, "intercept": my - slope * mx, "u_slope": 1 / mpmath.sqrt(spread), "chi_squared": chi}
    if not origin:
        out["u_intercept"] = mpmath.sqrt(1 / total + centre**2 / spread)
        out["correlation"] = -centre / spread / (out["u_slope"] * out["u_intercept"])
    close(odr.beta[-1], float(slope), 1e-6, "slope")
    if not origin:
        close(odr.beta[0], float(out["intercept"]), 1e-6, "intercept")
    return out


def ordinary(data):
    x, y, _, _ = columns(data)
    n = len(x)
    design = mpmath.matrix([[1, v, v * v] for v in x])
    normal = design.T * design
    parameters = mpmath.lu_solve(normal, design.T * mpmath.matrix(y))
    rss = sum((b - sum(design[i, j] * parameters[j] for j in range(3))) ** 2 for i, b in enumerate(y))
    c = parameters[2]
    t = c / mpmath.sqrt(rss / (n - 3) * mpmath.inverse(normal)[2, 2])
    p = two_sided(t, n - 3)
    fit = statsmodels.api.OLS([float(v) for v in y], [[1, float(v), float(v) ** 2] for v in x]).fit()
    close(fit.tvalues[2], float(t), 1e-7, "t")
    return {"quadratic": c, "t": t, "p": p}


def two_sided(t, dof):
    t, dof = abs(mpf(t)), mpf(dof)
    return mpmath.betainc(dof / 2, mpf(1) / 2, 0, dof / (dof + t * t), regularized=True)


def quantile(p, dof):
    guess = mpf(float(scipy.stats.t.isf(float(p) / 2, float(dof))))
    return mpmath.findroot(lambda t: two_sided(t, dof) / p - 1, (guess, guess * (1 + mpf(10) ** -8)))


def normal(p):
    return mpmath.sqrt(2) * mpmath.erfinv(1 - mpf(p))


def chi_tail(x, dof):
    return mpmath.gammainc(mpf(dof) / 2, mpf(x) / 2, regularized=True)


def grubbs_critical(n, level):
    t = quantile(mpf(level) / n, n - 2)
    return (n - 1) / mpmath.sqrt(n) * mpmath.sqrt(t * t / (n - 2 + t * t))


def runs(a, b, most):
    """By counting all orders of the signs."""
    from itertools import combinations

    few = every = 0
    for above in combinations(range(a + b), a):
        signs = [i in above for i in range(a + b)]
        every += 1
        few += 1 + sum(s != t for s, t in zip(signs, signs[1:])) <= most
    return mpf(few) / every


def text(value):
    return value if isinstance(value, str) else mpmath.nstr(mpf(value), 18)


def flow(mapping):
    return "{" + ", ".join(f'{key}: "{text(value)}"' for key, value in mapping.items()) + "}"


def write(out):
    out("# Made by make_references.py: Python %s, mpmath %s, numpy %s, scipy %s, statsmodels %s." % (
        platform.python_version(), mpmath.__version__, numpy.__version__, scipy.__version__, statsmodels.__version__))
    out("# track and band are invented; pearson is from memory (K. Pearson 1901, weights of D. York 1966).")
    out("lines:")
    for name, data in (("track", TRACK), ("band", BAND), ("pearson", PEARSON)):
        out(f"- name: {name}")
        for key, column in data.items():
            out(f"  {key}: [" + ", ".join(f'"{v}"' for v in column) + "]")
        out(f"  weighted: {flow(weighted(data, False))}")
        out(f"  weighted_through_origin: {flow(weighted(data, True))}")
        out(f"  both_errors: {flow(both(data, False))}")
        if name != "pearson":
            out(f"  both_errors_through_origin: {flow(both(data, True))}")
        out(f"  curvature: {flow(ordinary(data))}")
    out("student:")
    for dof in "0.5 1 2 3.7 8 18.9987 60 150.5 1000 99999 100001 1000000 1e9".split():
        for t in "0.1 1 2.5 12".split():
            out("- " + flow({"dof": dof, "t": t, "p": two_sided(t, dof)}))
    out("quantiles:")
    for dof in "0.5 1 2 3 7.25 18 35 99.5 1000 99999 100001 1000000 1e9".split():
        for p in "0.5 0.1 0.05 0.01 0.0001".split():
            out("- " + flow({"dof": dof, "p": p, "t": quantile(mpf(p), dof)}))
    for p in "0.5 0.1 0.05 0.01 0.0001".split():
        out("- " + flow({"dof": "inf", "p": p, "t": normal(p)}))
    out("chi_squared:")
    for dof in "1 2 5 8 40 1000".split():
        for share in "0.1 0.9 1 1.2 3".split():
            x = mpf(share) * mpf(dof)
            close(scipy.stats.chi2.sf(float(x), int(dof)), float(chi_tail(x, dof)), 1e-9, "chi squared")
            out("- " + flow({"dof": dof, "chi_squared": x, "p": chi_tail(x, dof)}))
    out("grubbs:")
    for n in (3, 4, 5, 6, 8, 10, 20, 30):
        for level in ("0.05", "0.01"):
            out("- " + flow({"n": str(n), "level": level, "critical": grubbs_critical(n, level)}))
    out("runs:")
    for a, b, most in ((5, 5, 2), (5, 5, 3), (3, 8, 4), (6, 7, 4), (9, 8, 6), (1, 6, 2), (4, 4, 8)):
        out("- " + flow({"positive": str(a), "negative": str(b), "runs": str(most), "p": runs(a, b, most)}))


if __name__ == "__main__":
    with open(__file__.replace("make_references.py", "references.yaml"), "w", encoding="utf-8") as file:
        write(lambda line: print(line, file=file))
