"""Whether fuel got into the oil: viscosity, flash point and the laboratory's figure together.

The posterior is that of `lees.oil.dilution`; open and closed cups are never compared (ASTM D92,
note 2; D93).
"""

from __future__ import annotations

from lees.errors import LeesError, NotComparable
from lees.judge.findings import About, Action, Statement
from lees.judge.likelihood import likelihood
from lees.judge.notes import Notes
from lees.judge.reported import Known, OilKnown
from lees.judge.words import exactly, number
from lees.oil.dilution import Dilution, Evidence, ReportedFuel, ViscosityDrop, fuel_dilution
from lees.oil.flash import FlashDrop, FlashPoint, flash_drop
from lees.oil.fuels import fuel

LIMIT_PERCENT = 2.0
"""Fuel at which one looks closer (common practice, no source)."""
FLASH_DROP_TO_NOTE_C = 20.0
_FUELS = {"petrol": "gasoline", "diesel": "diesel"}


def note_fuel(oil: OilKnown, engine_fuel: str | None, notes: Notes) -> None:
    """Note the flash point's fall and what the evidence together says of fuel in the oil."""
    drop = _flash(oil, notes)
    used, fresh = oil.present.get("kv100"), oil.fresh.get("kv100")
    thinner = used and fresh and 0 < used.value.value < fresh.value.value
    reported = _reported(oil.present.get("fuel"))
    if engine_fuel not in _FUELS or not (thinner or drop or reported):
        return
    viscosity = ViscosityDrop(fresh.value, used.value) if thinner and used and fresh else None
    evidence = Evidence(viscosity=viscosity, flash=drop, reported=reported)
    try:
        found = fuel_dilution(evidence, of=fuel(_FUELS[engine_fuel]))
    except LeesError as error:
        notes.not_judged.append(f"How much fuel is in the oil: {error}")
        return
    facts = [
        notes.reported(oil.present[key]) for key in ("kv100", "flash", "fuel") if key in oil.present
    ]
    facts += [
        notes.reported(oil.fresh[key], fresh=True) for key in ("kv100", "flash") if key in oil.fresh
    ]
    _state(found, tuple(facts), notes)


def _between(low: float, high: float) -> str:
    """Return where a figure lies, in a few words."""
    first, last = number(low, 2), number(high, 2)
    return f"at {last} %" if first == last else f"between {first} and {last} %"


def _state(found: Dilution, facts: tuple[str, ...], notes: Notes) -> None:
    above = found.probability_above(LIMIT_PERCENT)
    low, high = found.quantile_percent(0.05), found.quantile_percent(0.95)
    by_rule = sorted(found.by_rule.values())
    spread = (
        f" (the mixing rules alone put the middle {_between(by_rule[0], by_rule[-1])})"
        if by_rule
        else ""
    )
    text = (
        f"All told, fuel in the oil lies between {number(low, 2)} and {number(high, 2)} % by mass "
        f"in nine cases of ten{spread}; it is {likelihood(min(above, 0.98))} that it is above the "
        f"{exactly(LIMIT_PERCENT)} % at which one looks closer."
    )
    notes.state(
        Statement(
            id="oil.dilution",
            about=About.OIL,
            text=text,
            action=Action.LOOK_CLOSER if above > 0.5 else Action.CARRY_ON,
            facts=facts,
            formula="posterior of the fuel share from viscosity, flash point and reported fuel",
            sources=(
                "mixing rules: ASTM D341 (Walther), Arrhenius",
                f"{exactly(LIMIT_PERCENT)} %: common practice, no source",
            ),
        )
    )


def _reported(known: Known | None) -> ReportedFuel | None:
    if known is None or known.qualifier in ("trace", ">"):
        return None
    below = known.qualifier in ("<", "absent") or known.value.value == 0
    percent = known.value.value or known.step
    if percent <= 0:
        return None
    return ReportedFuel(percent, known.value.uncertainty or known.step, known.method, below)


def _flash(oil: OilKnown, notes: Notes) -> FlashDrop | None:
    """Note the fall of the flash point and return it, where both are by one kind of cup."""
    used, fresh = oil.present.get("flash"), oil.fresh.get("flash")
    if used is None:
        return None
    if fresh is None:
        notes.not_judged.append("The drop of the flash point: no fresh value is known.")
        return None
    facts = (notes.reported(used), notes.reported(fresh, fresh=True))
    try:
        found = flash_drop(
            FlashPoint(fresh.value.value, fresh.method),
            FlashPoint(used.value.value, used.method),
            laboratory=oil.laboratory,
        )
    except NotComparable:
        text = (
            "The flash points are not comparable: one is from an open cup, the other from a "
            "closed one, which reads lower and is more easily moved by fuel."
        )
        sources = ("ASTM D92, note 2", "ASTM D93")
        notes.state(Statement("oil.flash", About.OIL, text, facts=facts, sources=sources))
        return None
    except LeesError as error:
        notes.not_judged.append(f"The drop of the flash point: {error}")
        return None
    _state_flash(found, facts, notes)
    return found


def _state_flash(found: FlashDrop, facts: tuple[str, ...], notes: Notes) -> None:
    drop = found.drop.value
    cup = "" if found.cup else " (the cups are not stated and are taken as alike)"
    fell = drop > FLASH_DROP_TO_NOTE_C
    if fell:
        text = (
            f"The flash point fell by {number(drop, 2)} °C since fresh{cup}: a sign of fuel in the "
            "oil; how much, a flash point alone cannot tell."
        )
    else:
        side = "below" if drop > 0 else "above"
        text = (
            f"The flash point is {number(abs(drop), 2)} °C {side} the fresh oil's{cup}, which "
            "speaks against much fuel."
        )
    notes.state(
        Statement(
            id="oil.flash",
            about=About.OIL,
            text=text,
            action=Action.LOOK_CLOSER if fell else Action.CARRY_ON,
            facts=facts,
            formula="flash fresh − flash used",
            sources=("ASTM D92, 5.3", f"{FLASH_DROP_TO_NOTE_C:g} °C: judgement"),
        )
    )
