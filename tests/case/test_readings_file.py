"""Caliper readings as a file, in the three customary separators."""

import pytest

from lees.case.readings_file import UnreadableReadings, readings_from_csv


@pytest.mark.parametrize("mark", [",", ";", "\t"])
def test_readings_of_one_quantity_go_together(mark):
    text = f"\ufeffwhat{mark}reading{mark}unit{mark}with\ncan wall{mark}0.38{mark}mm{mark}caliper\n"
    text += f"gasket{mark}5.1{mark}mm{mark}caliper\ncan wall{mark}0.39{mark}mm{mark}caliper\n\n"
    found = readings_from_csv(text, file="caliper.csv")
    assert [(r.what, r.readings) for r in found] == [
        ("can wall", ("0.38", "0.39")),
        ("gasket", ("5.1",)),
    ]


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("", "has no column “what”"),
        ("what,value\na,1", "has no column “reading”"),
        ("what,reading\n,1", "line 2"),
        ("what,reading\na,1\nb,", "line 3"),
    ],
)
def test_a_slip_is_named_with_its_line(text, says):
    with pytest.raises(UnreadableReadings, match=says):
        readings_from_csv(text, file="caliper.csv")
