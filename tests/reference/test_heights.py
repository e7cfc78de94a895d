"""Heights against HiGHS (MIT), a linear programme solver that we did not write.

HiGHS's solution is rounded to whole micrometres, checked against every must and costed in integers; the cost must equal
ours to the last unit. Where there is no solution, HiGHS must say so too, and without any one row of the conflict that we
name HiGHS must find the rest of it solvable.

`answers/heights.json` holds the costs of 500 jobs (null: no solution) as HiGHS gave them; a Rust test holds our solver to
all of them, and a tenth is solved again here. `python test_heights.py` makes the file anew.
"""

import json
import os
import pathlib
import subprocess
import time

import highspy
import numpy as np

HERE = pathlib.Path(__file__).resolve().parent
ROOT = HERE.parents[1]
ANSWERS = HERE / "answers" / "heights.json"
EXAMPLES = pathlib.Path(os.environ.get("SPELK_EXAMPLES", ROOT / "target" / "release" / "examples"))
JOBS = 500
FAR = highspy.kHighsInf


def jobs(first, count, *size):
    done = subprocess.run(
        [EXAMPLES / "heights", *map(str, (first, count, *size))], capture_output=True, text=True, check=True
    )
    return [json.loads(line) for line in done.stdout.splitlines()]


def programme(nodes, rows):
    """The natural form: bounds on columns, a distance |x[j] - x[i] - d| as one row with two slacks, the rest a row each."""
    lower, upper = np.full(nodes, -FAR), np.full(nodes, FAR)
    lower[0] = upper[0] = 0
    costs, starts, index, value, row_low, row_high, count = [], [], [], [], [], [], nodes

    def add(low, high, slacks, least, most):
        starts.append(len(index))
        for column, factor in [(high, 1.0), (low, -1.0), *slacks]:
            if column:
                index.append(column)
                value.append(factor)
        row_low.append(least)
        row_high.append(most)

    at = 0
    while at < len(rows):
        low, high, by, weight = rows[at]
        twin = at + 1 < len(rows) and rows[at + 1] == [high, low, -by, weight]
        if low == high:
            assert weight is not None or by <= 0, "a node above itself is left to the caller"
        elif weight is None:
            if low == 0:
                lower[high] = max(lower[high], by)
            elif high == 0:
                upper[low] = min(upper[low], -by)
            else:
                add(low, high, [], by, FAR)
            twin = False
        elif twin:
            add(low, high, [(count, -1.0), (count + 1, 1.0)], by, by)
            costs += [weight, weight]
            count += 2
        else:
            add(low, high, [(count, 1.0)], by, FAR)
            costs.append(weight)
            count += 1
        at += 2 if twin else 1

    lp = highspy.HighsLp()
    lp.num_col_, lp.num_row_ = count, len(row_low)
    lp.col_cost_ = np.concatenate([np.zeros(nodes), np.array(costs, dtype=float)])
    lp.col_lower_ = np.concatenate([lower, np.zeros(count - nodes)])
    lp.col_upper_ = np.concatenate([upper, np.full(count - nodes, FAR)])
    lp.row_lower_, lp.row_upper_ = np.array(row_low, dtype=float), np.array(row_high, dtype=float)
    lp.a_matrix_.format_ = highspy.MatrixFormat.kRowwise
    lp.a_matrix_.start_ = np.array([*starts, len(index)])
    lp.a_matrix_.index_ = np.array(index)
    lp.a_matrix_.value_ = np.array(value, dtype=float)
    return lp


def judge(nodes, rows):
    """HiGHS's whole-number heights, or None when it finds that there are none; and the seconds of its `run()`."""
    if any(low == high and weight is None and by > 0 for low, high, by, weight in rows):
        return None, 0.0
    solver = highspy.Highs()
    solver.silent()
    solver.setOptionValue("threads", 1)
    solver.passModel(programme(nodes, rows))
    begun = time.perf_counter()
    solver.run()
    seconds = time.perf_counter() - begun
    status = solver.getModelStatus()
    if status in (highspy.HighsModelStatus.kInfeasible, highspy.HighsModelStatus.kUnboundedOrInfeasible):
        return None, seconds
    assert status == highspy.HighsModelStatus.kOptimal, status
    return [round(x) for x in solver.getSolution().col_value[:nodes]], seconds


def cost(rows, x):
    """In integers; fails when a must is broken."""
    total = 0
    for low, high, by, weight in rows:
        missed = max(0, by - (x[high] - x[low]))
        assert weight is not None or missed == 0
        total += (weight or 0) * missed
    return total


def judged_cost(job):
    x, _ = judge(job["nodes"], job["rows"])
    return None if x is None else cost(job["rows"], x)


def test_a_tenth_of_the_jobs_again():
    kept = json.loads(ANSWERS.read_text())
    for job in jobs(0, JOBS // 10):
        assert job["cost"] == judged_cost(job) == kept[job["seed"]], job["seed"]


def test_jobs_that_nobody_has_seen():
    for job in jobs(10_000, 10):
        assert job["cost"] == judged_cost(job), job["seed"]


def test_without_any_one_row_a_conflict_is_none():
    conflicts = 0
    for job in jobs(0, 200):
        if job["conflict"] is None:
            continue
        conflicts += 1
        rows = [job["rows"][at] for at in job["conflict"]]
        assert all(weight is None for *_, weight in rows)
        assert judge(job["nodes"], rows)[0] is None
        for left_out in range(len(rows)):
            assert judge(job["nodes"], rows[:left_out] + rows[left_out + 1 :])[0] is not None, job["seed"]
    assert conflicts >= 20


if __name__ == "__main__":
    ANSWERS.parent.mkdir(exist_ok=True)
    answers = [judged_cost(job) for first in range(0, JOBS, 50) for job in jobs(first, 50)]
    ANSWERS.write_text(json.dumps(answers, indent=0) + "\n")
