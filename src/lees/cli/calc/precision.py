"""`lees calc precision`: what chance allows between results, and against a limit."""

from __future__ import annotations

from cyclopts import App

from lees.cli.calc.typed import chance, notes, show_example
from lees.oil.decision import Side
from lees.oil.precision import Laboratory, Precision

app = App(
    name="precision",
    help="Repeatability and reproducibility; whether results differ, or breach a limit.",
    result_action="return_value",
)


@app.command
def of(measurand: str, value: str, *, method: str | None = None) -> None:
    """Repeatability and reproducibility of a method at the level of a result.

    Example: lees calc precision of Fe '14 ppm' --method 'ASTM D5185'   →   r 1.07 mg/kg, R 4.29 mg/kg

    Parameters
    ----------
    measurand
        What was measured: an element or a key such as kv100, bn, flash.
    value
        The result.
    method
        The method; the customary one if left out.
    """  # noqa: E501
    from lees.oil.precision import precision

    number, unit = _entry(measurand, value)
    found = precision(measurand, method, number, unit)
    print(f"r {found.repeatability:.3g} {unit}, R {found.reproducibility:.3g} {unit}")
    print(
        f"  standard uncertainty: {found.repeatability / 2.77:.2g} {unit} in one laboratory, "
        f"{found.reproducibility / 2.77:.2g} across laboratories"
    )
    _told(found)


@app.command
def differ(
    measurand: str,
    first: str,
    second: str,
    *,
    method: str | None = None,
    laboratories: Laboratory = Laboratory.SAME,
) -> None:
    """Whether two results differ by more than chance allows.

    Example: lees calc precision differ Fe '12 ppm' '16 ppm' --method 'ASTM D5185'   →   really different

    Parameters
    ----------
    measurand
        What was measured: an element or a key such as kv100, bn, flash.
    first
        The earlier result.
    second
        The later result.
    method
        The method of both; the customary one if left out.
    laboratories
        Whether both came from one laboratory.
    """  # noqa: E501
    from lees.oil.decision import difference
    from lees.quantity.units import convert

    one, unit = _entry(measurand, first)
    other, other_unit = _entry(measurand, second)
    found = difference(
        measurand,
        (one, convert(other, other_unit, unit)),
        unit=unit,
        method=method,
        laboratory=laboratories,
    )
    word = "really different" if found.is_real else "not shown to differ"
    print(
        f"{word}: {abs(found.difference):.3g} {unit} apart, {found.allowed:.3g} allowed in "
        f"{laboratories}"
    )
    print(f"  by chance alone: {chance(found.probability_by_chance)}")
    _told(found.precision)


@app.command
def limit(
    measurand: str, result: str, limit: str, *, side: Side, method: str | None = None
) -> None:
    """Whether a single result breaches a limit with 95 % confidence.

    Example: lees calc precision limit kv100 '12.45 cSt' '12.5 cSt' --side minimum --method 'ASTM D445'   →   not shown to breach: it would have to be beyond 12.42 mm²/s

    Parameters
    ----------
    measurand
        What was measured: an element or a key such as kv100, bn, flash.
    result
        The result.
    limit
        The limit.
    side
        Whether the limit is a minimum or a maximum.
    method
        The method; the customary one if left out.
    """  # noqa: E501
    from lees.oil.decision import breach
    from lees.oil.precision import precision
    from lees.quantity.units import convert

    value, unit = _entry(measurand, limit)
    one, one_unit = _entry(measurand, result)
    at_limit = precision(measurand, method, value, unit)
    found = breach(convert(one, one_unit, unit), at_limit, side=side)
    beyond = f"{found.fails_beyond:.4g} {unit}"
    word = f"breached: beyond {beyond}" if found.fails else (
        f"not shown to breach: it would have to be beyond {beyond}"
    )  # fmt: skip
    print(word)
    print(f"  the true value is on the wrong side with {chance(found.probability)}")
    _told(at_limit)


def _entry(measurand: str, text: str) -> tuple[float, str]:
    from lees.quantity.entry import parse_entry
    from lees.quantity.measurands import measurand as known

    wanted = known(measurand)
    entry = parse_entry(text, wanted.dimension, default=wanted.unit)
    return entry.value, entry.unit


def _told(found: Precision) -> None:
    print(
        f"  source: {found.source}; r {found.repeatability_tag}, R {found.reproducibility_tag}; "
        "rules of ISO 4259-2:2017"
    )
    notes(found.warnings)


show_example(app, of)
