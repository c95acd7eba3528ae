"""How many particles of which size lie on the media of a photograph, and how well that is known.

Sizes are those of ISO 13322-1:2014 (equivalent circular diameter, greatest Feret diameter); fibres
are told by their geodesic length over thickness (ISO 9276-6:2008). Each size carries a budget after
JCGM 100:2008.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum

import numpy as np

from lees.picture.blurred import area_behind, width_behind
from lees.picture.decode import Pixels
from lees.picture.focus import Focus
from lees.picture.outline import greatest_feret, length_and_thickness
from lees.picture.plane import Plane
from lees.picture.sheet import Sheet
from lees.picture.spots import Channel, Spot, channels_of, find_spots
from lees.picture.straight import runs_on
from lees.quantity.arrays import Numbers

LARGEST_MM = 15.0
GROUND_WINDOW_MM = 8.0
FIBRE_RATIO = 7.0
_BAR_RATIO = 4.5
SOFT = 2.2
_FEWEST_PX = 4.5
_FEWEST_BLURS = 3.0
_LEAST_STRENGTH = 3.5
_FOLD_SHARE = 0.45
_THRESHOLD_SHARE = 0.07
_USUAL_BLUR_PX = 1.2


class Kind(StrEnum):
    """What a particle looks like: shining metal, something dark, or a fibre."""

    BRIGHT = "bright"
    DARK = "dark"
    FIBRE = "fibre"


@dataclass(frozen=True, slots=True)
class Particle:
    """One particle in the plane of the card; each `u_` is a standard uncertainty.

    `elongation` is geodesic length over thickness; `colour` says silvery, yellow, dark, light;
    `outline_px` is its contour in the picture.
    """

    x_mm: float
    y_mm: float
    u_position_mm: float
    ecd_mm: float
    u_ecd_mm: float
    feret_mm: float
    u_feret_mm: float
    area_mm2: float
    u_area_mm2: float
    elongation: float
    kind: Kind
    colour: str
    confidence: float
    x_px: float
    y_px: float
    outline_px: Numbers


@dataclass(frozen=True, slots=True)
class Particles:
    """The particles of one photograph, the area they lie on and the smallest size it could show."""

    particles: tuple[Particle, ...]
    area_mm2: float
    u_area_mm2: float
    smallest_mm: float
    blur_px: float
    noise: float
    warnings: tuple[str, ...]


def measure_particles(
    pixels: Pixels, plane: Plane, sheet: Sheet, *, focus: Focus | None = None
) -> Particles:
    """Return the particles on the media of a photograph.

    Parameters
    ----------
    pixels : ndarray of shape (M, N, 3)
        The picture.
    plane
        The plane of the scale.
    sheet : Sheet
        Where the media is.
    focus : Focus or None
        The picture's blur and tone, where the card has told them; else the blur is taken from the
        sharpest spots.

    Returns
    -------
    Particles
        With one entry a particle that is large enough to be counted.

    Notes
    -----
    Valid for particles of about 5 px across and more on media in focus. What has soft edges (sheen,
    stains, glare) or runs on in a line (folds) is left out.

    References
    ----------
    .. [1] ISO 13322-1:2014, Particle size analysis, image analysis methods, part 1.
    """
    middle = _places(sheet)
    scale = float(np.median(plane.mm_per_px(middle)))
    channels = channels_of(pixels, sheet, plane, window_px=GROUND_WINDOW_MM / scale)
    largest_px = LARGEST_MM / scale
    used = focus or Focus(_USUAL_BLUR_PX)
    spots = find_spots(pixels, sheet, channels, largest_px=largest_px, focus=used)
    blur = used.blur_px if focus is not None else _sharpest(spots)
    smallest_px = max(_FEWEST_PX, _FEWEST_BLURS * blur)
    kept = [spot for spot in spots if _is_particle(spot, blur, channels)]
    sized = _sized(kept, plane, blur)
    particles = tuple(one for one, across in sized if across >= smallest_px)
    area = sheet.area_mm2(plane)
    relative = 2 * float(np.median(plane.relative_uncertainty(middle)))
    warnings = _warnings(sheet, blur, smallest_px * scale)
    noise = float(np.median(channels[0].ground.sigma))
    return Particles(
        particles,
        area,
        area * math.hypot(relative, 0.01),
        smallest_px * scale,
        blur,
        noise,
        warnings,
    )


def _places(sheet: Sheet) -> Numbers:
    """Return points spread over the media, in full pixels."""
    rows, columns = np.nonzero(sheet.mask)
    step = max(1, rows.size // 60)
    return np.asarray(
        (np.column_stack([columns[::step], rows[::step]]) + 0.5) / sheet.scale - 0.5, np.float64
    )


def _sharpest(spots: tuple[Spot, ...]) -> float:
    """Return the blur that the sharper half of the strong spots speak of."""
    blurs = [s.outline.edge_blur for s in spots if s.strength > 8 and s.outline.area > 30]
    if len(blurs) < 5:
        return _USUAL_BLUR_PX
    return float(np.clip(np.quantile(blurs, 0.3), 0.5, 6.0))


def _is_particle(spot: Spot, blur: float, channels: tuple[Channel, Channel]) -> bool:
    """Tell a particle from sheen, stain, fold and grain."""
    outline = spot.outline
    if outline.at_border or spot.strength < _LEAST_STRENGTH:
        return False
    if outline.edge_blur > SOFT * max(blur, 0.6):
        return False
    if spot.fold > _FOLD_SHARE * outline.height:
        return False
    length, thickness = length_and_thickness(outline.area, outline.perimeter)
    return not (length > 4 * thickness and runs_on(channels[0].measured, outline))


def _sized(spots: list[Spot], plane: Plane, blur: float) -> list[tuple[Particle, float]]:
    """Return particles with their diameter in pixels, blur taken off."""
    if not spots:
        return []
    centres = np.array([spot.outline.centre for spot in spots])
    places = plane.to_mm(centres)
    jacobians = plane.jacobian(centres)
    scales = np.sqrt(np.abs(np.linalg.det(jacobians)))
    relative = plane.relative_uncertainty(centres)
    apparent, true = _radii(spots, blur)
    edge = _edge_uncertainty(spots, apparent, true, blur)
    sized = []
    for i, spot in enumerate(spots):
        growth = 2 * (true[i] - apparent[i])
        feret_px = greatest_feret(spot.outline.contour) + growth
        flat = (spot.outline.contour - centres[i]) @ jacobians[i].T
        feret = greatest_feret(flat) + growth * scales[i]
        ecd = 2 * true[i] * scales[i]
        u_ecd = math.hypot(2 * edge[i] * scales[i], relative[i] * ecd)
        u_feret = math.hypot(2.2 * edge[i] * scales[i], relative[i] * feret)
        kind, colour, elongation = _kind(spot)
        sized.append(
            (
                Particle(
                    x_mm=float(places[i, 0]), y_mm=float(places[i, 1]),
                    u_position_mm=float(math.hypot(0.1 * scales[i], relative[i] * 5)),
                    ecd_mm=float(ecd), u_ecd_mm=u_ecd, feret_mm=float(feret), u_feret_mm=u_feret,
                    area_mm2=float(math.pi / 4 * ecd**2),
                    u_area_mm2=float(math.pi / 2 * ecd * u_ecd), elongation=elongation,
                    kind=kind, colour=colour, confidence=_confidence(spot, blur, feret_px),
                    x_px=float(centres[i, 0]), y_px=float(centres[i, 1]),
                    outline_px=spot.outline.contour,
                ),
                float(2 * true[i]),
            )
        )  # fmt: skip
    return sized


def _radii(spots: list[Spot], blur: float) -> tuple[Numbers, Numbers]:
    """Return the radii of the circles with the spots' areas, as outlined and without blur [px]."""
    area = np.array([spot.outline.area for spot in spots])
    aspect = np.array([spot.outline.aspect for spot in spots])
    true = area_behind(area, blur, aspect)
    sides = [length_and_thickness(s.outline.area, s.outline.perimeter) for s in spots]
    breadth = np.array([max(thickness, 0.5) for _, thickness in sides])
    long = np.array([length > _BAR_RATIO * thickness for length, thickness in sides])
    bars = area * width_behind(breadth, blur) / breadth
    true = np.where(long, bars, true)
    return np.sqrt(area / math.pi), np.asarray(np.sqrt(true / math.pi))


def _edge_uncertainty(spots: list[Spot], apparent: Numbers, true: Numbers, blur: float) -> Numbers:
    """Return the standard uncertainty of each radius [px]: noise, threshold, blur and grid."""
    outlines = [spot.outline for spot in spots]
    edge = np.array([min(one.edge_blur, 4 * blur) for one in outlines])
    height = np.array([one.height for one in outlines])
    noise = np.array([spot.noise for spot in spots])
    around = np.array([max(one.perimeter, 6.0) for one in outlines])
    steepness = height / (math.sqrt(2 * math.pi) * edge)
    from_noise = noise / steepness * np.sqrt(2 * max(blur, 1.0) / around)
    from_level = _THRESHOLD_SHARE * math.sqrt(2 * math.pi) * edge
    from_blur = 0.35 * np.abs(true - apparent) + 0.1 * blur**2 / np.maximum(true, blur)
    return np.asarray(np.sqrt(from_noise**2 + from_level**2 + from_blur**2 + 0.04**2))


def _kind(spot: Spot) -> tuple[Kind, str, float]:
    """Tell fibre, bright and dark, with the colour in words and the elongation."""
    length, thickness = length_and_thickness(spot.outline.area, spot.outline.perimeter)
    ratio = length / max(thickness, 0.1)
    blue, green, red = spot.rises
    media = sum(spot.tone) / 3
    grey = 0.114 * blue + 0.587 * green + 0.299 * red
    yellow = red - blue > 0.18 * (media + grey) and red > -0.12 * spot.tone[2]
    light = grey > 0 or (yellow and spot.brightest > -0.12 * media)
    if ratio >= FIBRE_RATIO:
        return Kind.FIBRE, "light" if light else "dark", ratio
    if light:
        return Kind.BRIGHT, "yellow" if yellow else "silvery", ratio
    return Kind.DARK, "dark", ratio


def _confidence(spot: Spot, blur: float, across_px: float) -> float:
    """Return a score from 0 to 1 that this is a particle: contrast, sharpness and size."""
    contrast = 1 - math.exp(-spot.strength / 4)
    sharp = 1 / (1 + math.exp(4 * (spot.outline.edge_blur / max(blur, 0.6) - 1.9)))
    large = 1 / (1 + math.exp(-(across_px - 4.0)))
    return round(float(contrast * sharp * large), 3)


def _warnings(sheet: Sheet, blur: float, smallest_mm: float) -> tuple[str, ...]:
    said = []
    if sheet.whole:
        said.append("no edge of the media was seen: the whole picture without the card is counted")
    if sheet.glare_share > 0.01:
        said.append(
            f"glare hides {100 * sheet.glare_share:.0f} % of the media; that part is not counted: "
            "move the lamp to the side"
        )
    if blur > 2.2:
        said.append(f"out of focus: sizes under {smallest_mm:.2f} mm are not counted")
    return tuple(said)
