"""What families, engines and duties are like before a kilometre is run; numbers are invented.

Sliding pairs wear by Archard's law, *V = k F s / H* (J. F. Archard, Contact and rubbing of flat
surfaces, 1953; from memory), with *k* near 10⁻⁹ to 10⁻⁸ for lubricated metals.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Numbers = NDArray[np.float64]
Index = NDArray[np.intp]

ELEMENTS = ("Fe", "Cr", "Al", "Cu", "Pb", "Sn", "Ni", "Mn", "Si", "Na", "K")
PAIRS = ("rings", "valve train", "bearings", "pistons", "bushes")
ALLOYS = {
    "rings": {"Fe": 0.94, "Cr": 0.045, "Mn": 0.006, "Ni": 0.004},
    "valve train": {"Fe": 0.95, "Cr": 0.012, "Mn": 0.009, "Ni": 0.010},
    "bearings": {"Pb": 0.40, "Sn": 0.08, "Cu": 0.45, "Ni": 0.01},
    "pistons": {"Al": 0.86, "Si": 0.12, "Ni": 0.01, "Cu": 0.01},
    "bushes": {"Cu": 0.88, "Sn": 0.07, "Pb": 0.04},
}
FUELS = ("petrol", "diesel", "gas")
HARDNESS_PA = {
    "rings": 2.4e9,
    "valve train": 6.0e9,
    "bearings": 2.5e8,
    "pistons": 1.1e9,
    "bushes": 1.2e9,
}
DENSITY_MG_M3 = {
    "rings": 7.3e9,
    "valve train": 7.8e9,
    "bearings": 9.5e9,
    "pistons": 2.7e9,
    "bushes": 8.8e9,
}
COEFFICIENT = {
    "rings": 4e-9,
    "valve train": 6e-9,
    "bearings": 1.5e-10,
    "pistons": 6e-10,
    "bushes": 1.2e-10,
}


@dataclass(frozen=True)
class Families:
    """Families of engines; rates are per 1000 km, or per 100 h for those that count hours."""

    name: tuple[str, ...]
    fuel: Index
    litres: Numbers
    cylinders: Index
    sump_kg: Numbers
    by_hours: NDArray[np.bool_]
    usual_run: Numbers
    pair_mg: Numbers  # families × pairs
    dust_mg: Numbers
    leach_mg: Numbers


@dataclass(frozen=True)
class Engines:
    """Engines of the families: each wears, drinks, breathes and is driven in its own way."""

    family: Index
    wear: Numbers  # engines × pairs, a factor
    starts: Numbers
    dust: Numbers
    loses: Numbers  # share of the sump lost per usual run
    keeps: Numbers  # share of old oil that stays behind at a change
    run: Numbers  # mean run over the family's usual one
    age: Numbers  # thousands of km (or hundreds of hours) at the first sample
    laboratory: Index
    oil: Index


def draw_families(rng: np.random.Generator, count: int) -> Families:
    """Draw families: what they burn, how large they are, and what their pairs shed."""
    fuel = rng.choice(3, count, p=[0.55, 0.35, 0.10])
    cylinders = rng.choice([3, 4, 6, 8], count, p=[0.15, 0.55, 0.22, 0.08])
    litres = cylinders * rng.uniform(0.33, 0.60, count) * np.where(fuel == 1, 1.15, 1.0)
    sump_kg = (1.6 + 1.05 * litres) * rng.uniform(0.8, 1.25, count)
    by_hours = rng.random(count) < 0.12
    usual = np.where(by_hours, rng.uniform(1.5, 4.0, count), rng.uniform(6.0, 18.0, count))
    bore = np.cbrt(4 * litres * 1e-3 / cylinders / np.pi)
    turns = np.where(by_hours, 100 * 60 * 1900.0, 1000 * rng.uniform(1500, 2600, count))
    slid = turns * 2 * bore * cylinders
    load = 2.2e6 * bore**2 * 0.02 * np.where(fuel == 1, 1.5, 1.0)
    pairs = np.empty((count, len(PAIRS)))
    share = {"rings": 1.0, "valve train": 0.25, "bearings": 0.5, "pistons": 0.8, "bushes": 0.08}
    for k, pair in enumerate(PAIRS):
        build = rng.gamma(4.0, 1 / 4.0, count)  # how well a maker has done it
        volume = COEFFICIENT[pair] * load * slid * share[pair] / HARDNESS_PA[pair]
        pairs[:, k] = volume * DENSITY_MG_M3[pair] * build
    return Families(
        tuple(f"family {k:03d}" for k in range(count)), fuel, litres, cylinders, sump_kg, by_hours,
        usual, pairs, 0.9 * sump_kg * rng.gamma(3.0, 1 / 3.0, count) * 0.5,
        0.12 * sump_kg * rng.gamma(1.5, 1 / 1.5, count),
    )  # fmt: skip


def draw_engines(rng: np.random.Generator, families: Families, per_family: Index) -> Engines:
    """Draw engines: no two alike, and none alike in all its pairs."""
    family = np.repeat(np.arange(len(per_family)), per_family)
    count = len(family)
    build = rng.gamma(9.0, 1 / 9.0, (count, 1))  # clearances and assembly, all pairs alike
    apart = rng.gamma(14.0, 1 / 14.0, (count, len(PAIRS)))
    burns = rng.gamma(1.2, 0.12, count) * np.where(families.fuel[family] == 1, 0.7, 1.0)
    return Engines(
        family=family,
        wear=build * apart,
        starts=rng.gamma(5.0, 1 / 5.0, count),
        dust=rng.gamma(4.0, 1 / 4.0, count),
        loses=np.minimum(burns, 1.2),
        keeps=rng.uniform(0.04, 0.14, count),
        run=rng.triangular(0.5, 0.95, 1.8, count),
        age=rng.gamma(2.0, 45.0, count),
        laboratory=rng.integers(0, 6, count),
        oil=rng.integers(0, 8, count),
    )
