"""`lees calc uncertainty`: how doubt is carried through a formula of one's own."""

from __future__ import annotations

from cyclopts import App

from lees.cli.calc.typed import number, show, show_example
from lees.errors import WrongEntry
from lees.quantity.measured import Measured

app = App(
    name="uncertainty",
    help="Carry uncertainty through a formula of your own, by both ways of the GUM.",
    result_action="return_value",
)

DRAWS = 1_000_000
SEED = 20260101
"""Fixed, so that the same entry prints the same figures twice."""


@app.default
def uncertainty(expression: str, *inputs: str, unit: str = "1") -> None:
    """Carry uncertainty through a formula, to first order and by Monte Carlo.

    Example: lees calc uncertainty '2*n*d*h/100' 'n = 55' 'd = 12.0 ± 0.2' 'h = 70.0 ± 0.3' --unit 'cm²'   →   924 ± 16 cm²

    Parameters
    ----------
    expression
        The formula: + - * / ^, brackets, sqrt exp ln log10 sin cos tan, pi.
    inputs
        Each name with its value as a plain number, in the unit that the formula takes.
    unit
        The unit of the result, for show.
    """  # noqa: E501
    import numpy as np

    from lees.quantity.formula import formula
    from lees.quantity.propagation import checked_by_draws, propagated, simulated

    found = formula(expression)
    given = dict(_named(text) for text in inputs)
    if missing := [name for name in found.names if name not in given]:
        raise WrongEntry(
            expression, f"needs {', '.join(missing)}", "add for example 'd = 12.0 ± 0.2'"
        )
    if unused := [name for name in given if name not in found.names]:
        raise WrongEntry(expression, f"has no {', '.join(unused)} in it", "leave that out")
    values = {name: given[name] for name in found.names}
    first = propagated(found, values, unit=unit, source=f"{expression}, JCGM 100 to first order")
    drawn = simulated(found, values, unit=unit, generator=np.random.default_rng(SEED), draws=DRAWS)
    show("first order", checked_by_draws(first, drawn))
    print(f"Monte Carlo: {str(drawn).removesuffix(' 1')}")
    print(f"  95 %: {drawn.span()}{'' if unit == '1' else f' {unit}'}")
    print(f"  source: JCGM 101, {DRAWS} draws")


def _named(text: str) -> tuple[str, Measured]:
    name, sign, value = text.partition("=")
    if not sign or not name.strip():
        raise WrongEntry(text, "is not a name with its value", "type for example d = 12.0 ± 0.2")
    return name.strip(), number(value)


show_example(app, uncertainty)
