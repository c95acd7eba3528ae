"""What truly is in an engine's oil after a run: mass balance of wear, base number, fuel, flash.

The scenario's facts are computed from here, so that they hang together: a case's iron comes from
a rate of wear and a sump, its viscosity from shear and fuel, its flash point from the same fuel.
Sources stand at each function; a laboratory's scatter and rounding are in `lees.demo.laboratory`.

The formulas are written out here and not taken from `lees.oil`: what judges a case must not have
made the facts that it is tried on.
"""

from __future__ import annotations

import math

PETROL_LEFT_IN_SUMP_KV40, PETROL_LEFT_IN_SUMP_KV100 = 1.2, 0.7
"""Petrol that stays in a warm sump has lost its light ends [mm²/s] (from memory)."""
PETROL_DENSITY, OIL_DENSITY = 0.76, 0.86
"""Densities [kg/L] (from memory; EN 228 gives petrol 0.720–0.775)."""
FLASH_OF_PETROL_IN_OIL = 88.8
"""Flash point that petrol in oil acts as if it had in an open cup [°C].

Fitted so that 5 % by mass brings 230 °C down to 150 °C, as Ljubas, Krpan and Matanović found for
engine oils diluted with petrol (Nafta 61(2), 2010; year and issue from memory).
"""


def worn_content(
    rate_mg_per_thousand: float, thousands: float, *, sump_kg: float, top_up_kg: float = 0.0
) -> float:
    """Return how much of a metal a run leaves in the oil, where oil is burnt and made up evenly.

    The balance of mass m dc/dx = r − u c, with u the oil made up per thousand units of distance
    or hours: what is burnt takes its metal with it [mg/kg].

    >>> round(worn_content(4.3, 10, sump_kg=4.3), 3)
    10.0
    >>> worn_content(4.3, 10, sump_kg=4.3, top_up_kg=0.5) < 10
    True
    """
    if not top_up_kg:
        return rate_mg_per_thousand * thousands / sump_kg
    made_up = top_up_kg / thousands
    return rate_mg_per_thousand / made_up * -math.expm1(-made_up * thousands / sump_kg)


def base_number_left(fresh_mgkoh_g: float, loss: float, thousands: float) -> float:
    """Return the base number after a run, lost in step with the square root of what is left.

    Half-way between the two customary laws, loss at a steady rate and loss in step with what is
    left, so that neither of them is favoured by the demonstration [mgKOH/g].

    >>> round(base_number_left(9.0, 0.2, 10), 3)
    4.0
    """
    root = math.sqrt(fresh_mgkoh_g) - loss * thousands / 2
    return max(root, 0.0) ** 2


def diluted_viscosity(oil_mm2_s: float, fuel_mm2_s: float, mass_fraction: float) -> float:
    """Return the kinematic viscosity of oil with fuel in it, both at one temperature [mm²/s].

    The double-logarithmic rule of ASTM D7152 (form from memory), Σ xᵢ log log(νᵢ + 0.7), by mass,
    with the short form of Z in ASTM D341.

    >>> round(diluted_viscosity(14.4, 1.2, 0.05), 2)
    11.82
    """
    shares = ((1 - mass_fraction, oil_mm2_s), (mass_fraction, fuel_mm2_s))
    mixed = sum(share * math.log10(math.log10(_walther_z(kv))) for share, kv in shares)
    return float(10**10**mixed) - 0.7


def _walther_z(kv_mm2_s: float) -> float:
    return kv_mm2_s + 0.7 + math.exp(-1.47 - 1.84 * kv_mm2_s - 0.51 * kv_mm2_s**2)


def flash_with_petrol(fresh_c: float, mass_fraction: float) -> float:
    """Return the open-cup flash point of oil with petrol in it [°C].

    The blending index of Wickey and Chittenden, log₁₀ I = −6.1188 + 2414/(T − 42.6), by volume
    (Hydrocarbon Processing 42(6), 1963; from memory), with the flash point that petrol acts with.

    >>> round(flash_with_petrol(230, 0.05))
    150
    """
    volume = mass_fraction / PETROL_DENSITY
    share = volume / (volume + (1 - mass_fraction) / OIL_DENSITY)
    mixed = share * _flash_index(FLASH_OF_PETROL_IN_OIL) + (1 - share) * _flash_index(fresh_c)
    return 2414 / (math.log10(mixed) + 6.1188) + 42.6 - 273.15


def _flash_index(flash_c: float) -> float:
    return float(10 ** (-6.1188 + 2414 / (flash_c + 273.15 - 42.6)))
