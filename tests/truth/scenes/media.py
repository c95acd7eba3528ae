"""Filter media laid flat beside a scale card, with particles whose true outline is known."""

from __future__ import annotations

from dataclasses import dataclass, field

import cv2
import numpy as np

from truth.scenes.canvas import Camera, draw_card, finish, paint, rectangle

MEDIA = {  # blue, green, red
    "cream": (178, 212, 226),
    "grey": (168, 168, 164),
    "brown": (92, 128, 165),
    "oil-soaked": (42, 66, 92),
    "yellowed": (110, 175, 200),
}
TABLES = ((60, 66, 70), (105, 140, 170), (200, 202, 205), (38, 36, 35), (120, 118, 112))
CARD_ROOM = {"side": (-120.0, 8.0), "above": (30.0, -90.0), "on": (22.0, 18.0)}


@dataclass
class TrueParticle:
    """One particle as painted."""

    x_mm: float
    y_mm: float
    ecd_mm: float
    feret_mm: float
    kind: str
    across_px: float


@dataclass
class Scene:
    """A picture's bytes and what is true of it; millimetres are those of the card."""

    data: bytes
    camera: Camera
    particles: list[TrueParticle] = field(default_factory=list)
    area_mm2: float = 0.0
    facts: dict = field(default_factory=dict)


def outline(rng, diameter, *, elongation=1.0, rough=0.18, corners=40):
    """Return a random closed outline about zero of a given mean diameter."""
    angle = np.linspace(0, 2 * np.pi, corners, endpoint=False)
    radius = np.ones(corners)
    for order in range(2, 7):
        radius += rough / order * rng.normal() * np.cos(order * angle + rng.uniform(0, 6.3))
    radius = np.clip(radius, 0.45, 1.7)
    points = np.column_stack([np.cos(angle), np.sin(angle)]) * radius[:, None]
    points *= [np.sqrt(elongation), 1 / np.sqrt(elongation)]
    turn = rng.uniform(0, np.pi)
    points = points @ np.array([[np.cos(turn), -np.sin(turn)], [np.sin(turn), np.cos(turn)]])
    x, y = points.T
    area = 0.5 * abs(np.dot(x, np.roll(y, -1)) - np.dot(y, np.roll(x, -1)))
    return points * diameter / (2 * np.sqrt(area / np.pi))


def flake(rng, diameter, **kind):
    """Return a sharp-cornered flake: the convex hull of a few points."""
    points = outline(rng, diameter, corners=40, **kind)
    chosen = points[np.sort(rng.choice(40, rng.integers(5, 9), replace=False))].astype(np.float32)
    hull = cv2.convexHull(chosen)[:, 0].astype(float)
    area = abs(cv2.contourArea(hull.astype(np.float32)))
    if area < 0.4 * np.pi * diameter**2 / 4:
        return points
    return (hull - hull.mean(axis=0)) * diameter / (2 * np.sqrt(area / np.pi))


def thread(rng, length, width):
    """Return the outline of a bent fibre."""
    steps = 40
    heading = (
        rng.uniform(0, 2 * np.pi)
        + np.cumsum(rng.normal(0, 0.12, steps))
        + np.linspace(0, rng.normal(0, 1.2), steps)
    )
    middle = np.cumsum(np.column_stack([np.cos(heading), np.sin(heading)]), axis=0) * length / steps
    normal = np.column_stack([-np.sin(heading), np.cos(heading)]) * width / 2
    points = np.concatenate([middle + normal, (middle - normal)[::-1]])
    return points - points.mean(axis=0)


def area_of(points):
    """Return a polygon's area."""
    x, y = np.asarray(points).T
    return 0.5 * abs(np.dot(x, np.roll(y, -1)) - np.dot(y, np.roll(x, -1)))


def feret_of(points):
    """Return the largest distance between two points of an outline."""
    hull = cv2.convexHull(np.asarray(points, np.float32))[:, 0]
    return float(np.linalg.norm(hull[:, None] - hull[None], axis=2).max())


def smooth_noise(rng, shape, sigma):
    """Return noise of unit spread, smooth over `sigma` pixels."""
    if sigma > 6:
        small = rng.normal(
            0, 1, (int(shape[0] / sigma * 2) + 4, int(shape[1] / sigma * 2) + 4)
        ).astype(np.float32)
        small = cv2.GaussianBlur(small, (0, 0), 2)
        field_ = cv2.resize(small, shape[::-1], interpolation=cv2.INTER_CUBIC)
    else:
        field_ = cv2.GaussianBlur(rng.normal(0, 1, shape).astype(np.float32), (0, 0), sigma)
    return field_ / field_.std()


def lay_media(rng, camera, box, kind, *, texture, folds, table):
    """Return a canvas with a table, media in a box and its texture, stains, sheen and folds."""
    width, height = camera.size
    shape = (height, width)
    canvas = np.empty((height, width, 3), np.float32)
    canvas[:] = table
    grain = smooth_noise(rng, shape, 12) + smooth_noise(rng, shape, 1.5)
    canvas += grain[..., None] * 2.5
    x, y = camera.plane_grid()
    sheet = np.empty_like(canvas)
    sheet[:] = MEDIA[kind]
    fibres = (
        0.6 * smooth_noise(rng, shape, 0.9)
        + 0.6 * smooth_noise(rng, shape, 2.2)
        + 0.5 * smooth_noise(rng, shape, 9)
    )
    sheet *= (1 + texture * fibres)[..., None].astype(np.float32)
    for _ in range(rng.integers(0, 5)):  # stains with soft to fairly firm edges
        at = (rng.uniform(box[0], box[0] + box[2]), rng.uniform(box[1], box[1] + box[3]))
        size, soft = rng.uniform(3, 14), rng.uniform(0.6, 3)
        apart = np.hypot(x - at[0], (y - at[1]) * rng.uniform(0.7, 1.4)) + 1.2 * smooth_noise(
            rng, shape, 60
        )
        share = 1 / (1 + np.exp(np.clip((apart - size) / soft, -30, 30)))
        sheet *= (1 - rng.uniform(0.06, 0.3) * share)[..., None].astype(np.float32)
    for _ in range(rng.integers(0, 4)):  # sheen of wet media
        at = (rng.uniform(box[0], box[0] + box[2]), rng.uniform(box[1], box[1] + box[3]))
        size = rng.uniform(1.2, 7)
        shine = np.exp(
            -((x - at[0]) ** 2 + ((y - at[1]) * rng.uniform(0.5, 1.8)) ** 2) / (2 * size**2)
        )
        sheet += (rng.uniform(10, 60) * shine)[..., None].astype(np.float32)
    if folds:
        pitch, angle = rng.uniform(6, 16), rng.normal(0, 0.03)
        along = x * np.cos(angle) + y * np.sin(angle) + 0.15 * smooth_noise(rng, shape, 40)
        phase = along / pitch
        nearest = np.rint(phase)
        line = (phase - nearest) * pitch
        sign = np.where(nearest % 2 == 0, 1.0, -1.0)
        crest = np.exp(-((line / rng.uniform(0.18, 0.5)) ** 2)) * sign
        slope = np.where(np.floor(phase) % 2 == 0, 1.0, -1.0)
        sheet *= (1 + 0.16 * crest + rng.uniform(0, 0.05) * slope)[..., None].astype(np.float32)
    outline_px = camera.project(rectangle(*box, per_side=60))
    paint_field(canvas, outline_px, sheet)
    return canvas


def paint_field(canvas, polygon_px, field_):
    """Lay a whole field over a polygon."""
    from truth.scenes.canvas import coverage

    covered = coverage(polygon_px, canvas.shape[1::-1])
    assert covered is not None
    tile, (left, top) = covered
    view = np.s_[top : top + tile.shape[0], left : left + tile.shape[1]]
    canvas[view] += tile[..., None] * (field_[view] - canvas[view])


def light(rng, shape):
    """Return an uneven light: a slope and a falling off towards the corners."""
    height, width = shape
    x, y = np.meshgrid(np.linspace(-1, 1, width), np.linspace(-1, 1, height))
    slope = rng.uniform(0, 0.22)
    turn = rng.uniform(0, 2 * np.pi)
    field_ = (
        1 + slope * (x * np.cos(turn) + y * np.sin(turn)) - rng.uniform(0, 0.18) * (x**2 + y**2) / 2
    )
    return field_.astype(np.float32)


def shine(rng, base, *, facets):
    """Return a colour for a tile: a bright metal with a slope of light and facets."""

    def colour(shape):
        rows, columns = np.mgrid[0 : shape[0], 0 : shape[1]]
        turn = rng.uniform(0, 2 * np.pi)
        slope = (
            (columns - shape[1] / 2) * np.cos(turn) + (rows - shape[0] / 2) * np.sin(turn)
        ) / max(shape)
        tile = np.asarray(base, np.float32) * (1 + 0.12 * slope[..., None])
        tile *= 1 + facets * smooth_noise(rng, shape, 2.0)[..., None] if min(shape) > 9 else 1
        return tile.astype(np.float32)

    return colour


def media_scene(seed, *, clean=False, size=(2400, 1700)):
    """Draw a random media scene: camera, light, media, card and particles all vary."""
    rng = np.random.default_rng(seed)
    kind = rng.choice(list(MEDIA))
    room = rng.choice(list(CARD_ROOM))
    box = {
        "side": (0.0, 0.0, rng.uniform(90, 150), rng.uniform(70, 105)),
        "above": (0.0, 0.0, rng.uniform(120, 170), rng.uniform(55, 80)),
        "on": (0.0, 0.0, rng.uniform(150, 200), rng.uniform(105, 130)),
    }[room]
    card_at = np.array(CARD_ROOM[room])
    everything = np.array([*rectangle(*box), *(rectangle(-8, -8, 106, 76) + card_at)])
    low, high = everything.min(axis=0), everything.max(axis=0)
    fill = rng.random() < 0.35 and room == "on"
    if fill:
        box = (-40.0, -40.0, high[0] + 80, high[1] + 80)
    middle = (low + high) / 2
    px_per_mm = min(size[0] / (high[0] - low[0]), size[1] / (high[1] - low[1])) * rng.uniform(
        0.8, 0.92
    )
    camera = Camera.looking(
        size, middle, px_per_mm, tilt=rng.uniform(0, 20), towards=rng.uniform(0, 360),
        roll=rng.normal(0, 4), k1=rng.normal(0, 0.01),
    )  # fmt: skip
    table = TABLES[rng.integers(len(TABLES))]
    while np.abs(np.subtract(table, MEDIA[kind])).max() < 45:
        table = TABLES[rng.integers(len(TABLES))]
    canvas = lay_media(
        rng,
        camera,
        box,
        kind,
        texture=rng.uniform(0.008, 0.03),
        folds=rng.random() < 0.5,
        table=table,
    )
    turn = float(rng.normal(0, 3)) if room != "on" else float(rng.normal(0, 8))
    card_margin = float(rng.uniform(4.5, 10))
    scene = Scene(b"", camera)
    scene.facts |= {
        "kind": kind,
        "room": room,
        "card_at": card_at,
        "turn": turn,
        "box": box,
        "fill": fill,
    }
    if not clean:
        scene.particles = _scatter(
            rng, canvas, camera, box, kind, card_at if room == "on" else None
        )
    draw_card(
        canvas, camera, card_at, margin=card_margin, turn=turn, paper=float(rng.uniform(215, 245)),
        extras=rng.random() < 0.4,
    )  # fmt: skip
    canvas *= light(rng, canvas.shape[:2])[..., None]
    canvas *= np.asarray(rng.uniform(0.94, 1.06, 3), np.float32)
    blur = rng.uniform(0.6, 1.3)
    scene.facts |= {"blur": blur}
    scene.data = finish(
        canvas, rng, blur=blur, noise=rng.uniform(1, 4), quality=int(rng.integers(85, 97)),
        linear=bool(rng.random() < 0.3),
    )  # fmt: skip
    angle = np.radians(turn)
    back = np.array([[np.cos(angle), np.sin(angle)], [-np.sin(angle), np.cos(angle)]])
    for one in scene.particles:
        one.x_mm, one.y_mm = back @ (np.array([one.x_mm, one.y_mm]) - card_at)
    return scene


def _scatter(rng, canvas, camera, box, kind, card_at):
    """Paint particles apart from each other and from edges and card; return what is true."""
    base = np.array(MEDIA[kind], float)
    particles, taken = [], []
    wanted = int(rng.integers(25, 110))
    for _ in range(wanted * 6):
        if len(particles) >= wanted:
            break
        what = rng.choice(["bright", "dark", "fibre"], p=[0.45, 0.4, 0.15])
        at = np.array([rng.uniform(box[0], box[0] + box[2]), rng.uniform(box[1], box[1] + box[3])])
        local = camera.px_per_mm(at)
        across = 6.2 * np.exp(rng.exponential(0.55))
        if what == "fibre":
            width = rng.uniform(2.5, 5) / local
            points = thread(rng, width * rng.uniform(14, 40), width)
        else:
            make = flake if rng.random() < 0.5 else outline
            points = make(rng, across / local, elongation=rng.uniform(1, 2.6))
        reach = np.abs(points).max() + 5 / local
        low, high = np.array(box[:2]) + reach + 0.6, np.array(box[:2]) + box[2:] - reach - 0.6
        pixel = camera.project(points + at)
        inside = (pixel > 6).all() and (pixel < np.array(camera.size) - 7).all()
        if (at < low).any() or (at > high).any() or not inside:
            continue
        if card_at is not None and np.all(
            np.abs(at - card_at - (45, 30)) < (75 + reach, 60 + reach)
        ):
            continue
        if any(np.hypot(*(at - other)) < reach + size for other, size in taken):
            continue
        taken.append((at, reach))
        area_px = paint(canvas, pixel, _colour(rng, what, base))
        local_area = area_px / camera.px_per_mm(at) ** 2
        ecd = 2 * np.sqrt(local_area / np.pi)
        particles.append(
            TrueParticle(*(at + points.mean(axis=0)), ecd, feret_of(points), str(what), ecd * local)
        )
    return particles


def _colour(rng, what, base):
    if what == "fibre":
        return tuple(np.clip(base * 0 + rng.choice([245.0, 35.0]) + rng.normal(0, 8, 3), 5, 252))
    if what == "dark":
        return tuple(np.clip(base * rng.uniform(0.12, 0.42) + rng.normal(0, 3, 3), 4, 255))
    lift = rng.uniform(235, 252)
    metal = (
        np.array([lift, lift, lift])
        if rng.random() < 0.7
        else np.array([0.62 * lift, 0.88 * lift, lift])
    )
    if base.max() > 200 and metal[0] > 200:
        metal = np.array([lift + 3, lift + 3, lift])
    return shine(rng, metal, facets=rng.uniform(0, 0.06))
