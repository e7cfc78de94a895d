"""Mended heights against HiGHS's mixed-integer optimum.

The relations of each job are written out here from what they are meant to say, apart from the program's own way; a binary
says that a piece moves. First what wishes are missed by beyond what they were is least, then the pieces moved, then the
distance, each proved by HiGHS to a gap of zero while the ones before are held.

`answers/mends.json` holds the pieces and µm moved of 100 jobs by HiGHS (null: no way); a Rust test holds ours to all of
them, and a tenth is solved again here. `python test_mends.py` makes the file anew.
"""

import itertools
import json
import os
import pathlib
import subprocess

import highspy

HERE = pathlib.Path(__file__).resolve().parent
ANSWERS = HERE / "answers" / "mends.json"
EXAMPLES = pathlib.Path(os.environ.get("SPELK_EXAMPLES", HERE.parents[1] / "target" / "release" / "examples"))
JOBS = 100
EVENLY = 5  # what a micrometre off the even climb weighs: ARCHITECTURE calls it a wish of weight 5, or its own if less


def jobs(first, count):
    done = subprocess.run([EXAMPLES / "mends", str(first), str(count)], capture_output=True, text=True, check=True)
    return [json.loads(line) for line in done.stdout.splitlines()]


def whose(job, whom):
    return [whom["piece"]] if "piece" in whom else dict(map(tuple, job["parts"]))[whom["part"]]


def said(job, says, weight):
    """`(pairs, by, weight)`: of the worst of the pairs (low, high) the rise is at least `by`; None is the backer."""
    ((kind, of),) = says.items()

    def at_least(above, below, by):
        return list(itertools.product(whose(job, below), whose(job, above))), by, weight

    def at(whom, least, most):
        for piece in whose(job, whom):
            yield [(None, piece)], least, weight
            yield [(piece, None)], -most, weight

    if kind == "at_least":
        yield at_least(of["above"], of["below"], of["by"])
    elif kind == "about":
        yield at_least(of["above"], of["below"], of["by"])
        yield at_least(of["below"], of["above"], -of["by"])
    elif kind == "level":
        yield at_least(*of, 0)
        yield at_least(*of[::-1], 0)
    elif kind == "within":
        yield from at(*of)
    elif kind == "climbs":
        row = of["row"]
        yield from at(row[0], of["from"], of["from"])
        yield from at(row[-1], of["to"], of["to"])
        for low, high in itertools.pairwise(row):
            yield at_least(high, low, 0)
        for place in range(1, len(row) - 1):
            even = of["from"] + (of["to"] - of["from"]) * place // (len(row) - 1)
            for pairs, by, _ in at(row[place], even, even):
                yield pairs, by, EVENLY if weight is None else min(EVENLY, weight)
    else:
        raise ValueError(kind)


def rows(job):
    return [row for says, weight in job["relations"] for row in said(job, says, weight)]


def decided(pairs, heights):
    """The pairs that have heights: nothing is said of what is undecided."""
    return [pair for pair in pairs if all(piece is None or heights[piece] is not None for piece in pair)]


def missed(pairs, by, heights):
    """By the worst pair."""
    return max([0, *(by - (heights.get(high, 0) - heights.get(low, 0)) for low, high in decided(pairs, heights))])


def optimum(job):
    """[extra miss, pieces, µm] at the optimum, or None when the musts cannot hold."""
    before = {number: height for number, height, _ in job["pieces"]}
    stock = sorted({t + r for t in job["thicknesses"] for r in job["raisers"]})
    stock = [level for level in stock if job["range"][0] <= level <= job["range"][1]]
    solver = highspy.Highs()
    solver.silent()
    solver.setOptionValue("threads", 1)
    solver.setOptionValue("mip_rel_gap", 0.0)
    solver.setOptionValue("mip_abs_gap", 0.0)
    height, moves, far = {None: 0}, [], []
    for number, now, free in job["pieces"]:
        if now is not None and not free:
            height[number] = now
            continue
        chosen = [solver.addBinary() for _ in stock]
        solver.addConstr(sum(chosen) == 1)
        height[number] = sum(level * on for level, on in zip(stock, chosen))
        if now is not None:
            moves += [on for level, on in zip(stock, chosen) if level != now]
            far += [abs(level - now) * on for level, on in zip(stock, chosen) if level != now]
    extra = []
    for pairs, by, weight in rows(job):
        before_missed, slack = 0, 0
        if weight is not None:
            pairs = decided(pairs, before)
            before_missed, slack = missed(pairs, by, before), solver.addVariable(lb=0)
            extra.append(weight * slack)
        for low, high in pairs:
            rise = height[high] - height[low]
            if isinstance(rise, int) and weight is None:
                if rise < by:
                    return None
                continue
            solver.addConstr(rise + slack >= by - before_missed)
    found = []
    for stage in (extra, moves, far):
        goal = sum(stage) if stage else None
        if goal is None:
            found.append(0)
            continue
        solver.minimize(goal)
        if solver.getModelStatus() == highspy.HighsModelStatus.kInfeasible:
            return None
        assert solver.getModelStatus() == highspy.HighsModelStatus.kOptimal, solver.getModelStatus()
        found.append(round(solver.getObjectiveValue()))
        solver.addConstr(goal <= found[-1] + 1e-4)
    return found


def ours_extra(job):
    before, after = ({number: height for number, height, *_ in of} for of in (job["pieces"], job["heights"]))
    total = 0
    for pairs, by, weight in rows(job):
        now = missed(pairs, by, after)
        assert weight is not None or now == 0, "a must is broken"
        total += (weight or 0) * max(0, now - missed(pairs, by, before))
    return total


def judge(job):
    """Compares ours with HiGHS's; what HiGHS found."""
    found = optimum(job)
    assert (found is None) == (job["moved"] is None), job["seed"]
    if found is not None:
        assert job["moved"] == found[1:], (job["seed"], job["moved"], found)
        assert ours_extra(job) <= found[0], job["seed"]
        after = dict(map(tuple, job["heights"]))
        assert all(after[number] == height for number, height, free in job["pieces"] if not free), job["seed"]
    return found and found[1:]


def test_a_tenth_of_the_jobs_again():
    kept = json.loads(ANSWERS.read_text())
    for job in jobs(0, JOBS // 10):
        assert judge(job) == kept[job["seed"]], job["seed"]


if __name__ == "__main__":
    answers = [judge(job) for job in jobs(0, JOBS)]
    ANSWERS.write_text(json.dumps(answers, indent=0) + "\n")
    print(sum(answer is None for answer in answers), "without a way;", sum(bool(answer and answer[0]) for answer in answers), "moved")
