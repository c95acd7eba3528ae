"""Cases typed by hand for the judge's tests; all invented."""

from lees.case.records import Facts
from lees.case.toml import read_case

LONG_RUN = """
title = "Bus 3"
[engine]
name = "Bus 3"
maker_interval = "10 000 mi"
[fill]
run = "12 000 mi"
[oil]
grade = "5W-30"
[oil.fresh]
source = "same laboratory"
results = { kv100 = "10.4 mm²/s", flash = "232 °C", bn = "8.0 mgKOH/g" }
methods = { bn = "D2896", flash = "D92" }
[report]
results = { Fe = "18 ppm", Cr = "1 ppm", Cu = "4 ppm", Pb = "1 ppm", Al = "3 ppm", Si = "9 ppm", kv100 = "10.0 mm²/s", flash = "228 °C", bn = "4.0 mgKOH/g" }
means = { results = { Fe = "14 ppm", Cr = "1 ppm", Cu = "3 ppm", Pb = "1 ppm", Al = "3 ppm", Si = "8 ppm" }, run = "6 000 mi" }
methods = { bn = "D2896", flash = "D92" }
advised = "15 000 mi"
"""


def facts(source: str, **more: object) -> Facts:
    return Facts(case=read_case(source), **more)  # type: ignore[arg-type]
