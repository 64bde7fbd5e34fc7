# Reads the DXF file named as argument with ezdxf and prints what it holds and
# what the audit says, as JSON.
import json
import sys

import ezdxf


def points(e):
    if e.dxftype() == "POLYLINE":
        return len(e.vertices)
    if e.dxftype() == "LWPOLYLINE":
        return len(e)
    if e.dxftype() == "SPLINE":
        return len(e.control_points)
    return 2 if e.dxftype() == "LINE" else 1


doc = ezdxf.readfile(sys.argv[1])
audit = doc.audit()
json.dump(
    {
        "version": doc.dxfversion,
        "units": doc.units,
        "entities": [
            {"type": e.dxftype(), "layer": e.dxf.layer, "points": points(e)} for e in doc.modelspace()
        ],
        "faults": [e.message for e in audit.errors + audit.fixes],
    },
    sys.stdout,
)
