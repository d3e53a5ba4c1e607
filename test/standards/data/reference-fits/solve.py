"""Solves tasks.json with scipy.optimize.least_squares and writes scipy.json: the cost Σ ΔE00² of every task and model.

Nothing is taken from the project but the numbers of the tasks: CIEDE2000 after CIE 142-2001 / Sharma, Wu, Dalal 2005,
BT.709 primaries and D65 after ITU-R BT.709-6, root-polynomial terms after Finlayson, Mackiewicz, Hurlbert 2015.
"""

import json
import pathlib
import sys

import numpy as np
import scipy
from scipy.optimize import least_squares

here = pathlib.Path(__file__).parent

chroma = np.array([[0.64, 0.30, 0.15], [0.33, 0.60, 0.06], [0.03, 0.10, 0.79]])
white = np.array([0.3127 / 0.3290, 1.0, (1 - 0.3127 - 0.3290) / 0.3290])
to_xyz = chroma * np.linalg.solve(chroma, white)


def lab(rgb):
    t = rgb @ to_xyz.T / white
    f = np.where(t > (6 / 29) ** 3, np.cbrt(t), t * (29 / 6) ** 2 / 3 + 4 / 29)
    return np.stack([116 * f[:, 1] - 16, 500 * (f[:, 0] - f[:, 1]), 200 * (f[:, 1] - f[:, 2])], axis=1)


def residuals(one, two):
    """Three residuals a patch whose squares sum to ΔE00²."""
    (L1, a1, b1), (L2, a2, b2) = one.T, two.T
    mean = (np.hypot(a1, b1) + np.hypot(a2, b2)) / 2
    g = 1.5 - 0.5 * np.sqrt(mean**7 / (mean**7 + 25.0**7))
    C1, C2 = np.hypot(a1 * g, b1), np.hypot(a2 * g, b2)
    h1, h2 = np.arctan2(b1, a1 * g) % (2 * np.pi), np.arctan2(b2, a2 * g) % (2 * np.pi)
    dh = h1 - h2
    mh = (h1 + h2) / 2
    far = np.abs(dh) > np.pi
    mh = np.where(far, np.where(h1 + h2 < 2 * np.pi, mh + np.pi, mh - np.pi), mh)
    dh = np.where(far, dh - np.sign(dh) * 2 * np.pi, dh)
    dH = 2 * np.sqrt(C1 * C2) * np.sin(dh / 2)
    mL, mC, d = (L1 + L2) / 2, (C1 + C2) / 2, np.deg2rad
    T = 1 - 0.17 * np.cos(mh - d(30)) + 0.24 * np.cos(2 * mh) + 0.32 * np.cos(3 * mh + d(6)) - 0.2 * np.cos(4 * mh - d(63))
    SL = 1 + 0.015 * (mL - 50) ** 2 / np.sqrt(20 + (mL - 50) ** 2)
    turn = d(30) * np.exp(-(((np.rad2deg(mh) - 275) / 25) ** 2))
    RT = -np.sin(2 * turn) * 2 * np.sqrt(mC**7 / (mC**7 + 25.0**7))
    l, c, h = (L1 - L2) / SL, (C1 - C2) / (1 + 0.045 * mC), dH / (1 + 0.015 * mC * T)
    return np.concatenate([l, c + RT / 2 * h, h * np.sqrt(1 - RT**2 / 4)])


def terms(x):
    p = np.maximum(x, 0)
    r, g, b = p.T
    return np.column_stack([x, np.sqrt(r * g), np.sqrt(g * b), np.sqrt(r * b)])


def affine(columns):
    def design(x):
        return np.column_stack([x, np.ones(len(x))]) if columns == 4 else x

    return (
        lambda x, y: np.linalg.lstsq(design(x), y, rcond=None)[0].T.ravel(),
        lambda theta, x: design(x) @ theta.reshape(3, columns).T,
    )


def levels(lift):
    def start(x, y):
        parts = [np.linalg.lstsq(np.column_stack([x[:, c]] + [np.ones(len(x))] * lift), y[:, c], rcond=None)[0] for c in range(3)]
        return np.array(parts).T.ravel()

    return start, lambda theta, x: x * theta[:3] + (theta[3:] if lift else 0)


def root_polynomial():
    return (
        lambda x, y: np.concatenate([np.linalg.lstsq(terms(x), y, rcond=None)[0].T.ravel(), np.zeros(3)]),
        lambda theta, x: terms(x + theta[18:]) @ theta[:18].reshape(3, 6).T,
    )


models = {
    "gain": levels(False),
    "lift-gain": levels(True),
    "matrix": affine(3),
    "lift-gain-matrix": affine(4),
    "root-polynomial-2": root_polynomial(),
}


def solve(x, y, model):
    start, apply = models[model]
    aim = lab(y)
    return least_squares(
        lambda theta: residuals(lab(apply(theta, x)), aim), start(x, y), x_scale="jac", ftol=1e-14, xtol=1e-14, gtol=1e-14, max_nfev=2000
    )


if __name__ == "__main__":
    tasks = json.loads((here / "tasks.json").read_text())
    costs = []
    for task in tasks:
        x, y = np.array(task["source"]), np.array(task["target"])
        costs.append({model: 2 * solve(x, y, model).cost for model in models})
        print(task["name"], costs[-1], file=sys.stderr)
    result = {"scipy": scipy.__version__, "numpy": np.__version__, "cost": costs}
    (here / "scipy.json").write_text(json.dumps(result) + "\n")
