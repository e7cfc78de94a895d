"""Lines that end inside a piece: told with their middle and width, then sawn as a slot, burnt, or left out.

The drawing is made here, so that its lines are known; distances to the drawn line and the wood that a slot leaves come from Shapely.
"""

import json
import re

import numpy as np
import pytest
from PIL import Image, ImageDraw
from shapely.geometry import LineString, Point, Polygon, box

PX_MM = 10
PANEL = (200, 140)
PEN_MM = 1.0
# A cross that parts the sheet in four, a bent line that ends in the upper left quarter, and one that ends 3 mm before the cross.
CROSS = [[(100, -5), (100, 145)], [(-5, 70), (205, 70)]]
FRAME = [(0, 0), (200, 0), (200, 140), (0, 140), (0, 0)]
BENT = [(40, 40), (60, 30), (100, 34)]
NEARLY = [(150, 145), (150, 73)]


def line_px(line):
    return [(x * PX_MM, y * PX_MM) for x, y in line]


@pytest.fixture(scope="module")
def job(spelk, tmp_path_factory):
    folder = tmp_path_factory.mktemp("lines")
    sheet = Image.new("L", (PANEL[0] * PX_MM, PANEL[1] * PX_MM), 245)
    pen = ImageDraw.Draw(sheet)
    for line in [*CROSS, FRAME, BENT, NEARLY]:
        pen.line(line_px(line), fill=20, width=round(PEN_MM * PX_MM), joint="curve")
    sheet.save(folder / "sheet.png")
    path = folder / "sheet.spelk"
    spelk("start", folder / "sheet.png", "--out", path, "--on-paper", "--width", f"{PANEL[0]}mm")
    return path


def told(spelk, job):
    return json.loads(spelk("tell", job, "--json"))


def edit(spelk, job, expect=0, **line):
    edits = job.with_suffix(".json")
    edits.write_text(json.dumps([{"pattern": {"line": line}}]))
    spelk("edit", job, edits, expect=expect)


def which(plan, end):
    """The place in the list of the line that ends there."""
    far = [Point(line["along_mm"][0]).distance(Point(end)) for line in plan["lines"]]
    assert min(far) < 1.0, far
    return int(np.argmin(far))


def test_lines_are_told_as_they_were_drawn(spelk, job):
    plan = told(spelk, job)
    assert len(plan["lines"]) == 2
    for drawn in (BENT, NEARLY):
        line = plan["lines"][which(plan, drawn[0] if drawn is BENT else drawn[1])]
        on_panel = LineString(drawn).intersection(box(0, 0, *PANEL))
        off = LineString(line["along_mm"]).hausdorff_distance(on_panel)
        print(f"{len(line['along_mm'])} points, {off:.2f} mm off at most, {line['width_mm']} mm wide")
        assert off < 1.0
        assert line["width_mm"] == pytest.approx(PEN_MM, abs=0.15)
        assert line["becomes"] == "left_out"
        area = next(area for area in plan["areas"] if area["id"] == line["in_area"])
        assert Polygon(area["rings_mm"][0]).buffer(0.5).contains(Point(line["along_mm"][0]))


def test_a_slot_is_checked_for_the_wood_that_it_leaves(spelk, job):
    necks = lambda: [f for f in json.loads(spelk("tell", job, "--json"))["findings"] if f["kind"] == "neck"]
    assert necks() == []
    plan = told(spelk, job)
    edit(spelk, job, line=which(plan, NEARLY[1]), becomes="slot", width=2500)
    found = necks()
    assert len(found) == 1
    # The slot's round end reaches half its width beyond its line, towards the cross; where a stroke ends is known to half a pen.
    outline = next(a for a in plan["areas"] if a["id"] == plan["lines"][which(plan, NEARLY[1])]["in_area"])
    slot = LineString(plan["lines"][which(plan, NEARLY[1])]["along_mm"]).buffer(1.25)
    upper = LineString([p for p in outline["rings_mm"][0] if abs(p[1] - 70) < 1])
    left = slot.distance(upper)
    assert left == pytest.approx(3 - 1.25, abs=PEN_MM / 2)
    print(found[0]["why"], f"Shapely has {left:.3f} mm")
    assert float(re.search(r"narrows to ([\d.]+) mm", found[0]["why"])[1]) == pytest.approx(left, abs=0.1)
    spelk("undo", job)
    assert necks() == []


def test_slot_and_burnt_line_show_in_the_view_and_on_sheets(spelk, job):
    plan = told(spelk, job)
    folder = job.parent

    def seen(name):
        spelk("view", job, "--out", folder / f"{name}.png", "--pixels", "1000")
        return np.asarray(Image.open(folder / f"{name}.png").convert("L"), float)

    bare = seen("bare")
    for becomes in ("slot", "burnt"):
        edit(spelk, job, line=which(plan, BENT[0]), becomes=becomes, width=1500)
        darker = bare - seen(becomes)
        y, x = np.nonzero(darker > 25)
        scale = bare.shape[1] / PANEL[0]
        far = [LineString(BENT).distance(Point(x / scale, y / scale)) for x, y in zip(x + 0.5, y + 0.5)]
        assert len(far) > 0.5 * 1.5 * LineString(BENT).length * scale**2 * 0.5, f"{becomes}: {len(far)} pixels"
        assert np.percentile(far, 95) < 2.5, becomes
        spelk("sheets", job, "--out", folder / becomes)
        svg = next((folder / becomes).glob("*.svg")).read_text()
        assert f'class="{becomes}" stroke-width="1.5"' in svg
    edit(spelk, job, line=which(plan, BENT[0]), becomes="left_out")


def test_what_cannot_be_is_refused(spelk, job):
    before = told(spelk, job)
    for line in ({"line": 9, "becomes": "slot"}, {"line": 0, "becomes": "slot", "width": 100}, {"line": 0, "becomes": "melted"}):
        edit(spelk, job, expect=2, **line)
    assert told(spelk, job) == before


def test_paper_without_a_drawing_and_corners_round_no_sheet_are_refused(spelk, tmp_path):
    Image.new("L", (800, 600), 240).save(tmp_path / "blank.png")
    sheet = Image.new("L", (800, 600), 240)
    ImageDraw.Draw(sheet).line([(0, 300), (800, 300)], fill=20, width=8)
    sheet.save(tmp_path / "line.png")
    out = tmp_path / "never.spelk"

    def refused(picture, *words):
        spelk("start", tmp_path / picture, "--out", out, "--on-paper", "--width", "200mm", *words, expect=2)
        assert not out.exists()

    refused("blank.png")
    crossed = "10,10 90,90 90,10 10,90"
    backwards = "10,10 10,90 90,90 90,10"
    for corners in (crossed, backwards, "10,10 10,10 90,90 10,90", "10,10 130,10 90,90 10,90", "10,10 90,10 90,90", "a,b c,d e,f g,h"):
        refused("line.png", "--corners", corners)
    refused("line.png", "--crop", "0,0,50,50")
