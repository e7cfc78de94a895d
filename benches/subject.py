"""Subjects parted from photographs by marks, beside OpenCV's own cut from a box alone: `cargo xtask bench subject`.

Wrong pixels in a hundred of the pixels of the true mask's box, by the rule of `tests/reference/subjects.py`; seconds on this
machine as it is. Bars: median under 3, worst tenth under 8, a first round under 1 s at a megapixel, a further one under 0.15 s.
SPELK_EXAMPLES points to the built examples. Pictures and what was found are left in the folder given.
"""

import json
import os
import statistics
import subprocess
import sys
from pathlib import Path

import cv2
import numpy as np
from PIL import Image

sys.path.insert(0, str(Path(__file__).parents[1] / "tests/reference"))
from subjects import SUBJECTS, box, made, wrong_percent

EXE = Path(os.environ["SPELK_EXAMPLES"]) / "subject"
ROUNDS = 5


def ours(path):
    out = Path(f"{path}-found.pgm")
    told = subprocess.run([EXE, path.with_suffix(".png"), path.with_suffix(".json"), out], check=True, capture_output=True)
    return wrong_percent(path, Image.open(out)), json.loads(told.stdout)


def boxed(path):
    picture = cv2.imread(str(path.with_suffix(".png")))
    left, top, right, bottom = box(np.asarray(Image.open(f"{path}-mask.png")) > 127)
    sides = np.zeros(picture.shape[:2], np.uint8)
    cv2.setRNGSeed(1)
    around = (left, top, right - left, bottom - top)
    cv2.grabCut(picture, sides, around, np.zeros((1, 65)), np.zeros((1, 65)), ROUNDS, cv2.GC_INIT_WITH_RECT)
    return wrong_percent(path, Image.fromarray((sides % 2 * 255).astype(np.uint8)))


def summed(name, wrong):
    tenth = np.percentile(wrong, 90)
    print(f"{name}: median {statistics.median(wrong):.2f} %, worst tenth from {tenth:.2f} %, worst {max(wrong):.2f} %")


def main():
    folder = Path(sys.argv[1]) / "subjects"
    folder.mkdir(parents=True, exist_ok=True)
    wrong, theirs, first, further = [], [], [], []
    for name, path in zip(SUBJECTS, made(folder), strict=True):
        found, seconds = ours(path)
        wrong.append(found)
        theirs.append(boxed(path))
        megapixels = seconds["pixels"] / 1e6
        first.append(seconds["first"] / megapixels)
        further.append(seconds["further"] / megapixels)
        print(f"{found:6.2f} % (a box alone {theirs[-1]:6.2f} %)  {Path(name).stem}", flush=True)
    summed("by marks", wrong)
    summed("OpenCV, a box alone", theirs)
    print(f"first round {statistics.median(first):.2f} s a megapixel (bar 1), at most {max(first):.2f}")
    print(f"a further round {statistics.median(further):.3f} s a megapixel (bar 0.15), at most {max(further):.3f}")


main()
