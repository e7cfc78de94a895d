"""Copies against the exact number: Shapely (GEOS) says which pieces touch, HiGHS how few prints there can be.

The integer programme gives each piece one print, touching pieces different ones, and the pieces of one largest clique
(networkx) the first prints, in order.
"""

import json
import subprocess

import highspy
import networkx
import shapely

from conftest import EXAMPLES


def patterns(*numbers):
    done = subprocess.run([EXAMPLES / "copies", *map(str, numbers)], capture_output=True, text=True, check=True)
    return [json.loads(line) for line in done.stdout.splitlines()]


def graph(told):
    """Pieces that come within the margin."""
    shapes = [shapely.Polygon(p["rings_mm"][0], p["rings_mm"][1:]) for p in told["pieces"]]
    near = shapely.STRtree(shapes).query(shapes, predicate="dwithin", distance=told["margin_mm"] + 1e-9)
    graph = networkx.Graph()
    graph.add_nodes_from(range(len(shapes)))
    graph.add_edges_from((a, b) for a, b in near.T.tolist() if a < b)
    return graph


def proper(told, graph):
    copy = [piece["copy"] for piece in told["pieces"]]
    return all(copy[a] != copy[b] for a, b in graph.edges) and set(copy) == set(range(1, told["number"] + 1))


def fewest(graph):
    clique = max(networkx.find_cliques(graph), key=len)
    number = len(clique)
    while not colourable(graph, number, clique):
        number += 1
    return number


def colourable(graph, number, clique):
    solver = highspy.Highs()
    solver.silent()
    solver.setOptionValue("threads", 1)
    on = {node: [solver.addBinary() for _ in range(number)] for node in graph}
    for row in on.values():
        solver.addConstr(sum(row) == 1)
    for a, b in graph.edges:
        for c in range(number):
            solver.addConstr(on[a][c] + on[b][c] <= 1)
    for colour, node in enumerate(clique):
        solver.addConstr(on[node][colour] == 1)
    solver.run()
    status = solver.getModelStatus()
    assert status in (highspy.HighsModelStatus.kOptimal, highspy.HighsModelStatus.kInfeasible)
    return status == highspy.HighsModelStatus.kOptimal


def test_the_number_is_the_least():
    """100 patterns of 10 to 60 pieces at margins of 0 to 8 mm."""
    seen = {}
    for at in range(25):
        for margin in (0, 3, 5, 8):
            (told,) = patterns(1000 + 25 * margin + at, 1, 10 + 2 * at, margin)
            near = graph(told)
            assert told["exact"] and proper(told, near), told["seed"]
            assert told["number"] == fewest(near), told["seed"]
            above = told["number"] - told["clique"]
            seen[told["number"], above] = seen.get((told["number"], above), 0) + 1
    print("(prints, above the largest clique): patterns", dict(sorted(seen.items())))
    assert any(number >= 5 for number, _ in seen), "the margins make five pieces touch each other"


def test_large_patterns_are_within_one_of_the_largest_clique():
    for margin in (0, 3, 5, 8):
        (told,) = patterns(2000 + margin, 1, 800, margin)
        near = graph(told)
        clique = max(map(len, networkx.find_cliques(near)))
        assert proper(told, near) and told["clique"] == clique
        assert told["number"] <= clique + 1, (margin, told["number"], clique)
        print(f"{len(told['pieces'])} pieces, {margin} mm: {told['number']} prints, clique {clique}, {told['seconds']:.2f} s")
