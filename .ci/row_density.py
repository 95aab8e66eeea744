"""How much of the board rows of nests use, against plane geometry: every piece of four published sets for
packing of outlines, each packed by itself with copies of itself. Not part of the checks; `DEVELOPERS.md` has
what it said. `row_density.py PROGRAM FOLDER`, with a Python that has Shapely.

What is counted as a piece is its nest grown by half the web, all that no neighbour may have. Its area over the
area of a cell (pitch along by pitch across, a pair having two pieces) is the share that is used. No packing
uses more than all of it. Every triangle and every quadrilateral fills the plane with half turns of itself
(Gruenbaum and Shephard, Tilings and Patterns, 1987, from memory), so for those all of it could be used but for
the round corners of what is grown; for the other pieces no better bound is known to us.

Pieces: dighe1 and dighe2 after Dighe and Jakiela (1996), fu after Fujita and others (1993), shapes0 after
Oliveira, Gomes and Ferreira (2000), as the packing group of the European operational research societies
publishes them. Their published best densities are of different pieces in one strip and are not compared.
"""

import json
import math
import pathlib
import subprocess
import sys

from shapely.geometry import Polygon

program, work = sys.argv[1], pathlib.Path(sys.argv[2])

SETS = {
    "dighe1": """(0,0)(35,0)(0,34) · (0,0)(33,0)(18,15) · (0,0)(32,0)(32,41)(14,33) ·
        (35,0)(53,15)(51,38)(48,62)(39,57)(0,34) · (2,15)(17,0)(31,33)(25,34)(0,38) · (0,0)(39,23)(20,26)(0,66) ·
        (3,4)(28,0)(30,18)(32,39)(25,37)(0,28) · (0,1)(6,0)(24,8)(2,19) · (0,11)(22,0)(2,32) · (0,32)(20,0)(20,37) ·
        (1,0)(26,9)(0,15) · (0,3)(19,0)(28,5)(27,20)(24,43) · (20,0)(44,40)(0,40) · (3,6)(29,0)(36,2)(0,29) ·
        (0,27)(36,0)(56,27) · (0,0)(20,5)(20,27)""",
    "dighe2": """(0,0)(33,0)(33,19)(3,11) · (0,0)(42,0)(37,30)(0,19) · (5,0)(30,0)(30,51)(0,30) ·
        (0,0)(3,11)(7,33)(8,38)(0,36) · (0,0)(30,8)(67,19)(56,29)(4,22) ·
        (23,0)(53,21)(53,70)(19,70)(7,42)(0,23)(12,10) · (0,0)(52,7)(40,20)(47,39)(3,30)(1,5) ·
        (0,0)(8,2)(10,27)(12,64)(0,64) · (0,0)(44,9)(16,37)(2,37) · (0,28)(28,0)(40,28)""",
    "fu": """(0,0)(10,0)(10,10)(0,10) · (0,0)(14,0)(14,9)(0,9) · (0,0)(14,0)(14,14)(0,14) · (0,0)(5,0)(5,9)(0,9) ·
        (0,0)(14,0)(7,7) · (0,9)(0,0)(14,9) · (0,0)(10,4)(10,9)(0,9) · (0,0)(14,0)(14,14) · (0,0)(10,0)(10,10)(0,14) ·
        (0,8)(4,0)(8,8) · (0,0)(14,0)(7,12)""",
    "shapes0": """(0,0)(2,0)(2,3)(12,3)(12,0)(14,0)(14,5)(0,5) · (0,0)(6,-6)(12,0)(6,6) ·
        (0,0)(6,0)(6,-2)(7,-2)(11,2)(11,4)(8,4)(8,1)(2,1)(2,4)(0,4) ·
        (0,0)(2,0)(2,-2)(4,-2)(4,0)(6,0)(6,2)(4,2)(4,4)(2,4)(2,2)(0,2)""",
}
# Every piece is drawn with its longer side so long, in.
LONG = 8.0


def piece(text):
    points = [tuple(map(float, pair.split(","))) for pair in text.strip(" ()\n").split(")(")]
    x0, y0 = min(x for x, _ in points), min(y for _, y in points)
    size = max(max(x for x, _ in points) - x0, max(y for _, y in points) - y0)
    return [(round((x - x0) * LONG / size, 3), round((y - y0) * LONG / size, 3)) for x, y in points]


JOB = """
[machine]
use = "roller-carver-wide"
[carrier]
construction = "gang"
objective = "least-wood"
[blank]
shape = "outline"
thickness = ".250"
count = 24
outline-error = "1/64"
turn = "{turn}"
points = {points}
[carve]
depth = "1/16"
[hold]
by = "tape"
"""


def packed(name, points, turn):
    job = work / f"{name}-{turn}.toml"
    listed = ", ".join(f'["{x}", "{y}"]' for x, y in points)
    job.write_text(JOB.format(points=f"[{listed}]", turn=turn))
    out = work / f"{name}-{turn}"
    done = subprocess.run([program, "design", job, "--out", out, "--only", "json"], capture_output=True, text=True)
    if done.returncode:
        return None, done.stdout + done.stderr
    design = json.loads((out / "design.json").read_text())
    gang, pockets = design["gang"], design["pockets"]
    web = gang["web"]["mm"]
    nest = Polygon(ring(pockets[0]["outline"]["path"]))
    grown = nest.buffer(web / 2, quad_segs=64)
    pieces = 2 if gang["pair"] else 1
    cell = gang["pitch"]["x"]["mm"] * gang["pitch"]["y"]["mm"]
    return pieces * grown.area / cell, gang


def at(point):
    return point["x"]["mm"], point["y"]["mm"]


def ring(path):
    """The outline in chords: an arc through a third point, halved until it is fine."""
    found = []
    for here, there in zip(path, path[1:] + path[:1]):
        found.append(at(here["point"]))
        if via := here.get("arc_through"):
            found.extend(arc(at(here["point"]), at(via), at(there["point"])))
    return found


def arc(a, via, b, count=64):
    (ax, ay), (bx, by), (cx, cy) = a, via, b
    doubled = 2 * (ax * (by - cy) + bx * (cy - ay) + cx * (ay - by))
    aa, bb, cc = ax * ax + ay * ay, bx * bx + by * by, cx * cx + cy * cy
    ox = (aa * (by - cy) + bb * (cy - ay) + cc * (ay - by)) / doubled
    oy = (aa * (cx - bx) + bb * (ax - cx) + cc * (bx - ax)) / doubled
    start, end = math.atan2(ay - oy, ax - ox), math.atan2(cy - oy, cx - ox)
    turn = (end - start) % (2 * math.pi) if doubled > 0 else -((start - end) % (2 * math.pi))
    radius = math.hypot(ax - ox, ay - oy)
    steps = [start + turn * step / count for step in range(1, count)]
    return [(ox + radius * math.cos(t), oy + radius * math.sin(t)) for t in steps]


for name, text in SETS.items():
    shares = {"locked": [], "free": []}
    for place, one in enumerate(text.split("·")):
        points = piece(one)
        for turn in shares:
            share, gang = packed(f"{name}-{place + 1}", points, turn)
            if share is None:
                print(name, place + 1, turn, "refused:", gang.strip().splitlines()[0])
                continue
            shares[turn].append(share)
            print(f"{name:8} {place + 1:3} {turn:7} {share:.3f} rows {gang['rows']} pair {bool(gang['pair'])}")
    for turn, found in shares.items():
        print(f"{name}: {turn}, {len(found)} pieces, least {min(found):.3f}, mean {sum(found) / len(found):.3f}")
