"""`lees calc can`: what the wall of a can stands, at most."""

from __future__ import annotations

from cyclopts import App

from lees.cli.calc.typed import measured, show, show_example

app = App(
    name="can",
    help="Hoop stress in the wall of a can: an upper bound, never its burst pressure.",
    result_action="return_value",
)


@app.command
def stress(pressure: str, diameter: str, wall: str) -> None:
    """Hoop stress in the cylindrical wall under a pressure.

    Example: lees calc can stress '1.0 ± 0 MPa' '76.0 mm' '0.38 mm'   →   99.50 ± 0.76 MPa

    Parameters
    ----------
    pressure
        The pressure inside over that outside.
    diameter
        The can's outer diameter.
    wall
        The thickness of its wall, paint removed.
    """
    from lees.filtration.can import hoop_stress

    found = hoop_stress(
        measured(pressure, "pressure", "MPa"),
        diameter=measured(diameter, "length", "mm"),
        wall=measured(wall, "length", "mm"),
    )
    show("hoop stress", found)


@app.command(name="yield")
def yield_(strength: str, diameter: str, wall: str) -> None:
    """Pressure at which the plain cylinder would begin to yield: an upper bound.

    Example: lees calc can yield '200 ± 20 MPa' '76.0 mm' '0.38 mm'   →   2.01 ± 0.20 MPa

    Parameters
    ----------
    strength
        The yield strength of the steel; an assumption unless it was tested.
    diameter
        The can's outer diameter.
    wall
        The thickness of its wall, paint removed.
    """
    from lees.filtration.can import wall_yield_pressure

    found = wall_yield_pressure(
        measured(strength, "pressure", "MPa"),
        diameter=measured(diameter, "length", "mm"),
        wall=measured(wall, "length", "mm"),
    )
    show("the plain cylinder would yield at", found)


show_example(app, stress)
