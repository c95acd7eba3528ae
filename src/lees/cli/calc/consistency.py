"""`lees calc consistency`: whether the values of one report agree, or one is a misprint."""

from __future__ import annotations

from cyclopts import App

from lees.cli.calc.typed import chance, show_example
from lees.oil.consistency import Consistency

app = App(
    name="consistency",
    help="Values of one report against each other, with the odds of a misprint.",
    result_action="return_value",
)


@app.command
def saybolt(seconds: str, kv100: str, *, index: float | None = None) -> None:
    """Saybolt seconds "at 210 °F" against the viscosity at 100 °C.

    Example: lees calc consistency saybolt 75.6 14.4   →   fits: converted straight from 100 °C

    Parameters
    ----------
    seconds
        The seconds as printed, without unit.
    kv100
        The viscosity at 100 °C as printed, without unit.
    index
        The viscosity index, where it is known.
    """
    from lees.oil.consistency import saybolt_against_kinematic

    _show(saybolt_against_kinematic(seconds, kv100, index=index), "s")
    print("  source: ASTM D2161-93; chances of a slip beforehand are assumptions")


@app.command
def index(index: str, kv40: str, kv100: str) -> None:
    """Viscosity index against the viscosities at 40 and 100 °C.

    Example: lees calc consistency index 135 60.0 10.0   →   likeliest slip: vi 153 (swapped digits)

    Parameters
    ----------
    index
        The index as printed.
    kv40
        The viscosity at 40 °C as printed, without unit.
    kv100
        The viscosity at 100 °C as printed, without unit.
    """
    from lees.oil.consistency import index_against_viscosities

    _show(index_against_viscosities(index, kv40, kv100), "")
    print("  source: ASTM D2270-10; chances of a slip beforehand are assumptions")


@app.command
def zinc(zinc: str, phosphorus: str) -> None:
    """Zinc against phosphorus, by the make-up of zinc dithiophosphate.

    Example: lees calc consistency zinc 890 810   →   fits: one additive

    Parameters
    ----------
    zinc
        Zinc as printed, in mg/kg, without unit.
    phosphorus
        Phosphorus as printed, in mg/kg, without unit.
    """
    from lees.oil.consistency import zinc_against_phosphorus

    _show(zinc_against_phosphorus(zinc, phosphorus), "mg/kg")
    print("  source: Zn/P 1.055 of the neutral salt; spread from memory; chances are assumptions")


def _show(found: Consistency, unit: str) -> None:
    symbol = f" {unit}" if unit else ""
    if found.expected is None or found.apart is None:
        print(f"printed {found.found:g}{symbol}; no oil could have these values together")
    else:
        print(
            f"expected {found.expected:.4g}{symbol}, printed {found.found:g}: "
            f"{abs(found.apart):.1f} standard uncertainties apart"
        )
    verdict = found.verdict
    print(f"fits: {found.fits}")
    print(
        f"  agree {chance(verdict.consistent)}, misprint {chance(verdict.misprint)}, "
        f"another reason {chance(verdict.other)}"
    )
    if verdict.likeliest_slip is not None and verdict.misprint > 0.05:
        name, slip = verdict.likeliest_slip
        print(f"  likeliest slip: {name} {slip.intended.text} ({slip.kind})")


show_example(app, saybolt)
