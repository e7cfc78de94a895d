"""Widest circles against Shapely's maximum inscribed circle, necks against an exact distance transform (SciPy), tongues
against Shapely's buffers of curved lines and what an opening by a disc takes off.

Outlines are random blots: discs along a random walk, joined, some with a hole; and discs with a bent strip of even width.
"""

import json
import subprocess

import numpy
import pytest
import shapely
from scipy import ndimage

from conftest import EXAMPLES

PIXEL = 0.02


def blot(seed):
    dice = numpy.random.default_rng(seed)
    at, discs = numpy.zeros(2), []
    for _ in range(dice.integers(3, 7)):
        discs.append(shapely.Point(at).buffer(dice.uniform(1.0, 4.0), quad_segs=32))
        turn = dice.uniform(0, 2 * numpy.pi)
        at = at + dice.uniform(3.0, 6.5) * numpy.array([numpy.cos(turn), numpy.sin(turn)])
    joined = shapely.union_all(discs)
    shape = max(joined.geoms, key=lambda g: g.area) if joined.geom_type == "MultiPolygon" else joined
    if seed % 4 == 0:
        hole = shapely.Point(shapely.maximum_inscribed_circle(shape).coords[0]).buffer(0.7)
        shape = shape.difference(hole)
    # A raster does not see the tip of a sharp notch, so notches are round.
    return shapely.set_precision(shape.buffer(0.3).buffer(-0.3), 0.001)


def measured(shapes, most):
    asked = [
        {"rings_mm": [list(ring.coords)[:-1] for ring in (shape.exterior, *shape.interiors)], "most_mm": most}
        for shape in shapes
    ]
    done = subprocess.run(
        [EXAMPLES / "widths"], input="\n".join(map(json.dumps, asked)), capture_output=True, text=True, check=True
    )
    return [json.loads(line) for line in done.stdout.splitlines()]


def test_widest_circles_equal_shapelys():
    shapes = [blot(seed) for seed in range(500)]
    for seed, (shape, told) in enumerate(zip(shapes, measured(shapes, 1.0), strict=True)):
        theirs = 2 * shapely.maximum_inscribed_circle(shape, tolerance=0.002).length
        assert told["widest_mm"] == pytest.approx(theirs, abs=0.02), seed


def distances(shape):
    """The distance of every pixel's centre to the outline, by rings drawn at PIXEL, and the raster's corner."""
    low = numpy.array(shape.bounds[:2]) - 2 * PIXEL
    wide, high = numpy.ceil((numpy.array(shape.bounds[2:]) - low) / PIXEL).astype(int) + 2
    x = low[0] + (numpy.arange(wide) + 0.5) * PIXEL
    y = low[1] + (numpy.arange(high) + 0.5) * PIXEL
    inside = shapely.contains_xy(shape, *numpy.meshgrid(x, y))
    # The nearest pixel outside has its centre half a pixel beyond the outline on average.
    return (ndimage.distance_transform_edt(inside) - 0.5) * PIXEL, low


def value(field, low, at):
    column, row = (numpy.array(at) - low) / PIXEL - 0.5
    return ndimage.map_coordinates(field, [[row], [column]], order=1)[0]


def cut(shape, necks):
    """The parts of a shape sawn through at necks (with a blade of 2 µm, so that parts are apart)."""
    blades = [shapely.LineString(neck["ends_mm"]).buffer(0.001, cap_style="square") for neck in necks]
    left = shape.difference(shapely.union_all(blades))
    return list(left.geoms) if left.geom_type == "MultiPolygon" else [left]


def test_necks_equal_an_exact_distance_transform():
    shapes = [blot(seed) for seed in range(1000, 1040)]
    found = 0
    for shape, told in zip(shapes, measured(shapes, 8.0), strict=True):
        field, low = distances(shape)
        for neck in told["necks"]:
            middle = numpy.mean(neck["ends_mm"], axis=0)
            assert 2 * value(field, low, middle) == pytest.approx(neck["width_mm"], abs=0.04)
        found += len(told["necks"])
        for level in (0.5, 1.0, 1.5, 2.0):
            # What falls apart at a width, each part with room for a circle 1.8 times as wide, has a neck between.
            places, count = ndimage.label(field > level)
            peaks = ndimage.maximum(field, places, range(1, count + 1))
            peaks_at = ndimage.maximum_position(field, places, range(1, count + 1))
            wide = [at for peak, at in zip(peaks, peaks_at, strict=True) if peak >= 1.8 * level]
            parts = cut(shape, [neck for neck in told["necks"] if neck["width_mm"] <= 2 * level + 0.04])
            holds = [
                min(range(len(parts)), key=lambda i: parts[i].distance(shapely.Point(low + (numpy.array(at[::-1]) + 0.5) * PIXEL)))
                for at in wide
            ]
            assert len(set(holds)) == len(holds), (shape, level)
    assert found > 20, "the blots have necks to find"


def test_every_neck_of_a_chain_is_told():
    dice = numpy.random.default_rng(7)
    for _ in range(40):
        widths = dice.uniform(0.8, 4.0, dice.integers(2, 6))
        beads = [shapely.box(x, -5, x + 10, 5) for x in 13.0 * numpy.arange(len(widths) + 1)]
        bars = [shapely.box(x - 4, -w / 2, x + 1, w / 2) for x, w in zip(13.0 * numpy.arange(1, len(widths) + 1), widths)]
        chain = shapely.set_precision(shapely.affinity.rotate(shapely.union_all(beads + bars), dice.uniform(0, 360)), 0.001)
        told = [neck["width_mm"] for neck in measured([chain], 5.0)[0]["necks"]]
        assert told == pytest.approx(sorted(widths), abs=0.01)


LEAST = 3.0
LONG = 10.0


def tongued(seed):
    """A disc with a bent strip of even width, and that width."""
    dice = numpy.random.default_rng(seed)
    radius, width, turn = dice.uniform(8, 15), dice.uniform(0.5, 2.4), dice.uniform(-0.5, 0.5)
    long = dice.uniform(3, 30) * width
    along = numpy.linspace(0, long + radius / 2, 80)
    angle = turn / long * along
    way = numpy.cumsum(numpy.c_[numpy.cos(angle), numpy.sin(angle)], axis=0) * along[1] + [radius / 2, 0]
    strip = shapely.LineString(way).buffer(width / 2, cap_style="flat" if seed % 2 else "round", quad_segs=8)
    whole = shapely.union_all([shapely.Point(0, 0).buffer(radius, quad_segs=32), strip])
    return shapely.set_precision(shapely.affinity.rotate(whole, dice.uniform(0, 360), origin=(0, 0)), 0.001).simplify(0.002), width


def taken_off(shape):
    """The largest part that an opening by a disc of LEAST takes off."""
    opened = shape.buffer(-LEAST / 2, quad_segs=64).buffer(LEAST / 2 + 1e-4, quad_segs=64)
    return max(shapely.get_parts(shape.difference(opened)), key=lambda part: part.area)


def test_tongues_are_what_an_opening_takes_off():
    shapes = [tongued(seed) for seed in range(200)]
    told_of = 0
    for seed, ((shape, width), told) in enumerate(zip(shapes, measured([s for s, _ in shapes], LEAST), strict=True)):
        part = taken_off(shape)
        long = part.area / width
        if abs(long / width - LONG) > 1.5:
            assert len(told["tongues"]) == (long > LONG * width), seed
        for tongue in told["tongues"]:
            told_of += 1
            assert tongue["width_mm"] == pytest.approx(width, abs=0.04), seed
            # Where the strip grows out of the disc it widens; the narrow part begins within a few tenths of its width.
            assert tongue["long_mm"] == pytest.approx(long, abs=0.02 * long + width), seed
            middle = shapely.Point(numpy.mean(tongue["ends_mm"], axis=0))
            assert part.contains(middle) and part.exterior.distance(middle) == pytest.approx(width / 2, abs=0.02), seed
            centre = shapely.Point(0, 0).distance(middle)
            ends = [shapely.Point(0, 0).distance(shapely.Point(at)) for at in part.exterior.coords]
            assert abs(centre - (min(ends) + max(ends)) / 2) < 0.1 * long + width, "half way along"
    assert 100 < told_of < 190, "some are long enough and some are not"


def taper(dice):
    """A disc that runs out in a tip which narrows evenly, by 6.5° or more."""
    long, half = dice.uniform(20, 100), numpy.radians(dice.uniform(6.5, 60)) / 2
    wide = long * numpy.tan(half)
    tip = shapely.Polygon([(0, wide), (long, 0), (0, -wide)]).union(shapely.Point(0, 0).buffer(wide))
    tip = tip if dice.random() < 0.5 else tip.buffer(-0.1).buffer(0.1)
    return shapely.set_precision(shapely.affinity.rotate(tip, dice.uniform(0, 360)), 0.001)


def test_tips_corners_and_blots_are_no_tongues():
    dice = numpy.random.default_rng(3)
    shapes = [taper(dice) for _ in range(150)] + [blot(seed) for seed in range(150)]
    assert [told["tongues"] for told in measured(shapes, LEAST)] == [[]] * len(shapes)
