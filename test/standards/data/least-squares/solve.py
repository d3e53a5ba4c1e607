"""Writes numpy.json: linear least-squares problems and numpy.linalg.lstsq's solutions of them.

Run in this folder: python3 solve.py. Columns are scaled to unit length first, which changes no solution of full rank
and makes the rank-deficient one well defined; the match is split into lift, gain and matrix by numpy.linalg.inv.
"""

import json
import pathlib

import numpy as np

random = np.random.default_rng(1)


def solve(name, design, sides, weights=None):
    w = np.ones(len(design)) if weights is None else weights
    a, b = design * np.sqrt(w)[:, None], sides * np.sqrt(w)[:, None]
    length = np.linalg.norm(a, axis=0)
    x, _, rank, values = np.linalg.lstsq(a / length, b, rcond=1e-6)
    return {
        "name": name,
        "design": design.tolist(),
        "sides": sides.tolist(),
        "weights": None if weights is None else weights.tolist(),
        "solution": (x / length[:, None]).tolist(),
        "rank": int(rank),
        "condition": None if rank < design.shape[1] else float(values[0] / values[-1]),
    }


def columns(rows, count, scale=None):
    a = random.normal(size=(rows, count)) + 0.5
    return a if scale is None else a * scale


wild = np.array([65535.0, 1.0, 1e-5, 300.0])
near = columns(24, 4)
near[:, 3] = near[:, 0] + 1e-4 * near[:, 3]
twice = columns(24, 4)
twice[:, 2] = twice[:, 0] - 2 * twice[:, 1]
problems = [
    solve("24 rows, 4 columns, 3 sides", columns(24, 4), columns(24, 3)),
    solve("as many rows as columns", columns(4, 4), columns(4, 1)),
    solve("columns from 1e-5 to 65535", columns(24, 4, wild), columns(24, 3)),
    solve("sides of 65535", columns(24, 4), columns(24, 3, 65535)),
    solve("weights over six decades", columns(24, 4), columns(24, 3), 10.0 ** random.uniform(-3, 3, 24)),
    solve("weights of zero", columns(24, 4), columns(24, 3), np.repeat([1.0, 0.0], [20, 4])),
    solve("condition of tens of thousands", near, columns(24, 2)),
    solve("one column made of two others", twice, columns(24, 2)),
    solve("100 rows, 13 columns", columns(100, 13), columns(100, 1)),
]


def match(name, weights):
    source = random.uniform(0.02, 0.9, (24, 3))
    truth = np.array([[1.25, -0.18, 0.03], [0.08, 0.91, -0.04], [-0.02, 0.11, 1.6]])
    target = source @ truth.T + [0.004, -0.002, 0.006] + random.normal(scale=0.01, size=(24, 3))
    root = np.sqrt(weights)[:, None]
    x, *_ = np.linalg.lstsq(np.column_stack([source, np.ones(24)]) * root, target * root, rcond=None)
    b, t = x[:3].T, x[3]
    white = np.linalg.inv(b) @ np.ones(3)
    return {
        "name": name,
        "source": source.tolist(),
        "target": target.tolist(),
        "weights": weights.tolist(),
        "lift": (np.linalg.inv(b) @ t).tolist(),
        "gain": (1 / white).tolist(),
        "matrix": (b * white).tolist(),
    }


matches = [match("equal weights", np.ones(24)), match("unequal weights", random.uniform(0.1, 10, 24))]
pathlib.Path(__file__).with_name("numpy.json").write_text(
    json.dumps({"numpy": np.__version__, "problems": problems, "matches": matches}, indent=1) + "\n"
)
