"""What the forecast computes in closed form or by its own series, by scipy.

    distributions.py OUT.json

Shapes of durations (split lognormal plain and clamped, beta-PERT, triangular), the normal distribution, Wilson's
interval, order-statistic ranks, moments of samples, Student's t. Inputs are drawn by a fixed seed and stored with the
answers. Quantities of one kind are the rows of one list.
"""

import json
import math
import random
import sys

import numpy as np
from scipy import integrate, stats

EACH = 200
Z90 = stats.norm.ppf(0.9)
SHARES = [0.01, 0.05, 0.1, 0.3, 0.5, 0.8, 0.9, 0.95, 0.99]


def three(r):
    typ = r.uniform(20, 2000)
    return tuple(round(x, 3) for x in (typ * r.uniform(0.4, 0.95), typ, typ * r.uniform(1.05, 3.0)))


def split(r):
    """low, typ, high, widening, clamp: mean, sd, quantiles."""
    low, typ, high = three(r)
    widening, clamp = r.choice([1.0, 1.24, 1.9]), r.random() < 0.5
    below, above = widening * math.log(typ / low) / Z90, widening * math.log(high / typ) / Z90
    end = 3.0 if clamp else math.inf

    def value(z):
        z = min(max(z, -end), end)
        return typ * math.exp((below if z < 0 else above) * z)

    def moment(k):
        inner = 3.0 if clamp else 12.0
        f = lambda z: value(z) ** k * stats.norm.pdf(z)
        parts = [(-inner, 0.0), (0.0, inner)]
        total = sum(integrate.quad(f, a, b, epsabs=0, epsrel=1e-12, limit=200)[0] for a, b in parts)
        return total + (stats.norm.sf(inner) * (value(-inner) ** k + value(inner) ** k) if clamp else 0.0)

    mean = moment(1)
    sd = math.sqrt(moment(2) - mean * mean)
    return [low, typ, high, widening, clamp, mean, sd, [value(stats.norm.ppf(u)) for u in SHARES]]


def pert(r):
    low, typ, high = three(r)
    d = stats.beta(1 + 4 * (typ - low) / (high - low), 1 + 4 * (high - typ) / (high - low), loc=low, scale=high - low)
    return [low, typ, high, d.mean(), d.std(), [d.ppf(u) for u in SHARES]]


def triangular(r):
    low, typ, high = three(r)
    d = stats.triang((typ - low) / (high - low), loc=low, scale=high - low)
    return [low, typ, high, d.mean(), d.std(), [d.ppf(u) for u in SHARES]]


def normal(r):
    """z and its share below; a share and its z."""
    z = round(r.uniform(-8, 8), 6)
    u = float(f"{r.choice([r.random(), 10 ** r.uniform(-15, -1)]):.6g}")
    return [z, stats.norm.cdf(z), stats.norm.pdf(z), u, stats.norm.ppf(u)]


def wilson(r):
    n = r.choice([1, 5, 20, 500, 2000, 10000])
    k = r.choice([0, n, r.randint(0, n)])
    ci = stats.binomtest(k, n).proportion_ci(0.95, method="wilson")
    return [k, n, ci.low, ci.high]


def ranks(r):
    """n, p: the ranks between which the true quantile lies; none where the sample is too small."""
    n = r.choice([5, 20, 60, 500, 1000, 2000, 5000, 10000, r.randint(1, 3000)])
    p = r.choice([0.5, 0.8, 0.95, round(r.uniform(0.01, 0.99), 4)])
    k = np.arange(0, n + 2)
    low = int(np.max(np.where(stats.binom.cdf(k - 1, n, p) <= 0.025, k, 0)))
    high = int(np.min(np.where(stats.binom.sf(k - 1, n, p) <= 0.025, k, n + 1)))
    return [n, p, [low, high] if low >= 1 and high <= n else None]


def moments(r):
    values = [round(r.gauss(1000, 300), 3) for _ in range(r.randint(2, 12))]
    half = stats.norm.ppf(0.975) * stats.sem(values)
    mean = float(np.mean(values))
    return [values, mean, float(np.std(values, ddof=1)), mean - half, mean + half]


def student(r):
    df = r.randint(1, 60)
    u = r.choice([0.001, 0.025, 0.1, 0.5, 0.8, 0.9, 0.975, round(r.uniform(0.0005, 0.9995), 6)])
    return [df, u, stats.t.ppf(u, df)]


def main():
    r = random.Random(20270302)
    out = {"shares": SHARES}
    for f in (split, pert, triangular, normal, wilson, ranks, moments, student):
        out[f.__name__] = [f(r) for _ in range(EACH)]
    lines = []
    for key, rows in out.items():
        if key == "shares":
            lines.append(f'"{key}":{json.dumps(rows)}')
            continue
        rows = ",\n".join(json.dumps(short(x), separators=(",", ":")) for x in rows)
        lines.append(f'"{key}":[\n{rows}\n]')
    with open(sys.argv[1], "w") as f:
        f.write("{" + ",\n".join(lines) + "}\n")


def short(x):
    """Twelve digits: more than any tolerance, and the same on every machine."""
    if isinstance(x, (list, tuple)):
        return [short(y) for y in x]
    if isinstance(x, (bool, np.bool_)):
        return bool(x)
    return float(f"{x:.12g}") if isinstance(x, (float, np.floating)) else x


if __name__ == "__main__":
    main()
