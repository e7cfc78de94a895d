"""Layouts in figures: open strip sets beside our own first layout and beside spyrrow, and jobs of the fixed generator.

`cargo xtask bench layout [--sets FOLDER] [--seconds N] [--seeds N] [--jobs]` runs it. SPELK_EXAMPLES points to the built
examples. Seconds are of wall time on two cores: ours are counted as twice as much processor time, so a busy machine
takes nothing from us; spyrrow knows wall time only, so its processor time is told beside its figure.
The sets are JSON files with `strip_height` and `items` (`shape`, `demand`, `allowed_orientations`); none is part of this project.
"""

import argparse
import json
import os
import pathlib
import statistics
import subprocess
import time

import shapely

EXE = pathlib.Path(os.environ["SPELK_EXAMPLES"]) / "layout"
JOBS = [(60, 1), (200, 2), (500, 3)]
# Pieces to which a job's seconds are said; more pieces get more.
COUNTED = 60


def ours(*words):
    return json.loads(subprocess.run([EXE, *map(str, words)], check=True, capture_output=True, text=True).stdout)


def valid(run):
    """Overlaps and overhangs beyond a µm of depth, by Shapely."""
    rings = [shapely.Polygon(ring) for ring in run["rings"]]
    strip = shapely.box(0, 0, run["long"], run["high"]).buffer(1.0)
    tree = shapely.STRtree(rings)
    pairs = [(i, j) for i, j in zip(*tree.query(rings, "intersects")) if i < j]
    over = sum(not rings[i].buffer(-1.0).intersection(rings[j]).is_empty for i, j in pairs)
    return over + sum(not strip.contains(ring) for ring in rings)


def spyrrow(path, seconds, seed):
    told = json.loads(path.read_text())
    items = [
        (str(item["id"]), [tuple(p) for p in item["shape"]["data"]], item["demand"], item["allowed_orientations"])
        for item in told["items"]
    ]
    density, used = packed(items, told["strip_height"], seconds, seed)
    return 100 * density, used


def packed(items, high, seconds, seed):
    """The density that spyrrow reaches on a strip, and its processor time."""
    import spyrrow

    config = spyrrow.StripPackingConfig(
        early_termination=False, total_computation_time=seconds, num_workers=2, seed=seed
    )
    before = time.process_time()
    instance = spyrrow.StripPackingInstance("strip", high, [spyrrow.Item(*item) for item in items])
    return instance.solve(config).density, time.process_time() - before


def strips(folder, seconds, seeds):
    for path in sorted(pathlib.Path(folder).glob("*.json")):
        runs = [ours("strip", path, seed, 2 * seconds) for seed in range(1, seeds + 1)]
        best = statistics.median(run["best"] for run in runs)
        first = statistics.median(run["first"] for run in runs)
        broken = sum(valid(run) for run in runs)
        theirs = [spyrrow(path, seconds, seed) for seed in range(1, seeds + 1)]
        density = statistics.median(run[0] for run in theirs)
        each = ", ".join(f"{run['best']:.2f}" for run in runs)
        print(
            f"{path.stem}: {best:.2f} % ({each}), first layout {first:.2f}, "
            f"gain {best - first:.2f} points, broken {broken}; spyrrow {density:.2f} "
            f"({', '.join(f'{run[0]:.2f} in {run[1]:.0f} s' for run in theirs)} of processor time); "
            f"ours less theirs {best - density:+.2f}; load {os.getloadavg()[0]:.1f}",
            flush=True,
        )


def endless(pieces, seed, seconds):
    """By what share spyrrow's strips pass the area that the pieces claim: each group on one endless board as wide as its
    own are, without faults, ends or a limit of time but the same. No layout on boards has it easier."""
    told = ours("show", pieces, seed, 0)
    half = told["apart"] / 2
    groups = {}
    for blank in filter(None, told["blanks"]):
        groups.setdefault(tuple(blank["sheets"]), []).append(shapely.Polygon(blank["outer"]).buffer(half, quad_segs=8))
    used = claimed = 0
    for sheets, forms in groups.items():
        wide = statistics.mean(shapely.Polygon(told["sheets"][sheet]["outer"]).bounds[3] for sheet in sheets)
        wide -= 2 * (told["edge"] - half)
        turns = [turn for flip in (0, 180) for turn in range(flip - 10, flip + 11, 2)]
        items = [
            (str(at), [(x / 1e3, y / 1e3) for x, y in form.simplify(30).exterior.coords[:-1]], 1, turns)
            for at, form in enumerate(forms)
        ]
        density, _ = packed(items, wide / 1e3, max(1, round(seconds * len(forms) / pieces)), 1)
        area = sum(form.area for form in forms)
        used, claimed = used + area / density, claimed + area
    return used / claimed - 1


def jobs(seconds):
    for pieces, seed in JOBS:
        given = seconds * pieces // COUNTED
        run = ours("job", pieces, seed, 2 * given)
        print(
            f"{pieces} pieces, {run['groups']} groups, {given} s: first layout {run['first'] / 1e4:.1f} dm², best "
            f"{run['best'] / 1e4:.1f}, bound {run['bound'] / 1e4:.1f}; {100 * (1 - run['best'] / run['first']):.1f} % less than "
            f"first (bar 15), {100 * (run['best'] / run['bound'] - 1):.1f} % over the bound (bar 12; spyrrow on endless boards "
            f"without faults {100 * endless(pieces, seed, given):.1f}); "
            f"left over {run['left_first']} and {run['left_best']}; load {os.getloadavg()[0]:.1f}",
            flush=True,
        )
    told = [ours("job", 60, 1, 100_000, effort)["best"] / 1e4 for effort in (0, 5, 20, 80)]
    print("60 pieces at effort 0, 5, 20, 80:", ", ".join(f"{used:.2f}" for used in told), "dm²")


def main():
    flags = argparse.ArgumentParser()
    flags.add_argument("--sets")
    flags.add_argument("--seconds", type=int, default=60)
    flags.add_argument("--seeds", type=int, default=3)
    flags.add_argument("--jobs", action="store_true", help="jobs alone")
    asked = flags.parse_args()
    if asked.sets and not asked.jobs:
        strips(asked.sets, asked.seconds, asked.seeds)
    jobs(asked.seconds)


main()
