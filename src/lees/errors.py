"""What can go wrong at the bench: one class per reason, saying what, where and what to do."""

from __future__ import annotations


class LeesError(Exception):
    """Anything that the person at the bench can put right."""

    def __reduce__(self) -> tuple[object, ...]:
        return _again, (type(self), self.args, dict(self.__dict__))


class UnusableInput(LeesError):
    """Something handed in cannot be used at all; the command line ends with status 3."""


class WrongEntry(LeesError):
    """An entry typed at the bench cannot be understood.

    `entry` is what was typed, `reason` what is wrong with it, and `remedy` what to type instead.
    """

    def __init__(self, entry: str, reason: str, remedy: str) -> None:
        self.entry = entry
        self.reason = reason
        self.remedy = remedy
        super().__init__(f"“{printable(entry)}” {reason}; {remedy}.")


class AmbiguousNumber(WrongEntry):
    """A number that reads as two different ones, such as 1,234."""


class UnitDoesNotFit(WrongEntry):
    """A unit of another kind than the quantity needs."""


class UnknownUnit(WrongEntry):
    """A unit that is not in the table of units."""


class OutOfRange(LeesError):
    """A formula was asked for a value where it has no honest answer.

    `quantity` is what was out of range, `value` what was given and `allowed` what is needed.
    """

    def __init__(self, quantity: str, value: object, allowed: str) -> None:
        self.quantity = quantity
        self.value = value
        self.allowed = allowed
        super().__init__(f"{quantity} is {value}; it must be {allowed}.")


class NotHeld(LeesError):
    """A published figure is asked for that this tool does not hold."""


class NotComparable(LeesError):
    """Two results come from methods that do not measure the same thing."""


class ShapesDiffer(LeesError):
    """Arrays that belong together have different lengths."""


def _again(
    kind: type[LeesError], arguments: tuple[object, ...], data: dict[str, object]
) -> LeesError:
    """Make an error again that came from another process, with its data and its notes."""
    error = kind.__new__(kind, *arguments)
    error.__dict__.update(data)
    return error


def printable(text: str, limit: int = 80) -> str:
    r"""Return text that is safe on a terminal: no control or direction marks, not too long.

    >>> printable("0.38 mm\x1b[31m")
    '0.38 mm·[31m'
    """
    spaced = text.translate({0xA0: " ", 0x2009: " ", 0x202F: " "})
    clean = "".join(c if c.isprintable() else "·" for c in spaced)
    return clean if len(clean) <= limit else clean[: limit - 1] + "…"
