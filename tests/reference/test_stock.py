"""Heights on stock against HiGHS's mixed-integer optimum.

A binary a level, exactly one a piece; the height is their sum weighted by the levels. HiGHS proves its optimum to a gap of
zero; our cost must equal it, and be none where HiGHS finds no solution.

`answers/stock.json` holds the costs of 100 jobs of 25 pieces (null: no solution) as HiGHS gave them; ours are held to all of
them, and a tenth is solved again here. `python test_stock.py` makes the file anew.
"""

import json
import os
import pathlib
import subprocess

import highspy

HERE = pathlib.Path(__file__).resolve().parent
ANSWERS = HERE / "answers" / "stock.json"
EXAMPLES = pathlib.Path(os.environ.get("SPELK_EXAMPLES", HERE.parents[1] / "target" / "release" / "examples"))
# Pieces, levels, relations, and of these in a hundred the wishes.
SIZE = (25, 6, 40, 50)
JOBS = 100


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
    kept = json.loads(ANSWERS.read_text())
    ours = jobs(0, JOBS, *SIZE)
    assert [job["cost"] for job in ours] == kept
    assert 5 <= kept.count(None) <= JOBS / 2
    for job in ours[: JOBS // 10]:
        assert job["cost"] == optimum(job), job["seed"]


if __name__ == "__main__":
    ANSWERS.write_text(json.dumps([optimum(job) for job in jobs(0, JOBS, *SIZE)], indent=0) + "\n")
