#!/usr/bin/env python3
"""Random contours and what their parallel curves must measure, computed apart from the program.

    python3 offset_oracle.py --seed 1 --cases 400 [--few-vertices] [--families wiggles,acute] > offset_cases.csv

The parallel curve at distance d bounds the contour's inside plus (outside) or minus (inside) everything
within d of the contour. Each line becomes a stadium and each arc a ring sector with round ends, shapely
unites them, and the union is added or taken off. shapely's buffer of the whole ring is not used: GEOS
simplifies its input by a hundredth of the distance. Everything is done at d - 1e-4 mm and d + 1e-4 mm;
a right answer lies between the two, so that a neck which closes at exactly d is no matter of opinion.

Made with Python 3.11, shapely 2.2.0, GEOS 3.14.1 and numpy 2.4.6.

Columns: family, side, distance in mm, lowest and highest area, length, number of loops, then the vertices
as "x y bulge" separated by ";". Loops smaller than SLIVER mm2 do not count.
"""

import argparse
import math
import sys

import numpy as np
import shapely
from shapely.geometry import Polygon, box
from shapely.ops import unary_union

SAGITTA = 2e-5
SLIVER = 1e-3
EPS = 1e-4
TAU = 2 * math.pi


def arc_points(c, r, a0, sweep):
    """Points on an arc, chords within SAGITTA, both ends included."""
    if r <= 0:
        return [c]
    step = 2 * math.acos(max(0.0, 1 - min(1.0, SAGITTA / r)))
    step = min(max(step, 1e-6), math.pi / 16)
    n = max(1, math.ceil(abs(sweep) / step))
    t = a0 + sweep * np.arange(n + 1) / n
    return np.column_stack((c[0] + r * np.cos(t), c[1] + r * np.sin(t)))


def disc(c, r):
    return Polygon(arc_points(c, r, 0.0, TAU)[:-1])


def arc_of(p, q, b):
    """Centre, radius, start angle, sweep of a bulge segment."""
    dx, dy = q[0] - p[0], q[1] - p[1]
    sweep = 4 * math.atan(b)
    chord = math.hypot(dx, dy)
    r = chord * (1 + b * b) / (4 * abs(b))
    h = chord * (1 - b * b) / (4 * b)
    c = ((p[0] + q[0]) / 2 - dy / chord * h, (p[1] + q[1]) / 2 + dx / chord * h)
    return c, r, math.atan2(p[1] - c[1], p[0] - c[0]), sweep


def flatten(vertices):
    out = []
    n = len(vertices)
    for i, (x, y, b) in enumerate(vertices):
        q = vertices[(i + 1) % n]
        out.append((x, y))
        if b and (x, y) != q[:2]:
            c, r, a0, s = arc_of((x, y), q[:2], b)
            out.extend(map(tuple, arc_points(c, r, a0, s)[1:-1]))
    return out


def swept(vertices, d):
    """Everything within d of the contour."""
    parts = []
    n = len(vertices)
    for i, (x, y, b) in enumerate(vertices):
        p, q = (x, y), vertices[(i + 1) % n][:2]
        dx, dy = q[0] - p[0], q[1] - p[1]
        chord = math.hypot(dx, dy)
        parts.append(disc(p, d))
        if chord == 0:
            continue
        if b == 0:
            ux, uy = -dy / chord * d, dx / chord * d
            parts.append(Polygon([(p[0] + ux, p[1] + uy), (p[0] - ux, p[1] - uy), (q[0] - ux, q[1] - uy), (q[0] + ux, q[1] + uy)]))
        else:
            c, r, a0, s = arc_of(p, q, b)
            outer = arc_points(c, r + d, a0, s)
            inner = arc_points(c, max(r - d, 0.0), a0, s)
            ring = list(map(tuple, outer)) + list(map(tuple, inner))[::-1]
            sector = Polygon(ring)
            parts.append(sector if sector.is_valid else sector.buffer(0))
    return unary_union(parts)


def expected(vertices, d, outside):
    body = Polygon(flatten(vertices))
    ring = swept(vertices, d)
    result = body.union(ring) if outside else body.difference(ring)
    polygons = [result] if result.geom_type == "Polygon" else list(getattr(result, "geoms", []))
    area = length = 0.0
    loops = 0
    for p in polygons:
        if p.is_empty or p.geom_type != "Polygon":
            continue
        for k, r in enumerate([p.exterior, *p.interiors]):
            a = Polygon(r).area
            if a < SLIVER:
                continue
            area += -a if k else a
            length += r.length
            loops += 1
    return area, length, loops


# Families of contours. Each returns vertices about the origin and distances worth trying.

def star(g, arcs):
    n = int(g.integers(3, 24))
    size = g.uniform(1, 40)
    angle = np.sort(g.uniform(0, TAU, n))
    radius = size * g.uniform(0.25, 1.0, n)
    bulge = g.uniform(-0.7, 0.7, n) * (g.random(n) < 0.6) if arcs else np.zeros(n)
    v = [(radius[i] * math.cos(angle[i]), radius[i] * math.sin(angle[i]), float(bulge[i])) for i in range(n)]
    return v, [g.uniform(0.05, 0.4), g.uniform(0.02, 0.25) * size]


def lines(g):
    return star(g, False)


def arcs(g):
    return star(g, True)


def tessellated(g):
    n = int(g.integers(12, 90))
    a, b = g.uniform(1, 20, 2)
    w = g.uniform(0, 0.3)
    k = int(g.integers(2, 6))
    t = TAU * np.arange(n) / n
    f = 1 + w * np.cos(k * t)
    v = [(a * f[i] * math.cos(t[i]), b * f[i] * math.sin(t[i]), 0.0) for i in range(n)]
    return v, [g.uniform(0.05, 0.4), g.uniform(0.05, 0.9) * min(a, b)]


def tiny(g):
    v, d = star(g, True)
    out = []
    for i, (x, y, b) in enumerate(v):
        q = v[(i + 1) % len(v)]
        out.append((x, y, b))
        if b == 0 and g.random() < 0.7:
            e = 10 ** g.uniform(-6, -2)
            l = math.hypot(q[0] - x, q[1] - y)
            if l > 3 * e:
                ux, uy = (q[0] - x) / l, (q[1] - y) / l
                w = e * g.uniform(-0.2, 0.2)
                out.append((x + ux * e - uy * w, y + uy * e + ux * w, 0.0))
    return out, d


def neck(g):
    d = g.uniform(0.06, 0.6)
    w = 2 * d + float(g.choice([0.0, 1e-6, -1e-6, 1e-5, -1e-5, 1e-4, -1e-4, 1e-3, -1e-3, 0.05, -0.05, 0.3]))
    w = max(w, 0.02)
    a, h, l = g.uniform(2, 12), g.uniform(2, 12), g.uniform(0.01, 6)
    o = g.uniform(-0.3, 0.3) * h
    k = math.tan(math.pi / 8)
    v = [(0, -h / 2, 0), (a, -h / 2, 0), (a, o - w / 2, 0), (a + l, o - w / 2, 0), (a + l, -h / 2, 0), (2 * a + l, -h / 2, 0),
         (2 * a + l, h / 2, 0), (a + l, h / 2, 0), (a + l, o + w / 2, 0), (a, o + w / 2, 0), (a, h / 2, 0), (0, h / 2, 0)]
    if w >= h - abs(o) * 2:
        return None, []
    if g.random() < 0.5:
        v[5] = (2 * a + l, -h / 2, 1.0 if g.random() < 0.5 else k)
    return [(float(x), float(y), float(b)) for x, y, b in v], [d]


def tangent(g):
    """Rounded polygons whose radii are near the distance."""
    d = g.uniform(0.05, 1.0)
    w, h = g.uniform(3, 30, 2)
    q = math.tan(math.pi / 8)
    r = []
    for _ in range(4):
        r.append(min(max(d + float(g.choice([0, 1e-9, -1e-9, 1e-6, -1e-6, 1e-5, -1e-5, 1e-4, -1e-4, 1e-2, -1e-2, 0.3])), 0.0), w / 2.1, h / 2.1))
    v = [(r[0], 0, 0), (w - r[1], 0, q), (w, r[1], 0), (w, h - r[2], q), (w - r[2], h, 0), (r[3], h, q), (0, h - r[3], 0), (0, r[0], q)]
    out = []
    for i, (x, y, b) in enumerate(v):
        if b and r[(i + 1) // 2 % 4] == 0.0:
            continue
        out.append((float(x), float(y), float(b)))
    if g.random() < 0.5:
        # A notch with its own rounded ground of about the distance.
        e = max(d + float(g.choice([0, 1e-6, -1e-6, 1e-4, -1e-4, 0.02, -0.02])), 0.01)
        if r[3] + r[2] + 4 * e + 0.5 < w and h > 4 * e + 2:
            m = g.uniform(r[3] + e + 0.1, w - r[2] - e - 0.1)
            depth = g.uniform(0.2, h - 2 * e - 0.5)
            at = next(i for i, p in enumerate(out) if abs(p[1] - h) < 1e-12 and p[2] == 0.0)
            out[at + 1:at + 1] = [(m + e, h, 0.0), (m + e, h - depth, -1.0), (m - e, h - depth, 0.0), (m - e, h, 0.0)]
    return out, [d, d * g.uniform(0.5, 2)]


def teeth(g):
    n = int(g.integers(4, 30))
    d = g.uniform(0.05, 0.4)
    slot = 2 * d + float(g.choice([0, 1e-6, -1e-6, 1e-4, -1e-4, 0.02, -0.02, 0.4]))
    slot = max(slot, 0.03)
    tooth, deep = g.uniform(0.2, 2), g.uniform(0.3, 4)
    rounded = g.random() < 0.5
    v = [(0.0, -1.0 - deep, 0.0)]
    total = n * (slot + tooth) + tooth
    v.append((total, -1.0 - deep, 0.0))
    v.append((total, 0.0, 0.0))
    x = total - tooth
    for _ in range(n):
        v += [(x, 0.0, 0.0), (x, -deep, -1.0 if rounded else 0.0), (x - slot, -deep, 0.0), (x - slot, 0.0, 0.0)]
        x -= slot + tooth
    v.append((0.0, 0.0, 0.0))
    if rounded and slot / 2 >= 1.0:
        return None, []
    return v, [d]


def grid(g):
    """Polyominoes whose parallels fall on one another."""
    n = int(g.integers(3, 14))
    cells = {(0, 0)}
    while len(cells) < n:
        x, y = list(cells)[int(g.integers(len(cells)))]
        cells.add([(x + 1, y), (x - 1, y), (x, y + 1), (x, y - 1)][int(g.integers(4))])
    s = float(g.choice([0.25, 0.5, 1.0, 2.0, 3.0]))
    p = unary_union([box(x * s, y * s, (x + 1) * s, (y + 1) * s) for x, y in cells])
    if p.geom_type != "Polygon":
        return None, []
    v = [(x, y, 0.0) for x, y in p.exterior.coords[:-1]]
    return v, [s * float(g.choice([0.25, 0.5, 0.125, 0.1, 1 / 3])) + float(g.choice([0, 0, 1e-6, -1e-6, 1e-4]))]


def slots(g):
    """Obrounds and rounds united: arcs and lines in tangency and in crossing."""
    shapes, n = [], int(g.integers(2, 5))
    at = np.zeros(2)
    for _ in range(n):
        shapes.append((at.copy(), g.uniform(0.5, 4)))
        at = at + g.uniform(-3, 3, 2)
    # A chain of arcs: vertices on circles joined by alternating bulges of round values.
    k = int(g.integers(4, 12))
    size = g.uniform(2, 20)
    v = []
    for i in range(k):
        t = TAU * i / k
        b = float(g.choice([-1, -0.5, 0, 0.41421356237309503, 1.0, 0.2]))
        v.append((size * math.cos(t), size * math.sin(t), b))
    side = 2 * size * math.sin(math.pi / k)
    return v, [g.uniform(0.05, 0.4), side / 4, side / 2 * float(g.choice([1, 0.99, 0.5]))]


def wiggles(g):
    """Smooth shapes in steps of 0.002 to 0.4 mm, rounded as a drawing's digits are: they turn to and fro."""
    a, b = g.uniform(0.3, 3, 2)
    w, k = g.uniform(0, 0.25), int(g.integers(2, 6))
    digits = int(g.integers(2, 5))
    v, t = [], 0.0
    while t < TAU:
        f = 1 + w * math.cos(k * t)
        p = (round(a * f * math.cos(t), digits), round(b * f * math.sin(t), digits))
        if not v or p != v[-1][:2]:
            bulge = float(g.uniform(-0.2, 0.5)) if g.random() < 0.15 else 0.0
            v.append((*p, bulge))
        t += 10 ** g.uniform(-2.7, -0.4) / max(a, b)
    if len(v) > 3 and v[0][:2] == v[-1][:2]:
        v.pop()
    return v, [g.uniform(0.05, 0.4)]


def acute(g):
    """Pointed corners between flanks of several pieces that bend a little."""
    n = int(g.integers(3, 8))
    size = g.uniform(2, 30)
    deep = g.uniform(0.1, 0.7)
    corners = []
    for i in range(2 * n):
        r = size * (1.0 if i % 2 == 0 else deep) * g.uniform(0.8, 1.0)
        t = TAU * (i + g.uniform(-0.2, 0.2)) / (2 * n)
        corners.append((r * math.cos(t), r * math.sin(t)))
    v = []
    for i, p in enumerate(corners):
        q = corners[(i + 1) % len(corners)]
        m = int(g.integers(1, 7))
        bend = g.uniform(-0.1, 0.1)
        l = math.hypot(q[0] - p[0], q[1] - p[1])
        ux, uy = (q[0] - p[0]) / l, (q[1] - p[1]) / l
        cuts = np.sort(g.uniform(0, 1, m - 1)) if m > 1 else []
        for s in [0.0, *cuts]:
            off = bend * l * 4 * s * (1 - s)
            bulge = float(g.uniform(-0.08, 0.08)) if g.random() < 0.5 else 0.0
            v.append((p[0] + ux * s * l - uy * off, p[1] + uy * s * l + ux * off, bulge))
    return v, [g.uniform(0.05, 0.4), g.uniform(0.02, 0.1) * size]


FAMILIES = [lines, arcs, tessellated, tiny, neck, tangent, teeth, grid, slots]
# Of these there are as many cases in the file, made with --families wiggles,acute --seed 2 --cases 80.
LATER_FAMILIES = [wiggles, acute]


def turned(v, angle, shift):
    c, s = math.cos(angle), math.sin(angle)
    return [(x * c - y * s + shift[0], x * s + y * c + shift[1], b) for x, y, b in v]


def cases(seed, count, few, families):
    g = np.random.default_rng(seed)
    made = 0
    while made < count:
        family = families[made % len(families)]
        v, distances = family(g)
        if not v or (few and len(v) > 24):
            continue
        if g.random() < 0.5:
            v = turned(v, g.uniform(0, TAU), (0, 0))
        shift = (0.0, 0.0)
        if g.random() < 0.3:
            shift = tuple(g.uniform(-1e5, 1e5, 2))
            v = turned(v, 0.0, shift)
        near = [(x - shift[0], y - shift[1], b) for x, y, b in v]
        body = Polygon(flatten(near))
        if not body.is_valid or body.area < 0.05:
            continue
        if g.random() < 0.3:
            # The other way round; the answer stays.
            n = len(v)
            v = [(v[n - 1 - i][0], v[n - 1 - i][1], -v[(2 * n - 2 - i) % n][2]) for i in range(n)]
        d = float(distances[int(g.integers(len(distances)))])
        outside = bool(g.random() < 0.4)
        if d <= 2 * EPS:
            continue
        try:
            low, high = expected(near, d - EPS, outside), expected(near, d + EPS, outside)
        except shapely.errors.GEOSException:
            # The overlay gave up: the oracle has no answer here.
            continue
        row = [family.__name__, "outside" if outside else "inside", repr(d)]
        for a, b in zip(low, high):
            lo, hi = min(a, b), max(a, b)
            row += [str(lo), str(hi)] if isinstance(lo, int) else [f"{lo:.6f}", f"{hi:.6f}"]
        row.append(";".join(f"{x!r} {y!r} {b!r}" for x, y, b in ((float(x), float(y), float(b)) for x, y, b in v)))
        print(",".join(row))
        made += 1


def time_gear():
    """Seconds that GEOS takes for the gear of tests/benches/wire_path.rs, best of seven."""
    import time

    n = 37500
    t = TAU * np.arange(n) / n
    r = 60 + 3 * np.tanh(4 * np.sin(125 * t))
    gear = Polygon(np.column_stack((r * np.cos(t), r * np.sin(t))))
    for d in (-0.219, 0.219):
        best = math.inf
        for _ in range(7):
            begin = time.perf_counter()
            gear.buffer(d, quad_segs=16)
            best = min(best, time.perf_counter() - begin)
        print(f"GEOS, gear of {n} vertices, distance {d}: {best * 1e3:.1f} ms")


if __name__ == "__main__":
    a = argparse.ArgumentParser()
    a.add_argument("--seed", type=int, default=1)
    a.add_argument("--cases", type=int, default=400)
    a.add_argument("--few-vertices", action="store_true")
    a.add_argument("--families", default=",".join(f.__name__ for f in FAMILIES))
    a.add_argument("--time-gear", action="store_true")
    o = a.parse_args()
    if o.time_gear:
        time_gear()
        sys.exit()
    print(f"shapely {shapely.__version__}, GEOS {shapely.geos_version_string}", file=sys.stderr)
    print("family,side,distance,area_low,area_high,length_low,length_high,loops_low,loops_high,vertices")
    known = {f.__name__: f for f in FAMILIES + LATER_FAMILIES}
    cases(o.seed, o.cases, o.few_vertices, [known[name] for name in o.families.split(",")])
