"""`lees calc viscosity-index`: how little an oil thins as it warms."""

from __future__ import annotations

from cyclopts import App

from lees.cli.calc.typed import measured, show, show_example

app = App(name="viscosity-index", result_action="return_value")


@app.default
def viscosity_index(kv40: str, kv100: str) -> None:
    """Viscosity index from the viscosities at 40 and 100 °C.

    Example: lees calc viscosity-index '60.00 cSt' '10.00 cSt'   →   reported as 153

    Parameters
    ----------
    kv40
        The viscosity at 40 °C.
    kv100
        The viscosity at 100 °C.
    """
    from lees.oil import viscosity_index as d2270
    from lees.quantity.propagation import propagated

    inputs = {
        "viscosity at 40 °C": measured(kv40, "kinematic_viscosity", "mm²/s"),
        "viscosity at 100 °C": measured(kv100, "kinematic_viscosity", "mm²/s"),
    }
    values = [one.value for one in inputs.values()]
    by_polynomials = float(d2270.viscosity_index_by_polynomials(*values))
    found = propagated(
        d2270.viscosity_index, inputs, unit="1", source="ASTM D2270-10 (ISO 2909), Table 1"
    )
    show("viscosity index", found)
    print(f"  reported as {float(d2270.reported_index(found.result.value)):.0f}")
    print(f"  by the polynomials: {by_polynomials:.1f}")


show_example(app, viscosity_index)
