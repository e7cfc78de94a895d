"""Heights on stock against HiGHS's mixed-integer optimum.

A binary a level, exactly one a piece; the height is their sum weighted by the levels. HiGHS proves its optimum to a gap of
zero; our cost must equal it, and be none where HiGHS finds no solution.
"""

import json
import os
import pathlib
import subprocess

import highspy

ROOT = pathlib.Path(__file__).resolve().parents[2]
EXAMPLES = pathlib.Path(os.environ.get("SPELK_EXAMPLES", ROOT / "target" / "release" / "examples"))


def jobs(*numbers):
    done = subprocess.run([EXAMPLES / "levels", *map(str, numbers)], capture_output=True, text=True, check=True)
    return [json.loads(line) for line in done.stdout.splitlines()]


def optimum(job):
    nodes, rows = job["nodes"], job["rows"]
    solver = highspy.Highs()
    solver.silent()
    solver.setOptionValue("threads", 1)
    solver.setOptionValue("mip_rel_gap", 0.0)
    chosen = [[solver.addBinary(obj=cost) for _, cost in levels] for levels in nodes]
    for levels in chosen:
        solver.addConstr(sum(levels) == 1)
    height = [sum(at * on for (at, _), on in zip(levels, ons)) for levels, ons in zip(nodes, chosen)]
    for low, high, by, weight in rows:
        if low == high and weight is None:
            if by > 0:
                return None
            continue
        slack = 0 if weight is None else solver.addVariable(lb=0, obj=weight)
        step = 0 if low == high else height[high] - height[low]
        solver.addConstr(step + slack >= by)
    solver.run()
    if solver.getModelStatus() == highspy.HighsModelStatus.kInfeasible:
        return None
    assert solver.getModelStatus() == highspy.HighsModelStatus.kOptimal
    return round(solver.getObjectiveValue())


def test_the_cost_is_the_optimum():
    unsolvable = 0
    for job in jobs(0, 20, 12, 6, 20, 60):
        unsolvable += job["cost"] is None
        assert job["cost"] == optimum(job), job["seed"]
    assert 0 < unsolvable < 10
