"""How a sump's metal content answers to wear, oil loss and top-ups (conservation of mass).

Balances of a stirred vessel as in any textbook of chemical engineering; checked in the tests
against numerical integration.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from lees.errors import OutOfRange
from lees.quantity.arrays import Numbers, alike, finite, not_negative, within


@dataclass(frozen=True, slots=True)
class Response:
    """How the content at the end follows from the content at the start, the fresh oil's and wear.

    All contents are by mass or all by volume; *end = carry · start + fresh · fresh oil's
    content + shed · (metal shed / full charge)*.
    """

    carry: Numbers
    fresh: Numbers
    shed: Numbers

    def content(self, start: ArrayLike, fresh: ArrayLike, shed_per_charge: ArrayLike) -> Numbers:
        """Return the content at the end of the fill; `ShapesDiffer` for unequal lengths."""
        old, new = finite("The content at the start", start), finite("The fresh oil's", fresh)
        shed = finite("The metal shed", shed_per_charge)
        alike(response=np.asarray(self.shed), start=old, fresh=new, shed=shed)
        return np.asarray(self.carry * old + self.fresh * new + self.shed * shed)

    def shed_per_charge(self, end: ArrayLike, start: ArrayLike, fresh: ArrayLike) -> Numbers:
        """Return the metal shed over the fill, per full charge of oil: `content` solved for it."""
        last, old = finite("The content", end), finite("The content at the start", start)
        new = finite("The fresh oil's content", fresh)
        alike(response=np.asarray(self.shed), end=last, start=old, fresh=new)
        return np.asarray((last - self.carry * old - self.fresh * new) / self.shed)


@dataclass(frozen=True, slots=True)
class TopUp:
    """One top-up: when, as a share of the run, and how much, as a share of the full charge."""

    at: float
    share: float


def no_loss() -> Response:
    """Return the response of a sump that loses no oil.

    Returns
    -------
    Response
        Content at the end is that at the start plus what was shed.

    References
    ----------
    .. [1] Conservation of mass in a closed vessel.

    Examples
    --------
    >>> float(no_loss().content(2.0, 2.0, 10.0))
    12.0
    """
    return Response(np.asarray(1.0), np.asarray(0.0), np.asarray(1.0))


def steady_loss_with_oil(top_up_share: ArrayLike) -> Response:
    """Return the response of a sump kept full while oil is lost steadily with its metals.

    Parameters
    ----------
    top_up_share : ArrayLike
        All the oil topped up over the run, per full charge. [1]

    Returns
    -------
    Response
        Of the content at the end.

    Raises
    ------
    OutOfRange
        Where the share is below zero.

    Notes
    -----
    *dC/ds = g − u (C − C_f)* over the share *s* of the run, with *u* the share topped up, *g* the
    metal shed per charge and *C_f* the fresh oil's content: *carry = e⁻ᵘ*, *fresh = 1 − e⁻ᵘ*,
    *shed = (1 − e⁻ᵘ)/u*. *Valid for* leaks and burnt oil, topped up often. *Not for* oil that
    evaporates, which leaves its metals behind: see `steady_evaporation`, the other bound.

    References
    ----------
    .. [1] Conservation of mass in a stirred vessel with steady through-flow.

    Examples
    --------
    >>> (1 / steady_loss_with_oil([0.05, 0.2, 0.8]).shed).round(5)
    array([1.02521, 1.10333, 1.45277])
    """
    u = not_negative("The share topped up", top_up_share)
    fresh = -np.expm1(-u)
    safe = np.where(u > 0, u, 1.0)
    return Response(np.exp(-u), fresh, np.where(u > 0, fresh / safe, 1.0))


def steady_evaporation(top_up_share: ArrayLike) -> Response:
    """Return the response of a sump kept full while oil evaporates and leaves its metals behind.

    Parameters
    ----------
    top_up_share : ArrayLike
        All the oil topped up over the run, per full charge. [1]

    Returns
    -------
    Response
        Of the content at the end.

    Raises
    ------
    OutOfRange
        Where the share is below zero.

    Notes
    -----
    *C = C₀ + u C_f + g*: nothing leaves, and the top-ups bring their own content. *Not for* oil
    that leaks or burns: see `steady_loss_with_oil`, the other bound.

    References
    ----------
    .. [1] Conservation of mass in a vessel that loses solvent only.

    Examples
    --------
    >>> float(steady_evaporation(0.2).content(0.0, 0.0, 20.0))
    20.0
    """
    u = not_negative("The share topped up", top_up_share)
    return Response(np.ones_like(u), u, np.ones_like(u))


def top_ups_lost_with_oil(top_ups: Sequence[TopUp], missing_share: float = 0.0) -> Response:
    """Return the response of a sump topped up at known points, its oil lost with its metals.

    Parameters
    ----------
    top_ups : sequence of TopUp
        The top-ups in their order; each brings the level back to full.
    missing_share : float
        What was missing when the oil was drained, per full charge. [1]

    Returns
    -------
    Response
        Of the content at the end.

    Raises
    ------
    OutOfRange
        Where top-ups are out of order or outside the run, or a share is not from 0 to below 1.

    Notes
    -----
    Between top-ups the level falls evenly from 1 to 1 − a while the content rises by
    *(g Δs / a) ln(1/(1 − a))*; a top-up then mixes *C ← (1 − a) C + a C_f*. *Not for* oil lost
    all at once, such as a spill: see `exchanges`.

    References
    ----------
    .. [1] Conservation of mass in a stirred vessel with falling level.

    Examples
    --------
    >>> response = top_ups_lost_with_oil([TopUp(0.5, 0.1)])
    >>> round(float(response.content(0, 0, 20)), 3)
    19.482
    """
    carry, fresh, shed, before = 1.0, 0.0, 0.0, 0.0
    for one in _checked(top_ups):
        shed += (one.at - before) * _thinning(one.share)
        left = 1 - one.share
        carry, fresh, shed = carry * left, fresh * left + one.share, shed * left
        before = one.at
    shed += (1 - before) * _thinning(_share("The share missing at the end", missing_share))
    return Response(np.asarray(carry), np.asarray(fresh), np.asarray(shed))


def top_ups_evaporated(top_ups: Sequence[TopUp], missing_share: float = 0.0) -> Response:
    """Return the response of a sump topped up at known points, its oil lost by evaporation.

    Parameters
    ----------
    top_ups : sequence of TopUp
        The top-ups in their order; each brings the level back to full.
    missing_share : float
        What was missing when the oil was drained, per full charge. [1]

    Returns
    -------
    Response
        Of the content at the end.

    Raises
    ------
    OutOfRange
        Where top-ups are out of order or outside the run, or a share is not from 0 to below 1.

    Notes
    -----
    *C = (C₀ + C_f Σa + g) / (1 − missing)*: when the top-ups came does not matter.

    References
    ----------
    .. [1] Conservation of mass in a vessel that loses solvent only.

    Examples
    --------
    >>> float(top_ups_evaporated([TopUp(0.5, 0.1)]).content(0, 2, 20).round(9))
    20.2
    """
    added = sum(one.share for one in _checked(top_ups))
    left = 1 - _share("The share missing at the end", missing_share)
    return Response(np.asarray(1 / left), np.asarray(added / left), np.asarray(1 / left))


def exchanges(top_ups: Sequence[TopUp]) -> Response:
    """Return the response of a sump where oil is taken out and replaced at once, at known points.

    Parameters
    ----------
    top_ups : sequence of TopUp
        The exchanges in their order, such as samples drawn and replaced.

    Returns
    -------
    Response
        Of the content at the end.

    Raises
    ------
    OutOfRange
        Where exchanges are out of order or outside the run, or a share is not from 0 to below 1.

    Notes
    -----
    Between exchanges the content rises by *g Δs*; each then mixes *C ← (1 − a) C + a C_f*.

    References
    ----------
    .. [1] Conservation of mass in a stirred vessel, in batches.

    Examples
    --------
    >>> quarters = [TopUp(k / 4, 0.05) for k in (1, 2, 3, 4)]
    >>> round(float(exchanges(quarters).content(0, 0, 20)), 4)
    17.6219
    """
    carry, fresh, shed, before = 1.0, 0.0, 0.0, 0.0
    for one in _checked(top_ups):
        left = 1 - one.share
        shed = (shed + one.at - before) * left
        carry, fresh = carry * left, fresh * left + one.share
        before = one.at
    return Response(np.asarray(carry), np.asarray(fresh), np.asarray(shed + 1 - before))


def content_at_start(
    previous: ArrayLike, fresh: ArrayLike, *, residual_share: ArrayLike
) -> Numbers:
    """Return the content just after an oil change, when some of the old oil stayed behind.

    Parameters
    ----------
    previous : ArrayLike
        The content of the oil drained. [mg/kg]
    fresh : ArrayLike
        The content of the fresh oil. [mg/kg]
    residual_share : ArrayLike
        The share of the charge that stayed in the engine. [1]

    Returns
    -------
    Numbers
        The content of the mixture. [mg/kg]

    Raises
    ------
    OutOfRange
        Where a content is below zero or the share is not from 0 to 1.
    ShapesDiffer
        Where arrays have different lengths.

    Notes
    -----
    *C₀ = f C_prev + (1 − f) C_fresh*. Engines keep 5 to 20 % of their oil (a published range).

    References
    ----------
    .. [1] Conservation of mass on mixing.

    Examples
    --------
    >>> round(float(content_at_start(80.0, 0.0, residual_share=0.15)), 9)
    12.0
    """
    old, new = not_negative("The previous content", previous), not_negative("The fresh", fresh)
    f = within("The residual share", residual_share, 0.0, 1.0)
    alike(previous=old, fresh=new, residual_share=f)
    return np.asarray(f * old + (1 - f) * new)


def _thinning(share: float) -> float:
    """Return how much faster the content rises while the level falls by a share."""
    return float(-np.log1p(-share) / share) if share > 0 else 1.0


def _share(name: str, value: float) -> float:
    share = float(not_negative(name, value))
    if share >= 1:
        raise OutOfRange(name, share, "below 1, the full charge")
    return share


def _checked(top_ups: Sequence[TopUp]) -> Sequence[TopUp]:
    before = 0.0
    for one in top_ups:
        _share("A top-up's share of the charge", one.share)
        if not before <= one.at <= 1:
            raise OutOfRange(
                "A top-up's place in the run", one.at, f"in order, from {before:g} to 1, the end"
            )
        before = one.at
    return top_ups
