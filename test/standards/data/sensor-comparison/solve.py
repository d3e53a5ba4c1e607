"""Compares the sensors of examples/researcher/sensors with numpy and scipy, and writes oracle.json.

Nothing is taken from the project but the numbers of the readings and of the chart: matrices by numpy.linalg.lstsq,
principal angles by scipy.linalg.subspace_angles, condition of the matrix by its definition (columns to unit length,
then numpy.linalg.cond), the metamerism index 100 - 5.5 * mean dE*ab by scipy.optimize.minimize on the mean itself,
CIELAB after ISO/CIE 11664-4 with the white that the readings were made for.
"""

import csv
import json
import pathlib

import numpy as np
import scipy
from scipy.linalg import subspace_angles
from scipy.optimize import minimize

here = pathlib.Path(__file__).parent
data = here.parents[3] / "examples" / "researcher" / "sensors"
names = ["sensor1", "sensor3", "sensor5", "sensor8"]

# D65 as ITU-R BT.709-6 prints it.
white = np.array([0.3127 / 0.3290, 1.0, (1 - 0.3127 - 0.3290) / 0.3290])

chart = json.loads((data / "chart24-d65.json").read_text())
patches = [patch["name"] for patch in chart["patches"]]
hue = np.array([patch.get("role") not in ("neutral", "white", "black") for patch in chart["patches"]])


def read(name):
    with open(data / f"{name}.csv", newline="") as file:
        rows = {row["patch"]: [float(row[c]) for c in "rgb"] for row in csv.DictReader(file)}
    return np.array([rows[patch] for patch in patches])




def lab(xyz):
    t = xyz / white
    f = np.where(t > (6 / 29) ** 3, np.cbrt(t), t * (29 / 6) ** 2 / 3 + 4 / 29)
    return np.stack([116 * f[:, 1] - 16, 500 * (f[:, 0] - f[:, 1]), 200 * (f[:, 1] - f[:, 2])], axis=1)


observer = np.array([patch["value"] for patch in chart["patches"]])
responses = {**{name: read(name) for name in names}, "observer": observer}


def metamerism(seen, wanted):
    goal = lab(wanted)

    def mean(m):
        return np.mean(np.linalg.norm(lab(seen @ m.reshape(3, 3).T) - goal, axis=1))

    start = np.linalg.lstsq(seen, wanted, rcond=None)[0].T.ravel()
    best = start
    # The mean of norms has corners: a simplex that is begun anew until it stays.
    for _ in range(30):
        found = minimize(mean, best, method="Nelder-Mead", options={"maxiter": 20000, "xatol": 1e-10, "fatol": 1e-12})
        if mean(best) - found.fun < 1e-10:
            break
        best = found.x
    return float(found.fun)


maps = {}
angles = {}
for a in responses:
    for b in responses:
        if a == b:
            continue
        solution = np.linalg.lstsq(responses[a], responses[b], rcond=None)[0]
        scaled = responses[a] / np.linalg.norm(responses[a], axis=0)
        maps[f"{a} {b}"] = {"matrix": solution.T.tolist(), "condition": float(np.linalg.cond(scaled))}
        angles[f"{a} {b}"] = sorted(np.degrees(subspace_angles(responses[a], responses[b])).tolist())

index = {}
for name in names:
    mean = metamerism(responses[name][hue], observer[hue])
    index[name] = {"meanDE76": mean, "index": 100 - 5.5 * mean}

text = json.dumps(
    {"numpy": np.__version__, "scipy": scipy.__version__, "maps": maps, "angles": angles, "metamerism": index}, indent=1
)
(here / "oracle.json").write_text(text + "\n")
