"""Renders the demo beside Mitsuba 3, a path tracer (W. Jakob and others), and keeps its answer.

Usage: view_beside.py SPELK FOLDER ANSWER [--keep]

The same mesh (our GLB), the same diffuse reflectance (our PFM for faces, the GLB's textures for sides and backer), the same
light: an even sky and a lamp as wide as ours, all linear. Means over blocks of 16 × 16 pixels are compared. With --keep the
path tracer runs (the Python that runs this needs mitsuba 3.9.1) and its means are written to ANSWER; without, those kept are
read and only our own view is made. Only numpy is needed then. The answer says by a hash of its heights of which demo it is.
"""

import hashlib
import json
import struct
import subprocess
import sys
from pathlib import Path

import numpy

ACROSS, FINE, BLOCK, SAMPLES, SEED, DEPTH = 400, 2400, 16, 96, 7, 8
# As crates/workshop/src/view/light.rs has them.
SHARE, FROM, HEIGHT, RIM, ASIDE = 0.62, 308.0, 50.0, 0.3, (-7.0, -5.0, -3.0, -1.0, 1.0, 3.0, 5.0, 7.0)
TINT = numpy.array([1.035, 1.0, 0.94])
SLOPES = 7


def pfm(path):
    data = Path(path).read_bytes()
    kind, size, _, rest = data.split(b"\n", 3)
    width, height = map(int, size.split())
    channels = 3 if kind == b"PF" else 1
    return numpy.frombuffer(rest, "<f4").reshape(height, width, channels)[::-1].copy()


def blocks(image):
    down, across = (side // BLOCK for side in image.shape[:2])
    cut = image[: down * BLOCK, : across * BLOCK].reshape(down, BLOCK, across, BLOCK, 3)
    return cut.mean(axis=(1, 3))


def glb(path):
    data = Path(path).read_bytes()
    length = struct.unpack_from("<I", data, 12)[0]
    told, body = json.loads(data[20 : 20 + length]), data[28 + length :]

    def numbers(index, kind, width):
        accessor = told["accessors"][index]
        first = told["bufferViews"][accessor["bufferView"]]["byteOffset"] + accessor["byteOffset"]
        return numpy.frombuffer(body, kind, accessor["count"] * width, first).reshape(-1, width)

    skins = [[] for _ in told["materials"]]
    for mesh in told["meshes"]:
        for primitive in mesh["primitives"]:
            of = primitive["attributes"]
            places = numbers(of["TEXCOORD_0"], "<u2", 2) / 65535.0
            points = numpy.hstack([numbers(of["POSITION"], "<f4", 3), numbers(of["NORMAL"], "<f4", 3), places])
            skins[primitive["material"]].append((points, numbers(primitive["indices"], "<u2", 1).reshape(-1, 3)))
    images = []
    for image in told["images"]:
        view = told["bufferViews"][image["bufferView"]]
        images.append(body[view["byteOffset"] :][: view["byteLength"]])
    return skins, images


def ply(path, skin):
    """One mesh of many, as a binary PLY."""
    points = numpy.vstack([points for points, _ in skin]).astype("<f4")
    firsts = numpy.cumsum([0] + [len(points) for points, _ in skin])
    corners = numpy.vstack([corners.astype("<i4") + first for (_, corners), first in zip(skin, firsts)])
    faces = numpy.zeros(len(corners), dtype=[("n", "u1"), ("at", "<i4", 3)])
    faces["n"], faces["at"] = 3, corners
    names = "\n".join(f"property float {name}" for name in ("x", "y", "z", "nx", "ny", "nz", "u", "v"))
    head = f"ply\nformat binary_little_endian 1.0\nelement vertex {len(points)}\n{names}\n"
    head += f"element face {len(corners)}\nproperty list uchar int vertex_indices\nend_header\n"
    Path(path).write_bytes(head.encode() + points.tobytes() + faces.tobytes())


def lamps():
    """Directions towards the lamp and their shares, by the same smooth step over slopes and the same sides."""
    slope = numpy.tan(numpy.radians(HEIGHT))
    rim = min(RIM, 0.8 * slope)
    edges = numpy.linspace(-1.0, 1.0, SLOPES + 1)
    step = lambda at: (lambda t: t * t * (3.0 - 2.0 * t))((at + 1.0) / 2.0)
    for low, high in zip(edges[:-1], edges[1:]):
        up = slope + rim * (low + high) / 2.0
        for aside in ASIDE:
            angle = numpy.radians(FROM + aside)
            toward = numpy.array([numpy.sin(angle), numpy.cos(angle), up])
            yield toward / numpy.linalg.norm(toward), (step(high) - step(low)) / len(ASIDE)


def traced(folder, colour):
    """The path tracer's picture."""
    import mitsuba as mi

    mi.set_variant("scalar_rgb")
    skins, images = glb(folder / "beside.glb")
    scene = {"type": "scene", "path": {"type": "path", "max_depth": DEPTH}}
    for at, (skin, image) in enumerate(zip(skins, images)):
        name = folder / f"skin{at}.ply"
        ply(name, skin)
        (folder / f"skin{at}.jpg").write_bytes(image)
        if at == 0:
            picture = colour.astype("f4")
        else:
            linear = mi.Bitmap(str(folder / f"skin{at}.jpg")).convert(
                mi.Bitmap.PixelFormat.RGB, mi.Struct.Type.Float32, srgb_gamma=False
            )
            picture = numpy.array(linear)
        texture = {"type": "bitmap", "bitmap": mi.Bitmap(numpy.ascontiguousarray(picture)), "raw": True, "wrap_mode": "clamp"}
        bsdf = {"type": "twosided", "of": {"type": "diffuse", "reflectance": texture}}
        scene[f"skin{at}"] = {"type": "ply", "filename": str(name), "flip_tex_coords": False, "bsdf": bsdf}
    scene["sky"] = {"type": "constant", "radiance": {"type": "rgb", "value": list(1.0 - SHARE * TINT)}}
    for at, (toward, weight) in enumerate(lamps()):
        value = list(numpy.pi * SHARE * TINT * weight / toward[2])
        scene[f"lamp{at}"] = {"type": "directional", "direction": list(-toward), "irradiance": {"type": "rgb", "value": value}}
    half = [numpy.abs(numpy.vstack([points for points, _ in skins[1]])[:, axis]).max() for axis in (0, 1)]
    view = mi.ScalarTransform4f
    scene["sensor"] = {
        "type": "orthographic",
        "to_world": view().look_at(origin=[0, 0, 1], target=[0, 0, 0], up=[0, 1, 0]) @ view().scale([half[0], half[0], 1]),
        "film": {"type": "hdrfilm", "width": ACROSS, "height": round(ACROSS * colour.shape[0] / colour.shape[1]), "rfilter": {"type": "box"}, "pixel_format": "rgb"},
        "sampler": {"type": "independent", "sample_count": SAMPLES, "seed": SEED},
    }
    return numpy.array(mi.render(mi.load_dict(scene), seed=SEED)), mi.__version__


def main():
    spelk, folder, answer = sys.argv[1], Path(sys.argv[2]), Path(sys.argv[3])
    folder.mkdir(parents=True, exist_ok=True)
    job = folder / "demo" / "heron.spelk"
    run = lambda *words: subprocess.run([spelk, *map(str, words)], check=True, stdout=subprocess.DEVNULL)
    if not job.exists():
        run("demo", folder / "demo")
    wanted = [("glb", ()), ("colour.pfm", ("--show", "colour")), ("light.pfm", ("--show", "light")), ("depth.pfm", ("--show", "depth"))]
    for name, words in wanted if "--keep" in sys.argv else wanted[2:]:
        # Reflectance is wanted finer than the view: a coarse kerf would darken the edges of the faces beside it twice.
        run("view", job, "--out", folder / f"beside.{name}", "--pixels", FINE if name in ("glb", "colour.pfm") else ACROSS, *words)
    ours = blocks(pfm(folder / "beside.light.pfm"))
    heights = hashlib.sha256((folder / "beside.depth.pfm").read_bytes()).hexdigest()
    if "--keep" in sys.argv:
        picture, version = traced(folder, pfm(folder / "beside.colour.pfm"))
        numpy.save(folder / "traced.npy", picture)
        told = {"from": f"Mitsuba {version}, scalar_rgb, path of depth {DEPTH}, {SAMPLES} samples a pixel, seed {SEED}"}
        told["heights"] = heights
        told["blocks"] = numpy.round(blocks(picture), 5).tolist()
        answer.write_text(json.dumps(told, separators=(",", ":")).replace("]],", "]],\n") + "\n")
    kept = json.loads(answer.read_text())
    if kept["heights"] != heights:
        sys.exit("The kept answer is of another demo: run this with --keep, where mitsuba is at hand.")
    theirs = numpy.array(kept["blocks"])
    off = numpy.abs(ours - theirs).mean(axis=2) / theirs.mean(axis=2)
    sign = ((ours - theirs).mean(axis=2) / theirs.mean(axis=2)).mean()
    worst = numpy.unravel_index(off.argmax(), off.shape)
    print(f"beside {kept['from']}: mean difference {off.mean():.1%} (ours brighter by {sign:+.1%}), worst block {off.max():.1%} at {worst}")


main()
