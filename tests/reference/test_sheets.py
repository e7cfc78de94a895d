"""The pattern book read back by pypdf and pdfplumber, against the plan as `tell --json` states it.

PDF user space is 1/72 in (ISO 32000-1, 8.3.2.3), so a millimetre is 72 / 25.4 units.
"""

import csv
import json
import math
import re

import pdfplumber
import pypdf
import pytest
from shapely import LineString, Polygon, STRtree, box
from shapely.affinity import translate

MM = 72 / 25.4
TRUE = 0.05  # mm, the bar that the printed page is held to
PAPERS = {"a4": (210, 297), "letter": (215.9, 279.4), "a3": (297, 420)}


@pytest.fixture(scope="session")
def plan(demo, spelk):
    return json.loads(spelk("tell", demo / "heron.spelk", "--json"))


@pytest.fixture(scope="session", params=sorted(PAPERS))
def book(request, demo, spelk, tmp_path_factory):
    out = tmp_path_factory.mktemp(request.param)
    spelk("sheets", demo / "heron.spelk", "--out", out, "--paper", request.param)
    with pdfplumber.open(out / f"pattern-book-{request.param}.pdf") as pdf:
        yield request.param, out, pdf


def level(page):
    """The page without what is turned on its side (the names of neighbours)."""
    return page.filter(lambda thing: thing.get("upright", True))


def lines_of(page):
    """Straight two-point strokes of a page, mm."""
    return [((l["x0"] / MM, l["top"] / MM), (l["x1"] / MM, l["bottom"] / MM)) for l in page.lines]


def tiles_of(pdf):
    """Tile name → page."""
    found = {}
    for page in pdf.pages:
        match = re.search(r"^Pattern ([A-Z]+\d+)\b", level(page).extract_text(), re.MULTILINE)
        if match:
            found[match[1]] = page
    return found


def cubics_of(page):
    """Every cubic on a page as four points, mm, y down."""
    found = []
    for curve in page.curves:
        at = None
        for step, *points in curve["path"]:
            points = [(x / MM, y / MM) for x, y in points]
            if step == "c":
                found.append((at, *points))
            if points:
                at = points[-1]
    return found


def shape(cubic):
    """A cubic's form apart from its place, rounded for look-up."""
    (x, y), *rest = cubic
    return tuple(round(v, 3) for px, py in rest for v in (px - x, py - y))


def shifts(page, plan):
    """Where the panel's origin lies on a page: one (x, y, place on the panel) for each border's cubic recognised."""
    known = {}
    for border in plan["borders"]:
        for cubic in border["cubics_mm"]:
            known.setdefault(shape(cubic), []).append(cubic[0])
    found = []
    for cubic in cubics_of(page):
        key = shape(cubic)
        near = [known[k] for k in neighbours(key) if k in known]
        if len(near) == 1 and len(near[0]) == 1:
            ((px, py),) = near[0]
            found.append((cubic[0][0] - px, cubic[0][1] - py, (px, py)))
    return found


def neighbours(key):
    """The key and those a rounding step away in one number."""
    yield key
    for at in range(len(key)):
        for by in (-0.001, 0.001):
            yield key[:at] + (round(key[at] + by, 3),) + key[at + 1 :]


def median(values):
    return sorted(values)[len(values) // 2]


def test_paper_and_bars_are_true(book):
    name, _, pdf = book
    wanted = sorted(PAPERS[name])
    for page in pdf.pages:
        assert sorted((float(page.width) / MM, float(page.height) / MM)) == pytest.approx(wanted, abs=TRUE)
        lengths = [math.dist(a, b) for a, b in lines_of(page) if abs(a[1] - b[1]) < 0.01]
        for bar in (100.0, 101.6):
            assert any(abs(length - bar) < TRUE for length in lengths), f"page {page.page_number} has no bar of {bar} mm"


def test_the_pattern_is_true_over_200_mm(book, plan):
    _, _, pdf = book
    longest = 0.0
    for page in tiles_of(pdf).values():
        places = shifts(page, plan)
        x, y = median([p[0] for p in places]), median([p[1] for p in places])
        true = [p for p in places if abs(p[0] - x) < TRUE and abs(p[1] - y) < TRUE]
        # A form that two borders share by chance may be taken for the other's; few may.
        assert len(true) >= 0.8 * len(places)
        seen = [(p, (p[2][0] + p[0], p[2][1] + p[1])) for p in true]
        for (a, on_page_a), (b, on_page_b) in zip(extremes(seen), reversed(extremes(seen))):
            planned = math.dist(a[2], b[2])
            assert math.dist(on_page_a, on_page_b) == pytest.approx(planned, abs=TRUE)
            longest = max(longest, planned)
    assert longest >= 200


def extremes(seen):
    return [min(seen, key=lambda s: sum(s[1])), max(seen, key=lambda s: sum(s[1]))]


def test_tiles_meet(book, plan):
    _, _, pdf = book
    tiles = tiles_of(pdf)
    assert tiles
    origins = {}
    for name, page in tiles.items():
        places = shifts(page, plan)
        origins[name] = (median([p[0] for p in places]), median([p[1] for p in places]))
    joined = 0
    panel = {name: marks(page, origins[name]) for name, page in tiles.items()}
    for name in tiles:
        for other in beside(name):
            if other in tiles:
                joined += 1
                shared = [(a, b) for a in panel[name] for b in panel[other] if math.dist(a, b) < 2]
                assert len(shared) >= 2, f"{name} and {other} share fewer than two marks"
                assert all(math.dist(a, b) < TRUE for a, b in shared)
    assert joined or len(tiles) == 1


def marks(page, origin):
    """Centres of the joining crosses (8 mm strokes), as places of the panel."""
    level = [l for l in lines_of(page) if abs(l[0][1] - l[1][1]) < 0.01 and abs(math.dist(*l) - 8) < 0.01]
    return [((a[0] + b[0]) / 2 - origin[0], a[1] - origin[1]) for a, b in level]


def beside(name):
    letters, number = re.match(r"([A-Z]+)(\d+)", name).groups()
    yield f"{letters}{int(number) + 1}"
    if letters != "Z" and len(letters) == 1:
        yield f"{chr(ord(letters) + 1)}{number}"


def numbers_on(page):
    """Numbers of pieces on a page: set in the heavier weight, level or reading upward."""
    turned = page.filter(lambda thing: thing["object_type"] == "char" and not thing["upright"])
    upward = {"line_dir_rotated": "ltr", "char_dir_rotated": "btt"}
    words = [w for part, ways in ((level(page), {}), (turned, upward)) for w in heavy(part, ways)]
    return [int(word) for word in words if word.isdigit()]


def heavy(page, ways):
    words = page.extract_words(extra_attrs=["fontname"], x_tolerance=0.6, y_tolerance=0.6, **ways)
    return [w["text"] for w in words if "SemiBold" in w["fontname"]]


def named(pdf, pattern):
    """Pages by what their head says, `pattern` with one group."""
    found = {}
    for page in pdf.pages:
        match = re.match(pattern, level(page).extract_text())
        if match:
            found.setdefault(match[1], []).append(page)
    return found


def test_each_number_once_on_each_map(book, plan):
    _, _, pdf = book
    wanted = sorted(piece["number"] for piece in plan["pieces"])
    maps = named(pdf, r"Map of (woods|heights|parts)")
    assert set(maps) == {"woods", "heights", "parts"}
    # The maps share their insets.
    shared = [page for page in pdf.pages if level(page).extract_text().startswith("Insets of the maps")]
    for theme, pages in maps.items():
        assert sorted(n for page in pages + shared for n in numbers_on(page)) == wanted, theme


def inset_numbers(pdf, head, named_by):
    """Numbers in gathered insets by the sheet that their head names (`named_by`, one group): each stands under the rule of its
    inset, the nearest above."""
    found = {}
    for page in pdf.pages:
        if not level(page).extract_text().startswith(head):
            continue
        rules = [(a, b) for a, b in lines_of(page) if abs(a[1] - b[1]) < 0.01 and b[0] - a[0] > 30 and a[1] < 260]
        heads = []
        words = level(page).extract_words(extra_attrs=["fontname"], x_tolerance=0.6, y_tolerance=0.6)
        for word in words:
            if "SemiBold" in word["fontname"] and re.fullmatch(r"i\d+", word["text"]):
                level_with = [w for w in words if abs(w["bottom"] - word["bottom"]) < 1 and w["x0"] > word["x0"]]
                after = " ".join(w["text"] for w in sorted(level_with, key=lambda w: w["x0"])[:2])
                x, y = word["x0"] / MM, word["bottom"] / MM
                (left, _), (right, rule) = min(rules, key=lambda line: abs(line[0][0] - x) + abs(line[0][1] - y))
                heads.append((left, right, rule, re.match(named_by, after)[1]))
        turned = page.filter(lambda thing: thing["object_type"] == "char" and not thing["upright"])
        upward = turned.extract_words(
            extra_attrs=["fontname"], x_tolerance=0.6, y_tolerance=0.6, line_dir_rotated="ltr", char_dir_rotated="btt"
        )
        for word in words + upward:
            if "SemiBold" in word["fontname"] and word["text"].isdigit():
                x, y = (word["x0"] + word["x1"]) / 2 / MM, word["bottom"] / MM
                above = [(rule, name) for left, right, rule, name in heads if left <= x <= right and rule < y]
                found.setdefault(max(above)[1], []).append(int(word["text"]))
    return found


def flat(cubic, steps=12):
    """A cubic as points."""
    for i in range(steps + 1):
        t, s = i / steps, 1 - i / steps
        weights = (s**3, 3 * s * s * t, 3 * s * t * t, t**3)
        yield tuple(sum(w * p[axis] for w, p in zip(weights, cubic)) for axis in (0, 1))


def borders_of(plan):
    return [LineString([p for cubic in border["cubics_mm"] for p in flat(cubic)]) for border in plan["borders"]]


def boxes(page):
    """Level figures set in the heavier weight, each from baseline to cap height (OS/2: 0.7275 of the size), mm."""
    for char in level(page).chars:
        # Names of neighbouring tiles are grey and stand beyond the window, where no border is drawn.
        if "SemiBold" in char["fontname"] and char["text"].isdigit() and max(char["non_stroking_color"]) == 0:
            base = (float(page.height) - char["matrix"][5]) / MM
            yield char, box(char["x0"] / MM, base - 0.7275 * char["size"] / MM, char["x1"] / MM, base)


def test_each_number_once_on_each_tile_that_shows_its_piece(book, plan):
    """Shapely 2 cuts the planned pieces at the tile's joins; hairs of under 1 mm to either side need no number."""
    _, _, pdf = book
    pieces = outlines_of(plan)
    insets = inset_numbers(pdf, "Insets of the pattern", r"tile ([A-Z]+\d+)")
    for name, page in tiles_of(pdf).items():
        x, y = origin_of(page, plan)
        seen = numbers_on(page) + insets.pop(name, [])
        assert len(seen) == len(set(seen)), f"{name}: {sorted(n for n in seen if seen.count(n) > 1)}"
        own = own_part(page)
        for number, polygon in pieces.items():
            part = translate(polygon, x, y).intersection(own)
            if not part.buffer(-1.3).is_empty:
                assert number in seen, f"{name} does not number {number}"
            elif part.buffer(-0.3).is_empty:
                assert number not in seen
    assert not insets, "insets of tiles that are not there"


def test_each_number_once_on_its_print(book, plan):
    """Every piece is cut from one print, and stands on that print's page or in its insets."""
    _, _, pdf = book
    prints = named(pdf, r"Copies: print (\d+)")
    insets = inset_numbers(pdf, "Insets of the copies", r"print (\d+)")
    # The print's own figure stands in the head.
    body = {name: page.crop((0, 18 * MM, page.width, page.height)) for name, (page,) in prints.items()}
    seen = {name: numbers_on(page) + insets.get(name, []) for name, page in body.items()}
    for name, (page,) in prints.items():
        told = re.search(r"Print \d+ of \d+: (\d+) pieces", level(page).extract_text())
        assert len(seen[name]) == len(set(seen[name])) == int(told[1]), name
    assert sorted(n for numbers in seen.values() for n in numbers) == sorted(piece["number"] for piece in plan["pieces"])


def origin_of(page, plan):
    places = shifts(page, plan)
    return median([p[0] for p in places]), median([p[1] for p in places])


def outlines_of(plan):
    areas = [area for area in plan["areas"] if area["becomes"] == "piece"]
    return {area["number"]: Polygon(area["rings_mm"][0], area["rings_mm"][1:]) for area in areas}


def own_part(page):
    """What lies between the joins (dashed lines across the whole window)."""
    left, top, right, bottom = 0.0, 0.0, float(page.width) / MM, float(page.height) / MM
    for line in page.lines:
        if not line.get("dash") or not line["dash"][0]:
            continue
        (x0, x1), (y0, y1) = (line["x0"] / MM, line["x1"] / MM), (line["top"] / MM, line["bottom"] / MM)
        if abs(x0 - x1) < 0.01 and y1 - y0 > 60:
            left, right = (max(left, x0), right) if x0 < float(page.width) / MM / 2 else (left, min(right, x0))
        if abs(y0 - y1) < 0.01 and x1 - x0 > 60:
            top, bottom = (max(top, y0), bottom) if y0 < float(page.height) / MM / 2 else (top, min(bottom, y0))
    return box(left, top, right, bottom)


def test_no_figure_over_a_border_or_another_label(book, plan):
    _, _, pdf = book
    lines = STRtree(borders_of(plan))
    for name, page in tiles_of(pdf).items():
        x, y = origin_of(page, plan)
        marks = [(char, translate(mark, -x, -y)) for char, mark in boxes(page)]
        marks = [(char, mark) for char, mark in marks if char["top"] / MM > 18]
        for char, mark in marks:
            assert not len(lines.query(mark, predicate="intersects")), f"{name}: {char['text']} over a border"
        tree = STRtree([mark.buffer(-0.05) for _, mark in marks])
        for at, (char, mark) in enumerate(marks):
            assert list(tree.query(mark.buffer(-0.05), predicate="intersects")) == [at], f"{name}: {char['text']}"


def test_no_type_under_seven_points(book):
    _, _, pdf = book
    assert min(char["size"] for page in pdf.pages for char in level(page).chars) >= 6.99


def test_fonts_are_embedded_and_scaling_is_off(book):
    name, out, _ = book
    reader = pypdf.PdfReader(out / f"pattern-book-{name}.pdf", strict=True)
    for page in reader.pages:
        for font in page["/Resources"]["/Font"].values():
            for below in font.get_object()["/DescendantFonts"]:
                descriptor = below.get_object()["/FontDescriptor"]
                assert "/FontFile2" in descriptor or "/FontFile3" in descriptor
    assert reader.trailer["/Root"]["/ViewerPreferences"]["/PrintScaling"] == "/None"
    assert reader.metadata.title and reader.outline
    assert "/CreationDate" not in reader.metadata


def test_the_cut_list_tells_the_plan(book, plan):
    _, out, _ = book
    text = (out / "cut-list.csv").read_bytes().decode()
    assert text.count("\r\n") == text.count("\n") == len(plan["pieces"]) + 1
    rows = {int(row["number"]): row for row in csv.DictReader(text.splitlines())}
    for piece in plan["pieces"]:
        row = rows[piece["number"]]
        for column, key in [("thickness (mm)", "thickness_mm"), ("raiser (mm)", "raiser_mm"), ("height (mm)", "height_mm")]:
            assert (float(row[column]) if row[column] else None) == piece[key]
        assert not any(value.startswith(("=", "+", "-", "@")) for value in row.values())
