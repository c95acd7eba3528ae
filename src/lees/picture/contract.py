"""Measurements as the public contract gives them: plain numbers in plain JSON."""

from __future__ import annotations

import math
from typing import Any

from lees.picture.folding import Folds
from lees.picture.particles import Particle, Particles
from lees.picture.pleats import Pleats
from lees.picture.strip import Strip
from lees.picture.view import View
from lees.quantity.counts import poisson_limits

Json = dict[str, Any]


def particles_contract(result: Particles, view: View) -> Json:
    """Return particles in the contract's form.

    Parameters
    ----------
    result : Particles
        What was measured.
    view : View
        The picture it was measured on.

    Returns
    -------
    dict
        Plain JSON; lengths are null where the picture had no scale.
    """
    scaled = view.scaled
    listed = [_particle(one, scaled) for one in result.particles]
    counts = {
        kind: sum(1 for one in result.particles if one.kind == kind)
        for kind in ("bright", "dark", "fibre")
    }
    return {
        **scale_contract(view),
        "area_mm2": _or_none(result.area_mm2, 3, scaled),
        "smallest_mm": _or_none(result.smallest_mm, 4, scaled),
        "particles": listed,
        "counts": counts,
        "per_100_cm2": _per_100_cm2(counts, result.area_mm2) if scaled else None,
        "u": {**scale_uncertainty(view), "area_mm2": _or_none(result.u_area_mm2, 3, scaled)},
        "warnings": [*view.warnings, *result.warnings],
    }


def strip_contract(strip: Strip, folds: Folds, view: View) -> Json:
    """Return a strip in the contract's form.

    Parameters
    ----------
    strip : Strip
        Its length and width.
    folds : Folds
        Its folds.
    view : View
        The picture it was measured on.

    Returns
    -------
    dict
        Plain JSON; `folds` is null where the picture cannot tell, and `folds_candidates` says
        between which numbers.
    """
    length, width = strip.length, strip.width
    area = length.value * width.value
    relative = math.hypot(length.uncertainty / length.value, width.uncertainty / width.value)
    warnings = [*view.warnings, *strip.warnings]
    if folds.count is None:
        listed = " or ".join(str(number) for number in folds.candidates)
        warnings.append(f"cannot tell how many folds: {listed}; count them by hand")
    return {
        **scale_contract(view),
        "area_mm2": round(area, 1),
        "strip": {
            "length_mm": round(length.value, 3),
            "width_mm": round(width.value, 3),
            "folds": folds.count,
            "folds_candidates": list(folds.candidates),
            "u": {
                "length_mm": round(length.uncertainty, 3),
                "width_mm": round(width.uncertainty, 3),
                "folds": 0 if folds.count is not None else None,
            },
        },
        "u": {**scale_uncertainty(view), "area_mm2": round(area * relative, 1)},
        "warnings": warnings,
    }


def pleats_contract(pleats: Pleats, view: View) -> Json:
    """Return pleats in the contract's form.

    Parameters
    ----------
    pleats : Pleats
        What was counted.
    view : View
        The picture it was counted on.

    Returns
    -------
    dict
        Plain JSON; `pleats` is null where the picture cannot tell.
    """
    about_scale = "no scale in sight"  # a count needs none
    return {
        **scale_contract(view),
        "pleats": pleats.count,
        "pleats_candidates": list(pleats.candidates),
        "u": {**scale_uncertainty(view), "pleats": 0 if pleats.count is not None else None},
        "warnings": [
            *(warning for warning in view.warnings if about_scale not in warning),
            *pleats.warnings,
        ],
    }


def scale_contract(view: View) -> Json:
    """Return the scale at the middle of the card, or of the picture, and where it came from.

    Parameters
    ----------
    view : View
        The picture.

    Returns
    -------
    dict
        Plain JSON.
    """
    if not view.scaled:
        return {"mm_per_px": None, "scale": None}
    at = _scale_place(view)
    return {
        "mm_per_px": _significant(float(view.plane.mm_per_px(at)[0])),
        "scale": view.plane.source,
    }


def scale_uncertainty(view: View) -> Json:
    """Return the standard uncertainty of the scale.

    Parameters
    ----------
    view : View
        The picture.

    Returns
    -------
    dict
        Plain JSON.
    """
    if not view.scaled:
        return {"mm_per_px": None}
    at = _scale_place(view)
    relative = float(view.plane.relative_uncertainty(at)[0])
    return {"mm_per_px": _significant(relative * float(view.plane.mm_per_px(at)[0]))}


def _scale_place(view: View) -> Any:
    if view.cards:
        return view.cards[0].corners_px.mean(axis=0)[None]
    return view.plane.centre[None]


def _particle(one: Particle, scaled: bool) -> Json:
    return {
        "x_mm": _or_none(one.x_mm, 4, scaled),
        "y_mm": _or_none(one.y_mm, 4, scaled),
        "ecd_mm": _or_none(one.ecd_mm, 5, scaled),
        "feret_mm": _or_none(one.feret_mm, 5, scaled),
        "area_mm2": _or_none(one.area_mm2, 6, scaled),
        "elongation": round(one.elongation, 2),
        "class": str(one.kind),
        "colour": one.colour,
        "confidence": one.confidence,
        "x_px": round(one.x_px, 2),
        "y_px": round(one.y_px, 2),
        "u": {
            "x_mm": _or_none(one.u_position_mm, 4, scaled),
            "y_mm": _or_none(one.u_position_mm, 4, scaled),
            "ecd_mm": _or_none(one.u_ecd_mm, 5, scaled),
            "feret_mm": _or_none(one.u_feret_mm, 5, scaled),
            "area_mm2": _or_none(one.u_area_mm2, 6, scaled),
        },
    }


def _per_100_cm2(counts: dict[str, int], area_mm2: float) -> Json:
    """Return counts per 100 cm² with the exact 95 % limits of counting (Garwood 1936)."""
    if area_mm2 <= 0:
        return {}
    factor = 10_000 / area_mm2
    scaled = {}
    for kind, count in counts.items():
        limits = poisson_limits(count)
        scaled[kind] = {
            "value": round(count * factor, 3),
            "low": round(float(limits.low) * factor, 3),
            "high": round(float(limits.high) * factor, 3),
        }
    return scaled


def _or_none(value: float, places: int, known: bool) -> float | None:
    return round(float(value), places) if known else None


def _significant(value: float) -> float:
    return float(f"{value:.7g}")
