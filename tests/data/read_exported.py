"""Reads drawings that `kerfcast-cli export` wrote with ezdxf, and holds them against `kerfcast-cli measure --json`.

    python read_exported.py KERFCAST_CLI FOLDER

Every drawing of the folder is exported to a temporary file. ezdxf (1.4.5) audits it and gives length and area of each
closed curve; sums by layer must agree with what Kerfcast measures in the same file within 1e-9 of their size, and
with the drawing's own measures within the accuracy of its arcs.
"""

import json
import math
import subprocess
import sys
import tempfile
from pathlib import Path

import ezdxf
from ezdxf.math import bulge_to_arc


def measure(points):
    length = area = 0.0
    ox, oy = points[0][:2]
    for (x, y, bulge), (u, v, _) in zip(points, points[1:] + points[:1]):
        area += 0.5 * ((x - ox) * (v - oy) - (u - ox) * (y - oy))
        if abs(bulge) < 1e-12:
            length += math.hypot(u - x, v - y)
            continue
        centre, start, end, radius = bulge_to_arc((x, y), (u, v), bulge)
        sweep = 4 * math.atan(bulge)
        length += radius * abs(sweep)
        area += 0.5 * radius * radius * (sweep - math.sin(sweep))
    return length, abs(area)


def main():
    program, folder = sys.argv[1], Path(sys.argv[2])
    done = worst = worst_arcs = 0
    for path in sorted(folder.rglob("*.dxf")):
        with tempfile.TemporaryDirectory() as temporary:
            out = Path(temporary) / "out.dxf"
            call = [program, "export", str(path), "--dxf", str(out)]
            if subprocess.run(call, capture_output=True, check=False).returncode != 0:
                continue
            document = ezdxf.readfile(out)
            if document.audit().errors:
                print("audit", path, document.audit().errors)
            assert document.header["$INSUNITS"] == 4, path
            ours = [json.loads(subprocess.run([program, "measure", "--json", str(p)], capture_output=True, check=False).stdout)[0] for p in (out, path)]
            length = area = count = 0
            for e in document.modelspace():
                if e.dxftype() == "CIRCLE":
                    one = 2 * math.pi * e.dxf.radius, math.pi * e.dxf.radius**2
                elif e.dxftype() == "LWPOLYLINE" and e.closed:
                    one = measure([(x, y, b) for x, y, b in e.get_points("xyb")])
                else:
                    continue
                count, length, area = count + 1, length + one[0], area + one[1]
            of = lambda m, key: sum(c[key] or 0 for c in m["contours"] if c["role"] != "open")
            closed = sum(c["role"] != "open" for c in ours[0]["contours"])
            if closed != count:
                print("count", path, closed, count)
            off = max(abs(of(ours[0], "length_mm") - length) / max(length, 1), abs(of(ours[0], "area_mm2") - area) / max(area, 1))
            arcs = abs(of(ours[1], "length_mm") - length) / max(length, 1)
            if off > 1e-9:
                print("differs", path, off)
            done, worst, worst_arcs = done + 1, max(worst, off), max(worst_arcs, arcs)
    print(done, "drawings, largest relative difference", worst, "against the drawn curves", worst_arcs)


main()
