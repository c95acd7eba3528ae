"""How likely a finding is, in words (IPCC guidance note on uncertainty, 2010, table 1)."""

from __future__ import annotations

from enum import StrEnum

from lees.errors import OutOfRange


class Likelihood(StrEnum):
    """The calibrated words of the guidance note, from the surest to the least."""

    VIRTUALLY_CERTAIN = "virtually certain"
    VERY_LIKELY = "very likely"
    LIKELY = "likely"
    AS_LIKELY_AS_NOT = "about as likely as not"
    UNLIKELY = "unlikely"
    VERY_UNLIKELY = "very unlikely"
    EXCEPTIONALLY_UNLIKELY = "exceptionally unlikely"


def likelihood(probability: float) -> Likelihood:
    """Return the word for a probability.

    Parameters
    ----------
    probability : float
        From 0 to 1 [1].

    Returns
    -------
    Likelihood
        The narrowest word of the guidance note that the probability earns.

    Raises
    ------
    OutOfRange
        Where the probability is not from 0 to 1.

    References
    ----------
    .. [1] M. D. Mastrandrea et al., Guidance Note for Lead Authors of the IPCC Fifth Assessment
       Report on Consistent Treatment of Uncertainties, IPCC, 2010, table 1.

    Examples
    --------
    >>> likelihood(0.93).value, likelihood(0.5).value, likelihood(0.02).value
    ('very likely', 'about as likely as not', 'very unlikely')
    """
    if not 0 <= probability <= 1:
        raise OutOfRange("A probability", probability, "from 0 to 1")
    for least, word in _AT_LEAST:
        if probability >= least:
            return word
    for most, word in _AT_MOST:
        if probability <= most:
            return word
    return Likelihood.AS_LIKELY_AS_NOT


_AT_LEAST = (
    (0.99, Likelihood.VIRTUALLY_CERTAIN),
    (0.90, Likelihood.VERY_LIKELY),
    (0.66, Likelihood.LIKELY),
)
_AT_MOST = (
    (0.01, Likelihood.EXCEPTIONALLY_UNLIKELY),
    (0.10, Likelihood.VERY_UNLIKELY),
    (0.33, Likelihood.UNLIKELY),
)
