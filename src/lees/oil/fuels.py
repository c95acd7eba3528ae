"""What fuels are like, as far as an oil that they get into is concerned (EN 228, EN 590)."""

from __future__ import annotations

from dataclasses import dataclass

from lees.errors import OutOfRange
from lees.quantity.data import table


@dataclass(frozen=True, slots=True)
class Fuel:
    """What may have got into the oil, with the properties that the rules need."""

    key: str
    name: str
    kv40_mm2_s: float
    kv100_mm2_s: float
    density_kg_m3: float
    effective_flash_c: float
    effective_flash_uncertainty_c: float
    source: str

    def kv_at(self, temperature_c: float) -> float:
        """Return the viscosity at 40 or 100 °C, the two temperatures that oils are measured at."""
        known = {40.0: self.kv40_mm2_s, 100.0: self.kv100_mm2_s}
        if float(temperature_c) not in known:
            raise OutOfRange("The temperature of the viscosities", temperature_c, "40 or 100 °C")
        return known[float(temperature_c)]


def fuel(key: str) -> Fuel:
    """Return the typical properties of a fuel.

    Parameters
    ----------
    key : str
        ``gasoline`` or ``diesel``.

    Returns
    -------
    Fuel
        Viscosities [mm²/s], density [kg/m³] and effective flash point [°C].

    Raises
    ------
    OutOfRange
        For another fuel.

    Notes
    -----
    *Valid for* road fuels in general, from memory; change what is known better.

    References
    ----------
    .. [1] EN 228 and EN 590 (from memory); the source of each figure is in the result.

    Examples
    --------
    >>> fuel("diesel").kv100_mm2_s
    1.2
    """
    entry = table("oil", "fuels").get(key.strip().casefold())
    if entry is None:
        raise OutOfRange("The fuel", f"“{key}”", "gasoline or diesel")
    return Fuel(key=key.strip().casefold(), **entry)
