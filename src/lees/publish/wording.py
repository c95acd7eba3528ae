"""The words that letter, page and cards say by themselves, and the three steps of what to do."""

from __future__ import annotations

from typing import Any

from lees.judge.findings import Action
from lees.quantity.data import table

Content = dict[str, Any]

STEPS = {Action.CARRY_ON: 1, Action.LOOK_CLOSER: 2, Action.ACT_NOW: 3}


def words() -> Content:
    """Return the words that letter, page and cards say by themselves."""
    return table("publish", "en")
