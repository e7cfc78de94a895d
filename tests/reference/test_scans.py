"""Drawings on paper, read back: the demo's pattern drawn with a pen or a pencil, numbered, photographed, and made a pattern again.

The scans are made here from known borders (Pillow draws, scikit-image turns in perspective), with uneven light and noise. A pencil
presses unevenly along its way, and leaves less where the paper's grain is low; the palest presses least and leaves next to nothing in
a third of the grain. The areas that come back are laid beside the true ones by Shapely. Numbers are written where a circle has room
for them: one that touches a line is part of it.
"""

import json
import subprocess

import numpy as np
import pytest
from conftest import SPELK
from PIL import Image, ImageDraw, ImageFont
from scipy.ndimage import gaussian_filter
from scipy.special import ndtr
from shapely import STRtree, maximum_inscribed_circle
from shapely.geometry import LineString, MultiLineString, Polygon
from skimage import data
from skimage.transform import ProjectiveTransform, warp

MM_PER_INCH = 25.4
MARGIN_MM = 14.0
# An area is found when one lies on it whose border is off by less than this in the mean; of all borders so much lies as near.
OFF_MM, SHARE = 0.3, 0.98
FOUND = 0.98
NUMBER_MM, ROOM_MM = 2.6, 3.0
# Drawn so many times as fine as it is scanned.
FINER = 2
# Of the paper's grain and of the pressure along a line: how far one place is like the next.
GRAIN_MM, PRESSURE_MM = 0.09, 5.0
# Dots an inch, the line's width (mm) and darkness, how far the corners stray (share of the side), how far light falls, noise, and
# how much grain and pressure take off a pencil's line.
SCANS = {
    "pen, scanned": (200, 0.7, 0.85, 0.0, 0.05, 0.01, None),
    "pen, photographed": (150, 0.8, 0.8, 0.06, 0.45, 0.02, None),
    "pen, photographed finely": (300, 0.5, 0.7, 0.04, 0.35, 0.015, None),
    "pencil, scanned": (200, 0.7, 0.5, 0.0, 0.05, 0.01, (0.7, 0.4)),
    "pencil, photographed": (150, 0.8, 0.5, 0.06, 0.45, 0.02, (0.7, 0.4)),
    "pencil, photographed finely": (300, 0.5, 0.45, 0.04, 0.35, 0.015, (0.7, 0.4)),
    "pale pencil, scanned": (200, 0.6, 0.3, 0.0, 0.05, 0.012, (0.9, 0.6)),
}


def field(dice, size, reach):
    """A smooth random field of values spread evenly over 0 to 1; `reach` is the deviation of the Gaussian that smooths it, pixels."""
    step = max(reach / 2, 1)
    rough = dice.normal(size=[round(side / step) for side in reversed(size)]).astype(np.float32)
    smooth = Image.fromarray(gaussian_filter(rough, reach / step)).resize(size, Image.BICUBIC)
    values = np.asarray(smooth)
    return ndtr(values / values.std()).astype(np.float32)


def drawing(plan, size, px, width):
    """The lines and numbers, 0 to 1; places of the panel are whole numbers at the corners of pixels."""
    sheet = Image.new("L", tuple(side * FINER for side in size), 0)
    pen, scale = ImageDraw.Draw(sheet), px * FINER
    place = lambda p: ((p[0] + MARGIN_MM) * scale - 0.5, (p[1] + MARGIN_MM) * scale - 0.5)
    for border in plan["borders"]:
        line = [place(p) for p in border["line_mm"]]
        pen.line(line, fill=255, width=max(1, round(width * scale)), joint="curve")
        for x, y in (line[0], line[-1]):
            r = width * scale / 2
            pen.ellipse((x - r, y - r, x + r, y + r), fill=255)
    font = ImageFont.load_default(NUMBER_MM * scale)
    for area in plan["areas"]:
        room = maximum_inscribed_circle(Polygon(area["rings_mm"][0], area["rings_mm"][1:]))
        if area["number"] is not None and room.length >= ROOM_MM:
            pen.text(place(room.coords[0]), str(area["number"]), fill=255, font=font, anchor="mm")
    return np.asarray(sheet.reduce(FINER), np.float32) / 255


def scanned(plan, kind, seed):
    """The picture, and the corners of the panel in it, shares of its sides."""
    dpi, width, dark, stray, fall, noise, pencil = SCANS[kind]
    dice = np.random.default_rng(seed)
    px = dpi / MM_PER_INCH
    wide, high = plan["panel_mm"]
    size = tuple(round((side + 2 * MARGIN_MM) * px) for side in (wide, high))
    drawn = dark * drawing(plan, size, px, width)
    if pencil is not None:
        grain, pressure = pencil
        low = np.clip((0.65 - field(dice, size, GRAIN_MM * px)) / 0.45, 0, 1)
        drawn *= (1 - pressure * field(dice, size, PRESSURE_MM * px)) * (1 - grain * low)
    page = 0.95 * (1 - gaussian_filter(drawn, 0.6))
    corners = (np.array([(0, 0), (wide, 0), (wide, high), (0, high)]) + MARGIN_MM) * px
    # The middle of scikit-image's first pixel is its place 0.
    edge = np.array([(0, 0), (size[0], 0), size, (0, size[1])]) - 0.5
    inwards = np.array([[1, 1], [-1, 1], [-1, -1], [1, -1]])
    moved = edge + dice.uniform(0.2, 1, (4, 2)) * inwards * stray * min(size)
    turn = ProjectiveTransform.from_estimate(edge, moved)
    shot = warp(page, turn.inverse, order=1, cval=0.4)
    corners = turn(corners - 0.5) + 0.5
    y, x = np.mgrid[0 : size[1], 0 : size[0]] / np.float32(max(size))
    light = 1 - fall * (0.6 * x + 0.4 * y**2) - 0.15 * fall * np.sin(7 * x + 4 * y)
    shot = shot * light + dice.normal(0, noise, shot.shape)
    picture = Image.fromarray((np.clip(shot, 0, 1) * 255).astype(np.uint8)).convert("RGB")
    return picture, corners / size


@pytest.mark.parametrize("kind", SCANS)
def test_areas_and_borders_come_back(kind, spelk, plan, tmp_path):
    picture, corners = scanned(plan, kind, seed=11)
    picture.save(tmp_path / "scan.png")
    places = " ".join(f"{100 * x:.4f},{100 * y:.4f}" for x, y in corners)
    wide, high = plan["panel_mm"]
    spelk("start", tmp_path / "scan.png", "--out", tmp_path / "scan.spelk", "--on-paper", "--corners", places,
          "--width", f"{wide}mm", "--sheet-height", f"{high}mm", "--bridge", "1mm")  # fmt: skip
    told = json.loads(spelk("tell", tmp_path / "scan.spelk", "--json"))
    shape = lambda area: Polygon(area["rings_mm"][0], area["rings_mm"][1:])
    found, wanted = [shape(area) for area in told["areas"]], [shape(area) for area in plan["areas"]]
    tree = STRtree(found)
    off = []
    for area in wanted:
        over = [found[k] for k in tree.query(area)]
        twin = max(over, key=lambda other: other.intersection(area).area)
        off.append(twin.symmetric_difference(area).area / area.length)
    share = np.mean(np.array(off) <= OFF_MM)
    inner = lambda plan: [b["line_mm"] for b in plan["borders"] if b["left"] is not None and b["right"] is not None]
    true = MultiLineString(inner(plan))
    lines = [LineString(line) for line in inner(told)]
    # Every half millimetre along the borders, so that each part counts by its length.
    steps = [line.interpolate(at) for line in lines for at in np.arange(0.25, line.length, 0.5)]
    apart = np.array([true.distance(p) for p in steps])
    print(f"{kind}: {share:.4f} of {len(wanted)} areas, borders {apart.mean():.3f} mm off in the mean, "
          f"{(apart <= OFF_MM).mean():.4f} within {OFF_MM} mm, {len(found)} found")  # fmt: skip
    assert share >= FOUND
    assert len(found) <= len(wanted) / FOUND, "numbers and noise are areas"
    assert (apart <= OFF_MM).mean() >= SHARE


BREAKS_MM = (2, 3, 4, 5)
PANEL_MM, PER_MM, PEN_MM = (200, 150), 6, 1.2


def broken(dice):
    """Waves across a frame, each with a break between round ends, and below each a stroke that ends 7 mm above the next wave."""
    wide, high = PANEL_MM
    rows = [(k + 1) * high / (len(BREAKS_MM) + 1) for k in range(len(BREAKS_MM))]
    lines = [[(0, 0), (wide, 0), (wide, high), (0, high), (0, 0)]]
    for width, middle in zip(BREAKS_MM, rows):
        swell, length, turn = dice.uniform(1, 4), dice.uniform(60, 140), dice.uniform(0, 6)
        wave = np.array([(x, middle + swell * np.sin(2 * np.pi * x / length + turn)) for x in np.arange(0, wide + 0.1, 0.2)])
        along = np.concatenate([[0], np.cumsum(np.hypot(*np.diff(wave, axis=0).T))])
        off = np.abs(along - along[-1] * dice.uniform(0.55, 0.85)) >= (width + PEN_MM) / 2
        lines += [wave[off & (along < along[off.argmin()])], wave[off & (along > along[off.argmin()])]]
        x = dice.uniform(20, 80)
        lines.append([(x, np.interp(x, *wave.T)), (x + dice.uniform(-6, 6), middle + rows[0] - 12)])
    sheet = Image.new("L", [(side + 20) * PER_MM * FINER for side in PANEL_MM], 0)
    pen, r = ImageDraw.Draw(sheet), PEN_MM / 2 * PER_MM * FINER
    for line in lines:
        places = [((x + 10) * PER_MM * FINER, (y + 10) * PER_MM * FINER) for x, y in line]
        pen.line(places, fill=255, width=round(2 * r), joint="curve")
        for x, y in (places[0], places[-1]):
            pen.ellipse((x - r, y - r, x + r, y + r), fill=255)
    drawn = gaussian_filter(np.asarray(sheet.reduce(FINER), np.float32) / 255, 0.7)
    page = 0.93 - 0.8 * drawn + dice.normal(0, 0.012, drawn.shape)
    return Image.fromarray((np.clip(page, 0, 1) * 255).astype(np.uint8)).convert("RGB")


@pytest.mark.parametrize("seed", range(4))
def test_breaks_are_bridged_up_to_the_width_and_nothing_else_is(seed, spelk, tmp_path):
    """Also when the drawing is traced again: with each width as when it was begun with it."""
    broken(np.random.default_rng(seed)).save(tmp_path / "broken.png")
    wide, high = PANEL_MM
    across, down = (1000 / (side + 20) for side in PANEL_MM)
    corners = f"{across},{down} {100 - across},{down} {100 - across},{100 - down} {across},{100 - down}"
    words = ("start", tmp_path / "broken.png", "--on-paper", "--corners", corners, "--width", f"{wide}mm")
    told = lambda name: json.loads(spelk("tell", tmp_path / name, "--json"))
    spelk(*words, "--bridge", "2.5mm", "--out", tmp_path / "again.spelk")
    lines = lambda plan: sorted(border["line_mm"] for border in plan["borders"])
    first = lines(told("again.spelk"))
    for known, bridge in ((2, 3.5), (4, 5.5), (3, 4.5), (1, 2.5)):
        spelk("trace", tmp_path / "again.spelk", "--bridge", f"{bridge}mm")
        plan = told("again.spelk")
        assert len(plan["areas"]) == 1 + known, f"{bridge} mm"
        # The strokes below the waves, and the ends at each break that is wider.
        assert len(plan["lines"]) == len(BREAKS_MM) + 2 * (len(BREAKS_MM) - known)
    assert lines(plan) == first


def page_of_words(dice):
    page = Image.new("L", (1600, 1200), 245)
    pen, font = ImageDraw.Draw(page), ImageFont.load_default(28)
    for line in range(30):
        pen.text((80, 60 + line * 36), "a page of words is no drawing but has small closed loops", fill=30, font=font)
    return page


BAD = {
    "a blank sheet": (lambda dice: Image.new("L", (1600, 1200), 250), "no line on the paper"),
    "noise": (lambda dice: Image.fromarray(dice.integers(0, 256, (1200, 1600), np.uint8)), "no line on the paper"),
    "a page of words": (page_of_words, "Nothing in the drawing is closed"),
}


@pytest.mark.parametrize("kind", BAD)
def test_what_is_no_drawing_is_refused(kind, spelk, tmp_path):
    made, reason = BAD[kind]
    made(np.random.default_rng(5)).save(tmp_path / "scan.png")
    told = start(tmp_path, expect=2)
    assert reason in told and told.count("\n") < 6


def test_a_photograph_gives_areas(spelk, tmp_path):
    """Its dark edges close some: an answer that the maker sees at once is none for a relief."""
    Image.fromarray(data.coffee()).save(tmp_path / "scan.png")
    start(tmp_path, expect=0)
    told = json.loads(spelk("tell", tmp_path / "scan.spelk", "--json"))
    assert 2 <= len(told["areas"]) <= 800


def start(folder, expect):
    words = [SPELK, "start", folder / "scan.png", "--out", folder / "scan.spelk", "--on-paper", "--width", "300mm"]
    done = subprocess.run(words, capture_output=True, text=True)
    assert done.returncode == expect, done.stderr
    return done.stderr
