"""`lees calc convert`: an entry as typed at the bench, in another unit."""

from __future__ import annotations

from cyclopts import App

from lees.cli.calc.typed import show_example
from lees.quantity.entry import DecimalSign, parse_entry
from lees.quantity.units import unit

app = App(
    name="convert",
    help="Convert an entry to another unit.",
    result_action="return_value",
)


@app.default
def convert(entry: str, to: str, *, decimal: DecimalSign = DecimalSign.UNKNOWN) -> None:
    """Convert an entry to another unit.

    Example: lees calc convert '52 1/2 in' mm   →   1333.5 mm

    Parameters
    ----------
    entry
        The value with its unit, as typed, such as "52 1/2 in" or "1.569,5 mg/kg".
    to
        The unit wanted.
    decimal
        The decimal sign, where 1,234 could be read in two ways.
    """
    target = unit(to)
    parsed = parse_entry(entry, target.dimension.name, decimal=decimal)
    mark = f"{parsed.qualifier.value} " if parsed.qualifier else ""
    print(f"{mark}{parsed.to(to):.10g} {target.symbol}")


show_example(app, convert)
