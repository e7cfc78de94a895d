"""Spare wood for fitting, judged by Shapely: a cut outline is the piece and a strip along its fitted borders, and nothing else."""

import json
import subprocess

import shapely
from conftest import SPELK

# Corners are rounded to whole µm, and a corner of the strip is joined by tangents, never more than 5 % farther out.
ROUNDING, TANGENTS = 0.003, 1.05


def fitted(spelk, job):
    """Fits every seventh joint, as far as nobody comes to wait for itself; how many were."""
    joints = json.loads(spelk("saw", job, "--json"))["joints"]
    count = 0
    for joint in [one for one in joints if one["length_mm"] > 3][::7]:
        done = subprocess.run([SPELK, "saw", job, "--cut-to", f"{joint['later']}:{joint['first']}"], capture_output=True, text=True)
        assert done.returncode == 0 or "wait for itself" in done.stderr, done.stderr
        count += done.returncode == 0
    return count


def test_spare_wood_lies_along_fitted_borders_alone(spelk, demo, tmp_path):
    job = tmp_path / "j.spelk"
    job.write_bytes((demo / "heron.spelk").read_bytes())
    assert fitted(spelk, job) > 5
    sawn, told = json.loads(spelk("saw", job, "--json")), json.loads(spelk("tell", job, "--json"))
    areas = {area["number"]: shapely.Polygon(area["rings_mm"][0]) for area in told["areas"] if area["number"]}
    lines = {border["id"]: shapely.LineString(border["line_mm"]) for border in told["borders"]}
    strips = {}
    for joint in sawn["joints"]:
        if joint["meets"]:
            assert joint["gap_mm"] == 0 and joint["spare_mm"] > 0
            strips.setdefault(joint["later"], []).append((lines[joint["border"]], joint["spare_mm"], areas[joint["first"]]))
    around = 0
    for piece in sawn["pieces"]:
        number, cut = piece["number"], shapely.Polygon(piece["cut_outline_mm"])
        assert cut.is_valid, number
        own = areas[number]
        if number not in strips:
            assert cut.equals(own), number
            continue
        assert cut.buffer(ROUNDING).covers(own), f"piece {number} has lost wood"
        # The strip lies on the neighbour's side of the line.
        beside = [line.buffer(spare * 0.98, cap_style="flat").intersection(first) for line, spare, first in strips[number]]
        least = shapely.union_all([own, *beside])
        short = least.difference(cut.buffer(0.03)).area
        most = shapely.union_all([own, *(line.buffer(spare * TANGENTS, cap_style="square") for line, spare, _ in strips[number])])
        over = cut.difference(most.buffer(ROUNDING)).area
        # Where the strip cannot be walked the whole piece is given the spare wood: more wood, never less.
        around += over > 0.01
        assert short < 0.05, f"piece {number} lacks {short} mm² of its strip"
    assert around <= len(strips) // 10, f"{around} of {len(strips)} pieces got spare wood all round"
