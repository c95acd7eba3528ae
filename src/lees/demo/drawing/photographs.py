"""Each photograph of the scenario, drawn again from nothing, with what is true of it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

from lees.demo.drawing.bench import tray
from lees.demo.drawing.camera import Camera
from lees.demo.drawing.card import QUIET_MM, card_albedo, laid, slip_albedo
from lees.demo.drawing.medium import Strip, draw_strip
from lees.demo.drawing.pack import Pack, draw_pack
from lees.demo.drawing.specks import DUST_MM, Sowing, Speck, dust, lay, sown
from lees.demo.drawing.window import Window, draw_window

WORDS = "invented for demonstration"


@dataclass(frozen=True, slots=True)
class Photograph:
    """A photograph as a JPEG, and its truth as plain values."""

    jpeg: bytes
    truth: dict[str, Any]


@dataclass(frozen=True, slots=True)
class Sheet:
    """A scale card as it lies: its first marker, its corner on the bench, its turn."""

    first: int
    left_mm: float
    top_mm: float
    turn_degrees: float


@dataclass(frozen=True, slots=True)
class Slip:
    """The slip of paper that says what the picture is: its corner, its size, its turn."""

    left_mm: float
    top_mm: float
    size_mm: tuple[float, float] = (46.0, 6.0)
    turn_degrees: float = -1.5


@dataclass(frozen=True, slots=True)
class Media:
    """A bench with a strip of medium, what lies on it, the cards, and the camera above."""

    seed: int
    size_mm: tuple[float, float]
    px_per_mm: float
    strip: Strip
    sheets: tuple[Sheet, ...]
    slip: Slip
    camera: Camera
    sowings: tuple[Sowing, ...] = field(default=())
    field_mm: tuple[float, float, float, float] = (0.0, 0.0, 0.0, 0.0)


LAUNCH_MEDIA = Media(
    seed=20260904,
    size_mm=(178.0, 137.0),
    px_per_mm=23.4,
    strip=Strip(-8.3, 8.0, 200.0, 47.2, 11.7, tone=0.95),
    sheets=(Sheet(0, 9.0, 59.5, 1.2),),
    slip=Slip(121.0, 122.0),
    sowings=(
        Sowing("bright", 72, 0.34, 0.60, 0.13, 1.7),
        Sowing("dark", 95, 0.25, 0.45, 0.14, 1.0),
        Sowing("fibre", 14, 2.2, 0.40, 1.0, 4.5),
    ),
    field_mm=(4.5, 12.5, 169.0, 38.5),
    camera=Camera(
        4000,
        3000,
        ((0.012, 0.016), (0.985, 0.004), (0.998, 0.992), (0.002, 0.985)),
        quality=90,
    ),
)

LAUNCH_CLOSE = Media(
    seed=20260906,
    size_mm=(50.0, 37.5),
    px_per_mm=40.0,
    strip=Strip(-14.6, -5.0, 90.0, 47.2, 11.7, tone=0.95),
    sheets=(),
    slip=Slip(31.5, 33.9, (16.0, 2.2)),
    sowings=(
        Sowing("bright", 30, 0.40, 0.65, 0.10, 1.7),
        Sowing("dark", 34, 0.22, 0.50, 0.10, 0.8),
        Sowing("fibre", 5, 2.2, 0.40, 1.0, 4.5),
    ),
    field_mm=(1.5, 1.5, 47.0, 31.0),
    camera=Camera(
        2000,
        1500,
        ((0.010, 0.012), (0.990, 0.009), (0.991, 0.992), (0.009, 0.989)),
        light=(0.35, 0.3),
        fall=0.5,
        vignette=0.35,
        blur_px=1.1,
        quality=88,
    ),
)

BUS_3_MEDIA = Media(
    seed=20260821,
    size_mm=(176.0, 138.0),
    px_per_mm=13.6,
    strip=Strip(-5.0, 1.5, 200.0, 58.0, 12.0, tone=1.15, wet=0.8),
    sheets=(Sheet(0, 62.0, 62.5, -0.9),),
    slip=Slip(6.0, 124.0),
    sowings=(
        Sowing("bright", 6, 0.20, 0.25, 0.17, 0.40),
        Sowing("dark", 70, 0.30, 0.40, 0.20, 0.9),
        Sowing("fibre", 9, 2.4, 0.40, 1.2, 4.5),
    ),
    field_mm=(5.0, 6.5, 166.0, 47.5),
    camera=Camera(
        2400,
        1800,
        ((0.003, 0.010), (0.990, 0.020), (0.998, 0.985), (0.012, 0.996)),
        light=(0.75, 0.15),
        fall=0.35,
        quality=88,
    ),
)

SHUTTLE_MEDIA = Media(
    seed=20260302,
    size_mm=(172.0, 129.0),
    px_per_mm=13.8,
    strip=Strip(-6.0, 77.0, 200.0, 47.6, 11.8, tone=0.55, wet=1.15),
    sheets=(Sheet(0, 30.0, 2.5, 1.6),),
    slip=Slip(134.0, 4.0, (36.0, 5.0), 3.0),
    sowings=(
        Sowing("bright", 7, 0.22, 0.30, 0.17, 0.45),
        Sowing("dark", 60, 0.42, 0.45, 0.22, 1.3),
        Sowing("fibre", 5, 2.2, 0.40, 1.2, 4.0),
    ),
    field_mm=(5.0, 81.5, 162.0, 38.5),
    camera=Camera(
        2400,
        1800,
        ((0.010, 0.0), (0.998, 0.012), (0.985, 0.998), (0.0, 0.985)),
        light=(0.2, 0.85),
        fall=0.5,
        quality=88,
    ),
)

BUS_1_STRIP = Media(
    seed=20260814,
    size_mm=(1048.0, 232.0),
    px_per_mm=3.9,
    strip=Strip(34.0, 22.0, 94 * 10.4, 55.0, 10.4, crest_mm=1.1, tone=1.05, wet=0.8),
    sheets=(Sheet(0, 24.0, 112.0, -1.0), Sheet(4, 908.0, 108.0, 1.7)),
    slip=Slip(400.0, 180.0, (230.0, 26.0), -0.6),
    camera=Camera(
        4000,
        870,
        ((0.004, 0.02), (0.997, 0.0), (0.990, 0.995), (0.010, 0.985)),
        light=(0.45, 0.1),
        fall=0.35,
        vignette=0.3,
        quality=90,
    ),
)

LAUNCH_PACK = Pack(51.0, 43.0, 52, 33.2, 11.8, 0.74)
BUS_2_PACK = Pack(53.0, 44.5, 60, 33.6, 12.3, 0.80, uneven=0.10)


def media(scene: Media) -> Photograph:
    """Draw a strip of medium on the bench."""
    chance = np.random.default_rng(scene.seed)
    px = scene.px_per_mm
    bench = tray(_shape(scene.size_mm, px), px, chance)
    draw_strip(bench, scene.strip, px, chance)
    specks = sown(scene.sowings, scene.field_mm, chance) if scene.sowings else []
    if specks:
        dust(bench, scene.field_mm, px, chance)
    lay(bench, specks, px)
    matrices = [
        laid(
            bench,
            card_albedo(px, sheet.first),
            (sheet.left_mm * px, sheet.top_mm * px),
            sheet.turn_degrees,
        )
        for sheet in scene.sheets
    ]
    seen = scene.camera.homography(bench.shape)
    truth: dict[str, Any] = {"slip": _lay_slip(bench, scene.slip, px, seen)}
    if matrices:
        truth["card_corners_px"] = {
            str(sheet.first): _card_corners(matrix, seen, px).round(3).tolist()
            for sheet, matrix in zip(scene.sheets, matrices, strict=True)
        }
    if specks:
        on_bench = np.array([[speck.x_mm, speck.y_mm] for speck in specks]) * px
        in_picture = _through(seen, on_bench)
        if matrices:
            in_mm = _on_card(matrices[0], on_bench, px)
        else:
            truth["mm_per_px"] = round(_mm_per_px(scene), 5)
            in_mm = in_picture * truth["mm_per_px"]
        truth["unlisted_below_mm"] = DUST_MM
        truth["particles"] = [
            _particle(*one) for one in zip(specks, in_mm, in_picture, strict=True)
        ]
    else:
        truth["strip"] = {
            "length_mm": scene.strip.length_mm,
            "width_mm": scene.strip.width_mm,
            "folds": round(scene.strip.length_mm / scene.strip.pitch_mm) - 1,
        }
    return Photograph(scene.camera.photograph(bench, chance), truth)


def pleats(pack: Pack, slip: Slip, seed: int) -> Photograph:
    """Draw the end view of a pleat pack."""
    chance = np.random.default_rng(seed)
    px = 17.5
    bench = tray(_shape((104.0, 88.0), px), px, chance)
    draw_pack(bench, pack, px, chance)
    camera = Camera(
        1760,
        1480,
        ((0.004, 0.012), (0.992, 0.002), (0.998, 0.995), (0.010, 0.99)),
        light=(0.25, 0.2),
        fall=0.4,
        exposure=1.15,
        quality=88,
    )
    seen = camera.homography(bench.shape)
    middle = _through(seen, np.array([[pack.x_mm * px, pack.y_mm * px]]))
    truth = {
        "slip": _lay_slip(bench, slip, px, seen),
        "pleats": pack.pleats,
        "middle_px": middle[0].round(1).tolist(),
    }
    return Photograph(camera.photograph(bench, chance), truth)


def backlit(window: Window, seed: int) -> Photograph:
    """Draw a piece of medium before a lighted window."""
    chance = np.random.default_rng(seed)
    px = 14.0
    scene, share = draw_window(window, px, chance)
    camera = Camera(
        2000,
        1500,
        ((0.004, 0.006), (0.996, 0.0), (0.992, 0.996), (0.0, 0.99)),
        light=(0.5, 0.45),
        fall=0.12,
        vignette=0.10,
        exposure=0.80,
        warmth=1.0,
        sharpening=0.2,
        quality=88,
    )
    slip = Slip(window.size_mm[0] - 51.0, 2.5, turn_degrees=0.8)
    truth = {"slip": _lay_slip(scene, slip, px, camera.homography(scene.shape)), **share}
    return Photograph(camera.photograph(scene, chance), truth)


def _shape(size_mm: tuple[float, float], px_per_mm: float) -> tuple[int, int]:
    return round(size_mm[1] * px_per_mm), round(size_mm[0] * px_per_mm)


def _lay_slip(
    scene: NDArray[np.float32], slip: Slip, px_per_mm: float, seen: NDArray[np.float64]
) -> dict[str, Any]:
    """Lay the slip of paper; return its size and where its corners are in the picture."""
    paper = slip_albedo(px_per_mm, WORDS, slip.size_mm)
    corner = (slip.left_mm * px_per_mm, slip.top_mm * px_per_mm)
    matrix = laid(scene, paper, corner, slip.turn_degrees)
    rows, columns = paper.shape
    edge = np.array([[0, 0], [columns, 0], [columns, rows], [0, rows]], np.float64)
    corners = _through(seen @ np.vstack([matrix, [0, 0, 1]]), edge)
    return {"size_mm": list(slip.size_mm), "corners_px": corners.round(2).tolist()}


def _through(matrix: NDArray[Any], points: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return points (pixel centres at halves) as seen through a matrix of pixel numbers."""
    moved = cv2.perspectiveTransform((points - 0.5)[None], matrix.astype(np.float64))[0]
    return np.asarray(moved + 0.5, np.float64)


def _card_corners(
    card: NDArray[np.float32], seen: NDArray[np.float64], px_per_mm: float
) -> NDArray[np.float64]:
    """Return the outer rectangle of the markers in the picture, clockwise from top left [px]."""
    rectangle = np.array([[0, 0], [90, 0], [90, 60], [0, 60]], np.float64)
    return _through(seen @ np.vstack([card, [0, 0, 1]]), (rectangle + QUIET_MM) * px_per_mm)


def _on_card(
    card: NDArray[np.float32], on_bench: NDArray[np.float64], px_per_mm: float
) -> NDArray[np.float64]:
    """Return points of the bench from the outer corner of the card's first marker [mm]."""
    back = np.linalg.inv(np.vstack([card, [0, 0, 1]]).astype(np.float64))
    return _through(back, on_bench) / px_per_mm - QUIET_MM


def _mm_per_px(scene: Media) -> float:
    """Return the scale of a picture that is taken almost square on."""
    corners = np.array(scene.camera.corners)
    across = (corners[1] + corners[2] - corners[0] - corners[3])[0] / 2 * scene.size_mm[0]
    return float(across / scene.camera.width_px)


def _particle(
    speck: Speck, in_mm: NDArray[np.float64], in_picture: NDArray[np.float64]
) -> dict[str, Any]:
    return {
        "class": speck.kind,
        "x_mm": round(float(in_mm[0]), 3),
        "y_mm": round(float(in_mm[1]), 3),
        "x_px": round(float(in_picture[0]), 2),
        "y_px": round(float(in_picture[1]), 2),
        "ecd_mm": round(speck.equivalent_diameter_mm, 4),
        "feret_mm": round(speck.longest_mm, 4),
        "area_mm2": round(speck.area_mm2, 5),
    }


PHOTOGRAPHS: dict[str, Callable[[], Photograph]] = {
    "01-long-run/media.jpg": lambda: media(BUS_3_MEDIA),
    "02-quiet-report/flakes.jpg": lambda: media(LAUNCH_CLOSE),
    "02-quiet-report/media.jpg": lambda: media(LAUNCH_MEDIA),
    "02-quiet-report/pleats.jpg": lambda: pleats(
        LAUNCH_PACK, Slip(56.0, 80.0, (44.0, 6.0)), 20260905
    ),
    "03-base-number/strip.jpg": lambda: media(BUS_1_STRIP),
    "04-caliper/pleats.jpg": lambda: pleats(BUS_2_PACK, Slip(4.0, 2.5, (44.0, 6.0), 1.0), 20260612),
    "05-short-trips/media.jpg": lambda: media(SHUTTLE_MEDIA),
    "06-dust/backlit.jpg": lambda: backlit(Window(), 20260918),
}
"""By the path of the file in the demonstration."""
