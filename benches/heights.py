"""Heights beside HiGHS, and landing on stock: 800 pieces and 4,000 relations, one thread each, medians of one run.

`cargo xtask bench heights` runs it; the reference checks lend their solver and their jobs.
"""

import pathlib
import sys

import numpy as np

sys.path.insert(0, str(pathlib.Path(__file__).resolve().parents[1] / "tests" / "reference"))
import test_heights  # noqa: E402
import test_stock  # noqa: E402


def beside_highs():
    ours, theirs = [], []
    for job in test_heights.jobs(20_000, 12, 800, 4_000):
        _, seconds = test_heights.judge(job["nodes"], job["rows"])
        if job["cost"] is not None:
            ours.append(job["seconds"])
            theirs.append(seconds)
    ours, theirs = np.median(ours), np.median(theirs)
    print(f"heights: ours {ours * 1e3:.1f} ms, HiGHS run() {theirs * 1e3:.1f} ms, {theirs / ours:.1f} times (bar: 8)")


def on_stock(wishes):
    done = test_stock.jobs(0, 6, 800, 40, 4_000, wishes)
    seconds = np.median([job["seconds"] for job in done if job["cost"] is not None])
    print(f"on stock, 40 levels, {wishes} % of the relations wishes: {seconds:.3f} s (bar: 0.5)")


beside_highs()
for share in (0, 50, 100):
    on_stock(share)
