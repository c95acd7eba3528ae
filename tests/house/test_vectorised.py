"""Every vectorised formula takes empty arrays, and refuses what is no number or has no fellow.

The table below holds, for each public function of the rooms of formulas that takes arrays, values
that it accepts; a function that is missing there fails the first test.
"""

from __future__ import annotations

import ast
import importlib
import math
from collections.abc import Callable, Iterator, Mapping
from dataclasses import fields, is_dataclass
from typing import Any

import numpy as np
import pytest

from house.source import modules
from lees.errors import LeesError, ShapesDiffer
from lees.oil.base_number import Loss, Reserve
from lees.oil.viscosity import walther_line
from lees.quantity.measured import Measured
from lees.wear.net import Ground

ROOMS = ("quantity", "oil", "wear", "filtration")


class Many:
    """A value that the function takes as an array: good from `at` on, in steps of `rise`."""

    def __init__(self, at: float, rise: float = 0.0) -> None:
        self.at, self.rise = at, rise

    def array(self, length: int) -> np.ndarray[Any, Any]:
        return self.at + self.rise * np.arange(float(length))


class Pair:
    """Two values, each of which the function takes as an array."""

    def __init__(self, first: float, second: float) -> None:
        self.both = (Many(first), Many(second))


RESERVE = Reserve(
    Measured(8.0, 0.1, "mgKOH/g", "made up"), Measured(5.0, 0.1, "mgKOH/g", "made up"), 10_000
)
LINE = walther_line((40.0, 100.0), (100.0, 14.4))
FIBRES = {"fibre_diameter_um": Many(20), "solidity": Many(0.2)}
DENSITIES = {"added_density_kg_m3": Many(750), "base_density_kg_m3": Many(870)}
SPREAD = {"low": Many(1), "high": Many(2), "centre": Many(1.5), "deviation": Many(0.4)}

TAKEN: Mapping[str, Mapping[str, Any]] = {
    "quantity.arrays.finite": {"quantity": "A value", "values": Many(1)},
    "quantity.arrays.positive": {"quantity": "A value", "values": Many(1)},
    "quantity.arrays.not_negative": {"quantity": "A value", "values": Many(1)},
    "quantity.arrays.within": {"quantity": "A value", "values": Many(1), "low": 0, "high": 2},
    "quantity.counts.poisson_limits": {"count": Many(3)},
    "quantity.counts.scaled_up": {
        "count": Many(3), "fields": Many(10), "field_area_mm2": Many(0.5),
        "total_area_mm2": Many(900),
    },
    "quantity.counts.iso4406_number": {"count_per_ml": Many(1500)},
    "quantity.counts.size_class_counts": {"sizes_um": Many(60)},
    "quantity.line_fit.line_fit": {"x": Many(1, rise=1), "y": Many(2)},
    "quantity.line_fit.weighted_line_fit": {"x": Many(1, rise=1), "y": Many(2), "uncertainty": Many(0.1)},
    "oil.base_number.odds_of_crossing": {
        "run": Many(12_000), "reserve": RESERVE, "floor": 4.0, "loss": Loss.LINEAR,
    },
    "oil.blending.blend_viscosity": {
        "kvs_mm2_s": Pair(14, 3), "fractions": Pair(0.9, 0.1), "rule": "Refutas",
    },
    "oil.blending.added_fraction": {
        "blend_kv_mm2_s": Many(12), "base_kv_mm2_s": Many(14), "added_kv_mm2_s": Many(3),
        "rule": "Refutas",
    },
    "oil.blending.blending_index": {"kv_mm2_s": Many(14), "rule": "Refutas"},
    "oil.flash.flash_index": {"flash_c": Many(200)},
    "oil.flash.flash_from_index": {"index": Many(1)},
    "oil.flash.blend_flash": {"flashes_c": Pair(220, 60), "volume_fractions": Pair(0.9, 0.1)},
    "oil.flash.blend_flash_hu_burns": {
        "flashes_c": Pair(220, 60), "volume_fractions": Pair(0.9, 0.1),
    },
    "oil.fractions.volume_fraction": {"mass_fraction": Many(0.1), **DENSITIES},
    "oil.fractions.mass_fraction": {"volume_fraction": Many(0.1), **DENSITIES},
    "oil.one_point.kinematic_viscosity_from_one_point": {
        "temperature_c": Many(40), "known_at_c": 100.0, "kv_mm2_s": Many(14),
        "viscosity_index": Many(150),
    },
    "oil.one_point.line_from_one_point": {
        "known_at_c": 100.0, "kv_mm2_s": Many(14), "viscosity_index": Many(150),
    },
    "oil.saybolt.saybolt_seconds": {"kv_mm2_s": Many(14), "temperature_f": Many(210)},
    "oil.saybolt.kinematic_from_saybolt": {"sus_s": Many(75), "temperature_f": Many(210)},
    "oil.saybolt.kv100_from_saybolt_at_210_f": {"sus_s": Many(75), "viscosity_index": Many(150)},
    "oil.viscosity.walther_z": {"kv_mm2_s": Many(14)},
    "oil.viscosity.kinematic_viscosity_from_z": {"z_mm2_s": Many(14.7)},
    "oil.viscosity.walther_line": {"temperatures_c": (40.0, 100.0), "kvs_mm2_s": Pair(100, 14)},
    "oil.viscosity.kinematic_viscosity_on": {"line": LINE, "temperature_c": Many(80)},
    "oil.viscosity.temperature_on": {"line": LINE, "kv_mm2_s": Many(20)},
    "oil.viscosity.kinematic_viscosity_at": {
        "temperature_c": Many(80), "kv40_mm2_s": Many(100), "kv100_mm2_s": Many(14),
    },
    "oil.viscosity_index.viscosity_index": {"kv40_mm2_s": Many(100), "kv100_mm2_s": Many(14)},
    "oil.viscosity_index.viscosity_index_by_polynomials": {
        "kv40_mm2_s": Many(100), "kv100_mm2_s": Many(14),
    },
    "oil.viscosity_index.kv40_for_viscosity_index": {"index": Many(150), "kv100_mm2_s": Many(14)},
    "oil.viscosity_index.reported_index": {"index": Many(150.2)},
    "filtration.bypass.share_past_open_valve": {
        "kv_mm2_s": Many(1000), "opening_kv_mm2_s": Many(800),
    },
    "filtration.leaks.slit_flow_l_min": {
        "pressure_kpa": Many(50), "gap_mm": Many(0.05), "width_mm": Many(20),
        "depth_mm": Many(0.8), "viscosity_mpa_s": Many(12),
    },
    "filtration.permeability.davies": FIBRES,
    "filtration.permeability.kuwabara": FIBRES,
    "filtration.permeability.jackson_james": FIBRES,
    "filtration.permeability.kozeny_carman": FIBRES,
    "filtration.ports.hole_flow_l_min": {
        "pressure_kpa": Many(50), "diameter_mm": Many(1), "density_kg_m3": Many(850),
        "discharge": Many(0.6),
    },
    "filtration.ports.pinhole_flow_l_min": {
        "pressure_kpa": Many(50), "diameter_mm": Many(0.2), "depth_mm": Many(0.8),
        "viscosity_mpa_s": Many(12),
    },
    "filtration.pressure_drop.pressure_drop_kpa": {
        "flow_l_min": Many(20), "area_cm2": Many(1000), "thickness_mm": Many(0.8),
        "permeability_m2": Many(5e-11), "viscosity_mpa_s": Many(12),
    },
    "filtration.retention.efficiency_from_beta": {"beta": Many(20)},
    "filtration.retention.beta_from_efficiency": {"efficiency": Many(0.9)},
    "filtration.retention.efficiency_left": {"efficiency": Many(0.9), "leak_share": Many(0.1)},
    "filtration.retention.share_in_suspension": {
        "minutes": Many(1), "efficiency": Many(0.9), "flow_l_min": Many(20), "volume_l": Many(5),
    },
    "filtration.retention.content_after_passes": {
        "passes": Many(3), "removal": Many(0.5), "production": Many(1),
    },
    "filtration.retention.passes_to_share": {"share_of_limit": Many(0.9), "removal": Many(0.5)},
    "wear.balance.steady_loss_with_oil": {"top_up_share": Many(0.2)},
    "wear.balance.steady_evaporation": {"top_up_share": Many(0.2)},
    "wear.balance.content_at_start": {
        "previous": Many(80), "fresh": Many(2), "residual_share": Many(0.1),
    },
    "wear.censored.interval_likelihood": SPREAD,
    "wear.censored.with_strays": {**SPREAD, "strays": 0.05},
    "wear.net.contents": {"net": Many(10), "ground": Ground(0.0, 0.0)},
    "wear.rates.content_rate": {"content": Many(20), "run": Many(10_000), "fresh": Many(1)},
    "wear.rates.content_by_mass": {"content_mg_l": Many(17), "density_kg_l": Many(0.86)},
}  # fmt: skip

OPEN_ENDED = {
    ("wear.censored.interval_likelihood", "low"): -math.inf,
    ("wear.censored.interval_likelihood", "high"): math.inf,
    ("wear.censored.with_strays", "low"): -math.inf,
    ("wear.censored.with_strays", "high"): math.inf,
}
"""A bound may be infinite where a result was “under” or “over” something."""


def vectorised() -> Iterator[str]:
    """Return the name of each public function of the rooms of formulas that takes arrays."""
    for module in modules():
        if module.name.split(".")[0] in ROOMS:
            for function in module.public_functions():
                given = (*function.args.args, *function.args.kwonlyargs)
                if any(
                    "ArrayLike" in ast.unparse(one.annotation) for one in given if one.annotation
                ):
                    yield f"{module.name}.{function.name}"


def function_of(name: str) -> Callable[..., Any]:
    """Return a function by its name within the package."""
    module, _, function = name.rpartition(".")
    return getattr(importlib.import_module(f"lees.{module}"), function)  # type: ignore[no-any-return]


def places(name: str) -> list[tuple[str, int]]:
    """Return every place of a function that takes an array: the argument, and which of a pair."""
    return [
        (argument, k)
        for argument, one in TAKEN[name].items()
        for k in range({Many: 1, Pair: 2}.get(type(one), 0))
    ]


def good_at(name: str, place: tuple[str, int]) -> Many:
    """Return the good values of one place."""
    one = TAKEN[name][place[0]]
    return one if isinstance(one, Many) else one.both[place[1]]  # type: ignore[no-any-return]


def called(name: str, length: int, change: Mapping[tuple[str, int], Any] | None = None) -> Any:
    """Call a function with arrays of good values, some of them changed."""

    def made(argument: str, k: int, one: Many) -> Any:
        return (change or {}).get((argument, k), one.array(length))

    arguments = {
        argument: made(argument, 0, one)
        if isinstance(one, Many)
        else tuple(made(argument, k, part) for k, part in enumerate(one.both))
        if isinstance(one, Pair)
        else one
        for argument, one in TAKEN[name].items()
    }
    return function_of(name)(**arguments)


def arrays_in(result: Any) -> list[Any]:
    """Return the arrays of a result."""
    if isinstance(result, np.ndarray):
        return [result]
    if is_dataclass(result):
        return [a for one in fields(result) for a in arrays_in(getattr(result, one.name))]
    return []


NO_ARRAY_BACK = (
    "quantity.counts.size_class_counts",
    "quantity.line_fit.line_fit",
    "quantity.line_fit.weighted_line_fit",
)
ELEMENTWISE = [name for name in TAKEN if name not in NO_ARRAY_BACK]


def test_the_table_knows_every_vectorised_function() -> None:
    assert sorted(vectorised()) == sorted(TAKEN)


@pytest.mark.parametrize("name", ELEMENTWISE)
@pytest.mark.parametrize("length", [0, 1, 3])
def test_arrays_of_any_length_give_as_many_results(name: str, length: int) -> None:
    found = [one.shape for one in arrays_in(called(name, length)) if one.shape]
    assert found
    assert set(found) == {(length,)}


def test_no_sizes_are_no_particles() -> None:
    assert set(called("quantity.counts.size_class_counts", 0).values()) == {0}


@pytest.mark.parametrize("name", [name for name in NO_ARRAY_BACK if "line_fit" in name])
def test_no_readings_give_no_line(name: str) -> None:
    with pytest.raises(LeesError):
        called(name, 0)


@pytest.mark.parametrize("wrong", [math.nan, math.inf, -math.inf])
@pytest.mark.parametrize(
    ("name", "place"), [(name, place) for name in TAKEN for place in places(name)]
)
def test_what_is_no_number_is_refused(name: str, place: tuple[str, int], wrong: float) -> None:
    if OPEN_ENDED.get((name, place[0])) == wrong:
        assert all(np.isfinite(one).all() for one in arrays_in(called(name, 1, {place: [wrong]})))
        return
    for given in (wrong, np.array([wrong])):
        with pytest.raises(LeesError) as refused:
            called(name, 1, {place: given})
        assert str(refused.value)
    among = good_at(name, place).array(3)
    among[1] = wrong
    with pytest.raises(LeesError):
        called(name, 3, {place: among})


@pytest.mark.parametrize(
    ("name", "place"),
    [(name, place) for name in TAKEN for place in places(name) if len(places(name)) > 1],
)
def test_unequal_lengths_are_refused(name: str, place: tuple[str, int]) -> None:
    for length in (0, 2, 4):
        with pytest.raises(ShapesDiffer, match="one length"):
            called(name, 3, {place: good_at(name, place).array(length)})
