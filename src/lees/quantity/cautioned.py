"""A computed value together with the warnings that must travel with it to the letter."""

from __future__ import annotations

from dataclasses import dataclass

from lees.quantity.arrays import Numbers


@dataclass(frozen=True, slots=True)
class Cautioned:
    """What a formula gave, and in whole sentences where it may lie; no warning means none known.

    `value` is a single number or an array; a warning about an array counts the values it is about.
    """

    value: Numbers
    warnings: tuple[str, ...] = ()

    def __float__(self) -> float:
        return float(self.value)
