"""The pages' server, timed from outside: `cargo xtask bench studio`.

Arguments: the built command, the folder to write into. The job is scikit-image's astronaut (public domain), 420 mm wide, 800
pieces. A merge is timed from the request to its whole answer, the write to the disk included, and undone, which is timed
too; a draft at about 200 pieces as a slider asks for it, each time another number. Then, where Node and Chromium are, the same
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

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "tests" / "reference"))
import pictures  # noqa: E402

MERGES, DRAFTS = 40, 21


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
        return spent, json.loads(got), len(got)


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
