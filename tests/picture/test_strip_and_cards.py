"""A slip of paper is never taken for the strip that lies between two cards."""

import pytest

from lees.picture.strip import NoStrip
from lees.work.measure_picture import Asked, What, measure_picture_here


def test_a_demonstration_strip_is_measured_or_refused_but_never_mistaken():
    from lees.demo.scenario import demo_files

    picture = next(data for name, data in demo_files() if name.endswith("strip.jpg"))
    try:
        found = measure_picture_here((picture,), Asked(What.STRIP)).contract["strip"]
    except NoStrip as error:
        said = str(error)
        assert "it is not the strip" in said
    else:
        assert found["length_mm"] == pytest.approx(977.6, rel=0.003)
