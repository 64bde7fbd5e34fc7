"""Times scipy's smoothers on readings of a pane.

Reads JSON from standard input: {"face": {"x", "y", "z", "at": [[x, y, _], ...]},
"outline": {"x", "y", "sigma"}}. Writes JSON of the median time of each, in
seconds:

face: a thin plate through the heights, its smoothing chosen from 21 by
generalised cross-validation with one eigen-decomposition.
face_each: the same with a solution for every smoothing.
eval: its heights at the places "at".
outline: interpolate.splprep round the edge, closed, s = m * sigma**2.
"""
import json
import statistics
import sys
import time

import numpy as np
from scipy.interpolate import RBFInterpolator, splprep

sys.dont_write_bytecode = True  # leave no cache beside the test data
from franke import cross_validated, plate, smoothings


def cross_validated_each(p, z):
    """The smoothing of least score, by a solution for every one."""
    kernel, flat = plate(p)
    n = len(z)

    def score(smoothing):
        system = np.block([[kernel + smoothing * np.eye(n), flat], [flat.T, np.zeros((3, 3))]])
        weights = np.linalg.solve(system, np.vstack([np.eye(n), np.zeros((3, n))]))
        influence = np.column_stack([kernel, flat]) @ weights
        miss = z - influence @ z
        return n * miss @ miss / (n - np.trace(influence)) ** 2
    return min(smoothings(p), key=score)


def median(work, repeats=9):
    def once():
        start = time.perf_counter()
        work()
        return time.perf_counter() - start
    once()
    return statistics.median(once() for _ in range(repeats))


def main():
    job = json.load(sys.stdin)
    face, edge = job["face"], job["outline"]
    p, z = np.column_stack([face["x"], face["y"]]), np.array(face["z"])
    at = np.array(face["at"])[:, :2]

    def plate_of(choose):
        return RBFInterpolator(p, z, kernel="thin_plate_spline", smoothing=choose(p, z))

    rbf = plate_of(cross_validated)
    x, y = np.append(edge["x"], edge["x"][0]), np.append(edge["y"], edge["y"][0])
    json.dump({
        "face": median(lambda: plate_of(cross_validated)),
        "face_each": median(lambda: plate_of(cross_validated_each)),
        "eval": median(lambda: rbf(at)),
        "outline": median(lambda: splprep([x, y], s=len(edge["x"]) * edge["sigma"] ** 2, per=1, quiet=2)),
    }, sys.stdout)


if __name__ == "__main__":
    main()
