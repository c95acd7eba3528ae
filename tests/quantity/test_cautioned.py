"""A value keeps its warnings, and is a number where one is needed."""

import numpy as np

from lees.quantity.cautioned import Cautioned


def test_a_cautioned_value_is_a_number_with_its_warnings():
    found = Cautioned(np.asarray(3.5), ("It is far.",))
    assert float(found) == 3.5
    assert found.warnings == ("It is far.",)
    assert Cautioned(np.asarray(1.0)).warnings == ()
