"""Ports, permeability and Darcy's law against `fluids`, integration and each other."""

from __future__ import annotations

import math

import fluids
import GTC
import numpy as np
import pytest
from fluids.packed_bed import Carman
from hypothesis import given
from hypothesis import strategies as st

from filtration.made_up import COLD, MEDIA, WARM, of
from lees.errors import OutOfRange, ShapesDiffer, UnitDoesNotFit
from lees.filtration.flowing import Oil, dynamic_viscosity
from lees.filtration.permeability import (
    MODELS,
    davies,
    jackson_james,
    kozeny_carman,
    kuwabara,
    permeability_from_air,
    rivals,
    solidity,
)
from lees.filtration.ports import (
    hole_flow_l_min,
    open_area_of_holes,
    open_area_of_louvres,
    pinhole_flow_l_min,
    port_loss,
    port_speed,
)
from lees.filtration.pressure_drop import Media, loaded, pressure_drop, pressure_drop_kpa


def test_hole_flow_against_fluids() -> None:
    """Fluids 1.3's orifice equation, with a pipe so wide that the approach does not count."""
    reference = fluids.flow_meter.flow_meter_discharge(
        D=10.0, Do=1e-3, P1=2e5, P2=1e5, rho=850.0, C=0.62
    )
    found = hole_flow_l_min(100, 1.0, density_kg_m3=850)
    assert float(found) == pytest.approx(reference / 850 * 60e3, rel=1e-9)


def test_pinhole_against_fluids() -> None:
    """Fluids 1.3's laminar pipe: the loss of the flow found is the pressure put in."""
    flow = float(pinhole_flow_l_min(50, 0.2, depth_mm=0.8, viscosity_mpa_s=12)) / 60e3
    loss = fluids.friction.one_phase_dP(m=flow * 850, rho=850, mu=0.012, D=2e-4, L=8e-4)
    assert loss == pytest.approx(50e3, rel=1e-9)


def test_port_loss_is_the_hole_flow_turned_round() -> None:
    area = open_area_of_holes(of(8, "1"), of(5, "mm")).result
    flow = 8 * float(hole_flow_l_min(20, 5, density_kg_m3=850))
    lost = port_loss(of(flow, "L/min"), area, oil=WARM, opening=of(5, "mm"))
    assert lost.result.value == pytest.approx(20)


def test_slow_ports_are_said_to_lose_more() -> None:
    area = of(157, "mm²")
    fast = port_loss(
        of(90, "L/min"), area, oil=Oil(of(3, "mm²/s"), WARM.density), opening=of(5, "mm")
    )
    slow = port_loss(of(10, "L/min"), area, oil=COLD, opening=of(5, "mm"))
    assert fast.warnings == ()
    assert "larger than this" in slow.warnings[0]


def test_open_areas_and_speed() -> None:
    assert open_area_of_holes(of(6, "1"), of(4, "mm")).result.value == pytest.approx(24 * math.pi)
    louvres = open_area_of_louvres(of(60, "1"), of(8, "mm", 0.2), of(0.5, "mm", 0.05)).result
    reference = 60 * GTC.ureal(8, 0.2) * GTC.ureal(0.5, 0.05)
    assert louvres.uncertainty == pytest.approx(reference.u)
    assert port_speed(of(6, "L/min"), of(100, "mm²")).result.value == pytest.approx(1.0)


def test_kozeny_carman_against_fluids() -> None:
    """Fluids 1.3's packed bed of spheres, Re → 0: a sphere D has the surface of a fibre 2 D/3.

    The library's correlation keeps a small inertial part, 0.3 % here.
    """
    diameter, speed = 0.8, 1e-4
    k = float(kozeny_carman(2 / 3 * diameter * 1e3, 0.6))
    ours = 1e-3 * speed / k
    reference = Carman(dp=diameter * 1e-3, voidage=0.4, vs=speed, rho=1e3, mu=1e-3)
    assert ours == pytest.approx(158.20, abs=0.005)
    assert reference == pytest.approx(158.61, abs=0.005)
    assert ours == pytest.approx(reference, rel=3e-3)


@pytest.mark.parametrize(
    ("diameter", "solid"), [(3.42, 0.0493), (5, 0.08), (15, 0.12), (20, 0.20), (25, 0.25)]
)
def test_rivals_agree_as_far_as_is_known(diameter: float, solid: float) -> None:
    """Independent theories: Kuwabara's regular fibres below Davies' beds, random ones about there."""
    measured = float(davies(diameter, solid))
    assert 0.60 < float(kuwabara(diameter, solid)) / measured < 0.75
    assert 1.00 < float(jackson_james(diameter, solid)) / measured < 1.15
    if solid >= 0.15:
        assert 1.0 < float(kozeny_carman(diameter, solid)) / measured < 1.4


def test_kuwabara_against_the_flow_in_its_cell() -> None:
    """Solve the Stokes flow in Kuwabara's cell numerically: the drag gives the permeability.

    Stream function ψ = f(r) sin θ with ∇⁴ψ = 0, no slip on the fibre, no vorticity on the cell's
    edge, unit flow there; the force on a fibre is 4 π μ C with C from the r ln r term.
    """
    a, b = 1.0, 1 / math.sqrt(0.12)
    # f = A r³ + B/r + C r ln r + D r
    rows = [
        [a**3, 1 / a, a * math.log(a), a],
        [3 * a**2, -1 / a**2, math.log(a) + 1, 1],
        [b**3, 1 / b, b * math.log(b), b],
        [8 * b, 0, 2 / b, 0],  # ∇²(f sin θ) = (8 A r + 2 C / r) sin θ
    ]
    c = np.linalg.solve(rows, [0, 0, b, 0])[2]
    force = 4 * math.pi * c
    expected = math.pi * b**2 / force  # k = μ U · cell area / force, with fibre radius 1
    found = float(kuwabara(2e6, 0.12))  # a fibre 2 m wide has the radius 1 m
    assert found == pytest.approx(expected, rel=1e-9)


def test_validity_is_data() -> None:
    found = rivals(20, 0.35)
    assert found["Davies"].warning
    assert found["Kozeny–Carman"].warning is None
    assert "Jackson–James" not in rivals(20, 0.5)
    for model in MODELS.values():
        assert 0 <= model.lower < model.upper <= 1


@given(st.floats(0.01, 0.3), st.floats(1, 50), st.floats(0.1, 10))
def test_permeability_goes_by_the_square_of_size(
    solid: float, diameter: float, scale: float
) -> None:
    for model in MODELS.values():
        ratio = model.function(diameter * scale, solid) / model.function(diameter, solid)
        assert float(ratio) == pytest.approx(scale**2)


@given(st.floats(0.01, 0.37))
def test_denser_media_pass_less(solid: float) -> None:
    for model in MODELS.values():
        assert float(model.function(10, solid * 1.05)) < float(model.function(10, solid))


def test_air_permeability_in_both_customs() -> None:
    """200 L/(m²·s) at 200 Pa, and 25 cubic feet a minute per square foot at half an inch of water."""
    first = permeability_from_air(of(200, "L/m²s"), of(200, "Pa"), of(0.6, "mm")).result
    second = permeability_from_air(of(25, "cfm/ft²"), of(0.5, "inH2O"), of(0.8, "mm")).result
    assert first.value == pytest.approx(1.82e-5 * 0.2 * 0.6e-3 / 200)
    assert second.value == pytest.approx(1.82e-5 * 25 * 0.00508 * 0.8e-3 / 124.54, rel=1e-4)


def test_darcy_gives_the_air_test_back() -> None:
    """What was measured with air is what Darcy's law with air returns."""
    k = permeability_from_air(of(200, "mm/s"), of(200, "Pa"), of(0.6, "mm")).result.value
    back = pressure_drop_kpa(
        0.2 * 0.01 * 60e3, area_cm2=100, thickness_mm=0.6, permeability_m2=k, viscosity_mpa_s=0.0182
    )
    assert float(back) == pytest.approx(0.2)


def test_pressure_drop_budget_against_gtc() -> None:
    found = pressure_drop(of(20, "L/min"), MEDIA, dynamic_viscosity(COLD).result).result
    mu = GTC.ureal(1000e-6, 50e-6) * GTC.ureal(880, 5)
    reference = (
        mu
        * GTC.ureal(8e-4, 2e-5)
        * (20 / 60e3)
        / (GTC.ureal(4.826e-11, 5e-12) * GTC.ureal(0.1, 0.002))
    ) / 1e3
    assert found.value == pytest.approx(reference.x)
    assert found.uncertainty == pytest.approx(reference.u, rel=0.02)
    assert found.value == pytest.approx(48.6, abs=0.05)


def test_load_costs_in_proportion() -> None:
    clean = pressure_drop(of(20, "L/min"), MEDIA, of(12, "mPa·s")).result.value
    half = loaded(MEDIA, blocked=of(0.5, "1"), layer=of(3, "1"))
    assert pressure_drop(of(20, "L/min"), half, of(12, "mPa·s")).result.value == pytest.approx(
        6 * clean
    )


def test_solidity_by_three_sheets() -> None:
    assert solidity(
        of(180, "g/m²"), of(0.9, "mm"), of(1500, "kg/m³")
    ).result.value == pytest.approx(180e-3 / (0.9e-3 * 1500))
    with pytest.raises(OutOfRange, match="units"):
        solidity(of(1800, "g/m²"), of(0.9, "mm"), of(1500, "kg/m³"))


@pytest.mark.parametrize(
    "call",
    [
        lambda: davies(0, 0.1),
        lambda: davies(5, 0),
        lambda: davies(5, 1),
        lambda: kuwabara(5, float("nan")),
        lambda: kuwabara(float("inf"), 0.1),
        lambda: jackson_james(5, 0.4),
        lambda: kozeny_carman(-5, 0.4),
        lambda: rivals(0, 0.4),
        lambda: rivals(float("inf"), 0.1),
        lambda: rivals(5, 1.4),
        lambda: hole_flow_l_min(-1, 1, density_kg_m3=850),
        lambda: hole_flow_l_min(1, 1, density_kg_m3=0),
        lambda: pinhole_flow_l_min(1, 0, depth_mm=1, viscosity_mpa_s=1),
        lambda: open_area_of_holes(of(0, "1"), of(5, "mm")),
        lambda: port_speed(of(5, "L/min"), of(0, "mm²")),
        lambda: loaded(MEDIA, blocked=of(1, "1")),
        lambda: loaded(MEDIA, blocked=of(-0.1, "1")),
        lambda: loaded(MEDIA, blocked=of(0.1, "1"), layer=of(0.5, "1")),
        lambda: pressure_drop(of(0, "L/min"), MEDIA, of(12, "mPa·s")),
        lambda: Media(of(1, "cm²"), of(1, "mm"), of(1, "1")),
        lambda: permeability_from_air(of(0, "mm/s"), of(200, "Pa"), of(1, "mm")),
    ],
)
def test_bad_input_is_refused(call) -> None:
    with pytest.raises(OutOfRange):
        call()


def test_wrong_dimension_and_unequal_lengths_are_refused() -> None:
    with pytest.raises(UnitDoesNotFit):
        pressure_drop(of(20, "L/min"), MEDIA, of(12, "mm²/s"))
    with pytest.raises(ShapesDiffer):
        davies([1, 2, 3], [0.1, 0.2])
    with pytest.raises(ShapesDiffer):
        hole_flow_l_min([1, 2, 3], [1, 2], density_kg_m3=850)
