"""Scans and photographs made of drawn pages: skew, noise, one-bit, perspective, shadow, curl, glare."""

from __future__ import annotations

import io
import random
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from truth.reports import draw
from truth.reports.truth import Truth

Picture = NDArray[np.uint8]


@dataclass(frozen=True)
class Made:
    """A picture file and what was done to it."""

    data: bytes
    pages: int
    note: str


def pages_of(pdf: bytes, dpi: float) -> list[Picture]:
    """Render a PDF's pages as grey pictures."""
    import pypdfium2

    document = pypdfium2.PdfDocument(pdf)
    found = [np.asarray(page.render(scale=dpi / 72, grayscale=True).to_pil()) for page in document]
    document.close()
    return found


def scan(truth: Truth) -> Made:
    """Return a report as a scanner gives it: 150 to 300 dpi, askew, speckled, perhaps one-bit."""
    import cv2
    from PIL import Image

    rng = random.Random(truth.seed * 37 + 2)
    noise = np.random.default_rng(truth.seed)
    dpi = rng.choice((150, 200, 200, 250, 300))
    pictures = []
    for page in pages_of(draw.pdf(truth), dpi):
        angle = rng.gauss(0, 0.7)
        high, wide = page.shape
        turn = cv2.getRotationMatrix2D((wide / 2, high / 2), angle, 1.0)
        picture = cv2.warpAffine(page, turn, (wide, high), flags=cv2.INTER_LINEAR, borderValue=255)
        if rng.random() < 0.6:
            picture = cv2.GaussianBlur(picture, (0, 0), rng.uniform(0.3, 0.9) * dpi / 200)
        ink = rng.uniform(0.75, 1.0)
        grey = 255 - (255 - picture.astype(np.float32)) * ink
        grey = grey * rng.uniform(0.9, 1.0) + noise.normal(0, rng.uniform(1, 7), grey.shape)
        pictures.append(np.clip(grey, 0, 255).astype(np.uint8))
    form = rng.choice(("jpeg", "jpeg", "png", "tiff1", "tiff", "pdf"))
    out = io.BytesIO()
    images = [Image.fromarray(picture) for picture in pictures]
    if form == "tiff1":
        images = [image.point(lambda v: 255 * (v > 150)).convert("1") for image in images]
    if form in ("jpeg", "png") and len(images) == 1:
        quality = rng.randrange(55, 92)
        images[0].save(out, "JPEG" if form == "jpeg" else "PNG", quality=quality, dpi=(dpi, dpi))
    elif form == "pdf":
        images[0].save(out, "PDF", save_all=True, append_images=images[1:], resolution=dpi)
    else:
        kind = {"compression": "group4"} if form == "tiff1" else {"compression": "tiff_lzw"}
        images[0].save(out, "TIFF", save_all=True, append_images=images[1:], dpi=(dpi, dpi), **kind)
    return Made(out.getvalue(), len(images), f"{form} {dpi} dpi")


def photo(truth: Truth) -> Made:
    """Return a report as a phone sees it: on a table, aslant, unevenly lit, sideways at times."""
    import cv2
    from PIL import Image

    rng = random.Random(truth.seed * 41 + 9)
    noise = np.random.default_rng(truth.seed + 1)
    page = pages_of(draw.pdf(truth), rng.uniform(190, 260))[0]
    if rng.random() < 0.35:
        page = _curled(page, rng)
    high, wide = page.shape
    pad = int(0.07 * max(high, wide))
    full_high, full_wide = high + 2 * pad, wide + 2 * pad
    table = _table(full_high, full_wide, rng, noise)
    slant = rng.uniform(0.0, 0.055)
    corners = np.array([[0, 0], [wide, 0], [wide, high], [0, high]], np.float32)
    shifts = np.array(
        [[rng.uniform(-slant, slant) * wide, rng.uniform(-slant, slant) * high] for _ in range(4)]
    )
    angle = np.deg2rad(rng.gauss(0, 2.2))
    middle = np.array([wide / 2, high / 2])
    spin = np.array([[np.cos(angle), -np.sin(angle)], [np.sin(angle), np.cos(angle)]])
    target = ((corners + shifts - middle) @ spin.T * 0.93 + middle + pad).astype(np.float32)
    matrix = cv2.getPerspectiveTransform(corners, target)
    size = (full_wide, full_high)
    paper = cv2.warpPerspective(page, matrix, size, flags=cv2.INTER_LINEAR, borderValue=0)
    mask = cv2.warpPerspective(np.full_like(page, 255), matrix, size)
    inside = (cv2.GaussianBlur(mask, (0, 0), 1.0) / 255.0)[..., None]
    colour = np.stack([paper * tint for tint in (0.97, 0.985, 1.0)], axis=-1)
    scene = colour * inside + table * (1 - inside)
    scene *= _light(full_high, full_wide, rng)[..., None]
    scene = cv2.GaussianBlur(scene, (0, 0), rng.uniform(0.4, 1.1))
    scene += noise.normal(0, rng.uniform(1, 6), scene.shape)
    picture = np.clip(scene, 0, 255).astype(np.uint8)
    turned = rng.choices((0, 1, 2, 3), (70, 12, 6, 12))[0]
    picture = np.ascontiguousarray(np.rot90(picture, turned))
    image = Image.fromarray(picture)
    exif = Image.Exif()
    note = f"photo turned {turned}"
    if turned and rng.random() < 0.5:
        exif[0x0112] = {1: 6, 2: 3, 3: 8}[turned]
        note += " with EXIF"
    out = io.BytesIO()
    image.save(out, "JPEG", quality=rng.randrange(70, 94), exif=exif)
    return Made(out.getvalue(), 1, note)


def _curled(page: Picture, rng: random.Random) -> Picture:
    """Bend the lines of a page as a sheet that was folded or rolled bends them."""
    import cv2

    high, wide = page.shape
    depth = rng.uniform(0.002, 0.008) * high
    phase, waves = rng.uniform(0, 6.28), rng.uniform(0.5, 1.2)
    x = np.arange(wide, dtype=np.float32)[None, :].repeat(high, axis=0)
    y = np.arange(high, dtype=np.float32)[:, None].repeat(wide, axis=1)
    shift = depth * np.sin(2 * np.pi * waves * x / wide + phase)
    return cv2.remap(page, x, (y + shift).astype(np.float32), cv2.INTER_LINEAR, borderValue=255)


def _table(high: int, wide: int, rng: random.Random, noise: Any) -> NDArray[np.float32]:
    base = np.array([rng.uniform(30, 150) for _ in range(3)], np.float32)
    grain = noise.normal(0, 9, (1, wide)).astype(np.float32).repeat(high, axis=0)
    return (
        base[None, None, :]
        + grain[..., None]
        + noise.normal(0, 4, (high, wide, 1)).astype(np.float32)
    )


def _light(high: int, wide: int, rng: random.Random) -> NDArray[np.float32]:
    """Return the light on the table: a slope, perhaps a hand's shadow, perhaps glare."""
    y, x = np.mgrid[0:high, 0:wide].astype(np.float32)
    x, y = x / wide, y / high
    way = rng.uniform(0, 6.28)
    light = 0.9 + rng.uniform(0, 0.18) * (np.cos(way) * (x - 0.5) + np.sin(way) * (y - 0.5))
    if rng.random() < 0.5:
        edge = (x - rng.random()) * np.cos(way + 1) + (y - rng.random()) * np.sin(way + 1)
        light *= 1 - rng.uniform(0.15, 0.42) / (1 + np.exp(-edge * rng.uniform(8, 30)))
    if rng.random() < 0.25:
        spot = (x - rng.random()) ** 2 + (y - rng.random()) ** 2
        light += rng.uniform(0.05, 0.2) * np.exp(-spot / 0.02)
    return light.astype(np.float32)
