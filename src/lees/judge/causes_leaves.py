"""How likely a sign, or a count of bright metal, is under each combination of its causes.

Signs: noisy-max (F. J. Díez, Parameter adjustment in Bayes networks: the generalized noisy OR-gate,
1993; from memory). Counts: Poisson with a gamma-distributed rate, which is negative binomial.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np
from scipy.special import gammaln, ndtr

from lees.quantity.arrays import Numbers


def noisy_max(usual: Sequence[float], causes: Sequence[Sequence[float]]) -> Numbers:
    """Return the probability of each level of a sign under every combination of causes.

    Parameters
    ----------
    usual : sequence of float
        The levels' shares without any cause, from the least to the most [1].
    causes : sequence of sequence of float
        For each cause, the shares where it is at work alone [1].

    Returns
    -------
    Numbers
        Probabilities of shape (2, …, 2, levels) [1].

    Notes
    -----
    The sign shows the most that any cause, or none, brings about, each by itself:
    ``P(≤ l) = Q₀(l) Π Q_i(l)`` over the causes at work. Two levels make it the noisy-or.
    *Valid for* causes that act independently and never hide a sign.

    References
    ----------
    .. [1] J. Pearl, Probabilistic Reasoning in Intelligent Systems, 1988, 4.3.2 (noisy-or); from
       memory.
    .. [2] F. J. Díez, Parameter adjustment in Bayes networks: the generalized noisy OR-gate, 1993;
       from memory.

    Examples
    --------
    >>> noisy_max([0.9, 0.1], [[0.5, 0.5]])[1].round(2).tolist()
    [0.45, 0.55]
    """
    under = np.cumsum(np.asarray(usual, dtype=float))
    for place, shares in enumerate(causes):
        one = np.cumsum(np.asarray(shares, dtype=float))
        shape = [1] * place
        under = under[..., None, :] * np.stack([np.ones_like(one), one]).reshape(*shape, 2, -1)
    return np.diff(under, axis=-1, prepend=0.0)


def gains(added: Sequence[float]) -> Numbers:
    """Return by how many times the usual the metal is more, under every combination of causes.

    Parameters
    ----------
    added : sequence of float
        What each cause adds, in times the usual [1].

    Returns
    -------
    Numbers
        Gains of shape (2, …, 2), one where no cause is at work [1].

    References
    ----------
    .. [1] The metal of several sources adds up: judgement, no source.
    """
    total = np.ones(())
    for one in added:
        total = np.stack([total, total + one], axis=-1)
    return total


def log_count(
    count: Numbers, area_cm2: Numbers, gain: Numbers, entry: Mapping[str, float]
) -> Numbers:
    """Return the log-probability of a count of bright particles for each case and gain.

    Parameters
    ----------
    count : Numbers
        Particles counted, one per case [1].
    area_cm2 : Numbers
        The area they were counted on [cm²].
    gain : Numbers
        By how many times the usual the metal is more [1].
    entry : mapping of str to float
        `middle`, `shape`, `unexplained` and `unexplained_factor` of the table [1].

    Returns
    -------
    Numbers
        Log-probabilities of shape (cases, *gain.shape) [1].

    Notes
    -----
    ``n ~ Poisson(λ)``, ``λ ~ Gamma(shape, mean m)``, hence negative binomial with
    ``p = shape/(shape + m)``; a share of engines has many times the metal for no cause named.

    References
    ----------
    .. [1] N. L. Johnson, A. W. Kemp, S. Kotz, Univariate Discrete Distributions, 3rd edition, 2005,
       5.2; from memory.
    """
    wide = (-1, *[1] * gain.ndim)
    n = np.asarray(count, dtype=float).reshape(wide)
    mean = entry["middle"] * np.asarray(area_cm2, dtype=float).reshape(wide) / 100.0 * gain
    share = entry["unexplained"]
    shape = entry["shape"]
    found = np.logaddexp(
        np.log1p(-share) + _log_negative_binomial(n, mean, shape),
        np.log(share) + _log_negative_binomial(n, entry["unexplained_factor"] * mean, shape),
    )
    return np.asarray(found)


def word_shares(gain: Numbers, cuts: Sequence[float], scatter: float) -> Numbers:
    """Return how likely each of the inspector's words for the glitter is, for each gain.

    Parameters
    ----------
    gain : Numbers
        By how many times the usual the metal is more [1].
    cuts : sequence of float
        Where one word gives way to the next, on the logarithm of the gain [1].
    scatter : float
        How much that logarithm scatters [1].

    Returns
    -------
    Numbers
        Probabilities of shape (*gain.shape, words) [1].

    References
    ----------
    .. [1] P. McCullagh, Regression models for ordinal data, Journal of the Royal Statistical
       Society B 42, 1980 (cuts on a hidden scale); from memory.
    """
    under = ndtr((np.asarray(cuts) - np.log(gain)[..., None]) / scatter)
    whole = np.concatenate([under, np.ones((*gain.shape, 1))], axis=-1)
    return np.diff(whole, axis=-1, prepend=0.0)


def _log_negative_binomial(n: Numbers, mean: Numbers, shape: float) -> Numbers:
    found = (
        gammaln(n + shape)
        - gammaln(shape)
        - gammaln(n + 1)
        + shape * (np.log(shape) - np.log(shape + mean))
        + n * (np.log(mean) - np.log(shape + mean))
    )
    return np.asarray(found)
