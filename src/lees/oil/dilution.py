"""How much fuel is in the oil, from all that is known together, with what else could explain it.

A posterior on a grid: the viscosity's fall (fuel, against shear-down and thickening), the flash
point's fall, and the laboratory's own figure. The model is ours and stated in `fuel_dilution`.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field

import numpy as np

from lees.errors import OutOfRange
from lees.oil.blending import added_fraction, blend_viscosity
from lees.oil.flash import Cup, FlashDrop, flash_from_index, flash_index
from lees.oil.fractions import volume_fraction
from lees.oil.fuels import Fuel
from lees.oil.precision import method_number
from lees.quantity.arrays import Numbers, finite, positive, within
from lees.quantity.measured import Measured

CHROMATOGRAPHIC_METHODS = frozenset({"D3525", "D3524", "D7593"})
"""The methods that measure fuel itself; any other figure may have been read off a flash point."""

BETWEEN_RULES = ("Walther", "Arrhenius")
"""Published charts of fuel against viscosity lie between these two rules."""

GRID_PERCENT = np.linspace(0.0, 25.0, 1001)


@dataclass(frozen=True, slots=True)
class ViscosityDrop:
    """The viscosity of the fresh and of the used oil at 40 or at 100 °C."""

    fresh: Measured
    used: Measured
    temperature_c: float = 100.0


@dataclass(frozen=True, slots=True)
class ReportedFuel:
    """The laboratory's own figure in % by mass; `below` where it only says less than that."""

    percent: float
    uncertainty: float
    method: str | None = None
    below: bool = False


@dataclass(frozen=True, slots=True)
class Evidence:
    """What is known of the fuel in one oil; any of the three may be missing."""

    viscosity: ViscosityDrop | None = None
    flash: FlashDrop | None = None
    reported: ReportedFuel | None = None


@dataclass(frozen=True, slots=True)
class Beforehand:
    """What is taken before looking: means in %, from memory, to be changed where more is known.

    `fuel` is the mean of the fuel fraction, `shear_down` and `thickening` those of the change of
    viscosity by a broken-down polymer and by oxidation, soot or evaporation.
    """

    fuel_percent: float = 2.0
    shear_down_percent: float = 5.0
    thickening_percent: float = 3.0


@dataclass(frozen=True, slots=True)
class Dilution:
    """What is believed of the fuel fraction, in % by mass, and how the viscosity splits up.

    `by_rule` holds the median under each mixing rule alone; `from_viscosity_alone` what each rule
    would say if nothing but fuel had thinned the oil. `shear_down_percent` and
    `thickening_percent` are the viscosity changes that the rivals are believed to have made.
    """

    grid_percent: Numbers
    density: Numbers
    by_rule: dict[str, float]
    from_viscosity_alone: dict[str, float]
    shear_down_percent: float | None
    thickening_percent: float | None
    warnings: tuple[str, ...] = field(default=())

    @property
    def mean_percent(self) -> float:
        """The mean of the posterior."""
        return float(np.trapezoid(self.density * self.grid_percent, self.grid_percent))

    def quantile_percent(self, probability: float) -> float:
        """Return the fraction that the truth is under with a probability."""
        if not 0 < probability < 1:
            raise OutOfRange("The probability", probability, "between 0 and 1")
        return _quantile(self.grid_percent, self.density, probability)

    def probability_above(self, percent: float) -> float:
        """Return the probability that there is more fuel than a limit, which the model reaches."""
        within("The limit in %", percent, 0.0, float(self.grid_percent[-1]))
        return 1.0 - float(
            np.interp(percent, self.grid_percent, _cumulative(self.grid_percent, self.density))
        )


def fuel_dilution(
    evidence: Evidence, *, of: Fuel, beforehand: Beforehand | None = None
) -> Dilution:
    """Return what the evidence together says of the fuel in an oil.

    Parameters
    ----------
    evidence : Evidence
        The fall of viscosity, the fall of the flash point, the laboratory's own figure.
    of : Fuel
        Which fuel it would be.
    beforehand : Beforehand, optional
        What is taken before looking; the customary values if left out [%].

    Returns
    -------
    Dilution
        The posterior of the fuel fraction by mass, and how the viscosity splits up [%].

    Raises
    ------
    OutOfRange
        For viscosities that are not above zero, a temperature other than 40 and 100 °C, or a
        laboratory's figure outside 0 to 100 %.

    Notes
    -----
    Beforehand the fuel fraction x, the shear-down s and the thickening t are exponential with the
    means given. ``ln (ν_used / ν_fresh) = ln (mix(x) / ν_fresh) − s + t``, within the results'
    uncertainty; mix runs evenly between the Walther and the Arrhenius rule, since published charts
    lie between them. The flash point of the blend follows Wickey and Chittenden with an effective
    flash point of the fuel, whose own uncertainty is integrated over; closed cups are left out. The
    laboratory's figure is normal about the truth, or a bound where it says less than. A figure by
    no named chromatographic method may have been read off the flash point, which then is not
    counted a second time.

    *Valid for* up to 25 % of one fuel. *Not for* fuel that has boiled off: dilution goes back once
    the sump is hot, so that samples after short trips overstate it.

    References
    ----------
    .. [1] Chybowski et al., Energies 17(2) 444, 2024 (log-linear mixing of engine oil and fuel).
    .. [2] D. Ljubas, H. Krpan, I. Matanović, Nafta 61(2), 2010 (year and issue from memory; flash
       points of engine oils with fuel).
    .. [3] ASTM D3525, ASTM D3524 (fuel by gas chromatography).

    Examples
    --------
    >>> from lees.oil.fuels import fuel
    >>> drop = ViscosityDrop(
    ...     Measured(10.5, 0.04, "mm²/s", "example"), Measured(9.3, 0.04, "mm²/s", "example")
    ... )
    >>> found = fuel_dilution(Evidence(viscosity=drop), of=fuel("gasoline"))
    >>> {rule: round(x, 2) for rule, x in found.from_viscosity_alone.items()}
    {'Walther': 1.99, 'Arrhenius': 3.85}
    >>> 0 < found.quantile_percent(0.05) < found.mean_percent < found.quantile_percent(0.95) < 5
    True
    """
    prior = beforehand or Beforehand()
    x = GRID_PERCENT
    log_other = -x / float(positive("The mean fuel fraction beforehand", prior.fuel_percent))
    warnings: list[str] = []
    if evidence.reported is not None:
        log_other = log_other + _log_of_reported(evidence.reported)
    flash, told = _usable_flash(evidence)
    warnings += told
    if flash is not None:
        log_other = log_other + _log_of_flash(flash, of)
        warnings += list(flash.warnings)
    if evidence.viscosity is None:
        density = _normalised(x, np.exp(log_other - log_other.max()))
        median = _quantile(x, density, 0.5)
        return Dilution(
            x, density, {"any rule": median}, {}, None, None, _with_grid_end(density, warnings)
        )
    split = [_Split.of(evidence.viscosity, of, prior, share) for share in np.linspace(0.0, 1.0, 5)]
    weights = np.exp(log_other - log_other.max())
    densities = [_normalised(x, weights * part.likelihood) for part in split]
    density = _normalised(x, weights * np.mean([part.likelihood for part in split], axis=0))
    by_rule = {
        rule: _quantile(x, densities[end], 0.5)
        for rule, end in zip(BETWEEN_RULES, (0, -1), strict=True)
    }
    shear = _mean_of(split, weights, "shear")
    thick = _mean_of(split, weights, "thickening")
    return Dilution(
        x,
        density,
        by_rule,
        fuel_from_viscosity_alone(evidence.viscosity, of=of),
        100.0 * shear,
        100.0 * thick,
        _with_grid_end(density, warnings),
    )


def fuel_from_viscosity_alone(drop: ViscosityDrop, *, of: Fuel) -> dict[str, float]:
    """Return the fuel that would explain a fall of viscosity alone, by each of the two rules.

    Parameters
    ----------
    drop : ViscosityDrop
        The fresh and the used viscosity.
    of : Fuel
        Which fuel it would be.

    Returns
    -------
    dict of str to float
        Fuel by mass under each rule; zero where the oil did not thin [%].

    Raises
    ------
    OutOfRange
        For viscosities that are not above zero or a temperature other than 40 and 100 °C.

    Notes
    -----
    To be worded "consistent with up to": shear-down thins as well.

    *Valid for* a fall of viscosity with no other cause.

    References
    ----------
    .. [1] As for `lees.oil.blending.added_fraction`.

    Examples
    --------
    >>> from lees.oil.fuels import fuel
    >>> drop = ViscosityDrop(
    ...     Measured(14.4, 0.06, "mm²/s", "example"), Measured(12.5, 0.05, "mm²/s", "example")
    ... )
    >>> {r: round(v, 2) for r, v in fuel_from_viscosity_alone(drop, of=fuel("diesel")).items()}
    {'Walther': 3.55, 'Arrhenius': 5.69}
    """
    fresh, used = drop.fresh.to("mm²/s").value, drop.used.to("mm²/s").value
    return {
        rule: max(
            0.0,
            100.0
            * float(
                added_fraction(
                    used,
                    base_kv_mm2_s=fresh,
                    added_kv_mm2_s=of.kv_at(drop.temperature_c),
                    rule=rule,
                )
            ),
        )
        for rule in BETWEEN_RULES
    }


@dataclass(frozen=True, slots=True)
class _Split:
    """How likely each fuel fraction makes the viscosity, and what the rivals then did."""

    likelihood: Numbers
    shear: Numbers
    thickening: Numbers

    @classmethod
    def of(cls, drop: ViscosityDrop, of: Fuel, prior: Beforehand, share: float) -> _Split:
        """Return the split for a rule that lies a share of the way from Walther to Arrhenius."""
        fresh, used = drop.fresh.to("mm²/s"), drop.used.to("mm²/s")
        positive("The fresh viscosity", fresh.value)
        positive("The used viscosity", used.value)
        x = GRID_PERCENT / 100.0
        kvs = (fresh.value, of.kv_at(drop.temperature_c))
        logs = [np.log(blend_viscosity(kvs, (1.0 - x, x), rule=rule)) for rule in BETWEEN_RULES]
        mixed = (1.0 - share) * logs[0] + share * logs[1] - math.log(fresh.value)
        spread = math.hypot(fresh.uncertainty / fresh.value, used.uncertainty / used.value)
        nodes, weights = np.polynomial.hermite_e.hermegauss(15)
        change = (math.log(used.value / fresh.value) - mixed)[:, np.newaxis] + spread * nodes
        a, b = prior.shear_down_percent / 100.0, prior.thickening_percent / 100.0
        positive("The mean shear-down beforehand", a)
        positive("The mean thickening beforehand", b)
        density = np.where(change < 0, np.exp(change / a), np.exp(-change / b)) / (a + b)
        likelihood = density * weights
        whole = likelihood.sum(axis=1)
        common = a * b / (a + b)  # what both rivals did and cancelled, on average
        shear = (likelihood * (np.maximum(-change, 0.0) + common)).sum(axis=1)
        thickening = (likelihood * (np.maximum(change, 0.0) + common)).sum(axis=1)
        return cls(whole, shear, thickening)


def _mean_of(split: list[_Split], weights: Numbers, rival: str) -> float:
    """Return the posterior mean of what a rival did, over all fractions and rules."""
    above = sum(float((weights * getattr(part, rival)).sum()) for part in split)
    below = sum(float((weights * part.likelihood).sum()) for part in split)
    return above / below


def _log_of_reported(reported: ReportedFuel) -> Numbers:
    from scipy.special import log_ndtr

    u = float(positive("The uncertainty of the laboratory's figure", reported.uncertainty))
    percent = float(finite("The laboratory's figure in %", reported.percent))
    if percent < -3.0 * u or percent > 100.0:  # a blank may read a little below zero
        raise OutOfRange("The laboratory's figure", f"{percent:g} %", "from 0 to 100 %")
    apart = (percent - GRID_PERCENT) / u
    if reported.below:
        return np.asarray(log_ndtr(apart))
    return np.asarray(-0.5 * apart**2)


def _usable_flash(evidence: Evidence) -> tuple[FlashDrop | None, list[str]]:
    """Return the flash evidence where a model is held and the report does not rest on it."""
    reported, flash = evidence.reported, evidence.flash
    if flash is not None and flash.cup is Cup.CLOSED:
        return None, [
            "How far fuel lowers a closed-cup flash point of engine oil is not held here; the "
            "flash point is not counted."
        ]
    if flash is None or reported is None:
        return flash, []
    if reported.method and method_number(reported.method) in CHROMATOGRAPHIC_METHODS:
        return flash, []
    return None, [
        "The laboratory's fuel figure names no chromatographic method and may have been read off "
        "the flash point (common practice, no source); the flash point is not counted again."
    ]


def _log_of_flash(flash: FlashDrop, of: Fuel) -> Numbers:
    """Return the log-likelihood of a used oil's flash point, over the fuel's effective one."""
    x = GRID_PERCENT / 100.0
    volume = volume_fraction(x, added_density_kg_m3=of.density_kg_m3, base_density_kg_m3=865.0)
    nodes, weights = np.polynomial.hermite_e.hermegauss(9)
    total = np.zeros(x.shape)
    for node, weight in zip(nodes, weights, strict=True):
        effective = of.effective_flash_c + node * of.effective_flash_uncertainty_c
        index = (1.0 - volume) * flash_index(flash.fresh.value) + volume * flash_index(effective)
        apart = (flash.used.value - flash_from_index(index)) / flash.drop.uncertainty
        total = total + weight * np.exp(-0.5 * apart**2)
    return np.asarray(np.log(np.maximum(total, 1e-300)))


def _with_grid_end(density: Numbers, warnings: list[str]) -> tuple[str, ...]:
    if density[-1] > 0.01 * density.max():
        warnings.append(
            f"More than {GRID_PERCENT[-1]:g} % fuel is not excluded; the model ends there."
        )
    return tuple(warnings)


def _normalised(x: Numbers, density: Numbers) -> Numbers:
    return np.asarray(density / np.trapezoid(density, x))


def _cumulative(x: Numbers, density: Numbers) -> Numbers:
    parts = np.concatenate(([0.0], np.cumsum((density[1:] + density[:-1]) / 2 * np.diff(x))))
    return np.asarray(parts / parts[-1])


def _quantile(x: Numbers, density: Numbers, probability: float) -> float:
    return float(np.interp(probability, _cumulative(x, density), x))
