"""Ink that stays open: strokes become gaps of the width that they were drawn with, and shadow where they are wider than a gap.

The drawings are made here with pens of known width, so the gaps and the shadow that come of them are known.
"""

import json

import numpy as np
import pytest
from PIL import Image, ImageColor, ImageDraw
from shapely.geometry import LineString, Polygon
from shapely.ops import unary_union

PX_MM = 8
PANEL = (200, 140)
COLOURS = ["#d9b38c", "#8fae7c", "#b5533c", "#7f93a8", "#e8d7a0", "#94704e"]
# Three columns and two rows.
LINES = [[(66, 0), (70, 140)], [(136, 0), (130, 140)], [(0, 68), (200, 74)]]


def drawing(path, pen_mm):
    across, down = PANEL[0] * PX_MM, PANEL[1] * PX_MM
    y, x = np.mgrid[0:down, 0:across] / PX_MM
    beyond = [(a[0] + (b[0] - a[0]) * y / PANEL[1]) < x for a, b in LINES[:2]]
    below = (LINES[2][0][1] + (LINES[2][1][1] - LINES[2][0][1]) * x / PANEL[0]) < y
    cell = sum(side.astype(int) for side in beyond) + 3 * below
    colours = np.array([ImageColor.getrgb(colour) for colour in COLOURS], np.uint8)
    picture = Image.fromarray(colours[cell])
    pen = ImageDraw.Draw(picture)
    for line in LINES:
        pen.line([(x * PX_MM, y * PX_MM) for x, y in line], fill="#141414", width=round(pen_mm * PX_MM))
    picture.save(path)


def started(spelk, folder, pen_mm, ink):
    drawing(folder / "d.png", pen_mm)
    job = folder / "d.spelk"
    spelk("start", folder / "d.png", "--out", job, "--width", f"{PANEL[0]}mm", "--pieces", "6", "--keep-all", "--ink", ink)
    return job


def told(spelk, job):
    return json.loads(spelk("tell", job, "--json"))


def lines(plan):
    """Borders between pieces, without the hairs between the two junctions of a crossing, where the ink is wider than the pen."""
    return [b for b in inner(plan) if LineString(b["line_mm"]).length > 5]


# Two pixels of the picture as it is worked on.
OFF_MM = 0.27


def inner(plan):
    return [b for b in plan["borders"] if b["left"] is not None and b["right"] is not None]


@pytest.mark.parametrize("pen_mm", [0.8, 1.6, 2.6])
def test_strokes_stay_open_as_wide_as_they_were_drawn(spelk, tmp_path, pen_mm):
    plan = told(spelk, started(spelk, tmp_path, pen_mm, "open"))
    gaps = [b["gap_mm"] for b in lines(plan)]
    print(f"a pen of {pen_mm} mm: gaps of {min(gaps)} to {max(gaps)} mm")
    assert len(plan["pieces"]) == 6
    assert all(gap == pytest.approx(pen_mm, abs=OFF_MM) for gap in gaps)


def test_wider_strokes_are_shadow(spelk, tmp_path):
    plan = told(spelk, started(spelk, tmp_path, 5.0, "open"))
    shadows = [Polygon(a["rings_mm"][0], a["rings_mm"][1:]) for a in plan["areas"] if a["becomes"] == "shadow"]
    assert len(plan["pieces"]) == 6
    drawn = unary_union([LineString(line).buffer(2.5, cap_style="flat") for line in LINES])
    both = unary_union(shadows)
    share = both.intersection(drawn).area / both.union(drawn).area
    print(f"shadow and strokes share {share:.1%} of both")
    assert share > 0.9
    assert all(b["gap_mm"] == 0 for b in inner(plan))


def test_a_job_and_a_part_choose(spelk, tmp_path):
    job = started(spelk, tmp_path, 1.2, "close")
    plan = told(spelk, job)
    assert all(b["gap_mm"] == 0 for b in inner(plan))

    def edit(*edits, expect=0):
        (tmp_path / "e.json").write_text(json.dumps(edits))
        spelk("edit", job, tmp_path / "e.json", expect=expect)

    first = plan["pieces"][0]
    edit({"part": {"name": {"name": "corner", "pieces": [first["number"]], "within": None}}})
    part = told(spelk, job)["parts"][0]["id"]
    edit({"pattern": {"ink": {"part": part, "open": True}}})
    about = [b["gap_mm"] > 0 for b in inner(told(spelk, job))]
    beside = [first["area"] in (b["left"], b["right"]) for b in inner(plan)]
    assert about == beside
    # Another trace does as was chosen.
    spelk("trace", job, "--pieces", "6")
    plan = told(spelk, job)
    area = next(p["area"] for p in plan["pieces"] if p["number"] == first["number"])
    assert [b["gap_mm"] > 0 for b in inner(plan)] == [area in (b["left"], b["right"]) for b in inner(plan)]
    edit({"pattern": {"ink": {"open": True}}})
    assert all(b["gap_mm"] == pytest.approx(1.2, abs=OFF_MM) for b in lines(told(spelk, job)))
    edit({"pattern": {"ink": {"open": False}}})
    assert all(b["gap_mm"] == 0 for b in inner(told(spelk, job)))
    edit({"pattern": {"ink": {"part": 99, "open": True}}}, expect=2)
