"""`lees calc ports`: how the oil gets in and out of a filter."""

from __future__ import annotations

from cyclopts import App

from lees.cli.calc.typed import measured, number, show, show_example

app = App(
    name="ports",
    help="Open area of inlet holes and louvres, speed in them, and the pressure lost there.",
    result_action="return_value",
)


@app.command
def holes(count: str, diameter: str) -> None:
    """Open area of a ring of round holes.

    Example: lees calc ports holes 8 '5.0 ± 0.05 mm'   →   157.1 ± 3.1 mm²

    Parameters
    ----------
    count
        The number of holes.
    diameter
        The diameter of one.
    """
    from lees.filtration.ports import open_area_of_holes

    show("open area", open_area_of_holes(number(count), measured(diameter, "length", "mm")))


@app.command
def louvres(count: str, length: str, gap: str) -> None:
    """Open area of the louvres of a centre tube.

    Example: lees calc ports louvres 60 '8.0 ± 0.2 mm' '0.50 ± 0.05 mm'   →   240 ± 25 mm²

    Parameters
    ----------
    count
        The number of louvres.
    length
        The length of one slit.
    gap
        How far the lip stands off the tube.
    """
    from lees.filtration.ports import open_area_of_louvres

    length_mm, gap_mm = measured(length, "length", "mm"), measured(gap, "length", "mm")
    show("open area", open_area_of_louvres(number(count), length_mm, gap_mm))


@app.command
def speed(flow: str, area: str) -> None:
    """Mean speed of the oil in an opening.

    Example: lees calc ports speed '20 ± 2 L/min' '157 ± 3 mm²'   →   2.12 ± 0.22 m/s

    Parameters
    ----------
    flow
        The flow through all of it.
    area
        The open area.
    """
    from lees.filtration.ports import port_speed

    found = port_speed(measured(flow, "flow", "L/min"), measured(area, "area", "mm²"))
    show("speed", found)


@app.command
def loss(flow: str, area: str, opening: str, *, viscosity: str, density: str) -> None:
    """Pressure lost in the openings, with the sharp-edge coefficient 0.62 ± 0.03.

    Example: lees calc ports loss '30 ± 0 L/min' '157 ± 3 mm²' '5.0 mm' --viscosity '14 mm²/s' --density '850 kg/m³'   →   11.2 ± 1.2 kPa

    Parameters
    ----------
    flow
        The flow through all of them.
    area
        The open area of all.
    opening
        The width of one: a hole's diameter, twice a louvre's gap.
    viscosity
        The oil's kinematic viscosity.
    density
        The oil's density.
    """  # noqa: E501
    from lees.filtration.flowing import Oil
    from lees.filtration.ports import port_loss

    found = port_loss(
        measured(flow, "flow", "L/min"),
        measured(area, "area", "mm²"),
        oil=Oil(
            measured(viscosity, "kinematic_viscosity", "mm²/s"),
            measured(density, "density", "kg/m³"),
        ),
        opening=measured(opening, "length", "mm"),
    )
    show("pressure lost", found)


show_example(app, holes)
