"""The book of an 800-piece job, timed from outside: `cargo xtask bench book`.

Arguments: the built command, the folder to write into. The job is scikit-image's astronaut (public domain), 420 mm wide. The
bar is 3 s and 30 MB, the same bytes each time. Seconds are wall clock, so they hold only for an idle machine; processor
seconds and the load beside them tell how idle it was.
"""

import os
import resource
import subprocess
import sys
import time
from pathlib import Path

import pypdf

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "tests" / "reference"))
import pictures  # noqa: E402

SECONDS_MOST, MEGABYTES_MOST, RUNS = 3.0, 30.0, 3


def main(spelk, folder):
    folder.mkdir(parents=True, exist_ok=True)
    os.environ["SPELK_STATE"], os.environ["SPELK_SHOP"] = str(folder / "state"), str(folder / "shop.spelk")
    job = folder / "book-800.spelk"
    job.unlink(missing_ok=True)
    picture = pictures.write("astronaut", folder)
    run(spelk, "start", picture, "--out", job, "--width", "420mm", "--pieces", "800", "--keep-all")
    books = set()
    for threads in (1, 2):
        timed = [once(spelk, threads, job, folder) for _ in range(RUNS)]
        books |= {book for _, _, book in timed}
        wall, cpu = min(t[0] for t in timed), min(t[1] for t in timed)
        print(f"{threads} threads: {wall:.2f} s (bar: {SECONDS_MOST}), {cpu:.2f} s of processor, best of {RUNS}; load {os.getloadavg()[0]:.1f}")
    pages = len(pypdf.PdfReader(folder / "book" / "pattern-book-a4.pdf").pages)
    print(f"{pages} pages, {len(next(iter(books))) / 1e6:.1f} MB (bar: {MEGABYTES_MOST}), {len(books)} different books of {2 * RUNS}")


def run(*words):
    subprocess.run([*map(str, words)], check=True, stdout=subprocess.DEVNULL)


def once(spelk, threads, job, folder):
    """Wall and processor seconds, and the book."""
    start, before = time.perf_counter(), spent()
    run(spelk, "--threads", threads, "sheets", job, "--out", folder / "book")
    return time.perf_counter() - start, spent() - before, (folder / "book" / "pattern-book-a4.pdf").read_bytes()


def spent():
    used = resource.getrusage(resource.RUSAGE_CHILDREN)
    return used.ru_utime + used.ru_stime


main(sys.argv[1], Path(sys.argv[2]))
