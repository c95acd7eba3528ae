"""What a formula's result is worth when its inputs are uncertain (JCGM 100:2008, JCGM 101:2008)."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from typing import Any, TypeAlias

import numpy as np
from numpy.typing import NDArray

from lees.errors import OutOfRange, UnitDoesNotFit
from lees.quantity.budget import Budget, Component, Spread
from lees.quantity.measured import Measured, rounded, significant

Model: TypeAlias = Callable[..., Any]
"""A formula that takes the inputs one after the other, single numbers or arrays alike."""


@dataclass(frozen=True, slots=True)
class Derived:
    """A calculated quantity: the result, the budget behind it, and warnings that travel with it."""

    result: Measured
    budget: Budget
    warnings: tuple[str, ...] = ()

    def warned(self, *warnings: str) -> Derived:
        """Return the same result with more warnings."""
        return replace(self, warnings=(*self.warnings, *warnings))

    def table(self) -> str:
        """Return the budget as lines of text, the largest contribution first."""
        parts = sorted(self.budget.components, key=lambda part: -part.contribution)
        width = max([len(part.name) for part in parts] + [len("combined")])
        lines = [
            f"{part.name:<{width}}  {part.evaluation}  {part.contribution:.3g} {self.result.unit}"
            f"  {100 * self.budget.share(part):.0f} %"
            for part in parts
        ]
        total = f"{'combined':<{width}}     {self.budget.combined:.3g} {self.result.unit}"
        return "\n".join([*lines, total])


@dataclass(frozen=True, slots=True)
class Between:
    """An input known by its bounds only, in the unit that the model takes."""

    low: float
    high: float
    spread: Spread = Spread.RECTANGULAR

    def __post_init__(self) -> None:
        if not (math.isfinite(self.low) and math.isfinite(self.high) and self.low <= self.high):
            raise OutOfRange("An upper bound", self.high, f"finite, and {self.low} or above")


@dataclass(frozen=True, slots=True)
class Simulated:
    """A result by Monte Carlo: mean, standard deviation, and bounds with 2.5 % beyond either."""

    mean: float
    uncertainty: float
    low: float
    high: float
    unit: str
    source: str

    def span(self) -> str:
        """Return the bounds as text, rounded by a quarter of their distance."""
        quarter = (self.high - self.low) / 4
        return f"{rounded(self.low, quarter)} to {rounded(self.high, quarter)}"

    def __str__(self) -> str:
        shown = rounded(self.mean, self.uncertainty), significant(self.uncertainty)
        return f"{shown[0]} ± {shown[1]} {self.unit}"


def propagated(
    model: Model,
    inputs: Mapping[str, Measured],
    *,
    unit: str,
    source: str,
    sensitivities: Mapping[str, float] | None = None,
) -> Derived:
    """Propagate the uncertainty of independent inputs through a formula, to first order.

    Parameters
    ----------
    model : Model
        The formula; it takes the inputs' values in the order of `inputs`.
    inputs : Mapping[str, Measured]
        The inputs under the names that the budget shows, each in the unit that the model takes.
    unit : str
        The unit of what the model returns.
    source : str
        Where the result comes from, such as ``caliper on the strip``.
    sensitivities : Mapping[str, float], optional
        The partial derivatives where they are known; otherwise half the change of the result
        when an input moves from one standard uncertainty below to one above. [result's unit per
        input's unit]

    Returns
    -------
    Derived
        The result and its budget.

    Raises
    ------
    OutOfRange
        Where the model has no finite answer at, or one standard uncertainty around, the inputs.

    Notes
    -----
    JCGM 100, eq. 10 and 5.1.4 note 2 (numerical sensitivities), eq. G.2b (degrees of freedom).
    *Valid for* independent inputs and a model that is nearly straight over ± one standard
    uncertainty. *Not for* inputs that share an instrument's error: name the shared error as an
    input of its own. *Not for* strongly curved models: see `simulated`.

    References
    ----------
    .. [1] JCGM 100:2008, Evaluation of measurement data: Guide to the expression of uncertainty
       in measurement, 5.1 and G.4.

    Examples
    --------
    >>> length = Measured(1830.0, 1.5, "mm", "steel rule")
    >>> width = Measured(58.0, 0.1, "mm", "caliper")
    >>> strip = propagated(lambda a, b: a * b / 100, {"length": length, "width": width},
    ...                    unit="cm²", source="length times width")
    >>> print(strip.result)
    1061.4 ± 2.0 cm²
    """
    values = [one.value for one in inputs.values()]
    components = []
    for place, (name, one) in enumerate(inputs.items()):
        if sensitivities is not None:
            slope = sensitivities[name]
        else:
            slope = _slope(model, values, place, one.uncertainty)
        kind = "A" if math.isfinite(one.degrees_of_freedom) else "B"
        components.append(Component(name, one.uncertainty, kind, slope, one.degrees_of_freedom))
    budget, value = Budget(tuple(components), unit), float(model(*values))
    if not math.isfinite(value):
        raise OutOfRange("The result at the inputs", value, "a finite number")
    return Derived(budget.measured(value, source), budget)


def simulated(
    model: Model,
    inputs: Mapping[str, Measured | Between],
    *,
    unit: str,
    generator: np.random.Generator,
    draws: int = 200_000,
) -> Simulated:
    """Propagate the distributions of independent inputs through a formula by Monte Carlo.

    Parameters
    ----------
    model : Model
        The formula; it takes arrays of the inputs' values in the order of `inputs`.
    inputs : Mapping[str, Measured | Between]
        Measured inputs are drawn from a normal distribution, or from Student's t where their
        degrees of freedom are finite; bounded ones from the spread between their bounds.
    unit : str
        The unit of what the model returns.
    generator : numpy.random.Generator
        The source of the draws.
    draws : int
        The number of draws; 10⁶ gives the ends of a 95 % interval to about two digits. [1]

    Returns
    -------
    Simulated
        Mean, standard deviation and the interval that leaves 2.5 % on either side.

    Raises
    ------
    OutOfRange
        Where the model has no finite answer for one of the draws, or draws are too few.

    Notes
    -----
    JCGM 101, clauses 6.4 and 7. *Valid for* any model that is finite wherever the inputs reach.
    *Not for* inputs with two degrees of freedom or fewer, whose standard deviation does not
    exist: only the interval means something then.

    References
    ----------
    .. [1] JCGM 101:2008, Evaluation of measurement data: Supplement 1: Propagation of
       distributions using a Monte Carlo method, 6.4 and 7.

    Examples
    --------
    >>> parts = {f"part {k}": Between(-3**0.5, 3**0.5) for k in range(4)}
    >>> total = simulated(lambda *x: sum(x), parts, unit="1",
    ...                   generator=np.random.default_rng(1))
    >>> round(total.uncertainty, 1), round(total.high, 1)
    (2.0, 3.9)
    """
    if draws < 1000:
        raise OutOfRange("The number of draws", draws, "1000 or more")
    arrays = [_drawn(one, generator, draws) for one in inputs.values()]
    results = np.broadcast_to(np.asarray(model(*arrays), dtype=np.float64), (draws,))
    if not np.isfinite(results).all():
        raise OutOfRange(
            "The share of draws without an answer",
            float(np.mean(~np.isfinite(results))),
            "zero: narrow the inputs or use a model that answers wherever they reach",
        )
    low, high = np.quantile(results, (0.025, 0.975))
    mean, spread = float(results.mean()), float(results.std(ddof=1))
    return Simulated(mean, spread, float(low), float(high), unit, f"Monte Carlo, {draws} draws")


def checked_by_draws(first: Derived, drawn: Simulated) -> Derived:
    """Return a first-order result, warned where Monte Carlo gives another interval.

    Parameters
    ----------
    first : Derived
        The result by first-order propagation.
    drawn : Simulated
        The result by Monte Carlo on the same inputs.

    Returns
    -------
    Derived
        The first-order result; with a warning where either end of its 95 % interval is off by
        more than half the second digit of its uncertainty.

    Raises
    ------
    UnitDoesNotFit
        Where the two are in different units.

    References
    ----------
    .. [1] JCGM 101:2008, Evaluation of measurement data: Supplement 1: Propagation of
       distributions using a Monte Carlo method, 7.9.2 and 8.1 (two significant digits).

    Examples
    --------
    >>> bent = {"x": Measured(0.0, 1.0, "1", "made up")}
    >>> first = propagated(lambda x: x**2, bent, unit="1", source="square")
    >>> drawn = simulated(lambda x: x**2, bent, unit="1", generator=np.random.default_rng(1))
    >>> checked_by_draws(first, drawn).warnings[0][:40]
    'Monte Carlo gives 0.0 to 5.0 for the 95 '
    """
    if first.result.unit != drawn.unit:
        raise UnitDoesNotFit(drawn.unit, "is another unit", f"draw in {first.result.unit}")
    doubt = first.result.uncertainty
    low, high = first.result.interval()
    tolerance = 0.5 * 10.0 ** (math.floor(math.log10(doubt)) - 1) if doubt else 0.0
    if max(abs(low - drawn.low), abs(high - drawn.high)) <= tolerance:
        return first
    return first.warned(
        f"Monte Carlo gives {drawn.span()} for the 95 % interval: the formula is curved over "
        "the inputs' doubt, and this interval is to be preferred."
    )


def _slope(model: Model, values: list[float], place: int, uncertainty: float) -> float:
    """Return the sensitivity to one input (JCGM 100, 5.1.4 note 2)."""
    step = uncertainty or 1e-6 * abs(values[place]) or 1e-6
    below, above = list(values), list(values)
    below[place] -= step
    above[place] += step
    slope = (float(model(*above)) - float(model(*below))) / (above[place] - below[place])
    if not math.isfinite(slope):
        raise OutOfRange("The result around the inputs", slope, "a finite number")
    return slope


def _drawn(
    one: Measured | Between, generator: np.random.Generator, draws: int
) -> NDArray[np.float64]:
    """Draw an input (JCGM 101: 6.4.2, 6.4.5 and 6.4.6 by bounds, 6.4.7 normal, 6.4.9 Student)."""
    if isinstance(one, Measured):
        if math.isinf(one.degrees_of_freedom):
            return generator.normal(one.value, one.uncertainty, draws)
        return one.value + one.uncertainty * generator.standard_t(one.degrees_of_freedom, draws)
    middle, half = (one.low + one.high) / 2, (one.high - one.low) / 2
    even = generator.random(draws)
    if one.spread is Spread.RECTANGULAR:
        return one.low + 2 * half * even
    if one.spread is Spread.TRIANGULAR:
        return middle + half * (even + generator.random(draws) - 1)
    return middle + half * np.sin(2 * math.pi * even)
