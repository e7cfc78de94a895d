"""Openly licensed pictures from packages: three photographs (scikit-image) and two outlined drawings (Debian's
openclipart-svg, public domain)."""

import io
from pathlib import Path

import pytest
from PIL import Image

CLIPART = Path("/usr/share/openclipart/svg/animals/birds")
PHOTOGRAPHS = ("astronaut", "coffee", "chelsea")  # public domain, CC0, CC0
DRAWINGS = {"turkey": "tacchino_*_01.svg", "owl": "gufo_*_01.svg"}


def write(name, folder):
    """Writes a picture as PNG; its path."""
    path = Path(folder) / f"{name}.png"
    (photograph if name in PHOTOGRAPHS else drawing)(name).save(path)
    return path


def photograph(name):
    from skimage import data

    return Image.fromarray(getattr(data, name)())


def drawing(name):
    import resvg_py

    found = sorted(CLIPART.glob(DRAWINGS[name]))
    if not found:
        pytest.fail(f"{CLIPART} holds no {name}: apt-get install openclipart-svg")
    picture = Image.open(io.BytesIO(bytes(resvg_py.svg_to_bytes(svg_path=str(found[0]), height=1200)))).convert("RGBA")
    page = Image.new("RGBA", picture.size, "#fff")
    page.alpha_composite(picture)
    return page.convert("RGB")
