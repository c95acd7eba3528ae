"""`lees calc permeability`: how easily oil passes the media."""

from __future__ import annotations

from cyclopts import App

from lees.cli.calc.typed import measured, share, show, show_example

app = App(
    name="permeability",
    help="Solidity from mass per area, permeability by rival models or from air.",
    result_action="return_value",
)


@app.command
def solidity(mass_per_area: str, thickness: str, density: str) -> None:
    """Share of the media's volume that is solid.

    Example: lees calc permeability solidity '130 ± 2 g/m²' '0.60 ± 0.01 mm' '1500 ± 0 kg/m³'   →   0.1444 ± 0.0033

    Parameters
    ----------
    mass_per_area
        Of the clean, dry media.
    thickness
        Of the media.
    density
        Of what it is made of: cellulose 1500, glass 2500, polyester 1380 kg/m³ (from memory).
    """  # noqa: E501
    from lees.filtration.permeability import solidity as solidity_of

    found = solidity_of(
        measured(mass_per_area, "areal_mass", "g/m²"),
        measured(thickness, "length", "mm"),
        measured(density, "density", "kg/m³"),
    )
    show("solidity", found)
    print(f"  porosity: {1 - found.result.value:.3f}")


@app.command
def models(fibre: str, solid: str) -> None:
    """Permeability by the rival models, each with the solidities it holds for.

    Example: lees calc permeability models '3.42 µm' 0.0493   →   Davies: 1.658e-11 m² (16.8 darcy)

    Parameters
    ----------
    fibre
        The diameter of the fibres.
    solid
        The share of the volume that is solid.
    """
    from lees.filtration.permeability import DARCY_M2, MODELS, rivals

    found = rivals(measured(fibre, "length", "µm").value, share(solid).value)
    for name, model in MODELS.items():
        if name not in found:
            print(f"{name}: ends before this solidity")
            continue
        one = found[name]
        darcies = one.permeability_m2 / DARCY_M2
        print(f"{name}: {one.permeability_m2:.3e} m² ({darcies:.3g} darcy)")
        print(f"  source: {model.source}")
        if one.warning:
            print(f"  note: {one.warning}")
    values = [one.permeability_m2 for one in found.values() if one.warning is None]
    if values:
        spread = max(values) / min(values)
        print(f"those that hold here differ by a factor of {spread:.2f}: that is the doubt")


@app.command
def air(flow_per_area: str, pressure: str, thickness: str) -> None:
    """Permeability from a measured air permeability.

    Example: lees calc permeability air '25 cfm/ft²' '0.5 inH2O' '0.80 mm'   →   1.485e-11 m²

    Parameters
    ----------
    flow_per_area
        The air's flow per area, such as 200 L/m²s or 25 cfm/ft².
    pressure
        The pressure difference of the test.
    thickness
        Of the media.
    """
    from lees.filtration.permeability import permeability_from_air

    found = permeability_from_air(
        measured(flow_per_area, "speed", "mm/s"),
        measured(pressure, "pressure", "Pa"),
        measured(thickness, "length", "mm"),
    )
    print(f"permeability: {found.result.value:.3e} m² ± {found.result.uncertainty:.1e} m²")
    print(f"  source: {found.result.source}")


show_example(app, solidity)
