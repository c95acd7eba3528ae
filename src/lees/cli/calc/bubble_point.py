"""`lees calc bubble-point`: what pore a first bubble stands for, with the standard's caution."""

from __future__ import annotations

from cyclopts import App

from lees.cli.calc.typed import measured, show, show_example

app = App(
    name="bubble-point",
    help="Pore diameter of a bubble point, by the capillary formula and by an empirical rule.",
    result_action="return_value",
)


@app.default
def bubble_point(pressure: str, tension: str = "21.7 ± 0.2 mN/m") -> None:
    """Pore diameter of a first bubble point in isopropyl alcohol.

    Example: lees calc bubble-point '2000 ± 20 Pa' '21.3 ± 0.2 mN/m'   →   42.60 ± 0.58 µm

    Parameters
    ----------
    pressure
        The pressure at the first bubble, the head of the liquid taken off.
    tension
        The surface tension of the liquid; isopropyl alcohol has 21.7 mN/m at 20 °C.
    """
    from lees.filtration.bubble_point import empirical_bounds, pore

    bubbled = measured(pressure, "pressure", "Pa")
    found = pore(bubbled, measured(tension, "surface_tension", "mN/m"))
    show("diameter, capillary formula", found.capillary)
    show("diameter, empirical rule", found.empirical)
    ends = empirical_bounds(bubbled)
    print(f"  {ends.low:.3g} to {ends.high:.3g} µm over the published range of its constant")


show_example(app, bubble_point)
