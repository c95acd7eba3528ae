"""`lees calc particles`: what a count is worth, scaled up and coded."""

from __future__ import annotations

from cyclopts import App

from lees.cli.calc.typed import measured, number, share, show_example
from lees.errors import OutOfRange, WrongEntry

app = App(
    name="particles",
    help="Exact limits of a count, scale-up by area, and the codes of ISO 4406 and ISO 16232.",
    result_action="return_value",
)


@app.command
def limits(count: str, *, coverage: str = "95 %") -> None:
    """Exact limits of the mean behind a count.

    Example: lees calc particles limits 10   →   4.795 to 18.390

    Parameters
    ----------
    count
        How many were counted.
    coverage
        The least probability that the limits hold the mean.
    """
    from lees.quantity.counts import poisson_limits

    found = poisson_limits(number(count).value, share(coverage).value)
    low, high = float(found.low), float(found.high)
    print(f"{float(found.count):.0f}, with {coverage} limits {low:.3f} to {high:.3f}")
    print("  source: Garwood 1936, exact Poisson limits; scatter of counting only")


@app.command
def scale(count: str, fields: str, *, field: str, whole: str) -> None:
    """Scale a count on some fields of an area up to all of it.

    Example: lees calc particles scale 180 20 --field '0.5 mm²' --whole '962.1 mm²'   →   17318

    Parameters
    ----------
    count
        How many were counted on all the fields together.
    fields
        On how many fields.
    field
        The area of one field.
    whole
        The whole area.
    """
    from lees.quantity.counts import scaled_up

    found = scaled_up(
        number(count).value,
        number(fields).value,
        field_area_mm2=measured(field, "area", "mm²").value,
        total_area_mm2=measured(whole, "area", "mm²").value,
    )
    low, high = float(found.low), float(found.high)
    print(f"{float(found.count):.0f} on the whole, with 95 % limits {low:.0f} to {high:.0f}")
    print("  source: counted fields scaled by area; limits by Garwood 1936, counting alone")


@app.command
def iso4406(small: str, middle: str, large: str, *, volume: str) -> None:
    """Code of particles counted in a known volume of fluid.

    Example: lees calc particles iso4406 300000 50000 700 --volume '100 mL'   →   19/16/10

    Parameters
    ----------
    small
        The count at and above 4 µm(c); a dash where it was not counted.
    middle
        The count at and above 6 µm(c), or 5 µm by microscope.
    large
        The count at and above 14 µm(c), or 15 µm by microscope.
    volume
        The volume of fluid in which they were counted.
    """
    from lees.quantity.counts import iso4406_code

    counts = [_count_or_none(text) for text in (small, middle, large)]
    print(iso4406_code(counts, measured(volume, "volume", "mL").value))
    print("  source: ISO 4406:2021; ≥ where fewer than 20 were counted")


@app.command
def iso16232(counts: str, *, surface: str) -> None:
    """Code of particles extracted from a known surface.

    Example: lees calc particles iso16232 'F 37, G 4' --surface '50 cm²'   →   A(F10/G7)

    Parameters
    ----------
    counts
        The count of each size class, such as 'E 120, F 37, G 4'.
    surface
        The surface from which they were extracted; used filter media is not one.
    """
    from lees.quantity.counts import iso16232_code

    given = {}
    for part in counts.split(","):
        letter, _, rest = part.strip().partition(" ")
        given[letter.upper()] = _whole(rest)
    print(iso16232_code(given, measured(surface, "area", "cm²").value))
    print("  source: ISO 16232:2018, per 1000 cm²; letters and levels from memory in part")


def _count_or_none(text: str) -> int | None:
    return None if text.strip() in ("-", "–", "—") else _whole(text)


def _whole(text: str) -> int:
    if not text.strip():
        raise WrongEntry(text, "has no count", "type for example F 37")
    value = number(text).value
    if value < 0 or value != round(value):
        raise OutOfRange("A count", f"{value:g}", "a whole number, zero or above")
    return int(value)


show_example(app, limits)
