"""What parts a filter has, what is measured on them and what their state means for its verdict.

The table behind it is common practice, no source, except where an entry says otherwise.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from functools import cache
from typing import Any

from lees.errors import WrongEntry
from lees.quantity.data import table
from lees.quantity.measured import Measured
from lees.quantity.readings import Plausible


class Bearing(StrEnum):
    """How a part's state bears on whether the filter did its work, mildest first."""

    SOUND = "sound"
    NOTE = "note"
    LESSENS = "lessens"
    DEFEATS = "defeats"
    ENDANGERS = "endangers"


class Concern(StrEnum):
    """Which question of the filter's verdict a part's state speaks to."""

    BUILD = "build"
    SEALING = "sealing"
    BYPASS = "bypass"
    INTEGRITY = "integrity"
    LOADING = "loading"
    FITTING = "fitting"


BEARING_WORDS = {
    Bearing.SOUND: "as it should be",
    Bearing.NOTE: "worth saying; does not count against the filter",
    Bearing.LESSENS: "it filtered less well, or for less long, than it could have",
    Bearing.DEFEATS: "some oil went unfiltered",
    Bearing.ENDANGERS: "oil may escape, or a piece may reach the engine",
}


@dataclass(frozen=True, slots=True)
class Measure:
    """A thing measured on a part.

    `low` and `high` are the bounds outside which a slip of the pen is likely; `usual` is where
    passenger-car filters commonly lie, if anything is known of that; `tag` says how far to trust
    these bounds.
    """

    key: str
    name: str
    unit: str
    low: float
    high: float
    usual: tuple[float, float] | None
    tag: str

    @property
    def plausible(self) -> Plausible:
        """The bounds as a measurement takes them."""
        return Plausible(self.low, self.high, self.tag)


@dataclass(frozen=True, slots=True)
class State:
    """A state in which a part is found, and how it bears on the filter's verdict.

    `by_opening` marks states that the cutter or the vice can make: look twice before they count.
    """

    key: str
    words: str
    bearing: Bearing
    concerns: Concern
    why: str
    by_opening: bool


@dataclass(frozen=True, slots=True)
class Part:
    """A component of the specimen, with what is measured on it and its customary states."""

    key: str
    name: str
    what: str
    measures: tuple[Measure, ...]
    states: tuple[State, ...]

    def state(self, key: str) -> State:
        """Return one of the part's states; raise `WrongEntry` for a key it does not have."""
        for one in self.states:
            if one.key == key:
                return one
        listed = ", ".join(one.key for one in self.states)
        raise WrongEntry(key, f"is not a state of the {self.name.lower()}", f"use one of {listed}")

    def measure(self, key: str) -> Measure:
        """Return one of the part's measures; raise `WrongEntry` for a key it does not have."""
        for one in self.measures:
            if one.key == key:
                return one
        listed = ", ".join(one.key for one in self.measures)
        raise WrongEntry(key, f"is not measured on the {self.name.lower()}", f"use one of {listed}")


@cache
def parts() -> dict[str, Part]:
    """Return every part of a spin-on filter by its key, from the can inwards."""
    return {key: _part(key, entry) for key, entry in table("filtration", "parts").items()}


def part(key: str) -> Part:
    """Return the part of a key.

    Parameters
    ----------
    key : str
        The key, such as ``anti_drain_back_valve``.

    Returns
    -------
    Part
        The part.

    Raises
    ------
    WrongEntry
        For a key that is not a part.

    Examples
    --------
    >>> part("media").state("torn").bearing.value
    'defeats'
    """
    found = parts().get(key)
    if found is None:
        raise WrongEntry(key, "is not a part of a filter", f"use one of {', '.join(parts())}")
    return found


def measure_named(words: str) -> tuple[Part, Measure] | None:
    """Return the part and the measure that a bench entry names, or None for anything else.

    Parameters
    ----------
    words : str
        The part and what is measured on it, such as ``can wall`` or ``Gasket thickness``.

    Returns
    -------
    tuple of Part and Measure, or None
        Both, where the words name one measure of one part.

    Examples
    --------
    >>> part, measure = measure_named("Media pleat depth")
    >>> part.key, measure.key
    ('media', 'pleat_depth')
    >>> measure_named("pleats")[1].key
    'pleats'
    """
    wanted = " ".join(words.casefold().replace("_", " ").replace(".", " ").split())
    return _spoken_measures().get(wanted)


def state_named(part_key: str, words: str) -> State | None:
    """Return the state of a part that a bench entry names, or None for anything else.

    Parameters
    ----------
    part_key : str
        The part, such as ``gasket``.
    words : str
        The state's key or its words, such as ``hard`` or ``hardened but whole``.

    Returns
    -------
    State or None
        The state, where the words name one.

    Examples
    --------
    >>> state_named("gasket", "Hardened but whole").key
    'hard'
    """
    wanted = " ".join(words.casefold().replace("_", " ").split())
    for one in part(part_key).states:
        if wanted in (one.key.replace("_", " "), one.words.casefold()):
            return one
    return None


def plausibility_warning(part_key: str, measure_key: str, value: Measured) -> str | None:
    """Return a question to ask where a measurement lies far outside what such parts have.

    Parameters
    ----------
    part_key : str
        The part, such as ``can``.
    measure_key : str
        What was measured, such as ``wall``.
    value : Measured
        The measurement.

    Returns
    -------
    str or None
        The question, or None where there is nothing to ask.

    Raises
    ------
    WrongEntry
        For a part or measure that is not in the table; a unit that does not fit likewise.

    Notes
    -----
    The value is questioned, never altered. *Valid for* spin-on filters of passenger cars.
    *Not for* judging a filter: a bound is not a limit.

    Examples
    --------
    >>> print(plausibility_warning("can", "wall", Measured(3.8, 0.01, "mm", "caliper")))
    Wall thickness of the can: 3.8 mm is outside 0.25 to 1 mm (common practice, no source); is it a slip of the pen, or of the unit?
    >>> plausibility_warning("can", "wall", Measured(0.38, 0.01, "mm", "caliper")) is None
    True
    """  # noqa: E501
    one = part(part_key)
    measure = one.measure(measure_key)
    found = value.to(measure.unit)
    if measure.low <= found.value <= measure.high:
        return None
    unit = "" if measure.unit == "1" else f" {measure.unit}"
    title = f"{measure.name} of the {one.name.lower()}"
    return (
        f"{title[0].upper()}{title[1:]}: {found.value:.4g}{unit} is outside "
        f"{measure.low:g} to {measure.high:g}{unit} ({measure.tag}); "
        "is it a slip of the pen, or of the unit?"
    )


@cache
def _spoken_measures() -> dict[str, tuple[Part, Measure]]:
    """Return every way to name a measure; the part may be left out where no other part has it."""
    spoken: dict[str, tuple[Part, Measure]] = {}
    alone: dict[str, list[tuple[Part, Measure]]] = {}
    for one in parts().values():
        for measure in one.measures:
            for measure_words in {measure.key.replace("_", " "), measure.name.casefold()}:
                alone.setdefault(measure_words, []).append((one, measure))
                for part_words in {one.key.replace("_", " "), one.name.casefold()}:
                    spoken[f"{part_words} {measure_words}"] = (one, measure)
    for words, owners in alone.items():
        if len(owners) == 1:
            spoken.setdefault(words, owners[0])
    return spoken


def _part(key: str, entry: dict[str, Any]) -> Part:
    measures = tuple(_measure(one) for one in entry["measures"])
    states = tuple(_state(one) for one in entry["states"])
    return Part(key, entry["name"], entry["what"], measures, states)


def _measure(entry: dict[str, Any]) -> Measure:
    usual = (entry["usual_low"], entry["usual_high"]) if "usual_low" in entry else None
    return Measure(
        key=entry["key"],
        name=entry["name"],
        unit=entry["unit"],
        low=float(entry["low"]),
        high=float(entry["high"]),
        usual=usual,
        tag=entry["tag"],
    )


def _state(entry: dict[str, Any]) -> State:
    return State(
        key=entry["key"],
        words=entry["words"],
        bearing=Bearing(entry["bearing"]),
        concerns=Concern(entry["concerns"]),
        why=entry.get("why", ""),
        by_opening=entry.get("by_opening", False),
    )
