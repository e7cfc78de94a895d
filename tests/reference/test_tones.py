"""Tones of a photograph: their error beside SciPy's k-means, their areas, and how many by choice."""

import json

import numpy as np
import pytest
from PIL import Image
from scipy.cluster.vq import kmeans
from skimage import color

import pictures

# SciPy starts from dice and keeps the best of so many tries.
TRIES, COUNTS = 4, (4, 12)


@pytest.fixture(scope="module")
def photograph(spelk, tmp_path_factory):
    folder = tmp_path_factory.mktemp("tones")
    picture = pictures.write(pictures.PHOTOGRAPHS[0], folder)
    spelk("start", picture, "--out", folder / "j.spelk", "--width", "400mm", "--keep-all", "--pieces", 60)
    return picture, folder / "j.spelk"


def tones(spelk, job, count, tmp_path):
    edits = tmp_path / "edits.json"
    edits.write_text(json.dumps([{"setup": {"tones": count}}]))
    spelk("edit", job, edits)
    return json.loads(spelk("tell", job, "--json"))


@pytest.mark.parametrize("count", COUNTS)
def test_tones_err_no_more_than_scipy(spelk, photograph, tmp_path, count):
    picture, job = photograph
    told = tones(spelk, job, count, tmp_path)
    ours = np.array([tone["colour_lab"] for tone in told["tones"]])
    assert len(ours) == count and len({tone["name"] for tone in told["tones"]}) == count
    pixels = color.rgb2lab(np.asarray(Image.open(picture).convert("RGB"))).reshape(-1, 3)[::97]
    error = lambda middles: np.square(pixels[:, None] - middles[None]).sum(2).min(1).mean()
    theirs = min(error(kmeans(pixels, count, iter=1, rng=seed)[0]) for seed in range(TRIES))
    assert error(ours) <= 1.05 * theirs


def test_areas_add_up_and_pieces_are_named(spelk, photograph, tmp_path):
    told = tones(spelk, photograph[1], 6, tmp_path)
    width, height = told["panel_mm"]
    assert sum(tone["area_mm2"] for tone in told["tones"]) == pytest.approx(width * height, rel=1e-4)
    area = {piece["number"]: 0.0 for piece in told["pieces"]}
    for tone in told["tones"]:
        for place in tone["pieces"]:
            area[place["piece"]] += place["area_mm2"]
    true = {area["number"]: area["area_mm2"] for area in told["areas"]}
    assert all(0.7 * true[number] <= found <= 1.03 * true[number] for number, found in area.items())
