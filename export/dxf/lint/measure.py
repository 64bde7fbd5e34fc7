# Reads the DXF file named as first argument with ezdxf and prints, as JSON, the
# length of the splines on the layer named as second argument and the area that they
# run round in plan, by Gauss's rule with eight points between every two knots.
import json
import sys

import ezdxf
import numpy
from ezdxf.math import BSpline

nodes, weights = numpy.polynomial.legendre.leggauss(8)
length = area = 0.0
for e in ezdxf.readfile(sys.argv[1]).modelspace().query("SPLINE"):
    if e.dxf.layer != sys.argv[2]:
        continue
    curve = BSpline(e.control_points, e.dxf.degree + 1, knots=e.knots)
    knots = sorted(set(e.knots))
    for a, b in zip(knots, knots[1:]):
        half = (b - a) / 2
        for x, w in zip(nodes, weights):
            p, d = curve.derivative(a + half * (1 + x), n=1)
            length += w * half * d.magnitude
            area += w * half * (p.x * d.y - p.y * d.x) / 2
json.dump({"length": length, "area": area}, sys.stdout)
