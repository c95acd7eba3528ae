"""Values printed in a published source, beside the function of ours that should give them.

Each CSV file here has the columns ``source,place,quantity,function,arguments,printed,unit,tag``;
lines that begin with ``#`` are comments.

- ``function`` is a dotted path; ``#name`` after it takes an attribute of the result, ``#0`` an
  element, and several may follow one another (``lees.filtration.media.strip_area#result#value``).
- ``arguments`` is JSON: a list is handed over in order, an object by name; an object with ``$`` is
  made first: ``{"$": "Measured", "value": 1, "uncertainty": 0.1, "unit": "mm"}`` is a measured
  value, ``{"$": "lees.wear.balance.TopUp", …}`` any other record or function by its dotted path
  (with ``*`` for what it takes in order), ``#name`` after it an attribute of what it gives.
- ``printed`` is what the source prints; ours must agree to half its last digit. A value that is
  not a number must be equal as text.
- ``tag``: V checked against a text that reproduces the source; L given by a general-purpose
  library; N constants from memory that reproduce an independent table; M from memory only.
"""

from __future__ import annotations

import csv
import importlib
import json
import re
from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal
from pathlib import Path
from typing import Any

from lees.quantity.measured import Measured

FOLDER = Path(__file__).parent
COLUMNS = ["source", "place", "quantity", "function", "arguments", "printed", "unit", "tag"]
TAGS = {
    "V": "checked against a text that reproduces the source",
    "L": "given by a general-purpose library",
    "N": "constants from memory, corroborated by an independent table",
    "M": "from memory only",
}
_NUMBER = re.compile(r"[+-]?\d+(\.\d*)?([eE][+-]?\d+)?")


@dataclass(frozen=True)
class Row:
    """One published value and how we compute it."""

    file: str
    line: int
    source: str
    place: str
    quantity: str
    function: str
    arguments: str
    printed: str
    unit: str
    tag: str

    @property
    def is_number(self) -> bool:
        return bool(_NUMBER.fullmatch(self.plain))

    @property
    def plain(self) -> str:
        return self.printed.replace("−", "-").replace("\u202f", "").replace("\u00a0", "")

    @property
    def tolerance(self) -> float:
        """Half the last printed digit."""
        exponent = Decimal(self.plain).as_tuple().exponent
        assert isinstance(exponent, int)
        return 0.5 * 10.0**exponent

    def ours(self) -> Any:
        """Compute our value."""
        path, *attributes = self.function.split("#")
        given = json.loads(self.arguments)
        function = _found(path)
        if not callable(function):
            value = function
        elif isinstance(given, dict) and "$" not in given:
            value = function(**{name: _made(one) for name, one in given.items()})
        else:
            value = function(*(_made(one) for one in given))
        return _attribute(value, attributes)

    def agrees(self) -> bool:
        """Tell whether ours is the printed value, to half its last digit."""
        ours = self.ours()
        if not self.is_number:
            return str(ours) == self.printed
        # Binary floats miss a decimal half by a whisker.
        return bool(abs(float(ours) - float(self.plain)) <= self.tolerance * (1 + 1e-9))


def read_rows(path: Path) -> Iterator[Row]:
    """Return the rows of one file."""
    lines = path.read_text(encoding="utf-8").splitlines()
    numbered = [(k, line) for k, line in enumerate(lines, 1) if line and not line.startswith("#")]
    reader = csv.reader(line for _, line in numbered)
    header = next(reader)
    assert header == COLUMNS, f"{path.name} has the columns {header}"
    for (number, _), fields in zip(numbered[1:], reader, strict=True):
        assert len(fields) == len(COLUMNS), f"{path.name}:{number} has {len(fields)} fields"
        yield Row(path.name, number, *fields)


def all_rows() -> list[Row]:
    """Return the rows of all files, in the order of the files' names."""
    return [row for path in sorted(FOLDER.glob("*.csv")) for row in read_rows(path)]


def _found(path: str) -> Any:
    """Return what a dotted path names."""
    module, _, name = path.rpartition(".")
    try:
        return getattr(importlib.import_module(module), name)
    except ModuleNotFoundError:
        return getattr(_found(module), name)


def _made(given: Any) -> Any:
    """Return an argument, records and functions' results made."""
    if isinstance(given, list):
        return [_made(one) for one in given]
    if not isinstance(given, dict):
        return given
    fields = {name: _made(one) for name, one in given.items() if name != "$"}
    if "$" not in given:
        return fields
    if given["$"] == "Measured":
        return Measured(**({"uncertainty": 0.0, "source": "published example"} | fields))
    path, *attributes = given["$"].split("#")
    return _attribute(_found(path)(*fields.pop("*", []), **fields), attributes)


def _attribute(value: Any, names: list[str]) -> Any:
    """Return an attribute or element of a result, and one of that, and so on."""
    for name in names:
        if re.fullmatch(r"-?\d+", name):
            value = value[int(name)]
        elif isinstance(value, dict):
            value = value[name]
        else:
            value = getattr(value, name)
    return value
