"""Subjects parted by marks from photographs, against exact alpha (`subjects.py` says whose); `cargo xtask bench subject` has all."""

import json
import subprocess

import numpy as np
import pytest
from conftest import EXAMPLES
from PIL import Image
from subjects import made, wrong_percent

# A bird with feathers, a fish on a face of fur, a dog on dusk, a tree on grass.
CHOSEN = {0: 3.0, 7: 8.0, 14: 3.0, 17: 5.0}


@pytest.fixture(scope="module")
def scenes(tmp_path_factory):
    return dict(zip(CHOSEN, made(tmp_path_factory.mktemp("subjects"), CHOSEN), strict=True))


@pytest.mark.parametrize("at", CHOSEN)
def test_marks_are_followed_out_to_the_true_edge(scenes, at):
    path = scenes[at]
    out = f"{path}-found.pgm"
    subprocess.run([EXAMPLES / "subject", f"{path}.png", f"{path}.json", out], check=True, capture_output=True)
    assert wrong_percent(path, Image.open(out)) < CHOSEN[at]


def test_the_pattern_is_drawn_by_the_subject(spelk, scenes, tmp_path):
    """By the command: a mask at the start, one given later, and marks give pieces on the dog alone."""
    path, width = scenes[14], 200.0
    jobs = {name: tmp_path / f"{name}.spelk" for name in ("mask", "later", "marks")}
    start = ["--width", f"{width}mm", "--pieces", "40"]
    spelk("start", f"{path}.png", "--mask", f"{path}-mask.png", *start, "--out", jobs["mask"])
    spelk("start", f"{path}.png", *start, "--out", jobs["marks"])
    spelk("start", f"{path}.png", "--keep-all", *start, "--out", jobs["later"])
    spelk("subject", jobs["later"], "--mask", f"{path}-mask.png", "--out", tmp_path / "masked.png")
    assert wrong_percent(path, Image.open(tmp_path / "masked.png").getchannel("A")) < 0.5
    spelk("trace", jobs["later"])
    said = json.loads(path.with_suffix(".json").read_text())
    stroke = lambda points: " ".join(f"{x * width / 1000},{y * width / 1000}" for x, y in points)
    words = [word for side in ("keep", "drop") for line in said[side] for word in (f"--{side}", stroke(line))]
    spelk("subject", jobs["marks"], *words, "--out", tmp_path / "cut.png")
    assert wrong_percent(path, Image.open(tmp_path / "cut.png").getchannel("A")) < 3
    spelk("trace", jobs["marks"])
    mask = np.asarray(Image.open(f"{path}-mask.png")) > 127
    true_mm2 = mask.sum() * (width / 1000) ** 2
    for job in jobs.values():
        told = json.loads(spelk("tell", job, "--json"))
        wood = sum(area["area_mm2"] for area in told["areas"] if area["becomes"] == "piece")
        assert abs(wood / true_mm2 - 1) < 0.05
    for name in ("mask", "later"):
        spelk("subject", jobs[name], "--unmask", "--out", tmp_path / "whole.png")
        assert np.asarray(Image.open(tmp_path / "whole.png").getchannel("A")).mean() > 250
