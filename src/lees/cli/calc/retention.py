"""`lees calc retention`: what a filter catches, lets through, and should weigh."""

from __future__ import annotations

from cyclopts import App

from lees.cli.calc.typed import measured, number, share, show, show_example

app = App(
    name="retention",
    help="β and efficiency, what a leak leaves, clean-up time, mass caught, debris by weight.",
    result_action="return_value",
)


@app.command
def beta(value: str) -> None:
    """Efficiency from β.

    Example: lees calc retention beta 75   →   efficiency: 98.667 %

    Parameters
    ----------
    value
        Particles of a size and larger before the filter, for one behind it.
    """
    from lees.filtration.retention import efficiency_from_beta

    print(f"efficiency: {100 * float(efficiency_from_beta(number(value).value)):.5g} %")
    print("  source: ISO 4548-12:2017, for the size, dust, flow and oil of the test alone")


@app.command
def efficiency(value: str) -> None:
    """β from an efficiency.

    Example: lees calc retention efficiency '98.7 %'   →   β: 76.9

    Parameters
    ----------
    value
        The share held back in one pass, such as 98.7 % or 0.987.
    """
    from lees.filtration.retention import beta_from_efficiency

    print(f"β: {float(beta_from_efficiency(share(value).value)):.3g}")
    print("  source: ISO 4548-12:2017, for the size, dust, flow and oil of the test alone")


@app.command
def leak(efficiency: str, leaks: str) -> None:
    """Efficiency that is left when a share of the oil goes round the media.

    Example: lees calc retention leak '95 ± 1 %' '5 ± 2 %'   →   0.902 ± 0.021

    Parameters
    ----------
    efficiency
        The efficiency of the media.
    leaks
        The share of the flow that goes round them.
    """
    from lees.filtration.retention import beta_from_efficiency, efficiency_with_leak

    found = efficiency_with_leak(share(efficiency), share(leaks))
    show("efficiency of the whole", found)
    if found.result.value < 1:
        print(f"  β of the whole: {float(beta_from_efficiency(found.result.value)):.3g}")


@app.command
def clean_up(minutes: str, efficiency: str, *, flow: str, volume: str) -> None:
    """Share of particles still in the oil after some minutes, if nothing comes in.

    Example: lees calc retention clean-up '1 min' 0.5 --flow '20 L/min' --volume '5 L'   →   13.53 %

    Parameters
    ----------
    minutes
        For how long the oil has been filtered.
    efficiency
        The share held back in one pass.
    flow
        The flow through the filter.
    volume
        The oil in the sump.
    """
    from lees.filtration.retention import share_in_suspension

    left = share_in_suspension(
        measured(minutes, "time", "min").value,
        efficiency=share(efficiency).value,
        flow_l_min=measured(flow, "flow", "L/min").value,
        volume_l=measured(volume, "volume", "L").value,
    )
    print(f"still in the oil: {100 * float(left):.4g} %")
    print("  source: balance of a stirred sump")


@app.command
def passes(removal: str, *, share_of_limit: str = "99 %") -> None:
    """Tell after how many passes filterable particles come to a share of their steady content.

    Example: lees calc retention passes '50 %'   →   6.64 passes

    Parameters
    ----------
    removal
        The share removed in one pass.
    share_of_limit
        The share of the steady content.
    """
    from lees.filtration.retention import passes_to_share

    found = passes_to_share(share(share_of_limit).value, share(removal).value)
    print(f"{share_of_limit} of the steady content after {float(found):.3g} passes")
    print("  source: Anderson and Driver 1979 (from memory): the filter tells the rate now")


@app.command
def caught(debris: str, efficiency: str, *, flow: str, volume: str, run: str) -> None:
    """Mass of filterable debris that the filter should have caught.

    Example: lees calc retention caught '40 ± 10 mg' '90 ± 2 %' --flow '20 ± 5 L/min' --volume '5.0 L' --run '200 h'   →   40 ± 10 mg

    Parameters
    ----------
    debris
        The mass of debris of filterable size that came into the oil over the run.
    efficiency
        The share held back in one pass, leaks included.
    flow
        The flow through the filter.
    volume
        The oil in the sump.
    run
        The hours run.
    """  # noqa: E501
    from lees.filtration.debris import expected_retained_mass

    found = expected_retained_mass(
        measured(debris, "mass", "mg"),
        efficiency=share(efficiency),
        flow=measured(flow, "flow", "L/min"),
        volume=measured(volume, "volume", "L"),
        run=measured(run, "time", "h"),
    )
    show("mass caught", found)


@app.command
def washed(before: str, after: str, *, blank: str | None = None) -> None:
    """Mass of debris washed off a piece of media.

    Example: lees calc retention washed '2.4131 ± 0.0002 g' '2.3980 ± 0.0002 g' --blank '1.2 ± 0.3 mg'   →   13.90 ± 0.41 mg

    Parameters
    ----------
    before
        The mass of the dry piece with its debris.
    after
        The mass of the same piece washed and dried.
    blank
        What a clean piece of the same size loses in the same washing.
    """  # noqa: E501
    from lees.filtration.debris import washed_debris

    found = washed_debris(
        measured(before, "mass", "g"),
        measured(after, "mass", "g"),
        measured(blank, "mass", "mg") if blank is not None else None,
    )
    show("debris", found)


show_example(app, beta)
