"""`lees calc base-number`: how the reserve falls, when it crosses a floor or the acid number."""

from __future__ import annotations

from dataclasses import dataclass, replace

from cyclopts import App, Parameter

from lees.cli.calc.typed import chance, measured, notes, show, show_example
from lees.oil.base_number import Loss, Reserve
from lees.oil.precision import Laboratory
from lees.oil.titration import Titration

app = App(
    name="base-number",
    help="Loss of base number, odds of crossing a floor, crossing of the acid number.",
    result_action="return_value",
)


@Parameter(name="*")
@dataclass
class Titrated:
    """How the two base numbers were measured."""

    method: str | None = None
    """The method of both; the customary one if left out."""
    fresh_method: str | None = None
    """The method of the fresh oil's, where it was another."""
    allowance: str | None = None
    """By how much ASTM D2896 is taken to exceed D4739 where they are mixed: "customary", or a
    value such as 2.0 ± 0.6."""
    laboratories: Laboratory = Laboratory.DIFFERENT
    """Whether both came from one laboratory; a data sheet is another one."""

    def reserve(self, fresh: str, used: str, run: float) -> Reserve:
        """Return what was typed as a reserve."""
        from lees.oil.titration import ALLOWANCE, base_number_reserve

        allowed = None
        if self.allowance is not None:
            allowed = ALLOWANCE if self.allowance.casefold() == "customary" else measured(
                self.allowance, "base_or_acid_number", "mgKOH/g", default="mgKOH/g"
            )  # fmt: skip
        return base_number_reserve(
            Titration(_number(fresh), self.fresh_method or self.method),
            Titration(_number(used), self.method),
            run=run,
            laboratory=self.laboratories,
            allowance=allowed,
        )


@Parameter(name="*")
@dataclass
class BothTitrated:
    """How base and acid number were measured."""

    base_method: str | None = None
    """The method of both base numbers; the customary one if left out."""
    acid_method: str | None = None
    """The method of both acid numbers; the customary one if left out."""
    laboratories: Laboratory = Laboratory.SAME
    """Whether all came from one laboratory."""


@app.command
def floor(
    fresh: str,
    used: str,
    *,
    run: str,
    floor: str,
    at: str | None = None,
    titrated: Titrated | None = None,
) -> None:
    """When the base number crosses a floor, and with what odds it has by a distance.

    Example: lees calc base-number floor '8.0 mgKOH/g' '5.0 mgKOH/g' --run '10000 km' --floor '4 mgKOH/g' --at '12000 km' --method 'ASTM D2896'   →   linear: 4 mgKOH/g at 13 333 km

    Parameters
    ----------
    fresh
        The fresh oil's base number.
    used
        The used oil's.
    run
        The distance or the hours between them.
    floor
        The base number that should not be crossed.
    at
        A distance or hours for which the odds are wanted; the run itself if left out.
    """  # noqa: E501
    from lees.oil.base_number import loss_of, odds_of_crossing, reserve_at, run_at_odds

    length, unit = _run(run)
    asked = length if at is None else _run(at, unit)[0]
    limit = _number(floor)
    reserve = (titrated or Titrated()).reserve(fresh, used, length)
    for loss in Loss:
        crossing = loss_of(reserve, loss).run_at(limit)
        tenth = run_at_odds(0.1, reserve=reserve, floor=limit, loss=loss)
        odds = float(odds_of_crossing(asked, reserve=reserve, floor=limit, loss=loss))
        print(f"{loss}: {limit:g} mgKOH/g at {_shown(crossing, unit)}")
        print(
            f"  at {_shown(asked, unit)}: {reserve_at(asked, reserve=reserve, loss=loss)}, "
            f"crossed with {chance(odds)}"
        )
        print(f"  crossed with 10 % at {_shown(tenth, unit)}")
    print(
        "  source: losses in a straight line and in proportion to what is left, common practice, "
        "no source; odds by Owen 1956"
    )
    notes(reserve.warnings)


@app.command
def acid(
    base_fresh: str,
    base_used: str,
    acid_fresh: str,
    acid_used: str,
    *,
    run: str,
    titrated: BothTitrated | None = None,
) -> None:
    """When the acid number crosses the base number.

    Example: lees calc base-number acid 8.92 4.82 1.00 3.00 --run '10000 km' --base-method 'ASTM D2896' --acid-method 'ASTM D664'   →   base and acid number cross at 12 984 km

    Parameters
    ----------
    base_fresh
        The fresh oil's base number.
    base_used
        The used oil's base number.
    acid_fresh
        The fresh oil's acid number.
    acid_used
        The used oil's acid number.
    run
        The distance or the hours between them.
    """  # noqa: E501
    from lees.oil.base_number import loss_of, run_at_odds
    from lees.oil.titration import acid_number_rise, base_number_reserve, margin_over_acid

    length, unit = _run(run)
    by = titrated or BothTitrated()
    base = base_number_reserve(
        Titration(_number(base_fresh), by.base_method),
        Titration(_number(base_used), by.base_method),
        run=length,
        laboratory=by.laboratories,
    )
    acids: Reserve = acid_number_rise(
        Titration(_number(acid_fresh), by.acid_method),
        Titration(_number(acid_used), by.acid_method),
        run=length,
        laboratory=by.laboratories,
    )
    margin = margin_over_acid(base, acids)
    crossing = loss_of(margin, Loss.LINEAR).run_at(0.0)
    tenth = run_at_odds(0.1, reserve=margin, floor=0.0, loss=Loss.LINEAR)
    print(f"base and acid number cross at {_shown(crossing, unit)}")
    print(f"  crossed with 10 % at {_shown(tenth, unit)}")
    print("  source: two straight lines; the crossing as a limit is common practice, no source")
    notes(margin.warnings)


@app.command
def topped_up(
    fresh: str,
    used: str,
    *,
    run: str,
    top_up: str,
    sump: str,
    titrated: Titrated | None = None,
) -> None:
    """How fast the base number really fell where oil was topped up steadily.

    Example: lees calc base-number topped-up 8.0 5.0 --run '10000 km' --top-up '1.0 L' --sump '5.0 L' --method 'ASTM D2896'   →   lost: 3.31 ± 0.26 mgKOH/g

    Parameters
    ----------
    fresh
        The fresh oil's base number.
    used
        The used oil's.
    run
        The distance or the hours between them.
    top_up
        The volume topped up over the run, of the same oil.
    sump
        The oil in the sump.
    """  # noqa: E501
    from lees.oil.replenishment import replenished

    length, unit = _run(run)
    reserve = (titrated or Titrated()).reserve(fresh, used, length)
    found = replenished(
        reserve,
        top_up=measured(top_up, "volume", "L"),
        sump=measured(sump, "volume", "L"),
    )
    seems = reserve.fresh.value - reserve.present.value
    show("lost", replace(found.lost, warnings=()))
    print(f"  at first sight: {seems:.2f} mgKOH/g")
    print(f"base number without top-up, at {_shown(length, unit)}: {found.without_top_up.result}")
    notes(reserve.warnings)


def _number(text: str) -> float:
    from lees.quantity.entry import parse_entry

    return parse_entry(text, "base_or_acid_number", default="mgKOH/g").to("mgKOH/g")


def _run(text: str, unit: str | None = None) -> tuple[float, str]:
    """Understand a run in a distance or in hours, in the unit of the first one typed."""
    from lees.errors import UnitDoesNotFit
    from lees.quantity.entry import parse_entry
    from lees.quantity.units import dimension

    for kind in ("length", "time"):
        try:
            entry = parse_entry(text, kind)
        except UnitDoesNotFit:
            continue
        return entry.to(unit or entry.unit), unit or entry.unit
    raise UnitDoesNotFit(
        text,
        f"is neither {dimension('length').kind} nor {dimension('time').kind}",
        "type for example 10000 km, 6000 mi or 250 h",
    )


def _shown(run: float, unit: str) -> str:
    return "never" if run == float("inf") else f"{run:,.0f} {unit}".replace(",", " ")


show_example(app, floor)
