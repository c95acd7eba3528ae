"""Every name that a public function of a pure room takes stands in the nomenclature."""

import sys
from pathlib import Path

DOCS = Path(__file__).parents[2] / "docs"
sys.path.insert(0, str(DOCS))

import make_nomenclature  # noqa: E402


def test_the_nomenclature_is_up_to_date():
    written = make_nomenclature.PAGE.read_text(encoding="utf-8")
    assert written == make_nomenclature.page(), "run: python docs/make_nomenclature.py"


def test_it_holds_the_names_and_units_of_the_trade():
    written = make_nomenclature.page()
    for name, unit in (("kv100_mm2_s", "mm²/s"), ("temperature_c", "°C"), ("sus_s", "s")):
        assert f"| `{name}` | {unit} |" in written


def test_parameters_of_a_docstring_are_found():
    text = "Sum.\n\nParameters\n----------\na, b : float\n    The side\n    [mm].\nc : str\n    Word.\n\nReturns\n-------\nfloat\n    x [1].\n"
    found = make_nomenclature.parameters(text)
    assert found == [("a", "The side [mm]."), ("b", "The side [mm]."), ("c", "Word.")]
