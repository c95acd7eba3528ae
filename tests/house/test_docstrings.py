"""Every public function of the pure rooms says what goes in, what comes out, and in which unit.

Numpydoc order; each parameter of the signature documented under its name; each real number or array
of them ends in its unit in brackets; and where a module names a published source for its formulas,
the functions that return numbers name theirs. In the rooms that compute, every parameter is
documented; in the others, those of functions that take numbers and of functions that document any.
"""

from __future__ import annotations

import ast
import inspect
import re

import pytest

from house.source import Module, pure_modules

ORDER = (
    "Parameters", "Returns", "Yields", "Raises", "Warns", "See Also", "Notes", "References",
    "Examples",
)  # fmt: skip
COMPUTING_ROOMS = {"quantity", "oil", "wear", "filtration", "picture"}
NUMBER = re.compile(r"\b(float|complex|Fraction|ArrayLike|Numbers|float64|floating)\b")
CALLABLE = re.compile(r"\bCallable\b")
QUANTITY = re.compile(r"\b(float|ArrayLike|Numbers|float64|Measured|Derived)\b")
UNIT_AT_END = re.compile(r"\[[^\[\]]+\]\.?$")
SOURCE = re.compile(
    r"\b(ASTM|ISO|JCGM|SAE|NIST|IPCC|IEC|EN|DIN)\b[ -]?[A-Z]*[ -]?\d|\b(18|19|20)\d\d\b|\[\d\]_"
)

FUNCTIONS = [
    pytest.param(module, function, id=f"{module.name}:{function.name}")
    for module in pure_modules()
    for function in module.public_functions()
]


def sections(docstring: str) -> dict[str, str]:
    """Split a docstring into its numpydoc sections, the summary under an empty name."""
    found: dict[str, str] = {}
    name, lines = "", docstring.splitlines()
    body: list[str] = []
    k = 0
    while k < len(lines):
        under = lines[k + 1] if k + 1 < len(lines) else ""
        if lines[k].strip() and re.fullmatch(r"-{3,}", under) and not lines[k].startswith(" "):
            found[name] = "\n".join(body).strip("\n")
            name, body = lines[k].strip(), []
            assert len(under) == len(lines[k]), f"the line under {name} has another length"
            k += 2
            continue
        body.append(lines[k])
        k += 1
    found[name] = "\n".join(body).strip("\n")
    return found


def entries(section: str) -> dict[str, str]:
    """Return the description of each entry of a Parameters or Returns section."""
    found: dict[str, str] = {}
    name = ""
    for line in section.splitlines():
        if line and not line.startswith(" "):
            name = line.split(":")[0].strip()
            found[name] = ""
        elif name:
            found[name] += " " + line.strip()
    return {name: text.strip() for name, text in found.items()}


def arguments(function: ast.FunctionDef) -> dict[str, str]:
    """Return the parameters of a function with their annotations as text."""
    given = function.args
    listed = [*given.posonlyargs, *given.args, *([given.vararg] if given.vararg else [])]
    listed += [*given.kwonlyargs, *([given.kwarg] if given.kwarg else [])]
    return {one.arg: ast.unparse(one.annotation) if one.annotation else "" for one in listed}


def is_number(annotation: str) -> bool:
    return bool(NUMBER.search(annotation)) and not CALLABLE.search(annotation)


def faults(module: Module, function: ast.FunctionDef) -> list[str]:
    """Return what is wrong with a public function's docstring."""
    docstring = inspect.cleandoc(ast.get_docstring(function) or "")
    if not docstring:
        return ["has no docstring"]
    found = sections(docstring)
    wrong = []
    unknown = [name for name in found if name and name not in ORDER]
    if unknown:
        wrong.append(f"sections unknown to numpydoc: {unknown}")
    named = [name for name in found if name in ORDER]
    if named != sorted(named, key=ORDER.index):
        wrong.append(f"sections out of order: {named}")
    described, wanted = entries(found.get("Parameters", "")), arguments(function)
    room = module.name.split(".")[0]
    documents = described or room in COMPUTING_ROOMS or any(map(is_number, wanted.values()))
    if documents and list(described) != list(wanted):
        wrong.append(f"documents {list(described)}, takes {list(wanted)}")
    wrong += [
        f"{name}: its description does not end in a unit in brackets"
        for name, annotation in wanted.items()
        if is_number(annotation) and not UNIT_AT_END.search(described.get(name, ""))
    ]
    returned = ast.unparse(function.returns) if function.returns else ""
    if is_number(returned):
        text = " ".join(line.strip() for line in found.get("Returns", "").splitlines()).strip()
        if not UNIT_AT_END.search(text):
            wrong.append("what it returns does not end in a unit in brackets")
    claims = SOURCE.search(ast.get_docstring(module.tree) or "")
    cites = "References" in found or SOURCE.search(docstring)
    if claims and QUANTITY.search(returned) and not cites:
        wrong.append("its module names a published source, it names none")
    return wrong


@pytest.mark.parametrize(("module", "function"), FUNCTIONS)
def test_docstring_says_what_goes_in_and_out(module: Module, function: ast.FunctionDef) -> None:
    assert not faults(module, function)


def checked(source: str) -> list[str]:
    """Return the faults of the only function of a made-up module."""
    tree = ast.parse(source)
    made_up = type("MadeUp", (), {"tree": tree, "name": "filtration.speed"})()
    function = next(node for node in tree.body if isinstance(node, ast.FunctionDef))
    return faults(made_up, function)


GOOD = '''
"""How things flow (ISO 4548-1:1997)."""
def speed(flow_l_min: float, area_mm2: float) -> float:
    """Return a speed.

    Parameters
    ----------
    flow_l_min : float
        The flow. [L/min]
    area_mm2 : float
        The area. [mm²]

    Returns
    -------
    float
        The speed. [m/s]

    References
    ----------
    .. [1] ISO 4548-1:1997.
    """
'''


def test_a_good_docstring_passes() -> None:
    assert checked(GOOD) == []


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("The flow. [L/min]", "The flow.", "flow_l_min"),
        ("area_mm2 : float", "area : float", "documents"),
        ("The speed. [m/s]", "The speed.", "returns"),
        ("    References\n    ----------\n    .. [1] ISO 4548-1:1997.\n", "", "source"),
        ("    Returns\n    -------", "    Result\n    ------", "unknown"),
    ],
)
def test_a_faulty_docstring_is_found(old: str, new: str, said: str) -> None:
    assert old in GOOD
    assert any(said in fault for fault in checked(GOOD.replace(old, new)))
