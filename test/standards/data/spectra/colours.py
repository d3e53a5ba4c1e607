"""XYZ of the 24 patches of ISO 17321-1 under CIE A and FL11, by other means than isochip's: cubic splines to 0.5 nm
instead of Sprague's polynomial to 1 nm. Run from this folder: python3 colours.py LIGHTS.csv OBSERVER.csv > colours.csv
(columns nm, A, FL11 and nm, xbar, ybar, zbar: tables of CIE 015 by 5 nm)."""
import csv
import sys

import numpy as np
from scipy.interpolate import CubicSpline


def table(path):
    with open(path) as file:
        rows = list(csv.reader(file))
    return rows[0], np.array(rows[1:], dtype=float)


fine = np.arange(380, 780.25, 0.5)
header, lights = table(sys.argv[1])
_, observer = table(sys.argv[2])
names, patches = table("../chart24-reflectance-iso17321-1.csv")
curves = np.stack([CubicSpline(observer[:, 0], observer[:, i])(fine) for i in (1, 2, 3)])
spread = np.clip(fine, patches[0, 0], patches[-1, 0])
print("light,patch,X,Y,Z")
for light in ("A", "FL11"):
    power = np.interp(fine, lights[:, 0], lights[:, header.index(light)])
    weights = curves * power / (curves[1] * power).sum()
    for p in range(1, 25):
        X, Y, Z = weights @ CubicSpline(patches[:, 0], patches[:, p])(spread)
        print(f"{light},{p},{X:.6f},{Y:.6f},{Z:.6f}")
