"""How thick a blend is, and how much thinner was added: the rival mixing rules, side by side."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from numpy.typing import ArrayLike

from lees.errors import OutOfRange, ShapesDiffer
from lees.oil.precision_table import Tag
from lees.oil.viscosity import LOWEST_KV_MM2_S, kinematic_viscosity_from_z, walther_z
from lees.quantity.arrays import Numbers, alike, finite, positive, within


class Fraction(StrEnum):
    """What a rule counts its shares by."""

    MASS = "mass"
    MASS_OR_VOLUME = "mass or volume"
    VOLUME = "volume"
    MOLE = "mole"


@dataclass(frozen=True, slots=True)
class MixingRule:
    """A rule by which an index of the viscosities adds up in proportion to the shares."""

    name: str
    fraction: Fraction
    lowest_kv_mm2_s: float
    source: str
    tag: Tag
    index: Callable[[Numbers], Numbers]
    viscosity: Callable[[Numbers], Numbers]


def _walther_index(kv: Numbers) -> Numbers:
    return np.log10(np.log10(walther_z(kv)))


def _walther_viscosity(index: Numbers) -> Numbers:
    return kinematic_viscosity_from_z(10.0 ** (10.0**index))


def _refutas_index(kv: Numbers) -> Numbers:
    return 14.534 * np.log(np.log(kv + 0.8)) + 10.975


def _refutas_viscosity(index: Numbers) -> Numbers:
    return np.exp(np.exp((index - 10.975) / 14.534)) - 0.8


def _ln_ln_index(kv: Numbers) -> Numbers:
    return np.log(kv) / np.log(1000.0 * kv)


def _ln_ln_viscosity(index: Numbers) -> Numbers:
    return np.asarray(np.exp(index * np.log(1000.0) / (1.0 - index)))


RULES: Mapping[str, MixingRule] = {
    rule.name: rule
    for rule in (
        MixingRule(
            "Walther",
            Fraction.MASS_OR_VOLUME,
            LOWEST_KV_MM2_S,
            "ASTM D7152 (its use of the Walther index)",
            Tag.FROM_MEMORY,
            _walther_index,
            _walther_viscosity,
        ),
        MixingRule(
            "Refutas",
            Fraction.MASS,
            0.21,
            "R. E. Maples, Petroleum Refinery Process Economics, 2000",
            Tag.PUBLISHED,
            _refutas_index,
            _refutas_viscosity,
        ),
        MixingRule(
            "ln/ln",
            Fraction.VOLUME,
            0.01,
            "ln ν / ln (1000 ν) index",
            Tag.FROM_MEMORY,
            _ln_ln_index,
            _ln_ln_viscosity,
        ),
        MixingRule(
            "Arrhenius",
            Fraction.MASS,
            0.01,
            "Arrhenius; tested on engine oil and diesel fuel by Chybowski et al., Energies 17(2) "
            "444, 2024",
            Tag.PUBLISHED,
            np.log,
            np.exp,
        ),
        MixingRule(
            "Kendall–Monroe",
            Fraction.MOLE,
            0.01,
            "J. Kendall and K. P. Monroe, 1917 (for dynamic viscosities)",
            Tag.FROM_MEMORY,
            np.cbrt,
            lambda index: index**3,
        ),
    )
}


def mixing_rule(name: str) -> MixingRule:
    """Return a mixing rule by its name.

    Parameters
    ----------
    name : str
        One of ``Walther``, ``Refutas``, ``ln/ln``, ``Arrhenius``, ``Kendall–Monroe``.

    Returns
    -------
    MixingRule
        The rule.

    Raises
    ------
    OutOfRange
        For another name.

    Notes
    -----
    *Valid for* names in any case, with a hyphen or a dash.

    References
    ----------
    .. [1] The source of each rule is in the rule.

    Examples
    --------
    >>> mixing_rule("kendall-monroe").fraction.value
    'mole'
    """
    wanted = name.strip().casefold().replace("-", "–")
    for known, rule in RULES.items():
        if known.casefold() == wanted:
            return rule
    raise OutOfRange("The mixing rule", f"“{name}”", f"one of {', '.join(RULES)}")


def blend_viscosity(
    kvs_mm2_s: Sequence[ArrayLike], fractions: Sequence[ArrayLike], *, rule: str
) -> Numbers:
    """Return the kinematic viscosity of a blend.

    Parameters
    ----------
    kvs_mm2_s : sequence of array_like
        Kinematic viscosity of each component, all at one temperature [mm²/s].
    fractions : sequence of array_like
        The share of each component, by what the rule counts; they add up to one [1].
    rule : str
        The mixing rule, see `RULES`.

    Returns
    -------
    Numbers
        Kinematic viscosity of the blend at that temperature [mm²/s].

    Raises
    ------
    OutOfRange
        For shares outside 0 to 1 or that do not add up to one, or a viscosity too low for the rule.
    ShapesDiffer
        Where there are not as many shares as viscosities.

    Notes
    -----
    Each rule is linear in an index: Walther ``log log Z``; Refutas ``14.534 ln ln (ν + 0.8) +
    10.975`` (natural logarithms); ``ln ν / ln 1000ν``; Arrhenius ``ln ν``; Kendall–Monroe ``ν^⅓``.

    *Valid for* liquids that mix. *Not for* trusting one rule alone: for a fuel in an oil they
    differ by a factor of 1.7 and more.

    References
    ----------
    .. [1] R. E. Maples, Petroleum Refinery Process Economics, 2nd ed., 2000 (Refutas, by mass).
    .. [2] Chybowski et al., Energies 17(2) 444, 2024 (Arrhenius, by mass).
    .. [3] ASTM D7152 (Walther index; from memory).

    Examples
    --------
    >>> round(float(blend_viscosity([14.4, 1.2], [0.95, 0.05], rule="Walther")), 3)
    11.817
    """
    law = mixing_rule(rule)
    if len(kvs_mm2_s) != len(fractions):
        raise ShapesDiffer(
            f"There are {len(kvs_mm2_s)} viscosities and {len(fractions)} shares; give one share "
            "for each viscosity."
        )
    kvs = [_checked_kv(kv, law) for kv in kvs_mm2_s]
    shares = [within("A share", share, 0.0, 1.0) for share in fractions]
    alike(**{f"part {n}": part for n, part in enumerate((*kvs, *shares), 1)})
    total = np.asarray(sum(shares))
    if (np.abs(total - 1.0) > 1e-6).any():
        raise OutOfRange("The sum of the shares", f"{float(total.flat[0]):g}", "1")
    index = np.asarray(sum(x * law.index(kv) for x, kv in zip(shares, kvs, strict=True)))
    return law.viscosity(index)


def added_fraction(
    blend_kv_mm2_s: ArrayLike, *, base_kv_mm2_s: ArrayLike, added_kv_mm2_s: ArrayLike, rule: str
) -> Numbers:
    """Return the share of a thinner or thicker liquid that explains a blend's viscosity.

    Parameters
    ----------
    blend_kv_mm2_s : array_like
        Kinematic viscosity of the blend [mm²/s].
    base_kv_mm2_s : array_like
        That of the liquid before the addition, at the same temperature [mm²/s].
    added_kv_mm2_s : array_like
        That of what was added, at the same temperature [mm²/s].
    rule : str
        The mixing rule, see `RULES`.

    Returns
    -------
    Numbers
        The share added, by what the rule counts; negative where the blend went the other way [1].

    Raises
    ------
    OutOfRange
        For a viscosity too low for the rule, or equal viscosities of base and addition.

    Notes
    -----
    `blend_viscosity` solved for the share: ``x = (I_base − I_blend) / (I_base − I_added)``.

    *Valid for* a change that has no other cause. *Not for* used oils by itself: shear-down thins
    and oxidation thickens too; see `lees.oil.dilution`.

    References
    ----------
    .. [1] As for `blend_viscosity`.

    Examples
    --------
    >>> x = added_fraction(137, base_kv_mm2_s=160, added_kv_mm2_s=3.0, rule="Refutas")
    >>> round(100 * float(x), 2)
    2.31
    """
    law = mixing_rule(rule)
    blend, base, added = (
        _checked_kv(kv, law) for kv in (blend_kv_mm2_s, base_kv_mm2_s, added_kv_mm2_s)
    )
    alike(blend=blend, base=base, added=added)
    if (base == added).any():
        raise OutOfRange(
            "The viscosity of what was added", float(added.flat[0]), "another than the base's"
        )
    of_base = law.index(base)
    return np.asarray((of_base - law.index(blend)) / (of_base - law.index(added)))


def blending_index(kv_mm2_s: ArrayLike, *, rule: str) -> Numbers:
    """Return the index of a viscosity that a mixing rule adds up.

    Parameters
    ----------
    kv_mm2_s : array_like
        Kinematic viscosity [mm²/s].
    rule : str
        The mixing rule, see `RULES`.

    Returns
    -------
    Numbers
        The index [1].

    Raises
    ------
    OutOfRange
        For a viscosity too low for the rule.

    Notes
    -----
    *Valid for* the rule's viscosities. The literature also prints the Refutas index with decimal
    logarithms; the natural ones are right.

    References
    ----------
    .. [1] As for `blend_viscosity`.

    Examples
    --------
    >>> round(float(blending_index(10, rule="Refutas")), 4)
    23.5747
    """
    law = mixing_rule(rule)
    return np.asarray(law.index(_checked_kv(kv_mm2_s, law)))


def _checked_kv(kv_mm2_s: ArrayLike, rule: MixingRule) -> Numbers:
    kv = positive("The kinematic viscosity", kv_mm2_s)
    finite("The kinematic viscosity", kv)
    if (kv < rule.lowest_kv_mm2_s).any():
        raise OutOfRange(
            "The kinematic viscosity",
            f"{float(kv.min()):g} mm²/s",
            f"{rule.lowest_kv_mm2_s:g} mm²/s or above for the {rule.name} rule",
        )
    return kv
