"""Our colours against colour-science and ColorAide, which are used as they stand and share no code with us.

Its printed sRGB matrix has four digits and moves L*a*b* by 0.02, so its derived matrices are asked for. The examples are
built beforehand: `cargo build --release --package measure --examples`. SPELK_EXAMPLES names their folder when it is not
target/release/examples.
"""

import csv
import json
import os
import pathlib
import subprocess
import warnings

import numpy
import pytest
from coloraide import Color

with warnings.catch_warnings():
    warnings.simplefilter("ignore")
    import colour

ROOT = pathlib.Path(__file__).resolve().parents[2]
EXAMPLES = pathlib.Path(os.environ.get("SPELK_EXAMPLES", ROOT / "target" / "release" / "examples"))
D65 = numpy.array([0.3127, 0.3290])
MANY = 10_000


def told():
    """Our figures for MANY pairs of pixels."""
    program = EXAMPLES / ("colours.exe" if os.name == "nt" else "colours")
    text = subprocess.run([program, str(MANY)], check=True, capture_output=True, text=True).stdout
    rows = [json.loads(row) for row in text.splitlines()]
    assert len(rows) == MANY
    return {name: numpy.array([row[name] for row in rows], dtype=float) for name in rows[0]}


@pytest.fixture(scope="module")
def ours():
    return told()


def xyz_of(ours):
    space = colour.models.RGB_COLOURSPACE_sRGB.copy()
    space.use_derived_transformation_matrices(True)
    linear = colour.models.eotf_sRGB(ours["rgb"] / 255)
    return linear @ space.matrix_RGB_to_XYZ.T


@pytest.fixture(scope="module")
def xyz(ours):
    return xyz_of(ours)


def lab_by_colour_science(ours):
    return colour.XYZ_to_Lab(xyz_of(ours), illuminant=D65)


def off_coloraide(ours, step):
    """How far ColorAide is off at most, in L*a*b* and CIEDE2000, for every so-manyth pair."""
    lab = off = 0.0
    for at in range(0, MANY, step):
        one, two = (Color("srgb", list(rgb / 255)) for rgb in ours["rgb"][at])
        lab = max(lab, numpy.abs(numpy.array(one.convert("lab-d65").coords()) - ours["lab"][at, 0]).max())
        off = max(off, abs(one.delta_e(two, method="2000", space="lab-d65") - ours["delta_e_2000"][at]))
    return lab, off


def test_lab(ours, xyz):
    theirs = colour.XYZ_to_Lab(xyz, illuminant=D65)
    assert numpy.abs(theirs - ours["lab"]).max() < 1e-6


def test_oklab(ours, xyz):
    assert numpy.abs(colour.XYZ_to_Oklab(xyz) - ours["oklab"]).max() < 1e-6


def test_ciede2000(ours):
    theirs = colour.difference.delta_E_CIE2000(ours["lab"][:, 0], ours["lab"][:, 1])
    assert numpy.abs(theirs - ours["delta_e_2000"]).max() < 1e-6


def test_a_second_library_agrees(ours):
    """A tenth again by ColorAide. Its Oklab follows other digits of the matrices, so L*a*b* alone is compared."""
    assert max(off_coloraide(ours, 10)) < 1e-6


def test_pixels_come_back(ours):
    assert (ours["back"] == ours["rgb"][:, 0]).all()


def test_published_pairs():
    """The same 34 pairs that our own tests read, through the other library: the table itself is right."""
    with open(ROOT / "tests" / "suite" / "colour" / "ciede2000.csv", encoding="utf-8") as file:
        rows = list(csv.DictReader(row for row in file if not row.startswith("#")))
    assert len(rows) == 34
    one = numpy.array([[float(row[key]) for key in ("L1", "a1", "b1")] for row in rows])
    two = numpy.array([[float(row[key]) for key in ("L2", "a2", "b2")] for row in rows])
    published = numpy.array([float(row["dE00"]) for row in rows])
    assert numpy.abs(colour.difference.delta_E_CIE2000(one, two) - published).max() <= 1e-4
