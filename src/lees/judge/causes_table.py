"""The causes, the evidence they leave and the checks that speak to them, after `data/causes.toml`.

Every number there is judgement unless its tag names a source.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any

from lees.judge.findings import Action
from lees.quantity.data import table


@dataclass(frozen=True, slots=True)
class Cause:
    """An explanation and what it does to the evidence, alone at work."""

    key: str
    name: str
    about: str
    prior: float
    harm: bool
    action: Action
    severity: tuple[float, float]
    elements: Mapping[str, float]
    fluids: Mapping[str, float]
    glitter: float
    signs: Mapping[str, tuple[float, ...]]
    additives: float
    leads_to: Mapping[str, float]
    odds: Mapping[str, float]
    swapped: bool
    misread: bool
    check: str


@dataclass(frozen=True, slots=True)
class Sign:
    """Something seen or told, in levels from the least to the most.

    `usual` holds the levels' shares without a named cause; `look` says what has to be looked at.
    """

    key: str
    name: str
    levels: tuple[str, ...]
    usual: tuple[float, ...]
    look: str | None


@dataclass(frozen=True, slots=True)
class Fluid:
    """A property of the oil: its usual change and the deviation of that."""

    key: str
    name: str
    usual: float
    deviation: float


@dataclass(frozen=True, slots=True)
class Check:
    """Something a person can do, its effort in hours, and how likely it shows what."""

    key: str
    name: str
    effort_h: float
    usual: float
    shows: Mapping[str, float]


@dataclass(frozen=True, slots=True, eq=False)
class Table:
    """Everything in the file, in its order; like itself alone."""

    causes: tuple[Cause, ...]
    signs: tuple[Sign, ...]
    fluids: tuple[Fluid, ...]
    checks: tuple[Check, ...]
    scale: Mapping[str, float]
    glitter: Mapping[str, Any]
    additives: float
    words: Mapping[str, tuple[str, ...]]
    circumstances: Mapping[str, tuple[str, ...]]
    circumstance_names: Mapping[str, str]

    @property
    def elements(self) -> tuple[str, ...]:
        """The elements that any cause moves, in the order in which they appear."""
        return tuple(dict.fromkeys(key for cause in self.causes for key in cause.elements))

    def place(self, key: str) -> int:
        """Return the number of a cause."""
        return next(i for i, cause in enumerate(self.causes) if cause.key == key)


@cache
def judged_table() -> Table:
    """Return the table that ships with Lees."""
    return table_from(table("judge", "causes"))


def table_from(entries: Mapping[str, Any]) -> Table:
    """Return a table from its entries, causes that lead to unlisted ones cut short."""
    known = set(entries["cause"])
    return Table(
        causes=tuple(_cause(key, entry, known) for key, entry in entries["cause"].items()),
        signs=tuple(_sign(key, entry) for key, entry in entries["sign"].items()),
        fluids=tuple(
            Fluid(key, entry["name"], float(entry["usual"]), float(entry["deviation"]))
            for key, entry in entries["fluid"].items()
        ),
        checks=tuple(
            Check(
                key,
                entry["name"],
                float(entry["effort_h"]),
                float(entry["usual"]),
                {cause: p for cause, p in entry["shows"].items() if cause in known},
            )
            for key, entry in entries["check"].items()
        ),
        scale={key: v for key, v in entries["scale"].items() if key != "tag"},
        glitter=entries["glitter"],
        additives=float(entries["additives"]["deviation"]),
        words={key: tuple(listed) for key, listed in entries["words"].items()},
        circumstances={key: tuple(listed) for key, listed in entries["circumstance"].items()},
        circumstance_names=entries["circumstance_name"],
    )


def _cause(key: str, entry: Mapping[str, Any], known: set[str]) -> Cause:
    middle, deviation = entry.get("severity", (1.1, 0.5))
    return Cause(
        key=key,
        name=entry["name"],
        about=entry["about"],
        prior=float(entry["prior"]),
        harm=entry["harm"],
        action=Action(entry["action"]),
        severity=(float(middle), float(deviation)),
        elements=entry.get("elements", {}),
        fluids=entry.get("fluids", {}),
        glitter=float(entry.get("glitter", 0.0)),
        signs={name: _shares(value) for name, value in entry.get("signs", {}).items()},
        additives=float(entry.get("additives", 0.0)),
        leads_to={one: p for one, p in entry.get("leads_to", {}).items() if one in known},
        odds=entry.get("odds", {}),
        swapped=entry.get("swapped", False),
        misread=entry.get("misread", False),
        check=entry["check"],
    )


def _sign(key: str, entry: Mapping[str, Any]) -> Sign:
    return Sign(
        key=key,
        name=entry["name"],
        levels=tuple(entry.get("levels", ("not seen", "seen"))),
        usual=_shares(entry["usual"]),
        look=entry.get("look"),
    )


def _shares(value: float | list[float]) -> tuple[float, ...]:
    """Return the shares of the levels; one number is that of a sign that is there or not."""
    return tuple(map(float, value)) if isinstance(value, list) else (1.0 - value, float(value))
