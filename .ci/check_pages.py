"""Holds every page of a PDF (drawn by poppler) against the SVG of the same sheet (drawn by librsvg): a dark
pixel of one must have a dark pixel of the other within REACH pixels. What is left over is counted.

Usage: check_pages.py FOLDER [spoil]. With `spoil` copies of the sheets are spoiled in small ways, each of
which must be found: a thin line left out, a figure moved by a millimetre, a figure changed.
"""

import concurrent.futures
import os
import pathlib
import re
import subprocess
import sys
import tempfile

from PIL import Image, ImageChops, ImageFilter

# Pixels in a millimetre, and how far apart the two may draw the same thing: 0.25 mm, half of the lines' width.
SCALE = 8
REACH = 2
# Darker than DARK is ink; what is to be near it may be as light as GREY. Thin lines are half covered pixels.
DARK, GREY = 96, 200
# Pixels left over that may be on a page: half a square millimetre, 2 mm of the thinnest line.
ALLOWED = 30

MM = 25.4
FONTS = pathlib.Path(__file__).resolve().parent.parent / "shared" / "fonts"


def of_pdf(pdf, page):
    with tempfile.TemporaryDirectory() as folder:
        target = pathlib.Path(folder) / "page"
        command = ["pdftoppm", "-r", str(SCALE * MM), "-gray", "-f", str(page), "-l", str(page), "-singlefile"]
        subprocess.run([*command, str(pdf), str(target)], check=True)
        return Image.open(target.with_suffix(".pgm")).convert("L").copy()


def of_svg(svg, size):
    with tempfile.TemporaryDirectory() as folder:
        target = pathlib.Path(folder) / "page.png"
        # The very font of the PDF, which has no kerning: the system's own would set letters closer.
        fonts = pathlib.Path(folder) / "fonts.conf"
        fonts.write_text(f"<fontconfig><dir>{FONTS}</dir><cachedir>{folder}</cachedir></fontconfig>")
        dots = str(SCALE * MM)
        command = ["rsvg-convert", "--dpi-x", dots, "--dpi-y", dots, "--background-color", "white"]
        subprocess.run([*command, "--output", str(target)], input=svg.encode(), check=True, env={**os.environ, "FONTCONFIG_FILE": str(fonts)})
        drawn = Image.open(target).convert("L")
        # Half a pixel more or less at the edge of the paper.
        assert all(abs(one - other) <= 1 for one, other in zip(drawn.size, size, strict=True)), f"{drawn.size} {size}"
        sheet = Image.new("L", size, 255)
        sheet.paste(drawn)
        return sheet


def left_over(one, other):
    """Dark pixels of one page that have nothing near them on the other."""
    near = other.filter(ImageFilter.MinFilter(2 * REACH + 1)).point(lambda grey: 255 if grey > GREY else 0)
    ink = one.point(lambda grey: 255 if grey < DARK else 0)
    return ImageChops.multiply(ink, near).histogram()[255]


def differences(drawn, svg):
    other = of_svg(svg, drawn.size)
    return max(left_over(drawn, other), left_over(other, drawn))


def texts(svg):
    return [text for text in re.finditer(r"<text [^>]*>\s*[^<]*</text>", svg)]


def spoiled(svg, size):
    """The sheet with one thing wrong, and what."""
    thin = re.compile(r'<path d="M([-0-9.]+) ([-0-9.]+)L([-0-9.]+) ([-0-9.]+)" [^>]*stroke-width="0.25"/>')
    lines = []
    for line in thin.finditer(svg):
        x0, y0, x1, y1 = map(float, line.groups())
        if 4 <= abs(x1 - x0) + abs(y1 - y0) and "dasharray" not in line.group(0):
            lines.append((abs(x1 - x0) + abs(y1 - y0), line))
    own = of_svg(svg, size)
    # The shortest of those of 4 mm and more that no other line covers.
    for _, line in sorted(lines, key=lambda found: found[0]):
        without = svg[: line.start()] + svg[line.end() :]
        if left_over(own, of_svg(without, size)):
            yield "a thin line left out", without
            break
    figure = next((text for text in texts(svg) if re.search(r">\s*[0-9]+(-[0-9]+/[0-9]+)?\s*<", text.group(0))), None)
    if figure:
        moved = re.sub(r' x="([-0-9.]+)"', lambda x: f' x="{float(x.group(1)) + 1}"', figure.group(0))
        yield "a figure moved by 1 mm", svg[: figure.start()] + moved + svg[figure.end() :]
        changed = re.sub(r">(\s*)[0-9]", lambda digit: f">{digit.group(1)}8", figure.group(0))
        if changed == figure.group(0):
            changed = figure.group(0).replace("8", "3", 1)
        yield "a figure changed", svg[: figure.start()] + changed + svg[figure.end() :]


def check(folder, place, path, spoil):
    """How far off the sheet is at worst, and how many spoiled copies of it were noticed."""
    drawn, svg = of_pdf(folder / "sheets.pdf", place + 1), path.read_text()
    off = differences(drawn, svg)
    assert off <= ALLOWED, f"{path}: {off} pixels are not in both"
    noticed = 0
    for what, wrong in spoiled(svg, drawn.size) if spoil else []:
        wrong_by = differences(drawn, wrong)
        assert wrong_by > ALLOWED, f"{path}: {what} is not noticed ({wrong_by} pixels)"
        noticed += 1
    return off, noticed


def main():
    folder, spoil = pathlib.Path(sys.argv[1]), "spoil" in sys.argv[2:]
    sheets = sorted(folder.glob("sheet-*.svg"), key=lambda path: int(path.stem.split("-")[1]))
    assert sheets, f"{folder}: no sheets"
    with concurrent.futures.ThreadPoolExecutor(os.cpu_count()) as pool:
        work = [pool.submit(check, folder, place, path, spoil) for place, path in enumerate(sheets)]
        results = [done.result() for done in work]
    worst, found = max(off for off, _ in results), sum(noticed for _, noticed in results)
    if spoil:
        assert found >= 3, f"{folder}: only {found} sheets could be spoiled"
    print(f"{folder.name}: {len(sheets)} sheets drawn alike, at worst {worst} pixels; {found} spoiled ones noticed")


main()
