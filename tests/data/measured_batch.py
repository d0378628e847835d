"""Throughput of `kerfcast-cli batch` against a script that only measures, over the same drawings in one run.

Usage: python3 measured_batch.py KERFCAST_CLI DXF_FOLDER COUNT [WORK_FOLDER [SCRIPT]]
Made with ezdxf 1.4.5, shapely 2.2.0, Python 3.11. DXF_FOLDER holds drawings of any kind; each is turned about the z axis and moved by
ezdxf until there are COUNT of them, so that no two are the same bytes. Those that ezdxf cannot read are repeated as they are, with a
comment in front.

The script opens a drawing as `ezdxf.readfile` does, flattens every curve of the model space to 0.01 mm, joins the chords with shapely
(`unary_union`, `polygonize`), and sums lengths and areas: no wire path, no time, no cost. It runs in as many processes as the batch has
threads. Printed are drawings a second of both, their ratio, the largest memory of the batch, and whether rows of its table equal what
`estimate --csv` gives for single drawings. The batch is short beside the scripts, and a machine is not always as fast: it runs before, between
and after them, each time into a new table, and the median counts.

SCRIPT is a further script that only measures, called as SCRIPT FOLDER OUT.csv over the same drawings in the same run, as it is: in the
one process that it is written for.
"""

import csv
import json
import math
import multiprocessing
import os
import pathlib
import resource
import statistics
import subprocess
import sys
import tempfile
import time

import ezdxf
from ezdxf import path, recover
from shapely.geometry import LineString
from shapely.ops import polygonize, unary_union

CHORD_MM = 0.01
CURVES = "LINE ARC CIRCLE ELLIPSE SPLINE LWPOLYLINE POLYLINE"
JOB = ["--thickness", "25"]
COMPARED = 40  # rows held against single estimates, evenly spread


def turned(source, target, number):
    """A copy of a drawing, turned by a degree and a third a copy and moved."""
    try:
        doc = ezdxf.readfile(source)
        angle = math.radians(1 + number / 3)
        matrix = ezdxf.math.Matrix44.z_rotate(angle) @ ezdxf.math.Matrix44.translate(3 * number, number, 0)
        for entity in list(doc.modelspace()):
            try:
                entity.transform(matrix)
            except Exception:  # what cannot be turned stays
                pass
        doc.saveas(target)
    except Exception:
        target.write_bytes(b"999\n%d\n" % number + pathlib.Path(source).read_bytes())


def write_drawings(folder, count, target):
    sources = sorted(pathlib.Path(folder).rglob("*.dxf"))
    names = [(sources[k % len(sources)], target / f"{k:05}.dxf", k // len(sources)) for k in range(count)]
    with multiprocessing.Pool() as pool:
        pool.starmap(turned, names, chunksize=20)
    return [name[1] for name in names]


def measured(name):
    """Length of the curves of a drawing and area that they close, in its own units."""
    try:
        doc = ezdxf.readfile(name)
    except Exception:
        try:
            doc = recover.readfile(name)[0]
        except Exception:
            return None
    length, chains = 0.0, []
    for entity in doc.modelspace().query(CURVES + " INSERT"):
        parts = entity.virtual_entities() if entity.dxftype() == "INSERT" else [entity]
        for part in parts:
            try:
                points = [(p.x, p.y) for p in path.make_path(part).flattening(CHORD_MM)]
            except Exception:
                continue
            if len(points) > 1:
                line = LineString(points)
                length += line.length
                chains.append(line)
    noded = unary_union(chains)
    area = sum(p.area for p in polygonize(getattr(noded, "geoms", [noded])))
    return length, area


def worked():
    """Seconds of CPU of all processes that were started and have ended."""
    used = resource.getrusage(resource.RUSAGE_CHILDREN)
    return used.ru_utime + used.ru_stime


def main():
    cli, folder, count = sys.argv[1], sys.argv[2], int(sys.argv[3])
    work = pathlib.Path(sys.argv[4] if len(sys.argv) > 4 else tempfile.mkdtemp())
    drawings, table = work / "drawings", work / "table.csv"
    if not drawings.exists():
        drawings.mkdir(parents=True)
        write_drawings(folder, count, drawings)
    names = sorted(drawings.glob("*.dxf"))
    batches = []

    def run_batch():
        table.unlink(missing_ok=True)
        before, begun = worked(), time.perf_counter()
        call = [cli, "batch", str(drawings), "--no-shop", *JOB, "--out", str(table)]
        ended = subprocess.run(call, capture_output=True, text=True)
        batches.append((time.perf_counter() - begun, worked() - before))
        return ended.returncode

    status = run_batch()
    memory = resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss / 1024
    print(f"batch: {len(names)} drawings, exit status {status}, at most {memory:.0f} MB")

    cores = os.cpu_count()
    before, begun = worked(), time.perf_counter()
    with multiprocessing.Pool(cores) as pool:
        answers = pool.map(measured, names, chunksize=10)
    script = time.perf_counter() - begun
    read = sum(a is not None for a in answers)
    print(f"script: {read} of {len(names)} drawings, {script:.1f} s on {cores} cores, {len(names) / script:.1f} a second")
    script_work = worked() - before
    print(f"  {script_work:.1f} s of CPU")

    run_batch()
    measured_by = [("script", script, script_work)]
    if len(sys.argv) > 5:
        measured_by.append(further(sys.argv[5], drawings, work / "measured.csv"))
        run_batch()
    told = ", ".join(f"{clock:.1f} ({work:.1f} of CPU)" for clock, work in batches)
    batch, batch_work = (statistics.median(b[k] for b in batches) for k in (0, 1))
    print(f"batches: {told} s; {len(names) / batch:.1f} drawings a second")
    for name, clock, work in measured_by:
        print(f"{name}: ratio {clock / batch:.1f} by the clock, {work / batch_work:.1f} by CPU")

    lines = {row["drawing"]: row for row in csv.DictReader(table.open(encoding="utf-8-sig"))}
    chosen = names[:: max(1, len(names) // COMPARED)]
    different = [n.name for n in chosen if not is_single_estimate(cli, n, lines[n.name])]
    print(f"rows held against single estimates: {len(chosen)}, different: {different or 'none'}")


def further(script, drawings, out):
    """Name, and seconds by the clock and of CPU of another script over the drawings."""
    before, begun = worked(), time.perf_counter()
    subprocess.run([sys.executable, script, str(drawings), str(out)], stderr=subprocess.DEVNULL, check=True)
    took, work = time.perf_counter() - begun, worked() - before
    rows = sum(1 for _ in csv.DictReader(out.open(encoding="utf-8"))) if out.exists() else 0
    name = pathlib.Path(script).name
    print(f"{name}: {rows} rows, {took:.1f} s by the clock, {work:.1f} s of CPU")
    return name, took, work


def is_single_estimate(cli, name, row):
    """Whether a row of the table says of its best wire what `estimate` says of that wire."""
    ended = subprocess.run([cli, "estimate", "--json", "--no-shop", *JOB, str(name)], capture_output=True, text=True)
    try:
        answer = json.loads(ended.stdout)[0]
    except (ValueError, LookupError):
        return bool(row["error"])
    if "wires" not in answer:
        return bool(row["error"])
    if not row["best_wire"]:
        return not any(wire["possible"] for wire in answer["wires"])
    alike = [w for w in answer["wires"] if f"{w['wire']}@{w['diameter_mm']:g}" == row["best_wire"]]
    columns = {"minutes": ("minutes", "total"), "cost": ("cost", "part"), "wire_m": ("wire_m",)}
    for column, keys in columns.items():
        value = alike[0]
        for key in keys:
            value = value[key]
        if float(row[column]) != value:
            return False
    return answer["verdict"] == row["verdict"]


if __name__ == "__main__":
    main()
