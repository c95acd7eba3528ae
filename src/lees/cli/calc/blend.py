"""`lees calc blend`: how thick a blend is, and how much was added, by the rival rules."""

from __future__ import annotations

from cyclopts import App

from lees.cli.calc.typed import measured, share, show_example

app = App(
    name="blend",
    help="Viscosity of a blend, or the share added, by five mixing rules side by side.",
    result_action="return_value",
)


@app.command
def viscosity(first: str, second: str, *, share_of_second: str) -> None:
    """Viscosity of a blend of two liquids, by each mixing rule.

    Example: lees calc blend viscosity '14.4 cSt' '1.2 cSt' --share-of-second '5 %'   →   Walther (mass or volume): 11.817 mm²/s

    Parameters
    ----------
    first
        The viscosity of the first liquid.
    second
        The viscosity of the second, at the same temperature.
    share_of_second
        The share of the second, by what the rule counts.
    """  # noqa: E501
    from lees.oil.blending import RULES, blend_viscosity
    from lees.quantity.arrays import within

    x = float(within("The share of the second", share(share_of_second).value, 0.0, 1.0))
    kvs = [measured(one, "kinematic_viscosity", "mm²/s").value for one in (first, second)]
    for rule in RULES.values():
        blend = float(blend_viscosity(kvs, [1.0 - x, x], rule=rule.name))
        print(f"{rule.name} ({rule.fraction}): {blend:.5g} mm²/s")
        print(f"  source: {rule.source} ({rule.tag})")
    print("  note: The rules differ; for fuel in oil the truth lies between Walther and Arrhenius.")


@app.command
def added(fresh: str, used: str, *, addition: str) -> None:
    """Share of an addition that explains a change of viscosity alone, by each mixing rule.

    Example: lees calc blend added '160 cSt' '137 cSt' --addition '3.0 cSt'   →   Walther (mass or volume): 2.28 %

    Parameters
    ----------
    fresh
        The viscosity before.
    used
        The viscosity after, at the same temperature.
    addition
        The viscosity of what was added, at the same temperature.
    """  # noqa: E501
    from lees.oil.blending import RULES, added_fraction

    base, blend, thin = (
        measured(one, "kinematic_viscosity", "mm²/s").value for one in (fresh, used, addition)
    )
    for rule in RULES.values():
        x = float(added_fraction(blend, base_kv_mm2_s=base, added_kv_mm2_s=thin, rule=rule.name))
        print(f"{rule.name} ({rule.fraction}): {100 * x:.2f} %")
        print(f"  source: {rule.source} ({rule.tag})")
    print(
        "  note: Say “consistent with up to”: shear-down thins and oxidation thickens as well; see "
        "lees calc dilution."
    )


show_example(app, viscosity)
