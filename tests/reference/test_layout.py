"""Layouts of the fixed generator's jobs, judged by Shapely 2.2 on the outlines as given: nothing overlaps, nothing lies over
an edge or a fault, gaps and grain are kept, nothing is mirrored."""

import json
import subprocess

import pytest
import shapely
from conftest import EXAMPLES
from shapely import affinity

# Corners are rounded to whole µm: up to 0.71 µm each.
ROUNDING = 1.5


def show(pieces, seed, effort):
    told = subprocess.run([EXAMPLES / "layout", "show", str(pieces), str(seed), str(effort)], check=True, capture_output=True, text=True)
    return json.loads(told.stdout)


def within(turn, ranges):
    return any((turn - low) % 36_000 <= high - low for low, high in ranges)


@pytest.mark.parametrize("pieces,seed,effort", [(60, 1, 4), (60, 11, 1), (90, 12, 0), (90, 13, 1), (120, 14, 1)])
def test_nothing_is_broken(pieces, seed, effort):
    job = show(pieces, seed, effort)
    laid = [blank for blank in job["blanks"] if blank]
    assert len(laid) == pieces, "the boards are more than enough"
    for blank in laid:
        sheet = job["sheets"][blank["sheet"]]
        assert blank["sheet"] in blank["sheets"]
        assert within(blank["turn"] - sheet["grain"], blank["turns"])
        # Counterclockwise as seen is clockwise in Shapely's axes, for y is down; a mirror would not fit.
        own = affinity.rotate(shapely.Polygon(blank["outer"]), -blank["turn"] / 100, origin=(0, 0))
        own = affinity.translate(own, *blank["at"])
        where = shapely.Polygon(blank["laid"])
        assert shapely.hausdorff_distance(own, where) < ROUNDING
        board = shapely.Polygon(sheet["outer"])
        assert board.contains(where) and board.exterior.distance(where) >= job["edge"]
        assert all(shapely.Polygon(fault).distance(where) >= job["edge"] for fault in sheet["faults"])
    for number in range(len(job["sheets"])):
        rings = [shapely.Polygon(blank["laid"]) for blank in laid if blank["sheet"] == number]
        for at, ring in enumerate(rings):
            assert all(ring.distance(other) >= job["apart"] for other in rings[:at])
