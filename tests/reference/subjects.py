"""Subjects with exact alpha on photographs, and marks by rule.

Subjects are drawings of Debian's openclipart-svg (public domain), grounds are photographs of scikit-image (coffee, chelsea and
grass CC0; rocket, astronaut and hubble_deep_field public domain). Marks: to keep, the longest path of the skeleton of the true
mask shrunk by 10 pixels; to drop, a ring 20 pixels outside its box.
"""

import io
import json
import random
from collections import deque
from pathlib import Path

import numpy as np
import resvg_py
from PIL import Image
from scipy import ndimage
from skimage import data, morphology

CLIPART = Path("/usr/share/openclipart/svg")
SUBJECTS = [
    *(f"animals/birds/{name}.svg" for name in (
        "aquila_frontale_architet_01", "cigno_di_spalle_architet_01", "gallo_di_profilo_archite_01",
        "gull_marcelo_staudt_01", "jonathon_s_duck_01", "pollo_architetto_frances_01")),
    *(f"animals/fish/{name}.svg" for name in (
        "altum_angelfish_01", "brown_fish_01", "clown_loach_01", "crawfish1_ganson", "giraffe_cichlid_01")),
    *(f"animals/mammals/{name}.svg" for name in (
        "canguro_architetto_franc_01", "coniglio_architetto_fran_01", "dog_03_drawn_with_strai_02",
        "dog_05_drawn_with_strai_02")),
    "plants/flowers/flowers_jonathan_dietric_01.svg", "plants/trees/fall_coloured_leaf_geral_01.svg",
    "plants/trees/fall_coloured_tree_geral_01.svg", "transportation/vehicles/aircraft_jarno_vasamaa3.svg",
    *(f"food/fruit/{name}.svg" for name in (
        "apple_wedge", "la_prugna_architetto_fra_01", "lemon_simple", "lime_whole_ganson", "peach_simple")),
    *(f"animals/bugs/{name}.svg" for name in (
        "coccinella_architetto_fr_01", "flying_wasp_gerald_g._01", "lumaca_architetto_france_01")),
    "buildings/school_country__abiclipa_01.svg", "food/pomodori_architetto_fran_01.svg", "plants/sakura_dave_pena_01.svg",
]
SIDE, LONGEST, MARGIN, SHRUNK, RING, SEED = 1000, 620, 60, 10, 20, 7


def covering(photograph):
    picture = Image.fromarray(photograph).convert("RGB")
    scale = SIDE / min(picture.size)
    picture = picture.resize((round(picture.width * scale), round(picture.height * scale)), Image.BICUBIC)
    left, top = (picture.width - SIDE) // 2, (picture.height - SIDE) // 2
    return picture.crop((left, top, left + SIDE, top + SIDE))


def longest_path(skeleton):
    """Pixels from end to end of the longest of the shortest paths, by two breadth-first walks in each part."""
    best = []
    parts, count = ndimage.label(skeleton, np.ones((3, 3)))
    for part in range(1, count + 1):
        pixels = {tuple(at) for at in np.argwhere(parts == part)}
        far, _ = walked(min(pixels), pixels)
        end, came = walked(far, pixels)
        path = [end]
        while came[path[-1]] is not None:
            path.append(came[path[-1]])
        best = max(best, path, key=len)
    return best


def walked(start, pixels):
    came, queue, last = {start: None}, deque([start]), start
    while queue:
        last = queue.popleft()
        for step in np.ndindex(3, 3):
            near = (last[0] + step[0] - 1, last[1] + step[1] - 1)
            if near in pixels and near not in came:
                came[near] = last
                queue.append(near)
    return last, came


def made(folder, chosen=range(len(SUBJECTS))):
    """Writes picture, mask and marks of the chosen subjects; their paths without an ending."""
    grounds = [data.coffee(), data.chelsea(), data.rocket(), data.astronaut(), data.hubble_deep_field(), data.grass()]
    dice, paths = random.Random(SEED), []
    for at, name in enumerate(SUBJECTS):
        png = bytes(resvg_py.svg_to_bytes(svg_path=str(CLIPART / name), height=900))
        subject = Image.open(io.BytesIO(png)).convert("RGBA")
        subject = subject.crop(subject.getchannel("A").point(lambda v: 255 * (v > 127)).getbbox())
        scale = LONGEST / max(subject.size)
        subject = subject.resize((round(subject.width * scale), round(subject.height * scale)), Image.LANCZOS)
        place = tuple(dice.randint(MARGIN, SIDE - MARGIN - side) for side in subject.size)
        if at not in chosen:
            continue
        picture, whole = covering(grounds[at % len(grounds)]), Image.new("RGBA", (SIDE, SIDE))
        picture.paste(subject, place, subject)
        whole.paste(subject, place)
        mask = np.asarray(whole.getchannel("A")) >= 128
        path = folder / f"subject-{at:02}"
        picture.save(path.with_suffix(".png"))
        Image.fromarray((mask * 255).astype("uint8")).save(f"{path}-mask.png")
        path.with_suffix(".json").write_text(json.dumps(marks(mask)))
        paths.append(path)
    return paths


def marks(mask):
    deep = ndimage.distance_transform_edt(np.pad(mask, 1))[1:-1, 1:-1] > SHRUNK
    kept = [[int(x), int(y)] for y, x in longest_path(morphology.skeletonize(deep))]
    left, top, right, bottom = box(mask)
    left, top, right, bottom = left - RING, top - RING, right + RING, bottom + RING
    return {"keep": [kept], "drop": [[[left, top], [right, top], [right, bottom], [left, bottom], [left, top]]]}


def box(mask):
    down, across = np.nonzero(mask)
    return int(across.min()), int(down.min()), int(across.max()) + 1, int(down.max()) + 1


def wrong_percent(path, found):
    """Wrong pixels in a hundred of the pixels of the true mask's box; `found` is a mask of any size."""
    mask = np.asarray(Image.open(f"{path}-mask.png")) > 127
    found = np.asarray(found.convert("L").resize(mask.shape[::-1], Image.BOX)) > 127
    left, top, right, bottom = box(mask)
    return 100 * (mask != found).sum() / ((right - left) * (bottom - top))
