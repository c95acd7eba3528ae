"""Which causes are at work, given tables of evidence over a few of them each: exact, all at once.

Bucket elimination in an order of least fill, then the beliefs passed back down the tree of buckets
(R. Dechter, Bucket elimination: a unifying framework for reasoning, Artificial Intelligence 113,
1999; from memory).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from itertools import combinations

import numpy as np

from lees.quantity.arrays import Numbers

LEAST = 1e-300
"""What a sum that is nought is taken as, so that its logarithm stays finite."""
Scope = tuple[int, ...]
"""The causes that a table is about, by number, ascending; axis 0 of a table counts the cases."""


@dataclass(frozen=True, slots=True)
class Bucket:
    """One step of the elimination: the cause summed out, and where its message goes."""

    variable: int
    scope: Scope
    factors: tuple[int, ...]
    children: tuple[int, ...]
    parent: int | None

    @property
    def separator(self) -> Scope:
        """The causes that remain after the sum."""
        return tuple(v for v in self.scope if v != self.variable)


@dataclass(frozen=True, slots=True)
class Plan:
    """The buckets in the order in which they are summed, and the scope of each table."""

    buckets: tuple[Bucket, ...]
    scopes: tuple[Scope, ...]


@dataclass(frozen=True, slots=True)
class Beliefs:
    """The joint probabilities over each bucket's causes, and the evidence's log-probability."""

    plan: Plan
    tables: tuple[Numbers, ...]
    log_total: Numbers

    def marginal(self, scope: Scope) -> Numbers:
        """Return the joint probability of a few causes that share a bucket.

        Parameters
        ----------
        scope : tuple of int
            The causes, ascending.

        Returns
        -------
        Numbers
            Probabilities, of shape (cases, 2, …), that add up to one for each case [1].
        """
        for bucket, table in zip(self.plan.buckets, self.tables, strict=True):
            if set(scope) <= set(bucket.scope):
                return _summed(table, bucket.scope, scope)
        raise KeyError(scope)


@cache
def plan(scopes: tuple[Scope, ...], count: int) -> Plan:
    """Return the order in which the causes are summed out, the least fill first.

    Parameters
    ----------
    scopes : tuple of tuple of int
        The scope of each table.
    count : int
        How many causes there are [1].

    Returns
    -------
    Plan
        The buckets in order.
    """
    order = _least_fill(scopes, count)
    place = {variable: step for step, variable in enumerate(order)}
    held: list[list[int]] = [[] for _ in order]
    reach: list[set[int]] = [{variable} for variable in order]
    for number, scope in enumerate(scopes):
        first = min(place[v] for v in scope)
        held[first].append(number)
        reach[first].update(scope)
    parents: list[int | None] = []
    children: list[list[int]] = [[] for _ in order]
    for step, variable in enumerate(order):
        rest = reach[step] - {variable}
        parent = min((place[v] for v in rest), default=None)
        parents.append(parent)
        if parent is not None:
            reach[parent].update(rest)
            children[parent].append(step)
    return Plan(
        tuple(
            Bucket(
                variable,
                tuple(sorted(reach[step])),
                tuple(held[step]),
                tuple(children[step]),
                parents[step],
            )
            for step, variable in enumerate(order)
        ),
        scopes,
    )


def log_total(plan_: Plan, tables: Sequence[Numbers]) -> Numbers:
    """Return the logarithm of the sum, over all combinations of causes, of the tables' product.

    Parameters
    ----------
    plan_ : Plan
        The order of the sums.
    tables : sequence of Numbers
        One table per scope, each of shape (cases, 2, …), none below zero [1].

    Returns
    -------
    Numbers
        One logarithm per case [1].

    References
    ----------
    .. [1] R. Dechter, Bucket elimination: a unifying framework for reasoning, Artificial
       Intelligence 113, 1999; from memory.
    """
    return _collected(plan_, tables)[2]


def beliefs(plan_: Plan, tables: Sequence[Numbers]) -> Beliefs:
    """Return the joint probabilities over every bucket of causes, exactly.

    Parameters
    ----------
    plan_ : Plan
        The order of the sums.
    tables : sequence of Numbers
        One table per scope, each of shape (cases, 2, …), none below zero [1].

    Returns
    -------
    Beliefs
        Normalised for each case.

    Notes
    -----
    Exact but for rounding. *Valid for* tables whose product is above zero somewhere. Cost grows as
    two to the power of the largest bucket, not of the number of causes.

    References
    ----------
    .. [1] R. Dechter, Bucket elimination: a unifying framework for reasoning, Artificial
       Intelligence 113, 1999; from memory.
    """
    potentials, messages, total = _collected(plan_, tables)
    found: list[Numbers | None] = [None] * len(plan_.buckets)
    for step in reversed(range(len(plan_.buckets))):
        bucket = plan_.buckets[step]
        table = potentials[step]
        if bucket.parent is not None:
            above = found[bucket.parent]
            assert above is not None
            wanted = _summed(above, plan_.buckets[bucket.parent].scope, bucket.separator)
            message = messages[step]
            ratio = np.divide(wanted, message, out=np.zeros_like(wanted), where=message > 0)
            table = table * _aligned(ratio, bucket.separator, bucket.scope)
        whole = table.reshape(len(table), -1).sum(axis=1)
        found[step] = table / whole.reshape(-1, *[1] * (table.ndim - 1))
    return Beliefs(plan_, tuple(one for one in found if one is not None), total)


def _collected(
    plan_: Plan, tables: Sequence[Numbers]
) -> tuple[list[Numbers], list[Numbers], Numbers]:
    """Sum the causes out one by one; return potentials, messages and the logarithm of the sum."""
    cases = max(len(table) for table in tables)
    potentials: list[Numbers] = []
    messages: list[Numbers] = []
    total = np.zeros(cases)
    for bucket in plan_.buckets:
        table = np.ones((1, *[1] * len(bucket.scope)))
        for number in bucket.factors:
            table = table * _aligned(tables[number], plan_.scopes[number], bucket.scope)
        for child in bucket.children:
            separator = plan_.buckets[child].separator
            table = table * _aligned(messages[child], separator, bucket.scope)
        table = np.broadcast_to(table, (cases, *[2] * len(bucket.scope)))
        message = table.sum(axis=1 + bucket.scope.index(bucket.variable))
        scale = np.maximum(message.reshape(cases, -1).max(axis=1), LEAST)
        total = total + np.log(scale)
        messages.append(message / scale.reshape(-1, *[1] * (message.ndim - 1)))
        potentials.append(table)
    return potentials, messages, total


def _least_fill(scopes: tuple[Scope, ...], count: int) -> list[int]:
    near: dict[int, set[int]] = {v: set() for v in range(count)}
    for scope in scopes:
        for one, other in combinations(scope, 2):
            near[one].add(other)
            near[other].add(one)
    order: list[int] = []
    while near:
        chosen = min(near, key=lambda v: (_fill(near, v), len(near[v]), v))
        for one, other in combinations(sorted(near[chosen]), 2):
            near[one].add(other)
            near[other].add(one)
        for neighbour in near.pop(chosen):
            near[neighbour].discard(chosen)
        order.append(chosen)
    return order


def _fill(near: dict[int, set[int]], variable: int) -> int:
    return sum(other not in near[one] for one, other in combinations(near[variable], 2))


def _aligned(table: Numbers, scope: Scope, target: Scope) -> Numbers:
    """Return a table shaped so that it multiplies one over a wider scope."""
    return table.reshape(len(table), *[2 if v in scope else 1 for v in target])


def _summed(table: Numbers, scope: Scope, kept: Scope) -> Numbers:
    """Return a table summed over all causes but a few."""
    return np.asarray(table.sum(axis=tuple(1 + k for k, v in enumerate(scope) if v not in kept)))
