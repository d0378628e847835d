"""What ezdxf reads from the sample, corpus and joining drawings: units, layers, counts; and splines through points.

Usage: python3 ezdxf_reference.py DXF_FOLDER SAMPLE_FOLDER > ezdxf_reference.json
Made with ezdxf 1.4.5 and Python 3. DXF_FOLDER holds corpus/ and joining/, SAMPLE_FOLDER our own. Nothing of the drawings is
copied: the table holds numbers and layer names only.
"""

import collections
import json
import pathlib
import sys

import ezdxf
from ezdxf import recover
from ezdxf.math import fit_points_to_cad_cv

HIDDEN_FLAGS = 1  # code 70 of a layer: frozen


def opened(path):
    """A strict reading, else ezdxf's recovery mode; None where it gives up."""
    try:
        return ezdxf.readfile(path), "strict"
    except Exception:
        pass
    try:
        return recover.readfile(path)[0], "recover"
    except Exception as error:
        print(f"{path.name}: {error}", file=sys.stderr)
        return None, "none"


# Fit points, and the directions at both ends or none. No drawing here has such splines.
FIT_POINTS = [
    ([(0, 0), (10, 5), (20, -3), (35, 8), (40, 0)], None),
    ([(0, 0), (10, 5), (20, -3), (35, 8), (40, 0)], [(0, 1), (1, -1)]),
    ([(0, 0), (1, 0.2), (2, -0.1), (30, 12), (31, 12.5)], None),
    ([(5, 5), (9, 14)], None),
    ([(5, 5), (9, 14), (20, 14)], [(1, 0), (0, -1)]),
    ([(3, 0), (0, 4), (-5, 0), (0, -6), (3, 0)], None),
]


def fit_splines():
    """Lengths of the curves that ezdxf says common CAD programs draw, measured by 20 000 chords."""
    rows = []
    for points, tangents in FIT_POINTS:
        curve = fit_points_to_cad_cv(points, tangents)
        chords = list(curve.approximate(20_000))
        length = sum(a.distance(b) for a, b in zip(chords, chords[1:]))
        rows.append({"points": points, "tangents": tangents, "length": length})
    return rows


def described(path):
    doc, how = opened(path)
    if doc is None:
        return None
    counts = collections.Counter(e.dxftype() for e in doc.modelspace())
    layers = {}
    for layer in doc.layers:
        layers[layer.dxf.name] = {
            "frozen": bool(layer.dxf.flags & HIDDEN_FLAGS),
            "off": layer.dxf.color < 0,
            "colour": abs(layer.dxf.color),
        }
    return {
        "how": how,
        "insunits": doc.header.get("$INSUNITS"),
        "counts": dict(sorted(counts.items())),
        "layers": layers,
    }


def main():
    root = pathlib.Path(sys.argv[1])
    files = {}
    for folder in ("corpus", "joining"):
        for path in sorted((root / folder).glob("*.dxf")):
            files[f"{folder}/{path.name}"] = described(path)
    for path in sorted(pathlib.Path(sys.argv[2]).glob("*.dxf")):
        files[f"sample_drawings/{path.name}"] = described(path)
    # A line for each file and spline.
    rows = ",\n".join(json.dumps(row) for row in fit_splines())
    lines = ",\n".join(
        f"{json.dumps(name)}: {json.dumps(value, ensure_ascii=False)}" for name, value in files.items()
    )
    version = json.dumps(ezdxf.__version__)
    print(f'{{"ezdxf": {version},\n"fit_splines": [\n{rows}],\n"files": {{\n{lines}}}}}')


main()
