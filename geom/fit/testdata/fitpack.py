"""Fits FITPACK's periodic smoothing spline to panes and tells how far off it is.

Reads JSON from standard input: a list of {"x": [...], "y": [...], "rim":
[[x, y], ...], "sigma": mm}. The readings x, y are in order round the edge, the
true rim is dense. Writes a JSON list of the RMS distance in mm, square to the
spline, from the true rim to the spline. Parameter: chord length; smoothing
s = m * sigma**2. Needs scipy (FITPACK is its interpolate.splprep).
"""
import json
import sys

import numpy as np
from scipy.interpolate import splev, splprep
from scipy.spatial import cKDTree


def distance(points, tck):
    """Distances of the points from the curve, by its tangent at the nearest of many samples."""
    u = np.linspace(0, 1, 8000, endpoint=False)
    curve = np.column_stack(splev(u, tck))
    slope = np.column_stack(splev(u, tck, der=1))
    slope /= np.hypot(slope[:, 0], slope[:, 1])[:, None]
    _, near = cKDTree(curve).query(points)
    gap = points - curve[near]
    return gap[:, 0] * slope[near, 1] - gap[:, 1] * slope[near, 0]


def fit(pane):
    x = np.append(pane["x"], pane["x"][0])
    y = np.append(pane["y"], pane["y"][0])
    chord = np.concatenate([[0], np.cumsum(np.hypot(np.diff(x), np.diff(y)))])
    tck, _ = splprep([x, y], u=chord / chord[-1], s=len(pane["x"]) * pane["sigma"] ** 2, per=1, quiet=2)
    return float(np.sqrt(np.mean(distance(np.array(pane["rim"]), tck) ** 2)))


if __name__ == "__main__":
    json.dump([round(fit(pane), 5) for pane in json.load(sys.stdin)], sys.stdout)
