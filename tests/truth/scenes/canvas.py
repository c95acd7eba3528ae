"""A camera that sees a plane, and paint that covers a pixel by the share it truly covers."""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np

FINER = 12  # scan lines in a pixel; along a line the covered share is exact


@dataclass(frozen=True)
class Camera:
    """A pinhole with a first-order lens: `matrix` from millimetres to straight pixels."""

    matrix: np.ndarray
    size: tuple[int, int]  # width, height
    k1: float = 0.0

    @staticmethod
    def looking(size, middle_mm, px_per_mm, *, tilt=0.0, towards=0.0, roll=0.0, k1=0.0):
        """Look at a point of the plane from a tilt in degrees; distance is 1.3 widths."""
        width, height = size
        focal = 1.3 * width
        distance = focal / px_per_mm
        axis = np.radians(towards)
        rotation, _ = cv2.Rodrigues(np.radians(tilt) * np.array([np.cos(axis), np.sin(axis), 0.0]))
        spin = np.radians(roll)
        spun = np.array(
            [[np.cos(spin), -np.sin(spin), 0], [np.sin(spin), np.cos(spin), 0], [0, 0, 1]]
        )
        pose = rotation @ spun
        lens = np.array([[focal, 0, (width - 1) / 2], [0, focal, (height - 1) / 2], [0, 0, 1]])
        columns = np.column_stack([pose[:, 0], pose[:, 1], np.array([0, 0, distance])])
        shift = np.array([[1, 0, -middle_mm[0]], [0, 1, -middle_mm[1]], [0, 0, 1.0]])
        return Camera(lens @ columns @ shift, size, k1)

    def project(self, points_mm):
        """Return where points of the plane fall in the picture."""
        points = np.asarray(points_mm, float).reshape(-1, 2)
        ideal = np.column_stack([points, np.ones(len(points))]) @ self.matrix.T
        ideal = ideal[:, :2] / ideal[:, 2:]
        middle = (np.array(self.size) - 1) / 2
        half = np.hypot(*self.size) / 2
        unit = (ideal - middle) / half
        bent = unit * (1 + self.k1 * (unit**2).sum(axis=1, keepdims=True))
        return bent * half + middle

    def plane_grid(self, step=16):
        """Return the plane's x and y under every pixel, computed at every step-th and drawn out."""
        width, height = self.size
        columns, rows = np.meshgrid(
            np.linspace(0, width - 1, width // step), np.linspace(0, height - 1, height // step)
        )
        plane = self.unproject(np.column_stack([columns.ravel(), rows.ravel()]))
        full = np.linspace(0, height // step - 1, height), np.linspace(0, width // step - 1, width)
        where = np.meshgrid(full[1].astype(np.float32), full[0].astype(np.float32))
        return [
            cv2.remap(a.reshape(rows.shape).astype(np.float32), *where, cv2.INTER_LINEAR)
            for a in plane.T
        ]

    def unproject(self, points_px):
        """Return the points of the plane under points of the picture."""
        middle = (np.array(self.size) - 1) / 2
        half = np.hypot(*self.size) / 2
        bent = (np.asarray(points_px, float) - middle) / half
        unit = bent.copy()
        for _ in range(15):
            unit = bent / (1 + self.k1 * (unit**2).sum(axis=1, keepdims=True))
        ideal = unit * half + middle
        back = np.column_stack([ideal, np.ones(len(ideal))]) @ np.linalg.inv(self.matrix).T
        return back[:, :2] / back[:, 2:]

    def px_per_mm(self, at_mm):
        """Return the local scale at a point of the plane."""
        x, y = at_mm
        e = 0.01
        a = self.project([(x - e, y), (x + e, y), (x, y - e), (x, y + e)])
        jacobian = np.array([a[1] - a[0], a[3] - a[2]]) / (2 * e)
        return np.sqrt(abs(np.linalg.det(jacobian)))


def coverage(polygon_px, size):
    """Return the share of each pixel that a polygon covers, and the tile's corner, or None."""
    width, height = size
    points = np.asarray(polygon_px, float)
    left, top = np.floor(points.min(axis=0)).astype(int) - 1
    right, bottom = np.ceil(points.max(axis=0)).astype(int) + 2
    left, top, right, bottom = max(left, 0), max(top, 0), min(right, width), min(bottom, height)
    if right <= left or bottom <= top:
        return None
    x, y = points[:, 0] - left + 0.5, (points[:, 1] - top + 0.5) * FINER
    steps = np.zeros(((bottom - top) * FINER, right - left + 2))
    for x0, y0, x1, y1 in zip(x, y, np.roll(x, -1), np.roll(y, -1), strict=True):
        low, high = sorted((y0, y1))
        rows = np.arange(
            max(0, np.ceil(low - 0.5)), min(len(steps), np.ceil(high - 0.5)), dtype=int
        )
        if y0 == y1 or not rows.size:
            continue
        cut = np.clip(x0 + (rows + 0.5 - y0) / (y1 - y0) * (x1 - x0), 0, right - left)
        whole = cut.astype(int)
        sign = 1.0 if y1 > y0 else -1.0
        steps[rows, whole] += sign * (whole + 1 - cut)
        steps[rows, whole + 1] += sign * (cut - whole)
    inside = np.abs(steps.cumsum(axis=1)[:, : right - left]).clip(0, 1)
    tile = inside.reshape(bottom - top, FINER, -1).mean(axis=1).astype(np.float32)
    return tile, (left, top)


def paint(canvas, polygon_px, colour):
    """Lay a colour, plain or one per pixel of the tile, over a polygon; return the area painted."""
    covered = coverage(polygon_px, canvas.shape[1::-1])
    if covered is None:
        return 0.0
    tile, (left, top) = covered
    part = canvas[top : top + tile.shape[0], left : left + tile.shape[1]]
    shade = colour(tile.shape) if callable(colour) else np.asarray(colour, np.float32)
    part += tile[..., None] * (shade - part)
    return float(tile.sum())


def rectangle(x, y, width, height, *, per_side=24):
    """Return a rectangle's outline in millimetres, with points along its sides for the lens."""
    share = np.linspace(0, 1, per_side, endpoint=False)
    corners = np.array([(x, y), (x + width, y), (x + width, y + height), (x, y + height)], float)
    return np.concatenate(
        [
            a + share[:, None] * (b - a)
            for a, b in zip(corners, np.roll(corners, -1, axis=0), strict=True)
        ]
    )


def draw_card(
    canvas, camera, place, *, first=0, margin=6.0, turn=0.0, paper=238.0, hidden=(), extras=False
):
    """Draw a scale card: markers `first` to `first + 3`; `place` and `turn` set it in the plane."""
    angle = np.radians(turn)
    rotation = np.array([[np.cos(angle), -np.sin(angle)], [np.sin(angle), np.cos(angle)]])

    def lay(points):
        return camera.project(np.asarray(points) @ rotation.T + place)

    paint(canvas, lay(rectangle(-margin, -margin, 90 + 2 * margin, 60 + 2 * margin)), (paper,) * 3)
    book = cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_4X4_50)
    for i, (x, y) in enumerate([(0, 0), (70, 0), (70, 40), (0, 40)]):
        if first + i in hidden:
            continue
        paint(canvas, lay(rectangle(x, y, 20, 20)), (22.0,) * 3)
        bits = cv2.aruco.generateImageMarker(book, first + i, 6)
        cell = 20 / 6
        for row, column in np.argwhere(bits > 0):
            square = rectangle(x + column * cell, y + row * cell, cell, cell, per_side=4)
            paint(canvas, lay(square), (paper,) * 3)
    if extras:
        paint(canvas, lay(rectangle(20, 52, 50, 0.4)), (30.0,) * 3)
        for i, grey in enumerate((40.0, 90.0, 140.0, 190.0)):
            paint(canvas, lay(rectangle(25 + 10 * i, 22, 9, 9)), (grey,) * 3)


def finish(canvas, rng, *, blur=0.9, noise=2.5, quality=92, linear=False):
    """Blur as a lens, add noise as a sensor, and pack as JPEG; `linear` blurs light, not grey."""
    picture = np.clip(canvas, 0, 255).astype(np.float32)
    if linear:
        picture = 255 * (picture / 255) ** 2.2
    picture = cv2.GaussianBlur(picture, (0, 0), blur)
    if linear:
        picture = 255 * np.clip(picture / 255, 0, 1) ** (1 / 2.2)
    picture += rng.normal(0, noise, picture.shape).astype(np.float32)
    pixels = np.clip(np.rint(picture), 0, 255).astype(np.uint8)
    ok, packed = cv2.imencode(".jpg", pixels, [cv2.IMWRITE_JPEG_QUALITY, quality])
    assert ok
    return packed.tobytes()
