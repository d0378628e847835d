#!/usr/bin/env python3
"""Draws the sample drawings of Kerfcast.

    python3 make_samples.py FOLDER

writes six DXF files into FOLDER. The group codes are written here, one by one, with nothing but the
Python standard library, and every run writes the same bytes. What each drawing should measure is worked
out apart from this script, by formula, in EXPECTATIONS.md.

The scenario is invented: the toolroom of Ebbersholt makes parts for looms and clocks.
"""

import math
import os
import random
import sys

SHOP = "EBBERSHOLT TOOLROOM - PARTS FOR LOOMS AND CLOCKS"

MILLIMETRES, INCHES = 4, 1  # values of $INSUNITS


# ---------------------------------------------------------------------------------------------------
# A small DXF writer
# ---------------------------------------------------------------------------------------------------

def real(value):
    """A number with at most twelve significant digits, and always with a decimal point."""
    text = f"{value + 0.0:.12g}"
    if text == "-0":
        text = "0"
    return text if "." in text or "e" in text else text + ".0"


class Layer:
    """A row of the layer table. An invisible layer is `off` (negative colour) or `frozen` (flag 1)."""

    def __init__(self, name, colour, linetype="Continuous", off=False, frozen=False):
        self.name, self.colour, self.linetype = name, colour, linetype
        self.off, self.frozen = off, frozen


class Entities:
    """An ordered list of entities, in model space or in a block."""

    def __init__(self):
        self.items = []  # (type, layer, subclass markers with their group codes)

    def add(self, kind, layer, *parts):
        self.items.append((kind, layer, parts))

    def line(self, layer, start, end):
        self.add("LINE", layer, ("AcDbLine", [
            (10, start[0]), (20, start[1]), (30, 0.0), (11, end[0]), (21, end[1]), (31, 0.0)]))

    def lines(self, layer, *points):
        for start, end in zip(points, points[1:]):
            self.line(layer, start, end)

    def circle(self, layer, centre, radius):
        self.add("CIRCLE", layer, ("AcDbCircle", [
            (10, centre[0]), (20, centre[1]), (30, 0.0), (40, radius)]))

    def arc(self, layer, centre, radius, start, end):
        """Counter-clockwise from the angle `start` to `end`, in degrees."""
        self.add("ARC", layer,
                 ("AcDbCircle", [(10, centre[0]), (20, centre[1]), (30, 0.0), (40, radius)]),
                 ("AcDbArc", [(50, start % 360.0), (51, end % 360.0)]))

    def closed_polyline(self, layer, *vertices):
        """Vertices are (x, y) or (x, y, bulge); the bulge belongs to the segment that starts there."""
        codes = [(90, len(vertices)), (70, 1), (43, 0.0)]
        for vertex in vertices:
            codes += [(10, vertex[0]), (20, vertex[1])]
            if len(vertex) == 3:
                codes.append((42, vertex[2]))
        self.add("LWPOLYLINE", layer, ("AcDbPolyline", codes))

    def spline(self, layer, control_points, knots):
        """Clamped, not rational, of degree 3."""
        codes = [(210, 0.0), (220, 0.0), (230, 1.0), (70, 8), (71, 3),
                 (72, len(knots)), (73, len(control_points)), (74, 0), (42, 1e-9), (43, 1e-10)]
        codes += [(40, float(knot)) for knot in knots]
        for x, y in control_points:
            codes += [(10, x), (20, y), (30, 0.0)]
        self.add("SPLINE", layer, ("AcDbSpline", codes))

    def insert(self, layer, block, at, scale=(1.0, 1.0), rotation=0.0, columns=1, rows=1,
               column_spacing=0.0, row_spacing=0.0):
        codes = [(2, block), (10, at[0]), (20, at[1]), (30, 0.0),
                 (41, scale[0]), (42, scale[1]), (43, 1.0), (50, rotation)]
        subclass = "AcDbBlockReference"
        if columns > 1 or rows > 1:
            subclass = "AcDbMInsertBlock"
            codes += [(70, columns), (71, rows), (44, column_spacing), (45, row_spacing)]
        self.add("INSERT", layer, (subclass, codes))

    def text(self, layer, at, height, words):
        self.add("TEXT", layer,
                 ("AcDbText", [(10, at[0]), (20, at[1]), (30, 0.0), (40, height), (1, words)]),
                 ("AcDbText", []))

    def mtext(self, layer, at, height, width, words):
        self.add("MTEXT", layer, ("AcDbMText", [
            (10, at[0]), (20, at[1]), (30, 0.0), (40, height), (41, width), (71, 1), (72, 1), (1, words)]))

    def solid(self, layer, a, b, c):
        """A filled triangle: the arrow head of a dimension."""
        self.add("SOLID", layer, ("AcDbTrace", [
            (10, a[0]), (20, a[1]), (30, 0.0), (11, b[0]), (21, b[1]), (31, 0.0),
            (12, c[0]), (22, c[1]), (32, 0.0), (13, c[0]), (23, c[1]), (33, 0.0)]))

    def horizontal_dimension(self, layer, block, left, right, y, words):
        """A dimension whose picture is the anonymous block `block`."""
        self.add("DIMENSION", layer,
                 ("AcDbDimension", [
                     (2, block), (10, right[0]), (20, y), (30, 0.0),
                     (11, (left[0] + right[0]) / 2), (21, y + 1.5), (31, 0.0),
                     (70, 32), (71, 5), (1, words), (3, "Standard")]),
                 ("AcDbAlignedDimension", [
                     (13, left[0]), (23, left[1]), (33, 0.0),
                     (14, right[0]), (24, right[1]), (34, 0.0), (50, 0.0)]),
                 ("AcDbRotatedDimension", []))


class Drawing(Entities):
    """Model space, its layers and its blocks."""

    def __init__(self, title, version, insunits, layers):
        super().__init__()
        self.title, self.version, self.insunits, self.layers = title, version, insunits, layers
        self.blocks = {}  # name -> Entities; the base point of every block is its origin
        self.out = []
        self.handle = 0

    def block(self, name):
        return self.blocks.setdefault(name, Entities())

    # Writing. R12 (AC1009) has neither handles nor subclass markers here; later versions have both.

    @property
    def modern(self):
        return self.version != "AC1009"

    def put(self, code, value):
        self.out.append(str(code))
        self.out.append(real(value) if isinstance(value, float) else str(value))

    def puts(self, *pairs):
        for code, value in pairs:
            self.put(code, value)

    def new_handle(self):
        self.handle += 1
        return f"{self.handle:X}"

    def head(self, kind, owner, *subclasses, code=5, handle=None):
        """The type of a table row or an entity, then in modern files its handle, owner and markers."""
        self.put(0, kind)
        if self.modern:
            handle = handle or self.new_handle()
            self.puts((code, handle), (330, owner))
            for subclass in subclasses:
                self.put(100, subclass)
        return handle

    def save(self, folder, name):
        self.out, self.handle = [], 0
        for remark in (SHOP, self.title, "Drawn by make_samples.py"):
            self.put(999, remark)
        body_starts = len(self.out)
        self.write_tables()
        self.write_blocks()
        self.write_model_space()
        if self.modern:
            self.write_objects()
        self.put(0, "EOF")
        body = self.out[body_starts:]
        del self.out[body_starts:]
        self.write_header()  # last, for only now the next free handle is known
        with open(os.path.join(folder, name), "w", encoding="ascii", newline="\r\n") as file:
            file.write("\n".join(self.out + body) + "\n")

    def write_header(self):
        self.puts((0, "SECTION"), (2, "HEADER"), (9, "$ACADVER"), (1, self.version))
        if self.modern:
            self.puts((9, "$DWGCODEPAGE"), (3, "ANSI_1252"), (9, "$HANDSEED"), (5, self.new_handle()))
        self.puts((9, "$INSUNITS"), (70, self.insunits))
        self.puts((9, "$MEASUREMENT"), (70, 0 if self.insunits == INCHES else 1))
        self.put(0, "ENDSEC")

    def write_tables(self):
        self.puts((0, "SECTION"), (2, "TABLES"))
        no_owner = "0"

        def table(name, rows):
            self.puts((0, "TABLE"), (2, name))
            handle = None
            if self.modern:
                handle = self.new_handle()
                self.puts((5, handle), (330, no_owner), (100, "AcDbSymbolTable"))
            self.put(70, len(rows))
            if name == "DIMSTYLE" and self.modern:
                self.puts((100, "AcDbDimStyleTable"), (71, 0))
            for row in rows:
                row(handle)
            self.put(0, "ENDTAB")

        def named(kind, subclass, name, flags, *pairs, code=5):
            def row(owner):
                self.head(kind, owner, "AcDbSymbolTableRecord", subclass, code=code)
                self.puts((2, name), (70, flags), *pairs)
            return row

        if self.modern:
            table("VPORT", [])

        dashes = (12.0, 8.0, -1.5, 1.0, -1.5)  # whole, then line, space, dot, space
        centre = [(3, "Centre ____ _ ____ _ ____"), (72, 65), (73, 4), (40, dashes[0])]
        for dash in dashes[1:]:
            centre += [(49, dash)] + ([(74, 0)] if self.modern else [])
        solid = [(3, "Solid line"), (72, 65), (73, 0), (40, 0.0)]
        blank = [(3, ""), (72, 65), (73, 0), (40, 0.0)]
        linetype = lambda name, pairs: named("LTYPE", "AcDbLinetypeTableRecord", name, 0, *pairs)
        table("LTYPE", ([linetype("ByBlock", blank), linetype("ByLayer", blank)] if self.modern else [])
              + [linetype("Continuous", solid), linetype("CENTER", centre)])

        table("LAYER", [
            named("LAYER", "AcDbLayerTableRecord", layer.name, 1 if layer.frozen else 0,
                  (62, -layer.colour if layer.off else layer.colour), (6, layer.linetype))
            for layer in [Layer("0", 7)] + self.layers])

        table("STYLE", [named("STYLE", "AcDbTextStyleTableRecord", "Standard", 0,
                              (40, 0.0), (41, 1.0), (50, 0.0), (71, 0), (42, 2.5), (3, "txt"), (4, ""))])
        if self.modern:
            table("VIEW", [])
            table("UCS", [])
            table("APPID", [named("APPID", "AcDbRegAppTableRecord", "ACAD", 0)])
            table("DIMSTYLE", [named("DIMSTYLE", "AcDbDimStyleTableRecord", "Standard", 0, code=105)])
            # Handles of the block records are the owners of all entities.
            self.owner = {}

            def record(name):
                def row(owner):
                    self.owner[name] = self.head(
                        "BLOCK_RECORD", owner, "AcDbSymbolTableRecord", "AcDbBlockTableRecord")
                    self.puts((2, name), (340, "0"))
                return row
            table("BLOCK_RECORD", [record(name) for name in self.all_blocks()])
        self.put(0, "ENDSEC")

    def all_blocks(self):
        return (["*Model_Space", "*Paper_Space"] if self.modern else []) + list(self.blocks)

    def write_blocks(self):
        self.puts((0, "SECTION"), (2, "BLOCKS"))
        for name in self.all_blocks():
            owner = self.owner[name] if self.modern else None
            self.head("BLOCK", owner, "AcDbEntity")
            self.put(8, "0")
            if self.modern:
                self.put(100, "AcDbBlockBegin")
            anonymous = name.startswith("*") and name in self.blocks
            self.puts((2, name), (70, 1 if anonymous else 0),
                      (10, 0.0), (20, 0.0), (30, 0.0), (3, name), (1, ""))
            if name in self.blocks:
                self.write_entities(self.blocks[name], owner)
            self.head("ENDBLK", owner, "AcDbEntity")
            self.put(8, "0")
            if self.modern:
                self.put(100, "AcDbBlockEnd")
        self.put(0, "ENDSEC")

    def write_model_space(self):
        self.puts((0, "SECTION"), (2, "ENTITIES"))
        self.write_entities(self, self.owner["*Model_Space"] if self.modern else None)
        self.put(0, "ENDSEC")

    def write_entities(self, entities, owner):
        for kind, layer, parts in entities.items:
            self.head(kind, owner, "AcDbEntity")
            self.put(8, layer)
            for subclass, codes in parts:
                if self.modern:
                    self.put(100, subclass)
                self.puts(*codes)

    def write_objects(self):
        root, groups = self.new_handle(), self.new_handle()
        self.puts((0, "SECTION"), (2, "OBJECTS"))
        self.puts((0, "DICTIONARY"), (5, root), (330, "0"), (100, "AcDbDictionary"), (281, 1),
                  (3, "ACAD_GROUP"), (350, groups))
        self.puts((0, "DICTIONARY"), (5, groups), (330, root), (100, "AcDbDictionary"), (281, 1))
        self.put(0, "ENDSEC")


# ---------------------------------------------------------------------------------------------------
# A little geometry
# ---------------------------------------------------------------------------------------------------

def polar(radius, degrees, centre=(0.0, 0.0)):
    angle = math.radians(degrees)
    return (centre[0] + radius * math.cos(angle), centre[1] + radius * math.sin(angle))


def direction(start, end):
    """The angle of the way from `start` to `end`, in degrees."""
    return math.degrees(math.atan2(end[1] - start[1], end[0] - start[0]))


def towards(start, end):
    """The unit vector of the way from `start` to `end`."""
    length = math.dist(start, end)
    return ((end[0] - start[0]) / length, (end[1] - start[1]) / length)


def along(start, unit, distance):
    return (start[0] + unit[0] * distance, start[1] + unit[1] * distance)


def turned(point, degrees):
    angle = math.radians(degrees)
    c, s = math.cos(angle), math.sin(angle)
    return (c * point[0] - s * point[1], s * point[0] + c * point[1])


QUARTER = math.tan(math.radians(90.0) / 4)  # the bulge of a quarter circle


def rounded_rectangle(centre, width, height, radius):
    """Vertices, counter-clockwise, so begun that the closing segment is an arc."""
    x, y = centre
    w, h, r = width / 2, height / 2, radius
    return [(x - w + r, y - h), (x + w - r, y - h, QUARTER),
            (x + w, y - h + r), (x + w, y + h - r, QUARTER),
            (x + w - r, y + h), (x - w + r, y + h, QUARTER),
            (x - w, y + h - r), (x - w, y - h + r, QUARTER)]


def title_text(drawing, layer, at, height, *more):
    """A title block of words only: no line of it can be mistaken for a contour."""
    for row, words in enumerate((SHOP, drawing.title) + more):
        drawing.text(layer, (at[0], at[1] - 1.8 * height * row), height, words)


# ---------------------------------------------------------------------------------------------------
# 1. latch-cam.dxf: the part that the program shows when it is first opened
# ---------------------------------------------------------------------------------------------------

def latch_cam():
    d = Drawing("LATCH CAM FOR A RIBBON LOOM", "AC1015", MILLIMETRES,
                [Layer("OUTLINE", 5), Layer("OPENINGS", 3)])
    pivot = (24.0, 24.0)

    # The outline, counter-clockwise from below the pivot. Directions of 3-4-5 and 5-12-13 triangles let
    # every neighbour meet its neighbour exactly, in place and in tangent.
    d.line("OUTLINE", (24.0, 0.0), (46.0, 0.0))                         # sole
    d.spline("OUTLINE", [(46.0, 0.0), (56.0, 0.0), (71.0, 0.0),         # belly: leaves along +x,
                         (90.0, 12.0), (90.0, 24.0), (90.0, 34.0)],     # arrives along +y
             [0, 0, 0, 0, 1, 2, 3, 3, 3, 3])
    d.line("OUTLINE", (90.0, 34.0), (90.0, 47.0))                       # front
    d.arc("OUTLINE", (78.0, 47.0), 12.0, 0.0, 90.0)                     # brow
    d.lines("OUTLINE", (78.0, 59.0), (67.0, 59.0), (72.0, 47.0))        # beak, its sharp tip, latching face
    latching_face = math.degrees(math.atan2(5.0, 12.0))                 # its normal, 22.6 degrees
    d.arc("OUTLINE", (66.0, 44.5), 6.5, 270.0, 360.0 + latching_face)   # throat
    d.line("OUTLINE", (66.0, 38.0), (58.0, 38.0))                       # seat
    d.spline("OUTLINE", [(58.0, 38.0), (54.0, 38.0), (50.0, 38.0),      # nape: leaves along -x,
                         (43.2, 39.6), (40.8, 41.4), (38.4, 43.2)],     # arrives along (-4, 3)
             [0, 0, 0, 0, 1, 2, 3, 3, 3, 3])
    d.arc("OUTLINE", pivot, 24.0, math.degrees(math.atan2(4.0, 3.0)), 270.0)  # hub

    d.circle("OPENINGS", pivot, 9.0)                                    # pivot bore

    # Curved slot, 5 wide, on a circle of radius 36 about the pivot, from -25 to +8 degrees.
    d.arc("OPENINGS", pivot, 38.5, -25.0, 8.0)
    d.arc("OPENINGS", polar(36.0, 8.0, pivot), 2.5, 8.0, 188.0)
    d.arc("OPENINGS", pivot, 33.5, -25.0, 8.0)
    d.arc("OPENINGS", polar(36.0, -25.0, pivot), 2.5, 155.0, 335.0)

    # Key window with fillets of 0.5, and the pawl window with sharp corners.
    d.closed_polyline("OPENINGS", *rounded_rectangle((80.5, 34.0), 6.0, 18.0, 0.5))
    d.lines("OPENINGS", (41.0, 15.0), (53.0, 24.0), (41.0, 33.0), (41.0, 15.0))
    return d


# ---------------------------------------------------------------------------------------------------
# 2. loom-stamping-die.dxf: openings only, the plate is what stays outside of them
# ---------------------------------------------------------------------------------------------------

def loom_stamping_die():
    d = Drawing("STAMPING DIE FOR HEDDLES AND REED DENTS", "AC1021", MILLIMETRES,
                [Layer("DIE-OPENINGS", 3), Layer("DOWELS", 4), Layer("TITLE", 8)])
    die = "DIE-OPENINGS"

    d.circle(die, (26.0, 60.0), 7.0)

    # Obround 20 x 8: the second bulge is on the closing segment.
    d.closed_polyline(die, (44.0, 56.0), (56.0, 56.0, 1.0), (56.0, 64.0), (44.0, 64.0, 1.0))

    # Hexagon, 14 across flats.
    d.closed_polyline(die, *[polar(7.0 / math.cos(math.radians(30.0)), 60.0 * k, (76.0, 60.0))
                             for k in range(6)])

    d.closed_polyline(die, (88.0, 55.0), (104.0, 55.0), (104.0, 65.0), (88.0, 65.0))   # sharp rectangle
    d.closed_polyline(die, *rounded_rectangle((25.0, 38.0), 18.0, 12.0, 2.0))

    # Cross 18 x 18 with arms 6 wide.
    d.closed_polyline(die, *[(50.0 + x, 38.0 + y) for x, y in (
        (-3.0, -9.0), (3.0, -9.0), (3.0, -3.0), (9.0, -3.0), (9.0, 3.0), (3.0, 3.0),
        (3.0, 9.0), (-3.0, 9.0), (-3.0, 3.0), (-9.0, 3.0), (-9.0, -3.0), (-3.0, -3.0))])

    # A heddle eye with one round and one slanting end, put in turned, and put in mirrored.
    eye = d.block("HEDDLE-EYE")
    eye.closed_polyline("0", (0.0, 0.0), (12.0, 0.0, 1.0), (12.0, 6.0), (4.5, 6.0))
    d.insert(die, "HEDDLE-EYE", (72.0, 31.0), rotation=30.0)
    d.insert(die, "HEDDLE-EYE", (108.0, 36.0), scale=(-1.0, 1.0))

    # A reed slot 3 x 14 of lines and arcs, in two rows of two.
    slot = d.block("REED-SLOT")
    slot.line("0", (-5.5, -1.5), (5.5, -1.5))
    slot.arc("0", (5.5, 0.0), 1.5, 270.0, 90.0)
    slot.line("0", (5.5, 1.5), (-5.5, 1.5))
    slot.arc("0", (-5.5, 0.0), 1.5, 90.0, 270.0)
    d.insert(die, "REED-SLOT", (50.0, 11.0), columns=2, rows=2, column_spacing=20.0, row_spacing=8.0)

    for x in (8.0, 112.0):
        for y in (8.0, 72.0):
            d.circle("DOWELS", (x, y), 4.0)

    title_text(d, "TITLE", (0.0, -8.0), 2.5, "MM - PLATE 120 X 80, OPENINGS AND DOWEL HOLES ONLY")
    return d


# ---------------------------------------------------------------------------------------------------
# 3. escapement-wheel.dxf
# ---------------------------------------------------------------------------------------------------

def escapement_wheel():
    d = Drawing("ESCAPE WHEEL, 15 CLUB TEETH", "AC1009", MILLIMETRES,
                [Layer("WHEEL", 5), Layer("CROSSINGS", 3), Layer("TITLE", 8)])
    teeth, root, root_fillet, neck_fillet = 15, 9.0, 0.4, 0.6
    pitch = 360.0 / teeth

    # The first tooth, in the order of the outline (counter-clockwise). Foot and back of the tooth are
    # where its flanks would meet the root circle if there were no fillets.
    foot, toe, tip = polar(root, 3.5), polar(11.6, 0.0), polar(12.0, 5.0)
    neck, back = polar(11.0, 4.2), polar(root, 9.5)

    def root_fillet_of(corner, outer_end, gap_side):
        """Fillet between the flank from `corner` to `outer_end` and the root circle.
        `gap_side` is +1 if the gap lies to the left of that flank, -1 if to the right.
        Returns centre, the touching point on the flank, the direction of the one on the circle."""
        unit = towards(corner, outer_end)
        normal = (-unit[1] * gap_side, unit[0] * gap_side)
        foot_point = along((0.0, 0.0), normal, corner[0] * normal[0] + corner[1] * normal[1] + root_fillet)
        reach = math.sqrt((root + root_fillet) ** 2 - (foot_point[0] ** 2 + foot_point[1] ** 2))
        centre = along(foot_point, unit, reach)
        return centre, along(centre, normal, -root_fillet), direction((0.0, 0.0), centre)

    front_centre, front_touch, front_angle = root_fillet_of(foot, toe, -1)
    rear_centre, rear_touch, rear_angle = root_fillet_of(back, neck, +1)

    # Fillet in the neck, where the outline turns to the right from tip-neck into neck-back.
    into, out_of = towards(tip, neck), towards(neck, back)
    turn = math.acos(into[0] * out_of[0] + into[1] * out_of[1])
    tangent = neck_fillet * math.tan(turn / 2)
    neck_in, neck_out = along(neck, into, -tangent), along(neck, out_of, tangent)
    neck_centre = along(neck_in, (into[1], -into[0]), neck_fillet)
    neck_start, neck_end = direction(neck_centre, neck_out), direction(neck_centre, neck_in)

    for k in range(teeth):
        a = pitch * k
        at = lambda point: turned(point, a)
        d.arc("WHEEL", at(front_centre), root_fillet,
              direction(front_centre, front_touch) + a, front_angle + 180.0 + a)
        d.lines("WHEEL", at(front_touch), at(toe), at(tip), at(neck_in))
        d.arc("WHEEL", at(neck_centre), neck_fillet, neck_start + a, neck_end + a)
        d.line("WHEEL", at(neck_out), at(rear_touch))
        d.arc("WHEEL", at(rear_centre), root_fillet,
              rear_angle + 180.0 + a, direction(rear_centre, rear_touch) + a)
        d.arc("WHEEL", (0.0, 0.0), root, rear_angle + a, front_angle + pitch + a)

    # Five crossings between spokes 1.4 wide; rim inside 7.8, hub 3.2, fillets 0.4.
    rim, hub, half_spoke, fillet, spokes = 7.8, 3.2, 0.7, 0.4, 5
    offset = half_spoke + fillet
    beta = math.degrees(math.asin(offset / (rim - fillet)))     # seen from the centre: fillet at the rim
    gamma = math.degrees(math.asin(offset / (hub + fillet)))    # ... and at the hub
    rim_x = (rim - fillet) * math.cos(math.radians(beta))
    hub_x = (hub + fillet) * math.cos(math.radians(gamma))
    step = 360.0 / spokes
    for k in range(spokes):
        a, b = 18.0 + step * k, 18.0 + step * (k + 1)   # the spokes on either side
        d.line("CROSSINGS", turned((hub_x, half_spoke), a), turned((rim_x, half_spoke), a))
        d.arc("CROSSINGS", turned((rim_x, offset), a), fillet, a - 90.0, a + beta)
        d.arc("CROSSINGS", (0.0, 0.0), rim, a + beta, b - beta)
        d.arc("CROSSINGS", turned((rim_x, -offset), b), fillet, b - beta, b + 90.0)
        d.line("CROSSINGS", turned((rim_x, -half_spoke), b), turned((hub_x, -half_spoke), b))
        d.arc("CROSSINGS", turned((hub_x, -offset), b), fillet, b + 90.0, b + 180.0 - gamma)
        d.arc("CROSSINGS", (0.0, 0.0), hub, a + gamma, b - gamma)
        d.arc("CROSSINGS", turned((hub_x, offset), a), fillet, a + 180.0 + gamma, a + 270.0)
    d.circle("CROSSINGS", (0.0, 0.0), 1.5)

    title_text(d, "TITLE", (-12.0, -15.0), 0.7, "MM")
    return d


# ---------------------------------------------------------------------------------------------------
# 4. splined-bore.dxf: inside corners too tight for the usual wire
# ---------------------------------------------------------------------------------------------------

def splined_bore():
    d = Drawing("WARP BEAM HUB WITH SPLINED BORE", "AC1015", MILLIMETRES,
                [Layer("BLANK", 5), Layer("BORE", 3), Layer("TITLE", 8)])
    d.circle("BLANK", (0.0, 0.0), 20.0)

    minor, major, half_width, fillet, splines = 9.0, 11.0, 2.0, 0.1, 8
    pitch = 360.0 / splines
    wall_start = math.sqrt(minor ** 2 - half_width ** 2)        # where the groove leaves the minor circle
    wall_angle = math.degrees(math.asin(half_width / minor))
    fillet_y = half_width - fillet
    fillet_x = math.sqrt((major - fillet) ** 2 - fillet_y ** 2)
    fillet_angle = math.degrees(math.asin(fillet_y / (major - fillet)))
    for k in range(splines):
        a = pitch * k
        d.line("BORE", turned((wall_start, -half_width), a), turned((fillet_x, -half_width), a))
        d.arc("BORE", turned((fillet_x, -fillet_y), a), fillet, a - 90.0, a - fillet_angle)
        d.arc("BORE", (0.0, 0.0), major, a - fillet_angle, a + fillet_angle)
        d.arc("BORE", turned((fillet_x, fillet_y), a), fillet, a + fillet_angle, a + 90.0)
        d.line("BORE", turned((fillet_x, half_width), a), turned((wall_start, half_width), a))
        d.arc("BORE", (0.0, 0.0), minor, a + wall_angle, a + pitch - wall_angle)

    title_text(d, "TITLE", (-20.0, -24.0), 1.2, "MM - GROOVE CORNERS R 0.1")
    return d


# ---------------------------------------------------------------------------------------------------
# 5. loom-bracket-inch.dxf
# ---------------------------------------------------------------------------------------------------

def loom_bracket_inch():
    d = Drawing("SHUTTLE BOX BRACKET", "AC1015", INCHES,
                [Layer("PROFILE", 5), Layer("HOLES", 3), Layer("TITLE", 8)])
    d.line("PROFILE", (0.25, 0.0), (3.75, 0.0))
    d.arc("PROFILE", (3.75, 0.25), 0.25, 270.0, 360.0)
    d.lines("PROFILE", (4.0, 0.25), (4.0, 0.75), (3.75, 1.0), (1.75, 1.0))      # with a chamfer
    d.arc("PROFILE", (1.75, 1.5), 0.5, 180.0, 270.0)                            # inside fillet
    d.lines("PROFILE", (1.25, 1.5), (1.25, 3.0), (0.0, 3.0), (0.0, 0.25))
    d.arc("PROFILE", (0.25, 0.25), 0.25, 180.0, 270.0)

    d.circle("HOLES", (0.625, 2.5), 0.1875)
    d.circle("HOLES", (0.625, 0.625), 0.25)
    d.circle("HOLES", (3.375, 0.5), 0.140625)
    d.closed_polyline("HOLES", (1.75, 0.375), (2.5, 0.375, 1.0), (2.5, 0.625), (1.75, 0.625, 1.0))

    title_text(d, "TITLE", (0.0, -0.25), 0.1, "INCH")
    return d


# ---------------------------------------------------------------------------------------------------
# 6. dirty-customer-plate.dxf: what comes by mail
# ---------------------------------------------------------------------------------------------------

def dirty_customer_plate(overlap=True):
    """`overlap=False` draws the sole once: for checks with tools that cannot see partial overlaps."""
    d = Drawing("PLATE AS SENT BY A CUSTOMER", "AC1015", MILLIMETRES, [
        Layer("PART", 7), Layer("CENTER", 1, linetype="CENTER"), Layer("TITLE", 8), Layer("DIM", 2),
        Layer("NOTES", 8), Layer("OLD-ISSUE", 6, off=True), Layer("STOCK", 6, frozen=True)])

    # Lines of the part as (start, end, gap): the end of the line stops short of where it should by `gap`,
    # in its own direction, so that a straight bridge over the gap gives the intended contour exactly.
    right_side = ((110.0, 8.0), (110.0, 70.0), 0.004)
    left_side = ((0.0, 70.0), (0.0, 8.0), 0.0)
    lines = [
        # outline
        right_side, ((110.0, 70.0), (75.0, 70.0), 0.012), ((75.0, 70.0), (75.0, 57.0), 0.0),
        ((70.0, 52.0), (50.0, 52.0), 0.001), ((45.0, 57.0), (45.0, 70.0), 0.015),
        ((45.0, 70.0), (0.0, 70.0), 0.0), left_side,
        # slot
        ((45.0, 29.0), (65.0, 29.0), 0.008), ((65.0, 39.0), (45.0, 39.0), 0.002),
        # square window
        ((22.0, 14.0), (36.0, 14.0), 0.006), ((36.0, 14.0), (36.0, 24.0), 0.0),
        ((36.0, 24.0), (22.0, 24.0), 0.0), ((22.0, 24.0), (22.0, 14.0), 0.0),
        # a window that stays open: the last line ends 0.08 short
        ((74.0, 14.0), (90.0, 14.0), 0.0), ((90.0, 14.0), (90.0, 24.0), 0.01),
        ((90.0, 24.0), (74.0, 24.0), 0.0), ((74.0, 24.0), (74.0, 14.0), 0.08),
        # a line of no length
        ((55.0, 10.0), (55.0, 10.0), 0.0),
    ]
    if overlap:
        # The sole in two strokes that overlap between x = 58 and x = 70.
        lines += [((8.0, 0.0), (70.0, 0.0), 0.0), ((58.0, 0.0), (102.0, 0.0), 0.005)]
    else:
        lines += [((8.0, 0.0), (102.0, 0.0), 0.005)]

    def shortened(start, end, gap):
        return (start, along(end, towards(start, end), -gap) if gap else end)

    # Order and direction are whatever the customer's program left behind: by chance, from a fixed seed.
    chance = random.Random(1804)
    drawn = {}
    for line in lines:
        start, end = shortened(*line)
        drawn[line] = (end, start) if chance.random() < 0.5 else (start, end)
    part = [(d.line, ends) for ends in drawn.values()]
    part.append((d.line, drawn[right_side]))                       # the same line once more
    part.append((d.line, drawn[left_side][::-1]))                  # and one reversed
    arcs = [((102.0, 8.0), 8.0, 270.0, 360.0), ((70.0, 57.0), 5.0, 270.0, 360.0),
            ((50.0, 57.0), 5.0, 180.0, 270.0), ((8.0, 8.0), 8.0, 180.0, 270.0),
            ((65.0, 34.0), 5.0, 270.0, 90.0), ((45.0, 34.0), 5.0, 90.0, 270.0)]
    part += [(d.arc, arc) for arc in arcs]
    part.append((d.arc, arcs[0]))                                  # an arc twice
    circles = [((18.0, 52.0), 6.0), ((92.0, 52.0), 6.0)]
    part += [(d.circle, circle) for circle in circles]
    part.append((d.circle, circles[1]))                            # a circle twice
    chance.shuffle(part)
    for draw, shape in part:
        draw("PART", *shape)

    # Centre lines of the two bores and of the slot.
    for x in (18.0, 92.0):
        d.line("CENTER", (x - 9.0, 52.0), (x + 9.0, 52.0))
        d.line("CENTER", (x, 43.0), (x, 61.0))
    d.line("CENTER", (35.0, 34.0), (75.0, 34.0))

    # Title block beside the part. Its rules stop 1 mm short of the frame and of each other.
    d.lines("TITLE", (140.0, -10.0), (230.0, -10.0), (230.0, 20.0), (140.0, 20.0), (140.0, -10.0))
    d.line("TITLE", (141.0, 10.0), (229.0, 10.0))
    d.line("TITLE", (141.0, 0.0), (229.0, 0.0))
    d.line("TITLE", (185.0, -9.0), (185.0, -1.0))
    d.text("TITLE", (142.0, 13.5), 2.0, "PLATE FOR A WARPING FRAME")
    d.text("TITLE", (142.0, 3.5), 2.0, "FOR " + SHOP[:SHOP.index(" -")])
    d.text("TITLE", (142.0, -6.5), 2.0, "MM")
    d.text("TITLE", (187.0, -6.5), 2.0, "SHEET 1")
    d.mtext("NOTES", (140.0, 60.0), 2.5, 80.0, "ALL EDGES SHARP UNLESS SHOWN\\PMAKE 12 OFF, TOOL STEEL")

    # A dimension, with its picture in an anonymous block as CAD programs store it.
    picture = d.block("*D1")
    picture.line("DIM", (0.0, 6.0), (0.0, -14.0))
    picture.line("DIM", (110.0, 6.0), (110.0, -14.0))
    picture.line("DIM", (0.0, -12.0), (110.0, -12.0))
    picture.solid("DIM", (0.0, -12.0), (2.5, -11.6), (2.5, -12.4))
    picture.solid("DIM", (110.0, -12.0), (107.5, -11.6), (107.5, -12.4))
    picture.text("DIM", (52.0, -11.0), 2.5, "110")
    d.horizontal_dimension("DIM", "*D1", (0.0, 8.0), (110.0, 8.0), -12.0, "110")

    # Leftovers nobody sees: an older outline on a layer switched off, the blank on a frozen layer.
    d.lines("OLD-ISSUE", (0.0, 0.0), (104.0, 0.0), (104.0, 66.0), (0.0, 66.0), (0.0, 0.0))
    d.circle("OLD-ISSUE", (60.0, 34.0), 9.0)
    d.lines("STOCK", (-5.0, -5.0), (115.0, -5.0), (115.0, 75.0), (-5.0, 75.0), (-5.0, -5.0))
    d.line("STOCK", (-5.0, 35.0), (115.0, 35.0))
    return d


SAMPLES = {
    "latch-cam.dxf": latch_cam,
    "loom-stamping-die.dxf": loom_stamping_die,
    "escapement-wheel.dxf": escapement_wheel,
    "splined-bore.dxf": splined_bore,
    "loom-bracket-inch.dxf": loom_bracket_inch,
    "dirty-customer-plate.dxf": dirty_customer_plate,
}


def main():
    if len(sys.argv) != 2:
        sys.exit("usage: make_samples.py FOLDER")
    os.makedirs(sys.argv[1], exist_ok=True)
    for name, draw in SAMPLES.items():
        draw().save(sys.argv[1], name)


if __name__ == "__main__":
    main()
