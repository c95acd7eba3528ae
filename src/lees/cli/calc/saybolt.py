"""`lees calc saybolt`: Saybolt universal seconds and kinematic viscosity."""

from __future__ import annotations

from cyclopts import App

from lees.cli.calc.typed import measured, show, show_example

app = App(
    name="saybolt",
    help="Saybolt seconds from a kinematic viscosity and back, at one temperature.",
    result_action="return_value",
)
SOURCE = "ASTM D2161-93"


@app.command
def seconds(viscosity: str, *, at: str) -> None:
    """Saybolt universal seconds of a kinematic viscosity at the same temperature.

    Example: lees calc saybolt seconds '10.00 cSt' --at '210 °F'   →   59.232 ± 0.010 SUS

    Parameters
    ----------
    viscosity
        The kinematic viscosity at that temperature.
    at
        The temperature of both.
    """
    from lees.oil.saybolt import saybolt_seconds
    from lees.quantity.entry import parse_entry
    from lees.quantity.propagation import propagated

    temperature_f = parse_entry(at, "temperature").to("°F")
    typed = measured(viscosity, "kinematic_viscosity", "mm²/s")
    saybolt_seconds(typed.value, temperature_f=temperature_f)  # refuses the value as typed
    found = propagated(
        lambda kv: saybolt_seconds(kv, temperature_f=temperature_f),
        {"viscosity": typed},
        unit="SUS",
        source=SOURCE,
    )
    show(f"Saybolt seconds at {temperature_f:.4g} °F", found)


@app.command
def kinematic(seconds: str, *, at: str) -> None:
    """Kinematic viscosity of Saybolt universal seconds at the same temperature.

    Example: lees calc saybolt kinematic '60.0 SUS' --at '210 °F'   →   10.2185 ± 0.0082 mm²/s

    Parameters
    ----------
    seconds
        The Saybolt universal seconds at that temperature.
    at
        The temperature of both.
    """
    from lees.oil.saybolt import kinematic_from_saybolt
    from lees.quantity.entry import parse_entry
    from lees.quantity.propagation import propagated

    temperature_f = parse_entry(at, "temperature").to("°F")
    typed = measured(seconds, "saybolt_viscosity", "SUS")
    kinematic_from_saybolt(typed.value, temperature_f=temperature_f)  # refuses the value as typed
    found = propagated(
        lambda s: kinematic_from_saybolt(s, temperature_f=temperature_f),
        {"seconds": typed},
        unit="mm²/s",
        source=SOURCE,
    )
    note = () if abs(temperature_f - 210) > 0.5 else (
        "210 °F is 98.89 °C: at 100 °C the oil is about 2.5 % thinner; see kv100.",
    )  # fmt: skip
    show(f"viscosity at {temperature_f:.4g} °F", found.warned(*note))


@app.command
def kv100(seconds: str, *, index: str = "160 ± 15") -> None:
    """Kinematic viscosity at 100 °C of Saybolt seconds that were really taken at 210 °F.

    Example: lees calc saybolt kv100 '77.0 SUS' --index '148 ± 5'   →   14.3906 ± 0.0085 mm²/s

    Parameters
    ----------
    seconds
        The Saybolt universal seconds at 210 °F.
    index
        The viscosity index, measured or assumed.
    """
    from lees.oil.saybolt import kv100_from_saybolt_at_210_f
    from lees.quantity.propagation import propagated

    typed = {
        "seconds": measured(seconds, "saybolt_viscosity", "SUS"),
        "viscosity index": measured(index, "number", "1"),
    }
    sus, vi = (one.value for one in typed.values())
    kv100_from_saybolt_at_210_f(sus, viscosity_index=vi)  # refuses the values as typed
    found = propagated(
        lambda s, vi: kv100_from_saybolt_at_210_f(s, viscosity_index=vi).value,
        typed,
        unit="mm²/s",
        source=f"{SOURCE}, then ASTM D341-20",
    )
    told = (
        "Laboratories commonly print seconds “at 210 °F” that they converted straight from the "
        "viscosity at 100 °C; lees calc consistency saybolt tells which fits.",
    )
    show("viscosity at 100 °C", found.warned(*told))


show_example(app, seconds)
