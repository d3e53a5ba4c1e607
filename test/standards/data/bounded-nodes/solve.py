"""Bounded least squares for the nodes of a lattice: scipy.optimize.lsq_linear on a dense matrix of barycentric coordinates.
`python3 solve.py < tasks.json > scipy.json`. Tasks: {size, samples: [[x, y, z, weight, r, g, b], …]}, positions in nodes,
colours to be cut to 0…1; made from random numbers. Results: the nodes of each, red fastest."""
import json
import sys

import numpy
from scipy.optimize import lsq_linear


def solve(size, samples):
    samples = numpy.array(samples)
    rows = numpy.zeros((len(samples), size**3))
    for row, position in zip(rows, samples[:, :3]):
        cell = numpy.minimum(numpy.floor(position).astype(int), size - 2)
        # Barycentric coordinates in the tetrahedron of the cell whose corners are met by going along the axes in the order
        # of falling fractions: found by solving for them, not by a formula.
        corners = [cell]
        for axis in numpy.argsort(cell - position, kind='stable'):
            corners.append(corners[-1] + numpy.eye(3, dtype=int)[axis])
        shares = numpy.linalg.solve(numpy.vstack([numpy.array(corners).T, numpy.ones(4)]), [*position, 1])
        for corner, share in zip(corners, shares):
            row[corner @ [1, size, size * size]] += share
    root = numpy.sqrt(samples[:, 3])
    colours = numpy.clip(samples[:, 4:], 0, 1)
    nodes = [
        lsq_linear(rows * root[:, None], colours[:, c] * root, (0, 1), method='bvls', tol=1e-14).x for c in range(3)
    ]
    return numpy.array(nodes).T.ravel().tolist()


json.dump([solve(**task) for task in json.load(sys.stdin)], sys.stdout)
