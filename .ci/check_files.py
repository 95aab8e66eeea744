"""Validates what a run of `design` wrote: JSON against its schema (with the jsonschema package), the
job against the job schema, the sums of the design by plain arithmetic, that the sheet's text
holds the three overall sizes, and the drawing by ezdxf's audit and against the sizes of the design."""

import json
import pathlib
import subprocess
import sys
import tomllib
import xml.etree.ElementTree

import ezdxf
import ezdxf.bbox
import jsonschema

job, code, out, work = sys.argv[1], int(sys.argv[2]), pathlib.Path(sys.argv[3]), pathlib.Path(sys.argv[4])

with open(job, "rb") as file:
    jsonschema.validate(tomllib.load(file), json.loads((work / "job.schema.json").read_text()))

if code == 1:
    assert not out.exists(), f"{job}: refused, yet files were written"
    sys.exit(0)
assert code == 0, f"{job}: exit {code}"

design = json.loads((out / "design.json").read_text())
jsonschema.validate(design, json.loads((work / "design.schema.json").read_text()))
assert all(check["status"] != "fail" for check in design["checks"]), "a rule is broken"

text = subprocess.run(
    ["pdftotext", "-layout", str(out / "sheets.pdf"), "-"], capture_output=True, text=True, check=True
).stdout
known = design["blank"]["thickness_known"] if "blank" in design and "thickness_known" in design["blank"] else True
for side in ["length", "width"] + (["thickness"] if known else []):
    size = design["carrier"][side]["text"]
    number = size.split(" ")[0]
    assert number in text, f"{job}: {side} {number} is not on the sheet"

for page in sorted(out.glob("sheet-*.svg")):
    xml.etree.ElementTree.parse(page)

if not known or not design["parts"]:
    assert not (out / "carrier.dxf").exists(), f"{job}: a drawing of nothing to cut"
    sys.exit(0)

drawing = ezdxf.readfile(out / "carrier.dxf")
audit = drawing.audit()
assert not audit.errors and not audit.fixes, f"{job}: {audit.errors} {audit.fixes}"
assert drawing.header["$INSUNITS"] == 4, f"{job}: not in millimetres"
space = drawing.modelspace()


def extents(entities):
    """Lowest and highest corner."""
    box = ezdxf.bbox.extents(entities, fast=False)
    return [box.extmin.x, box.extmin.y, box.extmax.x, box.extmax.y]


def same(what, found, wanted):
    assert all(abs(a - b) < 0.001 for a, b in zip(found, wanted, strict=True)), f"{job}: {what}: {found} {wanted}"


size = [design["carrier"][side]["mm"] for side in ["length", "width"]]
same("carrier", extents(space.query('*[layer=="OUTLINE"]')), [0, 0, *size])
pockets = list(space.query('*[layer=="POCKET"]'))
for entity, pocket in zip(pockets, design["pockets"], strict=True):
    x, y, length, width = (pocket[side]["mm"] for side in ["x", "y", "length", "width"])
    same("pocket", extents([entity]), [x, y, x + length, y + width])
for part in design["parts"]:
    boxes = [place["bounds"] for place in part["places"]]
    low = [min(box[side]["mm"] for box in boxes) for side in ["x", "y"]]
    high = [
        max(box[side]["mm"] + box[extent]["mm"] for box in boxes) for side, extent in [("x", "length"), ("y", "width")]
    ]
    same(f"part {part['id']}", extents(space.query(f'*[layer=="PART-{part["id"]}"]')), [*low, *high])
