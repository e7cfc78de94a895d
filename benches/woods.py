"""Woods measured from outside, bar by bar: `cargo xtask bench woods`.

Colours beside colour-science and ColorAide; the choice of woods beside HiGHS on small jobs, and beside ten runs of ten times
the effort on large ones; the bench pictures with 8 woods: order of light kept along borders, and difference to the target
beside the best 8 woods for that alone (a p-median, by HiGHS); how often woods called apart are not.

The reference checks lend their jobs and their solver. Bench pictures as in `picture.py`. Arguments name the parts to run:
colours, small, large, pictures, sure; without any, all.
"""

import json
import pathlib
import resource
import subprocess
import sys

import highspy
import numpy as np

ROOT = pathlib.Path(__file__).resolve().parents[1]
sys.path[:0] = [str(ROOT / "tests" / "reference"), str(ROOT / "benches")]
import picture  # noqa: E402
import test_choose  # noqa: E402
import test_colour  # noqa: E402
import test_sure  # noqa: E402

FOLDER = ROOT / "target" / "bench"
LARGE = [400, 60, 8]
# What the eye follows in the picture, what wood owes it then, ΔL*.
SEEN, KEPT = 5.0, 2.0


def colours():
    ours = test_colour.told()
    lab = np.abs(test_colour.lab_by_colour_science(ours) - ours["lab"]).max()
    off = np.abs(test_colour.colour.difference.delta_E_CIE2000(ours["lab"][:, 0], ours["lab"][:, 1]) - ours["delta_e_2000"])
    print(f"colours, {len(ours['rgb'])} beside colour-science: Lab {lab:.1e}, CIEDE2000 {off.max():.1e} (bar: 1e-6)")
    off = test_colour.off_coloraide(ours, 1)
    print(f"colours, all beside ColorAide: Lab {off[0]:.1e}, CIEDE2000 {off[1]:.1e} (bar: 1e-6)")


def small():
    gaps = test_choose.gaps()
    print(f"100 small jobs, a third with boards on hand: {sum(g == 0 for g in gaps)} at HiGHS's optimum (bar: 90), "
          f"worst gap {max(gaps):.3%} (bar: 2)")


def large():
    for seed in (1, 2, 0, 3):
        before = resource.getrusage(resource.RUSAGE_CHILDREN).ru_utime
        [ours] = test_choose.jobs(seed, 1, *LARGE)
        processor = resource.getrusage(resource.RUSAGE_CHILDREN).ru_utime - before
        best = min(test_choose.jobs(seed, 1, *LARGE, 240, search)[0]["cost"] for search in range(1, 11))
        limits = "boards on hand" if any(room is not None for room in ours["room"]) else "no limits"
        print(f"400 pieces, 60 woods, {limits}: {ours['seconds']:.2f} s by the clock, {processor:.2f} s of processor time "
              f"(bar: 2), {ours['cost'] / best - 1:+.2%} to the best of ten runs at ten times the effort (bar: 1)")


def pictures():
    FOLDER.mkdir(parents=True, exist_ok=True)
    if not all((FOLDER / f"{name}.png").exists() for name in ("astronaut", "coffee", "turkey")):
        picture.make(FOLDER)
    for name in ("astronaut", "coffee", "turkey"):
        for pieces in (100, 200, 400):
            words = [test_choose.EXAMPLES / "choose", "picture", FOLDER / f"{name}.png", "400", str(pieces), "8"]
            told = json.loads(subprocess.run(words, capture_output=True, check=True).stdout)
            print(f"{name}, {len(told['nodes'])} pieces, 8 woods: " + of_picture(told))


def of_picture(told):
    light, seen = np.array(told["looks"])[:, 0], np.array(told["picture"])[:, 0]
    label = np.array(told["label"])
    one, two, mm = np.array(told["meetings"]).T
    one, two = one.astype(int), two.astype(int)
    step, wood = seen[one] - seen[two], light[label[one]] - light[label[two]]
    asked = np.abs(step) >= SEEN
    kept = mm[asked & (np.sign(step) * wood >= KEPT)].sum() / mm[asked].sum()
    size = np.array([node["size"] for node in told["nodes"]])
    off = np.array([node["cost"] for node in told["nodes"]]) / size[:, None] ** 0.7
    pick = np.arange(len(label))
    over = []
    for weight in (size, size**0.7):
        alone = best_alone(off * weight[:, None], told["most"])
        ours, best = (np.average(off[pick, chosen], weights=weight) for chosen in (label, alone))
        over.append(f"{ours:.2f}, {ours / best - 1:+.1%}")
    return (f"order kept along {kept:.1%} of {mm[asked].sum():.0f} mm (bar: 95); dE00 to the target and over the best 8 for it "
            f"alone (bar: 5 %): by area {over[0]}, by area^0.7, as the choice weighs it, {over[1]}; {told['seconds']:.1f} s")


def best_alone(costs, most):
    """The labels of the cheapest `most` columns: a p-median; only the choice of columns need be whole."""
    nodes, woods = costs.shape
    lp = highspy.HighsLp()
    lp.num_col_ = nodes * woods + woods
    lp.col_cost_ = np.concatenate([costs.ravel(), np.zeros(woods)])
    lp.col_lower_, lp.col_upper_ = np.zeros(lp.num_col_), np.ones(lp.num_col_)
    x = np.arange(nodes * woods).reshape(nodes, woods)
    y = nodes * woods + np.arange(woods)
    rows = [(1, 1, row, np.ones(woods)) for row in x] + [(0, most, y, np.ones(woods))]
    rows += [(-highspy.kHighsInf, 0, np.array([x[i, w], y[w]]), np.array([1.0, -1.0])) for i in range(nodes) for w in range(woods)]
    lp.num_row_ = len(rows)
    lp.row_lower_, lp.row_upper_ = np.array([row[0] for row in rows], float), np.array([row[1] for row in rows], float)
    lp.integrality_ = [highspy.HighsVarType.kContinuous] * (nodes * woods) + [highspy.HighsVarType.kInteger] * woods
    lp.a_matrix_.format_ = highspy.MatrixFormat.kRowwise
    lp.a_matrix_.start_ = np.cumsum([0] + [len(row[2]) for row in rows])
    lp.a_matrix_.index_ = np.concatenate([row[2] for row in rows])
    lp.a_matrix_.value_ = np.concatenate([row[3] for row in rows])
    solver = highspy.Highs()
    solver.silent()
    solver.setOptionValue("threads", 1)
    solver.setOptionValue("mip_rel_gap", 1e-4)
    solver.passModel(lp)
    solver.run()
    assert solver.getModelStatus() == highspy.HighsModelStatus.kOptimal
    chosen = np.array(solver.getSolution().col_value)[y] > 0.5
    return np.where(chosen, costs, np.inf).argmin(1)


def sure():
    for finish, (called, wrong) in test_sure.counted(draws=200).items():
        print(f"{finish}: {called} pairs called apart, {wrong:.2%} of their true colours under the visible step (bar: 5)")


if __name__ == "__main__":
    for part in (colours, small, large, pictures, sure):
        if not sys.argv[1:] or part.__name__ in sys.argv[1:]:
            part()
