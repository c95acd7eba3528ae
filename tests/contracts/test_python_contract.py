"""The public interface from Python: every name is there, and the main job runs by it."""

import lees


def test_every_promised_name_is_there():
    for name in lees.__all__:
        assert getattr(lees, name) is not None
    assert not hasattr(lees, "anything_else")


def test_a_case_is_read_and_judged_from_python():
    case = lees.read_case(
        'title = "Launch"\n[fill]\nrun = "9 300 mi"\n[oil]\ngrade = "5W-30"\n'
        '[report]\nresults = { Fe = "12 ppm", kv100 = "10.1" }\n'
    )
    findings = lees.verdict(lees.Facts(case), made_with="test")
    assert findings.oil.in_grade > 0.99
    assert lees.read_case(lees.write_case(case)) == case
