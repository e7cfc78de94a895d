"""A picture turned and cropped, beside Pillow's own bicubic over the same place (Catmull-Rom, as Keys 1981 with a = -1/2).

The colours of the areas are laid beside those of the picture that Pillow turns and crops; under a pattern the picture moves, and the pattern
stays as it is.
"""

import json
import math

import numpy as np
import pytest
from PIL import Image, ImageDraw
from scipy import ndimage
from skimage.color import deltaE_ciede2000, rgb2lab

SIDES = (900, 600)
# Percent of the picture as it lies after its quarter turns.
CROP = (20.0, 15.0, 55.0, 60.0)


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    """A picture of soft waves with shapes on it, twice as large as is worked on, so that it is brought down as well."""
    folder = tmp_path_factory.mktemp("framing")
    width, height = 4 * SIDES[0], 4 * SIDES[1]
    y, x = np.mgrid[0:height, 0:width] / height
    waves = [128 + 90 * np.sin(a * x + b * y) for a, b in ((7, 3), (2, 9), (5, -6))]
    picture = Image.fromarray(np.stack(waves, -1).astype(np.uint8))
    pen = ImageDraw.Draw(picture)
    for at in range(6):
        left, top = 3600 * (0.08 + 0.15 * at), 2400 * (0.2 + 0.1 * ((at * 5) % 6))
        pen.ellipse((left, top, left + 420, top + 420), fill=(40 * at, 255 - 40 * at, 60))
    picture.save(folder / "waves.png")
    return folder


def framed(folder, turn, crop, size):
    """The picture turned by quarters and levelled about its middle, then cropped, by Pillow."""
    quarters = math.floor((turn + 45) / 90)
    picture = Image.open(folder / "waves.png").rotate(-90 * quarters, expand=True)
    (width, height), (left, top, across, down) = picture.size, (share / 100 for share in crop)
    cos, sin = (f(math.radians(turn - 90 * quarters)) for f in (math.cos, math.sin))
    # A pixel of the crop, about the picture's middle, turned back.
    a, d = across * width / size[0], down * height / size[1]
    x, y = (left - 0.5) * width, (top - 0.5) * height
    place = (a * cos, d * sin, x * cos + y * sin + width / 2, -a * sin, d * cos, y * cos - x * sin + height / 2)
    return np.asarray(picture.transform(size, Image.Transform.AFFINE, place, Image.Resampling.BICUBIC), float) / 255


def colours_off(plan, picture):
    """ΔE00 between the colour told of each area and that of the picture in it, a millimetre from its edge."""
    height, width = picture.shape[:2]
    per_mm = width / plan["panel_mm"][0]
    off = []
    for area in plan["areas"]:
        mask = Image.new("1", (width, height))
        pen = ImageDraw.Draw(mask)
        for at, ring in enumerate(area["rings_mm"]):
            pen.polygon([(x * per_mm - 0.5, y * per_mm - 0.5) for x, y in ring], fill=int(at == 0))
        middle = ndimage.binary_erosion(mask, np.ones((2 * round(per_mm) + 1,) * 2), border_value=1)
        mean = rgb2lab(picture[middle]).mean(axis=0)
        off.append(deltaE_ciede2000(mean, area["colour_picture_lab"]))
    return np.array(off)


@pytest.mark.parametrize("turn", [0.0, 4.0, -93.0, 180.0])
def test_areas_have_the_colours_of_the_framed_picture(spelk, folder, turn):
    job = folder / f"turned {turn}.spelk"
    words = ("--width", "300mm", "--pieces", "12", "--keep-all", f"--turn={turn}", "--crop=" + ",".join(map(str, CROP)))
    spelk("start", folder / "waves.png", "--out", job, *words)
    plan = json.loads(spelk("tell", job, "--json"))
    lying = SIDES if turn in (0.0, 4.0, 180.0) else SIDES[::-1]
    across, down = CROP[2] * lying[0], CROP[3] * lying[1]
    assert plan["panel_mm"] == pytest.approx([300.0, 300.0 * down / across], abs=0.3)
    seen = framed(folder, turn, CROP, (1200, round(1200 * down / across)))
    off = colours_off(plan, seen)
    print(f"turned by {turn}°: {len(off)} areas, ΔE00 {off.mean():.2f} in the mean, {off.max():.2f} at most")
    assert off.max() < 1.0


def test_under_a_pattern_only_the_picture_moves(spelk, folder):
    job = folder / "moved.spelk"
    spelk("start", folder / "waves.png", "--out", job, "--width", "300mm", "--pieces", "12", "--keep-all")
    before = json.loads(spelk("tell", job, "--json"))
    crop = {"left": 100_000, "top": 200_000, "width": 700_000, "height": 700_000}
    edits = folder / "edits.json"
    edits.write_text(json.dumps([{"picture": {"framing": {"turn": 250, "crop": crop}}}]))
    spelk("edit", job, edits)
    after = json.loads(spelk("tell", job, "--json"))
    for part in ("panel_mm", "junctions", "borders", "pieces"):
        shape = [{k: v for k, v in one.items() if not k.startswith("colour")} if isinstance(one, dict) else one for one in after[part]]
        known = [{k: v for k, v in one.items() if not k.startswith("colour")} if isinstance(one, dict) else one for one in before[part]]
        assert shape == known, part
    seen = framed(folder, 2.5, (10, 20, 70, 70), (1200, 800))
    assert colours_off(after, seen).max() < 1.0
    spelk("undo", job)
    assert json.loads(spelk("tell", job, "--json"))["areas"] == before["areas"]


def test_what_shows_nothing_is_refused(spelk, folder):
    def refused(*words):
        spelk("start", folder / "waves.png", "--out", folder / "never.spelk", "--width", "300mm", *words, expect=2)
        assert not (folder / "never.spelk").exists()

    for crop in ("50,50,0,20", "50,50,20,0", "120,0,20,20", "60,0,60,100", "1,2,3", "a,b,c,d", "0,0,0.2,0.2"):
        refused("--crop", crop)
    refused("--turn", "3", "--crop", "0,0,100,100")
    refused("--turn", "400")
