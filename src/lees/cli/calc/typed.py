"""What the calculations take as typed, and how they show what they found."""

from __future__ import annotations

import math
import re
from collections.abc import Callable

from cyclopts import App

from lees.errors import WrongEntry
from lees.quantity.entry import parse_entry, split_number
from lees.quantity.measured import Measured, rounded
from lees.quantity.propagation import Derived
from lees.quantity.units import convert_difference, unit

_PLUS_MINUS = re.compile(r"\s*(?:±|\+/-|\+-)\s*")


def measured(text: str, kind: str, to: str, *, default: str | None = None) -> Measured:
    """Understand an entry with an uncertainty, such as ``58.0 ± 0.1 mm``.

    What stands after ± is one standard uncertainty. Without it the entry is taken as rounded, and
    as certain where it is a whole plain number (a count).
    """
    parts = _PLUS_MINUS.split(text.strip())
    if len(parts) > 2:
        raise WrongEntry(text, "has more than one ±", "type for example 58.0 ± 0.1 mm")
    left, right = parts[0], parts[1] if len(parts) == 2 else None
    if right is not None and not split_number(left, whole=text)[1]:
        left = f"{left} {split_number(right, whole=text)[1]}".strip()
    entry = parse_entry(left, kind, default=default)
    if entry.qualifier is not None:
        raise WrongEntry(text, "is a bound and not a value", "type the value itself")
    source = f"“{text.strip()}” as typed"
    if right is not None:
        doubt = parse_entry(right, kind, default=entry.unit)
        spread = abs(convert_difference(doubt.value, doubt.unit, to))
    elif kind == "number" and entry.value == round(entry.value):
        spread = 0.0
    else:
        spread = abs(convert_difference(entry.step, entry.unit, to)) / math.sqrt(12)
    return Measured(entry.to(to), spread, unit(to).symbol, source)


def number(text: str) -> Measured:
    """Understand a plain number, such as a count of ``54 ± 0.5``."""
    return measured(text, "number", "1")


def share(text: str) -> Measured:
    """Understand a share, typed as ``95 %`` or as ``0.95``, as a plain number."""
    if "%" not in text:
        return number(text)
    percent = measured(text, "content", "%")
    return Measured(percent.value / 100, percent.uncertainty / 100, "1", percent.source)


def show_example(app: App, command: Callable[..., object]) -> None:
    """Show a command's worked example on its family's page, and not again on its commands' own."""
    for one in app.subapps:
        one.help_epilogue = ""
    found = re.search(r"Example: .*", command.__doc__ or "")
    app.help_epilogue = found.group() if found else ""


def chance(probability: float) -> str:
    """Write a probability in percent, without claiming certainty."""
    if probability < 0.001:
        return "under 0.1 %"
    return f"{100 * probability:.1f} %" if probability <= 0.999 else "over 99.9 %"


def show(what: str, found: Derived) -> None:
    """Print a result with its uncertainty, where that comes from, the source and the warnings."""
    result = found.result
    symbol = "" if result.unit == "1" else f" {result.unit}"
    low, high = result.interval()
    print(f"{what}: {str(result).removesuffix(' 1') if not symbol else result}")
    if result.uncertainty:
        bounds = (rounded(end, result.uncertainty) for end in (low, high))
        print(f"  95 %: {' to '.join(bounds)}{symbol}")
        shares = {part.name: found.budget.share(part) for part in found.budget.components}
        largest = sorted(shares.items(), key=lambda one: -one[1])
        listed = [f"{name} {100 * part:.0f} %" for name, part in largest if part >= 0.005]
        print(f"  doubt from: {', '.join(listed)}")
    print(f"  source: {result.source}")
    notes(found.warnings)


def notes(warnings: tuple[str, ...]) -> None:
    """Print warnings, each on a line of its own."""
    for warning in dict.fromkeys(warnings):
        print(f"  note: {warning}")
