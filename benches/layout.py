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
    import spyrrow

    told = json.loads(path.read_text())
    items = [
        spyrrow.Item(str(item["id"]), [tuple(p) for p in item["shape"]["data"]], item["demand"], item["allowed_orientations"])
        for item in told["items"]
    ]
    config = spyrrow.StripPackingConfig(
        early_termination=False, total_computation_time=seconds, num_workers=2, seed=seed
    )
    before = time.process_time()
    solved = spyrrow.StripPackingInstance(path.stem, told["strip_height"], items).solve(config)
    return 100 * solved.density, time.process_time() - before


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


def jobs(seconds):
    for pieces, seed in JOBS:
        run = ours("job", pieces, seed, 2 * seconds)
        print(
            f"{pieces} pieces, {run['groups']} groups: first layout {run['first'] / 1e4:.1f} dm², best {run['best'] / 1e4:.1f}, "
            f"bound {run['bound'] / 1e4:.1f}; {100 * (1 - run['best'] / run['first']):.1f} % less than first (bar 15), "
            f"{100 * (run['best'] / run['bound'] - 1):.1f} % over the bound (bar 12); "
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
