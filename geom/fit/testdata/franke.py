"""Fits two smoothers of scipy to noisy heights and tells how far off they are.

Reads JSON from standard input: a list of {"x": [...], "y": [...], "z": [...],
"sigma": sd of z, "at": [[x, y, true z], ...]}. Writes a JSON list of {"spline":
RMS, "rbf": RMS}, the RMS error over the places "at".

spline: interpolate.SmoothBivariateSpline with s = m * sigma**2 (FITPACK).
rbf: interpolate.RBFInterpolator, thin plate, its smoothing the one of 21, over
ten powers of ten, with the least generalised cross-validation score. Needs
scipy.
"""
import json
import sys
import warnings

import numpy as np
from scipy.interpolate import RBFInterpolator, SmoothBivariateSpline
from scipy.linalg import eigh, qr
from scipy.spatial.distance import cdist


def smoothings(p):
    """The 21 smoothings that are tried: lengths squared, as the kernel is."""
    return np.ptp(p) ** 2 * np.logspace(-8, 2, 21)


def plate(p):
    """The thin plate's kernel between the readings, and the planes it leaves alone."""
    r = cdist(p, p)
    return np.where(r > 0, r * r * np.log(np.where(r > 0, r, 1)), 0), np.column_stack([np.ones(len(p)), p])


def cross_validated(p, z):
    """The smoothing of least score, by one eigen-decomposition for all."""
    kernel, flat = plate(p)
    rest = qr(flat)[0][:, 3:]
    size, way = eigh(rest.T @ kernel @ rest)
    part = way.T @ (rest.T @ z)

    def score(smoothing):
        left = smoothing / (size + smoothing)
        return len(z) * np.sum((left * part) ** 2) / np.sum(left) ** 2
    return min(smoothings(p), key=score)


def rms(error):
    return float(np.sqrt(np.mean(error ** 2)))


def fit(job):
    p, z = np.column_stack([job["x"], job["y"]]), np.array(job["z"])
    at = np.array(job["at"])
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # it says that its knots are not the best it might find
        spline = SmoothBivariateSpline(*p.T, z, w=np.full(len(z), 1 / job["sigma"]), s=len(z))
    rbf = RBFInterpolator(p, z, kernel="thin_plate_spline", smoothing=cross_validated(p, z))
    return {"spline": rms(spline.ev(at[:, 0], at[:, 1]) - at[:, 2]), "rbf": rms(rbf(at[:, :2]) - at[:, 2])}


if __name__ == "__main__":
    json.dump([fit(job) for job in json.load(sys.stdin)], sys.stdout)
