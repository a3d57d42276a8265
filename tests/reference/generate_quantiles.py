#!/usr/bin/env python3
# SPDX-License-Identifier: Apache-2.0
"""Writes data/golden_quantiles.json: random points of distribution functions and quantiles.

Made with scipy 1.10.1 (Debian 12, python3-scipy). Run from this folder; the tests read the frozen
file, never scipy. The seed is fixed, so a rerun gives the same file.
"""
import json
import random

import numpy
import scipy
from scipy import stats

random.seed(1918)
rows = []


def add(function, args, value):
    row = [function, [float(a) for a in args], float(value)]
    if function == "t_quantile":
        # scipy's own inverse is good to 3e-9; mpmath 1.2.1 sides with ours to 1e-15.
        row.append(1e-8)
    rows.append(row)


def probability():
    """Half of the points in the tails, where quantiles are hard."""
    if random.random() < 0.5:
        return random.uniform(0.01, 0.99)
    tail = 10 ** random.uniform(-6, -2)
    return tail if random.random() < 0.5 else 1 - tail


for _ in range(40):
    p, df = probability(), 10 ** random.uniform(0, 2.5)
    add("t_quantile", (p, df), stats.t.ppf(p, df))
    t = random.uniform(-6, 6)
    add("t_cdf", (t, df), stats.t.cdf(t, df))
for _ in range(40):
    p, a, b = probability(), 10 ** random.uniform(-0.3, 2.3), 10 ** random.uniform(-0.3, 2.3)
    add("beta_quantile", (p, a, b), stats.beta.ppf(p, a, b))
    x = random.uniform(0.01, 0.99)
    add("beta_cdf", (x, a, b), stats.beta.cdf(x, a, b))
for _ in range(20):
    p, df = probability(), 10 ** random.uniform(0, 2.5)
    add("chi_squared_quantile", (p, df), stats.chi2.ppf(p, df))
    x = random.uniform(0.2, 2) * df
    add("chi_squared_upper", (x, df), stats.chi2.sf(x, df))
for _ in range(20):
    p, d1, d2 = probability(), random.randint(1, 40), random.randint(2, 200)
    add("f_quantile", (p, d1, d2), stats.f.ppf(p, d1, d2))
    x = random.uniform(0.1, 6)
    add("f_upper", (x, d1, d2), stats.f.sf(x, d1, d2))
for _ in range(20):
    p = probability()
    add("normal_quantile", (p,), stats.norm.ppf(p))
for _ in range(20):
    mean, k = 10 ** random.uniform(0, 2.5), 10 ** random.uniform(-0.5, 2)
    count = int(stats.nbinom.rvs(k, k / (k + mean), random_state=random.randint(0, 10**9)))
    add("negative_binomial_cdf", (count, mean, k), stats.nbinom.cdf(count, k, k / (k + mean)))
    p = random.uniform(0.01, 0.99)
    add("negative_binomial_quantile", (p, mean, k), stats.nbinom.ppf(p, k, k / (k + mean)))
for _ in range(20):
    n, p = random.randint(5, 300), random.uniform(0.05, 0.95)
    x = int(stats.binom.rvs(n, p, random_state=random.randint(0, 10**9)))
    add("binomial_cdf", (x, n, p), stats.binom.cdf(x, n, p))
for _ in range(15):
    t, df, delta = random.uniform(-3, 6), random.randint(3, 60), random.uniform(-2, 4)
    add("noncentral_t_cdf", (t, df, delta), stats.nct.cdf(t, df, delta))
methods = {"wilson": "wilson", "wilson_continuity": "wilsoncc", "clopper_pearson": "exact"}
for _ in range(15):
    n = random.randint(5, 300)
    x = random.randint(0, n)
    confidence = random.choice([0.8, 0.9, 0.95, 0.99])
    for ours, theirs in methods.items():
        interval = stats.binomtest(x, n).proportion_ci(confidence, theirs)
        add(ours + "_low", (x, n, confidence), interval.low)
        add(ours + "_high", (x, n, confidence), interval.high)

head = {
    "title": "Distribution functions, quantiles and proportion intervals at random points",
    "source": f"scipy {scipy.__version__}, numpy {numpy.__version__} (generate_quantiles.py)",
    "status": "recomputed",
    "relative_tolerance": 1e-9,
}
lines = [f"  {json.dumps(k)}: {json.dumps(v)}," for k, v in head.items()]
body = ",\n".join("    " + json.dumps(row) for row in rows)
with open("data/golden_quantiles.json", "w") as out:
    out.write("{\n" + "\n".join(lines) + '\n  "points": [\n' + body + "\n  ]\n}\n")
print(len(rows), "points")
