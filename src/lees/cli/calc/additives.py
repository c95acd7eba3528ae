"""`lees calc additives`: whether an oil is the oil it is said to be, by its elements."""

from __future__ import annotations

from cyclopts import App

from lees.cli.calc.typed import chance, show_example
from lees.oil.precision import Laboratory

app = App(
    name="additives",
    help="Fresh against used by additive elements, shares of candidate oils, detergent type.",
    result_action="return_value",
)
SOURCE = "  source: precision of ASTM D5185 (from memory)"


@app.command
def match(fresh: str, used: str, *, laboratories: Laboratory = Laboratory.SAME) -> None:
    """Whether a used oil can be the fresh oil it is said to be.

    Example: lees calc additives match 'Ca 2100, Mg 12, Zn 950, P 870, Mo 80' 'Ca 2150, Mg 15, Zn 960, P 860, Mo 84'   →   differences so large by chance: 99.4 %

    Parameters
    ----------
    fresh
        The fresh oil's elements in mg/kg.
    used
        The used oil's.
    laboratories
        Whether both came from one laboratory; a data sheet is another one.
    """  # noqa: E501
    from lees.oil.additives import fingerprint

    found = fingerprint(_elements(fresh), _elements(used), laboratory=laboratories)
    print(f"differences so large by chance: {chance(found.probability)}")
    print(f"  all alike concentrated by {found.factor:.3f}")
    for one in found.matches:
        print(
            f"  {one.element}: {one.used_mg_kg:g} against {one.expected_mg_kg:.0f} mg/kg expected, "
            f"{one.apart:+.1f} standard uncertainties"
        )
    print(SOURCE)
    if found.strangers:
        print(f"  note: {', '.join(found.strangers)} cannot come from that oil alone.")
    if found.left_out:
        print(f"  note: Only one of the oils has {', '.join(found.left_out)}; left out.")


@app.command
def shares(mixed: str, *candidates: str, laboratories: Laboratory = Laboratory.SAME) -> None:
    """Shares of two or three candidate oils in an oil.

    Example: lees calc additives shares 'Ca 1830, Mg 248, Zn 905, P 828, Mo 57' 'Ca 2100, Mg 12, Zn 950, P 870, Mo 80' 'Ca 1200, Mg 800, Zn 800, P 730, Mo 2'   →   candidate 1: 70 %

    Parameters
    ----------
    mixed
        The elements of the oil in question in mg/kg.
    candidates
        The elements of each candidate.
    laboratories
        Whether all came from one laboratory; a data sheet is another one.
    """  # noqa: E501
    from lees.oil.mixture import candidate_shares

    named = {f"candidate {n}": _elements(one) for n, one in enumerate(candidates, 1)}
    found = candidate_shares(_elements(mixed), named, laboratory=laboratories)
    for one in found.shares:
        print(
            f"{one.oil}: {100 * one.best:.0f} %, "
            f"95 %: {100 * one.low:.0f} to {100 * one.high:.0f} %"
        )
    print(f"  a fit so poor by chance: {chance(found.probability)}")
    print(f"{SOURCE}; non-negative least squares, Lawson and Hanson 1974")
    if not found.explains:
        print("  note: The candidates do not explain this oil.")
    if found.left_out:
        print(f"  note: Not all oils have {', '.join(found.left_out)}; left out.")


@app.command
def detergent(elements: str) -> None:
    """Which metals make up the detergent of a fresh oil.

    Example: lees calc additives detergent 'Ca 1200, Mg 600'   →   calcium and magnesium

    Parameters
    ----------
    elements
        The fresh oil's elements in mg/kg.
    """
    from lees.oil.additives import detergent_type

    found = detergent_type(_elements(elements))
    listed = ", ".join(f"{e} {100 * x:.0f} %" for e, x in found.shares.items() if x > 0)
    print(f"{found.name} ({listed} of the base equivalents)")
    print("  source: IUPAC atomic weights, 2021; that a tenth counts is common practice, no source")


@app.command
def element(symbol: str) -> None:
    """Say what an element is in an oil for, and whether it stays when the additive is spent.

    Example: lees calc additives element B   →   stays in the oil when spent: no

    Parameters
    ----------
    symbol
        The element's symbol.
    """
    from lees.oil.additives import role_of

    found = role_of(symbol)
    print(f"{found.element}: {found.additive}")
    print(f"  stays in the oil when spent: {found.stays}; {found.says}")
    print(f"  source: {found.tag}")


def _elements(text: str) -> dict[str, float]:
    """Understand elements as typed, such as ``Ca 2100, Mg 12 ppm``."""
    import re

    from lees.errors import WrongEntry
    from lees.quantity.entry import parse_entry
    from lees.quantity.measurands import measurand

    found: dict[str, float] = {}
    for part in re.split(r"[,;]\s+|\s*;\s*|,(?=[A-Za-z])", text.strip()):
        match = re.fullmatch(r"([A-Z][a-z]?)\s*[ =:]\s*(.+)", part.strip())
        if match is None or not measurand(match[1]).is_element:
            raise WrongEntry(part, "is not an element and its content", "type for example Ca 2100")
        found[match[1]] = parse_entry(match[2], "content", default="mg/kg").to("mg/kg")
    return found


show_example(app, match)
