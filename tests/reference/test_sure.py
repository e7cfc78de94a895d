"""Of the pairs of woods that are called apart, how many are not: true colours drawn by numpy from each wood's spread, put
under the finish by the formula of `data/finishes.csv`, and judged by colour-science's CIEDE2000."""

import json
import subprocess
import warnings

import numpy as np
from conftest import EXAMPLES

with warnings.catch_warnings():
    warnings.simplefilter("ignore")
    import colour

D65 = np.array([0.3127, 0.3290])
# The least difference that shows across a saw line (Allegretti and others 2009: 3 to 6 is visible).
VISIBLE = 3.0


def finished(lab, stray, path):
    """R_f = ((R - f) / (1 - f))^c for three linear channels."""
    space = colour.models.RGB_COLOURSPACE_sRGB.copy()
    space.use_derived_transformation_matrices(True)
    linear = colour.Lab_to_XYZ(lab, illuminant=D65) @ space.matrix_XYZ_to_RGB.T
    f, c = stray / 1000, path / 1000
    if (stray, path) != (0, 1000):
        linear = ((np.maximum(linear, f) - f) / (1 - f)) ** c
    return colour.XYZ_to_Lab(linear @ space.matrix_RGB_to_XYZ.T, illuminant=D65)


def counted(draws):
    """By finish: how many pairs are called apart, and the share of their draws that is under the visible step."""
    rng, found = np.random.default_rng(2026), {}
    told = subprocess.run([EXAMPLES / "sure"], capture_output=True, text=True, check=True).stdout
    for line in map(json.loads, told.splitlines()):
        raw = np.array([wood["lab"] for wood in line["woods"]])
        spread = np.array([wood["spread"] for wood in line["woods"]])
        true = raw + spread * rng.standard_normal((draws, *raw.shape))
        true[..., 0] = true[..., 0].clip(1, 99)
        seen = finished(true, line["stray"], line["path"])
        one, two = np.array(line["apart"]).T
        steps = colour.difference.delta_E_CIE2000(seen[:, one], seen[:, two])
        found[line["finish"]] = len(one), (steps < VISIBLE).mean()
    return found


def test_of_the_pairs_called_apart_few_are_not():
    for finish, (called, wrong) in counted(draws=12).items():
        assert called > 1000, f"{finish}: the verdict is given at all"
        assert wrong <= 0.05, f"{finish}: {wrong:.1%}"
