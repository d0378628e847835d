"""Independent answers for the tests of learning: normal equations with numpy, interpolation with scipy.

Written for numpy 2 and scipy 1; prints its versions and the values stored in tests/learning.rs and
src/library/thickness_curve.rs. Run: python3 tests/data/check_learning.py
"""

import numpy as np
import scipy
from scipy.interpolate import PchipInterpolator
from scipy.stats import norm

print("numpy", np.__version__, "scipy", scipy.__version__)

# --- Posterior of five cuts -------------------------------------------------------------------------
# Columns: machine, steel, stainless, zinc-coated, diameter, curve below, curve above, one nozzle away, skims.
half = lambda lo, hi: 0.5 * np.log(hi / lo)
prior = np.array([0.35, half(0.9, 1.1), half(0.75, 1.05), half(1.05, 1.20), 0.30, 0.03, 0.15, 0.15, 0.25])


def falls(h, d):
    """Squared logarithms below and above the plateau, whose edges shrink with a fine wire."""
    low, high = 60 * min(d / 0.25, 1), 100 * min(d / 0.25, 1)
    return np.log(min(h, low) / low) ** 2, np.log(max(h, high) / high) ** 2


def rough_feed(h, material, wire, d, flushing):
    below, above = falls(h, d)
    f_d = (d / 0.25) ** 1.2 if d <= 0.25 else (d / 0.25) ** 0.5
    # No loss up to 10 mm, all of it from 60 mm on.
    lost = (1 - flushing) * min(max(np.log(h / 10) / np.log(6), 0), 1)
    return 150 * np.exp(-0.15 * below - 0.5 * above) * material * wire * f_d * (1 - lost) / h


# (material column, relative speed), (wire column or None, relative speed), d, H, flushing, passes, length, minutes
cuts = [
    ((1, 1.00), (None, 1.00), 0.25, 40.0, None, 1, 400.0, 95.0),
    ((1, 1.00), (None, 1.00), 0.25, 80.0, None, 4, 300.0, 330.0),
    ((1, 1.00), (3, 1.12), 0.25, 50.0, None, 4, 500.0, 260.0),
    ((2, 0.90), (None, 1.00), 0.20, 30.0, 0.80, 3, 250.0, 150.0),
    ((2, 0.90), (3, 1.12), 0.25, 150.0, None, 2, 600.0, 790.0),
]
X, y = [], []
for (m, mv), (w, wv), d, h, fl, n, length, minutes in cuts:
    v = rough_feed(h, mv, wv, d, fl or 1.0)
    rough = length / v
    skims = (n - 1) * length / min(3 * v, max(12.0, 1.3 * v))
    row = np.zeros(9)
    row[0] = 1
    row[m] = 1
    if w is not None:
        row[w] = 1
    row[4] = np.log((d / 0.25) ** 1.2)
    row[5], row[6] = (-f for f in falls(h, d))
    if fl:
        row[7] = 1
    row[8] = skims / (rough + skims)
    X.append(row)
    y.append(np.log((rough + skims) / minutes))
X, y = np.array(X), np.array(y)
precision = np.diag(1 / prior**2) + X.T @ X / 0.10**2
covariance = np.linalg.inv(precision)
mean = covariance @ X.T @ y / 0.10**2
residual = (y - X @ mean) / 0.10
print("largest residual in noise", np.abs(residual).max())
print("mean", ", ".join(f"{v:.10f}" for v in mean))
print("sd  ", ", ".join(f"{v:.10f}" for v in np.sqrt(np.diag(covariance))))
# Left out, cut by cut: predicted logarithm from the other four.
for k in range(5):
    keep = np.arange(5) != k
    p = np.diag(1 / prior**2) + X[keep].T @ X[keep] / 0.01
    c = np.linalg.inv(p)
    m = c @ X[keep].T @ y[keep] / 0.01
    print("left out", k, f"{X[k] @ m:.10f} {np.sqrt(X[k] @ c @ X[k] + 0.01):.10f}")
# A difference of two wires in steel, H 40, one pass, learned: x_zinc only.
print("sd of zinc against plain", f"{np.sqrt(covariance[3, 3] + 0.02):.10f}")

# --- The reported pair ------------------------------------------------------------------------------
# Thickness where 150·exp(−k ln²)·/H ... is chosen so that the plain log equals its prediction: y = 0 and ln(1.45/1.30).
plain, coated = 301 + 46 / 60, 208 + 2 / 60
q = 0.5
s = np.array([0.35, half(0.9, 1.1), half(1.15, 1.47), 0.25])
X2 = np.array([[1, 1, 0, q], [1, 1, 1, q]])
y2 = np.array([0.0, np.log(plain / 1.30 / coated)])
c2 = np.linalg.inv(np.diag(1 / s**2) + X2.T @ X2 / 0.01)
m2 = c2 @ X2.T @ y2 / 0.01
print("pair: ratio", plain / coated, "factor", 1.30 * np.exp(m2[2]), "prior sd", s[2])

# --- Interpolation ----------------------------------------------------------------------------------
h = np.array([10.0, 20.0, 50.0, 120.0])
a = np.array([90.0, 130.0, 150.0, 100.0])
f = PchipInterpolator(np.log(h), np.log(a))
for at in (12.0, 30.0, 60.0, 100.0):
    print("pchip", at, repr(float(np.exp(f(np.log(at))))))
print("normal", norm.cdf(0.3), norm.cdf(-1.7))
