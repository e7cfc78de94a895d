"""Every layout can be cut, judged by Shapely (GEOS) on what `tell --json` says: no piece over another, over an edge or a
fault, gaps kept, grain within its limit, nothing mirrored."""

import json
import math
import random

import pytest
import shapely
from shapely import affinity
from shapely.geometry import Polygon

# Stored places are whole µm and each point of a ring is rounded once: this is the most that it can differ by, mm.
ROUNDING = 0.002


def laid_out(spelk, folder, demo, seed):
    """A copy of the demo on other boards: odd outlines, faults, zones, oblique grain, a pin, some pieces cut."""
    dice = random.Random(seed)
    job = folder / "j.spelk"
    job.write_bytes((demo / "heron.spelk").read_bytes())
    told = json.loads(spelk("tell", job, "--json"))
    edits = [{"stock": {"away": board["id"]}} for board in told["boards"]]
    groups = sorted({(piece["wood"], piece["thickness_mm"]) for piece in told["pieces"]})
    next_board = max(board["id"] for board in told["boards"]) + 1
    for wood, thickness in groups:
        for _ in range(dice.randint(1, 3)):
            long, wide = dice.randint(150, 700) * 1000, dice.randint(60, 250) * 1000
            cut = dice.randint(0, 40) * 1000
            outline = [[0, 0], [long - cut, 0], [long, wide // 2], [long - cut, wide], [cut // 2, wide]]
            edits.append({"stock": {"put": {
                "name": f"board {next_board}", "wood": wood, "outline": outline,
                "thickness": round(thickness * 1000) + dice.choice([0, 0, 3000]), "grain": dice.choice([0, 300, 17500]),
            }}})
            for _ in range(dice.randint(0, 3)):
                x, y, r = dice.randint(0, long), dice.randint(0, wide), dice.randint(4, 20) * 1000
                around = [[x, y - r], [x + r, y], [x, y + r], [x - r, y]]
                edits.append({"stock": {"fault": {"board": next_board, "around": around}}})
            if dice.random() < 0.4:
                x, half = long // 3, wide // 4
                around = [[x, half], [x + long // 5, half], [x + long // 5, wide - half], [x, wide - half]]
                edits.append({"stock": {"zone": {
                    "board": next_board, "name": "sapwood", "around": around, "keep": dice.random() < 0.5,
                }}})
            next_board += 1
    edits.append({"stock": {"laying": {
        "grain_within": dice.choice([0, 500, 1000]), "flip": dice.random() < 0.5,
        "apart": dice.choice([1000, 4000]), "edge": dice.choice([0, 3000]),
        "plane": dice.random() < 0.7, "allowance": 50,
    }}})
    change(spelk, folder, job, edits)
    spelk("stock", job, "--lay-out", "--effort", "1")
    some = [one["piece"] for one in json.loads(spelk("tell", job, "--json"))["layout"]][::7]
    if some:
        change(spelk, folder, job, [{"stock": {"cut": some}}])
        spelk("stock", job, "--lay-out", "--effort", "0")
    return json.loads(spelk("tell", job, "--json"))


def change(spelk, folder, job, edits):
    (folder / "edits.json").write_text(json.dumps(edits))
    spelk("edit", job, folder / "edits.json")


@pytest.fixture(scope="module", params=["demo", 1, 2, 3, 4])
def told(request, spelk, demo, tmp_path_factory):
    if request.param == "demo":
        return request.getfixturevalue("plan")
    return laid_out(spelk, tmp_path_factory.mktemp("layout"), demo, request.param)


def test_something_is_laid(told):
    assert len(told["layout"]) > len(told["pieces"]) / 4


def test_no_piece_lies_over_another_an_edge_or_a_fault(told):
    apart, edge = told["laying"]["apart_mm"], told["laying"]["edge_mm"]
    used = {board["id"]: {one["piece"] for one in board["used"]} for board in told["boards"]}
    for board in told["boards"]:
        outline = Polygon(board["outline_mm"])
        here = {one["piece"]: Polygon(one["ring_mm"]) for one in told["layout"] if one["board"] == board["id"]}
        assert all(shape.is_valid for shape in here.values())
        for number, shape in here.items():
            assert outline.covers(shape), f"piece {number} over the edge of {board['name']}"
            assert shape.distance(outline.exterior) >= edge - 1e-9, f"piece {number} too near to the edge"
            for fault in board["faults_mm"]:
                assert shape.distance(Polygon(fault)) >= edge - 1e-9, f"piece {number} at a fault"
                assert not shape.intersects(Polygon(fault))
            for zone in board["zones"]:
                zone_shape = Polygon(zone["outline_mm"])
                inside, outside = zone_shape.covers(shape), not zone_shape.intersects(shape)
                assert outside or (inside and not zone["keep"]), f"piece {number} across a zone"
        shapes = list(here.values())
        if not shapes:
            continue
        tree = shapely.STRtree(shapes)
        for a, b in zip(*tree.query(shapes, predicate="dwithin", distance=max(apart - 1e-9, 1e-9))):
            assert a == b, f"pieces {list(here)[a]} and {list(here)[b]} on {board['name']}"
        for one in board["used"]:
            assert Polygon(one["ring_mm"]).equals(here[one["piece"]]), "what is cut is gone where it lay"
        assert used[board["id"]] <= set(here)


def test_grain_is_kept_and_nothing_is_mirrored(told):
    pieces = {piece["number"]: piece for piece in told["pieces"]}
    areas = {area["number"]: area for area in told["areas"] if area["number"] is not None}
    boards = {board["id"]: board for board in told["boards"]}
    within, flip = told["laying"]["grain_within_deg"], told["laying"]["flip"]
    for one in told["layout"]:
        piece, board = pieces[one["piece"]], boards[one["board"]]
        off = (piece["grain_deg"] + one["turn_deg"] - board["grain_deg"]) % 180.0
        assert min(off, 180.0 - off) <= within + 1e-9, f"piece {one['piece']} lies {off}° off its grain"
        if not flip:
            straight = (one["turn_deg"] + (piece["grain_deg"] if piece["grain_deg"] <= 90 else piece["grain_deg"] - 180))
            end_for_end = (straight - board["grain_deg"]) % 360.0
            assert min(end_for_end, 360.0 - end_for_end) <= within + 1e-9, f"piece {one['piece']} is turned end for end"
        ring = areas[one["piece"]]["rings_mm"][0]
        xs, ys = [x for x, _ in ring], [y for _, y in ring]
        middle = ((min(xs) + max(xs)) / 2, (min(ys) + max(ys)) / 2)
        # Counterclockwise as seen, with y down, is what shapely calls a negative turn.
        shape = affinity.rotate(Polygon(ring), -one["turn_deg"], origin=middle)
        shape = affinity.translate(shape, one["at_mm"][0] - middle[0], one["at_mm"][1] - middle[1])
        for (x, y), (u, v) in zip(shape.exterior.coords, one["ring_mm"]):
            assert math.hypot(x - u, y - v) <= ROUNDING, f"piece {one['piece']} is not the piece turned and moved"


def test_wood_and_thickness_are_there(told):
    pieces = {piece["number"]: piece for piece in told["pieces"]}
    boards = {board["id"]: board for board in told["boards"]}
    cuts = {one["board"]: one["at_mm"] for one in told["crosscuts"]}
    planed = {}
    for one in told["layout"]:
        piece, board = pieces[one["piece"]], boards[one["board"]]
        assert piece["wood"] == board["wood"]
        assert piece["thickness_mm"] <= board["thickness_mm"]
        if one["by"] == "fact":
            continue
        left = min(x for x, _ in board["outline_mm"])
        xs = [x - left for x, _ in one["ring_mm"]]
        part = sum(at <= min(xs) for at in cuts.get(one["board"], []))
        assert part == sum(at <= max(xs) for at in cuts.get(one["board"], [])), f"piece {one['piece']} across a crosscut"
        planed.setdefault((one["board"], part), set()).add(piece["thickness_mm"])
    assert all(len(each) == 1 for each in planed.values()), "a part of a board is planed to one thickness"
    assert all(len({part for on, part in planed if on == board}) == len(at) + 1 for board, at in cuts.items())


def test_what_lies_nowhere_is_named_or_bought(told):
    laid = {one["piece"] for one in told["layout"]}
    open_pieces = {piece["number"] for piece in told["pieces"] if piece["number"] not in laid}
    assert {number for one in told["missing"] for number in one["pieces"]} == open_pieces
    named = {n for f in told["findings"] if f["kind"] == "no_board" for n in f["where"].get("pieces", [])}
    assert named == open_pieces
    for one in told["missing"]:
        boards = one["boards"]
        face = boards["count"] * boards["length_mm"] * boards["width_mm"]
        assert face >= one["buy_mm2"] - 1e-6
        # Board feet = T (in) × W (in) × L (ft) ÷ 12, from 1 in up: a cubic foot has twelve.
        if one["rough"] and one["rough"].endswith("/4"):
            inches = int(one["rough"][:-2]) / 4
            expected = inches * boards["width_mm"] / 25.4 * boards["length_mm"] / 304.8 / 12 * boards["count"]
            assert math.isclose(one["board_feet"], expected, rel_tol=1e-4)
