"""Lees: the bench book of an independent oil-filter inspector.

What outsiders may rely on from Python; everything else may change. Names are loaded when they are
first asked for, so that the command line starts at once.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from lees.case.model import Case
    from lees.case.records import Facts
    from lees.case.toml import read_case, write_case
    from lees.errors import LeesError
    from lees.judge.findings import Findings
    from lees.judge.verdict import verdict
    from lees.quantity.entry import parse_entry
    from lees.quantity.measured import Measured
    from lees.quantity.readings import Instrument, measure
    from lees.quantity.units import convert

__all__ = [
    "Case",
    "Facts",
    "Findings",
    "Instrument",
    "LeesError",
    "Measured",
    "convert",
    "measure",
    "parse_entry",
    "read_case",
    "verdict",
    "write_case",
]

_HOMES = {
    "Case": "lees.case.model",
    "Facts": "lees.case.records",
    "Findings": "lees.judge.findings",
    "Instrument": "lees.quantity.readings",
    "LeesError": "lees.errors",
    "Measured": "lees.quantity.measured",
    "convert": "lees.quantity.units",
    "measure": "lees.quantity.readings",
    "parse_entry": "lees.quantity.entry",
    "read_case": "lees.case.toml",
    "verdict": "lees.judge.verdict",
    "write_case": "lees.case.toml",
}


def __getattr__(name: str) -> Any:
    if name not in _HOMES:
        raise AttributeError(f"module 'lees' has no attribute {name!r}")
    return getattr(import_module(_HOMES[name]), name)
