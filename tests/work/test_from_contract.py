"""What `lees read` and `lees photo` print is taken into a case's records as it stands."""

from lees.work.from_contract import report_read


def test_a_viscosity_index_has_no_unit_and_is_a_bare_number():
    index = {"value": 161, "unit": None, "qualifier": None, "text": "161", "confidence": 0.99}
    read = report_read({"samples": [{"label": "B1/15", "results": {"vi": index}}]}, "report.pdf")
    assert read.samples[0].results["vi"].unit == "1"
    assert read.samples[0].results["vi"].value == 161
