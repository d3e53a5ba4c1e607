"""Seconds per scipy.optimize.least_squares fit, lift-gain-matrix, on the tasks given on standard input."""

import json
import pathlib
import sys
import time

import numpy as np

sys.path.insert(0, str(pathlib.Path(__file__).parent.parent / "standards/data/reference-fits"))
from solve import solve  # noqa: E402

result = []
for task in json.load(sys.stdin):
    x, y = np.array(task["source"]), np.array(task["target"])
    solve(x, y, "lift-gain-matrix")
    times = []
    for _ in range(5):
        start = time.process_time()
        fit = solve(x, y, "lift-gain-matrix")
        times.append(time.process_time() - start)
    result.append({"seconds": min(times), "cost": 2 * fit.cost})
print(json.dumps(result))
