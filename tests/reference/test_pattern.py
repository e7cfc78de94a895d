"""Every pattern is whole, judged by Shapely (GEOS) on what `tell --json` says."""

import json
import math

import numpy as np
import pytest
import shapely
from shapely.geometry import LineString, Point, Polygon

import curves
import pictures

JOBS = ["demo", *pictures.PHOTOGRAPHS, *pictures.DRAWINGS]


@pytest.fixture(scope="module", params=JOBS)
def told(request, spelk, tmp_path_factory):
    if request.param == "demo":
        return request.getfixturevalue("plan")
    folder = tmp_path_factory.mktemp(request.param)
    picture = pictures.write(request.param, folder)
    spelk("start", picture, "--out", folder / "j.spelk", "--width", "400mm", "--keep-all")
    return json.loads(spelk("tell", folder / "j.spelk", "--json"))


def polygons(told):
    return {area["id"]: Polygon(area["rings_mm"][0], area["rings_mm"][1:]) for area in told["areas"]}


def cubic_area(cubics):
    """The signed area under a chain of cubics, Green's theorem, in closed form."""
    total = 0.0
    for (x0, y0), (x1, y1), (x2, y2), (x3, y3) in cubics:
        total += (
            x0 * (-10 * y0 + 6 * y1 + 3 * y2 + y3) + x1 * (-6 * y0 + 3 * y2 + 3 * y3)
            + x2 * (-3 * y0 - 3 * y1 + 6 * y3) + x3 * (-y0 - 3 * y1 - 6 * y2 + 10 * y3)
        ) / 20.0
    return total


def test_areas_are_valid_and_tile_the_panel(told):
    width, height = told["panel_mm"]
    shapes = polygons(told)
    assert all(shape.is_valid for shape in shapes.values())
    assert math.isclose(sum(shape.area for shape in shapes.values()), width * height, rel_tol=1e-6)
    assert math.isclose(shapely.union_all(list(shapes.values())).area, width * height, rel_tol=1e-6)


def test_exact_areas_follow_from_the_cubics(told):
    width, height = told["panel_mm"]
    total = {area["id"]: 0.0 for area in told["areas"]}
    for border in told["borders"]:
        signed = cubic_area(border["cubics_mm"])
        # y points down: an area walked clockwise on the page lies to the right.
        if border["right"] is not None:
            total[border["right"]] += signed
        if border["left"] is not None:
            total[border["left"]] -= signed
    for area in told["areas"]:
        assert math.isclose(total[area["id"]], area["area_mm2"], rel_tol=1e-9, abs_tol=1e-6), area["id"]
    assert math.isclose(sum(total.values()), width * height, rel_tol=1e-6)


def test_borders_touch_only_at_junctions(told):
    lines = [LineString(border["line_mm"]) for border in told["borders"]]
    junctions = {junction["id"]: Point(junction["at_mm"]) for junction in told["junctions"]}
    ends = [{border["from"], border["to"]} - {None} for border in told["borders"]]
    assert all(line.is_simple or line.is_ring for line in lines)
    tree = shapely.STRtree(lines)
    for a, b in tree.query(lines, predicate="intersects").T:
        if a < b:
            shared = [junctions[id] for id in ends[a] & ends[b]]
            meeting = lines[a].intersection(lines[b])
            for part in getattr(meeting, "geoms", [meeting]):
                assert part.geom_type == "Point", f"borders {a} and {b} run together"
                assert any(part.distance(at) < 1e-9 for at in shared), f"borders {a} and {b} touch at {part}"


def test_borders_are_smooth_but_at_corners(told):
    """No joint is neither smooth nor a corner, and no cubic bends tighter than a saw line may: none in the demo's pattern, at
    most one in 300 elsewhere."""
    chains = [np.array(border["cubics_mm"]) for border in told["borders"]]
    turns = [curves.joints(chain, "ring" if (chain[0, 0] == chain[-1, 3]).all() else "") for chain in chains]
    turns = np.concatenate(turns)
    faults = ((turns >= curves.SMOOTH_DEG) & (turns < curves.CORNER_DEG)).sum()
    tight = sum(curves.tight_spots(chain) for chain in chains)
    most = 0 if told["title"] == "Heron at dusk" else sum(map(len, chains)) / 300
    assert faults <= most and tight <= most, (faults, tight)


def test_each_border_has_two_sides_and_rings_use_its_points(told):
    areas = {area["id"]: area for area in told["areas"]}
    points = {id: {tuple(at) for ring in area["rings_mm"] for at in ring} for id, area in areas.items()}
    for border in told["borders"]:
        sides = [border["left"], border["right"]]
        assert sides[0] != sides[1] and any(side is not None for side in sides)
        for side in filter(None, sides):
            assert {tuple(at) for at in border["line_mm"]} <= points[side]


def test_the_sides_are_where_they_are_said_to_be(told):
    shapes = polygons(told)
    for border in told["borders"]:
        (x0, y0), (x1, y1) = border["line_mm"][0], border["line_mm"][1]
        length = math.hypot(x1 - x0, y1 - y0)
        step = 1e-4 / length
        middle = ((x0 + x1) / 2, (y0 + y1) / 2)
        left = Point(middle[0] + (y1 - y0) * step, middle[1] - (x1 - x0) * step)
        if border["left"] is not None:
            assert shapes[border["left"]].covers(left), border["id"]
        else:
            assert not any(shape.contains(left) for shape in shapes.values())


def test_pieces_keep_the_limits(told):
    shapes = polygons(told)
    limits = told["limits"]
    for piece in told["pieces"]:
        shape = shapes[piece["area"]]
        assert shape.area >= limits["least_area_mm2"]
        # The maximum inscribed circle of GEOS, to 0.01 mm.
        radius = shapely.maximum_inscribed_circle(shape, tolerance=0.005).length
        assert 2 * radius >= limits["least_width_mm"] - 0.01, piece["number"]
        assert abs(2 * radius - piece["widest_mm"]) < 0.03, piece["number"]
