"""Each further kind of sheet read back by pdfplumber and pypdf: single pieces, from behind, sections, labels, papers, units."""

import csv
import json
import os
import re
import shutil
import subprocess

import pdfplumber
import pypdf
import pytest
from shapely import LineString, Point, Polygon, box
from shapely.affinity import rotate, scale, translate
from test_sheets import TRUE as BAR_TRUE
from test_sheets import level, lines_of, neighbours, numbers_on, outlines_of, shape, cubics_of

MM = 72 / 25.4
TRUE = 0.02  # mm, the bar for outlines
# ISO 216; ASME Y14.1 (Letter, Tabloid); Legal: common practice.
SIZES = {
    "a5": (148, 210), "a0": (841, 1189), "legal": (215.9, 355.6), "letter": (215.9, 279.4), "tabloid": (279.4, 431.8),
    "roll-610mm": (610, None),
}


@pytest.fixture(scope="module")
def sheet(demo, spelk, tmp_path_factory):
    """Opens the PDF of some kinds of sheet, its pages turned so many degrees clockwise."""
    out, opened = tmp_path_factory.mktemp("kinds"), []

    def make(*words, job=demo / "heron.spelk", turned=0):
        (name,) = [line for line in spelk("sheets", job, "--out", out, *words).splitlines() if line.endswith(".pdf")]
        if turned:
            writer = pypdf.PdfWriter(clone_from=name)
            for page in writer.pages:
                page.rotate(turned)
            name = f"{name}.turned.pdf"
            writer.write(name)
        opened.append(pdfplumber.open(name))
        return opened[-1]

    yield make
    for pdf in opened:
        pdf.close()


@pytest.fixture(scope="module")
def wanted(plan):
    return sorted(piece["number"] for piece in plan["pieces"])


@pytest.mark.parametrize("paper", sorted(SIZES))
def test_papers_are_true_and_every_page_has_its_bars(sheet, paper):
    width, height = SIZES[paper]
    pdf = sheet("--paper", paper, "--only", "cover,pattern,behind,heights,backer,list")
    for page in pdf.pages:
        sides = sorted((float(page.width) / MM, float(page.height) / MM))
        if height:
            assert sides == pytest.approx(sorted((width, height)), abs=BAR_TRUE)
        else:
            assert any(side == pytest.approx(width, abs=BAR_TRUE) for side in sides)
        # Of several pages on one sheet some are turned a quarter.
        sides = [sorted((abs(b[0] - a[0]), abs(b[1] - a[1]))) for a, b in lines_of(page)]
        lines = [long for short, long in sides if short < 0.01]
        for bar in (100.0, 101.6):
            assert any(abs(long - bar) < BAR_TRUE for long in lines), f"page {page.page_number}: no bar of {bar} mm"


def test_the_cover_of_the_smallest_paper_keeps_clear_of_its_bars(sheet):
    pdf = sheet("--paper", "a5")
    words = pdf.pages[0].extract_words()
    bar = min(word["top"] for word in words if word["text"] == "mm" and word["top"] > pdf.pages[0].height * 0.8)
    held = " ".join(word["text"] for word in words if word["bottom"] < bar - 6)
    for said in ("Woods and cautions", "Used by permission: MIT or Apache-2.0", "hours at the saw"):
        assert said in held


def rings_of(page):
    """Closed outlines that the saw follows (0.5 pt), mm."""
    return [[(x / MM, y / MM) for x, y in s["pts"]] for s in page.curves if s["stroke"] and abs(s["linewidth"] - 0.5) < 0.01]


def test_single_pieces_are_the_planned_outlines(sheet, plan, wanted):
    pdf = sheet("--only", "singles")
    seen = [numbers_on(page) for page in pdf.pages]
    # A piece that is larger than the page goes over several, each with its number.
    large = {n for n in wanted if sum(n in page for page in seen) > 1}
    assert set(wanted) == {n for page in seen for n in page} and len(large) < 6
    assert all(len(page) == len(set(page)) for page in seen)
    assert all(len(page) == 1 for page in seen if large & set(page))
    # Two pages lie on a sheet of A2, their heads to its right.
    whole = sheet("--only", "singles", "--paper", "a2", turned=270)
    assert sorted(n for page in whole.pages for n in numbers_on(page)) == wanted
    drawn = [Polygon(ring) for page in whole.pages for ring in rings_of(page) if len(ring) > 3]
    by_size = sorted(drawn, key=lambda p: p.area)
    for number, polygon in outlines_of(plan).items():
        outer = at_corner(Polygon(polygon.exterior))
        near = [p for p in by_size if abs(p.area - outer.area) < TRUE * outer.length]
        # As in the pattern, turned a quarter, or by as many whole turns of two degrees as make it fit.
        turns = (0, -90, *range(-178, 180, 2))
        assert any(off(at_corner(rotate(p, turn, origin=(0, 0))), outer) < TRUE for turn in turns for p in near), number


def test_every_sheet_of_a_split_piece_says_whose_it_is(sheet, plan, wanted):
    """On the smallest paper: number, wood, tile and neighbours on each tile, and marks where its joins meet."""
    longest = max(wanted, key=lambda n: outlines_of(plan)[n].length)
    pages = sheet("--piece", longest, "--paper", "a5").pages
    assert len(pages) > 1
    (piece,) = [p for p in plan["pieces"] if p["number"] == longest]
    (wood,) = [w["name"] for w in plan["woods"] if w["id"] == piece["wood"]]
    for page in pages:
        text = level(page).extract_text()
        assert f"Piece {longest}" in text and wood.split()[0] in text and re.search(r"tile [A-Z]+\d+ of \d+", text)
        assert numbers_on(page) == [longest]
        crosses = [a for a, b in lines_of(page) if abs(a[1] - b[1]) < 0.01 and abs(abs(b[0] - a[0]) - 8) < 0.01]
        assert crosses, "no corner marks"


def at_corner(polygon):
    left, top, _, _ = polygon.bounds
    return translate(polygon, -left, -top)


def quarter(polygon):
    """Turned back a quarter."""
    return Polygon([(y, -x) for x, y in polygon.exterior.coords])


def off(one, other):
    """Greatest distance of a corner of either outline from the other, mm."""
    ends = ((Point(p), other.exterior) for p in one.exterior.coords), ((Point(p), one.exterior) for p in other.exterior.coords)
    return max(point.distance(line) for pairs in ends for point, line in pairs)


def test_from_behind_is_mirrored(sheet, plan, wanted):
    """At true scale on one sheet: borders and numbers stand where left and right are exchanged."""
    pdf = sheet("--only", "behind", "--paper", "a1")
    (page,) = [p for p in pdf.pages if level(p).extract_text().startswith("From behind A1, mirrored")]
    width = plan["panel_mm"][0]
    known = {}
    for border in plan["borders"]:
        for cubic in border["cubics_mm"]:
            flipped = [(width - x, y) for x, y in cubic]
            known.setdefault(shape(flipped), []).append(flipped[0])
    at = []
    for cubic in cubics_of(page):
        near = [known[k] for k in neighbours(shape(cubic)) if k in known]
        if len(near) == 1 and len(near[0]) == 1:
            at.append((cubic[0][0] - near[0][0][0], cubic[0][1] - near[0][0][1]))
    x, y = sorted(a for a, _ in at)[len(at) // 2], sorted(b for _, b in at)[len(at) // 2]
    assert len(at) > 300 and sum(abs(a - x) < TRUE and abs(b - y) < TRUE for a, b in at) >= 0.8 * len(at)
    insets = [p for p in pdf.pages if level(p).extract_text().startswith("Insets of from behind")]
    assert sorted(n for p in [page, *insets] for n in numbers_on(p)) == wanted
    pieces = {n: translate(scale(p, -1, 1, origin=(width / 2, 0)), x, y) for n, p in outlines_of(plan).items()}
    inside = 0
    words = level(page).extract_words(extra_attrs=["fontname"], x_tolerance=0.6, y_tolerance=0.6)
    for word in (w for w in words if "SemiBold" in w["fontname"] and w["text"].isdigit()):
        middle = Point((word["x0"] + word["x1"]) / 2 / MM, (word["top"] + word["bottom"]) / 2 / MM)
        inside += pieces[int(word["text"])].contains(middle)
    assert inside > 0.8 * len(wanted), "numbers stand in their mirrored pieces"


def test_each_number_from_behind_at_true_scale(sheet, wanted):
    pdf = sheet("--only", "behind")
    tiles = [p for p in pdf.pages if level(p).extract_text().startswith("From behind ")]
    assert all("left and right are exchanged" in page.extract_text() for page in tiles)
    assert sorted({n for p in pdf.pages for n in numbers_on(p)}) == wanted


def test_the_picture_alone_brings_its_insets(sheet, wanted):
    """On one page each number stands once, there or in the insets that its grey corners send to."""
    pdf = sheet("--only", "picture")
    (page,) = [p for p in pdf.pages if re.match(r"Picture with borders(?! [A-Z]+\d)", level(p).extract_text())]
    insets = [p for p in pdf.pages if level(p).extract_text().startswith("Insets of the maps")]
    assert sorted(n for p in [page, *insets] for n in numbers_on(p)) == wanted
    assert bool(insets) == ("corners:" in page.extract_text())


def crossed(plan, line):
    """Pieces that a line runs through for over 0.05 mm, by Shapely."""
    long = {n: polygon.intersection(line).length for n, polygon in outlines_of(plan).items()}
    return {n for n, length in long.items() if length > 0.05}, {n for n, length in long.items() if length > 0}


def test_sections_show_the_pieces_on_their_line(sheet, plan):
    pdf = sheet("--only", "heights", "--section", "10mm,20mm,400mm,250mm", "--section", "0in,4in,16in,4in")
    lines = [LineString([(10, 20), (400, 250)]), LineString([(0, 101.6), (406.4, 101.6)])]
    assert "Section A from 10, 20 to 400, 250 mm" in pdf.pages[0].extract_text()
    for page, line in zip(pdf.pages, lines, strict=True):
        must, may = crossed(plan, line)
        assert must <= set(numbers_on(page)) <= may
        # Each stretch says how its piece is built up.
        turned = page.filter(lambda thing: thing["object_type"] == "char" and not thing["upright"])
        words = " ".join(turned.extract_text(line_dir_rotated="ltr", char_dir_rotated="btt").split())
        for piece in (p for p in plan["pieces"] if p["number"] in must and p["raiser_mm"]):
            sum_of = [f"{piece[key]:.1f}".removesuffix(".0") for key in ("thickness_mm", "raiser_mm")]
            assert re.search(rf"{sum_of[0]} \+ {sum_of[1]} = [\d.]+ {piece['number']}\b", words), piece["number"]


def test_sections_run_through_the_middle_by_default(sheet, plan):
    level_line, upright_line = sheet("--only", "heights").pages
    assert "along the level line" in level_line.extract_text() and "along the upright line" in upright_line.extract_text()


def test_a_section_beside_the_panel_is_refused(demo, spelk, tmp_path):
    job = demo / "heron.spelk"
    spelk("sheets", job, "--out", tmp_path / "a", "--section", "900mm,0mm,900mm,100mm", expect=2)
    spelk("sheets", job, "--out", tmp_path / "b", "--section", "1mm,2mm", expect=2)
    assert not (tmp_path / "a").exists() and not (tmp_path / "b").exists()


@pytest.mark.parametrize("paper,across,down", [("a4", 3, 8), ("letter", 3, 10)])
def test_labels_hold_each_number_once_inside_its_label(sheet, wanted, paper, across, down):
    pdf = sheet("--only", "labels", "--paper", paper)
    assert len(pdf.pages) == -(-len(wanted) // (across * down))
    seen = []
    for page in pdf.pages:
        large = [c for c in page.chars if "SemiBold" in c["fontname"] and c["size"] > 20]
        seen += [int(w["text"]) for w in page.filter(lambda o: o.get("size", 0) > 20).extract_words()]
        assert large
        left = 0 if paper == "a4" else 25.4 * 3 / 16
        step = 70 if paper == "a4" else 2.75 * 25.4
        wide = 70 if paper == "a4" else 2.625 * 25.4
        for char in page.chars:
            x0, x1 = char["x0"] / MM - left, char["x1"] / MM - left
            column = int(x0 // step)
            assert column * step < x0 and x1 < column * step + wide, "a word leaves its label"
    assert sorted(seen) == wanted


def test_one_piece_alone(sheet, plan, wanted):
    number = wanted[len(wanted) // 2]
    (page,) = sheet("--piece", number).pages
    assert numbers_on(page) == [number]
    outer = at_corner(Polygon(outlines_of(plan)[number].exterior))
    assert min(min(off(at_corner(p), outer), off(at_corner(quarter(p)), outer)) for p in map(Polygon, rings_of(page))) < TRUE


def test_a_part_shows_its_own_woods_only(sheet, plan):
    part = max(plan["parts"], key=lambda part: 0 < len(part["pieces"]) < 12)
    own = {piece["wood"] for piece in plan["pieces"] if piece["part"] == part["id"]}
    others = {piece["wood"] for piece in plan["pieces"]} - own
    names = {wood["id"]: wood["name"] for wood in plan["woods"]}
    text = "\n".join(page.extract_text() for page in sheet("--part", part["name"], "--only", "cover,map").pages)
    assert all(names[wood] in text for wood in own) and not any(names[wood] in text for wood in others)


def test_inches_everywhere(demo, spelk, sheet, tmp_path):
    job = tmp_path / "inch.spelk"
    shutil.copy(demo / "heron.spelk", job)
    (tmp_path / "edit.json").write_text(json.dumps([{"setup": {"unit": "inch"}}]))
    spelk("edit", job, tmp_path / "edit.json")
    for page in sheet("--only", "cover,map,heights,backer,list,notes", "--paper", "letter", job=job).pages:
        # Only the bar that proves the printer is named in mm.
        assert set(re.findall(r"(\S+) mm\b", level(page).extract_text())) == {"100"}


def test_bookmarks_reach_their_pages_and_fonts_are_whole(demo, spelk, tmp_path):
    spelk("sheets", demo / "heron.spelk", "--out", tmp_path, "--only", "cover,pattern,singles,behind,backer,labels")
    reader = pypdf.PdfReader(next(tmp_path.glob("*.pdf")), strict=True)
    marks = []
    for entry in reader.outline:
        marks += entry if isinstance(entry, list) else [entry]
    assert len(marks) > 10
    for mark in marks:
        text = reader.pages[reader.get_destination_page_number(mark)].extract_text()
        assert mark.title.split(" at true")[0] in text or mark.title == "Labels for the backs", mark.title
    for page in reader.pages:
        for font in page["/Resources"]["/Font"].values():
            for below in font.get_object()["/DescendantFonts"]:
                assert {"/FontFile2", "/FontFile3"} & set(below.get_object()["/FontDescriptor"])
    assert reader.trailer["/Root"]["/ViewerPreferences"]["/PrintScaling"] == "/None"


def test_over_500_pages_is_refused_where_nobody_can_answer(spelk, tmp_path, demo):
    job = tmp_path / "wall.spelk"
    spelk("start", demo / "heron.png", "--out", job, "--width", "4500mm", "--pieces", "20")
    out = tmp_path / "out"
    spelk("sheets", job, "--out", out, "--paper", "a5", "--only", "pattern", expect=2)
    assert not out.exists()
    spelk("sheets", job, "--out", out, "--paper", "a5", "--only", "pattern", "--yes")
    assert len(pypdf.PdfReader(next(out.glob("*.pdf"))).pages) > 500


def test_so_many_pages_are_asked_about_at_a_terminal(spelk, tmp_path, demo):
    job = tmp_path / "wall.spelk"
    spelk("start", demo / "heron.png", "--out", job, "--width", "4500mm", "--pieces", "20")
    words = [os.environ["SPELK"], "sheets", job, "--out", tmp_path / "out", "--paper", "a5", "--only", "pattern"]
    for answer, code in ((b"n\n", 2), (b"\n", 2), (b"y\n", 0)):
        keys, terminal = os.openpty()
        with subprocess.Popen(words, stdin=terminal, stdout=subprocess.DEVNULL, stderr=terminal) as asking:
            said = b""
            while b"[y/N]" not in said:
                said += os.read(keys, 4096)
            assert re.search(rb"would have [\d,]+ pages", said)
            assert not (tmp_path / "out").exists()
            os.write(keys, answer)
            # What the program goes on to say must not fill the terminal: it is read until the end.
            os.close(terminal)
            try:
                while os.read(keys, 4096):
                    pass
            except OSError:
                pass
            assert asking.wait(120) == code, answer
        os.close(keys)
        assert (tmp_path / "out").exists() == (code == 0)


@pytest.mark.parametrize(
    "title",
    ["Fjærkledd ærfugl på vaðli", "Цапля у воды", "Ερωδιός", "鷺と葦", "مالك الحزين", "=HYPERLINK(1)", "a\u202eb\u0007c\u0085d", "x" * 200, "   "],
)
def test_a_title_in_any_script_gives_a_whole_book(demo, spelk, tmp_path, title):
    """Refused with a reason before anything is written, or a readable book and list."""
    job = tmp_path / "titled.spelk"
    shutil.copy(demo / "heron.spelk", job)
    edit = json.dumps([{"setup": {"title": title}}])
    done = subprocess.run(
        [os.environ["SPELK"], "edit", job, "-"], input=edit.encode(), capture_output=True, timeout=120, check=False
    )
    out = tmp_path / "out"
    if done.returncode != 0:
        assert done.returncode == 2 and b"title" in done.stderr.lower()
        return
    spelk("sheets", job, "--out", out, "--only", "cover,list")
    (book,) = out.glob("*.pdf")
    reader = pypdf.PdfReader(book)
    assert len(reader.pages) >= 2
    told = reader.metadata.title
    assert not any(ord(letter) < 32 or 0x7F <= ord(letter) < 0xA0 for letter in told)
    for table in out.glob("*.csv"):
        with table.open(encoding="utf-8-sig", newline="") as rows:
            assert not any(cell.startswith(("=", "@", "+")) for row in csv.reader(rows) for cell in row)


def test_a_folder_that_cannot_be_written_is_named(demo, spelk, tmp_path):
    (tmp_path / "out").write_text("a file where the folder should be")
    done = subprocess.run(
        [os.environ["SPELK"], "sheets", demo / "heron.spelk", "--out", tmp_path / "out", "--only", "cover"],
        capture_output=True, timeout=120, check=False,
    )
    assert done.returncode == 2 and str(tmp_path / "out").encode() in done.stderr
    assert [each.name for each in tmp_path.iterdir()] == ["out"]


def heard(node):
    """Tags of a structure tree with their descriptions, in reading order (ISO 32000-1, 14.7 and 14.8)."""
    node = node.get_object() if hasattr(node, "get_object") else node
    if not isinstance(node, dict) or "/S" not in node:
        return
    yield node["/S"], node.get("/Alt", "")
    below = node.get("/K", [])
    for each in below if isinstance(below, list) else [below]:
        yield from heard(each)


def test_the_book_can_be_heard(demo, spelk, tmp_path, plan):
    """Tagged PDF: each page under its heading, each piece a row of the list, each drawing told in words."""
    spelk("sheets", demo / "heron.spelk", "--out", tmp_path)
    reader = pypdf.PdfReader(tmp_path / "pattern-book-a4.pdf")
    root = reader.trailer["/Root"]
    assert root["/MarkInfo"]["/Marked"] and root["/Lang"] == "en-GB"
    pages = root["/StructTreeRoot"]["/K"]
    tags = [tag for page in (pages if isinstance(pages, list) else [pages]) for tag in heard(page)]
    names = [name for name, _ in tags]
    assert names.count("/H1") == len(reader.pages)
    figures = [told for name, told in tags if name == "/Figure"]
    assert figures and all(figures)
    for piece in plan["pieces"]:
        told = re.compile(rf"\b{piece['number']}\b")
        assert any(told.search(figure.partition("pieces ")[2]) for figure in figures if figure.startswith("Pattern")), piece
    # Eight cells after its number, and heads of columns and parts beside them.
    assert names.count("/TR") > len(plan["pieces"])
    assert names.count("/TD") >= 8 * len(plan["pieces"])
