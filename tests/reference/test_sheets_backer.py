"""The backer and the alignment frame, read back from the PDF by pdfplumber and judged by Shapely's buffers."""

import json
import shutil

import pdfplumber
import pytest
from shapely import LineString, MultiLineString, Point, Polygon, unary_union
from shapely.affinity import translate

MM = 72 / 25.4
TRUE = 0.02  # mm, the bar for outlines
BEYOND, BEHIND, CLEARANCE, FRAME = 3.0, 2.0, 0.5, 25.0


@pytest.fixture(scope="module")
def job(demo, spelk, tmp_path_factory):
    """The demo with two areas at its edge open to the shadow and three dropped to ground."""
    path = tmp_path_factory.mktemp("backer") / "heron.spelk"
    shutil.copy(demo / "heron.spelk", path)
    plan = json.loads(spelk("tell", path, "--json"))
    at_edge = [b for b in plan["borders"] if b["left"] is None]
    longest = {}
    for border in at_edge:
        longest[border["right"]] = longest.get(border["right"], 0) + LineString(border["line_mm"]).length
    pieces = {area["id"] for area in plan["areas"] if area["becomes"] == "piece"}
    ranked = sorted((i for i in longest if i in pieces), key=lambda i: -longest[i])
    edits = [{"pattern": {"open": i}} for i in ranked[1:3]] + [{"pattern": {"drop": i}} for i in ranked[3:6]]
    (path.parent / "edits.json").write_text(json.dumps(edits))
    spelk("edit", path, path.parent / "edits.json")
    return path


@pytest.fixture(scope="module")
def plan(job, spelk):
    return json.loads(spelk("tell", job, "--json"))


@pytest.fixture(scope="module")
def sheets(job, spelk, tmp_path_factory):
    """Rings of each page by (width, grey) of their line, mm, on paper that needs no second tile."""
    out = tmp_path_factory.mktemp("a0")
    spelk("sheets", job, "--out", out, "--paper", "a0", "--only", "backer")
    with pdfplumber.open(out / "pattern-book-a0-backer.pdf") as pdf:
        names = [page.extract_text().split("\n")[0] for page in pdf.pages]
        assert [name.split(" A1")[0].split(" Heron")[0] for name in names] == ["Backer and alignment frame", "Backer", "Alignment frame"]
        yield {"backer": rings(pdf.pages[1]), "frame": rings(pdf.pages[2])}


def rings(page):
    """Closed strokes of more than a mark's size by line width, pt; a width that is not said is 1 (ISO 32000-1, 8.4.3.2)."""
    found = {}
    for shape in (s for s in page.curves + page.rects if s["stroke"]):
        points = [(x / MM, y / MM) for x, y in shape["pts"]]
        if len(points) >= 4 and max(x for x, _ in points) - min(x for x, _ in points) > 20:
            found.setdefault(round(shape["linewidth"], 2) or 1.0, []).append(points)
    return found


@pytest.fixture(scope="module")
def work(plan):
    """All that is not ground, by Shapely."""
    areas = [Polygon(a["rings_mm"][0], a["rings_mm"][1:]) for a in plan["areas"] if a["becomes"] != "ground"]
    return unary_union(areas).buffer(0)


def edges(plan, becomes):
    """The edge of the work where an area of this kind lies at it."""
    kind = {area["id"]: area["becomes"] for area in plan["areas"]}
    is_work = lambda side: side is not None and kind[side] != "ground"
    lines = []
    for border in plan["borders"]:
        sides = [side for side in (border["left"], border["right"]) if is_work(side)]
        if len(sides) == 1 and (kind[sides[0]] == "shadow") == (becomes == "shadow"):
            lines.append(border["line_mm"])
    return MultiLineString(lines)


def solid(lines):
    """Rings by the even-odd rule."""
    shape = Polygon()
    for ring in lines:
        shape = shape.symmetric_difference(Polygon(ring).buffer(0))
    return shape


def on_panel(sheet, work):
    """Moves what was read to the panel: the thin line is the edge of the work."""
    drawn = solid(sheet[0.3])
    dx, dy = work.bounds[0] - drawn.bounds[0], work.bounds[1] - drawn.bounds[1]
    assert translate(drawn, dx, dy).symmetric_difference(work).area < 0.01 * work.length
    return lambda ring: [(x + dx, y + dy) for x, y in ring]


def test_the_backer_keeps_its_allowances(sheets, plan, work):
    move = on_panel(sheets["backer"], work)
    backer = [move(ring) for ring in sheets["backer"][0.5]]
    hidden, shown = edges(plan, "piece"), edges(plan, "shadow")
    assert shown.length > 20
    turning = hidden.intersection(shown)
    judged = {"hidden": 0, "shown": 0}
    for point in (Point(p) for ring in backer for p in ring):
        if point.distance(turning) < BEYOND + BEHIND:
            continue
        behind, beyond = point.distance(hidden), point.distance(shown)
        if abs(behind - beyond) < 0.3:
            continue  # the step between the two, halfway from piece to shadow
        if behind < beyond:
            assert abs(behind - BEHIND) < TRUE and work.contains(point)
            judged["hidden"] += 1
        else:
            assert abs(beyond - BEYOND) < TRUE and not work.contains(point)
            judged["shown"] += 1
    assert min(judged.values()) > 50


def test_the_backer_is_shapelys_inward_buffer_where_pieces_hide_it(sheets, plan, work):
    move = on_panel(sheets["backer"], work)
    backer = solid([move(ring) for ring in sheets["backer"][0.5]])
    theirs = work.buffer(-BEHIND, quad_segs=64, join_style="round")
    off = backer.symmetric_difference(theirs).difference(edges(plan, "shadow").buffer(2 * (BEYOND + BEHIND)))
    assert off.area < TRUE / 4 * theirs.length
    assert off.buffer(-TRUE).is_empty


def test_the_opening_is_shapelys_buffer_and_the_frame_a_rectangle(sheets, work):
    move = on_panel(sheets["frame"], work)
    opening = solid([move(ring) for ring in sheets["frame"][0.5]])
    theirs = work.buffer(CLEARANCE, quad_segs=64)
    # What a notch that narrows to its mouth, or a hole, would leave of the frame hangs on nothing: it is not sawn.
    theirs = Polygon(theirs.exterior)
    off = opening.symmetric_difference(theirs)
    assert off.area < TRUE / 4 * theirs.length
    # Where two sides of a notch run together the line may cut the tip off by a cell.
    assert off.buffer(-TRUE).area < 0.05 and off.buffer(-0.06).is_empty
    (outside,) = [move(ring) for ring in sheets["frame"][1.0]]
    margin = CLEARANCE + FRAME
    left, top, right, bottom = work.bounds
    wanted = (left - margin, top - margin, right + margin, bottom + margin)
    assert Polygon(outside).bounds == pytest.approx(wanted, abs=TRUE)


def test_a_page_tells_the_measures(job, spelk, tmp_path):
    spelk("sheets", job, "--out", tmp_path, "--only", "backer")
    with pdfplumber.open(tmp_path / "pattern-book-a4-backer.pdf") as pdf:
        text = pdf.pages[0].extract_text()
    assert "2 mm behind the line" in text and "3 mm beyond the line" in text and "0.5 mm clear" in text


def test_allowances_are_the_jobs(job, spelk, tmp_path):
    copy = tmp_path / "job.spelk"
    shutil.copy(job, copy)
    edit = tmp_path / "edit.json"
    edit.write_text(json.dumps([{"setup": {"mount": {"beyond": 0, "behind": 5000, "clearance": 800, "frame": 30000}}}]))
    spelk("edit", copy, edit)
    spelk("sheets", copy, "--out", tmp_path, "--only", "backer", "--paper", "letter")
    with pdfplumber.open(tmp_path / "pattern-book-letter-backer.pdf") as pdf:
        assert "5 mm behind the line" in pdf.pages[0].extract_text() and "0.8 mm clear" in pdf.pages[0].extract_text()
    edit.write_text(json.dumps([{"setup": {"mount": {"beyond": -1}}}]))
    spelk("edit", copy, edit, expect=2)
