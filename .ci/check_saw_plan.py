"""Validates a saw plan: JSON against its schema, and by plain arithmetic that no two pieces of a board
meet or come nearer than a kerf where a cut runs between them, that every piece lies in its board clear of
bad places, and that the plan is proven."""

import json
import pathlib
import sys
import tomllib

import jsonschema

out, schema = pathlib.Path(sys.argv[1]), pathlib.Path(sys.argv[2])
plan = json.loads((out / "saw-plan.json").read_text())
jsonschema.validate(plan, json.loads(schema.read_text()))
assert all(check["holds"] for check in plan["checks"]), "a rule is broken"
assert all(proof["proven"] for proof in plan["proofs"]), plan["proofs"]

kerf = plan["kerf"]["mm"]
near = 0.001


def box(place):
    x, y = place["x"]["mm"], place["y"]["mm"]
    return x, y, x + place["length"]["mm"], y + place["width"]["mm"]


def apart(a, b, gap):
    return a[2] + gap <= b[0] + near or b[2] + gap <= a[0] + near or a[3] + gap <= b[1] + near or b[3] + gap <= a[1] + near


wanted = {piece["id"]: piece["size"] for piece in plan["pieces"]}
made = []
for board in plan["boards"]:
    whole = (0.0, 0.0, board["size"]["length"]["mm"], board["size"]["width"]["mm"])
    places = [(piece["id"], box(piece["place"])) for piece in board["pieces"] + board["leftovers"]]
    for number, (name, a) in enumerate(places):
        assert a[0] >= -near and a[1] >= -near and a[2] <= whole[2] + near and a[3] <= whole[3] + near, name
        for other, b in places[number + 1 :]:
            assert apart(a, b, kerf), f"{name} and {other} are nearer than a kerf"
    for piece in board["pieces"]:
        a = box(piece["place"])
        assert all(apart(a, box(bad), 0.0) for bad in board["bad"]), f"{piece['id']} lies over a bad place"
        size = wanted[piece["id"]]
        sides = [a[2] - a[0], a[3] - a[1]]
        if piece["turned"]:
            sides.reverse()
        assert abs(sides[0] - size["length"]["mm"]) < near and abs(sides[1] - size["width"]["mm"]) < near, piece["id"]
        made.append(piece["id"])
assert sorted(made) == sorted(wanted), "pieces wanted and pieces made differ"

after = tomllib.loads((out / "pile-after.toml").read_text())
labels = {left["id"] for board in plan["boards"] for left in board["leftovers"]}
assert labels <= {row.get("mark") for row in after["board"]}, "a leftover is not on the pile"
