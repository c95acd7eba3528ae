"""`lees calc viscosity`: an oil's viscosity at any temperature, and the temperature for one."""

from __future__ import annotations

from typing import Annotated

from cyclopts import App, Parameter

from lees.cli.calc.typed import measured, show, show_example

app = App(
    name="viscosity",
    help="Viscosity at a temperature, from two points or one; temperature for a viscosity.",
    result_action="return_value",
)

Temperature = Annotated[str, Parameter(allow_leading_hyphen=True)]


@app.command
def at(temperature: Temperature, *, kv40: str, kv100: str) -> None:
    """Kinematic viscosity at a temperature, from those at 40 and 100 °C.

    Example: lees calc viscosity at '80 °C' --kv40 '32.0 ± 0.1 cSt' --kv100 '5.40 ± 0.02 cSt'   →   8.533 ± 0.026 mm²/s

    Parameters
    ----------
    temperature
        The temperature asked for.
    kv40
        The viscosity at 40 °C.
    kv100
        The viscosity at 100 °C.
    """  # noqa: E501
    from lees.oil.viscosity import kinematic_viscosity_at
    from lees.quantity.entry import parse_entry
    from lees.quantity.propagation import propagated

    t = parse_entry(temperature, "temperature").to("°C")
    inputs = {
        "viscosity at 40 °C": measured(kv40, "kinematic_viscosity", "mm²/s"),
        "viscosity at 100 °C": measured(kv100, "kinematic_viscosity", "mm²/s"),
    }
    u, y = (one.value for one in inputs.values())
    warnings = kinematic_viscosity_at(t, kv40_mm2_s=u, kv100_mm2_s=y).warnings
    found = propagated(
        lambda u, y: kinematic_viscosity_at(t, kv40_mm2_s=u, kv100_mm2_s=y).value,
        inputs,
        unit="mm²/s",
        source="Walther equation, ASTM D341-20",
    )
    show(f"viscosity at {t:.4g} °C", found.warned(*warnings))


@app.command
def one_point(
    temperature: Temperature, *, known_at: Temperature, viscosity: str, index: str
) -> None:
    """Kinematic viscosity at a temperature, from one known point and an assumed index.

    Example: lees calc viscosity one-point '100 °C' --known-at '210 °F' --viscosity '14.78 ± 0.05 cSt' --index '160 ± 10'   →   14.415 ± 0.049 mm²/s

    Parameters
    ----------
    temperature
        The temperature asked for.
    known_at
        The temperature of the known point.
    viscosity
        The viscosity there.
    index
        The viscosity index assumed.
    """  # noqa: E501
    from lees.oil.one_point import kinematic_viscosity_from_one_point
    from lees.quantity.cautioned import Cautioned
    from lees.quantity.entry import parse_entry
    from lees.quantity.propagation import propagated

    t = parse_entry(temperature, "temperature").to("°C")
    known_c = parse_entry(known_at, "temperature").to("°C")

    def model(kv: float, vi: float) -> Cautioned:
        return kinematic_viscosity_from_one_point(
            t, known_at_c=known_c, kv_mm2_s=kv, viscosity_index=vi
        )

    inputs = {
        "viscosity": measured(viscosity, "kinematic_viscosity", "mm²/s"),
        "viscosity index": measured(index, "number", "1"),
    }
    warnings = model(*(one.value for one in inputs.values())).warnings
    found = propagated(
        lambda kv, vi: model(kv, vi).value,
        inputs,
        unit="mm²/s",
        source="ASTM D341-20 with an index assumed, ASTM D2270-10",
    )
    show(f"viscosity at {t:.4g} °C", found.warned(*warnings))


@app.command
def temperature(viscosity: str, *, kv40: str, kv100: str) -> None:
    """Temperature at which an oil has a viscosity.

    Example: lees calc viscosity temperature '1000 ± 0 cSt' --kv40 '100.0 cSt' --kv100 '14.40 cSt'   →   0.827 ± 0.011 °C

    Parameters
    ----------
    viscosity
        The viscosity asked for.
    kv40
        The viscosity at 40 °C.
    kv100
        The viscosity at 100 °C.
    """  # noqa: E501
    from lees.oil.viscosity import temperature_on, walther_line
    from lees.quantity.cautioned import Cautioned
    from lees.quantity.propagation import propagated

    def model(kv: float, u: float, y: float) -> Cautioned:
        return temperature_on(walther_line((40.0, 100.0), (u, y)), kv)

    inputs = {
        "viscosity": measured(viscosity, "kinematic_viscosity", "mm²/s"),
        "viscosity at 40 °C": measured(kv40, "kinematic_viscosity", "mm²/s"),
        "viscosity at 100 °C": measured(kv100, "kinematic_viscosity", "mm²/s"),
    }
    warnings = model(*(one.value for one in inputs.values())).warnings
    found = propagated(
        lambda kv, u, y: model(kv, u, y).value,
        inputs,
        unit="°C",
        source="Walther equation, ASTM D341-20",
    )
    show("temperature", found.warned(*warnings))


show_example(app, at)
