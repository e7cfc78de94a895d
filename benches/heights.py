"""Heights beside HiGHS, and landing on stock: 800 pieces and 4,000 relations, one thread each, medians of one run.

`cargo xtask bench heights` runs it; the reference checks lend their solver and their jobs.
"""

import json
import pathlib
import resource
import sys

import numpy as np

sys.path.insert(0, str(pathlib.Path(__file__).resolve().parents[1] / "tests" / "reference"))
import test_heights  # noqa: E402
import test_settings  # noqa: E402
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


def timed(made):
    """Medians of seconds by the clock, and of processor time a job with its making and printing: a busy machine stretches the first."""
    before = resource.getrusage(resource.RUSAGE_CHILDREN).ru_utime
    done = made()
    processor = (resource.getrusage(resource.RUSAGE_CHILDREN).ru_utime - before) / len(done)
    seconds = np.median([job["seconds"] for job in done if job["cost"] is not None])
    return done, f"{seconds:.3f} s by the clock, {processor:.3f} s of processor time"


def on_stock(wishes):
    _, took = timed(lambda: test_stock.jobs(0, 6, 800, 40, 4_000, wishes))
    print(f"on stock, 40 levels, {wishes} % of the relations wishes: {took} (bar: 0.5)")


def by_few_settings(most):
    done, took = timed(lambda: test_settings.jobs(0, 4, (800, 8, 4_000, 50), most))
    proved = sum(job["proved"] for job in done)
    print(f"on stock by at most {most} of 8 thicknesses: {took}; {proved} of {len(done)} proved optimal")


def beside_the_optimum():
    kept = json.loads(test_settings.ANSWERS.read_text())
    over = [(job["cost"] - best) / best for (job, _), best in zip(test_settings.all_jobs(), kept)]
    print(f"few settings, 100 jobs of 25 pieces, above HiGHS's optimum: median {np.median(over):.2%} (bar: 1), "
          f"worst {max(over):.2%} (bar: 5)")


beside_highs()
for share in (0, 50, 100):
    on_stock(share)
for most in (3, 5):
    by_few_settings(most)
beside_the_optimum()
