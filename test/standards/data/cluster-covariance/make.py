"""Standard errors and degrees of freedom of lift, gain and matrix, for test/standards/clusterCovariance.test.ts.

R. M. Bell, D. F. McCaffrey, Bias reduction in standard errors for linear regression with multi-stage samples, Survey
Methodology 28 (2002): clusters are patches of three residuals, the estimate is the linear fit y = B x + t. Written out
with the full N x N hat matrix, symmetric roots from numpy's eigh, and slopes by a complex step; nothing of isochip's.

Run: python3 make.py > reference.json
"""
import json
import numpy as np

rng = np.random.default_rng(20)


def task(count, kind, weighted):
    source = rng.uniform(0.02, 0.9, (count, 3))
    B = np.eye(3) * rng.uniform(0.8, 1.2, 3) + rng.uniform(-0.15, 0.15, (3, 3))
    t = rng.uniform(-0.02, 0.02, 3) if kind == "lift-gain-matrix" else np.zeros(3)
    # Patches are not equally noisy: that is what clusters are for.
    scatter = rng.uniform(0.002, 0.03, (count, 1))
    target = source @ B.T + t + scatter * rng.standard_normal((count, 3))
    weight = rng.uniform(0.3, 2, count) if weighted else np.ones(count)

    terms = np.hstack([source, np.ones((count, 1))]) if kind == "lift-gain-matrix" else source
    k = terms.shape[1]
    X = np.zeros((3 * count, 3 * k))
    for p in range(count):
        for c in range(3):
            X[3 * p + c, c * k:(c + 1) * k] = np.sqrt(weight[p]) * terms[p]
    y = (np.sqrt(weight)[:, None] * target).reshape(-1)
    theta = np.linalg.solve(X.T @ X, X.T @ y)
    r = X @ theta - y

    def numbers(th):
        rows = th.reshape(3, k)
        M, off = rows[:, :3], rows[:, 3] if k == 4 else np.zeros(3)
        inverse = np.linalg.inv(M)
        gain = 1 / (inverse @ np.ones(3))
        return np.concatenate([inverse @ off, gain, (M / gain).reshape(-1)])

    h = 1e-30
    S = np.array([numbers(theta + 1j * h * e).imag / h for e in np.eye(3 * k)]).T
    XtX = np.linalg.inv(X.T @ X)
    residual_maker = np.eye(3 * count) - X @ XtX @ X.T
    error, freedom = [], []
    for s in S:
        G, variance = [], 0.0
        for p in range(count):
            rows = slice(3 * p, 3 * p + 3)
            values, vectors = np.linalg.eigh(residual_maker[rows, rows])
            root = vectors @ np.diag(values ** -0.5) @ vectors.T
            e = root @ X[rows] @ XtX @ s
            variance += (e @ r[rows]) ** 2
            G.append(residual_maker[:, rows] @ e)
        G = np.array(G).T
        eigenvalues = np.linalg.eigvalsh(G.T @ G)
        error.append(float(np.sqrt(variance)))
        total = (eigenvalues ** 2).sum()
        freedom.append(float(eigenvalues.sum() ** 2 / total) if total > 0 else None)
    return {
        "kind": kind,
        "source": source.tolist(),
        "target": target.tolist(),
        "weight": weight.tolist(),
        "standardErrors": error,
        "freedom": freedom,
    }


print(json.dumps([
    task(24, "lift-gain-matrix", False),
    task(24, "lift-gain-matrix", True),
    task(9, "lift-gain-matrix", False),
    task(24, "matrix", True),
], indent=1))
