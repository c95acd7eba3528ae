"""What a laboratory reports on an oil: the keys of the public contract, their names and units."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from lees.errors import WrongEntry
from lees.quantity.data import table


@dataclass(frozen=True, slots=True)
class Measurand:
    """A thing reported: its contract key, its name in words, its dimension and the unit shown."""

    key: str
    name: str
    dimension: str
    unit: str
    is_element: bool


def measurand(key: str) -> Measurand:
    """Return the measurand of a contract key.

    Parameters
    ----------
    key : str
        The key, such as ``Fe`` or ``kv100``.

    Returns
    -------
    Measurand
        The measurand.

    Raises
    ------
    WrongEntry
        For a key that is not in the contract.

    Examples
    --------
    >>> measurand("Fe").name, measurand("kv100").unit
    ('Iron', 'mm²/s')
    """
    found = measurands().get(key)
    if found is None:
        raise WrongEntry(
            key, "is not a measurand known here", "use an element or a key such as kv100"
        )
    return found


@cache
def measurands() -> dict[str, Measurand]:
    """Return every measurand by its key: fluid properties first, then elements."""
    entries = table("quantity", "measurands")
    element = entries["element"]
    properties = {
        key: Measurand(key, entry["name"], entry["dimension"], entry["unit"], is_element=False)
        for key, entry in entries.items()
        if key != "element"
    }
    elements = {
        key: Measurand(key, name, element["dimension"], element["unit"], is_element=True)
        for key, name in element["names"].items()
    }
    return properties | elements
