"""Pictures into pieces, measured from outside beside what general tools reach: `cargo xtask bench picture`.

Arguments: the built command, the folder of built examples, the folder to write into, then flags:
  --baselines  also runs the scikit-image chain (Felzenszwalb's segments merged by mean colour), about a minute
  --sheets     writes only the sheets to look at

The bench pictures are 2000 x 1500: two photographs from scikit-image (astronaut, public domain; coffee, CC0) and an outlined
drawing from Debian's openclipart-svg (public domain). Everything is planned 400 mm wide in thick stock, all of it kept.
"""

import heapq
import io
import json
import os
import subprocess
import sys
import time
from pathlib import Path

import numpy as np
import shapely
from PIL import Image, ImageDraw
from scipy import ndimage
from scipy.spatial import cKDTree
from skimage import color, data, graph, measure, segmentation

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "tests" / "reference"))
from curves import CORNER_DEG, RADIUS_LEAST_MM, SMOOTH_DEG, joints, tight_spots  # noqa: E402

WIDE, HIGH, PANEL_MM = 2000, 1500, 400.0
LEAST_MM, LEAST_MM2 = 4.0, 25.0
CLIPART = Path("/usr/share/openclipart/svg/animals/birds")
# The greatest mean CIEDE2000 that the photographs may have, by pieces.
DE_MOST = {"astronaut": {400: 3.8, 200: 4.4, 100: 5.4}, "coffee": {400: 3.2, 200: 3.6, 100: 4.1, 50: 4.7}}
# The drawing's lines stay open: gaps as wide as they are drawn, which are wood of no piece; a few of them stop short of the next.
INK = {"turkey": ["--ink", "open", "--bridge", "1mm"]}
TURKEY_DE_MOST, TURKEY_PIECES_LEAST, TURKEY_ASKED = 0.7, 80, 200
CRACK_MOST_MM, BEND_MM = 0.25, 8.0
CUBICS_MOST = {"astronaut": 1.5, "coffee": 1.5, "turkey": 1.2}
# A swing that turns less than this is no change of bending that an eye or a saw sees.
SEEN_DEG = 2.0


# The pictures


def make(folder):
    import resvg_py

    found = sorted(CLIPART.glob("tacchino_*_01.svg"))
    if not found:
        sys.exit(f"{CLIPART} holds no turkey: apt-get install openclipart-svg")
    for name in ("astronaut", "coffee"):
        covering(Image.fromarray(getattr(data, name)())).save(folder / f"{name}.png")
    png = bytes(resvg_py.svg_to_bytes(svg_path=str(found[0]), height=HIGH - 40))
    bird = Image.open(io.BytesIO(png)).convert("RGBA")
    bird.thumbnail((WIDE - 40, HIGH - 40), Image.LANCZOS)
    page = Image.new("RGBA", (WIDE, HIGH), "#fff")
    page.alpha_composite(bird, ((WIDE - bird.width) // 2, (HIGH - bird.height) // 2))
    page.convert("RGB").save(folder / "turkey.png")


def covering(picture):
    """Scaled until it covers the frame; its middle."""
    scale = max(WIDE / picture.width, HIGH / picture.height)
    picture = picture.resize((round(picture.width * scale), round(picture.height * scale)), Image.BICUBIC)
    left, top = (picture.width - WIDE) // 2, (picture.height - HIGH) // 2
    return picture.crop((left, top, left + WIDE, top + HIGH))


# Bar 1: colour, connection, limits


def labels_of(told, finer=3):
    """The area that covers most of each pixel, by nine places in it. At a place alone, the pixel's middle, a corner may lie apart
    from its area by a pixel: where a corner's tip has the middle and none of its four neighbours."""
    places = places_of(told, finer).reshape(HIGH, finer, WIDE, finer).transpose(0, 2, 1, 3).reshape(HIGH * WIDE, finer**2)
    places.sort(1)
    runs = np.ones(places.shape, np.int8)
    for at in range(1, places.shape[1]):
        runs[:, at] = np.where(places[:, at] == places[:, at - 1], runs[:, at - 1] + 1, 1)
    return np.take_along_axis(places, runs.argmax(1)[:, None], 1).reshape(HIGH, WIDE)


def places_of(told, finer):
    """The areas at places as much finer than pixels, by parity of crossings along each row: areas tile, so the sums are exact."""
    steps = np.zeros((HIGH * finer, WIDE * finer + 1), np.int32)
    scale = WIDE * finer / told["panel_mm"][0]
    for area in told["areas"]:
        for ring in area["rings_mm"]:
            line = np.asarray(ring) * scale
            cross(steps, line, np.roll(line, -1, 0), area["id"])
    return np.cumsum(steps, 1, dtype=np.int32)[:, :-1]


def cross(steps, start, end, label):
    """Adds the label where a ring (clockwise on the page) is entered, takes it off where it is left."""
    rows, columns = steps.shape[0], steps.shape[1] - 1
    low, high = np.minimum(start[:, 1], end[:, 1]), np.maximum(start[:, 1], end[:, 1])
    first, past = np.ceil(low - 0.5).astype(int), np.ceil(high - 0.5).astype(int)
    count = past - first
    edge = np.repeat(np.arange(len(start)), count)
    row = first[edge] + np.arange(len(edge)) - np.repeat(np.cumsum(count) - count, count)
    along = (row + 0.5 - start[edge, 1]) / (end[edge, 1] - start[edge, 1])
    x = start[edge, 0] + along * (end[edge, 0] - start[edge, 0])
    column = np.clip(np.ceil(x - 0.5).astype(int), 0, columns)
    up = end[edge, 1] < start[edge, 1]
    inside = (row >= 0) & (row < rows)
    np.add.at(steps, (row[inside], column[inside]), np.where(up, label, -label)[inside])


def gaps_of(told):
    """The gaps of open borders, half of each to each side (GEOS)."""
    opened = [border for border in told["borders"] if border["gap_mm"] > 0]
    return [shapely.LineString(border["line_mm"]).buffer(border["gap_mm"] / 2, cap_style="flat") for border in opened]


def wood_of(told):
    """Pixels whose middle lies in no gap: those are wood."""
    inside = np.zeros((HIGH, WIDE), bool)
    scale = WIDE / told["panel_mm"][0]
    for gap in gaps_of(told):
        left, top, right, bottom = (np.array(gap.bounds) * scale).astype(int) + (-1, -1, 2, 2)
        rows, columns = slice(max(top, 0), min(bottom, HIGH)), slice(max(left, 0), min(right, WIDE))
        y, x = np.mgrid[rows, columns]
        inside[rows, columns] |= shapely.contains_xy(gap, (x + 0.5) / scale, (y + 0.5) / scale)
    return ~inside


def lab_of(path):
    return color.rgb2lab(np.asarray(Image.open(path).convert("RGB")))


def colour_errors(lab, labels, wood=None):
    """CIEDE2000 at every second pixel each way between the picture and areas filled with their mean Lab colour, over their wood:
    all of them unless gaps are left out."""
    dense = np.unique(labels, return_inverse=True)[1].reshape(labels.shape)
    wood = np.ones(labels.shape, bool) if wood is None else wood
    area = np.maximum(np.bincount(dense[wood], minlength=dense.max() + 1), 1)
    mean = np.stack([np.bincount(dense[wood], lab[..., k][wood], dense.max() + 1) / area for k in range(3)], 1)
    return color.deltaE_ciede2000(lab[::2, ::2], mean[dense[::2, ::2]])


def told_errors(lab, labels, told):
    """The same with areas filled with the picture's colour that is told of them, which leaves out drawn lines at their rims."""
    fills = np.zeros((labels.max() + 1, 3))
    for area in told["areas"]:
        fills[area["id"]] = area["colour_picture_lab"]
    return color.deltaE_ciede2000(lab[::2, ::2], fills[labels[::2, ::2]])


def thin_share(labels):
    """The share of labels whose widest circle is under the least width, on the raster."""
    dense = np.unique(labels, return_inverse=True)[1].reshape(labels.shape)
    pad = np.pad(dense + 1, 1)
    same = np.ones(pad.shape, bool)
    down, across = pad[1:] != pad[:-1], pad[:, 1:] != pad[:, :-1]
    same[1:] &= ~down
    same[:-1] &= ~down
    same[:, 1:] &= ~across
    same[:, :-1] &= ~across
    widest = ndimage.maximum(ndimage.distance_transform_edt(same)[1:-1, 1:-1] + 0.5, dense, np.arange(dense.max() + 1))
    return float((2 * widest * PANEL_MM / WIDE < LEAST_MM).mean())


def under_limits(told):
    """Pieces under the limits by their true outline, without the gaps at it (GEOS: widest circle to 0.01 mm)."""
    shapes = [shapely.Polygon(area["rings_mm"][0], area["rings_mm"][1:]) for area in told["areas"]]
    if gaps := shapely.union_all(gaps_of(told)):
        # What is left along a gap may be a line without an area.
        solid = lambda shape: shapely.multipolygons([part for part in shapely.get_parts(shape) if part.geom_type == "Polygon"])
        shapes = [solid(shape.difference(gaps)) for shape in shapes]
    circle = lambda shape: 2 * shapely.maximum_inscribed_circle(shape, tolerance=0.005).length
    return sum(shape.area < LEAST_MM2 or circle(shape) < LEAST_MM - 0.01 for shape in shapes)


def away_from_lines(labels, mm=1.0):
    """Pixels over a millimetre from any line: what the kerf or an open line never shows."""
    edge = ndimage.morphological_gradient(labels, size=3) != 0
    return (ndimage.distance_transform_edt(~edge) * PANEL_MM / WIDE > mm)[::2, ::2]


def connected(labels):
    """4-connected parts of the raster, nothing left out, and how many pixels lie apart from the greatest part of their area. A
    neck that is thinner than a pixel may be parted by the raster although its outline is one ring: it counts all the same."""
    parts = measure.label(labels, connectivity=1, background=-1)
    sizes = np.bincount(parts.ravel())
    owner = np.zeros(len(sizes), np.int64)
    owner[parts.ravel()] = labels.ravel()
    greatest = np.zeros(owner.max() + 1, np.int64)
    np.maximum.at(greatest, owner[1:], sizes[1:])
    return len(sizes) - 1, int(labels.size - greatest.sum())


def whole(told):
    """Areas whose outline is one outer ring that touches neither itself nor its holes (GEOS): connected, exactly."""
    return sum(shapely.Polygon(area["rings_mm"][0], area["rings_mm"][1:]).is_valid for area in told["areas"])


def bar_1(bench, name):
    counts = DE_MOST.get(name, {TURKEY_ASKED: TURKEY_DE_MOST})
    for asked, most in counts.items():
        told, cpu = bench.plan(name, asked)
        labels, pieces = labels_of(told), len(told["pieces"])
        (parts, apart), areas = connected(labels), len(told["areas"])
        wood = wood_of(told)
        errors, thin = colour_errors(bench.lab(name), labels, wood), under_limits(told)
        if name == "turkey":
            away = away_from_lines(labels) & wood[::2, ::2]
            error, as_told = (float(all_of[away].mean()) for all_of in (errors, told_errors(bench.lab(name), labels, told)))
            right = pieces >= TURKEY_PIECES_LEAST
            closed = float(colour_errors(bench.lab(name), labels)[away].mean())
            said = f"{pieces} pieces (bar {TURKEY_PIECES_LEAST} or more), lines open; dE00 over 1 mm from a line {error:.3f} (bar {most}), {closed:.3f} were their lines wood, {as_told:.3f} with the colours that are told; everywhere {errors[wood[::2, ::2]].mean():.3f}"
        else:
            error = float(errors.mean())
            right = 0.95 * asked <= pieces <= asked
            said = f"{pieces} pieces (bar {0.95 * asked:.0f} to {asked}); dE00 {error:.3f} (bar {most})"
        met = right and error <= most and thin == 0 and parts == areas == whole(told)
        say(met, f"{name} {asked}: {said}; {areas} areas, {whole(told)} whole by outline, {parts} parts on the raster ({apart} pixels apart); {thin} under the limits; {cpu:.2f} CPU s whole start")


# Bar 2: borders


class Borders:
    """A draft's borders sampled along their cubics, and the cracks of the label map they were fitted to."""

    def __init__(self, told, labels):
        self.borders, self.labels = told["borders"], labels
        self.pixel = PANEL_MM / labels.shape[1]

    def cracks(self):
        """By pair of labels, points along the cracks between them, a quarter of a pixel apart."""
        found, labels = {}, self.labels.astype(np.int64)
        quarters = np.linspace(0, 1, 5)
        for axis in (0, 1):
            a = labels[:-1] if axis == 0 else labels[:, :-1]
            b = labels[1:] if axis == 0 else labels[:, 1:]
            y, x = np.nonzero(a != b)
            keys = np.minimum(a[y, x], b[y, x]) * 65536 + np.maximum(a[y, x], b[y, x])
            along = [np.stack([x + q, y + 1.0], 1) if axis == 0 else np.stack([x + 1.0, y + q], 1) for q in quarters]
            points = np.stack(along, 1) * self.pixel
            order = np.argsort(keys, kind="stable")
            cuts = np.nonzero(np.diff(keys[order]))[0] + 1
            for part in np.split(order, cuts):
                if len(part):
                    found.setdefault(int(keys[part[0]]), []).append(points[part].reshape(-1, 2))
        return {key: np.concatenate(parts) for key, parts in found.items()}

    def figures(self):
        cracks, sampled = self.cracks(), {}
        length = cubics = smooth = corners = faults = tight = bends = 0
        for border in self.borders:
            curves = np.asarray(border["cubics_mm"])
            points, bend, tangent = walk(curves)
            steps = np.hypot(*np.diff(points, axis=0).T)
            length, cubics = length + steps.sum(), cubics + len(curves)
            tight += tight_spots(curves)
            turns = joints(curves, border["ends"])
            smooth, corners = smooth + (turns < SMOOTH_DEG).sum(), corners + (turns >= CORNER_DEG).sum()
            faults += ((turns >= SMOOTH_DEG) & (turns < CORNER_DEG)).sum()
            bends += changes(bend)
            pair = sorted((border["left"], border["right"]))
            sampled.setdefault(pair[0] * 65536 + pair[1], []).append(points)
        out, back = [], []
        for key, lines in sampled.items():
            line = np.concatenate(lines)
            out.append(cKDTree(cracks[key]).query(line)[0])
            back.append(cKDTree(line).query(cracks[key])[0])
        out, back = np.concatenate(out), np.concatenate(back)
        return dict(mm=length, cubics=cubics, out=out, back=back, smooth=smooth, corners=corners, faults=faults, tight=tight, bends=bends)


def walk(curves, steps=24):
    """Points, turning (radians, signed, a step) and tangents along a chain of cubics."""
    t = np.linspace(0, 1, steps + 1)[None, :, None]
    p = [curves[:, k, None, :] for k in range(4)]
    points = (1 - t) ** 3 * p[0] + 3 * t * (1 - t) ** 2 * p[1] + 3 * t * t * (1 - t) * p[2] + t**3 * p[3]
    points = np.concatenate([points[:, :-1].reshape(-1, 2), points[-1:, -1]])
    way = np.diff(points, axis=0)
    way = way[np.hypot(*way.T) > 1e-9]
    a, b = way[:-1], way[1:]
    bend = np.arctan2(a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0], (a * b).sum(1))
    return points, bend, way


def changes(bend):
    """Changes of bending: swings one way and then the other, each of which turns enough to be seen; corners part swings."""
    count, swing, last = 0, 0.0, 0
    for turn in bend:
        if abs(turn) > np.radians(CORNER_DEG):
            swing, last = 0.0, 0
            continue
        if turn * swing < 0:
            swing = 0.0
        swing += turn
        if abs(swing) > np.radians(SEEN_DEG):
            side = 1 if swing > 0 else -1
            count += last == -side
            last = side
    return count


def bar_2(bench, name, count):
    told, labels = bench.draft(name, count)
    f = Borders(told, labels).figures()
    per, bend = f["cubics"] / f["mm"] * 10, f["mm"] / max(f["bends"], 1)
    head = f"{name} {count}:"
    worst = f["out"].max()
    say(worst <= CRACK_MOST_MM, f"{head} farthest from the cracks {worst:.3f} mm (bar {CRACK_MOST_MM}), mean {f['out'].mean():.3f}; cracks from borders {f['back'].max():.3f}")
    say(per <= CUBICS_MOST[name], f"{head} {per:.2f} cubics in 10 mm (bar {CUBICS_MOST[name]}), {f['mm'] / 1000:.1f} m of border")
    joint = f["smooth"] + f["corners"] + f["faults"]
    say(f["faults"] == 0, f"{head} joints inside borders: {f['smooth']} smooth, {f['corners']} corners, {f['faults']} neither, of {joint}")
    say(f["tight"] == 0, f"{head} {f['tight']} of {f['cubics']} cubics tighter than {RADIUS_LEAST_MM} mm")
    say(bend >= BEND_MM, f"{head} one change of bending in {bend:.1f} mm (bar {BEND_MM:.0f})")


def planted(bench):
    """A circle and a tilted straight, drawn exactly on the pixel grid, come back."""
    y, x = np.mgrid[0:600, 0:800] + 0.5
    pixel = PANEL_MM / WIDE
    for radius in (15, 40, 120, 220):
        cx, cy = 401.3, 299.6
        told = bench.fit(f"circle-{radius}", (np.hypot(x - cx, y - cy) < radius).astype(np.uint16))
        (border,) = told["borders"]
        off = np.abs(np.hypot(*(walk(np.asarray(border["cubics_mm"]))[0] - np.array([cx, cy]) * pixel).T) - radius * pixel).max()
        cubics = len(border["cubics_mm"])
        say(off <= 0.05 and cubics <= 4, f"circle of {radius * pixel:.0f} mm radius: {off:.3f} mm off (bar 0.05), {cubics} cubics (bar 4)")
    for slope in (0.0, 0.031, 0.27, 0.5, 0.93):
        told = bench.fit(f"straight-{slope}", (y - 300.0 > slope * (x - 400.2)).astype(np.uint16))
        (border,) = told["borders"]
        points = walk(np.asarray(border["cubics_mm"]))[0] / pixel
        off = (np.abs(points[:, 1] - 300.0 - slope * (points[:, 0] - 400.2)) / np.hypot(1, slope)).max() * pixel
        cubics = len(border["cubics_mm"])
        say(off <= 0.05 and cubics <= 1, f"straight of slope {slope}: {off:.3f} mm off (bar 0.05), {cubics} cubics (bar 1)")


# Bar 4: time, and coarse against fine


def bar_4(bench, name, baseline):
    times, cpu = bench.times(name, (200, 800))
    ask = f"; the scikit-image chain beside it {baseline:.1f} CPU s, ratio {cpu / baseline:.3f} (bar 0.1)" if baseline else ""
    say(cpu <= 1.5 and (not baseline or cpu <= baseline / 10), f"{name}: picture to borders at 200 pieces {cpu:.2f} CPU s (bar 1.5){ask}")
    for count, most in ((200, 100), (800, 250)):
        draft, sketch = times[count]["draft_ms"], times[count]["sketch_ms"]
        say(sketch < most, f"{name}: slider to draft at {count} pieces, borders as fitted once to the finest regions, {sketch:.0f} ms, median of 5 (bar {most})")
        say(None, f"{name}: what accepting fits anew at {count} pieces {draft:.0f} ms, regions {times[count]['regions_ms']:.0f} of it (no bar: the slider has let go)")


def nested(bench, name):
    lines = {}
    for count in (100, 200, 400):
        told, _ = bench.draft(name, count)
        lines[count] = np.concatenate([walk(np.asarray(border["cubics_mm"]))[0] for border in told["borders"]])
    for coarse, fine in ((100, 200), (200, 400)):
        near = float((cKDTree(lines[fine]).query(lines[coarse])[0] <= 0.5).mean())
        say(near >= 0.98, f"{name}: borders at {coarse} pieces within 0.5 mm of those at {fine}: {100 * near:.1f} % (bar 98)")


def chain(path, counts=(400, 200, 100, 50)):
    """What general tools give: scikit-image's Felzenszwalb segments, merged by mean colour. CPU seconds, rows."""
    picture = np.asarray(Image.open(path).convert("RGB"))
    start = time.process_time()
    segments = segmentation.felzenszwalb(picture, scale=100, sigma=0.8, min_size=25)
    regions = graph.rag_mean_color(picture, segments)
    apart = lambda a, b: float(np.linalg.norm(regions.nodes[a]["mean color"] - regions.nodes[b]["mean color"]))
    heap = [(apart(a, b), a, b) for a, b in regions.edges]
    heapq.heapify(heap)
    alive = fresh = int(segments.max()) + 1
    into, rows, cpu, left = {}, [], 0.0, list(counts)
    while heap and left:
        _, a, b = heapq.heappop(heap)
        if a not in regions or b not in regions:
            continue
        total = regions.nodes[a]["total color"] + regions.nodes[b]["total color"]
        pixels = regions.nodes[a]["pixel count"] + regions.nodes[b]["pixel count"]
        beside = (set(regions[a]) | set(regions[b])) - {a, b}
        regions.add_node(fresh, **{"labels": [fresh], "total color": total, "pixel count": pixels, "mean color": total / pixels})
        regions.add_edges_from((fresh, other) for other in beside)
        regions.remove_nodes_from((a, b))
        into[a] = into[b] = fresh
        for other in beside:
            heapq.heappush(heap, (apart(fresh, other), fresh, other))
        fresh, alive = fresh + 1, alive - 1
        if alive == left[0]:
            cpu = time.process_time() - start
            root = np.arange(fresh)
            for at in range(fresh - 1, -1, -1):
                root[at] = root[into[at]] if at in into else at
            rows.append((left.pop(0), root[segments]))
    return cpu, rows


def baseline(bench, name):
    cpu, rows = chain(bench.folder / f"{name}.png")
    for count, labels in rows:
        parts = int(measure.label(labels, connectivity=1, background=-1).max())
        error = float(colour_errors(bench.lab(name), labels).mean())
        print(f"  beside: {name} {count}: scikit-image dE00 {error:.3f}, {parts} connected, {100 * thin_share(labels):.0f} % thin", flush=True)
    return cpu


# Bar 5: sheets to look at


def sheet(bench, name):
    """The picture, the lines at 100 and at 300 pieces, and those filled with the picture's mean colours."""
    picture = Image.open(bench.folder / f"{name}.png").convert("RGB")
    panels = [picture]
    filled = []
    for count in (100, 300):
        told, _ = bench.plan(name, count)
        panels.append(drawn(told, fill=False))
        filled.append(drawn(told, fill=True))
    page = Image.new("RGB", (3 * WIDE + 80, 2 * HIGH + 60), "#fff")
    for at, panel in enumerate([*panels, None, *filled]):
        if panel:
            page.paste(panel, (20 + at % 3 * (WIDE + 20), 20 + at // 3 * (HIGH + 20)))
    page.save(bench.folder / f"sheet-{name}.png")
    print(f"  {bench.folder / f'sheet-{name}.png'}", flush=True)


def drawn(told, fill, smooth=2):
    scale = WIDE / told["panel_mm"][0] * smooth
    page = Image.new("RGB", (WIDE * smooth, HIGH * smooth), "#fff")
    pen = ImageDraw.Draw(page)
    at = lambda line: [(x * scale, y * scale) for x, y in line]
    if fill:
        # An area in a hole has the smaller outer ring, so it comes later and lies on top.
        size = lambda area: -shapely.Polygon(area["rings_mm"][0]).area
        for area in sorted(told["areas"], key=size):
            lab = np.asarray(area["colour_picture_lab"] or [100.0, 0.0, 0.0])
            rgb = (color.lab2rgb(lab[None, None])[0, 0] * 255).round().astype(int)
            pen.polygon(at(area["rings_mm"][0]), fill=tuple(map(int, rgb)))
    for border in told["borders"]:
        pen.line(at(border["line_mm"]), fill="#222", width=smooth if fill else 2 * smooth, joint="curve")
    return page.resize((WIDE, HIGH), Image.LANCZOS)


# The bench


class Bench:
    def __init__(self, spelk, examples, folder):
        self.spelk, self.borders, self.folder = Path(spelk), Path(examples) / "borders", Path(folder)
        self.folder.mkdir(parents=True, exist_ok=True)
        self.known = {}
        os.environ["SPELK_STATE"] = str(self.folder / "state")
        os.environ["SPELK_SHOP"] = str(self.folder / "shop.spelk")

    def recall(self, key, make):
        if key not in self.known:
            self.known[key] = make()
        return self.known[key]

    def lab(self, name):
        return self.recall(("lab", name), lambda: lab_of(self.folder / f"{name}.png"))

    def plan(self, name, count):
        """What `tell --json` says of the job, and the CPU seconds of `start`."""

        def make():
            job = self.folder / f"{name}-{count}.spelk"
            job.unlink(missing_ok=True)
            words = ["start", self.folder / f"{name}.png", "--out", job, "--width", "400mm", "--stock", "thick"]
            _, cpu = ran([self.spelk, *words, "--keep-all", "--pieces", count, *INK.get(name, [])])
            told, _ = ran([self.spelk, "tell", job, "--json"])
            return json.loads(told), cpu

        return self.recall(("plan", name, count), make)

    def draft(self, name, count):
        def make():
            out = self.folder / f"draft-{name}"
            ran([self.borders, self.folder / f"{name}.png", PANEL_MM, out, count])
            return json.loads(Path(f"{out}-{count}.json").read_text()), np.asarray(Image.open(f"{out}-{count}.png"))

        return self.recall(("draft", name, count), make)

    def fit(self, name, labels):
        Image.fromarray(labels).save(self.folder / f"{name}.png")
        out = self.folder / name
        ran([self.borders, "map", self.folder / f"{name}.png", PANEL_MM / WIDE * labels.shape[1], out])
        return json.loads(Path(f"{out}.json").read_text())

    def times(self, name, counts):
        """Times of drafts by pieces; CPU seconds from the picture's bytes to one draft at the first count."""
        out = self.folder / f"times-{name}"
        said, _ = ran([self.borders, self.folder / f"{name}.png", PANEL_MM, out, *counts])
        times = {row["pieces"]: row for row in map(json.loads, said.splitlines())}
        _, cpu = ran([self.borders, self.folder / f"{name}.png", PANEL_MM, out, counts[0]], once="1")
        return times, cpu


def ran(words, once="5"):
    """What a command printed, and its CPU seconds."""
    process = subprocess.Popen(list(map(str, words)), stdout=subprocess.PIPE, env={**os.environ, "SPELK_TIMES": once})
    said = process.stdout.read()
    _, status, used = os.wait4(process.pid, 0)
    process.returncode = os.waitstatus_to_exitcode(status)
    if process.returncode != 0:
        sys.exit(f"failed: {words}")
    return said.decode(), used.ru_utime + used.ru_stime


def say(met, text):
    verdict = {True: "met", False: "MISSED", None: ""}[None if met is None else bool(met)]
    print(f"  {verdict:6} {text}", flush=True)


def main(spelk, examples, folder, *flags):
    bench = Bench(spelk, examples, folder)
    make(bench.folder)
    names = ("astronaut", "coffee", "turkey")
    if "--sheets" not in flags:
        print("Bar 1: colour, count, limits")
        beside = {}
        for name in names:
            bar_1(bench, name)
            beside[name] = baseline(bench, name) if "--baselines" in flags else None
        print("Bar 2: borders")
        for name in names:
            bar_2(bench, name, 200)
        planted(bench)
        print("Bar 4: time, and coarse against fine")
        for name in names:
            bar_4(bench, name, beside[name])
            nested(bench, name)
    print("Bar 5: sheets to look at")
    for name in names:
        sheet(bench, name)


if __name__ == "__main__":
    main(*sys.argv[1:])
