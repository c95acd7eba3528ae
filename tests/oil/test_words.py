"""What is said of a measurand names it in words, never by its key."""

from __future__ import annotations

import math
import re

import pytest

from lees.errors import LeesError
from lees.oil.precision import precision, statements
from lees.quantity.measurands import measurand, measurands

KEYS = re.compile(
    rf"\b({'|'.join(key for key, one in measurands().items() if not one.is_element and key != 'an')})\b"
)
HELD = sorted(statements())


@pytest.mark.parametrize("key", HELD)
@pytest.mark.parametrize("value", [0.0, 1e4, -1.0, math.nan, math.inf])
def test_precision_speaks_in_words(key: str, value: float) -> None:
    name = measurand(key).name
    try:
        said = precision(key, None, value, measurand(key).unit).warnings
    except LeesError as refused:
        said = (str(refused),)
        assert name.lower() in said[0].lower()
    for sentence in said:
        keys = [word for word in KEYS.findall(sentence) if word not in name.lower().split()]
        assert not keys, sentence
