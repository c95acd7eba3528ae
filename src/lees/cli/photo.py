"""`lees photo …`: a photograph as numbers with their uncertainty."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Annotated, Any

from cyclopts import App, Parameter

app = App(name="photo", help="Measure a photograph.", result_action="return_value")

Json = Annotated[bool, Parameter("--json", negative="")]


@app.command
def particles(file: Path, *, mm_per_px: float | None = None, as_json: Json = False) -> None:
    """Count and size the particles on media.

    Parameters
    ----------
    file
        The photograph: JPEG, PNG or TIFF.
    mm_per_px
        The scale, where there is no scale card in the picture.
    as_json
        Print the results of the public contract.
    """
    from lees.work.measure_picture import Asked, What, measure_picture

    answer = measure_picture([file], Asked(What.PARTICLES, mm_per_px))
    if as_json:
        print(json.dumps(answer.contract, ensure_ascii=True, allow_nan=False))
        return
    for line in _particle_lines(answer.contract):
        print(line)


@app.command
def strip(file: Path, *, mm_per_px: float | None = None, as_json: Json = False) -> None:
    """Measure the whole media laid out flat, with a scale card at each end.

    Parameters
    ----------
    file
        The photograph: JPEG, PNG or TIFF.
    mm_per_px
        The scale, where there is no scale card in the picture.
    as_json
        Print the results of the public contract.
    """
    from lees.work.measure_picture import Asked, What, measure_picture

    answer = measure_picture([file], Asked(What.STRIP, mm_per_px))
    if as_json:
        print(json.dumps(answer.contract, ensure_ascii=True, allow_nan=False))
        return
    for line in _strip_lines(answer.contract):
        print(line)


@app.command
def pleats(file: Path, *, mm_per_px: float | None = None, as_json: Json = False) -> None:
    """Count the pleats of a pack in its end view.

    Parameters
    ----------
    file
        The photograph: JPEG, PNG or TIFF.
    mm_per_px
        The scale, where there is no scale card in the picture; a count needs none.
    as_json
        Print the results of the public contract.
    """
    from lees.work.measure_picture import Asked, What, measure_picture

    found = measure_picture([file], Asked(What.PLEATS, mm_per_px)).contract
    if as_json:
        print(json.dumps(found, ensure_ascii=True, allow_nan=False))
        return
    told = found["pleats"] or "cannot tell: " + " or ".join(map(str, found["pleats_candidates"]))
    print(f"pleats {told}")
    for warning in found["warnings"]:
        print(f"Note: {warning}")


def _strip_lines(found: dict[str, Any]) -> list[str]:
    measured, u = found["strip"], found["strip"]["u"]
    folds = measured["folds"]
    told = f"{folds}" if folds is not None else " or ".join(map(str, measured["folds_candidates"]))
    return [
        f"length {measured['length_mm']:.1f} ± {2 * u['length_mm']:.1f} mm (k = 2)",
        f"width  {measured['width_mm']:.2f} ± {2 * u['width_mm']:.2f} mm (k = 2)",
        f"folds  {told}",
        *(f"Note: {warning}" for warning in found["warnings"]),
    ]


def _particle_lines(found: dict[str, Any]) -> list[str]:
    lines = []
    for kind, count in found["counts"].items():
        per_area = (found["per_100_cm2"] or {}).get(kind)
        more = (
            f"   {per_area['value']:.1f} per 100 cm² "
            f"(95 %: {per_area['low']:.1f} to {per_area['high']:.1f})"
            if per_area
            else ""
        )
        lines.append(f"{kind:7} {count:5}{more}")
    if found["area_mm2"] is not None:
        lines.append(f"on {found['area_mm2'] / 100:.1f} cm², from {found['smallest_mm']:.3f} mm up")
    largest = sorted(
        (p for p in found["particles"] if p["ecd_mm"] is not None), key=lambda p: -p["ecd_mm"]
    )[:5]
    lines += [
        f"{p['class']:7} {p['ecd_mm']:.3f} ± {2 * p['u']['ecd_mm']:.3f} mm (k = 2), "
        f"longest {p['feret_mm']:.3f} mm, at {p['x_mm']:.1f}, {p['y_mm']:.1f} mm"
        for p in largest
    ]
    return lines + [f"Note: {warning}" for warning in found["warnings"]]
