"""`lees calc grade`: whether an oil is in its viscosity grade."""

from __future__ import annotations

from cyclopts import App

from lees.cli.calc.typed import chance, measured, notes, show_example
from lees.oil.saybolt import CUSTOMARY_INDEX
from lees.quantity.measured import Measured

app = App(name="grade", result_action="return_value")


@app.default
def grade(name: str, viscosity: str | None = None, *, method: str | None = None) -> None:
    """Limits of a viscosity grade, and the odds that an oil is in it.

    Example: lees calc grade 5W-30 '9.1 cSt' --method 'ASTM D445'   →   in grade: under 0.1 %, below: over 99.9 %, above: under 0.1 %

    Parameters
    ----------
    name
        The grade, such as 5W-30.
    viscosity
        The viscosity at 100 °C, or Saybolt seconds really taken at 210 °F; with ± its own standard
        uncertainty is taken, else the method's reproducibility.
    method
        The method by which the viscosity was measured.
    """  # noqa: E501
    from lees.oil import grades

    wanted = grades.grade(name)
    high = wanted.kv100_max_mm2_s
    below = "no upper limit" if high is None else f"under {high:g}"
    print(f"{wanted.name}: {wanted.kv100_min_mm2_s:g} mm²/s or above and {below} at 100 °C")
    if wanted.hths150_min_mpa_s is not None:
        print(f"  high-shear viscosity at 150 °C: {wanted.hths150_min_mpa_s:g} mPa·s or above")
    if wanted.winter is not None:
        cold = wanted.winter
        print(
            f"  cranking: {cold.cranking_max_mpa_s:g} mPa·s or below at {cold.cranking_c:g} °C; "
            f"pumping: {cold.pumping_max_mpa_s:g} at {cold.pumping_c:g} °C"
        )
    warnings: tuple[str, ...] = ()
    if viscosity is not None:
        kv100, warnings = _known(viscosity, method)
        odds = grades.probability_in_grade(kv100, wanted)
        print(
            f"in grade: {chance(odds.within)}, below: {chance(odds.below)}, "
            f"above: {chance(odds.above)}"
        )
        print(f"  viscosity: {kv100} ({kv100.source})")
        held = ", ".join(odds.bands) or "none"
        print(f"  bands that hold {kv100.value:.4g} mm²/s: {held}")
        if len(odds.bands) > 1:
            warnings = (*warnings, "The light bands overlap; the high-shear viscosity decides.")
    print(f"  source: {wanted.edition}")
    notes(warnings)


def _known(text: str, method: str | None) -> tuple[Measured, tuple[str, ...]]:
    """Return the viscosity at 100 °C as typed, or from seconds, and what was assumed."""
    from lees.oil.grades import kv100_from_seconds
    from lees.oil.precision import Laboratory, precision, standard_uncertainty

    is_saybolt = any(text.upper().rstrip().endswith(one) for one in ("SUS", "SSU", "SUV"))
    key, kind, unit = (
        ("sus210", "saybolt_viscosity", "SUS")
        if is_saybolt
        else ("kv100", "kinematic_viscosity", "mm²/s")
    )
    known = measured(text, kind, unit)
    warnings: tuple[str, ...] = ()
    if not any(sign in text for sign in ("±", "+/-", "+-")):
        found = precision(key, method, known.value, unit)
        known, warnings = standard_uncertainty(found, Laboratory.DIFFERENT), found.warnings
    if not is_saybolt:
        return known, warnings
    assumed = f"Seconds at 210 °F; a viscosity index of {CUSTOMARY_INDEX:g} was assumed."
    return kv100_from_seconds(known, viscosity_index=CUSTOMARY_INDEX), (assumed, *warnings)


show_example(app, grade)
