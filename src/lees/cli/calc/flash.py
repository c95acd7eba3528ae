"""`lees calc flash`: flash points of blends, and how far one fell."""

from __future__ import annotations

from typing import Annotated

from cyclopts import App, Parameter

from lees.cli.calc.typed import notes, share, show_example
from lees.oil.flash import Cup, FlashPoint
from lees.oil.precision import Laboratory

app = App(
    name="flash",
    help="Fall of a flash point where cups allow it, and flash points of fuel blends.",
    result_action="return_value",
)

Temperature = Annotated[str, Parameter(allow_leading_hyphen=True)]


@app.command
def drop(
    fresh: str,
    used: str,
    *,
    fresh_method: str | None = None,
    used_method: str | None = None,
    laboratories: Laboratory = Laboratory.DIFFERENT,
) -> None:
    """How far a flash point fell from fresh to used; an open and a closed cup are refused.

    Example: lees calc flash drop '230 °C' '385 °F' --fresh-method 'ASTM D92' --used-method 'ASTM D92'   →   fall: 33.9 ± 9.2 °C

    Parameters
    ----------
    fresh
        The fresh oil's flash point.
    used
        The used oil's.
    fresh_method
        The fresh oil's method, such as ASTM D92, or "open cup", "closed cup".
    used_method
        The used oil's method.
    laboratories
        Whether both came from one laboratory; a data sheet is another one.
    """  # noqa: E501
    from lees.oil.flash import flash_drop

    found = flash_drop(
        _point(fresh, fresh_method), _point(used, used_method), laboratory=laboratories
    )
    print(f"fall: {found.drop}")
    print(f"  cup: {found.cup or 'not known'}")
    print(f"  source: {found.drop.source}")
    notes(found.warnings)


@app.command
def blend(first: Temperature, second: Temperature, *, share_of_second: str) -> None:
    """Flash point of a blend of two fuels, by two rules.

    Example: lees calc flash blend '38 °C' '66 °C' --share-of-second '50 %'   →   Wickey–Chittenden: 45.5 °C

    Parameters
    ----------
    first
        The flash point of the first fuel.
    second
        The flash point of the second, by the same kind of cup.
    share_of_second
        The share of the second by volume.
    """  # noqa: E501
    from lees.oil.flash import blend_flash, blend_flash_hu_burns
    from lees.quantity.arrays import within
    from lees.quantity.entry import parse_entry

    x = float(within("The share of the second", share(share_of_second).value, 0.0, 1.0))
    flashes = [parse_entry(one, "temperature").to("°C") for one in (first, second)]
    print(f"Wickey–Chittenden: {float(blend_flash(flashes, [1.0 - x, x])):.1f} °C")
    print("  source: API Technical Data Book, procedure 2B7 (constants from memory)")
    print(f"Hu–Burns: {float(blend_flash_hu_burns(flashes, [1.0 - x, x])):.1f} °C")
    print("  source: Hu and Burns 1970 (from memory)")
    print("  note: Neither holds for fuel in engine oil by open cup; see lees calc dilution.")


def _point(text: str, method: str | None) -> FlashPoint:
    from lees.quantity.entry import parse_entry

    value = parse_entry(text, "temperature").to("°C")
    words = {str(cup): cup for cup in Cup}
    if method is not None and method.casefold() in words:
        return FlashPoint(value, None, words[method.casefold()])
    return FlashPoint(value, method)


show_example(app, drop)
