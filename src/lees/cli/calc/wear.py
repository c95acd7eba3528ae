"""`lees calc wear`: how fast metal is shed."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from cyclopts import App, Parameter

from lees.cli.calc.typed import measured, notes, share, show, show_example
from lees.errors import UnitDoesNotFit, WrongEntry
from lees.quantity.entry import split_number
from lees.quantity.measured import Measured
from lees.quantity.units import unit
from lees.wear.balance import (
    Response,
    TopUp,
    steady_evaporation,
    steady_loss_with_oil,
    top_ups_evaporated,
    top_ups_lost_with_oil,
)
from lees.wear.shed import Charge

app = App(
    name="wear",
    help="Metal shed per distance or hour: plain, by the mass balance, and against a mean.",
    result_action="return_value",
)


@app.command
def rate(content: str, run: str, *, fresh: str | None = None) -> None:
    """Rise of a content per 1000 km or per hour.

    Example: lees calc wear rate '80 ± 0 mg/kg' '250 ± 0 h' --fresh '0 ± 0 mg/kg'   →   0.32 ± 0 mg/kg per h

    Parameters
    ----------
    content
        The content of the used oil.
    run
        The distance or the hours on the oil.
    fresh
        The content of the fresh oil.
    """  # noqa: E501
    from lees.wear.rates import rate_of

    found = rate_of(_content(content), _run(run), _content(fresh) if fresh else None)
    show("rate", found)


ASSUMED_DENSITY = "860 ± 10 kg/m³"


@Parameter(name="*")
@dataclass
class Sump:
    """The oil of the fill as typed."""

    volume: str
    """The full charge of oil."""
    density: str | None = None
    """The oil's density as poured; without it 860 ± 10 kg/m³ is assumed, and said."""
    fresh: str | None = None
    """The content of the fresh oil; without it none is assumed, and said."""
    previous: str | None = None
    """The content of the oil drained before, where some of it stayed behind."""
    residual: str | None = None
    """The share of the charge that stayed behind, such as 15 %."""
    topped_up: str = "0 L"
    """All the oil topped up over the run, at a steady rate."""
    top_up: tuple[str, ...] = ()
    """A top-up and when, such as '5000 km: 0.5 L'; once for each, instead of a steady rate."""

    def charge(self) -> Charge:
        """Return what was typed as a charge."""
        return Charge(
            measured(self.volume, "volume", "L"),
            measured(self.density or ASSUMED_DENSITY, "density", "kg/m³"),
            measured(self.fresh or "0 ± 0 mg/kg", "content", "mg/kg"),
            measured(self.previous, "content", "mg/kg") if self.previous else None,
            share(self.residual) if self.residual else None,
        )

    def is_topped_up(self) -> bool:
        """Tell whether any oil was topped up."""
        return bool(self.top_up) or measured(self.topped_up, "volume", "L").value > 0

    def assumed(self) -> tuple[str, ...]:
        """Return what was assumed for want of an entry."""
        told = []
        if self.density is None:
            told.append(f"The oil's density was assumed to be {ASSUMED_DENSITY}.")
        if self.fresh is None:
            told.append("The fresh oil's content is not known and was taken as nothing.")
        return tuple(told)

    def responses(self, run: Measured) -> tuple[Response, Response]:
        """Return how the sump answered: oil lost with its metals, and without them."""
        full = measured(self.volume, "volume", "L").value
        steady = measured(self.topped_up, "volume", "L").value / full
        if not self.top_up:
            return steady_loss_with_oil(steady), steady_evaporation(steady)
        if steady:
            raise WrongEntry(
                self.topped_up, "comes on top of single top-ups", "give one or the other"
            )
        top_ups = [_top_up(text, run, full) for text in self.top_up]
        return top_ups_lost_with_oil(top_ups), top_ups_evaporated(top_ups)


@app.command
def shed(content: str, run: str, *, sump: Sump) -> None:
    """Metal shed over a fill by the mass balance of the sump, as bounds for the way of oil loss.

    Example: lees calc wear shed '20 ± 0.8 mg/kg' '12000 km' --volume '5.0 ± 0.1 L' --topped-up '1 L'   →   94.9 ± 4.4 mg

    Parameters
    ----------
    content
        The content of the used oil, by mass.
    run
        The distance or the hours on the oil.
    """  # noqa: E501
    from lees.wear.rates import wear_rate
    from lees.wear.shed import shed_bounds

    with_oil, evaporated = sump.responses(_run(run))
    bounds = shed_bounds(
        measured(content, "content", "mg/kg"),
        sump.charge(),
        with_oil=with_oil,
        evaporated=evaporated,
    )
    shown = {
        "shed, if the oil left with its metals (leaked, burnt)": bounds.lost_with_oil,
        "shed, if it evaporated and left them behind": bounds.evaporated,
    }
    if not sump.is_topped_up():
        shown = {"shed, no oil being topped up": bounds.evaporated}
    for what, one in shown.items():
        show(what, one)
        print(f"  a rate of {wear_rate(one.result, _run(run)).result}")
    notes(sump.assumed())


@app.command
def start(previous: str, fresh: str, residual: str) -> None:
    """Content just after a change, when some of the old oil stayed behind.

    Example: lees calc wear start '80 mg/kg' '0 mg/kg' '15 %'   →   12 mg/kg

    Parameters
    ----------
    previous
        The content of the oil drained.
    fresh
        The content of the fresh oil.
    residual
        The share of the charge that stayed behind.
    """
    from lees.wear.balance import content_at_start

    found = content_at_start(
        measured(previous, "content", "mg/kg").value,
        measured(fresh, "content", "mg/kg").value,
        residual_share=share(residual).value,
    )
    print(f"content at the start: {float(found):.4g} mg/kg")
    print("  source: conservation of mass on mixing")


@app.command
def compare(reading: str, run: str, *, mean: str, mean_run: str, fresh: str | None = None) -> None:
    """Compare a reading at its run with a mean taken at another run.

    Example: lees calc wear compare '12 ± 0.5 mg/kg' '19000 km' --mean '9 ± 0.2 mg/kg' --mean-run '9500 km' --fresh '1 ± 0.3 mg/kg'   →   0.688 ± 0.036

    Parameters
    ----------
    reading
        The content of the used oil.
    run
        Its run.
    mean
        The mean that it is compared with.
    mean_run
        The mean run of the samples behind it.
    fresh
        The content of the fresh oil.
    """  # noqa: E501
    from lees.wear.rates import compared_at_rate

    found = compared_at_rate(
        _content(reading),
        _run(run),
        mean=_content(mean),
        mean_run=_run(mean_run),
        fresh=_content(fresh) if fresh else None,
    )
    show("rate of the reading", found.reading)
    show("rate of the mean", found.mean)
    show("ratio", found.ratio)


def _top_up(text: str, run: Measured, full_l: float) -> TopUp:
    at, sign, volume = text.partition(":")
    if not sign:
        raise WrongEntry(text, "is not a top-up and when", "type for example 5000 km: 0.5 L")
    place = _run(at).to(run.unit).value / run.value
    return TopUp(place, measured(volume, "volume", "L").value / full_l)


def _content(text: str) -> Measured:
    """Understand a content by mass or by volume, kept as it is."""
    return _in_kind(text, {"content": "mg/kg", "content_by_volume": "mg/L"}.items(), "12 mg/kg")


def _run(text: str) -> Measured:
    """Understand a distance or hours."""
    return _in_kind(text, {"length": "km", "time": "h"}.items(), "12 000 km or 402 h")


def _in_kind(text: str, kinds: Iterable[tuple[str, str]], example: str) -> Measured:
    found = unit(split_number(text.rpartition("±")[2], whole=text)[1] or "1").dimension.name
    for kind, to in kinds:
        if found == kind:
            return measured(text, kind, to)
    raise UnitDoesNotFit(text, "has another unit than is needed", f"type for example {example}")


show_example(app, rate)
