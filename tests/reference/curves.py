"""How chains of cubics bend: by the formula of curvature and by directions at joints, in NumPy."""

import numpy as np

# A joint is smooth under the first angle and a corner from the second on; between them it is a fault.
SMOOTH_DEG, CORNER_DEG = 1.0, 25.0
# No saw line bends tighter outside corners.
RADIUS_LEAST_MM = 0.6


def tight_spots(curves):
    """Cubics that somewhere, their ends left out, bend tighter than the least radius over more than a tenth of it."""
    t = np.linspace(0.02, 0.98, 49)[None, :, None]
    p = [curves[:, k, None, :] for k in range(4)]
    d = 3 * ((1 - t) ** 2 * (p[1] - p[0]) + 2 * t * (1 - t) * (p[2] - p[1]) + t * t * (p[3] - p[2]))
    dd = 6 * ((1 - t) * (p[2] - 2 * p[1] + p[0]) + t * (p[3] - 2 * p[2] + p[1]))
    speed = np.hypot(d[..., 0], d[..., 1])
    curl = np.abs(d[..., 0] * dd[..., 1] - d[..., 1] * dd[..., 0])
    tight = curl * RADIUS_LEAST_MM > speed**3
    return int((((speed * tight).sum(1) / 49) > RADIUS_LEAST_MM / 10).sum())


def joints(curves, ends):
    """Degrees turned where cubics join; a ring also joins at its start."""
    pairs = list(zip(curves[:-1], curves[1:]))
    if "ring" in ends:
        pairs.append((curves[-1], curves[0]))
    return np.array([turned(leaving(a[::-1]) * -1, leaving(b)) for a, b in pairs])


def leaving(curve):
    """The direction in which a cubic leaves its first point."""
    ways = curve[1:] - curve[0]
    return next((way for way in ways if np.hypot(*way) > 1e-9), ways[-1])


def turned(a, b):
    return abs(np.degrees(np.arctan2(a[0] * b[1] - a[1] * b[0], a @ b)))
