"""Seconds per scipy.optimize.least_squares fit, lift-gain-matrix, on the tasks given on standard input.

Of the three smooth residuals of each patch, and of their norm ΔE00, one a patch, which has a kink where colours meet: there it is
stopped after a hundred steps.
"""

import json
import pathlib
import sys
import time

import numpy as np

sys.path.insert(0, str(pathlib.Path(__file__).parent.parent / "standards/data/reference-fits"))
from scipy.optimize import least_squares  # noqa: E402
from solve import lab, models, residuals, solve  # noqa: E402


def of_norm(x, y):
    start, apply = models["lift-gain-matrix"]
    aim = lab(y)
    norm = lambda theta: np.sqrt((residuals(lab(apply(theta, x)), aim).reshape(3, -1) ** 2).sum(axis=0))
    return least_squares(norm, start(x, y), x_scale="jac", ftol=1e-14, xtol=1e-14, gtol=1e-14, max_nfev=100)


def seconds(fit, rounds):
    times = []
    for _ in range(rounds):
        start = time.process_time()
        fit()
        times.append(time.process_time() - start)
    return min(times)


result = []
for task in json.load(sys.stdin):
    x, y = np.array(task["source"]), np.array(task["target"])
    smooth = lambda: solve(x, y, "lift-gain-matrix")
    result.append({"smooth": seconds(smooth, 4), "norm": seconds(lambda: of_norm(x, y), 1), "cost": 2 * smooth().cost})
print(json.dumps(result))
