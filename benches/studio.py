"""The pages' server, timed from outside: `cargo xtask bench studio`.

Arguments: the built command, the folder to write into. The job is scikit-image's astronaut (public domain), 420 mm wide, 800
pieces. A merge is timed from the request to its whole answer, the write to the disk included, and undone, which is timed
too; a draft at about 200 pieces as a slider asks for it, each time another number. The same picture at a megapixel takes marks of
its subject: from the stroke to the veil that shows what it did, the bar being 150 ms of processor time for a further one; the
server's check of the job, which runs beside it, is counted too and told by itself. Then, where Node and Chromium are, the same
by hand in the browser (`ui/browser/bench.mjs`): from the pointer going up to the frame after, which is what the bars of 120 ms
and 300 ms for a merge and 150 ms for a draft are about. Wall clock: the load beside the figures tells how idle the machine was.
"""

import http.client
import json
import os
import shutil
import statistics
import subprocess
import sys
import time
from pathlib import Path

from PIL import Image

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "tests" / "reference"))
import pictures  # noqa: E402

MERGES, DRAFTS, MARKS = 40, 21, 12
# Pixels of the picture that is marked, and points of its panel in mm: on the face, and to either side of it.
SIDE, WIDE = 1000, 420


class Server:
    def __init__(self, spelk, folder, job):
        words = [str(spelk), "studio", "--no-browser", str(job)]
        self.process = subprocess.Popen(words, cwd=folder, stdout=subprocess.PIPE, text=True)
        line = next(line for line in self.process.stdout if "http://" in line)
        rest = line[line.index("http://") + len("http://"):].strip()
        self.host, self.open = rest.split("/", 1)
        self.link = http.client.HTTPConnection(self.host, timeout=300)
        self.cookie = ""
        self.link.request("GET", "/" + self.open)
        answer = self.link.getresponse()
        answer.read()
        self.cookie = answer.getheader("set-cookie").split(";")[0]

    def ask(self, path, body=None):
        """Milliseconds from the request to the whole answer, and the answer."""
        heads = {"Cookie": self.cookie, "Content-Type": "application/json"}
        text = None if body is None else json.dumps(body)
        # A connection that was silent for five seconds is closed by the server.
        self.link.close()
        start = time.perf_counter()
        self.link.request("GET" if body is None else "POST", path, text, heads)
        answer = self.link.getresponse()
        got = answer.read()
        spent = 1000 * (time.perf_counter() - start)
        assert answer.status == 200, (path, answer.status, got[:300])
        return spent, json.loads(got) if "json" in answer.getheader("content-type") else None, len(got)

    def processor(self):
        """Milliseconds of processor time that the server has taken."""
        spent = Path(f"/proc/{self.process.pid}/stat").read_text().rsplit(")", 1)[1].split()[11:13]
        return 1000 * sum(map(int, spent)) / os.sysconf("SC_CLK_TCK")

    def at_rest(self):
        """The same once it has come to rest."""
        while True:
            before = self.processor()
            time.sleep(0.2)
            if self.processor() == before:
                return before


def main(spelk, folder):
    folder.mkdir(parents=True, exist_ok=True)
    os.environ["SPELK_STATE"], os.environ["SPELK_SHOP"] = str(folder / "state"), str(folder / "shop.spelk")
    job = folder / "studio-800.spelk"
    job.unlink(missing_ok=True)
    picture = pictures.write("astronaut", folder)
    words = ["start", picture, "--out", job, "--width", "420mm", "--pieces", "800", "--keep-all"]
    subprocess.run([str(spelk), *map(str, words)], check=True, stdout=subprocess.DEVNULL)
    server = Server(spelk, folder, job)
    try:
        spent, seen, size = server.ask("/api/seen")
        print(f"{len(seen['pieces'])} pieces; the whole view {size / 1e6:.2f} MB in {spent:.0f} ms; load {os.getloadavg()[0]:.1f}")
        merges(server, seen)
        drafts(server)
        in_browser(spelk, folder, job)
    finally:
        server.process.kill()
    marks(spelk, folder)


def marks(spelk, folder):
    picture, job = folder / "marked.png", folder / "marked.spelk"
    job.unlink(missing_ok=True)
    Image.open(pictures.write("astronaut", folder)).resize((SIDE, SIDE), Image.Resampling.LANCZOS).save(picture)
    words = ["start", picture, "--out", job, "--width", f"{WIDE}mm"]
    subprocess.run([str(spelk), *map(str, words)], check=True, stdout=subprocess.DEVNULL)
    server = Server(spelk, folder, job)
    try:
        revision, rounds = server.ask("/api/seen")[1]["revision"], []
        for at in range(MARKS + 1):
            # Strokes of 30 mm over the suit and the ground beside it, in turns.
            side, x, y = ("keep", 190, 250) if at % 2 == 0 else ("drop", 20, 30)
            stroke = [[1000 * (x + 3 * k), 1000 * (y + 11 * at)] for k in range(11)]
            mark = {"keep": [], "drop": [], side: [stroke]}
            before = server.at_rest()
            taken, answer, _ = server.ask("/api/edit", {"at": revision, "edits": [{"picture": {"mark": mark}}]})
            revision, checked = answer["revision"], server.at_rest()
            shown, _, size = server.ask(f"/api/subject.png?px=1200&v={revision}")
            rounds.append((taken + shown, checked - before, server.at_rest() - checked))
    finally:
        server.process.kill()
    first = rounds.pop(0)
    print(f"a mark of the subject at {SIDE * SIDE / 1e6:.0f} megapixel; the veil has {size / 1000:.1f} kB")
    print(f"  the first: {first[0]:.0f} ms, of processor time {first[1]:.0f} ms for the stroke and {first[2]:.0f} ms for the veil")
    for what, times in zip(
        ["a further one", "processor time of the stroke and the check after it", "processor time of the veil", "of both"],
        [*map(list, zip(*rounds)), [stroke + veil for _, stroke, veil in rounds]],
    ):
        tell(what, times)


def merges(server, seen):
    pairs = [(b["left"], b["right"]) for b in seen["borders"] if b["left"] and b["right"]]
    step = max(1, len(pairs) // MERGES)
    revision, merged, undone, sizes = seen["revision"], [], [], []
    for pair in pairs[::step][:MERGES]:
        spent, delta, size = server.ask("/api/edit", {"at": revision, "edits": [{"pattern": {"merge": list(pair)}}]})
        merged.append(spent)
        sizes.append(size)
        spent, delta, _ = server.ask("/api/undo", {"at": delta["revision"]})
        undone.append(spent)
        revision = delta["revision"]
    tell("merge", merged)
    tell("undo", undone)
    print(f"  a merge's answer has {statistics.median(sizes) / 1000:.1f} kB")


def drafts(server):
    first, _, _ = server.ask("/api/draft", {"pieces": 200})
    print(f"  the first draft, which grows the tree, {first:.0f} ms")
    for fitted, what in [(False, "draft of about 200 while sliding"), (True, "the same fitted, once the slider rests")]:
        times = []
        for at in range(DRAFTS):
            spent, _, size = server.ask("/api/draft", {"pieces": 180 + at, "fitted": fitted})
            times.append(spent)
        tell(what, times)
        print(f"  it has {size / 1e6:.2f} MB")


def in_browser(spelk, folder, job):
    ui = Path(__file__).resolve().parents[1] / "ui"
    if shutil.which("node") is None or not (ui / "node_modules").is_dir():
        print("  Node is not here or the pages were never built: nothing is timed in a browser")
        return
    # A second start of an open job prints a fresh address and ends.
    words = [str(spelk), "studio", "--no-browser", str(job)]
    said = subprocess.run(words, cwd=folder, check=True, capture_output=True, text=True).stdout
    address = next(word for word in said.split() if word.startswith("http://"))
    print(f"  load {os.getloadavg()[0]:.1f}", flush=True)
    subprocess.run(["node", "browser/bench.mjs", address], cwd=ui, check=True)


def tell(what, times):
    times.sort()
    high = times[min(len(times) - 1, int(0.95 * len(times)))]
    print(f"  {what}: median {statistics.median(times):.0f} ms, 95th percentile {high:.0f} ms, of {len(times)}")


main(sys.argv[1], Path(sys.argv[2]).resolve())
