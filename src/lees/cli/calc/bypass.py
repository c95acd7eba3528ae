"""`lees calc bypass`: what the media cost, when the valve opens, what leaks past."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from cyclopts import App, Parameter

from lees.cli.calc.typed import measured, notes, number, share, show, show_example
from lees.filtration.flowing import Oil
from lees.filtration.pressure_drop import Media
from lees.quantity.measured import Measured

app = App(
    name="bypass",
    help="Pressure across the media, when the bypass valve opens, and what leaks past it.",
    result_action="return_value",
)

ASSUMED_FINAL = "90 ± 5 °C"


@Parameter(name="*")
@dataclass
class Sheet:
    """The media as typed."""

    area: str
    """The area that filters, one face."""
    thickness: str
    """The thickness of the media."""
    permeability: str
    """Their permeability in m², such as '4.8e-11 ± 5e-12'."""
    blocked: str | None = None
    """The share of the area that no longer passes oil, such as 30 ± 5 %."""
    layer: str | None = None
    """By which factor a layer of dirt multiplies the resistance of the rest."""

    def media(self) -> Media:
        """Return what was typed as media, loaded where it was said to be."""
        from lees.filtration.pressure_drop import loaded

        k = number(self.permeability)
        clean = Media(
            measured(self.area, "area", "cm²"),
            measured(self.thickness, "length", "mm"),
            Measured(k.value, k.uncertainty, "m²", k.source),
        )
        if self.blocked is None and self.layer is None:
            return clean
        return loaded(
            clean,
            blocked=share(self.blocked or "0"),
            layer=number(self.layer) if self.layer else None,
        )


@app.command
def drop(flow: str, *, sheet: Sheet, viscosity: str, density: str) -> None:
    """Pressure lost across the media at a flow.

    Example: lees calc bypass drop '20 ± 0 L/min' --area '1000 ± 20 cm²' --thickness '0.80 ± 0.02 mm' --permeability '4.826e-11 ± 5e-12' --viscosity '1000 ± 0 mm²/s' --density '880 ± 0 kg/m³'   →   48.6 ± 5.3 kPa

    Parameters
    ----------
    flow
        The flow through the media.
    viscosity
        The oil's kinematic viscosity.
    density
        The oil's density.
    """  # noqa: E501
    from lees.filtration.flowing import dynamic_viscosity
    from lees.filtration.pressure_drop import pressure_drop

    oil = _oil(viscosity, density)
    thickness = dynamic_viscosity(oil).result
    found = pressure_drop(measured(flow, "flow", "L/min"), sheet.media(), thickness)
    show("pressure across the media", found)


@app.command
def opens(flow: str, pressure: str, *, sheet: Sheet, kv40: str, kv100: str, density: str) -> None:
    """Oil temperature below which the media alone would open the bypass valve.

    Example: lees calc bypass opens '20 ± 0 L/min' '100 ± 10 kPa' --area '1000 ± 20 cm²' --thickness '0.80 ± 0.02 mm' --permeability '4.826e-11 ± 5e-12' --kv40 '100 mm²/s' --kv100 '14.4 mm²/s' --density '880 ± 0 kg/m³'   →   -8.0 ± 1.7 °C

    Parameters
    ----------
    flow
        The flow that the filter gets.
    pressure
        The pressure at which the valve opens.
    kv40
        The oil's kinematic viscosity at 40 °C.
    kv100
        The oil's kinematic viscosity at 100 °C.
    density
        The oil's density when cold.
    """  # noqa: E501
    from lees.filtration.bypass import opening_temperature, opening_viscosity
    from lees.oil.viscosity import walther_line

    at_opening = opening_viscosity(
        measured(pressure, "pressure", "kPa"),
        measured(flow, "flow", "L/min"),
        media=sheet.media(),
        density=measured(density, "density", "kg/m³"),
    )
    line = walther_line((40.0, 100.0), (_kv(kv40).value, _kv(kv100).value))
    show("viscosity at which the valve opens", at_opening)
    show("oil temperature below which it is open", opening_temperature(at_opening, line))


@app.command
def cold_start(
    opens_at: Annotated[str, Parameter(allow_leading_hyphen=True)],
    start: Annotated[str, Parameter(allow_leading_hyphen=True)],
    *,
    final: str | None = None,
    constant: str,
    kv40: str,
    kv100: str,
) -> None:
    """How long a cold start runs with the valve open, and what share goes past it meanwhile.

    Example: lees calc bypass cold-start '0 ± 2 °C' '-15 °C' --constant '8 ± 1 min' --kv40 '100 mm²/s' --kv100 '14.4 mm²/s'   →   1.23 ± 0.24 min

    Parameters
    ----------
    opens_at
        The oil temperature below which the valve is open, from `lees calc bypass opens`.
    start
        The oil temperature at the start.
    final
        The oil temperature when warm; without it 90 ± 5 °C is assumed, and said.
    constant
        The time in which the distance to the final temperature falls to 1/e (37 %).
    kv40
        The oil's kinematic viscosity at 40 °C.
    kv100
        The oil's kinematic viscosity at 100 °C.
    """  # noqa: E501
    from lees.filtration.bypass import WarmUp
    from lees.filtration.bypass import cold_start as cold_start_of
    from lees.oil.viscosity import walther_line
    from lees.quantity.propagation import propagated

    temperature = propagated(
        lambda t: t,
        {"temperature at opening": measured(opens_at, "temperature", "°C")},
        unit="°C",
        source="typed",
    )
    warm_up = WarmUp(
        measured(start, "temperature", "°C"),
        measured(final or ASSUMED_FINAL, "temperature", "°C"),
        measured(constant, "time", "min"),
    )
    line = walther_line((40.0, 100.0), (_kv(kv40).value, _kv(kv100).value))
    found = cold_start_of(temperature, warm_up, line)
    show("the valve stays open for", found.minutes)
    print(f"share of the oil that goes past it meanwhile: {100 * found.share:.0f} %")
    if final is None:
        notes((f"The final oil temperature was assumed to be {ASSUMED_FINAL}.",))
    notes(("For steady running, and a valve that closes at the pressure at which it opens.",))


@app.command
def slit(width: str, gap: str, depth: str, *, sheet: Sheet) -> None:
    """Share of the oil that goes through a slit beside the media.

    Example: lees calc bypass slit '20 ± 1 mm' '0.30 ± 0.02 mm' '0.8 ± 0.1 mm' --area '1000 ± 20 cm²' --thickness '0.80 ± 0.02 mm' --permeability '4.826e-11 ± 5e-12'   →   0.0092 ± 0.0024

    Parameters
    ----------
    width
        The length of the slit along the seat.
    gap
        How far it stands open.
    depth
        The way through it.
    """  # noqa: E501
    from lees.filtration.leaks import slit_leak_share

    found = slit_leak_share(
        measured(width, "length", "mm"),
        measured(gap, "length", "mm"),
        depth=measured(depth, "length", "mm"),
        media=sheet.media(),
    )
    show("share that leaks", found)


@app.command
def hole(diameter: str, flow: str, *, sheet: Sheet, viscosity: str, density: str) -> None:
    """Share of the oil that goes through a hole beside the media.

    Example: lees calc bypass hole '3 ± 0.1 mm' '20 ± 0 L/min' --area '1000 ± 20 cm²' --thickness '0.80 ± 0.02 mm' --permeability '4.826e-11 ± 5e-12' --viscosity '14 ± 0.5 mm²/s' --density '850 kg/m³'   →   0.0162 ± 0.0016

    Parameters
    ----------
    diameter
        The hole's diameter; for another shape that of equal area.
    flow
        The flow through the filter.
    viscosity
        The oil's kinematic viscosity when warm.
    density
        The oil's density.
    """  # noqa: E501
    from lees.filtration.leaks import hole_leak_share
    from lees.filtration.ports import SHARP_EDGE

    found = hole_leak_share(
        measured(diameter, "length", "mm"),
        measured(flow, "flow", "L/min"),
        media=sheet.media(),
        oil=_oil(viscosity, density),
        discharge=SHARP_EDGE,
    )
    show("share that leaks", found)


def _kv(text: str) -> Measured:
    return measured(text, "kinematic_viscosity", "mm²/s")


def _oil(viscosity: str, density: str) -> Oil:
    return Oil(_kv(viscosity), measured(density, "density", "kg/m³"))


show_example(app, drop)
