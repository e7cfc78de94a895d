"""The view, timed from outside and compared with a path tracer's kept answer: `cargo xtask bench view`.

Arguments: the built command, the folder to write into. Two megapixels and 0.3 megapixels of the demo, the best of five, reading
the job and writing the file included. Wall clock: the load beside the figures tells how idle the machine was.
"""

import os
import subprocess
import sys
import time
from pathlib import Path

HERE = Path(__file__).resolve().parent
TRIES = 5


def main(spelk, folder):
    folder.mkdir(parents=True, exist_ok=True)
    os.environ["SPELK_STATE"], os.environ["SPELK_SHOP"] = str(folder / "state"), str(folder / "shop.spelk")
    job = folder / "demo" / "heron.spelk"
    if not job.exists():
        subprocess.run([spelk, "demo", folder / "demo"], check=True, stdout=subprocess.DEVNULL)
    for name, across, most in [("2 megapixels", 1634, 6.0), ("0.3 megapixels", 633, 0.5)]:
        spent = []
        for _ in range(TRIES):
            start = time.perf_counter()
            words = [spelk, "view", job, "--out", folder / "view.png", "--pixels", str(across), "--threads", "2"]
            subprocess.run(words, check=True, stdout=subprocess.DEVNULL)
            spent.append(time.perf_counter() - start)
        print(f"{name}: {min(spent):.2f} s at best of {TRIES} (bar {most} s), load {os.getloadavg()[0]:.1f}")
    beside = [sys.executable, HERE / "view_beside.py", spelk, folder, HERE / "answers" / "view.json"]
    subprocess.run(beside, check=True)


main(sys.argv[1], Path(sys.argv[2]))
