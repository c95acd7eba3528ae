"""The end view of a pleat pack: a zigzag of media round a centre tube, its tips counted as drawn."""

from __future__ import annotations

import cv2
import numpy as np

from truth.scenes.canvas import Camera, draw_card, finish, paint
from truth.scenes.media import MEDIA, TABLES, Scene, light, smooth_noise


def zigzag(rng, count, inner, outer):
    """Return the corners of a pack's middle line: angles and radii, inner and outer by turns."""
    uneven = rng.uniform(0.0, 0.22)
    steps = np.clip(1 + rng.normal(0, uneven, count), 0.45, 1.8)
    edges = np.concatenate([[0], np.cumsum(steps)]) / steps.sum() * 2 * np.pi + rng.uniform(0, 6)
    tips = (edges[:-1] + edges[1:]) / 2 + rng.normal(0, 0.1, count) * np.diff(edges)
    angles = np.empty(2 * count)
    angles[0::2], angles[1::2] = edges[:-1], tips
    radii = np.empty(2 * count)
    radii[0::2] = inner + np.abs(rng.normal(0, 0.02, count)) * (outer - inner)
    radii[1::2] = outer - np.abs(rng.normal(0, 0.025, count)) * (outer - inner)
    return angles, radii


def pinch(rng, angles, count):
    """Press a few neighbouring pleats together until they touch."""
    for _ in range(int(rng.integers(0, 4))):
        k = 2 * int(rng.integers(0, count - 1)) + 1
        gap = angles[(k + 2) % (2 * count)] - angles[k]
        if 0 < gap < 1:
            angles[k] += 0.25 * gap
            angles[(k + 2) % (2 * count)] -= 0.25 * gap


def pack_scene(seed, *, size=(1900, 1500)):
    """Draw a random end view: number, evenness, glue, light and camera all vary."""
    rng = np.random.default_rng(seed)
    count = int(rng.integers(28, 86))
    outer = rng.uniform(26, 46)
    inner = outer * rng.uniform(0.38, 0.6)
    thickness = min(rng.uniform(0.45, 0.8), 2 * np.pi * inner / count / 2 * 0.62)
    with_card = rng.random() < 0.6
    span = 2 * outer + 18
    width_mm = span + (115 if with_card else 0)
    scale = min(size[0] / width_mm, size[1] / max(span, 80)) * rng.uniform(0.82, 0.95)
    middle = np.array([58.0 if with_card else 0.0, 0.0]) + rng.normal(0, 1.5, 2)
    camera = Camera.looking(
        size, middle, scale, tilt=rng.uniform(0, 10), towards=rng.uniform(0, 360),
        roll=rng.uniform(-180, 180) if not with_card else rng.normal(0, 5), k1=rng.normal(0, 0.008),
    )  # fmt: skip
    kind = rng.choice(["cream", "yellowed", "brown", "grey"])
    table = TABLES[rng.integers(len(TABLES))]
    shape = (size[1], size[0])
    canvas = np.empty((*shape, 3), np.float32)
    canvas[:] = table
    canvas += 3 * (smooth_noise(rng, shape, 10) + smooth_noise(rng, shape, 1.5))[..., None]
    round_ = np.linspace(0, 2 * np.pi, 160, endpoint=False)
    ring = np.column_stack([np.cos(round_), np.sin(round_)])
    gap_colour = np.array(MEDIA[kind]) * rng.uniform(0.22, 0.5)
    paint(canvas, camera.project(ring * (outer + rng.uniform(0.2, 1.2))), tuple(gap_colour))
    angles, radii = zigzag(rng, count, inner, outer)
    pinch(rng, angles, count)
    points = np.column_stack([np.cos(angles), np.sin(angles)]) * radii[:, None]
    _paint_line(
        canvas, camera, points, thickness, np.array(MEDIA[kind], float) * rng.uniform(0.85, 1.05)
    )
    if rng.random() < 0.7:  # the centre tube, bare steel
        tube = inner - rng.uniform(0.2, 1.0)
        paint(canvas, camera.project(ring * tube), (150.0, 152.0, 155.0))
        paint(canvas, camera.project(ring * (tube - 0.9)), (30.0, 30.0, 32.0))
    _glue(rng, canvas, camera, inner, outer)
    if with_card:
        draw_card(canvas, camera, np.array([outer + 14.0, -30.0]), turn=float(rng.normal(0, 3)),
                  margin=float(rng.uniform(4.5, 8)))  # fmt: skip
    canvas *= light(rng, shape)[..., None]
    _shadow(rng, canvas)
    data = finish(canvas, rng, blur=rng.uniform(0.6, 1.3), noise=rng.uniform(1.5, 5),
                  quality=int(rng.integers(84, 96)))  # fmt: skip
    scene = Scene(data, camera)
    scene.facts = {"pleats": count, "outer_mm": outer, "inner_mm": inner, "card": with_card,
                   "kind": str(kind), "tips_px": camera.project(points[1::2])}  # fmt: skip
    return scene


def _paint_line(canvas, camera, points, thickness, colour):
    """Lay the zigzag as a line of one thickness, at four times the picture's fineness."""
    finer = 3
    height, width = canvas.shape[:2]
    pixel = camera.project(points)
    local = camera.px_per_mm(points.mean(axis=0))
    mask = np.zeros((height * finer, width * finer), np.uint8)
    fixed = np.rint(((pixel + 0.5) * finer - 0.5) * 16).astype(np.int32)
    cv2.polylines(
        mask, [fixed], True, 255, max(2, round(thickness * local * finer)), cv2.LINE_AA, 4
    )
    cover = cv2.resize(mask, (width, height), interpolation=cv2.INTER_AREA).astype(np.float32) / 255
    canvas += cover[..., None] * (colour.astype(np.float32) - canvas)


def _glue(rng, canvas, camera, inner, outer):
    """Lay blobs of half-clear glue over parts of the pack."""
    height, width = canvas.shape[:2]
    for _ in range(int(rng.integers(0, 5))):
        angle, radius = rng.uniform(0, 6.3), rng.uniform(inner, outer)
        at = camera.project([(radius * np.cos(angle), radius * np.sin(angle))])[0]
        big = rng.uniform(1.2, 4.5) * camera.px_per_mm((0, 0))
        rows, columns = np.mgrid[0:height, 0:width].astype(np.float32)
        apart = np.hypot(columns - at[0], (rows - at[1]) * rng.uniform(0.6, 1.6))
        share = (rng.uniform(0.35, 0.8) / (1 + np.exp(np.clip((apart - big) / 2, -30, 30)))).astype(
            np.float32
        )
        canvas += share[..., None] * (np.array([70, 150, 190], np.float32) - canvas)


def _shadow(rng, canvas):
    """Throw a soft shadow over part of the picture."""
    if rng.random() < 0.5:
        return
    height, width = canvas.shape[:2]
    x, y = np.meshgrid(np.linspace(-1, 1, width), np.linspace(-1, 1, height))
    turn, place = rng.uniform(0, 6.3), rng.uniform(-0.3, 0.3)
    side = (x * np.cos(turn) + y * np.sin(turn) - place) / rng.uniform(0.02, 0.15)
    canvas *= (1 - rng.uniform(0.2, 0.55) / (1 + np.exp(np.clip(-side, -30, 30))))[..., None]
