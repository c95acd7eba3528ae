"""The whole media laid out as a strip with a card at each end, its folds counted as drawn."""

from __future__ import annotations

import numpy as np

from truth.scenes.canvas import Camera, draw_card, finish, rectangle
from truth.scenes.media import MEDIA, TABLES, Scene, light, paint_field, smooth_noise

STYLES = ("crests", "dark lines", "facets", "crests and facets")


def fold_places(rng, length):
    """Return where folds lie along a strip: a pitch with jitter, and half a pitch free at the ends."""
    pitch = rng.uniform(11, 24)
    count = int(length / pitch)
    jitter = rng.uniform(0.0, 0.12) * pitch
    places = (np.arange(count) + 0.5) * length / count + rng.normal(0, jitter, count)
    return np.sort(np.clip(places, 3.0, length - 3.0))


def strip_scene(seed, *, size=(3600, 1300)):
    """Draw a random strip: length, width, folds, camera and light all vary."""
    rng = np.random.default_rng(seed)
    kind = rng.choice(list(MEDIA))
    length, width = rng.uniform(500, 1700), rng.uniform(55, 140)
    places = fold_places(rng, length)
    style = rng.choice(STYLES)
    where = rng.choice(["beyond", "above", "below"])
    if where == "beyond":
        first, second = (
            np.array([-115.0, (width - 60) / 2]),
            np.array([length + 25.0, (width - 60) / 2]),
        )
    else:
        down = -80.0 if where == "above" else width + 20.0
        first, second = np.array([5.0, down]), np.array([length - 95.0, down])
    first, second = first + rng.normal(0, 3, 2), second + rng.normal(0, 3, 2)
    corners = np.array([*rectangle(0, 0, length, width), *(first + rectangle(-10, -10, 110, 80)),
                        *(second + rectangle(-10, -10, 110, 80))])  # fmt: skip
    low, high = corners.min(axis=0), corners.max(axis=0)
    scale = min(size[0] / (high[0] - low[0]), size[1] / (high[1] - low[1])) * rng.uniform(
        0.84, 0.93
    )
    camera = Camera.looking(
        size, (low + high) / 2, scale, tilt=rng.uniform(0, 8), towards=rng.uniform(0, 360),
        roll=rng.normal(0, 0.7), k1=rng.normal(0, 0.008),
    )  # fmt: skip
    table = TABLES[rng.integers(len(TABLES))]
    while np.abs(np.subtract(table, MEDIA[kind])).max() < 45:
        table = TABLES[rng.integers(len(TABLES))]
    shape = (size[1], size[0])
    canvas = np.empty((*shape, 3), np.float32)
    canvas[:] = table
    canvas += 3 * (smooth_noise(rng, shape, 12) + smooth_noise(rng, shape, 1.5))[..., None]
    x, y = camera.plane_grid()
    sheet = np.empty_like(canvas)
    sheet[:] = MEDIA[kind]
    sheet *= (1 + rng.uniform(0.008, 0.025) * smooth_noise(rng, shape, 1.2))[..., None]
    for _ in range(rng.integers(0, 5)):
        at, big = (rng.uniform(0, length), rng.uniform(0, width)), rng.uniform(6, 40)
        share = 1 / (1 + np.exp(np.clip((np.hypot(x - at[0], y - at[1]) - big) / 3, -30, 30)))
        sheet *= (1 - rng.uniform(0.05, 0.25) * share)[..., None]
    sheet *= fold_shading(rng, x + rng.normal(0, 0.01) * (y - width / 2), places, style)[..., None]
    paint_field(canvas, camera.project(rectangle(0, 0, length, width, per_side=200)), sheet)
    turns = rng.normal(0, 4, 2)
    draw_card(canvas, camera, first, turn=turns[0], margin=float(rng.uniform(4.5, 9)))
    draw_card(canvas, camera, second, first=4, turn=turns[1], margin=float(rng.uniform(4.5, 9)))
    canvas *= light(rng, shape)[..., None]
    data = finish(canvas, rng, blur=rng.uniform(0.6, 1.2), noise=rng.uniform(1, 4),
                  quality=int(rng.integers(85, 97)))  # fmt: skip
    scene = Scene(data, camera, area_mm2=length * width)
    scene.facts = {
        "length_mm": length, "width_mm": width, "folds": len(places), "style": str(style),
        "kind": str(kind), "where": str(where), "places": places,
    }  # fmt: skip
    return scene


def fold_shading(rng, along, places, style):
    """Return how folds darken and lighten the strip, as a factor under every pixel."""
    order = np.searchsorted(places, along)
    below = np.take(np.append(-1e6, places), order)
    above = np.take(np.append(places, 1e6), order)
    near = np.where(along - below < above - along, order - 1, order)
    apart = along - np.take(places, np.clip(near, 0, len(places) - 1))
    depth = rng.uniform(0.1, 0.28)
    wide = rng.uniform(0.5, 1.1)
    sign = np.where(near % 2 == 0, 1.0, -1.0)
    crest = np.exp(-((apart / wide) ** 2))
    facet = np.where(order % 2 == 0, 1.0, -1.0)
    if style == "crests":
        return (1 + depth * crest * sign).astype(np.float32)
    if style == "dark lines":
        return (1 - depth * crest * rng.uniform(0.8, 1.0)).astype(np.float32)
    if style == "facets":
        return (1 + rng.uniform(0.05, 0.15) * facet).astype(np.float32)
    return (1 + depth * crest * sign + rng.uniform(0.03, 0.1) * facet).astype(np.float32)
