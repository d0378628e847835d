#!/usr/bin/env python3
"""Works out what the sample drawings must measure, and writes it down.

    python3 compute_expectations.py FOLDER

writes EXPECTATIONS.md, expected.csv and expected_contours.csv into FOLDER. It reads no drawing and
shares no code with make_samples.py: every figure follows by formula from the dimensions stated here.
"""

import csv
import math
import os
import sys
from math import acos, asin, atan, atan2, cos, dist, hypot, pi, radians, sin, sqrt, tan


class Contour:
    def __init__(self, role, length, area, corners, tightest, depth=0, times=1):
        self.role, self.length, self.area, self.corners = role, length, area, corners
        self.tightest, self.depth, self.times = tightest, depth, times


def num(value, digits=15):
    return "" if value is None else f"{value:.{digits}g}"


class Book:
    def __init__(self):
        self.files, self.contours = [], []

    def add(self, file, units, keep, contours, notes):
        closed = [c for c in contours if c.role != "open"]
        count = lambda role: sum(c.times for c in contours if c.role == role)
        radii = [c.tightest for c in closed if c.tightest is not None]
        area = math.fsum((c.area if c.role == "outline" else -c.area) * c.times for c in closed)
        row = dict(file=file, units=units, keep=keep, outlines=count("outline"), openings=count("opening"),
                   open=count("open"), cut_length_mm=num(math.fsum(c.length * c.times for c in closed)),
                   net_area_mm2=num(area), corners=sum(c.corners * c.times for c in closed),
                   slugs=count("opening"), tightest_inside_radius_mm=num(min(radii, default=None)),
                   largest_depth=max(c.depth for c in closed), notes=notes)
        self.files.append(row)
        for c in contours:
            is_open = c.role == "open"
            self.contours += [dict(
                file=file, role=c.role, depth=c.depth, length_mm=num(c.length),
                area_mm2="" if is_open else num(c.area), corners="" if is_open else c.corners,
                tightest_inside_radius_mm=num(c.tightest), keep=keep)] * c.times
        return row


BOOK = Book()
OUT = []


def say(text=""):
    OUT.append(text)


def n(value):
    """A figure in the note: twelve significant digits."""
    return f"{value:.12g}"


def shoelace(points):
    return sum(a[0] * b[1] - a[1] * b[0] for a, b in zip(points, points[1:] + points[:1])) / 2


def bow(radius, angle):
    """Area between an arc and its chord."""
    return radius ** 2 * (angle - sin(angle)) / 2


# Splines ------------------------------------------------------------------------------------------

def gauss_legendre(order):
    nodes = []
    for i in range(order):
        x = cos(pi * (i + 0.75) / (order + 0.5))
        for _ in range(100):
            p0, p1 = 1.0, x
            for k in range(2, order + 1):
                p0, p1 = p1, ((2 * k - 1) * x * p1 - (k - 1) * p0) / k
            slope = order * (x * p1 - p0) / (x * x - 1)
            x -= p1 / slope
            if abs(p1 / slope) < 1e-16:
                break
        nodes.append((x, 2 / ((1 - x * x) * slope * slope)))
    return nodes


GAUSS = gauss_legendre(24)


def integrate(f, panels):
    h = 1 / panels
    return math.fsum(w * h / 2 * f(h * (k + 0.5 + x / 2)) for k in range(panels) for x, w in GAUSS)


def beziers(p):
    """The three Bezier pieces of a cubic B-spline over the knots 0 0 0 0 1 2 3 3 3 3 (by its blossom)."""
    mix = lambda s, a, t, b: (s * a[0] + t * b[0], s * a[1] + t * b[1])
    b2 = mix(1 / 2, p[1], 1 / 2, p[2])
    c1, c2 = mix(2 / 3, p[2], 1 / 3, p[3]), mix(1 / 3, p[2], 2 / 3, p[3])
    d1 = mix(1 / 2, p[3], 1 / 2, p[4])
    j1, j2 = mix(1 / 2, b2, 1 / 2, c1), mix(1 / 2, c2, 1 / 2, d1)
    return [(p[0], p[1], b2, j1), (j1, c1, c2, j2), (j2, d1, p[4], p[5])]


def at(b, t):
    """Point, first and second derivative of a cubic Bezier piece."""
    s = 1 - t
    point = [s**3 * b[0][i] + 3 * s*s*t * b[1][i] + 3 * s*t*t * b[2][i] + t**3 * b[3][i] for i in (0, 1)]
    first = [3 * (s*s * (b[1][i] - b[0][i]) + 2 * s*t * (b[2][i] - b[1][i]) + t*t * (b[3][i] - b[2][i]))
             for i in (0, 1)]
    second = [6 * (s * (b[2][i] - 2 * b[1][i] + b[0][i]) + t * (b[3][i] - 2 * b[2][i] + b[1][i]))
              for i in (0, 1)]
    return point, first, second


def spline_length(p, panels=16):
    return math.fsum(integrate(lambda t, b=b: hypot(*at(b, t)[1]), panels) for b in beziers(p))


def spline_green(p):
    """1/2 of the integral of x dy - y dx: the integrand is a polynomial, so the rule is exact."""
    def f(b, t):
        (x, y), (dx, dy), _ = at(b, t)
        return (x * dy - y * dx) / 2
    return math.fsum(integrate(lambda t, b=b: f(b, t), 1) for b in beziers(p))


def spline_curvature(p, steps=20000):
    """Smallest and largest signed curvature (left is positive), sampled."""
    values = []
    for b in beziers(p):
        for k in range(steps + 1):
            _, d, dd = at(b, k / steps)
            values.append((d[0] * dd[1] - d[1] * dd[0]) / hypot(*d) ** 3)
    return min(values), max(values)


# The note -----------------------------------------------------------------------------------------

say("""# What the sample drawings must measure

Worked out by formula from the dimensions of the drawings, apart from any program that reads them;
`compute_expectations.py` does the arithmetic below and writes this note, `expected.csv` (one row per
drawing and kind of keeping) and `expected_contours.csv` (one row per contour).

Conventions. Lengths in mm and areas in mm² unless a section says inch. θ in radians inside formulas.
*Corner*: a jump of the tangent of at least 20°; every jump in these drawings is either 0 or at least
44°. *Inside radius*: of the material that stays, so convex arcs and corners of an opening seen from
within it, and re-entrant ones of an outline; a sharp inside corner is 0, an empty field means there is
none. *Slugs*: one per opening. *Cut length*: drawn curves of closed contours, duplicates once, without bridged gaps.
The row of a whole drawing adds the contours up; net area is outlines less openings, and its tightest
inside radius is the smallest of its contours. Open curves have no area, and no corners are counted for them.

Used again and again:

- a fillet of radius r in a corner of turn θ between two lines shortens the contour by 2 r tan(θ/2) − r θ
  and changes the area by r² (tan(θ/2) − θ/2); for a right angle that is r (2 − π/2) and r² (1 − π/4);
- obround of straight length s and radius r: length 2 s + 2 π r, area 2 r s + π r²;
- an arc of sweep θ bows out of its chord by the area ½ r² (θ − sin θ).

Figures are printed with 12 significant digits here and with 15 in the tables.
""")

# 1. latch cam
say("## 1. latch-cam.dxf (mm, keep inside)\n")
S1 = [(46, 0), (56, 0), (71, 0), (90, 12), (90, 24), (90, 34)]
S2 = [(58, 38), (54, 38), (50, 38), (43.2, 39.6), (40.8, 41.4), (38.4, 43.2)]
l1, l2 = spline_length(S1), spline_length(S2)
err = max(abs(spline_length(p, 8) - l) for p, l in ((S1, l1), (S2, l2)))
assert err < 1e-11
g1, g2 = spline_green(S1), spline_green(S2)
hub_angle = radians(270) - atan2(4, 3)
throat_angle = radians(90) + atan2(5, 12)
lines = 22 + 13 + 11 + 13 + 8
arcs = 24 * hub_angle + 12 * pi / 2 + 6.5 * throat_angle
outline_length = lines + arcs + l1 + l2
chords = [(24, 0), (46, 0), (90, 34), (90, 47), (78, 59), (67, 59), (72, 47), (66, 38), (58, 38), (38.4, 43.2)]
bow1 = g1 - (S1[0][0] * S1[-1][1] - S1[0][1] * S1[-1][0]) / 2
bow2 = g2 - (S2[0][0] * S2[-1][1] - S2[0][1] * S2[-1][0]) / 2
outline_area = (shoelace(chords) + bow(24, hub_angle) + bow(12, pi / 2) - bow(6.5, throat_angle) + bow1 + bow2)
k1, k2 = spline_curvature(S1), spline_curvature(S2)
assert k1[0] > -1e-12 and k2[1] < 1e-12          # belly bends left only, nape bends right only
nape_radius = -1 / k2[0]
assert nape_radius > 6.5
sweep = radians(33)
slot = (sweep * (38.5 + 33.5) + 2 * pi * 2.5, sweep * (38.5**2 - 33.5**2) / 2 + pi * 2.5**2)
window = (2 * (6 + 18) - 8 * 0.5 + 2 * pi * 0.5, 6 * 18 - (4 - pi) * 0.5**2)
r = BOOK.add("latch-cam.dxf", "mm", "inside", [
    Contour("outline", outline_length, outline_area, 1, 6.5),
    Contour("opening", 18 * pi, 81 * pi, 0, 9, 1),
    Contour("opening", *slot, 0, 2.5, 1),
    Contour("opening", *window, 0, 0.5, 1),
    Contour("opening", 48, 108, 3, 0, 1)], "two cubic splines in the outline; embedded demonstration part")
say(f"""Outline, counter-clockwise from (24, 0): sole line to (46, 0); belly spline to (90, 34); front line to (90, 47);
brow arc r 12 to (78, 59); beak line to the sharp tip (67, 59); latching face to (72, 47); throat arc r 6.5
(clockwise, re-entrant) to (66, 38); seat line to (58, 38); nape spline to (38.4, 43.2); hub arc r 24.

- Lines: 22 + 13 + 11 + 13 + 8 = {n(lines)} (latching face: √(5² + 12²) = 13).
- Hub arc: 270° − atan(4/3) = {n(math.degrees(hub_angle))}°, length 24 θ = {n(24 * hub_angle)}.
  Brow: 12 π/2 = {n(6 * pi)}. Throat: 90° + atan(5/12) = {n(math.degrees(throat_angle))}°, 6.5 θ = {n(6.5 * throat_angle)}.
- Splines: cubic, knots 0 0 0 0 1 2 3 3 3 3. Cut into Bézier pieces by the blossom (junctions: f(1,1,1) and
  f(2,2,2)), length by Gauss–Legendre quadrature, 24 nodes on each of 16 panels per piece; with 8 panels the
  result moves by less than 1e-11. Belly {n(l1)}, nape {n(l2)}.
- Length: {n(lines)} + {n(arcs)} + {n(l1 + l2)} = **{n(outline_length)}**.
- Area: shoelace of the ten junctions {n(shoelace(chords))}; bows: hub + {n(bow(24, hub_angle))}, brow
  + {n(bow(12, pi/2))}, throat − {n(bow(6.5, throat_angle))}, belly {bow1:+.12g}, nape {bow2:+.12g} (½∫(x dy − y dx) of a
  cubic is an integral of a polynomial: exact by quadrature). Sum **{n(outline_area)}**.
- Corners: 1 (tip: turn 90° + atan(5/12) = 112.6°, convex). All other junctions are tangent.
- Inside radius: throat 6.5. The nape is re-entrant too, its smallest radius is {nape_radius:.4g}; the belly bends outwards only.

| opening | length | area | corners | inside radius |
|---|---|---|---|---|
| pivot bore r 9 | 18 π = {n(18*pi)} | 81 π = {n(81*pi)} | 0 | 9 |
| curved slot, 33° on r 36, width 5 | 33° (38.5 + 33.5) + 5 π = {n(slot[0])} | ½ 33° (38.5² − 33.5²) + 6.25 π = {n(slot[1])} | 0 | 2.5 |
| key window 6 × 18, fillets 0.5 | 48 − 8·0.5 + π = {n(window[0])} | 108 − (4 − π) 0.25 = {n(window[1])} | 0 | 0.5 |
| pawl window, sides 15, 15, 18, height 12 | 48 | 108 | 3 | 0 |

Whole: cut length **{r['cut_length_mm']}**, net area **{r['net_area_mm2']}**, 1 outline, 4 openings, 4 corners, 4 slugs, inside radius 0.
Read: LINE 8, ARC 7, SPLINE 2, CIRCLE 1, LWPOLYLINE 1. Nothing skipped, nothing wrong to be found.
""")

# 2. die
say("## 2. loom-stamping-die.dxf (mm, keep outside; keep inside for comparison)\n")
hexagon_side = 14 / sqrt(3)
shapes = [  # name, length text, area text, length, area, corners, inside radius as opening / as outline, times
    ("round r 7", "14 π", "49 π", 14 * pi, 49 * pi, 0, 7, None, 1),
    ("obround, s 12, r 4", "24 + 8 π", "96 + 16 π", 24 + 8 * pi, 96 + 16 * pi, 0, 4, None, 1),
    ("hexagon, 14 across flats", "6 · 14/√3", "½ √3 · 14²", 6 * hexagon_side, sqrt(3) / 2 * 196, 6, 0, None, 1),
    ("rectangle 16 × 10", "2 (16 + 10)", "16 · 10", 52, 160, 4, 0, None, 1),
    ("rounded rectangle 18 × 12, r 2", "60 − 16 + 4 π", "216 − (4 − π) 4", 44 + 4 * pi, 216 - (4 - pi) * 4, 0, 2, None, 1),
    ("cross 18, arms 6", "4 · 18", "2 · 18 · 6 − 36", 72, 180, 12, 0, 0, 1),
    ("heddle eye (one turned, one mirrored)", "12 + 7.5 + 7.5 + 3 π", "72 − ½ · 4.5 · 6 + 4.5 π",
     27 + 3 * pi, 58.5 + 4.5 * pi, 2, 0, None, 2),
    ("reed slot, s 11, r 1.5 (array 2 × 2)", "22 + 3 π", "33 + 2.25 π", 22 + 3 * pi, 33 + 2.25 * pi, 0, 1.5, None, 4),
    ("dowel hole r 4", "8 π", "16 π", 8 * pi, 16 * pi, 0, 4, None, 4)]
ro = BOOK.add("loom-stamping-die.dxf", "mm", "outside",
              [Contour("opening", s[3], s[4], s[5], s[6], times=s[8]) for s in shapes],
              "no plate outline in the drawing: outermost contours are openings; net area is minus the area of the openings; three INSERTs (turned; mirrored; array)")
ri = BOOK.add("loom-stamping-die.dxf", "mm", "inside",
              [Contour("outline", s[3], s[4], s[5], s[7], times=s[8]) for s in shapes],
              "same drawing read as sixteen parts")
say("| contour | times | length | area | corners | inside radius as opening |\n|---|---|---|---|---|---|")
for s in shapes:
    say(f"| {s[0]} | {s[8]} | {s[1]} = {n(s[3])} | {s[2]} = {n(s[4])} | {s[5]} | {s[6]} |")
say(f"""
Heddle eye: (0, 0) – (12, 0) – half circle r 3 – (12, 6) – (4.5, 6) – back; the slanting side is √(4.5² + 6²) = 7.5; turns there 53.1°
and 126.9°, the half circle is tangent. Turning and mirroring change nothing of this.

Keep outside: all 16 contours are openings of depth 0: cut length **{ro['cut_length_mm']}**, net area **{ro['net_area_mm2']}**
(no outline, so nothing but the openings to subtract), corners 6 + 4 + 12 + 2·2 = 26, 16 slugs, inside radius 0.
Keep inside: 16 outlines, the same length, net area **{ri['net_area_mm2']}**, 26 corners, no slugs; the only
re-entrant corners are the four of the cross: inside radius 0 there, none at the others.
Read: CIRCLE 5, LWPOLYLINE 5, INSERT 3; skipped: TEXT 3. Bulges on closing segments: obround and rounded rectangle.
""")

# 3. escape wheel
say("## 3. escapement-wheel.dxf (mm, keep inside)\n")
P = lambda radius, degrees: (radius * cos(radians(degrees)), radius * sin(radians(degrees)))
R, rf, rn = 9.0, 0.4, 0.6
foot, toe, tip, neck, back = P(R, 3.5), P(11.6, 0), P(12, 5), P(11, 4.2), P(R, 9.5)


def heading(a, b):
    return atan2(b[1] - a[1], b[0] - a[0])


def turn(a, b, c):
    return (heading(b, c) - heading(a, b) + pi) % (2 * pi) - pi


neck_turn = -turn(tip, neck, back)
assert neck_turn > 0


def line_circle_fillet(corner, end, gap_left):
    """Flank piece, root arc angle, fillet sweep and gained area of a fillet between flank and root circle."""
    h = heading(corner, end)
    u = (cos(h), sin(h))
    normal = (-u[1], u[0]) if gap_left else (u[1], -u[0])
    q = -(corner[0] * normal[0] + corner[1] * normal[1])       # the wheel's centre, seen from the flank
    s0, s1 = sqrt(R**2 - q**2), sqrt((R + rf)**2 - (rf - q)**2)
    flank = s1 - s0
    touch = (corner[0] + flank * u[0], corner[1] + flank * u[1])
    centre = (touch[0] + rf * normal[0], touch[1] + rf * normal[1])
    delta = abs(heading((0, 0), centre) - heading((0, 0), corner))
    to_touch, to_centre = heading(centre, touch), heading(centre, (0, 0))
    theta = abs((to_touch - to_centre + pi) % (2 * pi) - pi)
    gained = abs(shoelace([(0, 0), corner, touch, centre])) - R**2 * delta / 2 - rf**2 * theta / 2
    return q, flank, delta, theta, gained


front = line_circle_fillet(foot, toe, False)
rear = line_circle_fillet(back, neck, True)
sides = [dist(foot, toe), dist(toe, tip), dist(tip, neck), dist(neck, back)]
root_arc = R * radians(24 - 6)
raw_length = sum(sides) + root_arc
change = [rf * f[3] - f[1] - R * f[2] for f in (front, rear)]
neck_change = rn * neck_turn - 2 * rn * tan(neck_turn / 2)
tooth_length = raw_length + sum(change) + neck_change
raw_area = shoelace([(0, 0), foot, toe, tip, neck, back]) + R**2 * radians(18) / 2
neck_area = rn**2 * (tan(neck_turn / 2) - neck_turn / 2)
tooth_area = raw_area + front[4] + rear[4] + neck_area
rim, hub, half, f = 7.8, 3.2, 0.7, 0.4
o = half + f
beta, gamma = asin(o / (rim - f)), asin(o / (hub + f))
x1, x2 = (rim - f) * cos(beta), (hub + f) * cos(gamma)
ao, ai = radians(72) - 2 * beta, radians(72) - 2 * gamma
crossing = (rim * ao + hub * ai + 2 * (x1 - x2) + 2 * f * (pi / 2 + beta) + 2 * f * (pi / 2 - gamma),
            rim**2 * ao / 2 - hub**2 * ai / 2 - half * (x1 - x2)
            + f**2 * (pi / 2 + beta) + f * x1 + f**2 * (pi / 2 - gamma) - f * x2)
r = BOOK.add("escapement-wheel.dxf", "mm", "inside", [
    Contour("outline", 15 * tooth_length, 15 * tooth_area, 30, 0.4),
    Contour("opening", *crossing, 0, 0.4, 1, times=5),
    Contour("opening", 3 * pi, 2.25 * pi, 0, 1.5, 1)], "R12 drawing; 15 club teeth")
say(f"""One tooth in polar form (radius, angle): foot (9, 3.5°), toe (11.6, 0°), tip (12, 5°), neck (11, 4.2°), back (9, 9.5°); then
the root circle r 9 for 24° − 6° = 18° to the next foot. Fillets: 0.4 at foot and back, 0.6 in the neck, all re-entrant.

Without fillets, per tooth:

- sides foot–toe {n(sides[0])}, toe–tip {n(sides[1])}, tip–neck {n(sides[2])}, neck–back {n(sides[3])}; root arc 9 · 18° = {n(root_arc)};
  together {n(raw_length)}
- area, as a sector from the centre: shoelace(centre, foot, toe, tip, neck, back) + ½ 9² · 18° = {n(raw_area)}

Neck: turn {n(math.degrees(neck_turn))}°: length {neck_change:+.12g}, area {neck_area:+.12g}.

Fillet between a flank and the root circle: let q be the distance of the wheel's centre from the flank, positive towards the gap.
Along the flank the corner lies at √(R² − q²) and the touching point at √((R + r)² − (r − q)²); their difference is the piece of
flank that goes. δ is the angle at the wheel's centre between corner and fillet centre, θ the sweep of the fillet. Length changes by
r θ − piece − R δ; area grows by quadrilateral(centre, corner, touching point, fillet centre) − ½ R² δ − ½ r² θ.

| | q | piece | δ | θ | length | area |
|---|---|---|---|---|---|---|
| foot | {n(front[0])} | {n(front[1])} | {n(front[2])} | {n(front[3])} ({math.degrees(front[3]):.4f}°) | {change[0]:+.12g} | {front[4]:+.12g} |
| back | {n(rear[0])} | {n(rear[1])} | {n(rear[2])} | {n(rear[3])} ({math.degrees(rear[3]):.4f}°) | {change[1]:+.12g} | {rear[4]:+.12g} |

Per tooth {n(tooth_length)} and {n(tooth_area)}; outline, 15 teeth: length **{n(15*tooth_length)}**, area **{n(15*tooth_area)}**.
Corners: toe ({math.degrees(turn(foot, toe, tip)):.1f}°) and tip ({math.degrees(turn(toe, tip, neck)):.1f}°), both convex: 30. Inside radius 0.4.

Crossing between two spokes 1.4 wide, rim R = 7.8, hub h = 3.2, fillets f = 0.4, o = 0.7 + 0.4 = 1.1:
β = asin(o/(R − f)) = {n(beta)}, γ = asin(o/(h + f)) = {n(gamma)}, x₁ = (R − f) cos β = {n(x1)}, x₂ = (h + f) cos γ = {n(x2)}.

- Length: R (72° − 2β) + h (72° − 2γ) + 2 (x₁ − x₂) + 2 f (90° + β) + 2 f (90° − γ) = **{n(crossing[0])}**
- Area (½∮ x dy − y dx about the wheel's centre): ½R² (72° − 2β) − ½h² (72° − 2γ) − 0.7 (x₁ − x₂) + f² (90° + β) + f x₁ + f² (90° − γ) − f x₂
  = **{n(crossing[1])}**
- No corner; inside radius 0.4 (the hub's arc is convex material, its fillets and the rim are inside arcs).

Bore r 1.5: {n(3*pi)}, {n(2.25*pi)}, inside radius 1.5.

Whole: cut length **{r['cut_length_mm']}**, net area **{r['net_area_mm2']}**, 1 outline, 6 openings, 30 corners, 6 slugs, inside radius 0.4.
Read: LINE 70, ARC 90, CIRCLE 1; skipped: TEXT 3.
""")

# 4. splined bore
say("## 4. splined-bore.dxf (mm, keep inside)\n")
m, M, hw, f = 9.0, 11.0, 2.0, 0.1
alpha, beta = asin(hw / m), asin((hw - f) / (M - f))
fx = (M - f) * cos(beta)
wall = fx - m * cos(alpha)
length = 8 * (m * (pi / 4 - 2 * alpha) + 2 * wall + 2 * f * (pi / 2 - beta) + M * 2 * beta)
area = 8 * (m**2 * (pi / 4 - 2 * alpha) / 2 + hw * wall + f**2 * (pi / 2 - beta) + f * fx + M**2 * beta)
r = BOOK.add("splined-bore.dxf", "mm", "inside", [
    Contour("outline", 40 * pi, 400 * pi, 0, None),
    Contour("opening", length, area, 16, 0.1, 1)],
    "groove corners r 0.1: too tight for a wire of 0.25 mm, which needs at least half its diameter plus the spark gap")
say(f"""Outline: circle r 20: 40 π = {n(40*pi)}, 400 π = {n(400*pi)}; no inside arc.

Bore: minor circle r 9, major circle r 11, eight grooves 4 wide, fillets f = 0.1 at the groove bottom.
α = asin(2/9) = {n(alpha)}, β = asin(1.9/10.9) = {n(beta)}, fillet centre at x = 10.9 cos β = {n(fx)}, wall = x − 9 cos α = {n(wall)}.

- Length: 8 (9 (45° − 2α) + 2 wall + 2 f (90° − β) + 11 · 2β) = **{n(length)}**
- Area: 8 (½ 9² (45° − 2α) + 2 wall + f² (90° − β) + f x + 11² β) = **{n(area)}** (½∮ x dy − y dx; a wall at y = ±2 gives ½ · 2 · wall)
- Corners: 16, where the walls leave the minor circle; turn 90° − α = {math.degrees(pi/2-alpha):.1f}°; they are outside corners of the material.
- Inside radius: 0.1 (the sweeps of these fillets are {math.degrees(pi/2-beta):.2f}°). A wire of 0.25 mm makes no radius below 0.125 + spark gap.

Whole: cut length **{r['cut_length_mm']}**, net area **{r['net_area_mm2']}**, 1 outline, 1 opening, 16 corners, 1 slug, inside radius 0.1.
Read: LINE 16, ARC 32, CIRCLE 1; skipped: TEXT 3.
""")

# 5. bracket
say("## 5. loom-bracket-inch.dxf (inch, keep inside)\n")
I, I2 = 25.4, 25.4**2
straight = 3.5 + 0.5 + 0.25 * sqrt(2) + 2 + 1.5 + 1.25 + 2.75
ol = straight + 2 * 0.25 * pi / 2 + 0.5 * pi / 2
oa = 6.5 - 2 * 0.25**2 * (1 - pi / 4) - 0.25**2 / 2 + 0.5**2 * (1 - pi / 4)
holes = [("hole Ø 3/8", 0.375 * pi, 0.1875**2 * pi, 0.1875), ("hole Ø 1/2", 0.5 * pi, 0.25**2 * pi, 0.25),
         ("hole Ø 9/32", 0.28125 * pi, 0.140625**2 * pi, 0.140625),
         ("slot, s 3/4, r 1/8", 1.5 + 0.25 * pi, 0.1875 + pi / 64, 0.125)]
r = BOOK.add("loom-bracket-inch.dxf", "in", "inside",
             [Contour("outline", ol * I, oa * I2, 4, 0.5 * I)]
             + [Contour("opening", l * I, a * I2, 0, q * I, 1) for _, l, a, q in holes], "$INSUNITS 1; figures in mm")
say(f"""In inches. Outline: bottom 3.5, arc r 1/4, side 0.5, chamfer 1/4 × 45° (0.25 √2), top of the foot 2, inside fillet r 1/2, inner side 1.5,
head 1.25 (both its corners sharp), back 2.75, arc r 1/4.

- Length: {n(straight)} + 2 · π/8 + π/4 = {n(ol)} in = **{n(ol*I)} mm**
- Area: 4 · 1 + 1.25 · 2 − 2 · (1/16)(1 − π/4) − 1/32 + (1/4)(1 − π/4) = {n(oa)} in² = **{n(oa*I2)} mm²**
- Corners: 2 of the chamfer (45° each) and 2 of the head (90°): 4. Inside radius 1/2 in = 12.7 mm.

| opening | length in | area in² | length mm | area mm² | inside radius mm |
|---|---|---|---|---|---|""")
for name, l, a, q in holes:
    say(f"| {name} | {n(l)} | {n(a)} | {n(l*I)} | {n(a*I2)} | {n(q*I)} |")
say(f"""
Whole: cut length **{r['cut_length_mm']}**, net area **{r['net_area_mm2']}**, 1 outline, 4 openings, 4 corners, 4 slugs, inside radius 3.175.
Read: LINE 7, ARC 3, CIRCLE 3, LWPOLYLINE 1; skipped: TEXT 3. Size 4 × 3 in = 101.6 × 76.2 mm.
""")

# 6. dirty plate
say("## 6. dirty-customer-plate.dxf (mm, keep inside, join gap 0.02)\n")
og = 0.004 + 0.012 + 0.001 + 0.015 + 0.005
ol = 344 + 13 * pi - og
oa = 110 * 70 - 30 * 18 + 2 * 25 * (1 - pi / 4) - 2 * 64 * (1 - pi / 4)
part = [Contour("outline", ol, oa, 4, 5),
        Contour("opening", 12 * pi, 36 * pi, 0, 6, 1, times=2),
        Contour("opening", 40 + 10 * pi - 0.01, 200 + 25 * pi, 0, 5, 1),
        Contour("opening", 48 - 0.006, 140, 4, 0, 1)]
window = Contour("open", 52 - 0.01 - 0.08, 0, 0, None)
others = [Contour("outline", 240, 2700, 4, None)] + [Contour("open", length, 0, 0, None, times=times)
                                                     for length, times in ((18, 4), (40, 1), (88, 2), (8, 1))]
alone = Book().add("", "", "", part + [window], "")
r = BOOK.add("dirty-customer-plate.dxf", "mm", "inside", part + [window] + others,
             "all visible layers; without layers TITLE and CENTER: 1 outline, 4 openings, 1 open, cut length "
             f"{alone['cut_length_mm']}, net area {alone['net_area_mm2']}, corners {alone['corners']}; "
             "areas hold for gaps bridged straight; drawing ends together instead may move them by up to 0.6 mm2")
open_length = sum(c.length * c.times for c in [window] + others if c.role == "open")
say(f"""Every gap is a line that stops short in its own direction. A straight bridge over it therefore gives the intended contour exactly, so the areas
are those of the intended contours, and the lengths those less the gaps. (A reader that moves
ends onto each other instead tilts neighbours by up to 0.015 mm, and their areas by up to 0.6 mm² altogether.)

- Outline 110 × 70, corners r 8 below and sharp above, notch 30 × 18 from the top with fillets r 5: sole 94, sides 62 + 62, shoulders 35 + 45,
  notch 13 + 20 + 13: 344; arcs 2 · 8 π/2 + 2 · 5 π/2 = 13 π; gaps 0.004 + 0.012 + 0.001 + 0.015 + 0.005 = {n(og)}. Length **{n(ol)}**.
  Area 7700 − 540 + 2 · 25 (1 − π/4) − 2 · 64 (1 − π/4) = **{n(oa)}**. Corners: 4 (two of the plate above, two where the notch begins). Inside radius 5.
- Two bores r 6: 12 π = {n(12*pi)}, 36 π = {n(36*pi)} each; inside radius 6.
- Slot, s 20, r 5, gaps 0.008 + 0.002: 40 + 10 π − 0.01 = {n(40+10*pi-0.01)}, 200 + 25 π = {n(200+25*pi)}; inside radius 5.
- Square window 14 × 10, gap 0.006: 47.994, 140, 4 corners, inside radius 0.
- The window 16 × 10 with the gap of 0.08 stays open: 52 − 0.01 (bridged) − 0.08 = 51.91. With a join gap of 0.1 it is one more opening: length 51.91, area 160, 4 corners.
- Layer TITLE: frame 90 × 30, beside the part, is an outline of its own if it is not left out: 240, 2700, 4 corners; its three rules (88, 88, 8) end 1 mm
  from the frame and are open. Layer CENTER: five open lines (4 · 18, 40).

All visible layers: cut length **{r['cut_length_mm']}**, net area **{r['net_area_mm2']}**, 2 outlines, 4 openings, 9 open
(1 + 5 + 3, length {n(open_length)}), 12 corners, 4 slugs, inside radius 0.
Without the layers TITLE and CENTER: cut length **{alone['cut_length_mm']}**, net area **{alone['net_area_mm2']}**, 1 outline, 4 openings, 1 open, 8 corners, 4 slugs.

Read: LINE 43, ARC 7, CIRCLE 4 (model space, hidden layers included: LINE 4 and CIRCLE 1 on OLD-ISSUE, which is off; LINE 5 on STOCK, which is frozen).
Skipped: TEXT 4, MTEXT 1, DIMENSION 1. To be found:

| what | count | where |
|---|---|---|
| gaps bridged | 9 (8 in closed contours; largest 0.015) | (110, 70) 0.004; (75, 70) 0.012; (50, 52) 0.001; (45, 70) 0.015; (102, 0) 0.005; (65, 29) 0.008; (45, 39) 0.002; (36, 14) 0.006; (90, 24) 0.01 |
| gap too wide | 1 of 0.08 | (74, 14) |
| exact duplicates | 3 | line x = 110; arc at (102, 8); circle at (92, 52) |
| reversed duplicate | 1 | line x = 0 |
| partial overlap | 1 of 12 mm | y = 0, x from 58 to 70 |
| line of no length | 1 | (55, 10) |
| hidden curves | 10 | layers OLD-ISSUE (off) and STOCK (frozen) |
""")

say("## All together\n")
columns = "file keep outlines openings open cut_length_mm net_area_mm2 corners slugs tightest_inside_radius_mm largest_depth".split()
say("| " + " | ".join(columns) + " |\n|" + "---|" * len(columns))
for row in BOOK.files:
    say("| " + " | ".join(str(row[c]) for c in columns) + " |")


def main():
    if len(sys.argv) != 2:
        sys.exit("usage: compute_expectations.py FOLDER")
    path = lambda name: os.path.join(sys.argv[1], name)
    with open(path("EXPECTATIONS.md"), "w", encoding="utf-8") as file:
        file.write("\n".join(OUT) + "\n")
    for name, rows in (("expected.csv", BOOK.files), ("expected_contours.csv", BOOK.contours)):
        with open(path(name), "w", encoding="ascii", newline="") as file:
            writer = csv.DictWriter(file, rows[0].keys(), lineterminator="\n")
            writer.writeheader()
            writer.writerows(rows)


if __name__ == "__main__":
    main()
