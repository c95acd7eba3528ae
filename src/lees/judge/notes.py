"""The judge's notes: facts and statements gathered while a case is judged, each with its id."""

from __future__ import annotations

from dataclasses import dataclass, field

from lees.judge.findings import About, Action, Fact, Statement
from lees.judge.reported import Known


@dataclass(slots=True)
class Notes:
    """Facts and statements so far, in the order in which they were noted."""

    facts: dict[str, Fact] = field(default_factory=dict)
    statements: list[Statement] = field(default_factory=list)
    not_judged: list[str] = field(default_factory=list)
    checks: list[str] = field(default_factory=list)

    def fact(self, key: str, name: str, value: str, source: str) -> str:
        """Note a fact and return its id."""
        self.facts[key] = Fact(key, name, value, source)
        return key

    def reported(self, known: Known, *, fresh: bool = False, mean: bool = False) -> str:
        """Note a reported value as a fact and return its id."""
        prefix = "fresh" if fresh else "mean" if mean else "used"
        method = f", {known.method}" if known.method else ""
        name = f"{known.name}, {'fresh oil' if fresh else 'mean' if mean else 'used oil'}"
        return self.fact(f"{prefix}.{known.key}", name, known.text, f"{known.origin}{method}")

    def state(self, statement: Statement) -> str:
        """Note a statement and return its id."""
        self.statements.append(statement)
        return statement.id

    def about(self, about: About, *, worse_than: Action = Action.CARRY_ON) -> list[Statement]:
        """Return the statements about one thing whose action is worse than one given."""
        order = list(Action)
        return [
            statement
            for statement in self.statements
            if statement.about is about and order.index(statement.action) > order.index(worse_than)
        ]


def worst(actions: list[Action]) -> Action:
    """Return the gravest of several actions, carry on where there are none."""
    order = list(Action)
    return max(actions, key=order.index, default=Action.CARRY_ON)
